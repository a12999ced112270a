"""Sides on which nothing that holds the board was given, or nothing that holds it yet when it is first cut."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from toolpaths.facts.fixture import Fixture
from toolpaths.judging.job_programs import Judged
from toolpaths.judging.job_report import SideFinding
from toolpaths.judging.trial.case import Case
from toolpaths.judging.trial.findings import NOWHERE, ROUNDING, Finding
from toolpaths.judging.trial.screw_stops import ScrewStop
from toolpaths.judging.wood.sweep import Ints


def nothing_holds(programs: tuple[Judged, ...]) -> Iterator[SideFinding]:
    """A fixture without a screw, a clamp or a grip on the board: what holds it there is not known, and so not judged.
    Or one whose only screws are driven at a stop before which the board is cut sideways, or drilled while nothing is
    said to hold it meanwhile: a drill lifts the board and turns it about itself as it breaks through (common practice,
    no source).

    Pins do not hold: they say where the board lies. Once for all programs of a side, at the first; a fact that is
    missing follows from nothing that a text says.
    """
    sides: dict[Fixture, list[Judged]] = {}
    for program in programs:
        sides.setdefault(program.setting.given, []).append(program)
    for fixture, mine in sides.items():
        if fixture.holds_board:
            yield from _not_yet(mine)
        else:
            text = (
                f"nothing is given that holds the board on the {fixture.side}, so whether it holds is not judged. Give "
                f"{'turned_over(...)' if fixture.turned else 'the fixture'} screws=screws(...), clamps=[Clamp(...)] or "
                'grips=[Grip(area=..., by="tape")], by "vacuum" or by "vise", or accept this doubt.'
            )
            yield SideFinding(mine[0].setting.name, Finding("nothing-holds", "doubt", 0, NOWHERE, 0.0, 0.0, text))


def _not_yet(programs: list[Judged]) -> Iterator[SideFinding]:
    """The first sideways cut of a side before its first screw may hold, else the first of all cuts there, unless it is
    said what holds meanwhile; a stop that never comes is said elsewhere."""
    drilled = None
    for program in programs:
        case = program.case
        first = _first_screws(case)
        if first is None:
            return
        sideways, every = (moves[moves < first.stands] for moves in (_cut_sideways(case), _cutting(case)))
        if len(sideways):
            yield SideFinding(program.setting.name, _found(case, int(sideways[0]), first, _SIDEWAYS))
            return
        if drilled is None and len(every) and not case.fixture.held_meanwhile:
            drilled = SideFinding(program.setting.name, _found(case, int(every[0]), first, _DRILLED))
    if drilled is not None:
        yield drilled


def _first_screws(case: Case) -> ScrewStop | None:
    """The stop from which on something holds; None where something does from the start, or never does."""
    stops = [case.screw_stops[thing.driven_at] if thing.driven_at else None for thing in case.fixture.holding]
    driven = [stop for stop in stops if stop is not None and stop.stop is not None]
    return None if None in stops or not driven else min(driven, key=lambda stop: stop.stands)


_SIDEWAYS = (
    "cut sideways",
    "Cut after it, and before it only what is drilled or bored; or give the clamps or grips that hold the board until "
    "then, or accept this doubt.",
)
_DRILLED = (
    "drilled",
    'Say what holds it until then, as held_meanwhile="clamps at both ends" of the fixture, or give clamps or grips, '
    "or accept this doubt.",
)


def _found(case: Case, move: int, first: ScrewStop, said: tuple[str, str]) -> Finding:
    line = int(case.moves.line[move])
    x, y, z = case.ends(np.array([move]))[0].tolist()
    assert first.stop is not None
    where = f"on line {first.stop.event.line}" if first.driven == "here" else f"of {_an(first.driven)} program"
    return Finding(
        "nothing-holds", "doubt", line, (x, y, z), 0.0, 0.0,
        f"the board is {said[0]} while nothing holds it yet: the first of its screws is driven at the stop "
        f"'{first.message}' {where}. {said[1]}",
        1, (line,),
    )  # fmt: skip


def _an(which: str) -> str:
    return f"{'an' if which == 'earlier' else 'a'} {which}"


def _cutting(case: Case) -> Ints:
    return np.flatnonzero(case.moves.feeding() & (case.moves.low < -ROUNDING))


def _cut_sideways(case: Case) -> Ints:
    """Moves that cut the board on the way sideways, but for those that drill or bore a hole.

    A hole is bored where the axis, from going into the board until it leaves it, stays within the cutter's own width.
    """
    moves, which = case.moves, _cutting(case)
    if not len(which):
        return which
    first = np.flatnonzero((np.diff(which, prepend=-2) > 1) | (np.diff(moves.tool[which], prepend=-1) != 0))
    left, right, low, high = moves.box[:, which]
    wide, deep = (
        np.maximum.reduceat(most, first) - np.minimum.reduceat(least, first)
        for least, most in ((left, right), (low, high))
    )
    hole = np.maximum(wide, deep) <= 2 * case.radii(which[first]) + ROUNDING
    count = np.diff(first, append=len(which))
    return which[~np.repeat(hole, count) & ~moves.upright[which]]
