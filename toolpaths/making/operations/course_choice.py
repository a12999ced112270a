"""Which course clears a region: of those that its shape allows, the one that is done soonest.

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
from toolpaths.making.operations import ring as rounds
from toolpaths.making.operations.clearing import Region
from toolpaths.making.operations.courses import Group, Stroke, groups, inside_out, outside_in
from toolpaths.making.operations.links import Chain, Strung, string
from toolpaths.making.operations.rows import parallel, shortest_rows
from toolpaths.making.operations.spiral import shortest_spiral, spiral
from toolpaths.making.operations.ways_in import way_in

# A course other than loops from the inside out, which meet the least wood at once, must take less than this share of
# their time.
_WORTH = 0.98
Pattern = Literal["auto", "inside out", "outside in", "spiral", "parallel"]
PATTERNS: tuple[Pattern, ...] = ("auto", "inside out", "outside in", "spiral", "parallel")


@dataclass(frozen=True, slots=True, eq=False)
class CourseTerms:
    """What a course is chosen by.

    pattern : one of PATTERNS
    entry : as for pocket()
    grain_deg : the direction of the rows of parallel passes
    lift_s : seconds of a crossing over the top, from one place to another, the entry not counted
    through : whether it cuts right through, so that a core would come loose where the walls are cut first
    """

    cutter: Cutter
    machine: Machine
    pattern: str
    entry: str
    grain_deg: float
    lift_s: float
    through: bool = False


def soonest_courses(region: Region, terms: CourseTerms) -> list[Strung]:
    """The courses of a region, one for each part of it whose loops hang together."""
    found = groups(region)
    whole = len(found) == 1 and all(loop.track.closed for loop in region.loops)
    if terms.pattern == "auto":
        return [_soonest(group, region, terms, whole, len(found) == 1) for group in found]
    if terms.pattern == "parallel" and whole:
        rows = parallel(region, terms.grain_deg)
        if rows is not None:
            return [_strung(rows, region, terms, True)]
    alone = len(found) == 1
    return [_strung(_of_pattern(group, region, terms.pattern, whole), region, terms, alone) for group in found]


def _of_pattern(group: Group, region: Region, pattern: str, whole: bool) -> list[Stroke]:
    """The course of a pattern that the user wants; wood in corners only is always followed from the inside out."""
    if pattern == "spiral" and whole:
        turns = spiral(group, region)
        if turns is None:
            x, y = rounds.placed_point(region.centres)
            raise DoesNotFitError(
                f"The loops near ({x:.1f}, {y:.1f}) do not lie one in one, so no spiral clears them; "
                "use pattern='auto', or 'inside out'.",
                (x, y),
            )
        return turns
    return outside_in(group) if pattern == "outside in" and whole else inside_out(group)


def _soonest(group: Group, region: Region, terms: CourseTerms, whole: bool, alone: bool) -> Strung:
    """The course that is done soonest of those that find a way into the wood.

    Raises DoesNotFitError where none does.
    """
    if not whole:
        return _strung(inside_out(group), region, terms, alone)
    feed = terms.cutter.feed_mm_min / 60
    best, soonest = None, inf
    refused: DoesNotFitError | None = None
    for shortest, walls_first, make in _candidates(group, region, terms):
        if (terms.through and walls_first) or shortest / feed >= _WORTH * soonest:
            continue
        try:
            course = make()
            strung = None if course is None else _strung(course, region, terms, alone)
        except DoesNotFitError as error:
            refused = refused or error
            continue
        seconds = inf if strung is None else _seconds(strung, terms)
        if seconds < _WORTH * soonest:
            best, soonest = strung, seconds
    if best is None:
        raise refused or AssertionError("loops can always be followed from the inside out")
    return best


def _candidates(
    group: Group, region: Region, terms: CourseTerms
) -> list[tuple[float, bool, Callable[[], list[Stroke] | None]]]:
    """(mm below which its length does not come, whether it cuts the walls first, what makes it) of each course."""
    loops = sum(loop.track.length for loop in group.loops)
    return [
        (0.0, False, lambda: inside_out(group)),
        (loops, True, lambda: outside_in(group)),
        (shortest_spiral(group), False, lambda: spiral(group, region)),
        (shortest_rows(region), True, lambda: parallel(region, terms.grain_deg)),
    ]


def _strung(strokes: Sequence[Stroke], region: Region, terms: CourseTerms, alone: bool) -> Strung:
    cutter = terms.cutter
    longest = terms.lift_s * cutter.feed_mm_min / 60
    return string(strokes, region, longest, alone, lambda stroke: way_in(stroke, region, cutter, terms.entry))


def _seconds(strung: Strung, terms: CourseTerms) -> float:
    """Seconds of one level of a course."""
    return sum(_chain_seconds(chain, terms) + terms.lift_s for chain in strung.chains)


def _chain_seconds(chain: Chain, terms: CourseTerms) -> float:
    x, y = chain.segments[0].start
    feed = terms.cutter.feed_mm_min
    moves = [Move(CUT, *segment.end, 0.0, feed, segment.centre, segment.sweep) for segment in chain.segments]
    return seconds_of(Toolpath(terms.cutter, (Move(RAPID, x, y, 0.0), *moves)), terms.machine)
