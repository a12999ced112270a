"""How the board is turned over, where its places and corners come to lie, and which ways its pins let it lie."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

import numpy as np

from toolpaths.base.checks import Floats
from toolpaths.facts.board import Board, Dowel

Side = Literal["front", "back"]
SIDES: tuple[Side, ...] = ("front", "back")
# "" for a board that lies with its front up.
Turned = Literal["", "left to right", "top to bottom"]
TURNS: tuple[Turned, ...] = ("left to right", "top to bottom")
Corner = Literal["lower left", "lower right", "upper left", "upper right", "centre"]
CORNERS: tuple[Corner, ...] = ("lower left", "lower right", "upper left", "upper right", "centre")
_MIRRORED: dict[Turned, dict[str, str]] = {
    "left to right": {"left": "right", "right": "left"},
    "top to bottom": {"lower": "upper", "upper": "lower"},
}


# mm by which a board may lie off its place and nobody sees it (common practice, no source).
_UNSEEN = 5.0


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


def pins_fit_both_ways(pins: Sequence[Dowel], board: Board) -> bool:
    """Whether the board goes on its pins turned over left to right as well as top to bottom.

    Pins that fit both fit the board turned by half a turn as well, whichever face is up: that is one turning after the
    other. A board that would lie visibly beside its place does not count as fitting.

    >>> board = Board(width=300, height=160, thickness=18)
    >>> two = [Dowel(x=9, y=80, diameter=8, depth=5), Dowel(x=291, y=80, diameter=8, depth=5)]
    >>> pins_fit_both_ways(two, board)
    True
    >>> pins_fit_both_ways([*two, Dowel(x=150, y=12, diameter=8, depth=5)], board)
    False
    """
    return bool(pins) and all(_pins_fit(pins, board, turned) for turned in TURNS)


def _pins_fit(pins: Sequence[Dowel], board: Board, turned: Turned) -> bool:
    """Whether every hole of the board, turned over so, comes over a pin of its width, or would if it were moved a
    little."""
    pins_at = np.array([(pin.x, pin.y) for pin in pins])
    holes_at = turned_points(pins_at, board, turned)
    moved = pins_at.mean(axis=0) - holes_at.mean(axis=0)
    if np.hypot(*moved) >= _UNSEEN:
        return False
    apart = np.hypot(*(holes_at[:, None] + moved - pins_at).transpose(2, 0, 1))
    play = np.array([pin.widest_hole - pin.diameter for pin in pins])
    wide = np.array([pin.diameter for pin in pins])
    return bool(((apart <= play) & (np.abs(wide[:, None] - wide) <= play)).any(axis=1).all())
