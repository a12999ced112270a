"""Rings over a surface, from the edge inwards: level each, linked by ways that slope along the surface."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from math import ceil, dist, log2, pi

import numpy as np
import shapely
from shapely import Polygon
from shapely.geometry.base import BaseGeometry

from toolpaths.base.checks import Floats
from toolpaths.base.errors import Point
from toolpaths.facts.features.edge_distances import Edge, distances
from toolpaths.making.motion.toolpath import PathBuilder
from toolpaths.making.operations import entries, rings
from toolpaths.making.operations.hollowing.tip_heights import TipHeights
from toolpaths.making.operations.operation import CLEAR, levels
from toolpaths.making.operations.rings import Direction
from toolpaths.shapes import offset
from toolpaths.shapes.drawn_area import DrawnArea
from toolpaths.shapes.track import Track, circle_track

# A link is so many times as long as the step that it bridges, but no longer than this share of the ring.
_SLANT, _OF_RING = 6.0, 0.15
# mm of a link from one height to the next that is looked at, pieces of it at least, and the share of the tolerance by
# which the straight pieces that are made of it may be off; and how many steps off a ring may lie for a link to it.
_CHORD, _FINEST, _OFF, _NEAR = 0.5, 8, 0.25, 3.0
# mm of a ring that is no more than a place, and mm short of the middle at which the last ring runs.
_PLACE, _SHORT = 0.3, 0.005
# Steps between a ring and the next from which on a ridge between its two sides is too high, and places that are looked
# at across its end.
_TAIL, _ACROSS = 1.6, 9
# Share of the tolerance by which arcs may be off one circle.
_SAME = 0.1
# Shares of what is left in the middle at which it is gone round once more.
_LAST = (0.5, 1.0)


@dataclass(eq=False)
class Ring:
    """One way round at one distance from the edge, and those inside it that come next.

    track : None where it is no more than a place
    """

    away: float
    track: Track | None
    place: Point
    inner: list[Ring] = field(default_factory=list)

    def nearest(self, place: Point) -> float:
        return dist(self.place, place) if self.track is None else self.track.nearest(place)[1]


@dataclass(frozen=True, eq=False)
class Surface:
    """What the rings follow.

    drawn : the area, as the board lies; edge : its outline in straight pieces
    top : z of its edge
    """

    drawn: DrawnArea
    edge: Edge
    tips: TipHeights
    top: float

    def z(self, away: float) -> float:
        return self.top + float(self.tips.at(np.array([away]))[0])

    def z_over(self, places: Floats) -> Floats:
        """(k,) z of the tip over places (k, 2)."""
        return np.asarray(self.top + self.tips.at(distances(self.edge, places)))

    @property
    def widest_step(self) -> float:
        """mm from ring to ring at most, about."""
        return self.tips.profile.radius


def rings_inwards(surface: Surface, passes: Sequence[float], direction: Direction) -> list[Ring]:
    """The rings at these distances from the edge, and what is left in the middle of them: the outermost."""
    drawn, tolerance = surface.drawn, surface.drawn.tolerance
    if (disc := _disc(drawn)) is not None:
        return _round(disc, passes, direction)
    outermost: list[Ring] = []
    # Of the distance before, each room and the rings about it.
    before: list[tuple[Polygon, list[Ring]]] = []
    for away in passes:
        rooms = _polygons(offset.wall(drawn.area, -away, tolerance, slim=False))
        found = [(room, _about(room, away, drawn, direction)) for room in rooms]
        for room, around in found:
            outer = [ring for other, there in before if shapely.intersects(other, room) for ring in there]
            for ring in around:
                _inside(ring, outer, outermost)
        for room, around in before:
            inner = [other for other in rooms if shapely.intersects(room, other)]
            if inner:
                _tails(room, shapely.union_all(inner), around, away, direction, surface)
            else:
                _middle(room, around, direction, drawn)
        before = found
    for room, around in before:
        _middle(room, around, direction, drawn)
    return outermost


def _disc(drawn: DrawnArea) -> tuple[Point, float] | None:
    """The middle and the radius of an area that is a disc; None for any other."""
    if len(drawn.tracks) != 1 or not all(segment.sweep for segment in drawn.tracks[0].segments):
        return None
    segments = drawn.tracks[0].segments
    (x, y), radius = segments[0].centre, segments[0].radius
    far = max(max(dist(each.centre, (x, y)), abs(each.radius - radius)) for each in segments)
    return ((x, y), radius) if far < _SAME * drawn.tolerance else None


def _round(disc: tuple[Point, float], passes: Sequence[float], direction: Direction) -> list[Ring]:
    """Circles one in the other, and the middle."""
    middle, radius = disc
    outermost: list[Ring] = []
    inner = outermost
    for away in passes:
        wide = radius - away
        track = circle_track(middle, wide, direction == "conventional") if 2 * pi * wide > _PLACE else None
        ring = Ring(away, track, track.start if track else middle)
        inner.append(ring)
        inner = ring.inner
    return outermost


def _polygons(area: BaseGeometry) -> list[Polygon]:
    """The polygons of what may be none."""
    return [part for part in shapely.get_parts(area) if isinstance(part, Polygon) and not part.is_empty]


def _about(room: Polygon, away: float, drawn: DrawnArea, direction: Direction) -> list[Ring]:
    if room.length < _PLACE:
        return [Ring(away, None, rings.placed_point(room))]
    tracks = rings.boundary_rings(room, drawn, wood_outside=True, direction=direction)
    return [Ring(away, track, track.start) for track in tracks]


def _inside(ring: Ring, outer: list[Ring], outermost: list[Ring]) -> None:
    """Enter a ring among those that come after the nearest one outside it."""
    if not outer:
        outermost.append(ring)
        return
    min(outer, key=lambda other: other.nearest(ring.place)).inner.append(ring)


def _middle(room: Polygon, around: list[Ring], direction: Direction, drawn: DrawnArea) -> None:
    """What is left inside a room whose next ring would be none: gone round on the way to its middle."""
    away, left = around[0].away, float(shapely.maximum_inscribed_circle(room).length)
    outer = around
    for share in _LAST if left > 2 * _SHORT else ():
        by = share * left - (_SHORT if share == 1.0 else 0.0)
        inner = [
            ring
            for part in _polygons(offset.wall(room, -by, drawn.tolerance, slim=False))
            for ring in _about(part, away + by, drawn, direction)
        ]
        for ring in inner:
            _inside(ring, outer, [])
        outer = inner or outer


def _tails(
    room: Polygon, inner: BaseGeometry, around: list[Ring], away: float, direction: Direction, surface: Surface
) -> None:
    """Where a room narrows so slowly that both its sides leave a ridge between them: gone round once more, half-way to
    the next ring.

    inner : the rooms of the next distance, away from the edge
    """
    step, tolerance = away - around[0].away, surface.drawn.tolerance
    far = shapely.difference(room, shapely.buffer(inner, _TAIL * step))
    tails = [part for part in _polygons(far) if part.area > step * step]
    if not tails:
        return
    half = offset.wall(room, -step / 2, tolerance, slim=False)
    # Across its end it comes over places farther from the edge: no lower than the tip may be at any of them.
    places = np.linspace(away - step / 2, away, _ACROSS)
    highest = float(places[np.argmax(surface.tips.at(places))])
    for part in _polygons(shapely.intersection(half, shapely.buffer(shapely.union_all(tails), step))):
        for ring in _about(part, highest, surface.drawn, direction):
            _inside(ring, around, [])


def cut_rings(builder: PathBuilder, outermost: Sequence[Ring], surface: Surface, wood: float) -> None:
    """Each ring and all inside it, from the edge inwards.

    wood : z of the highest wood that stands over them
    """
    left = list(outermost)
    while left:
        if builder.moves:
            left.sort(key=lambda ring: -ring.nearest(builder.place))
        for ring in _in_turn(left.pop()):
            _cut(builder, ring, surface, wood)


def _in_turn(ring: Ring) -> Iterator[Ring]:
    """A ring, then what is inside it."""
    left = [ring]
    while left:
        found = left.pop()
        yield found
        left += sorted(found.inner, key=lambda inner: inner.nearest(found.place), reverse=True)


def _cut(builder: PathBuilder, ring: Ring, surface: Surface, wood: float) -> None:
    z = surface.z(ring.away)
    reached = ring.nearest(builder.place) <= _NEAR * surface.widest_step if builder.moves else False
    if not reached or builder.z > surface.top:
        _enter(builder, ring, z, wood)
        return
    track = ring.track and _begun_ahead(ring.track, builder.place)
    link_over(builder, track.start if track else ring.place, z, surface)
    if track:
        builder.segments(track.segments, z)


def _begun_ahead(track: Track, place: Point) -> Track:
    """A ring begun where a slanting link from a place comes on to it: some way ahead of the nearest of it."""
    along, away = track.nearest(place)
    return track.starting_at((along + min(_SLANT * away, _OF_RING * track.length)) % track.length)


def link_over(builder: PathBuilder, there: Point, z: float, surface: Surface) -> None:
    """Along the surface, in as few straight pieces as keep to it."""
    here, fine = builder.place, max(_FINEST, 2 ** ceil(log2(max(dist(builder.place, there) / _CHORD, 1.0))))
    share = np.linspace(0.0, 1.0, fine + 1)
    places = np.array(here) + share[:, None] * (np.array(there) - np.array(here))
    heights = surface.z_over(places)
    heights[[0, -1]] = builder.z, z
    pieces = 1
    while pieces < fine:
        some = slice(None, None, fine // pieces)
        if np.abs(np.interp(share, share[some], heights[some]) - heights).max() <= _OFF * surface.drawn.tolerance:
            break
        pieces *= 2
    for n in range(fine // pieces, fine + 1, fine // pieces):
        x, y = places[n].tolist()
        builder.straight((x, y) if n < fine else there, float(heights[n]))


def _enter(builder: PathBuilder, ring: Ring, z: float, wood: float) -> None:
    """From above, down along the ring."""
    top = max(wood, z)
    start = ring.place if ring.track is None else ring.track.start
    builder.go_above(start, top + CLEAR)
    if ring.track is None or top - z < 1e-6:
        builder.plunge(z)
        if ring.track is not None:
            builder.segments(ring.track.segments, z)
        return
    entries.cut_ring(builder, ring.track, top, levels(top, z, builder.cutter.running.step_down), "auto")
