"""Which course clears a room: of those that its shape allows, the one that is done soonest.

The seconds of a course are never fewer than its length at the cutter's feed. So a course that could not win even if
nothing slowed it down is not made at all.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from math import inf
from typing import Literal, NamedTuple

from toolpaths.base.errors import DoesNotFitError
from toolpaths.facts.cutter import Cutter
from toolpaths.facts.machine import Machine
from toolpaths.facts.way_down import fall
from toolpaths.making.motion.seconds import seconds_of
from toolpaths.making.motion.toolpath import CUT, RAPID, Move, Toolpath
from toolpaths.making.operations import rings
from toolpaths.making.operations.clearing.linked_course import Course, CourseSection, linked_course
from toolpaths.making.operations.clearing.loop_order import (
    Leg,
    LoopTree,
    inside_out,
    loop_trees,
    outside_in,
    without_first,
)
from toolpaths.making.operations.clearing.loops import Room
from toolpaths.making.operations.clearing.parallel_rows import least_rows, parallel
from toolpaths.making.operations.clearing.section_entry import SectionEntry, entry_into, helix_taking
from toolpaths.making.operations.clearing.slot_order import along_slots
from toolpaths.making.operations.clearing.spiral import shortest_spiral, spiral
from toolpaths.making.operations.entries import AreaEntry
from toolpaths.shapes.track import Segment, Track

# A course other than loops from the inside out, which meet the least wood at once, must take less than this share of
# their time.
_WORTH = 0.98
# Diameters of a row on which a cutter turns back at full feed.
_ROW = 5.0
Pattern = Literal["auto", "inside out", "outside in", "spiral", "parallel"]
PATTERNS: tuple[Pattern, ...] = ("auto", "inside out", "outside in", "spiral", "parallel")


@dataclass(frozen=True, slots=True, eq=False)
class CourseTerms:
    """What a course is chosen by.

    entry : as for pocket()
    grain_deg : the direction of the rows of parallel passes
    lift_s : seconds of a crossing over the top, from one place to another, the entry not counted
    through : whether it cuts right through, so that a core would come loose where the walls are cut first
    """

    cutter: Cutter
    machine: Machine
    pattern: Pattern
    entry: AreaEntry
    grain_deg: float
    lift_s: float
    through: bool = False

    @property
    def longest_link(self) -> float:
        """mm; over a floor a link may take longer than a lift by a way down into the wood, lest a cutter be lifted for
        little."""
        return (self.lift_s + self.down_s) * self.cutter.feed_mm_min / 60

    @property
    def down_s(self) -> float:
        """Seconds of a helix or a ramp into the wood, about."""
        return 60 * self.cutter.running.step_down / fall(self.cutter) / self.cutter.feed_mm_min


def soonest_courses(room: Room, terms: CourseTerms) -> list[Course]:
    """The courses of a room, one for each part of it whose loops hang together."""
    found = loop_trees(room)
    whole = len(found) == 1 and all(loop.track.closed for loop in room.loops)
    if terms.pattern == "parallel" and whole and not found[0].is_slots:
        rows = parallel(room, terms.grain_deg)
        if rows is not None:
            return [_linked(rows, room, terms, True)]
    return [_course(tree, room, terms, whole, len(found) == 1) for tree in found]


def _course(tree: LoopTree, room: Room, terms: CourseTerms, whole: bool, alone: bool) -> Course:
    if tree.is_slots:
        forth, back = along_slots(tree, room.radius, room.climb)
        course = _linked(forth, room, terms, alone)
        if back is None or course.sections[0].entry.kind != "along":
            return course
        return replace(course, back=_linked(back, room, terms, alone))
    if terms.pattern == "auto":
        return _soonest(tree, room, terms, whole, alone)
    return _linked(_of_pattern(tree, room, terms.pattern, whole), room, terms, alone)


def _of_pattern(tree: LoopTree, room: Room, pattern: Pattern, whole: bool) -> list[Leg]:
    """The course of a pattern that the user wants; wood in corners only is always followed from the inside out."""
    if pattern == "spiral" and whole:
        turns = spiral(tree, room)
        if turns is None:
            x, y = rings.placed_point(room.centres)
            raise DoesNotFitError(
                f"The loops near ({x:.1f}, {y:.1f}) do not lie one in one, so no spiral clears them; "
                "use pattern='auto', or 'inside out'.",
                (x, y),
            )
        return turns
    return outside_in(tree) if pattern == "outside in" and whole else inside_out(tree)


def _soonest(tree: LoopTree, room: Room, terms: CourseTerms, whole: bool, alone: bool) -> Course:
    """The course that is done soonest of those that find a way into the wood.

    Raises DoesNotFitError where none does.
    """
    if not whole or len(tree.loops) == 1:
        return _linked(inside_out(tree), room, terms, alone)
    feed = terms.cutter.feed_mm_min / 60
    best: _Timed | None = None
    refused: DoesNotFitError | None = None
    for candidate in _candidates(tree, room, terms):
        enough = inf if best is None else _WORTH * best.seconds
        if candidate.least >= enough or (candidate.walls_first and (terms.through or best is not None)):
            continue
        try:
            legs = candidate.legs((enough - terms.lift_s) * feed)
            if legs is None or (best is not None and _least_seconds(legs, terms) + terms.lift_s >= enough):
                continue
            course = _linked(legs, room, terms, alone)
        except DoesNotFitError as error:
            refused = refused or error
            continue
        seconds = _seconds(course, terms)
        if seconds < enough:
            best = _Timed(course, seconds)
    if best is None:
        raise refused or AssertionError("loops can always be followed from the inside out")
    return best.course


class _Timed(NamedTuple):
    course: Course
    seconds: float


class _Candidate(NamedTuple):
    """A course that may be done soonest.

    least : seconds below which it does not come
    legs : what makes it, None where it comes to more than so many mm
    walls_first : whether it cuts the walls first, in slots: only where no other finds a way in
    """

    least: float
    legs: Callable[[float], list[Leg] | None]
    walls_first: bool = False


def _candidates(tree: LoopTree, room: Room, terms: CourseTerms) -> list[_Candidate]:
    """The courses to try, in this order."""
    feed, grain, least = terms.cutter.feed_mm_min / 60, terms.grain_deg, least_rows(room, terms.grain_deg)
    turns = max(least.rows - 1, 0) * _turn_seconds(room.step, terms)

    def rows(longest: float) -> list[Leg] | None:
        return parallel(room, grain, longest - turns * feed)

    return [
        _Candidate(0.0, lambda _: inside_out(tree)),
        _Candidate(shortest_spiral(tree) / feed + terms.lift_s, lambda longest: spiral(tree, room, longest)),
        _Candidate(least.length / feed + turns + terms.lift_s, rows),
        _Candidate(0.0, lambda _: outside_in(tree), walls_first=True),
    ]


def _turn_seconds(step: float, terms: CourseTerms) -> float:
    """Seconds that it takes to turn from one row into the next, slowing down at both corners."""
    row = _ROW * terms.cutter.diameter
    back = [Segment((0.0, 0.0), (row, 0.0)), Segment((row, 0.0), (row, step)), Segment((row, step), (0.0, step))]
    return _level_seconds(back, terms) - _level_seconds([Segment((0.0, 0.0), (2 * row, 0.0))], terms)


def _linked(legs: Sequence[Leg], room: Room, terms: CourseTerms, alone: bool) -> Course:
    cutter = terms.cutter
    longest = terms.longest_link
    taking = None
    if terms.entry in ("auto", "helix") and room.air.is_empty:
        taking = helix_taking(legs, room, cutter)
    if taking is None:
        return linked_course(legs, room, longest, alone, lambda leg: entry_into(leg, room, cutter, terms.entry))
    count, entered, begun = taking
    left = without_first(legs, count)

    def begin(leg: Leg) -> tuple[SectionEntry, Track]:
        return (entered, begun) if leg is left[0] else entry_into(leg, room, cutter, terms.entry)

    return linked_course(left, room, longest, alone, begin)


def _seconds(course: Course, terms: CourseTerms) -> float:
    """Seconds of one level of a course."""
    return sum(
        _section_seconds(section, terms) + terms.lift_s + (terms.down_s if section.entry.into_wood else 0.0)
        for section in course.sections
    )


def _section_seconds(section: CourseSection, terms: CourseTerms) -> float:
    return _level_seconds(section.segments, terms)


def _least_seconds(legs: Sequence[Leg], terms: CourseTerms) -> float:
    """Seconds of legs, were there a straight link from each to the next."""
    segments: list[Segment] = []
    for leg in legs:
        if segments and segments[-1].end != leg.track.start:
            segments.append(Segment(segments[-1].end, leg.track.start))
        segments += leg.track.segments
    return _level_seconds(segments, terms)


def _level_seconds(segments: Sequence[Segment], terms: CourseTerms) -> float:
    x, y = segments[0].start
    feed = terms.cutter.feed_mm_min
    moves = [Move(CUT, *segment.end, 0.0, feed, segment.centre, segment.sweep) for segment in segments]
    return seconds_of(Toolpath(terms.cutter, (Move(RAPID, x, y, 0.0), *moves)), terms.machine)
