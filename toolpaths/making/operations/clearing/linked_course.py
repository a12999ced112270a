"""Legs linked to a course: links from one to the next that stay down in cleared wood, on smooth curves where they fit.

A link to a neighbour of the last leg is short, and over wood that either of them takes. Any longer one leads along legs
done before, cut short where the straight line lies in what is cleared too; where lifting over the wood is sooner done,
the section ends and another begins.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cached_property
from math import dist

import shapely
from shapely import LineString
from shapely.geometry.base import BaseGeometry

from toolpaths.base.errors import Point
from toolpaths.making.operations import rings
from toolpaths.making.operations.clearing.loop_order import Leg
from toolpaths.making.operations.clearing.loops import Room
from toolpaths.making.operations.clearing.section_entry import SectionEntry, through_known_air
from toolpaths.making.operations.clearing.shortest_path import shortest_path
from toolpaths.shapes.track import Segment, Track

# What lies within this share of the step from a leg is taken to be free for a link.
_FREE = 0.6
# Of the radius: how roughly links look at what is cleared, half of what they keep off the walls.
_ROUGH = 0.05
# Where a wall is left there must be room off all walls: looked for at so many places, so many radii apart.
_OFF_TRIES, _OFF_STEP = 8, 0.5
# A link along a wall for so many radii is one that rubs.
_RUB = 1.0
# mm within which places are one.
_NOTHING = 1e-6


@dataclass(frozen=True, slots=True, eq=False)
class CourseSection:
    """What is cut without lifting: the entry, the first leg, what follows, and the lead off the wall."""

    entry: SectionEntry
    first: Track
    rest: tuple[Segment, ...]
    leave: tuple[Segment, ...]

    @property
    def end(self) -> Point:
        return (*self.first.segments, *self.rest, *self.leave)[-1].end

    @property
    def segments(self) -> tuple[Segment, ...]:
        return (*self.entry.lead, *self.first.segments, *self.rest, *self.leave)


@dataclass(frozen=True, eq=False)
class Course:
    """A course as the sections in which it is cut.

    cleared : where the axis meets no wood once all of them are cut
    known_air : where the axis met none to begin with, as earlier toolpaths took it
    longest : mm; a link longer than this takes longer than lifting over the wood
    back : the same from where it ends to where it begins; None where each pass begins where the first one does
    """

    sections: tuple[CourseSection, ...]
    cleared: BaseGeometry
    known_air: BaseGeometry
    room: Room
    longest: float
    back: Course | None = None

    @cached_property
    def _ground(self) -> BaseGeometry:
        return _off_walls(self.cleared, self.room)

    def link_over(self, here: Point, there: Point) -> list[Point]:
        """Places of a link from one place to another over what it cleared a pass above; empty if that is too far."""
        if dist(here, there) < _NOTHING:
            return [here]
        straight = LineString([here, there])
        if shapely.covers(self.cleared, straight) and not rubs(straight, self.room):
            return [here, there]
        points = _over(self._ground, here, there, self.longest, self.room)
        line = LineString(points)
        return points if points and shapely.covers(self.cleared, line) and not rubs(line, self.room) else []

    def on_pass(self, number: int) -> Course:
        """How it is cut on a pass, counted from 0."""
        return self.back if self.back is not None and number % 2 else self


def linked_course(
    legs: Sequence[Leg],
    room: Room,
    longest: float,
    alone: bool,
    begin: Callable[[Leg], tuple[SectionEntry, Track]],
) -> Course:
    """The course of some legs.

    alone : whether the course clears all of its room
    longest : mm; a link longer than this takes longer than lifting over the wood
    begin : the entry into the first leg of a section, and that leg begun there
    """
    return _Linking(legs, room, longest, begin).course(alone)


class _Linking:
    def __init__(
        self,
        legs: Sequence[Leg],
        room: Room,
        longest: float,
        begin: Callable[[Leg], tuple[SectionEntry, Track]],
    ) -> None:
        self.legs, self.room, self.longest, self.begin = legs, room, longest, begin
        self.done = 0
        self._free: tuple[int, BaseGeometry] = (0, room.air)

    def course(self, alone: bool) -> Course:
        found: list[CourseSection] = []
        entered, first = self.begin(self.legs[0])
        rest: list[Segment] = []
        last = first
        for number, leg in enumerate(self.legs[1:], start=1):
            self.done = number
            hop = None if leg.track.closed else through_known_air(leg, self.room)
            joined = None if hop else self._join(number, rest[-1] if rest else first.segments[-1])
            if joined is None:
                found.append(self._ended(entered, first, rest, last if self.legs[number - 1].wall else None))
                (entered, first), rest = hop or self._from_neighbour(leg) or self.begin(leg), []
                last = first
            else:
                link, last = joined
                rest += [*link, *last.segments]
        found.append(self._ended(entered, first, rest, last if self.legs[-1].wall else None))
        self.done = len(self.legs)
        cleared = self.room.allowed if alone else shapely.intersection(self.free(), self.room.allowed)
        shapely.prepare(cleared)
        return Course(tuple(found), cleared, self.room.known_air, self.room, self.longest)

    def _ended(self, entered: SectionEntry, first: Track, rest: list[Segment], wall: Track | None) -> CourseSection:
        """The section, with an arc on which the cutter leaves the wall that it ends at, lest it stop there and mark it.

        Near a corner there is no room off both walls: then it goes on round the wall until there is.
        """
        if wall is None:
            return CourseSection(entered, first, tuple(rest), ())
        step = _OFF_STEP * self.room.radius
        for farther in range(_OFF_TRIES if wall.closed else 1):
            again = wall.between(0.0, farther * step) if farther else []
            end = (*wall.segments, *again)[-1]
            leave = self.room.leads.arc_off(end.end, end.heading(1.0), self.room.quiet)
            if leave:
                return CourseSection(entered, first, (*rest, *again), leave)
        end = wall.segments[-1]
        return CourseSection(entered, first, tuple(rest), self.room.leads.arc_off(end.end, end.heading(1.0)))

    def _from_neighbour(self, leg: Leg) -> tuple[SectionEntry, Track] | None:
        """Down where a neighbour done before cleared the wood, and straight over from it."""
        if leg.neighbour is None:
            return None
        to = leg.line if leg.track.closed else shapely.Point(leg.track.start)
        link = shapely.shortest_line(self.legs[leg.neighbour].line, to)
        if link.length > 2 * self.room.flat or not (link.length < _NOTHING or shapely.covers(self.room.allowed, link)):
            return None
        start = link.coords[0]
        begun = rings.begun(leg.track, start)
        return SectionEntry("air", start, lead=tuple(_straight([start, begun.start]))), begun

    def _join(self, number: int, last: Segment) -> tuple[tuple[Segment, ...], Track] | None:
        """A link from the end of the last segment to a leg, and the leg begun where it arrives."""
        track = self.legs[number].track
        along, far = rings.where_joined(track, last.end)
        if far < _NOTHING:
            return (), rings.begun(track, last.end)
        before = self.legs[number - 1]
        if before.slot and (self.legs[number].slot or not before.track.closed):
            # Back along a slot the cutter would rub at both its walls.
            return None
        if far <= self.longest and (far <= 2 * self.room.flat or self._is_free(last.end, track.at(along))):
            found = self.room.leads.link(last, track, along)
            if found is not None and not (found[0] and rubs(_drawn(found[0]), self.room)):
                return found
        points = self._around(number, last.end, track.at(along))
        if not points:
            return None
        begun = rings.begun(track, points[-1])
        link = (*_straight(points), *_straight([points[-1], begun.start]))
        return (link, begun) if self.room.inside(link) else None

    def _is_free(self, a: Point, b: Point) -> bool:
        link = shapely.linestrings([a, b]) if a != b else shapely.Point(a)
        return bool(shapely.covers(self.room.allowed, link)) and bool(shapely.covers(self.free(), link))

    def free(self) -> BaseGeometry:
        """Where the axis meets next to no wood: in air, and beside all legs done so far."""
        done, free = self._free
        if done < self.done:
            lines = shapely.multilinestrings([leg.line for leg in self.legs[done : self.done]])
            lines = shapely.simplify(lines, _ROUGH * self.room.radius, preserve_topology=False)
            swaths = shapely.buffer(lines, _FREE * self.room.step, quad_segs=4)
            free = shapely.union(free, swaths)
            shapely.prepare(free)
            self._free = (self.done, free)
        return free

    def _around(self, number: int, here: Point, there: Point) -> list[Point]:
        """Places of the shortest link to this leg, near a place on it, over what is cleared; empty if too long."""
        leg, ground = self.legs[number], _off_walls(self.free(), self.room)
        if shapely.distance(ground, shapely.Point(there)) > 2 * self.room.flat:
            if leg.neighbour is None:
                return []
            to = leg.line if leg.track.closed else shapely.Point(leg.track.start)
            beside, (x, y) = shapely.get_coordinates(shapely.shortest_line(self.legs[leg.neighbour].line, to)).tolist()
            points = _over(ground, here, (beside[0], beside[1]), self.longest, self.room)
            return [*points[:-1], (x, y)] if points else []
        return _over(ground, here, there, self.longest, self.room)


def _off_walls(cleared: BaseGeometry, room: Room) -> BaseGeometry:
    """Where links go: over what is cleared, off the walls."""
    ground = shapely.intersection(cleared, room.quiet)
    slim = shapely.simplify(ground, _ROUGH * room.radius, preserve_topology=False)
    return slim if shapely.is_valid(slim) else ground


def rubs(link: LineString, room: Room) -> bool:
    """Whether a link goes on along walls, farther than to come on to one or to leave it."""
    most = _RUB * room.radius
    if link.length <= most or shapely.covers(room.quiet, link):
        return False
    return bool(shapely.difference(link, room.quiet).length > most)


def _over(ground: BaseGeometry, here: Point, there: Point, longest: float, room: Room) -> list[Point]:
    """Places of the shortest link over a ground, on to it and off it the nearest way; empty if it is too long."""
    if ground.is_empty:
        return []
    off, on = rings.near(ground, here), rings.near(ground, there)
    ends = dist(here, off) + dist(on, there)
    path = shortest_path(ground, off, on, longest - ends, room.tolerance)
    if path is None or ends + sum(map(dist, (off, *path), path)) > longest:
        return []
    return [here, off, *path, there]


def _drawn(link: Sequence[Segment]) -> LineString:
    drawn: LineString = shapely.linestrings([link[0].start, *(segment.end for segment in link)])
    return drawn


def _straight(points: list[Point]) -> list[Segment]:
    return [Segment(a, b) for a, b in zip(points, points[1:]) if dist(a, b) > 1e-9]
