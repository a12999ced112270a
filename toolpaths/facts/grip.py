"""What holds the board from below or at its edges, and by what: tape, vacuum or a vise."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from shapely import Polygon

from toolpaths.base.checks import one_of
from toolpaths.base.drawn_flat import check_drawn_flat
from toolpaths.base.errors import InputError
from toolpaths.base.values import fields_in_a_line

GripKind = Literal["tape", "vacuum", "vise"]
GRIP_KINDS: tuple[GripKind, ...] = ("tape", "vacuum", "vise")


@dataclass(frozen=True, slots=True, kw_only=True)
class Grip:
    """An area, seen from the front, over which the board is gripped, and by what.

    by : "tape" (double-sided, or tape and glue), "vacuum", or "vise": the area over which its jaws press

    >>> from toolpaths import Board, Fixture, Grip
    >>> board = Board(width=200, height=140, thickness=18)
    >>> Fixture(board=board, grips=(Grip(area=board.outline, by="vacuum"),)).standing()[0].by
    'vacuum'

    Raises InputError for what is no area, and for another word.
    """

    area: Polygon
    by: GripKind = "tape"

    __repr__ = fields_in_a_line

    def __post_init__(self) -> None:
        if not isinstance(self.area, Polygon) or self.area.is_empty or not self.area.is_valid:
            raise InputError("area of a grip must be a valid shapely Polygon, for instance board.outline.")
        check_drawn_flat("area of a grip", self.area)
        one_of("by", self.by, GRIP_KINDS)


def areas_or_grips(name: str, given: object) -> tuple[Polygon | Grip, ...]:
    """Areas and grips, as a tuple."""
    if not isinstance(given, (tuple, list)) or not all(isinstance(each, (Polygon, Grip)) for each in given):
        raise InputError(f"{name} must be a tuple of Polygon(...) or Grip(...).")
    for each in given:
        if isinstance(each, Polygon):
            check_drawn_flat(name, each)
    return tuple(given)


def as_grip(given: Polygon | Grip) -> Grip:
    """An area alone is gripped by tape."""
    return given if isinstance(given, Grip) else Grip(area=given)
