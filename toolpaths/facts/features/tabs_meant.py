"""The tabs that a cut is to leave across it."""

from __future__ import annotations

from typing import NamedTuple

from shapely.geometry.base import BaseGeometry

from toolpaths.base.checks import between, positive, whole

# mm; no tab is longer or higher.
_FARTHEST = 1000.0
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


def check_tabs(count: int, longest: float, width: float, height: float) -> None:
    """Raises InputError for numbers that no tabs have."""
    whole("tabs", count, 0)
    positive("tab_length", longest)
    between("tab_width", width, 0.0, _FARTHEST)
    between("tab_height", height, 0.0, _FARTHEST)


def higher(height: float, by: float) -> float:
    """The height of tabs that stand so many mm higher over the underside than meant; 0 where none is said."""
    return max(height + by, _LOWEST) if height else 0.0
