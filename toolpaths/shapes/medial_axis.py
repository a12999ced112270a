"""The medial axis of an area: the middles of all discs inside it that touch its border at two places or more.

Which elements of the border each part of the axis lies between is read from a triangulation of points on it (GEOS,
Delaunay); where it lies follows from these elements, by Newton's steps, so that it is no coarser than they are. The
radius is in no case that of the points: it is the distance to the border itself. So no disc reaches over the line,
whatever the triangulation missed.

Blum, A transformation for extracting new descriptors of shape, 1967, has the idea (from memory).
"""

from __future__ import annotations

import numpy as np
import shapely
from shapely import Polygon

from toolpaths.base.checks import Floats
from toolpaths.shapes.border import Border, Flags, Ints, border_of, samples
from toolpaths.shapes.corner_branches import Axis, joined, with_corners

_STEPS = 8
# mm by which a place may be off the elements that it is to lie between; and a piece shorter than which is none.
_OFF, _NOTHING = 1e-4, 1e-4
# mm by which points are moved at most; and what of their number tells where to, along X and along Y: whole multiples of
# such numbers never come near to a pattern.
_MOVED = 1e-5
_IRRATIONAL = np.array([0.6180339887498949, 0.4142135623730951])
# Two elements whose directions differ less than this say nothing of where between them a place lies.
_ALIKE = 1e-4


def medial_axis(polygon: Polygon) -> Axis:
    """The medial axis of a sound polygon, bent only at its places: where it curves they are not close together."""
    border = border_of(polygon)
    points, side = samples(border)
    corners, triangles = _triangulated(points)
    middle = _circumcentres(corners)
    shapely.prepare(polygon)
    inside = (triangles < len(points)).all(axis=1) & shapely.contains_xy(polygon, *middle.T)
    labels = side[triangles[inside]]
    places = _on_axis(border, middle[inside], labels)
    radius = radii(polygon, places)
    places, labels, radius = _mended(polygon, border, middle[inside], places, labels, radius)
    number = np.cumsum(inside) - 1
    one, other, between = _shared(triangles)
    kept = inside[one] & inside[other]
    pieces = np.column_stack([number[one[kept]], number[other[kept]]])
    beside = side[between[kept]]
    true = _faces(border, beside) & (radius[pieces] > 0).all(axis=1)
    # Between discs that overlap a piece stays inside.
    ends = places[pieces]
    doubtful = np.flatnonzero(true & (radius[pieces].sum(axis=1) < np.hypot(*(ends[:, 0] - ends[:, 1]).T)))
    true[doubtful] = shapely.covers(polygon, shapely.linestrings(ends[doubtful]))
    found = Axis(places, radius, pieces[true], beside[true], border)
    return joined(with_corners(found, side[triangles[inside]]))


def radii(polygon: Polygon, places: Floats) -> Floats:
    """(k,) mm from places (k, 2) to the border of a polygon; 0 outside it."""
    far = shapely.distance(polygon.boundary, shapely.points(places))
    return np.where(shapely.contains_xy(polygon, *places.T), far, 0.0)


def _triangulated(points: Floats) -> tuple[Floats, Ints]:
    """(m, 3, 2) the triangles between points and a frame about them, and (m, 3) their numbers; those of the frame come
    after all others. They are in the order of their numbers, the least of each first: GEOS lists them as it comes."""
    low, high = points.min(axis=0), points.max(axis=0)
    size = float((high - low).max())
    turn = np.arange(8) * np.pi / 4 + 0.1
    frame = (low + high) / 2 + 2 * size * np.column_stack([np.cos(turn), np.sin(turn)])
    every = np.vstack([points, frame])
    every = _off_circles(every)
    made = shapely.delaunay_triangles(shapely.multipoints(every))
    corners = shapely.get_coordinates(made).reshape(-1, 4, 2)[:, :3]
    keys = every @ (1, 1j)
    order = np.argsort(keys, kind="stable")
    numbers = order[np.searchsorted(keys[order], corners @ (1, 1j))]
    first = (numbers.argmin(axis=1)[:, None] + np.arange(3)) % 3
    numbers = np.take_along_axis(numbers, first, axis=1)
    numbers = numbers[np.lexsort(numbers.T[::-1])]
    return every[numbers], numbers


def _off_circles(points: Floats) -> Floats:
    """Points moved a little, each otherwise, those at one place alike: no four are on one circle any more, where either
    diagonal would do and versions of GEOS take different ones."""
    _, first, number = np.unique(points @ (1, 1j), return_index=True, return_inverse=True)
    own = first[number].ravel()[:, None]
    return np.asarray(points + _MOVED * ((own * _IRRATIONAL) % 1.0 - 0.5))


def _circumcentres(corners: Floats) -> Floats:
    a = corners[:, 0]
    b, c = corners[:, 1] - a, corners[:, 2] - a
    b2, c2 = (b * b).sum(axis=1), (c * c).sum(axis=1)
    twice = 2 * (b[:, 0] * c[:, 1] - b[:, 1] * c[:, 0])
    twice = np.where(np.abs(twice) < 1e-14, 1e-14, twice)
    x = (c[:, 1] * b2 - b[:, 1] * c2) / twice
    y = (b[:, 0] * c2 - c[:, 0] * b2) / twice
    return np.asarray(a + np.column_stack([x, y]))


def _shared(triangles: Ints) -> tuple[Ints, Ints, Ints]:
    """The numbers of two triangles each that share a side, and (k, 2) the points at its ends."""
    ends = np.sort(triangles[:, [[0, 1], [1, 2], [2, 0]]].reshape(-1, 2), axis=1)
    order = np.lexsort(ends.T)
    ends, owner = ends[order], order // 3
    twice = np.flatnonzero((ends[1:] == ends[:-1]).all(axis=1))
    return owner[twice], owner[twice + 1], ends[twice]


def _on_axis(border: Border, places: Floats, labels: Ints) -> Floats:
    """Places moved on to the axis: as far from all three of their sides, or from both where two are one.

    labels : (k, 3) sides
    """
    a, b, c = labels.T
    two = (a == b) | (b == c) | (a == c)
    found = places.copy()
    second = np.where(a == b, c, b)
    found[two] = on_bisector(border, places[two], a[two], second[two])
    three = np.flatnonzero(~two)
    found[three] = _at_junction(border, places[three], labels[three])
    return found


def _mended(
    polygon: Polygon, border: Border, before: Floats, places: Floats, labels: Ints, radius: Floats
) -> tuple[Floats, Ints, Floats]:
    """Places that lie nearer to the border than to their sides, moved between those that they do lie beside."""
    for _ in range(_STEPS):
        off = np.abs(np.column_stack([border.distance(each, places)[0] for each in labels.T]) - radius[:, None])
        bad = np.flatnonzero(off.max(axis=1, initial=0.0) > _OFF)
        nearer = np.column_stack([border.nearer(each, before[bad]) for each in labels[bad].T])
        nearer = np.column_stack([border.nearer(each, places[bad]) for each in nearer.T])
        changed = (nearer != labels[bad]).any(axis=1)
        bad, nearer = bad[changed], nearer[changed]
        if not len(bad):
            break
        labels = labels.copy()
        labels[bad] = nearer
        places[bad] = _on_axis(border, before[bad], nearer)
        radius[bad] = radii(polygon, places[bad])
    return places, labels, radius


def on_bisector(border: Border, places: Floats, one: Ints, other: Ints) -> Floats:
    """Places (k, 2) moved to where they are as far from one side as from the other; as they are where that is far
    away, or the sides lie the same way."""
    at = places.copy()
    for _ in range(_STEPS):
        (near, up), (far, down) = border.distance(one, at), border.distance(other, at)
        slope = up - down
        steep = (slope * slope).sum(axis=1)
        step = np.where(steep > _ALIKE**2, (near - far) / np.maximum(steep, _ALIKE**2), 0.0)
        at -= step[:, None] * slope
        if not len(step) or np.abs(step).max() < 1e-10:
            break
    return _unless_far(border, places, at, one)


def _at_junction(border: Border, places: Floats, labels: Ints) -> Floats:
    """Places (k, 2) moved to where they are as far from all of three sides."""
    at = places.copy()
    a, b, c = labels.T
    for _ in range(_STEPS):
        (d0, n0), (d1, n1), (d2, n2) = (border.distance(each, at) for each in (a, b, c))
        (ax, ay), (bx, by) = (n0 - n1).T, (n0 - n2).T
        f, g = d0 - d1, d0 - d2
        det = ax * by - ay * bx
        sound = np.abs(det) > _ALIKE**2
        det = np.where(sound, det, 1.0)
        step = np.column_stack([(f * by - g * ay) / det, (g * ax - f * bx) / det])
        step[~sound] = 0.0
        at -= step
        if not len(step) or np.abs(step).max() < 1e-10:
            break
    off = np.abs(
        np.column_stack([border.distance(each, at)[0] for each in (b, c)]) - border.distance(a, at)[0][:, None]
    )
    at = _unless_far(border, places, at, a)
    # Where two of them lie the same way, as chords of one curve do, the two that lie most apart.
    bad = np.flatnonzero((off.max(axis=1, initial=0.0) > _OFF) | (at == places).all(axis=1))
    if len(bad):
        start, three = places[bad], labels[bad]
        n = [border.distance(each, start)[1] for each in three.T]
        apart = np.column_stack([((n[i] - n[j]) ** 2).sum(axis=1) for i, j in ((0, 1), (0, 2), (1, 2))])
        widest = apart.argmax(axis=1)
        one, other = np.array([0, 0, 1])[widest], np.array([1, 2, 2])[widest]
        rows = np.arange(len(bad))
        at[bad] = on_bisector(border, start, three[rows, one], three[rows, other])
    return at


def _unless_far(border: Border, before: Floats, after: Floats, side: Ints) -> Floats:
    """Places as moved, or as they were where they were moved by more than they are from a side."""
    far = np.hypot(*(after - before).T) > border.distance(side, before)[0]
    return np.where((far | ~np.isfinite(after).all(axis=1))[:, None], before, after)


def _faces(border: Border, beside: Ints) -> Flags:
    """(k,) whether two sides (k, 2) face each other: not one side, nor two that meet in a corner that turns away."""
    one, other = beside.T
    meets = ((border.after[one] == other) & ~border.convex[other]) | (
        (border.after[other] == one) & ~border.convex[one]
    )
    return np.asarray((one != other) & ~meets)
