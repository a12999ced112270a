"""How the sheet says times."""

from __future__ import annotations


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


def counted(count: int, what: str) -> str:
    """How many of a thing.

    >>> counted(1, "tab"), counted(6, "tab")
    ('1 tab', '6 tabs')
    """
    return f"{count} {what}{'' if count == 1 else 's'}"
