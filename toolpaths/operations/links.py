"""Strokes strung together: ways from one to the next that stay down in cleared wood, on smooth curves where they fit.

A way to a stroke beside the last is short, and over wood that either of them takes. Any longer one leads along
strokes done before, cut short where the straight line lies in what is cleared too; where lifting over the wood is
sooner done, the chain ends and another begins.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from math import pi, sqrt

import numpy as np
import shapely
from shapely import LineString, Polygon
from shapely.geometry.base import BaseGeometry
from shapely.ops import substring

from toolpaths.errors import Point
from toolpaths.geometry.biarc import biarc
from toolpaths.geometry.track import Piece, Track
from toolpaths.operations import ring as rounds
from toolpaths.operations.clearing import Region
from toolpaths.operations.courses import Stroke

# Bends of links, as shares of the cutter's radius: the widest that fits is taken, else the link has corners.
_BENDS = (1.0, 0.6, 0.35)
# What lies within this share of the step from a stroke is taken to be free for a way.
_BESIDE = 0.6
# Chords of an arc when asking whether it lies in the room, a turn.
_CHORDS = 48
# Radius of the arc on which a cutter leaves a wall, as shares of its own.
_LEAVE = (1.0, 0.5, 0.25)


@dataclass(frozen=True, slots=True, eq=False)
class Chain:
    """What is cut without lifting: the first stroke, beside or along which the cutter goes in, and what follows."""

    first: Track
    inside: Polygon
    rest: tuple[Piece, ...]

    @property
    def end(self) -> Point:
        return self.rest[-1].end if self.rest else self.first.pieces[-1].end

    @property
    def length(self) -> float:
        return self.first.length + sum(piece.length for piece in self.rest)


def chains(strokes: Sequence[Stroke], region: Region, longest: float, begin: Callable[[Stroke], Track]) -> list[Chain]:
    """A course as chains.

    longest : mm; a way longer than this takes longer than lifting over the wood
    begin : where the first stroke of a chain begins
    """
    return _Stringing(strokes, region, longest, begin).chains()


class _Stringing:
    def __init__(
        self, strokes: Sequence[Stroke], region: Region, longest: float, begin: Callable[[Stroke], Track]
    ) -> None:
        self.strokes, self.region, self.longest, self.begin = strokes, region, longest, begin
        self.tracks: list[Track] = []
        self._free: tuple[int, BaseGeometry] = (0, region.air)

    def chains(self) -> list[Chain]:
        found: list[Chain] = []
        first: Track | None = None
        inside = self.strokes[0].inside
        rest: list[Piece] = []
        for number, stroke in enumerate(self.strokes):
            joined = None
            if first is not None:
                last = rest[-1] if rest else first.pieces[-1]
                joined = self._join(number, last)
                if joined is None:
                    found.append(self._ended(first, inside, rest, self.strokes[number - 1]))
            if joined is None:
                first, inside, rest = self.begin(stroke), stroke.inside, []
                self.tracks.append(first)
            else:
                way, track = joined
                rest += [*way, *track.pieces]
                self.tracks.append(track)
        assert first is not None
        found.append(self._ended(first, inside, rest, self.strokes[-1]))
        return found

    def _ended(self, first: Track, inside: Polygon, rest: list[Piece], last: Stroke) -> Chain:
        """The chain, with an arc on which the cutter leaves the wall, lest it stop there and mark it."""
        if last.wall:
            rest = rest + list(self._leave(rest[-1] if rest else first.pieces[-1]))
        return Chain(first, inside, tuple(rest))

    def _leave(self, last: Piece) -> tuple[Piece, ...]:
        turn = pi / 2 if self.region.climb else -pi / 2
        for share in _LEAVE:
            radius, heading = share * self.region.radius, last.heading(1.0)
            side = heading + turn
            centre = (last.end[0] + radius * np.cos(side), last.end[1] + radius * np.sin(side))
            end = (centre[0] + radius * np.cos(heading), centre[1] + radius * np.sin(heading))
            arc = Piece(last.end, (float(end[0]), float(end[1])), (float(centre[0]), float(centre[1])), turn)
            if self._inside((arc,)):
                return (arc,)
        return ()

    def _join(self, number: int, last: Piece) -> tuple[tuple[Piece, ...], Track] | None:
        """A way from the end of the last piece to a stroke, and the stroke begun where it arrives."""
        stroke = self.strokes[number]
        along, far = stroke.track.nearest(last.end) if stroke.track.closed else (
            0.0, rounds.distance(last.end, stroke.track.start))  # fmt: skip
        if far <= 2 * self.region.flat or self._is_free(last.end, stroke.track.at(along)):
            if far > self.longest:
                return None
            found = self._hop(last, stroke.track, along, far)
            if found is not None:
                return found
        points = self._around(number, last.end)
        if points is None:
            return None
        way = [Piece(a, b) for a, b in zip(points, points[1:]) if rounds.distance(a, b) > 1e-9]
        if not way or sum(piece.length for piece in way) > self.longest:
            return None
        track = rounds.begun(stroke.track, way[-1].end)
        way += [Piece(way[-1].end, track.start)] if rounds.distance(way[-1].end, track.start) > 1e-9 else []
        return (tuple(way), track) if self._inside(way) else None

    def _hop(self, last: Piece, track: Track, along: float, far: float) -> tuple[tuple[Piece, ...], Track] | None:
        """A short way: on two bends where they fit, else straight."""
        heading = last.heading(1.0)
        for bend in _BENDS:
            radius = bend * self.region.radius
            if track.closed:
                # Two arcs of radius q carry the axis over by s within sqrt(s (4 q - s)) of travel.
                ahead = sqrt(far * (4 * radius - far)) if far < 4 * radius else 2 * radius
                if ahead > track.length / 2:
                    continue
                begun = track.starting_at((along + ahead) % track.length)
            else:
                begun = track
            way = biarc(last.end, heading, begun.start, begun.pieces[0].heading(0.0))
            tight = min((piece.radius for piece in way), default=0.0)
            smooth = tight >= radius / 2 and sum(piece.length for piece in way) <= 2 * far + 2 * radius
            if smooth and self._inside(way):
                return way, begun
            if not track.closed:
                break
        begun = track.starting_at(along) if track.closed else track
        straight = (Piece(last.end, begun.start),) if far > 1e-9 else ()
        return (straight, begun) if self._inside(straight) else None

    def _inside(self, way: Sequence[Piece]) -> bool:
        """Whether the axis may go there; fitted arcs lie within the tolerance of the area."""
        points = [way[0].start] if way else []
        for piece in way:
            count = max(1, round(_CHORDS * abs(piece.sweep) / (2 * pi)))
            points += [piece.at(i / count) for i in range(1, count + 1)]
        return len(points) < 2 or bool(shapely.covers(self.region.room, LineString(points)))

    def _is_free(self, a: Point, b: Point) -> bool:
        way = LineString([a, b]) if a != b else shapely.Point(a)
        return bool(shapely.covers(self.region.room, way)) and bool(shapely.covers(self.free(), way))

    def free(self) -> BaseGeometry:
        """Where the axis meets next to no wood: in air, and beside all strokes done so far."""
        done, free = self._free
        if done < len(self.tracks):
            lines = shapely.multilinestrings([stroke.line for stroke in self.strokes[done : len(self.tracks)]])
            beside = shapely.buffer(lines, _BESIDE * self.region.step, quad_segs=4)
            free = shapely.union(free, beside)
            shapely.prepare(free)
            self._free = (len(self.tracks), free)
        return free

    def _around(self, number: int, here: Point) -> list[Point] | None:
        """A way along strokes that are done, by the tree, pulled straight where that is free."""
        stroke = self.strokes[number]
        if stroke.beside is None:
            return None
        steps = _between(self.strokes, number - 1, stroke.beside)
        if steps is None:
            return None
        points = [here]
        for i, j in zip(steps, [*steps[1:], number]):
            to = self.strokes[j].line
            link = shapely.shortest_line(shapely.Point(points[-1]), to)
            if link.length > self.region.step * 1.5 or not shapely.covers(self.region.room, link):
                link = shapely.shortest_line(self.strokes[i].line, to)
                points += _along(self.strokes[i].line, points[-1], link.coords[0])
            points.append(link.coords[1])
        if not stroke.track.closed:
            points += _along(stroke.line, points[-1], stroke.track.start)
        return self._pulled(points)

    def _pulled(self, points: list[Point]) -> list[Point]:
        """The way without its detours."""
        free, kept, i = self.free(), [points[0]], 0
        places = np.array(points)
        while i < len(points) - 1:
            ends = places[i + 2 :]
            ways = shapely.linestrings(np.stack([np.broadcast_to(places[i], ends.shape), ends], axis=1))
            good = np.flatnonzero(shapely.covers(free, ways)) if len(ends) else []
            i = i + 2 + int(good[-1]) if len(good) else i + 1
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
