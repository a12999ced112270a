"""Mirror shapes in any line; close an outline from its half, its quarter, or one of n equal sectors."""

from __future__ import annotations

from collections.abc import Sequence
from math import atan2, cos, degrees, hypot, pi, sin
from typing import Any, Literal, NamedTuple, TypeAlias, TypeVar

import numpy as np
from shapely import LineString, Polygon, affinity
from shapely.geometry.base import BaseGeometry

from toolpaths.base import checks
from toolpaths.base.checks import Floats, flag, one_of, point, whole
from toolpaths.base.errors import InputError, Point, ShapeError
from toolpaths.shapes import door
from toolpaths.shapes.curves import cos_sin
from toolpaths.shapes.outline import Outline
from toolpaths.shapes.tolerance_shares import DEFAULT_TOLERANCE, FLATTEN

Shape = TypeVar("Shape", bound=BaseGeometry)
Line: TypeAlias = LineString | Outline | Sequence[Any]
Axis = Literal["vertical", "horizontal"]
AXES: tuple[Axis, ...] = ("vertical", "horizontal")
About: TypeAlias = Axis | tuple[Point, Point]
# mm: two points of a mirror line nearer to each other do not say where it runs.
_LEAST_APART = 0.001
# An outline of more equal sectors is a circle.
_MOST_SECTORS = 1000


class MirrorLine(NamedTuple):
    """The line through `place` along the unit direction (along_x, along_y)."""

    place: Point
    along_x: float
    along_y: float

    def image_of(self, points: Floats) -> Floats:
        """(n, 2) the mirror images of points; of images, in a line along x or y, the points themselves."""
        a, b, d, e, x, y = self.matrix
        return np.asarray(points @ np.array([[a, d], [b, e]]) + [x, y])

    @property
    def matrix(self) -> tuple[float, float, float, float, float, float]:
        """x' = a x + b y + x0, y' = d x + e y + y0 as shapely has it: (a, b, d, e, x0, y0)."""
        cos2 = self.along_x * self.along_x - self.along_y * self.along_y
        sin2 = 2 * self.along_x * self.along_y
        x, y = self.place
        return cos2, sin2, sin2, -cos2, x - cos2 * x - sin2 * y, y - sin2 * x + cos2 * y

    def nearest(self, place: Floats) -> Point:
        """The place of the line that is nearest."""
        x, y = self.place
        along = float((place[0] - x) * self.along_x + (place[1] - y) * self.along_y)
        return x + along * self.along_x, y + along * self.along_y

    def __str__(self) -> str:
        if self.along_x == 0:
            return f"x = {self.place[0]:g}"
        if self.along_y == 0:
            return f"y = {self.place[1]:g}"
        angle = degrees(atan2(self.along_y, self.along_x))
        return f"through ({self.place[0]:g}, {self.place[1]:g}) at {angle:g} degrees"


def mirror_line(about: About, at: float = 0.0) -> MirrorLine:
    """The line x = at ("vertical"), y = at ("horizontal"), or the one through two points."""
    where = door.far("at", at)
    if isinstance(about, str):
        one_of("about", about, AXES)
        return MirrorLine((where, 0.0), 0.0, 1.0) if about == "vertical" else MirrorLine((0.0, where), 1.0, 0.0)
    if where != 0:
        raise InputError(f"at={at:g} goes with 'vertical' or 'horizontal'; two points say where the line is.")
    ends = checks.sequence("about", about, "'vertical', 'horizontal', or two points (x, y) of the mirror line")
    if len(ends) != 2:
        raise InputError(f"about must be 'vertical', 'horizontal', or two points (x, y), not {len(ends)}.")
    (x0, y0), (x1, y1) = point("about, first point", ends[0]), point("about, second point", ends[1])
    apart = hypot(x1 - x0, y1 - y0)
    if apart < _LEAST_APART:
        raise InputError(f"about: ({x0:g}, {y0:g}) and ({x1:g}, {y1:g}) are too near to each other for a line.")
    return MirrorLine((x0, y0), (x1 - x0) / apart, (y1 - y0) / apart)


def mirror(shape: Shape, about: About, at: float = 0.0) -> Shape:
    """The mirror image in the "vertical" line x = at, the "horizontal" line y = at, or any other line.

    about : one of the two words, or two points (x, y) of the line

    >>> from toolpaths import mirror, rectangle
    >>> mirror(rectangle(10, 10, (20, 5)), "vertical", at=50).bounds
    (75.0, 0.0, 85.0, 10.0)
    >>> [round(edge, 6) for edge in mirror(rectangle(30, 10, (15, 5)), ((0, 0), (1, 1))).bounds]
    [0.0, 0.0, 10.0, 30.0]

    Raises InputError for another word, and what is no shapely geometry or no number.
    """
    door.drawn("shape", shape)
    image: Shape = affinity.affine_transform(shape, mirror_line(about, at).matrix)
    return image


def mirror_half(half: Line, about: About, at: float = 0.0, *, tolerance: float = DEFAULT_TOLERANCE) -> Polygon:
    """A closed outline from its half and the mirror image of that half.

    half : a shapely line, an Outline, or points (x, y)
    about : "vertical" for the line x = at, "horizontal" for y = at, or two points (x, y) of any line

    Both ends of the half must lie on the mirror line; a gap larger than an eighth of the
    tolerance is an error that says where.

    >>> from toolpaths import Outline, mirror_half
    >>> mirror_half(Outline((50, 0)).line_to((90, 0)).line_to((90, 30)).line_to((50, 30)), "vertical", at=50).bounds
    (10.0, 0.0, 90.0, 30.0)

    Raises ShapeError where an end lies off the line, and where the whole crosses itself.
    """
    line, fine = mirror_line(about, at), checks.tolerance("tolerance", tolerance)
    points = _ending_on(_ending_on(_open_line(half), 0, line, fine), -1, line, fine)
    return door.polygon("outline", np.vstack([points, line.image_of(points)[-2:0:-1]]))


def mirror_quarter(quarter: Line, middle: Point = (0.0, 0.0), *, tolerance: float = DEFAULT_TOLERANCE) -> Polygon:
    """A closed outline from its quarter, mirrored in the upright and in the level line through `middle`.

    quarter : a shapely line, an Outline, or points (x, y)

    One end of the quarter must lie on each of the two lines.

    >>> from toolpaths import Outline, mirror_quarter
    >>> mirror_quarter(Outline((0, 55), heading_deg=0).tangent_arc_to((90, 40)).line_to((120, 0))).bounds
    (-120.0, -55.0, 120.0, 55.0)

    Raises ShapeError where an end lies off its line, and where the whole crosses itself.
    """
    x, y = point("middle", middle)
    fine = checks.tolerance("tolerance", tolerance)
    points = _open_line(quarter)
    if abs(points[0][0] - x) > abs(points[-1][0] - x):
        points = points[::-1]
    upright, level = mirror_line("vertical", x), mirror_line("horizontal", y)
    points = _ending_on(_ending_on(points, 0, upright, fine), -1, level, fine)
    half = np.vstack([points, level.image_of(points)[-2::-1]])
    return mirror_half(LineString(half), "vertical", x, tolerance=tolerance)


def repeat_around(
    sector: Line,
    times: int,
    middle: Point = (0.0, 0.0),
    *,
    mirrored: bool = False,
    tolerance: float = DEFAULT_TOLERANCE,
) -> Polygon:
    """A closed outline of `times` equal sectors about a point, from the line of one: a cog, a rosette, a star.

    sector : a shapely line, an Outline, or points (x, y), whose end is its start turned by 360/times degrees
        to either side
    mirrored : the line is half a sector, its ends on two rays from the middle 180/times degrees apart,
        and each sector is made of it and its mirror image

    An end that lies off its place by more than an eighth of the tolerance is an error that says where.

    >>> from toolpaths import repeat_around
    >>> star = repeat_around([(30, 0), (8, 8)], 4, mirrored=True)
    >>> star.bounds, round(star.area, 6)
    ((-30.0, -30.0, 30.0, 30.0), 960.0)

    Raises ShapeError where the sectors do not meet, and where the whole crosses itself.
    """
    number = whole("times", times, 2, _MOST_SECTORS)
    x, y = point("middle", middle)
    fine = checks.tolerance("tolerance", tolerance)
    points = _open_line(sector)
    if flag("mirrored", mirrored):
        points = _whole_sector(points, number, (x, y), fine)
    start, end = points[0] - [x, y], points[-1] - [x, y]
    anticlockwise = start[0] * end[1] - start[1] * end[0] > 0 or number == 2
    whole_turn_deg = 360.0 if anticlockwise else -360.0
    meant = _turned(points[:1], whole_turn_deg / number, (x, y))[0]
    _refuse_gap(points[-1], meant, fine, f"where the next of {number} sectors begins")
    copies = [_turned(points[:-1], whole_turn_deg * k / number, (x, y)) for k in range(number)]
    return door.polygon("outline", np.vstack(copies))


def _whole_sector(half: Floats, number: int, middle: Point, tolerance: float) -> Floats:
    """Half a sector and its mirror image in the ray through its end."""
    start, end = half[0] - middle, half[-1] - middle
    if min(np.hypot(*start), np.hypot(*end)) < _LEAST_APART:
        raise ShapeError("Half a sector ends in the middle itself, where it has no direction.", middle)
    anticlockwise = start[0] * end[1] - start[1] * end[0] > 0
    angle = atan2(start[1], start[0]) + (pi if anticlockwise else -pi) / number
    ray = MirrorLine(middle, cos(angle), sin(angle))
    points = _ending_on(half, -1, ray, tolerance)
    return np.vstack([points, ray.image_of(points)[-2::-1]])


def _turned(points: Floats, angle_deg: float, middle: Point) -> Floats:
    """Points turned about the middle."""
    c, s = cos_sin(angle_deg)
    return np.asarray((points - middle) @ np.array([[c, s], [-s, c]]) + middle)


def _open_line(shape: Line) -> Floats:
    (points, closed), *more = door.lines("half, quarter or sector", door.as_line("half, quarter or sector", shape))
    if more:
        raise ShapeError(f"A half, a quarter or a sector is one line; these are {1 + len(more)}.")
    if closed:
        raise ShapeError(
            "A half, a quarter or a sector is an open line; this one is closed.", tuple(points[0].tolist())
        )
    return points


def _ending_on(points: Floats, end: int, line: MirrorLine, tolerance: float) -> Floats:
    """The points, one end moved by no more than rounding on to the mirror line."""
    nearest = line.nearest(points[end])
    _refuse_gap(points[end], np.array(nearest), tolerance, f"off the mirror line {line}")
    moved = points.copy()
    moved[end] = nearest
    return moved


def _refuse_gap(place: Floats, meant: Floats, tolerance: float, words: str) -> None:
    """Raises ShapeError where a line does not end at the place where it must."""
    gap = float(np.hypot(*(place - meant)))
    if gap > tolerance * FLATTEN:
        x, y = float(place[0]), float(place[1])
        raise ShapeError(
            f"The line ends at ({x:.4f}, {y:.4f}), {gap:.4f} mm {words}; the outline would not close there. It would "
            f"with an end at ({meant[0]:.6g}, {meant[1]:.6g}).",
            (x, y),
        )
