"""The holes of the dowels that register the board once it is turned over, measured in the moves themselves.

The pin stands in the board over all of its thickness, and in the spoilboard as deep as it is meant to: so deep the hole
has its full width, and the point of a drill is below that.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import NamedTuple

import numpy as np
from shapely import Point

from toolpaths.base.checks import Floats
from toolpaths.facts.board import Dowel
from toolpaths.judging.checks.between_sides.hole_sections import DIRECTIONS, Section, section_at, sections_between
from toolpaths.judging.checks.between_sides.round_holes import holes_of
from toolpaths.judging.checks.part.laid_wrong import found_laid_wrong
from toolpaths.judging.job_programs import Judged
from toolpaths.judging.job_report import SideFinding
from toolpaths.judging.trial.case import Case
from toolpaths.judging.trial.exact_heights import cut_at, first_below
from toolpaths.judging.trial.findings import ROUNDING, SHAVING, Finding
from toolpaths.judging.wood.paths import boxes_near

# mm beyond the pin within which the wall is looked for.
_BEYOND = 2.0
# mm below the face, and share of the board's thickness, down to which the mouth of a hole may be eased so that the pin
# finds its way in (common practice, no source).
_EASED, _EASED_SHARE = 2.0, 0.25


class Bored(NamedTuple):
    """A dowel's hole as it is made, mm, over all the height in which its pin stands.

    away : of its centre from where the dowel is to stand, at its worst where it is not too wide, and in which direction
        (x, y)
    narrowest, widest : across its centre, in the board
    wide_to : how far below the face it is too wide for the pin; 0 where it holds it
    widened : the program that makes it too wide, and on which lines
    in_spoilboard : narrowest as deep in the spoilboard as the pin has to go, above the point of what made it
    full_to : how deep in the spoilboard it is wide enough for the pin
    below : how deep the tip goes into the spoilboard at the dowel's place; negative if not through
    side, lines, place : where it is made, as the program counts
    """

    away: float
    direction: tuple[float, float]
    narrowest: float
    widest: float
    wide_to: float
    widened: tuple[str, tuple[int, ...]]
    in_spoilboard: float
    full_to: float
    below: float
    side: str
    lines: tuple[int, ...]
    place: tuple[float, float, float]


def dowel_holes(programs: tuple[Judged, ...]) -> Iterator[SideFinding]:
    """A dowel on which the board lies once it is turned, whose hole the first side does not make as it should."""
    first, used = registered(programs)
    if not used:
        return
    fixture = first[0].setting.fixture
    holes = [measured(first, dowel) for dowel in used]
    if not any(map(_through, holes)) and _made_by_the_back(programs[len(first) :], used):
        yield SideFinding("", found_laid_wrong(
            f"no hole of the {len(used)} pins is made before the board is turned over, and all of them after it: front "
            "and back are exchanged. See that each program is run on its own side."
        ))  # fmt: skip
        return
    for dowel, bored in zip(used, holes, strict=True):
        who = f"the dowel of {dowel.diameter:g} at X{dowel.x:g} Y{dowel.y:g} (seen from the front)"
        if bored is None:
            names = {program.setting.name for program in first}
            place = fixture.place(Point(dowel.x, dowel.y))
            at = first[0].case.point(place.x, place.y, 0.0)
            finding = Finding(
                "dowel-hole", "danger", 0, at, 0.0, dowel.diameter,
                f"no hole is made for {who}{_nearest(first, dowel)}; bore it {dowel.diameter:g} wide and "
                f"{dowel.depth:g} mm into the spoilboard.",
            )  # fmt: skip
            yield SideFinding(names.pop() if len(names) == 1 else "", finding)
            continue
        for amount, limit, text in _faults(bored, dowel):
            side, lines = bored.widened if bored.wide_to and amount == bored.widest else (bored.side, bored.lines)
            finding = Finding(
                "dowel-hole", "danger", lines[0], bored.place, amount, limit, f"the hole for {who} {text}", 1, lines
            )
            yield SideFinding(side, finding)


def registered(programs: tuple[Judged, ...]) -> tuple[list[Judged], list[Dowel]]:
    """The programs that come before the board is turned over, and the dowels on which it then lies."""
    turn = next((n for n, program in enumerate(programs) if program.setting.fixture.turned), 0)
    if not turn:
        return [], []  # A back that is cut first stands on pins already; their holes are none of this job.
    first = list(programs[:turn])
    given = {dowel for program in programs[turn:] for dowel in program.setting.given.dowels}
    if any(program.case.program.errors or program.laid_wrong for program in first):
        return [], []  # A hole may stand in what could not be read, or elsewhere; that is a finding already.
    mine = dict.fromkeys(dowel for program in first for dowel in program.setting.given.dowels)
    used = [d for d in mine if any(np.hypot(d.x - o.x, d.y - o.y) <= d.hole_may_miss for o in given)]
    return first, used


def _made_by_the_back(after: tuple[Judged, ...], used: list[Dowel]) -> bool:
    """Whether the programs that are run once the board is turned over make the holes of all pins, right through."""
    turned = [program for program in after if program.setting.fixture.turned]
    return all(_through(measured(turned, dowel)) for dowel in used)


def _through(bored: Bored | None) -> bool:
    return bored is not None and bored.below >= ROUNDING


def _faults(bored: Bored, dowel: Dowel) -> Iterator[tuple[float, float, str]]:
    if bored.below < ROUNDING:
        yield (
            -bored.below, 0.0,
            f"ends {max(-bored.below, 0.0):.2f} mm above the underside; it has to go through and {dowel.depth:g} mm "
            "into the spoilboard.",
        )  # fmt: skip
        return
    allowed = dowel.hole_may_miss
    if bored.away > allowed:
        dx, dy = bored.direction
        yield (
            bored.away, allowed,
            f"is {bored.away:.2f} mm off its place ({dx:+.2f} in X, {dy:+.2f} in Y as the board lies), {allowed:g} mm "
            "is allowed.",
        )  # fmt: skip
    if bored.below < dowel.shallowest_hole:
        yield (
            bored.below, dowel.depth,
            f"goes {bored.below:.2f} mm into the spoilboard, the dowel is to stand {dowel.depth:g} mm deep in it.",
        )  # fmt: skip
    elif bored.narrowest < dowel.narrowest_hole:
        yield bored.narrowest, dowel.diameter, f"is {bored.narrowest:.2f} mm wide; the pin does not go in."
    elif bored.in_spoilboard < dowel.narrowest_hole:
        yield (
            bored.in_spoilboard, dowel.diameter,
            f"is only {bored.in_spoilboard:.2f} mm wide in the spoilboard; the pin does not go in.",
        )  # fmt: skip
    elif bored.full_to < dowel.shallowest_hole - ROUNDING:
        yield (
            bored.full_to, dowel.depth,
            f"has its full width only {bored.full_to:.2f} mm deep in the spoilboard, and a point below that; the dowel "
            f"is to stand {dowel.depth:g} mm deep in it.",
        )  # fmt: skip
    if bored.widest > dowel.widest_hole + ROUNDING:
        wide = f"{bored.widest:.2f} mm" if bored.widest < dowel.diameter + 2 * _BEYOND - SHAVING else "far too"
        yield (
            bored.widest, dowel.widest_hole,
            f"is {wide} wide down to {bored.wide_to:.1f} mm below the face, {dowel.widest_hole:g} mm is the most that "
            f"holds the pin; 0.02 to 0.1 mm more than the pin is usual. The mouth may be eased {_EASED:g} mm deep.",
        )  # fmt: skip


def measured(first: list[Judged], dowel: Dowel) -> Bored | None:
    """The hole over a dowel's place, out of all programs of the first side; None if nothing cuts there."""
    fixture = first[0].setting.fixture
    floor = fixture.underside_z
    centre = fixture.place(Point(dowel.x, dowel.y))
    here = np.array([[centre.x, centre.y]])
    cases = [_about(program.case, here[0], dowel.diameter / 2 + 2 * _BEYOND) for program in first]
    deepest = [cut_at(case, here) for case in cases]
    number = int(np.argmin([low[0] for low, _ in deepest]))
    low, move = float(deepest[number][0][0]), int(deepest[number][1][0])
    if not np.isfinite(low):
        return None
    case = cases[number]
    x, y, z = case.ends(np.array([move]))[0].tolist()
    deep = case.moves.line[case.moves.low <= low + ROUNDING].tolist()
    lines = tuple(dict.fromkeys([int(case.moves.line[move]), *deep]))
    named = first[number].setting.name, lines, (x, y, z)
    if floor - low < ROUNDING:
        return Bored(0.0, (0.0, 0.0), 0.0, 0.0, 0.0, ("", ()), 0.0, 0.0, floor - low, *named)
    farthest = dowel.diameter / 2 + _BEYOND
    # Turned over, the board lies on the highest wood of its face.
    face = float(first[-1].trial.after.top.max())
    mouth = face - min(_EASED, _EASED_SHARE * fixture.board.thickness)
    underside = section_at(cases, here[0], farthest, floor + ROUNDING)
    eased = section_at(cases, here[0], farthest, mouth - ROUNDING, underside)
    in_board = sections_between(cases, here[0], eased, underside)
    low = min(float(cut_at(case, here + underside.middle)[0][0]) for case in cases)
    # The point of a drill, sharp as it may be, is not to count as a narrow hole.
    point = min(case.cutters[int(case.moves.tool[move])].profile.tip_height, dowel.diameter / 2)
    pin_end = floor - dowel.shallowest_hole
    end = min(max(pin_end, low + point) + ROUNDING, floor)
    below = sections_between(cases, here[0], underside, section_at(cases, here[0], farthest, end, underside))[1:]
    sections = [*in_board, *below]
    too_wide = [section for section in sections if section.widest > dowel.widest_hole + ROUNDING]
    fitting = [section.middle for section in sections if section.widest <= dowel.widest_hole + ROUNDING] or [
        underside.middle
    ]
    dx, dy = max(fitting, key=lambda middle: float(np.hypot(*middle))).tolist()
    wide_to = max((face - section.level for section in too_wide), default=0.0)
    widened = _widened_by(first, cases, here[0], too_wide[0], dowel) if too_wide else ("", ())
    return Bored(
        float(np.hypot(dx, dy)), (dx, dy), min(section.narrowest for section in in_board),
        max(section.widest for section in in_board), wide_to, widened,
        min(section.narrowest for section in below), floor - _full_to(cases, here[0], underside, pin_end, dowel),
        floor - low, *named,
    )  # fmt: skip


def _full_to(cases: list[Case], centre: Floats, underside: Section, pin_end: float, dowel: Dowel) -> float:
    """Z down to which a hole is wide enough for its pin, from the underside of the board to the end of the pin."""

    def wide(z: float) -> bool:
        return section_at(cases, centre, underside.farthest, z, underside).narrowest >= dowel.narrowest_hole

    high, low = underside.level, pin_end
    if wide(low + ROUNDING):
        return low
    while high - low > SHAVING:
        middle = (low + high) / 2
        high, low = (middle, low) if wide(middle) else (high, middle)
    return high


def _widened_by(
    first: list[Judged], cases: list[Case], centre: Floats, section: Section, dowel: Dowel
) -> tuple[str, tuple[int, ...]]:
    """The program that first cuts the hole to where it is too wide for its pin, and the lines that do it."""
    far = np.hypot(*(section.walls - section.middle).T) > dowel.widest_hole / 2
    places = (centre + section.walls - SHAVING * DIRECTIONS)[far]
    for program, case in zip(first, cases, strict=True):
        moves = first_below(case, places, np.full(len(places), section.level + ROUNDING))
        if (moves >= 0).any():
            return program.setting.name, tuple(dict.fromkeys(case.moves.line[np.sort(moves[moves >= 0])].tolist()))
    return first[0].setting.name, (0,)


def _about(case: Case, centre: Floats, within: float) -> Case:
    """The case with only those moves that may cut so near to a place: it is looked at many times."""
    reach = within + max(cutter.radius for cutter in case.cutters.values())
    near = (case.moves.low < 0) & boxes_near(case.moves.box, float(centre[0]), float(centre[1]), reach)
    return replace(case, moves=case.moves.some(np.flatnonzero(near)))


def _nearest(first: list[Judged], dowel: Dowel) -> str:
    """The nearest hole through the board, in words, or nothing if there is none."""
    underside = first[0].setting.fixture.underside_z
    found = []
    for program in first:
        holes = holes_of(program.case)
        deep = -holes.depth < underside
        for x, y in program.setting.fixture.seen_from_front(np.stack([holes.x, holes.y], axis=1)[deep]).tolist():
            found.append((float(np.hypot(x - dowel.x, y - dowel.y)), x, y))
    if not found:
        return ""
    away, x, y = min(found)
    return f"; the nearest hole through the board is {away:.2f} mm away, at X{x:.3f} Y{y:.3f} seen from the front"
