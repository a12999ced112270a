"""The strokes that clear a room with limited engagement, in their order.

First a spiral to the largest disc about the place where the cutter goes down; then arcs, one about each disc that
follows; at last the wall, where wood was left at it.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import atan2, cos, dist, hypot, pi, sin

import numpy as np
import shapely
from shapely import LineString, Polygon
from shapely.geometry.base import BaseGeometry

from toolpaths.base.checks import Floats
from toolpaths.base.errors import DoesNotFitError, Point
from toolpaths.making.operations.clearing.limited.advance import Limit
from toolpaths.making.operations.clearing.limited.areas import polygons
from toolpaths.making.operations.clearing.limited.disc_order import DiscOrder, Discs, WallOrder
from toolpaths.making.operations.clearing.limited.wall_discs import WallPlaces, between, wall_places
from toolpaths.making.operations.operation import AIR
from toolpaths.shapes import arc_fit
from toolpaths.shapes.curves import lengths_along, places_along
from toolpaths.shapes.tolerance_shares import FIT
from toolpaths.shapes.track import Segment, Track

# Degrees kept from the limit, for the rounding of the text.
_HAIR_DEG = 0.2
# Chips thinner than this share of the tolerance are none.
_HAIR = 0.25
# Of the tolerance: half the width of slits in the room that are none.
_SLIT = 0.1
# Deeper than this share of the tolerance, what cannot be cut within the limit is an error.
_TOO_DEEP = 5.0
# Of the radius: discs no larger come to the wall, and larger ones leave this share of what such may advance.
_AT_WALLS, _SKIN = 0.5, 0.5
# Of the radius: discs with centres so near are one.
_SAME = 0.015
# mm, at least: moves that are shorter hold a machine up.
_SHORTEST = 0.08
# Tolerances: a disc no larger, in the tip of a corner, is left to the lap along the wall.
_TIP = 1.5
# Radii: a return no longer is made at feed.
_SHORT = 0.2
# An area that is so much of its smallest circle is one disc.
_DISC = 0.98
# Shares of an arc at which it is looked up whether it is worth a stroke.
_LOOKS = np.linspace(0.1, 0.9, 7)


@dataclass(frozen=True, slots=True)
class Stroke:
    """One track of the cutter, and the places on the way to its start, through room without wood.

    kind : "level" at feed; "rapid" by a rise to the first place, by rapid to the last but one, and down to the last;
        "lifted" by a lift to above the first place, where the cutter meets no wood on its way down
    """

    track: Track
    approach: tuple[Point, ...]
    kind: str


def strokes(
    centres: Polygon,
    free: BaseGeometry,
    here: Point,
    *,
    radius: float,
    limit_deg: float,
    widest: float,
    climb: bool,
    tolerance: float,
) -> list[Stroke]:
    """What clears `centres`, where the cutter's axis may be, when it meets no wood in `free`, in order.

    here : where the axis is at first, in `free`
    widest : mm from stroke to stroke at most, up to the radius of what cuts level, or wood would be left between them
    climb : whether the wood is on the right of the travel
    Raises DoesNotFitError where the limit cannot be kept.
    """
    limit = Limit.of_degrees(radius, limit_deg - _HAIR_DEG, widest)
    # Without slits into which nothing goes.
    slit = _SLIT * tolerance
    opened = shapely.buffer(shapely.buffer(centres, -slit, join_style="mitre"), slit, join_style="mitre")
    if isinstance(opened, Polygon) and not opened.is_empty:
        centres = opened
    return _Clearing(centres, free, here, limit, climb, tolerance).strokes()


class _Clearing:
    """Strokes as they are found."""

    def __init__(
        self, room: Polygon, free: BaseGeometry, here: Point, limit: Limit, climb: bool, tolerance: float
    ) -> None:
        self.room, self.free, self.here, self.limit = room, free, here, limit
        self.climb, self.tolerance, self.hair = climb, tolerance, _HAIR * tolerance
        self.places = wall_places(room, limit, self.hair)
        self.cleared = Discs(np.empty((0, 2)), np.empty(0))
        self.found: list[Stroke] = []
        # Whether the free room is more than one disc.
        self.is_area = bool(free.area < _DISC * pi * shapely.minimum_bounding_radius(free) ** 2)
        self.quiet = shapely.buffer(free, -AIR, quad_segs=4)
        shapely.prepare(self.free)
        shapely.prepare(self.quiet)

    def strokes(self) -> list[Stroke]:
        if shapely.covers(shapely.buffer(self.free, self.hair, quad_segs=2), self.room):
            return []
        order = self._order()
        for number in order.order:
            centre, size = order.cleared[number]
            if size > _TIP * self.tolerance:
                self._round(centre, size)
        for places in self.places:
            self._wall(places)
        return self.found

    def _order(self) -> DiscOrder:
        """All discs, after the first has been cut."""
        seeds = self._seeds()
        parts = [between(places, self.room.boundary, self.limit) for places in self.places]
        count = np.cumsum([0, *(len(places.along) for places in self.places)])
        sides = [
            first + np.column_stack([of, (of + 1) % len(places.along)])
            for first, places, (_, _, of) in zip(count.tolist(), self.places, parts)
        ]
        beside = [
            np.stack([np.roll(centres, 1, axis=0), np.roll(centres, -1, axis=0)], axis=1) for centres, _, _ in parts
        ]
        middles, whole = np.vstack([part[0] for part in parts]), np.concatenate([part[1] for part in parts])
        kept = self._distinct(middles, whole)
        discs = Discs(middles[kept], self._cut(whole[kept]))
        at = np.vstack([places_along(places.ring, places.along) for places in self.places])
        headings = np.concatenate([places.headings for places in self.places])
        wall = WallOrder(at, headings, self.climb, self.limit, self.hair)
        lines = [self._from_seed(seed, at) for seed in seeds]
        discs = Discs(
            np.vstack([discs.centres, *(line[0] for line in lines)]),
            np.concatenate([discs.radii, *(self._size(line[0]) for line in lines)]),
        )
        order = DiscOrder(
            discs,
            np.vstack([*(b for b in [np.vstack(beside)[kept]]), *(line[1] for line in lines)]),
            self._size,
            wall,
            np.vstack([np.vstack(sides)[kept], *(line[2] for line in lines)]),
            self.hair / 4,
        )
        if self.is_area:
            order.clear_area(self.free)
            for centre, size in zip(*self._free_discs(discs)):
                self._clear(order, centre, float(size))
        for centre, size in seeds:
            self._clear(order, np.array(centre), size)
        (x, y), size = seeds[0]
        largest = float(self._size(np.array([[x, y]]))[0])
        if largest > size:
            self._spiral((x, y), size, largest)
            self._clear(order, np.array([x, y]), largest)
        deep = _TOO_DEEP * self.tolerance
        order.choose(deep)
        left = order.left(deep)
        if len(left):
            x, y = left[0].tolist()
            raise DoesNotFitError(
                f"The limit of engagement cannot be kept near ({x:.1f}, {y:.1f}); take a finer cutter there, or "
                "engagement_deg=180.",
                (x, y),
            )
        return order

    def _clear(self, order: DiscOrder, centre: Floats, size: float) -> None:
        order.clear(centre, size)
        self.cleared = self.cleared.joined(Discs(centre[None], np.array([size])))

    def _from_seed(self, seed: tuple[Point, float], at: Floats) -> tuple[Floats, Floats, np.ndarray]:
        """(centres, those beside each, places) of discs from a free one to the largest that touches the same wall."""
        centre = np.array(seed[0])
        number = int(np.argmin(np.hypot(*(at - centre).T)))
        to = np.vstack([places.centres for places in self.places])[number]
        step = 0.1 * min(self.limit.advance(seed[1]), self.limit.widest)
        shares = np.linspace(0, 1, 2 + min(int(dist(seed[0], to.tolist()) / step), 1000))[:, None]
        middles = centre + (to - centre) * shares
        beside = np.stack([np.roll(middles, 1, axis=0), np.roll(middles, -1, axis=0)], axis=1)
        beside[0, 0], beside[-1, 1] = middles[0], middles[-1]
        return middles, beside, np.full((len(middles), 2), number)

    def _free_discs(self, discs: Discs) -> tuple[Floats, Floats]:
        """(centres, radii) of discs in the free room, near the wood."""
        inside = discs.centres[shapely.contains_xy(self.free, *discs.centres.T)]
        points = shapely.points(inside)
        sizes = shapely.distance(self.free.boundary, points)
        wood = shapely.difference(self.room, self.free)
        near = shapely.distance(wood, points) < sizes + self.limit.radius / 2
        return inside[near], sizes[near]

    def _size(self, middles: Floats) -> Floats:
        """The sizes to which discs about places of the room are cut."""
        return self._cut(shapely.distance(self.room.boundary, shapely.points(middles)))

    def _distinct(self, middles: Floats, radii: Floats) -> np.ndarray:
        """Numbers of the discs without those that are found from another wall as well."""
        grid = _SAME * self.limit.radius
        large = np.flatnonzero(radii > self.limit.radius / 4)
        _, first = np.unique(np.rint(middles[large] / grid).astype(np.int64), axis=0, return_index=True)
        return np.sort(np.concatenate([np.flatnonzero(radii <= self.limit.radius / 4), large[first]]))

    def _cut(self, radii: Floats) -> Floats:
        """The sizes to which discs are cut that would touch the wall."""
        at_walls = _AT_WALLS * self.limit.radius
        skin = _SKIN * min(self.limit.advance(at_walls), self.limit.widest)
        cut: Floats = radii - np.clip(radii - at_walls, 0, skin)
        return cut

    def _seeds(self) -> list[tuple[Point, float]]:
        """Discs in the free room, the largest first."""
        found = []
        for part in polygons(self.free):
            circle = shapely.maximum_inscribed_circle(part, self.limit.radius / 100)
            x, y = shapely.get_coordinates(circle)[0].tolist()
            found.append(((x, y), float(shapely.distance(part.boundary, shapely.Point(x, y)))))
        return sorted(found, key=lambda each: -each[1])

    def _spiral(self, centre: Point, size: float, largest: float) -> None:
        """Half turns from a free disc to the largest about a centre, and once round that."""
        sizes = [size]
        while sizes[-1] < largest - 1e-9:
            wider = min(self.limit.wider(sizes[-1]), largest)
            sizes += [(sizes[-1] + wider) / 2, wider]
        sizes += [largest, largest]
        (cx, cy), (x, y) = centre, self.here
        turn = atan2(y - cy, x - cx) if hypot(x - cx, y - cy) > 1e-6 else 0.0
        segments = []
        start = (cx + size * cos(turn), cy + size * sin(turn))
        sign = 1.0 if self.climb else -1.0
        for following in sizes[1:]:
            turn += pi
            end = (cx + following * cos(turn), cy + following * sin(turn))
            segments.append(Segment(start, end, ((start[0] + end[0]) / 2, (start[1] + end[1]) / 2), sign * pi))
            start = end
        self._add(Track(tuple(segments), False))

    def _round(self, centre: Floats, size: float) -> None:
        """The arcs of a disc where it sticks out of what is cleared."""
        x, y = centre.tolist()
        arcs = self._arcs(centre, size)
        if self.is_area:
            arcs = [trimmed for arc in arcs if (trimmed := self._outside(x, y, size, arc))]
        lead = _SHORTEST / size if size > 2 * _SHORTEST else 0.0
        for start, end in sorted(arcs, key=lambda arc: self._far(x, y, size, arc)):
            start, end = start - lead, end + lead
            if end - start > 2 * pi:
                end = start + 2 * pi
            if not self.climb:
                start, end = end, start
            a = (x + size * cos(start), y + size * sin(start))
            b = (x + size * cos(end), y + size * sin(end))
            arc = Segment(a, b, (x, y), end - start)
            line = _before(arc)
            reached = not lead and self.cleared.depth(np.array(line.start)).max() > -self.hair
            self._add(Track((line, arc) if reached else (arc,), False))
        self.cleared = self.cleared.joined(Discs(centre[None], np.array([size])))

    def _far(self, x: float, y: float, size: float, arc: tuple[float, float]) -> float:
        turn = arc[0] if self.climb else arc[1]
        return dist(self.here, (x + size * cos(turn), y + size * sin(turn)))

    def _arcs(self, centre: Floats, size: float) -> list[tuple[float, float]]:
        """(start, end) radians of the parts of a circle that lie outside of what is cleared."""
        to = self.cleared.centres - centre
        away = np.hypot(*to.T)
        near = (away < size + self.cleared.radii) & (away > size - self.cleared.radii)
        to, away, radii = to[near], np.maximum(away[near], 1e-12), self.cleared.radii[near]
        if (away + size <= radii).any():
            return []
        half = np.arccos(np.clip((away**2 + size**2 - radii**2) / (2 * away * size), -1, 1))
        middle = np.arctan2(to[:, 1], to[:, 0])
        first = (middle - half) % (2 * pi)
        order = np.argsort(first)
        first, last = first[order], (first + 2 * half)[order]
        if not len(first):
            return [(0.0, 2 * pi)]
        reached = np.maximum.accumulate(last)
        # What reaches over the end covers the beginning.
        over = reached[-1] - 2 * pi
        begins = np.append(first[1:], first[0] + 2 * pi)
        ends = np.maximum(reached, over)
        found = [(a, b) for a, b in zip(ends.tolist(), begins.tolist()) if b - a > 1e-9]
        return self._merged([arc for arc in found if self._thick(size, arc, to, radii)], size)

    def _merged(self, arcs: list[tuple[float, float]], size: float) -> list[tuple[float, float]]:
        found: list[tuple[float, float]] = []
        for a, b in arcs:
            if found and (a - found[-1][1]) * size < self.limit.radius / 2:
                found[-1] = (found[-1][0], b)
            else:
                found.append((a, b))
        return found

    def _thick(self, size: float, arc: tuple[float, float], to: Floats, radii: Floats) -> bool:
        """Whether there is a chip along an arc between discs about places seen from its centre."""
        turns = arc[0] + (arc[1] - arc[0]) * _LOOKS
        x, y = size * np.cos(turns)[:, None] - to[:, 0], size * np.sin(turns)[:, None] - to[:, 1]
        return bool((np.sqrt(x * x + y * y) - radii).min(axis=1).max() > self.hair / 4)

    def _outside(self, x: float, y: float, size: float, arc: tuple[float, float]) -> tuple[float, float] | None:
        """An arc without what lies in the free room at either end."""
        count = 2 + int((arc[1] - arc[0]) * size / (self.limit.radius / 20))
        turns = np.linspace(*arc, count)
        out = np.flatnonzero(~shapely.contains_xy(self.free, x + size * np.cos(turns), y + size * np.sin(turns)))
        if not len(out):
            return None
        return float(turns[max(out[0] - 1, 0)]), float(turns[min(out[-1] + 1, count - 1)])

    def _wall(self, places: WallPlaces) -> None:
        """Along a ring of the wall where there is wood at it, the whole ring from and to it on an arc."""
        at = places_along(places.ring, places.along)
        wood = np.ones(len(at), bool)
        if self.is_area:
            wood = shapely.distance(self.free, shapely.points(at)) > self.hair
        if not wood.any():
            return
        whole = float(lengths_along(places.ring)[-1])
        stretches = _stretches(places.along[wood], whole, 2 * self.limit.radius)
        if not stretches:
            self._ring(places, at)
        pad = self.limit.radius / 4
        while stretches:
            starts = places_along(places.ring, np.array([(s if self.climb else s + n) % whole for s, n in stretches]))
            start, length = stretches.pop(int(np.argmin(np.hypot(*(starts - self.here).T))))
            points = _along(places.ring, (start - pad) % whole, length + 2 * pad)
            track = arc_fit.fit(points if self.climb else points[::-1], False, self.tolerance * FIT)
            self._add(track)

    def _ring(self, places: WallPlaces, at: Floats) -> None:
        wide = np.flatnonzero(places.radii >= min(2 * self.limit.radius, 0.9 * places.radii.max()))
        chosen = int(wide[np.argmin(np.hypot(*(at[wide] - self.here).T))])
        heading, size = float(places.headings[chosen]), float(places.radii[chosen])
        x, y = at[chosen].tolist()
        points = _along(places.ring, float(places.along[chosen]), float(lengths_along(places.ring)[-1]))
        if not self.climb:
            points = points[::-1]
        lead = min(size / 2, self.limit.radius)
        track = arc_fit.fit(points, False, self.tolerance * FIT)
        cx, cy = x - lead * sin(heading), y + lead * cos(heading)
        sign = 1.0 if self.climb else -1.0
        before, after = heading - sign * pi / 2 - pi / 2, heading + sign * pi / 2 - pi / 2
        a = (cx + lead * cos(before), cy + lead * sin(before))
        b = (cx + lead * cos(after), cy + lead * sin(after))
        segments = (
            Segment(a, track.segments[0].start, (cx, cy), sign * pi / 2),
            *track.segments,
            Segment(track.segments[-1].end, b, (cx, cy), sign * pi / 2),
        )
        self._add(Track(segments, False))

    def _add(self, track: Track) -> None:
        self.found.append(self._stroke(track))
        self.here = track.segments[-1].end

    def _stroke(self, track: Track) -> Stroke:
        """A stroke, and how to come to it."""
        here, start = self.here, track.start
        if not self.found:
            straight = LineString([here, start])
            if shapely.covers(self.free, straight) or dist(here, start) < 1e-3:
                return Stroke(track, (start,), "level")
            return Stroke(track, (start,), "lifted")
        off = self._aside(here, self.found[-1].track.segments[-1].heading(1.0))
        on = self._aside(start, track.segments[0].heading(0.0))
        if shapely.covers(self.quiet, LineString([off, on])):
            return Stroke(track, (off, on, start), "rapid")
        deep = np.minimum(self.cleared.depth(np.array(here)), self.cleared.depth(np.array(start))).max() > -1e-3
        if deep and dist(here, start) < _SHORT * self.limit.radius:
            return Stroke(track, (start,), "level")
        if np.minimum(self.cleared.depth(np.array(off)), self.cleared.depth(np.array(on))).max() >= AIR:
            return Stroke(track, (off, on, start), "rapid")
        if deep:
            return Stroke(track, (start,), "level")
        free = self.cleared.depth(np.array(on)).max() >= AIR or shapely.contains_xy(self.quiet, *on)
        return Stroke(track, (on if free else start, start), "lifted")

    def _aside(self, place: Point, heading: float) -> Point:
        """A place off the wood."""
        off = (1.0 if self.climb else -1.0) * 2 * AIR
        return place[0] - off * sin(heading), place[1] + off * cos(heading)


def _before(arc: Segment) -> Segment:
    """A line straight to the start of an arc that is too short to be reached by a lead of its own."""
    (x, y), heading = arc.start, arc.heading(0.0)
    return Segment((x - _SHORTEST * cos(heading), y - _SHORTEST * sin(heading)), (x, y))


def _along(ring: Floats, start: float, length: float) -> Floats:
    """The points of a ring from a length along it, for so much of it, at most one round."""
    at = lengths_along(ring)
    ats, twice = np.concatenate([at, at[1:] + at[-1]]), np.vstack([ring, ring[1:]])
    inside = (ats > start + 1e-6) & (ats < start + length - 1e-6)
    first, last = places_along(twice, np.array([start, start + length]))
    return np.vstack([first, twice[inside], last])


def _stretches(along: Floats, whole: float, apart: float) -> list[tuple[float, float]]:
    """(start, length) of the parts of a ring where places are no farther apart; none if that is all of it."""
    gaps = np.diff(np.append(along, along[0] + whole))
    ends = np.flatnonzero(gaps > apart)
    starts = (ends + 1) % len(along)
    order = np.roll(ends, -1)
    return [(float(along[s]), float((along[e] - along[s]) % whole)) for s, e in zip(starts, order)]
