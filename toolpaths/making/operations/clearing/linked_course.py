"""Legs linked to a course: links from one to the next that stay down in cleared wood, on smooth curves where they fit.

A link to a neighbour of the last leg is short, and over wood that either of them takes. Any longer one leads along legs
done before, cut short where the straight line lies in what is cleared too; where lifting over the wood is sooner done,
the section ends and another begins.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from math import dist

import numpy as np
import shapely
from shapely import LineString
from shapely.geometry.base import BaseGeometry
from shapely.ops import substring

from toolpaths.base.errors import Point
from toolpaths.making.operations import rings
from toolpaths.making.operations.clearing.loop_order import Leg
from toolpaths.making.operations.clearing.loops import Room
from toolpaths.making.operations.clearing.section_entry import SectionEntry, through_known_air
from toolpaths.shapes.track import Segment, Track

# What lies within this share of the step from a leg is taken to be free for a link.
_FREE = 0.6


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


@dataclass(frozen=True, slots=True, eq=False)
class Course:
    """A course as the sections in which it is cut.

    cleared : where the axis meets no wood once all of them are cut
    known_air : where the axis met none to begin with, as earlier toolpaths took it
    back : a link over what is cleared, from the end of the last section to where the first is entered, empty if it is
        too long
    """

    sections: tuple[CourseSection, ...]
    cleared: BaseGeometry
    known_air: BaseGeometry
    back: tuple[Point, ...]


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
        for number, leg in enumerate(self.legs[1:], start=1):
            self.done = number
            hop = None if leg.track.closed else through_known_air(leg, self.room)
            joined = None if hop else self._join(number, rest[-1] if rest else first.segments[-1])
            if joined is None:
                found.append(self._ended(entered, first, rest, self.legs[number - 1]))
                (entered, first), rest = hop or self._from_neighbour(leg) or self.begin(leg), []
            else:
                link, track = joined
                rest += [*link, *track.segments]
        found.append(self._ended(entered, first, rest, self.legs[-1]))
        self.done = len(self.legs)
        cleared = self.room.allowed if alone else shapely.intersection(self.free(), self.room.allowed)
        shapely.prepare(cleared)
        back = self._back(found[-1].end, found[0].entry.start, cleared)
        return Course(tuple(found), cleared, self.room.known_air, tuple(back))

    def _ended(self, entered: SectionEntry, first: Track, rest: list[Segment], last: Leg) -> CourseSection:
        """The section, with an arc on which the cutter leaves the wall, lest it stop there and mark it."""
        end = (*first.segments, *rest)[-1]
        leave = self.room.leads.arc_off(end.end, end.heading(1.0)) if last.wall else ()
        return CourseSection(entered, first, tuple(rest), leave)

    def _from_neighbour(self, leg: Leg) -> tuple[SectionEntry, Track] | None:
        """Down where a neighbour done before cleared the wood, and straight over from it."""
        if leg.neighbour is None:
            return None
        to = leg.line if leg.track.closed else shapely.Point(leg.track.start)
        link = shapely.shortest_line(self.legs[leg.neighbour].line, to)
        if link.length > 2 * self.room.flat or not shapely.covers(self.room.allowed, link):
            return None
        start = link.coords[0]
        begun = rings.begun(leg.track, start)
        return SectionEntry("air", start, lead=tuple(_straight([start, begun.start]))), begun

    def _join(self, number: int, last: Segment) -> tuple[tuple[Segment, ...], Track] | None:
        """A link from the end of the last segment to a leg, and the leg begun where it arrives."""
        track = self.legs[number].track
        along, far = rings.where_joined(track, last.end)
        if far <= self.longest and (far <= 2 * self.room.flat or self._is_free(last.end, track.at(along))):
            found = self.room.leads.link(last, track, along)
            if found is not None:
                return found
        points = self._around(number, last.end)
        if points is None:
            return None
        link = _straight(points)
        if sum(segment.length for segment in link) > self.longest:
            return None
        begun = rings.begun(track, points[-1])
        link += _straight([points[-1], begun.start])
        return (tuple(link), begun) if self.room.inside(link) else None

    def _is_free(self, a: Point, b: Point) -> bool:
        link = LineString([a, b]) if a != b else shapely.Point(a)
        return bool(shapely.covers(self.room.allowed, link)) and bool(shapely.covers(self.free(), link))

    def free(self) -> BaseGeometry:
        """Where the axis meets next to no wood: in air, and beside all legs done so far."""
        done, free = self._free
        if done < self.done:
            lines = shapely.multilinestrings([leg.line for leg in self.legs[done : self.done]])
            swaths = shapely.buffer(lines, _FREE * self.room.step, quad_segs=4)
            free = shapely.union(free, swaths)
            shapely.prepare(free)
            self._free = (self.done, free)
        return free

    def _around(self, number: int, here: Point) -> list[Point] | None:
        """Points from the leg before to this one along legs that are done, pulled straight where that is free."""
        leg = self.legs[number]
        steps = None if leg.neighbour is None else _between(self.legs, number - 1, leg.neighbour)
        if steps is None:
            return None
        points = self._stepping([*steps, number], here)
        return _pulled(points, shapely.intersection(self.free(), self.room.allowed))

    def _stepping(self, steps: list[int], here: Point) -> list[Point]:
        """From a place on the first of some legs, each a neighbour of the next, along them to the last."""
        points = [here]
        for i, j in zip(steps, steps[1:]):
            leg = self.legs[j]
            # One with wood beside it is begun at its start, lest it be cut the other way.
            to = leg.line if leg.track.closed or j != steps[-1] else shapely.Point(leg.track.start)
            link = shapely.shortest_line(shapely.Point(points[-1]), to)
            if link.length > self.room.step * 1.5 or not shapely.covers(self.room.allowed, link):
                link = shapely.shortest_line(self.legs[i].line, to)
                points += _along(self.legs[i].line, points[-1], link.coords[0])
            points.append(link.coords[1])
        return points

    def _back(self, here: Point, start: Point, cleared: BaseGeometry) -> list[Point]:
        """From the end of all to the start, when all is cut; empty where that is too far."""
        if shapely.covers(cleared, LineString([here, start])):
            points = [here, start]
        else:
            steps = _between(self.legs, len(self.legs) - 1, 0)
            if steps is None:
                return []
            points = self._stepping(steps, here)
            points += [*_along(self.legs[0].line, points[-1], start), start]
            points = _pulled(points, cleared)
            if not shapely.covers(cleared, LineString(points)):
                return []
        return points if sum(segment.length for segment in _straight(points)) <= self.longest else []


def _straight(points: list[Point]) -> list[Segment]:
    return [Segment(a, b) for a, b in zip(points, points[1:]) if dist(a, b) > 1e-9]


def _pulled(points: list[Point], free: BaseGeometry) -> list[Point]:
    """Points of a link without its detours, as far as the straight lines lie in a free area."""
    shapely.prepare(free)
    kept, i = [points[0]], 0
    places = np.array(points)
    while i < len(points) - 1:
        ends = places[i + 2 :]
        links = shapely.linestrings(np.stack([np.broadcast_to(places[i], ends.shape), ends], axis=1))
        good = np.flatnonzero(shapely.covers(free, links)).tolist() if len(ends) else []
        i = i + 2 + good[-1] if len(good) else i + 1
        kept.append(points[i])
    return kept


def _between(legs: Sequence[Leg], a: int, b: int) -> list[int] | None:
    """The legs from one to another, each a neighbour of the next; None where they do not hang together."""
    from_a, from_b = _neighbours_of(legs, a), _neighbours_of(legs, b)
    shared = set(from_b)
    top = next((i for i in from_a if i in shared), None)
    if top is None:
        return None
    return from_a[: from_a.index(top) + 1] + from_b[: from_b.index(top)][::-1]


def _neighbours_of(legs: Sequence[Leg], i: int) -> list[int]:
    """A leg, its neighbour, the neighbour of that, and so on to the first."""
    found = [i]
    while (neighbour := legs[found[-1]].neighbour) is not None:
        found.append(neighbour)
    return found


def _along(line: LineString, a: Point, b: Point) -> list[Point]:
    """Points along a line from near one place to near another, round a ring the shorter way; without the first."""
    start, end = (float(along) for along in line.project([shapely.Point(a), shapely.Point(b)]))
    far = line.length - abs(end - start)
    parts = [(start, end)]
    if line.is_closed and abs(end - start) > far:
        parts = [(start, line.length), (0, end)] if start > end else [(start, 0), (line.length, end)]
    points = np.vstack([shapely.get_coordinates(substring(line, *part)) for part in parts])
    return [(float(x), float(y)) for x, y in points[1:]]
