"""Sides of which nothing was given that holds the board."""

from __future__ import annotations

from collections.abc import Iterator

from toolpaths.facts.fixture import Fixture
from toolpaths.judging.job_programs import Judged
from toolpaths.judging.job_report import SideFinding
from toolpaths.judging.trial.findings import NOWHERE, Finding


def nothing_holds(programs: tuple[Judged, ...]) -> Iterator[SideFinding]:
    """A fixture without a screw, a clamp or a grip on the board: what holds it there is not known, and so not judged.

    Pins do not hold: they say where the board lies. Once for all programs of a side, at the first; a fact that is
    missing follows from nothing that a text says.
    """
    first: dict[Fixture, Judged] = {}
    for program in programs:
        first.setdefault(program.setting.given, program)
    for fixture, program in first.items():
        if not fixture.holds_board:
            text = (
                f"nothing is given that holds the board on the {fixture.side}, so whether it holds is not judged. Give "
                f"{'turned_over(...)' if fixture.turned else 'the fixture'} screws=screws(...), clamps=[Clamp(...)] or "
                'grips=[Grip(area=..., by="tape")], by "vacuum" or by "vise", or accept this doubt.'
            )
            yield SideFinding(program.setting.name, Finding("nothing-holds", "doubt", 0, NOWHERE, 0.0, 0.0, text))
