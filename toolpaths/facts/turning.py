"""How the board is turned over, and where its places and corners come to lie."""

from __future__ import annotations

from typing import Literal

from toolpaths.base.checks import Floats
from toolpaths.facts.board import Board

# "" for a board that lies with its front up.
Turned = Literal["", "left to right", "top to bottom"]
TURNS: tuple[Turned, ...] = ("left to right", "top to bottom")
Corner = Literal["lower left", "lower right", "upper left", "upper right", "centre"]
CORNERS: tuple[Corner, ...] = ("lower left", "lower right", "upper left", "upper right", "centre")
_MIRRORED: dict[Turned, dict[str, str]] = {
    "left to right": {"left": "right", "right": "left"},
    "top to bottom": {"lower": "upper", "upper": "lower"},
}


def turned_points(points: Floats, board: Board, turned: Turned) -> Floats:
    """Where points (k, 2) of a board come to lie once it is turned over so; where they are, for ""."""
    if turned == "left to right":
        return points * [-1.0, 1.0] + [board.width, 0.0]
    return points * [1.0, -1.0] + [0.0, board.height] if turned else points


def turned_corner(corner: Corner, turned: Turned) -> Corner:
    """Which corner of the board it is, once the board is turned over so, that was this one before.

    >>> turned_corner("lower left", "left to right")
    'lower right'
    """
    words = [_MIRRORED.get(turned, {}).get(word, word) for word in corner.split()]
    return next(known for known in CORNERS if known == " ".join(words))
