"""What holds the board from below or at its edges, and by what: tape, vacuum or a vise."""

from __future__ import annotations

from dataclasses import dataclass
from functools import partial
from typing import Any, Literal

from shapely import Polygon

from toolpaths.base.checks import let_in, one_of, sequence, shown
from toolpaths.base.errors import InputError
from toolpaths.base.values import fields_in_a_line
from toolpaths.facts import drawn

GripKind = Literal["tape", "vacuum", "vise"]
GRIP_KINDS: tuple[GripKind, ...] = ("tape", "vacuum", "vise")
# What they are called wherever a person reads it; a grip whose kind is not said is one by tape.
GRIP_NAMES = {"tape": "double-sided tape", "vacuum": "vacuum", "vise": "vise", "": "double-sided tape"}
# Where they grip, and what is undone before the board is lifted; off tape it is lifted.
GRIP_PLACES = {"tape": "from below", "vacuum": "from below", "vise": "at its edges", "": "from below"}
GRIP_UNDONE = {"vacuum": "the vacuum", "vise": "the jaws of the vise"}


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
        let_in(self, area=drawn.polygon, by=partial(one_of, choices=GRIP_KINDS))


def areas_or_grips(name: str, given: Any) -> tuple[Polygon | Grip, ...]:
    """Areas and grips, as a tuple."""
    found = sequence(name, given, "a tuple of Polygon(...) or Grip(...)")
    for each in found:
        if not isinstance(each, (Polygon, Grip)):
            raise InputError(f"{name} must be a tuple of Polygon(...) or Grip(...), and holds {shown(each)}.")
    return tuple(each if isinstance(each, Grip) else drawn.polygon(name, each) for each in found)


def as_grip(given: Polygon | Grip) -> Grip:
    """An area alone is gripped by tape."""
    return given if isinstance(given, Grip) else Grip(area=given)
