"""Lines and fills that are told apart without colour too, and by those who see some colours alike.

Colours: Okabe and Ito (2008), those of them that stand out from white paper by 3:1 at least (WCAG 2.2, 1.4.11), and
black, their eighth. Each cutter has a colour and a dash of its own, so that a grey print still tells them apart.
"""

from __future__ import annotations

from typing import NamedTuple

# Blue, vermillion, bluish green, reddish purple, black.
_COLOURS = ("#0072B2", "#D55E00", "#009E73", "#CC79A7", "#000000")
# Lengths of dash and gap in mm on paper; none for a line without gaps.
_DASHES: tuple[tuple[float, ...], ...] = ((), (4, 1), (1.6, 0.8), (4, 0.8, 0.8, 0.8), (0.6, 0.6))
INK, PAPER, PALE, GREY = "#000000", "#FFFFFF", "#EFEBE3", "#595959"


class LineStyle(NamedTuple):
    """Colour as #RRGGBB, and (dash, gap, ...) in mm on paper."""

    colour: str
    dash: tuple[float, ...]


def line_style(number: int) -> LineStyle:
    """How the lines of the cutter that comes `number`th are drawn, from 0; no two of the first 25 alike."""
    count = len(_COLOURS)
    return LineStyle(_COLOURS[number % count], _DASHES[(number + number // count) % len(_DASHES)])


def contrast(one: str, other: str) -> float:
    """Ratio of two colours #RRGGBB, 1 to 21, by the formula of WCAG 2.2.

    >>> round(contrast("#595959", "#FFFFFF"), 4)
    7.0047
    """
    bright, dark = sorted((_luminance(one), _luminance(other)), reverse=True)
    return (bright + 0.05) / (dark + 0.05)


def _luminance(colour: str) -> float:
    parts = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    linear = [part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]
