"""Strokes strung together: ways from one to the next that stay down in cleared wood, on smooth curves where they fit.

A way to a stroke beside the last is short, and over wood that either of them takes. Any longer one leads along
strokes done before, cut short where the straight line lies in what is cleared too; where lifting over the wood is
sooner done, the chain ends and another begins.
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
from toolpaths.making.operations import ring as rounds
from toolpaths.making.operations.clearing import Region
from toolpaths.making.operations.courses import Stroke
from toolpaths.making.operations.ways_in import WayIn
from toolpaths.shapes.track import Segment, Track

# What lies within this share of the step from a stroke is taken to be free for a way.
_BESIDE = 0.6


@dataclass(frozen=True, slots=True, eq=False)
class Chain:
    """What is cut without lifting: the way in, the first stroke, what follows, and the way off the wall."""

    way_in: WayIn
    first: Track
    rest: tuple[Segment, ...]
    leave: tuple[Segment, ...]

    @property
    def end(self) -> Point:
        return (*self.first.segments, *self.rest, *self.leave)[-1].end

    @property
    def segments(self) -> tuple[Segment, ...]:
        return (*self.way_in.lead, *self.first.segments, *self.rest, *self.leave)


@dataclass(frozen=True, slots=True, eq=False)
class Strung:
    """The chains of a course.

    cleared : where the axis meets no wood once all of them are cut
    sure : where the axis met none to begin with, as earlier toolpaths took it
    back : a way over what is cleared from the end of the last chain to where the first is gone into, empty if it is
        too long
    """

    chains: tuple[Chain, ...]
    cleared: BaseGeometry
    sure: BaseGeometry
    back: tuple[Point, ...]


def string(
    strokes: Sequence[Stroke],
    region: Region,
    longest: float,
    alone: bool,
    begin: Callable[[Stroke], tuple[WayIn, Track]],
) -> Strung:
    """A course as chains.

    alone : whether the course clears all of its region
    longest : mm; a way longer than this takes longer than lifting over the wood
    begin : the way into the first stroke of a chain, and that stroke begun there
    """
    return _Stringing(strokes, region, longest, begin).strung(alone)


class _Stringing:
    def __init__(
        self,
        strokes: Sequence[Stroke],
        region: Region,
        longest: float,
        begin: Callable[[Stroke], tuple[WayIn, Track]],
    ) -> None:
        self.strokes, self.region, self.longest, self.begin = strokes, region, longest, begin
        self.done = 0
        self._free: tuple[int, BaseGeometry] = (0, region.air)

    def strung(self, alone: bool) -> Strung:
        found: list[Chain] = []
        way_in, first = self.begin(self.strokes[0])
        rest: list[Segment] = []
        for number, stroke in enumerate(self.strokes[1:], start=1):
            self.done = number
            joined = self._join(number, rest[-1] if rest else first.segments[-1])
            if joined is None:
                found.append(self._ended(way_in, first, rest, self.strokes[number - 1]))
                (way_in, first), rest = self._beside(stroke) or self.begin(stroke), []
            else:
                way, track = joined
                rest += [*way, *track.segments]
        found.append(self._ended(way_in, first, rest, self.strokes[-1]))
        self.done = len(self.strokes)
        cleared = self.region.room if alone else shapely.intersection(self.free(), self.region.room)
        shapely.prepare(cleared)
        back = self._back(found[-1].end, found[0].way_in.start, cleared)
        return Strung(tuple(found), cleared, self.region.sure, tuple(back))

    def _ended(self, way_in: WayIn, first: Track, rest: list[Segment], last: Stroke) -> Chain:
        """The chain, with an arc on which the cutter leaves the wall, lest it stop there and mark it."""
        end = (*first.segments, *rest)[-1]
        leave = self.region.leads.arc_off(end.end, end.heading(1.0)) if last.wall else ()
        return Chain(way_in, first, tuple(rest), leave)

    def _beside(self, stroke: Stroke) -> tuple[WayIn, Track] | None:
        """Down where a stroke done before cleared the wood, and straight over to one beside it."""
        if stroke.beside is None:
            return None
        to = stroke.line if stroke.track.closed else shapely.Point(stroke.track.start)
        way = shapely.shortest_line(self.strokes[stroke.beside].line, to)
        if way.length > 2 * self.region.flat or not shapely.covers(self.region.room, way):
            return None
        start = way.coords[0]
        begun = rounds.begun(stroke.track, start)
        return WayIn("air", start, lead=tuple(_straight([start, begun.start]))), begun

    def _join(self, number: int, last: Segment) -> tuple[tuple[Segment, ...], Track] | None:
        """A way from the end of the last segment to a stroke, and the stroke begun where it arrives."""
        track = self.strokes[number].track
        along, far = rounds.reached(track, last.end)
        if far <= self.longest and (far <= 2 * self.region.flat or self._is_free(last.end, track.at(along))):
            found = self.region.leads.link(last, track, along)
            if found is not None:
                return found
        points = self._around(number, last.end)
        if points is None:
            return None
        way = _straight(points)
        if sum(segment.length for segment in way) > self.longest:
            return None
        begun = rounds.begun(track, points[-1])
        way += _straight([points[-1], begun.start])
        return (tuple(way), begun) if self.region.inside(way) else None

    def _is_free(self, a: Point, b: Point) -> bool:
        way = LineString([a, b]) if a != b else shapely.Point(a)
        return bool(shapely.covers(self.region.room, way)) and bool(shapely.covers(self.free(), way))

    def free(self) -> BaseGeometry:
        """Where the axis meets next to no wood: in air, and beside all strokes done so far."""
        done, free = self._free
        if done < self.done:
            lines = shapely.multilinestrings([stroke.line for stroke in self.strokes[done : self.done]])
            beside = shapely.buffer(lines, _BESIDE * self.region.step, quad_segs=4)
            free = shapely.union(free, beside)
            shapely.prepare(free)
            self._free = (self.done, free)
        return free

    def _around(self, number: int, here: Point) -> list[Point] | None:
        """A way from the stroke before to this one along strokes that are done, pulled straight where that is free."""
        stroke = self.strokes[number]
        steps = None if stroke.beside is None else _between(self.strokes, number - 1, stroke.beside)
        if steps is None:
            return None
        points = self._stepping([*steps, number], here)
        if not stroke.track.closed:
            points += _along(stroke.line, points[-1], stroke.track.start)
        return _pulled(points, shapely.intersection(self.free(), self.region.room))

    def _stepping(self, steps: list[int], here: Point) -> list[Point]:
        """From a place on the first of some strokes, each beside the next, along them to the last."""
        points = [here]
        for i, j in zip(steps, steps[1:]):
            to = self.strokes[j].line
            link = shapely.shortest_line(shapely.Point(points[-1]), to)
            if link.length > self.region.step * 1.5 or not shapely.covers(self.region.room, link):
                link = shapely.shortest_line(self.strokes[i].line, to)
                points += _along(self.strokes[i].line, points[-1], link.coords[0])
            points.append(link.coords[1])
        return points

    def _back(self, here: Point, start: Point, room: BaseGeometry) -> list[Point]:
        """From the end of all to the start, when all is cut; empty where that is too far."""
        if shapely.covers(room, LineString([here, start])):
            points = [here, start]
        else:
            steps = _between(self.strokes, len(self.strokes) - 1, 0)
            if steps is None:
                return []
            points = self._stepping(steps, here)
            points += [*_along(self.strokes[0].line, points[-1], start), start]
            points = _pulled(points, room)
            if not shapely.covers(room, LineString(points)):
                return []
        return points if sum(segment.length for segment in _straight(points)) <= self.longest else []


def _straight(points: list[Point]) -> list[Segment]:
    return [Segment(a, b) for a, b in zip(points, points[1:]) if dist(a, b) > 1e-9]


def _pulled(points: list[Point], free: BaseGeometry) -> list[Point]:
    """A way without its detours, as far as the straight lines lie in a free area."""
    shapely.prepare(free)
    kept, i = [points[0]], 0
    places = np.array(points)
    while i < len(points) - 1:
        ends = places[i + 2 :]
        ways = shapely.linestrings(np.stack([np.broadcast_to(places[i], ends.shape), ends], axis=1))
        good = np.flatnonzero(shapely.covers(free, ways)).tolist() if len(ends) else []
        i = i + 2 + good[-1] if len(good) else i + 1
        kept.append(points[i])
    return kept


def _between(strokes: Sequence[Stroke], a: int, b: int) -> list[int] | None:
    """The strokes from one to another, each beside the next; None where they do not hang together."""

    def up(i: int) -> list[int]:
        way = [i]
        while (beside := strokes[way[-1]].beside) is not None:
            way.append(beside)
        return way

    from_a, from_b = up(a), up(b)
    shared = set(from_b)
    top = next((i for i in from_a if i in shared), None)
    if top is None:
        return None
    return from_a[: from_a.index(top) + 1] + from_b[: from_b.index(top)][::-1]


def _along(line: LineString, a: Point, b: Point) -> list[Point]:
    """Points along a line from near one place to near another, round a ring the shorter way; without the first."""
    start, end = (float(along) for along in line.project([shapely.Point(a), shapely.Point(b)]))
    far = line.length - abs(end - start)
    if not line.is_closed or abs(end - start) <= far:
        way = shapely.get_coordinates(substring(line, start, end))
    elif start > end:
        way = np.vstack([shapely.get_coordinates(substring(line, *ends)) for ends in ((start, line.length), (0, end))])
    else:
        way = np.vstack([shapely.get_coordinates(substring(line, *ends)) for ends in ((start, 0), (line.length, end))])
    return [(float(x), float(y)) for x, y in way[1:]]
