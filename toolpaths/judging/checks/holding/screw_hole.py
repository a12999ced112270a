"""Screws and the holes that are made for them: each says the same thing once more, so they are compared."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import NamedTuple

import numpy as np
import shapely
from shapely import Point

from toolpaths.base.checks import Floats
from toolpaths.facts.hold_down import HoldDown
from toolpaths.judging.checks.between_sides.round_holes import holes_of
from toolpaths.judging.checks.meeting.hold_downs import first_meeting
from toolpaths.judging.trial.case import Case, Trial
from toolpaths.judging.trial.findings import ROUNDING, Finding
from toolpaths.judging.wood.sweep import Flags, Ints

# mm that a hole may lie off the axis of its screw: by so much a screw that is driven by hand is off anyway (common
# practice, no source).
_OFF = 0.25
# mm by which a hole may be wider than the thread that is to hold in it (common practice, no source).
_THREAD = 0.1


class _Holes(NamedTuple):
    """Round holes that are there when some screws are driven, as the board lies.

    place : (n, 2); radius, depth : (n,) mm, at the top and below it
    line : (n,) of this program; 0 for a hole of another
    """

    place: Floats
    radius: Floats
    depth: Floats
    line: Ints


def screw_holes(trial: Trial) -> Iterator[Finding]:
    """Of screws that go into holes one has none, or has it beside its axis; or a hole in which it does not hold."""
    if trial.before.top_cuts is None or trial.before.bottom_cuts is None:
        return
    for message, screws in _groups(trial).items():
        holes = _holes(trial, trial.case.stands_from(screws[0]))
        yield from _missing(trial, message, screws, holes)
        for screw in screws:
            yield from _too_wide(trial, screw, holes)
        yield from _too_long(trial.case, screws)


def _groups(trial: Trial) -> dict[str, list[HoldDown]]:
    """By message, the screws that this program has driven, and under "" those that are there before it begins, where
    no program before it has been judged with them."""
    case = trial.case
    found: dict[str, list[HoldDown]] = {}
    again = any(earlier.fixture == case.fixture for earlier in trial.before.top_cuts or ())
    for thing in case.fixture.standing():
        if thing.kind != "screw":
            continue
        stop = case.screw_stops[thing.driven_at] if thing.driven_at else None
        if stop.driven == "here" if stop else not again:
            found.setdefault(thing.driven_at, []).append(thing)
    return found


def _holes(trial: Trial, before: int) -> _Holes:
    """All round holes that are made before a move, by this program and by those before it."""
    case = trial.case
    until_then = replace(case, moves=case.moves.some(np.arange(before)))
    made = [(by, False) for by in (*(trial.before.top_cuts or ()), until_then)]
    made += [(by, True) for by in trial.before.bottom_cuts or ()]
    columns = [(np.empty((0, 2)), np.empty(0), np.empty(0), np.empty(0, np.int64))]
    for by, from_below in made:
        holes = holes_of(by)
        place = np.stack([holes.x, holes.y], axis=1)
        if from_below:
            place = case.fixture.seen_from_front(by.fixture.seen_from_front(place))
        there = holes.depth >= -by.fixture.underside_z - ROUNDING if from_below else holes.depth > 0
        line = by.moves.line[holes.move] if by is until_then else np.zeros(len(holes.move), np.int64)
        columns.append((place[there], holes.radius[there], holes.depth[there], line[there]))
    return _Holes(*(np.concatenate(column) for column in zip(*columns, strict=True)))


def _missing(trial: Trial, message: str, screws: list[HoldDown], holes: _Holes) -> Iterator[Finding]:
    """Screws whose fellows have holes, and those beside whose axis there is one."""
    at = np.array([[screw.x, screw.y] for screw in screws])
    away = np.hypot(*np.moveaxis(at[:, None] - holes.place[None], 2, 0))
    head = np.array([screw.radius for screw in screws])
    fits = holes.radius[None] < head[:, None]
    under = (fits & (away <= _OFF)).any(axis=1)
    beside = (fits & (away < head[:, None])).any(axis=1) & ~under
    meant = under.any() or any(_is_meant(trial, screw) for screw in screws)
    wanting = np.flatnonzero(~under & (beside | meant))
    if not len(wanting):
        return
    free = ~(fits & (away <= _OFF)).any(axis=0)
    if under.any():
        free &= _like(holes, (fits & (away <= _OFF))[under].any(axis=0))
    found = [_wanting(trial, screws[i], holes, np.where(free & fits[i], away[i], np.inf)) for i in wanting.tolist()]
    yield _folded(trial, message, bool(meant), len(screws), found)


class _Wanting(NamedTuple):
    """A screw without a hole under it.

    off : mm to the hole that is likely meant for it, inf if there is none
    line : of that hole, 0 if there is none in this program
    meets : whether the cutter meets the head if the screw is driven into that hole
    """

    screw: HoldDown
    off: float
    text: str
    line: int
    meets: bool


def _wanting(trial: Trial, screw: HoldDown, holes: _Holes, away: Floats) -> _Wanting:
    nearest = int(np.argmin(away)) if len(away) else -1
    if nearest < 0 or not np.isfinite(away[nearest]):
        return _Wanting(screw, np.inf, f"{screw.name} has no hole under it", 0, False)
    x, y = holes.place[nearest].tolist()
    met = first_meeting(trial.case, replace(screw, x=x, y=y))
    seen_x, seen_y = trial.case.fixture.seen_from_front(holes.place[[nearest]])[0].tolist()
    text = (
        f"{screw.name} has no hole under it; one that may be meant for it lies {away[nearest]:.2f} mm beside its axis, "
        f"at X{seen_x:.3f} Y{seen_y:.3f}"
    )
    if met is not None:
        text += f", and driven there its head is in the way on line {int(trial.case.moves.line[met])}"
    return _Wanting(screw, float(away[nearest]), text, int(holes.line[nearest]), met is not None)


def _folded(trial: Trial, message: str, meant: bool, count: int, found: list[_Wanting]) -> Finding:
    """One finding for the screws of a stop; those that are there from the start may be meant as they are, and so may
    one beside a hole, where no other goes into one."""
    case = trial.case
    worst = min(found, key=lambda each: (not each.meets, each.off))
    stop = case.screw_stops[message].stop if message else None
    more = f", and {len(found) - 1} more of {count} have none" if len(found) > 1 else ""
    lines = tuple(dict.fromkeys(each.line for each in (worst, *found) if each.line))
    if not lines and stop is not None:
        lines = (stop.event.line,)
    severity = "doubt" if not (message and meant) else "danger" if worst.meets else "damage"
    return Finding(
        "screw-hole", severity, lines[0] if lines else 0, case.point(worst.screw.x, worst.screw.y, 0.0),
        worst.off if np.isfinite(worst.off) else 0.0, _OFF,
        f"{worst.text}{more}. Drill it where the screw is said to go, or say where that is.",
        max(len(lines), 1), lines,
    )  # fmt: skip


def _like(holes: _Holes, fellows: Flags) -> Flags:
    """(n,) holes as wide as some of those that do lie under a screw."""
    wide = holes.radius[fellows]
    return np.asarray((np.abs(holes.radius[:, None] - wide[None]) <= _THREAD).any(axis=1))


def _is_meant(trial: Trial, screw: HoldDown) -> bool:
    """Whether the part says that there is a hole where a screw goes, from this side or right through."""
    if trial.part is None:
        return False
    fixture = trial.case.fixture
    at, mine = fixture.place(Point(screw.x, screw.y)), trial.part.cut_from(fixture.side)
    return any(
        feature.hole
        and (feature in mine or feature.floor(fixture.underside_z) <= fixture.underside_z)
        and bool(shapely.distance(feature.shape, at) <= _OFF)
        for feature in (*trial.part.front, *trial.part.back)
    )


def _too_wide(trial: Trial, screw: HoldDown, holes: _Holes) -> Iterator[Finding]:
    """A hole that its head goes through, or in which its thread finds no wood."""
    case, thickness = trial.case, -trial.case.fixture.underside_z
    under = np.flatnonzero(np.hypot(*(holes.place - [screw.x, screw.y]).T) <= _OFF)
    if not len(under):
        return
    # Of a hole in steps the deepest is the one that the thread is in.
    hole = under[np.argmax(holes.depth[under])]
    wide, deep, line = 2 * float(holes.radius[hole]), float(holes.depth[hole]), int(holes.line[hole])
    through = deep >= thickness - ROUNDING
    said = ""
    if through and wide >= 2 * screw.radius - ROUNDING:
        said = f"its head is {2 * screw.radius:g} mm wide, and goes through it: it holds nothing"
    elif screw.shank_diameter is not None and wide > screw.shank_diameter + _THREAD:
        bite = None if screw.length is None else screw.length - max(deep, thickness if through else 0.0)
        if bite is not None and bite <= 0:
            said = f"its thread is {screw.shank_diameter:g} mm wide, and it ends {-bite:.2f} mm above the hole's bottom"
    if said:
        yield Finding(
            "screw-hole", "danger", line, case.point(screw.x, screw.y, 0.0), wide, 2 * screw.radius,
            f"the hole for {screw.name} is {wide:.2f} mm wide; {said}. Drill it narrower.", 1, (line,) if line else (),
        )  # fmt: skip


def _too_long(case: Case, screws: list[HoldDown]) -> Iterator[Finding]:
    """Screws whose points come out below the spoilboard."""
    fixture = case.fixture
    if fixture.spoilboard_thickness is None:
        return
    deep = fixture.spoilboard_thickness - fixture.underside_z
    long = [screw for screw in screws if screw.length is not None and screw.length > deep]
    if long:
        worst = max(long, key=lambda screw: screw.length or 0.0)
        yield Finding(
            "screw-hole", "doubt", 0, case.point(worst.x, worst.y, 0.0), worst.length or 0.0, deep,
            f"{worst.name} is {worst.length:g} mm long, board and spoilboard are {deep:g} mm thick: its point comes "
            "out below. Take shorter ones.",
        )  # fmt: skip
