"""Places proposed for hold-down screws: in the waste, off every cutter, spread, and judged by what they hold."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import partial

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from toolpaths.base.checks import Floats, distance, flag, label_or_empty, optional, whole
from toolpaths.base.errors import DoesNotFitError, InputError, Point
from toolpaths.base.values import PickledByFields, in_a_line
from toolpaths.facts.board import Screw, screws
from toolpaths.facts.cutter import Cutter
from toolpaths.facts.depth import Depth
from toolpaths.facts.fixture import Fixture
from toolpaths.job.job import Job
from toolpaths.judging.job_report import JobReport
from toolpaths.making.operations.drill import Drill, drill
from toolpaths.making.plan.changed_setups import changed_setups, setups_of_one_board
from toolpaths.making.plan.setup import Setup
from toolpaths.making.plan.spare_room import SpareRoom, places_within, roomiest, spread_over
from toolpaths.making.plan.work import Stop, Work, stop

# mm from a head to what any cutter, shank or nut comes to (common practice, no source).
_CLEARANCE = 3.0
# Screws in what lies around the parts that are proposed at first, and at most, unless the user says how many.
_FIRST, _MOST = 4, 12
# By so many heads two screws are apart at least.
_APART_HEADS = 2.0
# mm by which another place of a piece of waste may have less room and is as good, nearer to its middle.
_AS_ROOMY = 1.0
# mm, of the cells of the wood in which it is judged what they hold; the job itself is judged finer.
_CELL = 0.5
# What is found where something holds too little.
_WEAK = ("weak-hold", "loose-piece", "cuts-loose")


@dataclass(frozen=True, kw_only=True, repr=False)
class ProposedScrews(PickledByFields):
    """Screws proposed by proposed_screws().

    of : the setups as they were given
    screws : driven at `driven_at`, the message of a stop; there from the start where that is ""
    sides : of each screw on how many of the setups, from the first, it is there: waste that is cut free falls out when
        the board is taken off
    held_meanwhile : what holds the board until they are driven
    reasons : why there, and what they hold, a sentence each
    """

    of: tuple[Setup, ...]
    screws: tuple[Screw, ...]
    sides: tuple[int, ...]
    held_meanwhile: str
    reasons: tuple[str, ...]

    @property
    def places(self) -> tuple[Point, ...]:
        return tuple((screw.x, screw.y) for screw in self.screws)

    @property
    def stop(self) -> Stop:
        """The stop at which they are driven. Raises InputError where they are there from the start."""
        if not self.screws[0].driven_at:
            raise InputError('These screws are there from the start, since driven_at="": no stop is for them.')
        return stop(self.screws[0].driven_at)

    def pilots(self, cutter: Cutter, depth: Depth) -> Drill:
        """Their pilot holes, so deep at full width, by a drill as wide as the core of their thread.

        Raises an error where the cutter drills no such holes.
        """
        return drill(self.places, cutter, depth=depth, depth_of="full diameter", name="screw pilots")

    def setups(self, cutter: Cutter | None = None, *, pilot_depth: Depth | None = None) -> tuple[Setup, ...]:
        """The setups with these screws: on the first their pilots and the stop before all other work, on those after
        it the same screws, in their holes, but for those in waste that was cut free before.

        cutter, pilot_depth : for the pilots, four fifths of the board's thickness deep unless given; without a cutter
            there are none

        Raises an error where a setup cannot be planned so.
        """
        deep = 0.8 * self.of[0].fixture.board.thickness if pilot_depth is None else pilot_depth
        before: list[Work] = [] if cutter is None else [self.pilots(cutter, deep)]
        before += [self.stop] if self.screws[0].driven_at else []

        def held(setup: Setup) -> tuple[Fixture, Sequence[Work]]:
            fixture, number = setup.fixture, self.of.index(setup)
            if number:
                both = zip(self.screws, self.sides, strict=True)
                there = tuple(replace(screw, driven_at="") for screw, sides in both if sides > number)
                return replace(fixture, screws=(*fixture.screws, *there)), setup.work
            meanwhile = self.held_meanwhile or fixture.held_meanwhile if self.screws[0].driven_at else ""
            more = replace(fixture, screws=(*fixture.screws, *self.screws), held_meanwhile=meanwhile)
            return more, (*before, *setup.work)

        return changed_setups(self.of, held)

    def __str__(self) -> str:
        return "\n".join(self.reasons)

    def __repr__(self) -> str:
        places = ", ".join(f"({x:g}, {y:g})" for x, y in self.places)
        return in_a_line(f"<ProposedScrews: {len(self.screws)} at {places}>")


def proposed_screws(
    setups: Setup | Sequence[Setup],
    *,
    head_diameter: float,
    height: float,
    shank_diameter: float | None = None,
    length: float | None = None,
    count: int | None = None,
    clearance: float = _CLEARANCE,
    edge: float | None = None,
    in_part: bool = False,
    driven_at: str = "Drive the screws",
    held_meanwhile: str = "",
) -> ProposedScrews:
    """Places for hold-down screws where no cutter comes near on any side, in the waste, spread over the board.

    setups : the work planned without them, in running order; pins and other hold-downs that their fixtures have are
        kept clear of
    head_diameter, height, shank_diameter, length : of the screws, as for screws()
    count : how many; unless given four, one more for each piece of waste that is cut free without tabs, and more where
        the judge finds that something is held too weakly
    clearance : mm between a head and any cutter, its shank or its nut; 3 unless given (common practice, no source)
    edge : mm from a screw to the edges of the board; the head's diameter unless given, so that the wood does not split
        (common practice, no source)
    in_part : whether they may go into the part where no cutter comes, as holes that stay
    driven_at : the message of the stop at which they are driven, after their pilots; "" for screws there from the start
    held_meanwhile : what holds the board until then, as for Fixture

    Where no part is cut out of the board its rest counts as waste. Places are whole mm, and the same each time. The
    text of the programs is judged with them, as the user's own would be; `reasons` say what they hold.

    >>> import toolpaths as tp
    >>> T1 = tp.Cutter(1, tp.flat(6), feed_mm_min=1500, spindle_rpm=18000, cutting_length=26)
    >>> board = tp.Board(width=200, height=140, thickness=18, wood="oak")
    >>> tabs = tp.Tabs(count=4, width=8, height=4)
    >>> outline = tp.contour(tp.rectangle(140, 80, (100, 70)), T1, depth=tp.through(), tabs=tabs)
    >>> front = tp.Setup(tp.Fixture(board=board), [outline])
    >>> held = tp.proposed_screws(front, head_diameter=9, height=3, shank_diameter=4, length=35)
    >>> held
    <ProposedScrews: 4 at (9, 9), (191, 131), (9, 131), (191, 9)>
    >>> print(held.reasons[1])
    The nearest that a cutter comes to a head is 19.2 mm.

    Raises InputError for numbers that cannot be used and setups that do not go together, DoesNotFitError where there is
    no room for them, with the room that there is.
    """
    of = setups_of_one_board("setups", setups)
    made = screws(
        [(0.0, 0.0)], head_diameter=head_diameter, height=height, driven_at=label_or_empty("driven_at", driven_at),
        shank_diameter=shank_diameter, length=length,
    )[0]  # fmt: skip
    number = optional("count", count, partial(whole, low=1, high=1000))
    search = _Search(
        SpareRoom(of, made.height), made.head_diameter / 2, distance("clearance", clearance),
        made.head_diameter if edge is None else distance("edge", edge), flag("in_part", in_part),
    )  # fmt: skip
    meanwhile = label_or_empty("held_meanwhile", held_meanwhile)
    slugs = search.one_in_each_piece()
    if number is not None and number < len(slugs):
        raise InputError(
            f"count={number} is less than the {len(slugs)} pieces of waste that are cut free without tabs and have "
            "room for a screw each; give them tabs, or take more."
        )
    wanted = _FIRST if number is None else number - len(slugs)
    while True:
        spread = search.spread(wanted, slugs, exactly=number is not None)
        places = [*slugs, *spread]
        here, sides = zip(*((replace(made, x=x, y=y), search.room.setups_held((x, y))) for x, y in places), strict=True)
        found = ProposedScrews(of=of, screws=here, sides=sides, held_meanwhile=meanwhile, reasons=())
        report = _judged(found)
        # More screws do not help what comes free.
        weak = "weak-hold" in report.codes()
        if number is not None or not weak or wanted >= _MOST or len(spread) < wanted:
            return replace(found, reasons=(*search.reasons(places, len(slugs)), *_what_holds(report)))
        wanted += 2


def _judged(found: ProposedScrews) -> JobReport:
    """The judgement of the job with the screws there from the start: what they hold does not hang on the stop."""
    there = tuple(replace(screw, driven_at="") for screw in found.screws)
    setups = replace(found, screws=there, held_meanwhile="").setups()
    return Job("Hold-downs", setups).report(cell=_CELL)


def _what_holds(report: JobReport) -> list[str]:
    """What the judge says of what holds, for each program; else that it judged nothing to be held."""
    said = [f"{name}: {note}" for name, each in report.sides for note in each.notes if note.startswith("What holds")]
    said += [str(each) for each in report.findings if each.finding.code in _WEAK]
    return said or ["The judge found nothing that has to be held against the cutter."]


class _Search:
    """Places for heads of one radius."""

    def __init__(self, room: SpareRoom, radius: float, clearance: float, edge: float, in_part: bool) -> None:
        self.room, self.radius, self.clearance = room, radius, clearance
        self.anywhere = in_part or room.all_kept
        free = room.free(radius, clearance, edge)
        self.free = free if self.anywhere else shapely.difference(free, room.kept)
        self.without_screw = 0

    def one_in_each_piece(self) -> list[Point]:
        """The roomiest place of each piece of waste but the largest, whole mm where these have room too."""
        found = list[Point]()
        for piece in self.room.pieces[1:]:
            inside = shapely.intersection(self.free, piece)
            rows = places_within(inside)
            if not len(rows):
                self.without_screw += 1
                continue
            room = shapely.distance(shapely.points(rows), inside.boundary)
            off_middle = np.hypot(*(rows - shapely.get_coordinates(piece.centroid)).T)
            x, y = rows[int(np.argmin(np.where(room > room.max() - _AS_ROOMY, off_middle, np.inf)))].tolist()
            found.append((x, y))
        return found

    def spread(self, count: int, taken: Sequence[Point], *, exactly: bool) -> list[Point]:
        """So many places in the largest piece, or as many as have room. Raises DoesNotFitError for none, or for fewer
        where `exactly` so many are asked for."""
        if not count:
            return []
        pieces = self.room.pieces
        around = self.free if self.anywhere or not pieces else shapely.intersection(self.free, pieces[0])
        rows = places_within(around)
        liked = self.room.clearance(rows)
        apart = _APART_HEADS * 2 * self.radius
        chosen = spread_over(rows, self.room.board, count, apart, liked)
        if not len(chosen) or (exactly and len(chosen) < count):
            raise self._no_room(count, len(chosen), around)
        return [(x, y) for x, y in chosen.tolist()]

    def reasons(self, places: Sequence[Point], slugs: int) -> list[str]:
        gap = self.nearest(np.array(places))
        where = "in wood that stays" if self.anywhere else "in the waste"
        more = f", {slugs} of them in pieces that are cut free" if slugs else ""
        said = [f"{len(places)} screws {where}{more}.", f"The nearest that a cutter comes to a head is {gap:.1f} mm."]
        if self.without_screw:
            said.append(
                f"{self.without_screw} pieces of waste that are cut free without tabs have no room for a screw; give "
                "their cuts tabs."
            )
        return said

    def nearest(self, places: Floats) -> float:
        """mm between the rims of heads and the nearest of any cutter."""
        return float((self.room.clearance(places) - self.radius).min())

    def _no_room(self, count: int, found: int, around: BaseGeometry) -> DoesNotFitError:
        needs = self.radius + self.clearance
        kind = "on the board" if self.anywhere else "in the waste"
        words = (
            f"{count} screws with heads of {2 * self.radius:g} mm do not find room {kind}, {found or 'none'} do: each "
            f"takes {needs:g} mm from its middle to any cutter"
        )
        if found:
            return DoesNotFitError(
                f"{words}, and two are {_APART_HEADS * 2 * self.radius:g} mm apart. Ask for {found}."
            )
        bare = self.room.free(0.0, 0.0, 0.0)
        widest = roomiest(bare if self.anywhere else shapely.difference(bare, self.room.kept))
        if widest is None:
            return DoesNotFitError(f"{words}, and there is no such wood. Leave more round the parts.")
        x, y = widest.place
        lacks = max(needs - widest.room, 0.0)
        return DoesNotFitError(
            f"{words} and as much as edge= to the board's edges. The largest free place, at ({x:.1f}, {y:.1f}), has "
            f"{widest.room:.1f} mm: {lacks:.1f} mm are missing. Take smaller heads, less clearance= or edge=, or leave "
            "more wood round the parts.",
            widest.place,
        )
