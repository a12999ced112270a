"""An area as drawn: its outline as the lines and arcs it stands for, and the same in fine chords, to be offset.

What an offset gives back are chords again; but each of them runs beside one line or arc of the outline, or round one of
its corners, and so is known and need not be fitted: an arc of radius R moved by r is an arc of radius R + r or R - r.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property, lru_cache
from math import atan2, cos, dist, hypot, pi, sin

import numpy as np
import shapely
from shapely import MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry

from toolpaths.base.checks import Floats
from toolpaths.base.errors import Point
from toolpaths.shapes import arc_fit, door, offset
from toolpaths.shapes.curves import centre_of, many_steps_for, sweep_between
from toolpaths.shapes.drawn_curve import fitted
from toolpaths.shapes.nearest_segments import NearestSegments
from toolpaths.shapes.tangent import LARGEST_RADIUS, LARGEST_SWEEP, distances
from toolpaths.shapes.tolerance_shares import DRAWN, FIT, FLATTEN, MITRED, OFFSET, REDRAWN, SNUG
from toolpaths.shapes.track import Segment, Track

# Fewest chords in which an arc is drawn again.
_FEWEST = 4
# mm; a shorter segment is no line of text worth having, where a fit does without it.
_SHORT = 0.12
# mm; the direction of a chord shorter than this is rounding.
_SPECK = 1e-3
# Shares of the tolerance by which drawing an outline again may move it, and a cutter may be too wide for a gap.
_MOVED = DRAWN + REDRAWN + FLATTEN + SNUG
# Tolerances that an outline moved by so much to either side moves at most where nothing closes: at corners, by
# 2 * _MOVED / sin of half their angle, which is as much at one of 10 degrees.
_CLOSED = 24.0
# Half a turn but for rounding.
_HALF_TURN = pi * (1 + 1e-3)
# Points of a ring up to which its lines and arcs are kept for who asks next.
_KEPT = 2000
# Places nearer than this, mm, are one.
_NOTHING = 1e-9


@dataclass(frozen=True, eq=False)
class DrawnArea:
    """An area, and its outline as tracks that have it on their left.

    area : as its tracks go, in chords
    tracks : none where they would cross; the area is then as drawn
    """

    area: BaseGeometry
    tracks: tuple[Track, ...]
    tolerance: float

    def ring(self, points: Floats) -> Track:
        """The lines and arcs of a ring, (n, 2) points, that an offset of the area gave."""
        found = self._known(points) if self.tracks else None
        if found is not None and not _short(found):
            return found
        fit = arc_fit.fit(points, True, FIT * self.tolerance)
        return fit if found is None or _short(fit) < _short(found) else found

    @cached_property
    def segments(self) -> list[Segment]:
        """All segments of the outline, by their number."""
        return [segment for track in self.tracks for segment in track.segments]

    @cached_property
    def nearest(self) -> NearestSegments:
        """The same, to tell what a place lies beside."""
        return NearestSegments(self.tracks)

    @cached_property
    def before(self) -> list[int]:
        """The segment before each, by its number."""
        found, base = [], 0
        for track in self.tracks:
            numbers = range(base, base + len(track.segments))
            found += [numbers[-1], *numbers[:-1]]
            base += len(numbers)
        return found

    def _known(self, points: Floats) -> Track | None:
        """The ring as what its chords run beside; None where it is not that."""
        beside, _ = self.nearest.find((points + np.roll(points, -1, axis=0)) / 2)
        changes = np.flatnonzero(beside != np.roll(beside, 1))
        if len(changes) < 2:
            return None
        points, beside = np.roll(points, -changes[0], axis=0), np.roll(beside, -changes[0])
        begins = np.append(changes - changes[0], len(points))
        line = np.vstack([points, points[:1]])
        labels = beside[begins[:-1]].tolist()
        joints: list[Point] = [(x, y) for x, y in line[begins].tolist()]
        around = zip([labels[-1], *labels[:-1]], labels, [*labels[1:], labels[0]])
        mitres = [self._mitre(three, a, b) for three, a, b in zip(around, joints, joints[1:])]
        if all(mitre is not None for mitre in mitres):
            return None
        segments: list[Segment] = []
        owner = np.zeros(len(points), dtype=np.int64)
        for k, label in enumerate(labels):
            if mitres[k] is not None:
                continue
            start, end = mitres[k - 1] or joints[k], mitres[(k + 1) % len(mitres)] or joints[k + 1]
            if dist(start, end) < _NOTHING:
                return None
            segment = self._segment(label, start, end)
            if segment is None:
                return None
            owner[begins[k] : begins[k + 1]] = len(segments)
            segments.append(segment)
        mitred = np.repeat([mitre is not None for mitre in mitres], np.diff(begins))
        specks = np.hypot(*np.diff(line, axis=0).T) < _SPECK
        off = np.where(mitred | specks, 0.0, distances(segments, line, owner))
        if off.max() > (OFFSET + REDRAWN) * self.tolerance:
            return None
        if any(a.end != b.start for a, b in zip(segments, [*segments[1:], segments[0]])):
            return None
        return Track(tuple(segments), True)

    def _mitre(self, labels: tuple[int, int, int], start: Point, end: Point) -> Point | None:
        """Where the neighbours of an arc about a corner meet, if that is hardly beside it; None for what is no such
        arc, or not all of it.

        labels : of what is before it, its own, and of what comes after it
        """
        number = labels[1] - len(self.segments)
        if number < 0 or labels[0] != self.before[number] or labels[2] != number:
            return None
        x, y = self.segments[number].start
        middle = ((start[0] + end[0]) / 2 - x, (start[1] + end[1]) / 2 - y)
        near, radius = hypot(*middle), dist(start, (x, y))
        # near / radius is the cosine of half the turn.
        if near == 0 or radius * radius / near - radius > MITRED * self.tolerance:
            return None
        share = radius * radius / (near * near)
        return x + middle[0] * share, y + middle[1] * share

    def _segment(self, label: int, start: Point, end: Point) -> Segment | None:
        """The line or arc from one place to another beside a segment, or about the corner at its start."""
        count = len(self.segments)
        of = self.segments[label % count]
        if label >= count:
            centre = of.start
            cross = (start[0] - centre[0]) * (end[1] - centre[1]) - (start[1] - centre[1]) * (end[0] - centre[0])
            clockwise = cross < 0
        elif of.sweep:
            centre, clockwise = of.centre, of.sweep < 0
        else:
            return Segment(start, end)
        return _arc(centre, start, end, clockwise)


def _arc(about: Point, start: Point, end: Point, clockwise: bool) -> Segment | None:
    """The arc from start to end whose middle lies as far from a place as they do; None for more than half a turn."""
    sweep = sweep_between(about, start, end, clockwise)
    radius = (dist(about, start) + dist(about, end)) / 2
    middle = atan2(start[1] - about[1], start[0] - about[0]) + sweep / 2
    centre = centre_of(start, (about[0] + radius * cos(middle), about[1] + radius * sin(middle)), end)
    if abs(sweep) > _HALF_TURN:
        return None
    if centre is None or radius > LARGEST_RADIUS:
        return Segment(start, end)
    sweep = sweep_between(centre, start, end, clockwise)
    if abs(sweep) > LARGEST_SWEEP:
        centre, sweep = ((start[0] + end[0]) / 2, (start[1] + end[1]) / 2), -pi if clockwise else pi
    return Segment(start, end, centre, sweep)


def _in_chords(track: Track, sagitta: float) -> Floats:
    """(n, 2) points of a closed track, all on it."""
    segments = track.segments
    starts, centres = (np.array(each) for each in zip(*((s.start, s.centre) for s in segments)))
    sweeps, rays = np.array([segment.sweep for segment in segments]), starts - centres
    counts, arc = np.ones(len(segments), np.int64), np.flatnonzero(sweeps)
    counts[arc] = np.maximum(many_steps_for(np.hypot(*rays[arc].T), sweeps[arc], sagitta), _FEWEST)
    number = np.repeat(np.arange(len(segments)), counts)
    turn = (sweeps / counts)[number] * (np.arange(len(number)) - np.repeat(np.cumsum(counts) - counts, counts))
    ray = rays[number]
    along = np.column_stack([-ray[:, 1], ray[:, 0]])
    return np.asarray(starts[number] + ray * (np.cos(turn) - 1)[:, None] + along * np.sin(turn)[:, None])


def _short(track: Track) -> int:
    return sum(length < _SHORT for length in track.lengths)


def drawn_area(area: BaseGeometry, distance: float, tolerance: float) -> DrawnArea:
    """An area with its outline as the lines and arcs that it stands for, to be moved by a distance.

    As it is drawn where it hardly leaves room for that, so that a slot as wide as a cutter stays one.

    None of it lies farther from the outline than the shares DRAWN and REDRAWN of the tolerance, and where it was drawn
    coarsely, that of FLATTEN, come to.
    """
    shapes = [
        [_track_of(door.ring_points(ring), tolerance) for ring in (polygon.exterior, *polygon.interiors)]
        for polygon in door.polygons("area", area)
    ]
    if any(
        len(track.segments) < 3 and not any(s.sweep for s in track.segments) for tracks in shapes for track in tracks
    ):
        # Finer than the tolerance: fitted it is a line.
        return DrawnArea(area, (), tolerance)
    whole = _area(shapes, REDRAWN * tolerance)
    # Moved outwards, all comes to lie beside what was covered already, however narrow a gap is.
    # In chords an outline that nearly touches itself may cross itself.
    rough = _area(shapes, tolerance)
    necks = distance < 0 and rough.is_valid and _has_necks(rough, distance, tolerance)
    if not (whole.is_valid and rough.is_valid) or necks:
        return DrawnArea(area, (), tolerance)
    return DrawnArea(whole, tuple(track for tracks in shapes for track in tracks), tolerance)


def _track_of(points: Floats, tolerance: float) -> Track:
    """The lines and arcs of a ring; several operations ask for one outline."""
    return fitted(points, True, tolerance) if len(points) > _KEPT else known_track(points.tobytes(), tolerance)


@lru_cache(maxsize=256)
def known_track(coordinates: bytes, tolerance: float) -> Track:
    """The same, worked out once."""
    return fitted(np.frombuffer(coordinates).reshape(-1, 2), True, tolerance)


def _area(shapes: list[list[Track]], sagitta: float) -> Polygon | MultiPolygon:
    """The area of outlines in chords, of each the outside first and then its holes."""
    polygons = []
    for tracks in shapes:
        outside, *holes = (_in_chords(track, sagitta) for track in tracks)
        polygons.append(Polygon(outside, holes))
    return polygons[0] if len(polygons) == 1 else MultiPolygon(polygons)


def _has_necks(rough: BaseGeometry, distance: float, tolerance: float) -> bool:
    """Whether there is a neck about twice as wide as it is moved inwards: moved a little more, that is closed.

    rough : the area, to the tolerance
    """
    less, more = (
        offset.wall(rough, distance + by, tolerance, slim=False) for by in (-_MOVED * tolerance, _MOVED * tolerance)
    )
    closed = shapely.difference(more, shapely.buffer(less, _CLOSED * tolerance, quad_segs=2))
    return not closed.is_empty
