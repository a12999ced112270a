"""What is wrong with lines and outlines that came from elsewhere: found with their places, and nothing changed."""

from __future__ import annotations

from collections import deque
from collections.abc import Iterator
from dataclasses import dataclass
from math import cos, radians
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import LineString, Polygon
from shapely.geometry.base import BaseGeometry

from toolpaths.base.checks import Floats, positive
from toolpaths.base.errors import InputError, Point, ShapeError
from toolpaths.shapes import door
from toolpaths.shapes.joining import ends_that_meet

Ints = NDArray[np.int64]
KINDS = ("gap", "doubled line", "crossing", "wrong way round", "points that coincide", "spike", "sliver")
# Degrees: an outline that turns back on itself by less makes a spike.
_SPIKE_DEG = 1.0
# More points than this are a slip of a loop.
_MOST_POINTS = 2_000_000


@dataclass(frozen=True, slots=True)
class ShapeFault:
    """One fault of a shape.

    kind : one of "gap", "doubled line", "crossing", "wrong way round", "points that coincide", "spike", "sliver"
    place : (x, y), mm
    size : mm: how wide the gap or the sliver is, how long the doubled line or the spike, how near the points; 0 for
        what has no size
    """

    kind: str
    place: Point
    size: float

    def __str__(self) -> str:
        size = f", {self.size:.4f} mm" if self.size else ""
        return f"{self.kind} at ({self.place[0]:.3f}, {self.place[1]:.3f}){size}"


def shape_faults(shape: BaseGeometry, within: float = 0.01) -> tuple[ShapeFault, ...]:
    """What is wrong with lines or areas as they were drawn elsewhere, each with its place.

    shape : shapely lines or polygons, sound or not, or several in a collection
    within : mm up to which ends that lie apart are a gap, points are one, and what is narrower is a sliver

    >>> from shapely import Polygon
    >>> from toolpaths import shape_faults
    >>> for fault in shape_faults(Polygon([(0, 0), (40, 0), (40, 0.003), (40, 30), (10, -5), (0, 30)])):
    ...     print(fault)
    crossing at (14.286, 0.000)
    crossing at (8.571, 0.000)
    points that coincide at (40.000, 0.003), 0.0030 mm

    Raises InputError for what is no shapely geometry, and ShapeError for one that is empty.
    """
    near = positive("within", within)
    lines, polygons = taken_apart(shape)
    found = list(_of_lines(lines, near)) if lines else []
    for polygon in polygons:
        found += _of_polygon(polygon, near)
    return tuple(sorted(found, key=lambda fault: (KINDS.index(fault.kind), -fault.size, -fault.place[0], fault.place)))


def taken_apart(shape: Any) -> tuple[list[LineString], list[Polygon]]:
    """Lines and polygons of a geometry, whatever bundles them."""
    door.drawn("shape", shape)
    if shapely.get_num_coordinates(shape) > _MOST_POINTS:
        raise InputError(f"shape has more than {_MOST_POINTS} points.")
    lines: list[LineString] = []
    polygons: list[Polygon] = []
    waiting = deque([shape])
    while waiting:
        one = waiting.popleft()
        if isinstance(one, Polygon) and not one.is_empty:
            polygons.append(one)
        elif isinstance(one, LineString) and not one.is_empty:
            lines.append(one)
        else:
            waiting += getattr(one, "geoms", ())
    if not lines and not polygons:
        raise ShapeError("The shape holds neither lines nor polygons.")
    return lines, polygons


def _of_lines(lines: list[LineString], within: float) -> Iterator[ShapeFault]:
    tracks = [shapely.get_coordinates(line) for line in drawn_once(lines, within)]
    open_tracks = [points for points in tracks if len(points) > 1 and (points[0] != points[-1]).any()]
    _, gaps = ends_that_meet(open_tracks, within)
    for gap in gaps:
        yield ShapeFault("gap", gap.place, gap.width)
    *_, middles, lengths = doubled(np.concatenate([_segments(shapely.get_coordinates(line)) for line in lines]), within)
    for middle, length in zip(middles, lengths):
        yield ShapeFault("doubled line", _place(middle), float(length))
    yield from _crossings(np.concatenate([_segments(points) for points in tracks]))
    for points in tracks:
        yield from _coinciding(points, within)
        yield from _spikes(points)


def _of_polygon(polygon: Polygon, within: float) -> Iterator[ShapeFault]:
    rings = [shapely.get_coordinates(ring) for ring in (polygon.exterior, *polygon.interiors)]
    yield from _crossings(np.concatenate([_segments(ring) for ring in rings]))
    for number, ring in enumerate(rings):
        if shapely.is_ccw(shapely.linearrings(ring)) != (number == 0):
            yield ShapeFault("wrong way round", _place(ring[0]), 0.0)
        yield from _coinciding(ring, within)
        yield from _spikes(ring)
    for part in shapely.get_parts(shapely.make_valid(polygon)):
        if isinstance(part, Polygon) and is_sliver(part, within):
            yield ShapeFault("sliver", _place(shapely.get_coordinates(part)[0]), 2 * part.area / part.length)


def is_sliver(part: Polygon, within: float) -> bool:
    """Whether an area is nowhere wider than `within`, so that nothing of it is left when it is drawn in by half."""
    return part.area < within * part.length and bool(shapely.buffer(part, -within / 2, join_style="mitre").is_empty)


def drawn_once(lines: list[LineString], within: float) -> list[LineString]:
    """The lines, the longest first, without what one of them draws again along a longer one."""
    ordered = sorted(lines, key=lambda line: -line.length)
    segments = [_segments(shapely.get_coordinates(line)) for line in ordered]
    owner = np.repeat(np.arange(len(ordered)), [len(each) for each in segments])
    first, second, *_ = doubled(np.concatenate(segments), within)
    longer: dict[int, set[int]] = {}
    for a, b in zip(owner[first].tolist(), owner[second].tolist()):
        if a != b:
            longer.setdefault(max(a, b), set()).add(min(a, b))
    kept: list[LineString] = []
    for number, line in enumerate(ordered):
        along = [ordered[other] for other in sorted(longer.get(number, ()))]
        if not along:
            kept.append(line)
            continue
        left = shapely.difference(line, shapely.buffer(shapely.union_all(along), within, cap_style="flat"))
        kept += [part for part in shapely.get_parts(shapely.line_merge(left)) if part.length > within]
    return kept


def _segments(points: Floats) -> Floats:
    """(n, 2, 2) the segments of a polyline that have a length."""
    ends = np.stack([points[:-1], points[1:]], axis=1)
    return np.asarray(ends[(ends[:, 0] != ends[:, 1]).any(axis=1)])


def _crossings(segments: Floats) -> Iterator[ShapeFault]:
    """Where segments cross or touch elsewhere than in an end of both."""
    if not len(segments):
        return
    lines = shapely.linestrings(segments)
    first, second = shapely.STRtree(lines).query(lines, predicate="intersects")
    one, other = first[first < second], second[first < second]
    met = shapely.intersection(lines[one], lines[other])
    points = shapely.get_type_id(met) == 0
    one, other, places = one[points], other[points], shapely.get_coordinates(met[points])
    at_end = [(np.abs(segments[which] - places[:, None]).max(axis=2) < 1e-9).any(axis=1) for which in (one, other)]
    for place in np.unique(np.round(places[~(at_end[0] & at_end[1])], 6), axis=0):
        yield ShapeFault("crossing", _place(place), 0.0)


def doubled(segments: Floats, within: float) -> tuple[Ints, Ints, Floats, Floats]:
    """Pairs of segments that run along each other within the tolerance, over more than it.

    (p,) and (p,) which two, (p, 2) the middle of what they share, and (p,) how long that is
    """
    lines = shapely.linestrings(segments)
    first, second = shapely.STRtree(lines).query(lines, predicate="dwithin", distance=within)
    first, second = first[first < second], second[first < second]
    step = segments[first, 1] - segments[first, 0]
    long = np.hypot(*step.T)
    unit = step / long[:, None]
    # Along the first of each pair, and aside of it, the ends of the second.
    off = segments[second] - segments[first, 0][:, None]
    along = (off * unit[:, None]).sum(axis=2)
    aside = np.abs(off[:, :, 0] * unit[:, None, 1] - off[:, :, 1] * unit[:, None, 0])
    low, high = np.maximum(along.min(axis=1), 0.0), np.minimum(along.max(axis=1), long)
    same = (aside.max(axis=1) <= within) & (high - low > within)
    middles = segments[first, 0] + unit * ((low + high) / 2)[:, None]
    return first[same], second[same], middles[same], (high - low)[same]


def _coinciding(points: Floats, within: float) -> Iterator[ShapeFault]:
    apart = np.hypot(*np.diff(points, axis=0).T)
    for i in np.flatnonzero((apart < within) & (apart > 0)):
        yield ShapeFault("points that coincide", _place(points[i + 1]), float(apart[i]))


def spike_tips(points: Floats) -> Ints:
    """(k,) which of the points of a polyline, closed where its ends are one, are the tips of spikes."""
    closed = bool((points[0] == points[-1]).all())
    ring = points[:-1] if closed else points
    back, on = np.roll(ring, 1, axis=0) - ring, np.roll(ring, -1, axis=0) - ring
    long = np.hypot(*back.T) * np.hypot(*on.T)
    folds = (back * on).sum(axis=1) > cos(radians(_SPIKE_DEG)) * long
    if not closed:
        folds[[0, -1]] = False
    return np.asarray(np.flatnonzero(folds & (long > 0)), np.int64)


def _spikes(points: Floats) -> Iterator[ShapeFault]:
    for i in spike_tips(points):
        around = points[[i - 1 if i else -2, (i + 1) % len(points)]]
        size = float(np.hypot(*(around - points[i]).T).min())
        yield ShapeFault("spike", _place(points[i]), size)


def _place(point: Floats) -> Point:
    return float(point[0]), float(point[1])
