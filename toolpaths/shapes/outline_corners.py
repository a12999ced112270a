"""The corners of an area and the walls between them: chosen by place, rounded or cut off."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from functools import cached_property
from math import cos, radians
from typing import Any, NamedTuple

import numpy as np
import shapely
from shapely import LineString, Polygon
from shapely.geometry.base import BaseGeometry
from shapely.ops import substring

from toolpaths.base.checks import FARTHEST, Floats, between, places_in
from toolpaths.base.checks import tolerance as checked_tolerance
from toolpaths.base.errors import DoesNotFitError, InputError, Point, ShapeError
from toolpaths.shapes import door
from toolpaths.shapes.curves import arc, sweep_between
from toolpaths.shapes.tolerance_shares import DEFAULT_TOLERANCE, FLATTEN

# A vertex that turns less than this lies on a curve, in which nothing square sits.
LEAST_TURN_DEG = 20.0
# A mitred offset of a wall may reach this many offsets far before its tip is cut.
_MITRE = 20.0
# mm: points nearer to each other are one.
_ONE_PLACE = 1e-4
# mm: a corner finished by less is as it was.
_LEAST_SIZE = 0.001
# Halvings of a length until it is known to a nanometre.
_HALVINGS = 50

# What is cut away at the corner's two walls, mm along each of them.
Setbacks = tuple[float, float]


class Corner(NamedTuple):
    """A corner of a ring that has its area on the left."""

    ring: int
    vertex: int
    place: Point
    # Unit directions from the corner, back along the wall before it and on along the wall after it.
    back: Floats
    on: Floats
    # Whether the area is narrower there than half a turn, so that a round cutter inside leaves wood in it.
    narrow: bool


class Ring:
    """A closed outline of (n, 2) points, its area on the left, with its corners and the walls between them."""

    def __init__(self, points: Floats, number: int) -> None:
        # Points nearer to each other than rounding leaves them would make corners of nothing.
        apart = points[np.hypot(*(points - np.roll(points, 1, axis=0)).T) > _ONE_PLACE]
        points = self.points = apart if len(apart) > 2 else points
        back, on = np.roll(points, 1, axis=0) - points, np.roll(points, -1, axis=0) - points
        back, on = back / np.hypot(*back.T)[:, None], on / np.hypot(*on.T)[:, None]
        turned = np.flatnonzero((back * on).sum(axis=1) > -cos(radians(LEAST_TURN_DEG)))
        narrow = on[:, 0] * back[:, 1] - on[:, 1] * back[:, 0] > 0
        self.corners = [
            Corner(number, int(i), (float(points[i][0]), float(points[i][1])), back[i], on[i], bool(narrow[i]))
            for i in turned
        ]

    @cached_property
    def walls(self) -> list[LineString]:
        """The outline from each corner to the next."""
        at = [corner.vertex for corner in self.corners]
        following = [*at[1:], at[0] + len(self.points)]
        return [LineString(self.points[np.arange(i, j + 1) % len(self.points)]) for i, j in zip(at, following)]

    def walls_at(self, corner: Corner) -> tuple[LineString, LineString]:
        """The wall that ends at a corner, and the one that begins there."""
        k = [other.vertex for other in self.corners].index(corner.vertex)
        return self.walls[k - 1], self.walls[k]


def rings_of(parts: Iterable[Polygon]) -> list[Ring]:
    """Every ring of sound polygons, numbered in order."""
    outlines = (ring for part in parts for ring in (part.exterior, *part.interiors))
    return [Ring(door.ring_points(ring), number) for number, ring in enumerate(outlines)]


def chosen(corners: list[Corner], near: Any) -> list[Corner]:
    """All corners, or for each place of `near` the one that is nearest to it."""
    if not corners:
        raise ShapeError("The shape has no corner for this.")
    if near is None:
        return corners
    places = np.array([corner.place for corner in corners])
    found: dict[int, Point] = {}
    for place in places_in("near", near):
        nearest = int(np.argmin(np.hypot(*(places - place).T)))
        if nearest in found:
            x, y = corners[nearest].place
            raise InputError(
                f"near: {found[nearest]} and {place} both have the corner ({x:g}, {y:g}) as their nearest one."
            )
        found[nearest] = place
    return [corners[i] for i in sorted(found)]


def round_corners(
    shape: BaseGeometry, radius: float, *, near: Iterable[Any] | None = None, tolerance: float = DEFAULT_TOLERANCE
) -> BaseGeometry:
    """The area with its corners rounded: inward ones too, by an arc that meets both walls smoothly.

    near : places (x, y), for each of which the nearest corner is rounded; without them all are.
        Bends of a curve, which turn 20 degrees or less at a time, are no corners.

    >>> from toolpaths import rectangle, round_corners
    >>> foot = round_corners(rectangle(40, 20), 5, near=[(20, 10), (-20, 10)])
    >>> round(800 - foot.area, 2)  # (2 - pi/2) r^2 at two corners
    10.74

    Raises ShapeError for a shape without corners, DoesNotFitError where the walls are too short for the arc,
    with the radius that would go.
    """
    arc_radius = between("radius", radius, _LEAST_SIZE, FARTHEST)
    fine = checked_tolerance("tolerance", tolerance) * FLATTEN

    def rounding(corner: Corner, start: Point, end: Point) -> Floats:
        # The tangents at start and end meet in the corner where its walls are straight; the centre stands square to
        # the first of them, and for walls in chords at the same distance from both ends.
        centre = _centre(start, end, arc_radius, left=corner.narrow)
        chords = arc(centre, start, sweep_between(centre, start, end, not corner.narrow), fine)
        chords[-1] = end
        return chords

    return _finished(shape, near, arc_radius, _tangent_setbacks, rounding, "An arc of radius")


def chamfer_corners(shape: BaseGeometry, setback: float, *, near: Iterable[Any] | None = None) -> BaseGeometry:
    """The area with its corners cut off straight, `setback` mm along both walls of each.

    near : places (x, y), for each of which the nearest corner is cut off; without them all are

    >>> from toolpaths import chamfer_corners, rectangle
    >>> chamfer_corners(rectangle(40, 20), 4).area  # four corners of 4 x 4 / 2
    768.0

    Raises ShapeError for a shape without corners, DoesNotFitError where the walls are too short, with the
    setback that would go.
    """
    along = between("setback", setback, _LEAST_SIZE, FARTHEST)

    def straight(corner: Corner, start: Point, end: Point) -> Floats:
        return np.array([start, end])

    return _finished(shape, near, along, lambda corner, ring, size: (size, size), straight, "A chamfer of")


def _centre(start: Point, end: Point, radius: float, left: bool) -> Point:
    """Centre of the lesser arc from start to end, on the left of its chord or on the right."""
    dx, dy = end[0] - start[0], end[1] - start[1]
    half = float(np.hypot(dx, dy)) / 2
    far = float(np.sqrt(max(radius * radius - half * half, 0.0))) / (2 * half) * (1 if left else -1)
    return (start[0] + end[0]) / 2 - dy * far, (start[1] + end[1]) / 2 + dx * far


def _tangent_setbacks(corner: Corner, ring: Ring, radius: float) -> Setbacks | None:
    """How far along its walls an arc of this radius touches them, or None where they are too short for it."""
    before, after = ring.walls_at(corner)
    if len(ring.corners) == 1:
        # One wall leads from the corner round to it again: an offset of it that is met by itself meets everywhere.
        after, before = _halves(after)
    aside = radius if corner.narrow else -radius
    curves = [wall.offset_curve(aside, join_style="mitre", mitre_limit=_MITRE) for wall in (before, after)]
    meetings = shapely.get_coordinates(shapely.intersection(*curves))
    setbacks = [
        (before.length - before.project(shapely.Point(place)), after.project(shapely.Point(place)))
        for place in meetings
    ]
    return min(setbacks, key=sum, default=None)


def _finished(
    shape: BaseGeometry,
    near: Iterable[Any] | None,
    size: float,
    setbacks_of: Callable[[Corner, Ring, float], Setbacks | None],
    joint: Callable[[Corner, Point, Point], Floats],
    words: str,
) -> BaseGeometry:
    """The area with the chosen corners set back along their walls and the ends of these joined anew."""
    parts = door.polygons("shape", shape)
    rings = rings_of(parts)
    finished = chosen([corner for ring in rings for corner in ring.corners], near)
    new: list[Floats] = []
    for number, ring in enumerate(rings):
        mine = [corner for corner in finished if corner.ring == number]
        setbacks = _fitting(ring, mine, size, setbacks_of)
        if isinstance(setbacks, Corner):
            x, y = setbacks.place
            most = _most(ring, mine, size, setbacks_of)
            would = f"{most:.3f} would go" if most > 0 else "none would go"
            raise DoesNotFitError(
                f"{words} {size:g} at the corner ({x:.3f}, {y:.3f}) needs more of its walls than there is; {would}.",
                setbacks.place,
            )
        new.append(_rebuilt(ring, setbacks, joint) if setbacks else ring.points)
    outlines = iter(new)
    made = [Polygon(next(outlines), [next(outlines) for _ in part.interiors]) for part in parts]
    return door.area("the shape with its corners finished", made)


def _fitting(
    ring: Ring, corners: list[Corner], size: float, setbacks_of: Callable[[Corner, Ring, float], Setbacks | None]
) -> dict[int, Setbacks] | Corner:
    """Setbacks by vertex, or the corner whose walls are too short for them."""
    found: dict[int, Setbacks] = {}
    for corner in corners:
        setbacks = setbacks_of(corner, ring, size)
        if setbacks is None:
            return corner
        found[corner.vertex] = setbacks
    for k, wall in enumerate(ring.walls if corners else ()):
        first, last = ring.corners[k], ring.corners[(k + 1) % len(ring.corners)]
        taken = found.get(first.vertex, (0.0, 0.0))[1] + found.get(last.vertex, (0.0, 0.0))[0]
        if taken > wall.length * (1 + 1e-12):
            return first if first.vertex in found else last
    return found


def _most(
    ring: Ring, corners: list[Corner], size: float, setbacks_of: Callable[[Corner, Ring, float], Setbacks | None]
) -> float:
    """The largest size that fits, mm, rounded down to a thousandth."""
    low, high = 0.0, size
    for _ in range(_HALVINGS):
        middle = (low + high) / 2
        if isinstance(_fitting(ring, corners, middle, setbacks_of), Corner):
            high = middle
        else:
            low = middle
    return int(low * 1000 + 1e-6) / 1000


def _rebuilt(ring: Ring, setbacks: Mapping[int, Setbacks], joint: Callable[[Corner, Point, Point], Floats]) -> Floats:
    chords: list[Floats] = []
    for k, corner in enumerate(ring.corners):
        before, after = ring.walls[k - 1], ring.walls[k]
        _, start = setbacks.get(corner.vertex, (0.0, 0.0))
        following = ring.corners[(k + 1) % len(ring.corners)]
        end, _ = setbacks.get(following.vertex, (0.0, 0.0))
        if corner.vertex in setbacks:
            chords.append(joint(corner, _at(before, before.length - setbacks[corner.vertex][0]), _at(after, start)))
        chords.append(shapely.get_coordinates(substring(after, start, after.length - end)))
    points = np.vstack(chords)
    step = np.hypot(*(points - np.roll(points, 1, axis=0)).T)
    return np.asarray(points[step > 1e-9])


def _halves(wall: LineString) -> tuple[LineString, LineString]:
    middle = wall.length / 2
    return substring(wall, 0.0, middle), substring(wall, middle, wall.length)


def _at(wall: LineString, along: float) -> Point:
    place = wall.interpolate(along)
    return place.x, place.y
