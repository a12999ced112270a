"""Places proposed for the pins on which a board is turned over: off all cuts, far apart, so that one way alone fits."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import hypot

import numpy as np
import shapely
from shapely import Polygon
from shapely.geometry.base import BaseGeometry

from toolpaths.base.checks import Floats, distance, length, one_of, whole
from toolpaths.base.errors import DoesNotFitError, InputError, Point
from toolpaths.base.values import PickledByFields, in_a_line
from toolpaths.facts.board import Dowel, dowels
from toolpaths.facts.cutter import Cutter
from toolpaths.facts.depth import through
from toolpaths.facts.fixture import Fixture
from toolpaths.facts.turning import TURNS, Turned, pins_fit_both_ways, turned_points
from toolpaths.making.operations.bore import bore
from toolpaths.making.operations.drill import drill
from toolpaths.making.operations.operation import Operation, checked_cutter
from toolpaths.making.plan.changed_setups import changed_setups, setups_of_one_board
from toolpaths.making.plan.setup import Setup
from toolpaths.making.plan.spare_room import SpareRoom, places_within, roomiest
from toolpaths.making.plan.work import Work

# mm of wood about a pin's hole, to any cut and to the board's edge (common practice, no source).
_CLEARANCE = 4.0
# mm by which pins lie off the middle, so that a board turned the wrong way lies visibly off its place.
_ASIDE = 10.0
# mm that two pins are apart at least: nearer, they do not say how the board is turned (common practice, no source).
_LEAST_APART = 40.0


@dataclass(frozen=True, kw_only=True, repr=False)
class ProposedDowels(PickledByFields):
    """Pins proposed by proposed_dowels().

    of : the setups as they were given
    dowels : the pins, for Fixture(dowels=...)
    reasons : why there, a sentence each
    """

    of: tuple[Setup, ...]
    dowels: tuple[Dowel, ...]
    reasons: tuple[str, ...]

    def holes(self, cutter: Cutter) -> Operation:
        """Their holes, through the board and into the spoilboard: drilled by a drill of their width, else bored.

        Raises an error where the cutter makes no such holes.
        """
        places, pin = [(each.x, each.y) for each in self.dowels], self.dowels[0]
        deep = through(pin.depth)
        if checked_cutter("cutter", cutter).profile.kind == "drill":
            if cutter.diameter != pin.diameter:
                raise InputError(
                    f"{cutter} drills no hole for pins of {pin.diameter:g} mm; take a drill of that width."
                )
            return drill(places, cutter, depth=deep, depth_of="full diameter", name="pin holes")
        return bore(places, pin.diameter, cutter, depth=deep, name="pin holes")

    def setups(self, cutter: Cutter) -> tuple[Setup, ...]:
        """The setups with these pins, their holes made first of all on the first of them."""
        first = self.of[0]

        def with_pins(setup: Setup) -> tuple[Fixture, Sequence[Work]]:
            work = (self.holes(cutter), *setup.work) if setup is first else setup.work
            return replace(setup.fixture, dowels=(*setup.fixture.dowels, *self.dowels)), work

        return changed_setups(self.of, with_pins)

    def __str__(self) -> str:
        return "\n".join(self.reasons)

    def __repr__(self) -> str:
        places = ", ".join(f"({each.x:g}, {each.y:g})" for each in self.dowels)
        return in_a_line(f"<ProposedDowels: {len(self.dowels)} of {self.dowels[0].diameter:g} mm at {places}>")


def proposed_dowels(
    setups: Setup | Sequence[Setup],
    turned: Turned,
    *,
    diameter: float,
    depth: float,
    standing: float = 0.0,
    count: int = 2,
    clearance: float = _CLEARANCE,
) -> ProposedDowels:
    """Pins for a board that is turned over, in waste that no cut of either side comes near.

    setups : the work planned without them, of the front or of both sides in running order
    turned : how the board is turned over
    diameter, depth, standing : of the pins, as for dowels()
    count : 2, or 3 with one on the line about which the board turns
    clearance : mm of wood between a hole and any cut, and the board's edge; 4 unless given (common practice, no source)

    Two pins are as far apart as can be: a pair that mirrors each other, or both on the line about which the board
    turns. They lie 10 mm or more off the other middle line, so that the board fits one way only. Places are whole mm,
    and the same each time.

    >>> import toolpaths as tp
    >>> T1 = tp.Cutter(1, tp.flat(6), feed_mm_min=1500, spindle_rpm=18000, cutting_length=26)
    >>> board = tp.Board(width=200, height=140, thickness=18)
    >>> outline = tp.contour(tp.rectangle(150, 100, (100, 70)), T1, depth=tp.through())
    >>> tp.proposed_dowels(tp.Setup(tp.Fixture(board=board), [outline]), "left to right", diameter=8, depth=6)
    <ProposedDowels: 2 of 8 mm at (8, 60), (192, 60)>

    Raises InputError for numbers that cannot be used and setups that do not go together, DoesNotFitError where no pins
    have room, with the most room that there is.
    """
    of = setups_of_one_board("setups", setups)
    one_of("turned", turned, TURNS)
    wide, deep, high = length("diameter", diameter), length("depth", depth), distance("standing", standing)
    number, off = whole("count", count, 2, 3), distance("clearance", clearance)
    for setup in of:
        if setup.fixture.turned not in ("", turned):
            raise InputError(f"turned={turned!r}, but {setup} lies turned {setup.fixture.turned}.")
    if of[0].fixture.turned:
        raise InputError(f"The holes of pins are made on the front, and {of[0]} is of the back; begin with the front.")
    search = _Search(SpareRoom(of, high), turned, wide / 2, off)
    places = search.two() if number == 2 else search.three()
    pins = dowels(places, diameter=wide, depth=deep, standing=high)
    return ProposedDowels(of=of, dowels=pins, reasons=search.reasons(places))


class _Search:
    """Places at which a board that is turned over so comes to lie on its own pins.

    Worked out along: the coordinate that turning changes, and across: the one that it keeps.
    """

    def __init__(self, room: SpareRoom, turned: Turned, radius: float, clearance: float) -> None:
        self.room, self.turned, self.radius, self.clearance = room, turned, radius, clearance
        self.board = room.board
        self.axis = 0 if turned == "left to right" else 1
        sizes = self.board.width, self.board.height
        self.middle, self.other = sizes[self.axis] / 2, sizes[1 - self.axis] / 2
        spare = self._both_ways(room.free(radius, clearance, radius + clearance))
        # What is cut free without tabs falls out, and a pin's hole with it.
        around = room.pieces[0] if room.pieces else Polygon()
        self.free = shapely.intersection(spare, around)
        self.pairs, self.line = self._places()

    def two(self) -> list[Point]:
        """A pair, or two on the line, whichever is farther apart, off the other middle line."""
        pair, line = self._pair(off_middle=True), self._two_on_line()
        best = max(pair, line, key=_apart) if pair and line else pair or line
        if not best or _apart(best) < _LEAST_APART:
            raise self._no_room(2)
        return best

    def three(self) -> list[Point]:
        """A pair, and one on the line as far off as can be."""
        pair = self._pair(off_middle=False)
        if not pair or not len(self.line):
            raise self._no_room(3)
        across = pair[0][1 - self.axis]
        away = np.abs(self.line[:, 1 - self.axis] - across)
        x, y = self.line[int(away.argmax())].tolist()
        found = [*pair, (x, y)]
        pins = dowels(found, diameter=2 * self.radius, depth=1.0)
        if away.max() < _LEAST_APART / 2 or pins_fit_both_ways(pins, self.board):
            raise self._no_room(3)
        return found

    def reasons(self, places: Sequence[Point]) -> tuple[str, ...]:
        rows = np.array(places)
        gap = float((self.room.clearance(rows) - self.radius).min())
        apart = max(_apart([one, other]) for one in places for other in places)
        said = ", ".join(f"X{x:g} Y{y:g}" for x, y in places)
        where = "in wood that stays" if self.room.all_kept else "in the waste"
        wrong = next(turned for turned in TURNS if turned != self.turned)
        return (
            f"{len(places)} pins of {2 * self.radius:g} mm {where}, at {said}: up to {apart:.4g} mm apart.",
            f"Every cut of {'both sides' if len(self.room.setups) > 1 else 'the front'} stays {gap:.1f} mm or more off "
            "their holes.",
            f"Turned over {wrong} the board would lie visibly beside its place on them.",
        )

    def _both_ways(self, area: BaseGeometry) -> BaseGeometry:
        """What of an area lies on itself when the board is turned over."""
        mirrored = shapely.transform(area, lambda points: turned_points(points, self.board, self.turned))
        return shapely.intersection(area, mirrored)

    def _places(self) -> tuple[Floats, Floats]:
        """Places of the half of the board before the line, each with an image behind it; and places on the line."""
        rows = places_within(self.free)
        half = rows[rows[:, self.axis] < self.middle - _LEAST_APART / 2] if len(rows) else rows
        at = {"line_x": self.middle} if self.axis == 0 else {"line_y": self.middle}
        return half, places_within(self.free, **at)

    def _pair(self, *, off_middle: bool) -> list[Point]:
        """Farthest apart; of those as near to the other middle line as may be."""
        rows = self.pairs
        if off_middle and len(rows):
            rows = rows[np.abs(rows[:, 1 - self.axis] - self.other) >= _ASIDE]
        if not len(rows):
            return []
        off = np.abs(rows[:, 1 - self.axis] - self.other)
        best = rows[np.lexsort((rows[:, 1 - self.axis], off, rows[:, self.axis]))[0]]
        return [tuple(each) for each in (best.tolist(), turned_points(best[None], self.board, self.turned)[0].tolist())]

    def _two_on_line(self) -> list[Point]:
        """Farthest apart, their middle off the other middle line."""
        rows = self.line[np.argsort(self.line[:, 1 - self.axis])]
        best: list[Point] = []
        for first, last in ((rows[:1], rows), (rows, rows[-1:])):
            for one in first:
                for other in last:
                    middle = (one[1 - self.axis] + other[1 - self.axis]) / 2
                    found = [tuple(one.tolist()), tuple(other.tolist())]
                    if abs(middle - self.other) >= _ASIDE and (not best or _apart(found) > _apart(best)):
                        best = found
        return best

    def _no_room(self, count: int) -> DoesNotFitError:
        """How much room there is at most, and how much is wanted."""
        bare = self._both_ways(self.room.free(0.0, 0.0, 0.0))
        widest = roomiest(shapely.intersection(bare, self.room.pieces[0])) if self.room.pieces else None
        wanted = self.radius + self.clearance
        about = f"X{self.middle:g}" if self.axis == 0 else f"Y{self.middle:g}"
        words = (
            f"No {count} pins of {2 * self.radius:g} mm find room in the waste, in places that mirror each other about "
            f"{about} or on that line, {_LEAST_APART:g} mm apart and off the middle: each takes {wanted:g} mm to any "
            "cut and edge. "
        )
        if widest is None:
            return DoesNotFitError(words + "No waste is left free on both halves; leave more round the part.")
        x, y = widest.place
        return DoesNotFitError(
            words + f"The largest free place, at ({x:.1f}, {y:.1f}), has {widest.room:.1f} mm. Take thinner pins, less "
            "clearance=, or leave more waste.",
            widest.place,
        )


def _apart(places: Sequence[Point]) -> float:
    (x0, y0), (x1, y1) = places[0], places[1]
    return hypot(x1 - x0, y1 - y0)
