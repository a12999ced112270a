"""The one door to offsetting areas, and where a round cutter can go.

Two engines, each where it is right. Walls, which decide what is cut, go through pyclipper: it
works on whole numbers and is exact but for their rounding. Zones, which only decide where to
look for wood, go through GEOS buffers, several times faster but smoothing over dents shallower
than a hundredth of the distance. The tests measure walls against the distance to the shape.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import acos, ceil, pi

import numpy as np
import pyclipper
import shapely
from shapely import MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry

from toolpaths.base import checks
from toolpaths.base.checks import Floats
from toolpaths.base.errors import ShapeError
from toolpaths.base.long_outlines import buffered, has_long_line, runs_of, with_band
from toolpaths.shapes import door
from toolpaths.shapes.tolerance_shares import DEFAULT_TOLERANCE, OFFSET, SIMPLIFY, SNUG

# Whole numbers of pyclipper in one tolerance: they round by a two-thousandth of it.
_GRAIN = 1000
# Where a part is exactly twice the distance wide its two edges fall on one line, and pyclipper loses
# what hangs on it. Moved this many whole numbers less, they never do.
_APART = 3
# pyclipper's last chord of an arc spans up to one and a half steps, and a sagitta grows with the square.
_LAST_CHORD = 1.5**2
# A line that crosses itself again and again costs the square of its length, so it goes in runs of so many chords.
_LINE = 100
# Times what a cutter is let into a gap too narrow for it, that the tip of a corner moves at most between a cutter so
# much smaller and one so much larger: as much at a corner of 10 degrees.
_TIP = 24
# So does an area of many parts: those that come nowhere near each other go in groups of so many.
_AT_ONCE = 100


def zone(area: BaseGeometry, distance: float, tolerance: float, *, slim: bool = True) -> BaseGeometry:
    """Roughly all points within `distance` of the area, or of its inside where negative; may be empty.

    For deciding where wood may stand, never for a wall: see above.

    slim : whether vertices may be dropped first, by the SIMPLIFY share
    """
    if slim:
        area = shapely.simplify(area, tolerance * SIMPLIFY)
    sagitta = min(tolerance * OFFSET / max(abs(distance), tolerance), 0.5)
    return buffered(area, distance, quad_segs=max(2, ceil(pi / 4 / acos(1 - sagitta))))


def wall(area: BaseGeometry, distance: float, tolerance: float, *, slim: bool = True) -> BaseGeometry:
    """The area moved outwards by `distance`, or inwards where it is negative; may be empty or in parts.

    Corners that open are rounded with chords at most the OFFSET share of the tolerance inside
    their arc.

    slim : whether vertices may be dropped first, by the SIMPLIFY share
    """
    if distance == 0 or area.is_empty:
        return area
    scale = _GRAIN / tolerance
    moved = distance * scale - (_APART if distance > 0 else -_APART)
    long = has_long_line(area)
    if slim:
        area = shapely.simplify(area, tolerance * SIMPLIFY)
    if long:
        parts = _areas(with_band(area, along(runs_of(area), abs(moved) / scale, tolerance), distance))
        return parts[0] if len(parts) == 1 else MultiPolygon(parts)
    found = []
    for polygons in _apart(door.polygons("area", area), distance):
        engine = pyclipper.PyclipperOffset(2.0, OFFSET * _GRAIN / _LAST_CHORD)
        for ring in (ring for polygon in polygons for ring in (polygon.exterior, *polygon.interiors)):
            whole = np.rint(door.ring_points(ring) * scale).astype(np.int64).tolist()
            engine.AddPath(whole, pyclipper.JT_ROUND, pyclipper.ET_CLOSEDPOLYGON)
        found += tree_polygons(engine.Execute2(moved), 1 / scale)
    return found[0] if len(found) == 1 else MultiPolygon(found)


def _apart(polygons: list[Polygon], distance: float) -> list[list[Polygon]]:
    """Polygons in groups that do not meet when they are moved by `distance`, few or many to each."""
    if len(polygons) <= _AT_ONCE:
        return [polygons]
    boxes = shapely.box(*(shapely.bounds(polygons) + np.array([-1, -1, 1, 1]) * (max(distance, 0.0) + 1.0)).T)
    meets: list[list[int]] = [[] for _ in polygons]
    for a, b in shapely.STRtree(boxes).query(boxes, predicate="intersects").T.tolist():
        meets[a].append(b)
    groups, grouped = [list[Polygon]()], set[int]()
    for first in range(len(polygons)):
        if len(groups[-1]) >= _AT_ONCE:
            groups.append([])
        together = [first] if first not in grouped else []
        grouped.update(together)
        while together:
            number = together.pop()
            groups[-1].append(polygons[number])
            more = [other for other in meets[number] if other not in grouped]
            grouped.update(more)
            together += more
    return [group for group in groups if group]


def along(lines: Sequence[Floats], radius: float, tolerance: float = DEFAULT_TOLERANCE) -> BaseGeometry:
    """The ground that a disc covers whose centre goes along each of the lines, (n, 2) points each; may be empty."""
    scale = _GRAIN / tolerance
    found = []
    for line in lines:
        for begin in range(0, len(line) - 1, _LINE):
            engine = pyclipper.PyclipperOffset(2.0, OFFSET * _GRAIN / _LAST_CHORD)
            run = np.rint(line[begin : begin + _LINE + 1] * scale).astype(np.int64).tolist()
            engine.AddPath(run, pyclipper.JT_ROUND, pyclipper.ET_OPENROUND)
            found += tree_polygons(engine.Execute2(radius * scale), 1 / scale)
    return shapely.union_all(found) if found else Polygon()


def tree_polygons(tree: pyclipper.PyPolyNode, scale: float) -> list[Polygon]:
    """The polygons of a tree of outer rings, their holes, the outer rings inside those, and so on."""
    found = []
    for outer in tree.Childs:
        rings = [np.array(ring.Contour) * scale for ring in (outer, *outer.Childs)]
        polygon = shapely.make_valid(Polygon(rings[0], rings[1:]))
        found += [part for part in shapely.get_parts(polygon) if isinstance(part, Polygon)]
        for hole in outer.Childs:
            found += tree_polygons(hole, scale)
    return _areas(MultiPolygon(found))


def _areas(found: BaseGeometry) -> list[Polygon]:
    """The polygons of a shape that are areas."""
    # Twice what counts as an area, so that rounding on the way makes no area of none.
    return [
        part for part in shapely.get_parts(found) if isinstance(part, Polygon) and part.area > 2 * door.SMALLEST_AREA
    ]


def offset(shape: BaseGeometry, distance: float, *, tolerance: float = DEFAULT_TOLERANCE) -> BaseGeometry:
    """The shape moved outwards by `distance` mm, or inwards where it is negative.

    Outward corners come out rounded, inward ones sharp. Error at most `tolerance`, to either side.

    >>> from toolpaths import offset, rectangle
    >>> [round(edge, 4) for edge in offset(rectangle(80, 60), -10).bounds]
    [-30.0, -20.0, 30.0, 20.0]

    Raises ShapeError where nothing is left, InputError for numbers that cannot be used.
    """
    area = door.area("shape", shape)
    moved = wall(area, checks.coordinate("distance", distance), checks.tolerance("tolerance", tolerance))
    if moved.is_empty:
        x, y = shapely.get_coordinates(shapely.centroid(area))[0].tolist()
        raise ShapeError(f"Moved {-distance:g} mm inwards nothing is left of the shape at ({x:.3f}, {y:.3f}).", (x, y))
    return moved


def reach(area: BaseGeometry, radius: float, tolerance: float, *, slim: bool = True) -> BaseGeometry:
    """Where the centre of a round cutter may go so that it stays inside the area.

    Exactly the inward offset, except where the area is as narrow as the cutter (within twice the
    SNUG share of the tolerance): there a thread is kept along which the cutter just passes.
    """
    exact = wall(area, -radius, tolerance, slim=slim)
    snug = SNUG * tolerance
    loose = wall(area, snug - radius, tolerance, slim=slim)
    threads = [
        part
        for part in shapely.get_parts(shapely.difference(loose, zone(exact, 4 * snug, tolerance)))
        if not part.is_empty and part.geom_type == "Polygon"
    ]
    if threads:
        # The tips of sharp corners are not: where a slightly larger cutter goes, they begin close by.
        tips = zone(wall(area, -radius - snug, tolerance, slim=slim), _TIP * snug, tolerance)
        threads = [part for part in threads if not tips.covers(part)]
    if not threads:
        return exact
    near = shapely.buffer(shapely.union_all(threads), 8 * snug)
    return shapely.union_all([exact, shapely.intersection(loose, near)])
