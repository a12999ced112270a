"""What a cutter must follow to clear wood from an area, and nothing more: loops, stepping inwards from the wall.

One rule serves the first cutter and every finer one: of each loop is kept only what comes within a cutter's radius of
wood that still stands. For the first cutter everything stands, so its loops are whole; for a finer one only corners
and necks do.

Why no island and no ridge is left: a point that a loop round P does not cut level lies in P eroded by the radius of
the tip's flat; the next loop runs round P eroded by the step, which is less. Its corners are rounded only as far as
the loop outside it still covers; that is looked up, by area, for every loop.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import NamedTuple

import numpy as np
import shapely
from shapely import LineString, Polygon
from shapely.geometry.base import BaseGeometry
from shapely.geometry.polygon import orient

from toolpaths.base.checks import Floats
from toolpaths.making.operations.clearing.thread import threads
from toolpaths.making.operations.leads import Leads, within
from toolpaths.shapes import arc_fit, door, offset
from toolpaths.shapes.drawn_area import DrawnArea
from toolpaths.shapes.drawn_loops import DrawnLoops, RingToFollow
from toolpaths.shapes.tolerance_shares import DRAWN, FIT
from toolpaths.shapes.track import Segment, Track

# A loop of which less than this share has no wood to cut is run whole, rather than lifted over it.
_IDLE_SHARE = 0.35
# Loops are moved by an engine that may be off by a hundredth of the distance; they never lie farther apart than this
# share of the radius of the flat.
_SURE = 0.97
# Loops inside the wall's need not be truer than this share of that radius: fitted ones and zones, each off by less than
# two thirds of it, together stay within what is left of the radius.
_COARSE = 0.02
_COARSE_FIT = 2 / 3
# What they are drawn with is truer by so much than what they are fitted with, lest the arcs follow the chords.
_DRAWN = 1 / 8
# Corners of loops are rounded to the cutter's own radius where that costs no wood, and to nothing tighter than this
# share of it: a smaller one keeps no machine at its speed.
_LEAST_ROUND = 0.15
# Of the roundest that just leaves nothing, so much is taken.
_NOT_QUITE = 0.9
# Where wood runs out beside a wall, a loop ends where that is thinner than so many tolerances. Beyond, the finer cutter
# leaves k / (1 + sqrt(k))^2 of that, k the coarse radius over its own (by the two circles at the wall, derived).
_THIN = 2.0
# A link keeps so many radii off the walls, but where it comes on to them and leaves them.
_OFF_WALL = 0.1
# A turn of a ring of more than this, in radians, is a corner and not a step of a curve.
_CORNER = 0.2


@dataclass(frozen=True, eq=False)
class Room:
    """One room for a cutter at one level, and the wood that stands in it.

    centres : where the axis may be, one polygon, its edge the wall loop
    wood : what stands; near it, and nowhere else, is there something to cut
    air : where the axis may be without meeting any wood
    known_air : of that, where earlier toolpaths took it, not only the user's word
    radius, flat : of the cutter, and of the flat of its tip, within which the floor is cut level
    step : from loop to loop, at most `flat`
    drawn : the area that is cleared
    untouched : whether it is known that wood stands wherever the cutter gets
    """

    centres: Polygon
    wood: BaseGeometry
    air: BaseGeometry
    known_air: BaseGeometry
    radius: float
    flat: float
    step: float
    climb: bool
    drawn: DrawnArea
    untouched: bool = False

    @property
    def tolerance(self) -> float:
        return self.drawn.tolerance

    @cached_property
    def allowed(self) -> Polygon:
        """Where the axis may go."""
        return allowed_about(self.centres, self.tolerance)

    @cached_property
    def quiet(self) -> BaseGeometry:
        """Where the axis may go and the cutter touches no wall."""
        rough = shapely.simplify(self.centres, _OFF_WALL / 4 * self.radius)
        quiet = shapely.buffer(rough, -_OFF_WALL * self.radius, quad_segs=4)
        shapely.prepare(quiet)
        return quiet

    @cached_property
    def leads(self) -> Leads:
        """How the cutter comes on to legs in it, and leaves them."""
        return Leads(self.radius, self.climb, self.allowed)

    @property
    def coarse(self) -> float:
        """mm within which zones of loops inside the wall's are true."""
        return max(self.tolerance, _COARSE * self.flat)

    @property
    def coarse_fit(self) -> float:
        """mm within which arcs are fitted to them."""
        return self.coarse * _COARSE_FIT

    @cached_property
    def known(self) -> DrawnLoops:
        """The loops inside the wall's, of the lines and arcs of the outline."""
        return DrawnLoops(self.drawn, self.coarse)

    @cached_property
    def off_outline(self) -> float:
        """mm from the outline to the wall loop."""
        # From the outline in chords, since it was these that were moved: a vertex of the loop lies off the arcs by a
        # sagitta more.
        place = shapely.Point(self.centres.exterior.coords[0])
        return float(shapely.distance(self.drawn.area.boundary, place)) if self.drawn.tracks else 0.0

    def inside(self, segments: Sequence[Segment]) -> bool:
        """Whether the axis may go there."""
        return within(self.allowed, segments)

    @cached_property
    def loops(self) -> tuple[Loop, ...]:
        """The loops that clear the wood, the wall's first; made once for all courses."""
        return tuple(_loops(self))


@dataclass(frozen=True, slots=True, eq=False)
class Loop:
    """One loop, or a part of one.

    inside : the area it runs round
    depth : steps from the wall, 0 for a loop along it
    slot : whether it cuts both walls of a slot at once, and so may be followed either way
    """

    track: Track
    line: LineString
    inside: Polygon
    depth: int
    slot: bool = False


def allowed_about(centres: Polygon, tolerance: float) -> Polygon:
    """The centres, wider by half the tolerance: a path fitted to their edge lies in it, and its share is not taken
    twice by a link that starts there."""
    allowed = shapely.buffer(centres, tolerance / 2, quad_segs=2)
    shapely.prepare(allowed)
    return allowed


def polygons_of(geometry: BaseGeometry) -> list[Polygon]:
    """The polygons of any geometry, largest first; other parts have no area."""
    if isinstance(geometry, Polygon):
        return [] if geometry.is_empty else [geometry]
    found = [p for p in shapely.get_parts(geometry) if isinstance(p, Polygon) and not p.is_empty]
    return sorted(found, key=lambda p: (-p.area, p.bounds))


def standing(wood: BaseGeometry, tolerance: float) -> BaseGeometry:
    """The wood without slivers thinner than twice the tolerance, which are rounding, not wood."""
    core = shapely.buffer(wood, -tolerance, quad_segs=2)
    return shapely.intersection(wood, shapely.buffer(core, 1.5 * tolerance, quad_segs=2))


# A track, and the same as chords.
_Drawn = tuple[Track, LineString]


class _Ring(NamedTuple):
    """The rings of loops at one depth.

    area : what lies inside them
    edge : the same with corners rounded, as they are run
    rounding : the radius of that
    """

    area: Polygon
    edge: Polygon
    depth: int
    rounding: float


def _loops(room: Room) -> list[Loop]:
    wood = None if _whole(room) else room.wood
    parted = threads(room.centres, room.radius, room.tolerance)
    if parted is None:
        return _stepping_inwards(room, room.centres, wood)
    found = _along_threads(room, parted.lines, wood)
    taken = offset.zone(shapely.multilinestrings(parted.lines), room.flat, room.tolerance)
    left = shapely.difference(room.wood, taken)
    for part in (*parted.areas, *parted.junctions):
        near = standing(shapely.intersection(left, offset.zone(part, room.radius, room.tolerance)), room.tolerance)
        if not near.is_empty:
            found += _stepping_inwards(room, part, None if wood is None and part in parted.areas else near)
    return found


def _stepping_inwards(room: Room, area: Polygon, wood: BaseGeometry | None) -> list[Loop]:
    """Loops stepping inwards from the edge of an area in a room; about the wood that stands, all of them where it is
    None."""
    step, tolerance = min(room.step, _SURE * room.flat), room.coarse
    # Lines of rings, each with its stretches near wood; None for one that is run whole.
    found: list[tuple[LineString, _Ring, list[_Drawn] | None]] = []
    # The wood around a ring, and that ring.
    waiting: list[tuple[BaseGeometry | None, _Ring]] = [(wood, _Ring(area, area, 0, 0.0))]
    for stands, ring in waiting:
        polygon, depth = orient(ring.edge), ring.depth
        fine = tolerance if depth else room.tolerance
        near = None if stands is None else _near_to(stands, room, fine)
        for line in (*polygon.interiors, polygon.exterior):
            found.append((line, ring, None if near is None else _near(line, near, room, ring)))
        rest = offset.zone(ring.area, -_SURE * room.flat, tolerance, slim=not depth)
        if stands is not None:
            rest = standing(shapely.intersection(stands, rest), room.tolerance)
        if rest.is_empty:
            continue
        for part in polygons_of(offset.zone(ring.area, -step, tolerance, slim=not depth)):
            inner = orient(shapely.simplify(part, tolerance * _DRAWN))
            reachable = _left_to(inner, rest, room, whole=stands is None)
            if not reachable.is_empty:
                edge, rounding = _rounded(inner, reachable, room, tolerance)
                left = None if stands is None else reachable
                waiting.append((left, _Ring(inner, edge, depth + 1, rounding)))
    whole = iter(_ring_tracks([(line, ring) for line, ring, stretches in found if stretches is None], room))
    return [
        Loop(track, chords, ring.edge, ring.depth)
        for _, ring, stretches in found
        for track, chords in ([next(whole)] if stretches is None else stretches)
    ]


def _left_to(inner: Polygon, rest: BaseGeometry, room: Room, whole: bool) -> BaseGeometry:
    """What of the wood that the loops outside left the loop round an area has to take.

    whole : whether wood stands all over; it lies in these areas then, each part of it in one
    """
    if whole:
        parts = shapely.get_parts(rest)
        return rest if len(parts) == 1 else shapely.multipolygons(parts[shapely.intersects(parts, inner)])
    reached = offset.zone(inner, room.radius, room.coarse, slim=False)
    return standing(shapely.intersection(rest, reached), room.tolerance)


def _along_threads(room: Room, lines: Sequence[LineString], wood: BaseGeometry | None) -> list[Loop]:
    """Once along each thread where wood is near, everywhere where that is None."""
    if wood is not None:
        near = shapely.intersection(lines, _near_to(wood, room))
        lines = [part for each in near for part in shapely.get_parts(shapely.line_merge(each))]
    found = []
    for line in lines:
        if line.length > room.tolerance:
            points = shapely.get_coordinates(line)[: -1 if line.is_closed else None]
            track = arc_fit.fit(points, bool(line.is_closed), room.tolerance * DRAWN)
            found.append(Loop(track, line, Polygon(), 0, slot=True))
    return found


def _near_to(wood: BaseGeometry, room: Room, tolerance: float = 0.0) -> BaseGeometry:
    """Where the axis meets wood."""
    return offset.zone(wood, room.radius - _THIN * room.tolerance, max(tolerance, room.tolerance))


def _whole(room: Room) -> bool:
    """Whether there is wood wherever the cutter gets, so that loops are whole."""
    if room.untouched:
        return True
    missing = shapely.difference(offset.zone(room.centres, room.radius, room.tolerance), room.wood)
    return bool(standing(missing, 2 * room.tolerance).is_empty)


def _rounded(ring: Polygon, wood: BaseGeometry, room: Room, tolerance: float) -> tuple[Polygon, float]:
    """A ring with its corners rounded as far as its loop still takes the wood that the loop outside it left; and the
    radius of that.

    At a corner of half angle h loops s apart, their corners rounded by q, meet iff q <= (f (1 + sin h) - s) /
    (1 - sin h), f the radius of the flat: along the bisector the outer one cuts f / sin h inwards from its corner, and
    the inner one begins s / sin h + q (1 / sin h - 1) - f from it. Ends and necks may be narrower; the area tells.
    """
    flat = room.flat
    sines = np.concatenate([_half_angles(line) for line in (ring.exterior, *ring.interiors)])
    if not len(sines):
        return ring, 0.0
    limits = (flat * (1 + sines) - room.step) / (1 - sines)
    most = min(room.radius, _NOT_QUITE * float(limits.min()))
    while most >= _LEAST_ROUND * room.radius:
        core = offset.zone(ring, -most, tolerance, slim=False)
        if isinstance(core, Polygon) and not core.is_empty and len(core.interiors) == len(ring.interiors):
            taken = offset.zone(core, most + flat, tolerance, slim=False)
            if shapely.covers(taken, wood) or standing(shapely.difference(wood, taken), tolerance).is_empty:
                return offset.zone(core, most, tolerance, slim=False), most
        most /= 2
    return ring, 0.0


def _half_angles(line: LineString) -> Floats:
    """Sines of half the angles of the corners of a ring that stick out from its area."""
    out = np.diff(shapely.get_coordinates(line), axis=0)
    into = np.concatenate([out[-1:], out[:-1]])
    turn = np.arctan2(into[:, 0] * out[:, 1] - into[:, 1] * out[:, 0], (into * out).sum(axis=1))
    corners: Floats = np.cos(turn[turn > _CORNER] / 2)
    return corners


def _ring_tracks(lines: Sequence[tuple[LineString, _Ring]], room: Room) -> Iterator[_Drawn]:
    """Whole rings. They run with the area on their left and so the wall on their right: climb."""
    step = min(room.step, _SURE * room.flat)
    rings = [(door.ring_points(line), ring) for line, ring in lines]
    to_follow = [
        RingToFollow(points, room.off_outline + ring.depth * step, ring.rounding)
        for points, ring in rings
        if ring.depth
    ]
    known = iter(room.known.loops(to_follow))
    for (points, ring), (line, _) in zip(rings, lines):
        track = next(known) or arc_fit.fit(points, True, room.coarse_fit) if ring.depth else room.drawn.ring(points)
        yield track if room.climb else track.reversed(), LineString(line)


def _near(line: LineString, near: BaseGeometry, room: Room, ring: _Ring) -> list[_Drawn] | None:
    """Those stretches of a ring that are near wood, in its direction; None where it is to be run whole."""
    tolerance, fit = (room.coarse, room.coarse_fit) if ring.depth else (room.tolerance, room.tolerance * FIT)
    kept = shapely.intersection(line, near)
    if kept.length < tolerance:
        return []
    if kept.length >= (1 - _IDLE_SHARE) * line.length:
        return None
    found = []
    merged = shapely.line_merge(kept)
    for stretch in shapely.get_parts(merged):
        if stretch.length < tolerance:
            continue
        points = shapely.get_coordinates(stretch)
        half = stretch.interpolate(0.5, normalized=True)
        ahead = (line.project(half) - line.project(shapely.Point(points[0]))) % line.length
        if ahead >= line.length / 2:
            points = points[::-1]
        track = arc_fit.fit(points, False, fit)
        found.append((track if room.climb else track.reversed(), LineString(points)))
    return found
