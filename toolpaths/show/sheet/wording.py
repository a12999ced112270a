"""Short ways in which the sheet says times and lengths."""

from __future__ import annotations

from toolpaths.show.ordinates import length


def duration(seconds: float) -> str:
    """As a clock on the wall is read.

    >>> duration(42.4), duration(610), duration(7500)
    ('42 s', '10 min 10 s', '2 h 5 min')
    """
    whole = round(seconds)
    if whole < 60:
        return f"{whole} s"
    minutes, rest = divmod(whole, 60)
    if minutes < 60:
        return f"{minutes} min {rest:02d} s"
    hours, minutes = divmod(round(seconds / 60), 60)
    return f"{hours} h {minutes} min"


def place(x: float, y: float) -> str:
    """As a program counts it.

    >>> place(14, 106.5)
    'X14 Y106.5'
    """
    return f"X{length(x)} Y{length(y)}"


def counted(count: int, what: str) -> str:
    """How many of a thing.

    >>> counted(1, "tab"), counted(6, "tab")
    ('1 tab', '6 tabs')
    """
    return f"{count} {what}{'' if count == 1 else 's'}"


def box_text(left: float, right: float, low: float, high: float) -> str:
    """A box with its sides along X and Y, as a program counts it.

    >>> box_text(-3, 12.5, 0, 40)
    'X-3 to X12.5 and Y0 to Y40'
    """
    return f"X{length(left)} to X{length(right)} and Y{length(low)} to Y{length(high)}"
