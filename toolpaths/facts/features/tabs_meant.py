"""The tabs that a cut is to leave across it."""

from __future__ import annotations

from functools import partial
from typing import NamedTuple

from shapely.geometry.base import BaseGeometry

from toolpaths.base.checks import Door, distance, length, whole

# mm of a tab of which nothing is left.
_LOWEST = 0.01


class TabsMeant(NamedTuple):
    """What a feature says of its tabs.

    middle : the area whose boundary the middle of the cut follows, seen from the front
    radius : mm, half of the width of the cut
    number : how many stand across the whole cut
    longest : mm along the cut, the most that one may take, slopes and all
    width, height : mm of each at its narrowest, and from the floor of the cut, or the underside of the board, up;
        0 where that is not said
    skin : mm of wood that may stand all along the cut
    """

    middle: BaseGeometry
    radius: float
    number: int
    longest: float
    width: float
    height: float
    skin: float = 0.0


# How the fields of a feature that say it are let in.
TAB_DOORS: dict[str, Door] = {
    "tabs": partial(whole, low=0), "tab_length": length, "tab_width": distance, "tab_height": distance
}  # fmt: skip


def higher(height: float, by: float) -> float:
    """The height of tabs that stand so many mm higher over the underside than meant; 0 where none is said."""
    return max(height + by, _LOWEST) if height else 0.0
