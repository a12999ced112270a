"""What is cut loose on a side, when, and what holds it then."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

import shapely

from toolpaths.facts.features.feature import Feature
from toolpaths.facts.features.parting import Parting
from toolpaths.facts.grip import GRIP_NAMES
from toolpaths.facts.hold_down import HoldDown
from toolpaths.judging.trial.standing_tab import StandingTab
from toolpaths.making.operations.operation import Operation
from toolpaths.making.plan.setup import Setup
from toolpaths.making.plan.steps import Step
from toolpaths.show.markup import Markup, tag
from toolpaths.show.sheet.page_parts import section, table
from toolpaths.show.sheet.sheet_side import SheetSide

_NOTHING = "nothing: it may be thrown; keep clear, stop before lifting it out"
_TURNS = "it can turn about that: hands off till the spindle stands still"


class Freed(NamedTuple):
    """A piece that a step cuts loose.

    number : of the step, from 1; area : where it lies on this side; waste : whether it is no part
    skin : mm of wood left all round below the cut, 0 for none; holding : hold-downs on it
    """

    number: int
    what: str
    area: shapely.Geometry
    waste: bool
    tabs: tuple[StandingTab, ...]
    skin: float
    holding: tuple[HoldDown, ...]


def comes_free(side: SheetSide) -> Markup:
    """The table, or a line that says that nothing does."""
    rows = [[str(piece.number), piece.what, _held(side, piece)] for piece in freed_pieces(side)]
    if not rows:
        return section("What comes free", tag("p", "Nothing is cut loose on this side."))
    return section(
        "What comes free, and what holds it", table(["After no.", "What", "Held by, places from X0 Y0"], rows)
    )


def freed_pieces(side: SheetSide) -> list[Freed]:
    """In order."""
    return [
        piece
        for number, step in enumerate(side.setup.steps, start=1)
        if isinstance(step, Step)
        for piece in _freed(side, number, step)
    ]


def _freed(side: SheetSide, number: int, step: Step) -> Iterator[Freed]:
    """What a step cuts loose, and what then holds it."""
    fixture, operation = side.setup.fixture, step.operation
    for feature in _partings(side.setup, operation):
        piece = fixture.place(feature.shape)
        if shapely.buffer(piece, -step.path.cutter.diameter).is_empty:
            continue  # nothing of it is left to come free
        what, waste = f"the piece within {step.name}", feature.waste_side != "outside"
        if not waste:
            what = f"the part, {step.name}"
            # What holds the waste in an opening does not hold the part round it.
            openings = [
                fixture.place(other.shape)
                for each in side.setup.operations
                for other in _partings(side.setup, each)
                if other.waste_side == "inside"
            ]
            piece = shapely.difference(piece, shapely.union_all(openings))
        skin = feature.skin if isinstance(feature, Parting) else 0.0
        holding = tuple(thing for thing in fixture.holding if _holds(thing, piece))
        yield Freed(number, what, piece, waste, side.tabs_across(operation), skin or 0.0, holding)


def _holds(thing: HoldDown, piece: shapely.Geometry) -> bool:
    """A screw holds what it goes through, a clamp or a grip what some of its area lies on."""
    if thing.area is None:
        return bool(shapely.contains(piece, thing.outline))
    return bool(shapely.intersection(piece, thing.outline).area > 0)


def _held(side: SheetSide, piece: Freed) -> str:
    zero_x, zero_y, _ = side.setup.fixture.zero
    held = [side.tabs_in_words(piece.tabs)] if piece.tabs else []
    if piece.skin:
        held.append(f"a skin of {side.lengths.said(piece.skin)}, to be cut by hand")
    grips = [GRIP_NAMES[thing.by] for thing in piece.holding if thing.kind == "grip"]
    held += dict.fromkeys(grips)
    held += [f"the {thing.kind} at {side.lengths.place(thing.x - zero_x, thing.y - zero_y)}"
             for thing in piece.holding if thing.kind != "grip"]  # fmt: skip
    if not held:
        return _NOTHING
    only = piece.holding[0] if len(piece.holding) == 1 and not piece.tabs and not piece.skin else None
    return f"{', '.join(held)} alone: {_TURNS}" if only and only.kind == "screw" else ", ".join(held)


def _partings(setup: Setup, operation: Operation) -> list[Feature]:
    """What an operation cuts right through round a piece."""
    underside = setup.fixture.underside_z
    return [each for each in operation.features(setup.tolerance) if each.waste_side and each.goes_through(underside)]
