"""A tab that stands when the program is done, as reports have it."""

from __future__ import annotations

from typing import NamedTuple


class StandingTab(NamedTuple):
    """A tab across a cut right through.

    x, y : mm, its middle as the program counts
    width : mm at its narrowest, along the cut
    thickness : mm, from the underside up
    """

    x: float
    y: float
    width: float
    thickness: float
