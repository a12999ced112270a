"""Which course clears a room: of those that its shape allows, the one that is done soonest.

The seconds of a course are never fewer than its length at the cutter's feed. So a course that could not win even if
nothing slowed it down is not made at all.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from math import inf
from typing import Literal

from toolpaths.base.errors import DoesNotFitError
from toolpaths.facts.cutter import Cutter
from toolpaths.facts.machine import Machine
from toolpaths.making.motion.seconds import seconds_of
from toolpaths.making.motion.toolpath import CUT, RAPID, Move, Toolpath
from toolpaths.making.operations import rings
from toolpaths.making.operations.clearing.linked_course import Course, CourseSection, linked_course
from toolpaths.making.operations.clearing.loop_order import Leg, LoopTree, inside_out, loop_trees, outside_in
from toolpaths.making.operations.clearing.loops import Room
from toolpaths.making.operations.clearing.parallel_rows import parallel, shortest_rows
from toolpaths.making.operations.clearing.section_entry import entry_into
from toolpaths.making.operations.clearing.spiral import shortest_spiral, spiral
from toolpaths.making.operations.entries import AreaEntry

# A course other than loops from the inside out, which meet the least wood at once, must take less than this share of
# their time.
_WORTH = 0.98
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


def soonest_courses(room: Room, terms: CourseTerms) -> list[Course]:
    """The courses of a room, one for each part of it whose loops hang together."""
    found = loop_trees(room)
    whole = len(found) == 1 and all(loop.track.closed for loop in room.loops)
    if terms.pattern == "auto":
        return [_soonest(tree, room, terms, whole, len(found) == 1) for tree in found]
    if terms.pattern == "parallel" and whole:
        rows = parallel(room, terms.grain_deg)
        if rows is not None:
            return [_linked(rows, room, terms, True)]
    alone = len(found) == 1
    return [_linked(_of_pattern(tree, room, terms.pattern, whole), room, terms, alone) for tree in found]


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
    if not whole:
        return _linked(inside_out(tree), room, terms, alone)
    feed = terms.cutter.feed_mm_min / 60
    best, soonest = None, inf
    refused: DoesNotFitError | None = None
    for shortest, walls_first, make in _candidates(tree, room, terms):
        if (terms.through and walls_first) or shortest / feed >= _WORTH * soonest:
            continue
        try:
            legs = make()
            course = None if legs is None else _linked(legs, room, terms, alone)
        except DoesNotFitError as error:
            refused = refused or error
            continue
        seconds = inf if course is None else _seconds(course, terms)
        if seconds < _WORTH * soonest:
            best, soonest = course, seconds
    if best is None:
        raise refused or AssertionError("loops can always be followed from the inside out")
    return best


def _candidates(
    tree: LoopTree, room: Room, terms: CourseTerms
) -> list[tuple[float, bool, Callable[[], list[Leg] | None]]]:
    """(mm below which its length does not come, whether it cuts the walls first, what makes it) of each course."""
    loops = sum(loop.track.length for loop in tree.loops)
    return [
        (0.0, False, lambda: inside_out(tree)),
        (loops, True, lambda: outside_in(tree)),
        (shortest_spiral(tree), False, lambda: spiral(tree, room)),
        (shortest_rows(room), True, lambda: parallel(room, terms.grain_deg)),
    ]


def _linked(legs: Sequence[Leg], room: Room, terms: CourseTerms, alone: bool) -> Course:
    cutter = terms.cutter
    longest = terms.lift_s * cutter.feed_mm_min / 60
    return linked_course(legs, room, longest, alone, lambda leg: entry_into(leg, room, cutter, terms.entry))


def _seconds(course: Course, terms: CourseTerms) -> float:
    """Seconds of one level of a course."""
    return sum(_section_seconds(section, terms) + terms.lift_s for section in course.sections)


def _section_seconds(section: CourseSection, terms: CourseTerms) -> float:
    x, y = section.segments[0].start
    feed = terms.cutter.feed_mm_min
    moves = [Move(CUT, *segment.end, 0.0, feed, segment.centre, segment.sweep) for segment in section.segments]
    return seconds_of(Toolpath(terms.cutter, (Move(RAPID, x, y, 0.0), *moves)), terms.machine)
