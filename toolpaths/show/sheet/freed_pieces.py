"""What the work of a side cuts loose, and what then holds each piece."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from typing import NamedTuple

import shapely

from toolpaths.facts.features.feature import Feature
from toolpaths.facts.features.parting import Parting
from toolpaths.facts.hold_down import HoldDown
from toolpaths.judging.trial.standing_tab import StandingTab
from toolpaths.making.operations.operation import Operation
from toolpaths.making.plan.setup import Setup
from toolpaths.making.plan.steps import Step

TabsAcross = Callable[[Operation], tuple[StandingTab, ...]]


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


def freed_pieces(setup: Setup, tabs_across: TabsAcross) -> tuple[Freed, ...]:
    """In order. tabs_across : which tabs stand across what an operation cuts"""
    # What holds the waste in an opening does not hold the part round it.
    openings = [
        setup.fixture.place(each.shape)
        for operation in setup.operations
        for each in _partings(setup, operation)
        if each.waste_side == "inside"
    ]
    return tuple(
        piece
        for number, step in enumerate(setup.steps, start=1)
        if isinstance(step, Step)
        for piece in _freed(setup, number, step, openings, tabs_across)
    )


def _freed(
    setup: Setup, number: int, step: Step, openings: Sequence[shapely.Geometry], tabs_across: TabsAcross
) -> Iterator[Freed]:
    """What a step cuts loose, and what then holds it. openings : of the side"""
    fixture = setup.fixture
    for feature in _partings(setup, step.operation):
        piece = fixture.place(feature.shape)
        if shapely.buffer(piece, -step.path.cutter.diameter).is_empty:
            continue  # nothing of it is left to come free
        what, waste = f"the piece within {step.name}", feature.waste_side != "outside"
        if not waste:
            what = f"the part, {step.name}"
            piece = shapely.difference(piece, shapely.union_all(openings))
        skin = feature.skin if isinstance(feature, Parting) else 0.0
        holding = tuple(thing for thing in fixture.holding if _holds(thing, piece))
        yield Freed(number, what, piece, waste, tabs_across(step.operation), skin or 0.0, holding)


def _holds(thing: HoldDown, piece: shapely.Geometry) -> bool:
    """A screw holds what it goes through, a clamp or a grip what some of its area lies on."""
    if thing.area is None:
        return bool(shapely.contains(piece, thing.outline))
    return bool(shapely.intersection(piece, thing.outline).area > 0)


def _partings(setup: Setup, operation: Operation) -> list[Feature]:
    """What an operation cuts right through round a piece."""
    underside = setup.fixture.underside_z
    return [each for each in operation.features(setup.tolerance) if each.waste_side and each.goes_through(underside)]
