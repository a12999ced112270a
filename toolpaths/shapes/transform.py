"""Move, turn, mirror and resize shapes, and join mirrored halves and quarters. Shapely in, shapely out."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial
from typing import Any, Literal, TypeAlias, TypeVar

import numpy as np
from shapely import LineString, Polygon, affinity
from shapely.geometry.base import BaseGeometry

from toolpaths.base import checks
from toolpaths.base.checks import Floats, between, coordinate, finite, length, one_of, point
from toolpaths.base.errors import InputError, Point, ShapeError
from toolpaths.shapes import door
from toolpaths.shapes.outline import Outline
from toolpaths.shapes.tolerance_shares import DEFAULT_TOLERANCE, FLATTEN

Shape = TypeVar("Shape", bound=BaseGeometry)
Line: TypeAlias = LineString | Outline | Sequence[Any]
Axis = Literal["vertical", "horizontal"]
AXES: tuple[Axis, ...] = ("vertical", "horizontal")
# mm below which a shape has no width, or no height, that could be made another.
_NO_SIZE = 1e-6
# A drawing may lie anywhere until it is moved to where it belongs, mm.
_far = partial(between, low=-1e9, high=1e9)


def size(shape: BaseGeometry) -> Point:
    """Overall (width, height)."""
    left, low, right, high = _bounds(shape)
    return right - left, high - low


def centre(shape: BaseGeometry) -> Point:
    """Middle of the overall width and height."""
    left, low, right, high = _bounds(shape)
    return (left + right) / 2, (low + high) / 2


def _bounds(shape: BaseGeometry) -> tuple[float, float, float, float]:
    left, low, right, high = door.drawn("shape", shape).bounds
    return left, low, right, high


def move(shape: Shape, dx: float, dy: float) -> Shape:
    """The shape, dx to the right and dy up.

    >>> from toolpaths import move, rectangle
    >>> move(rectangle(10, 10), 25, 5).bounds
    (20.0, 0.0, 30.0, 10.0)

    Raises InputError for what is no shapely geometry or no number.
    """
    _bounds(shape)
    moved: Shape = affinity.translate(shape, _far("dx", dx), _far("dy", dy))
    return moved


def centre_on(shape: Shape, place: Point) -> Shape:
    """The shape, its middle at the given place.

    >>> from toolpaths import centre_on, rectangle
    >>> centre_on(rectangle(10, 10, (3, 4)), (50, 50)).bounds
    (45.0, 45.0, 55.0, 55.0)

    Raises InputError for what is no shapely geometry or no place, ShapeError for an empty one.
    """
    x, y = centre(shape)
    at = point("place", place)
    centred: Shape = affinity.translate(shape, at[0] - x, at[1] - y)
    return centred


def rotate(shape: Shape, angle_deg: float, about: Point | None = None) -> Shape:
    """The shape, turned anticlockwise about a point, or about its own middle.

    >>> from toolpaths import rectangle, rotate
    >>> [round(edge, 6) for edge in rotate(rectangle(20, 10), 90).bounds]
    [-5.0, -10.0, 5.0, 10.0]

    Raises InputError for what is no shapely geometry or no number, ShapeError for an empty one.
    """
    middle = centre(shape)
    origin = middle if about is None else point("about", about)
    turned: Shape = affinity.rotate(shape, finite("angle_deg", angle_deg), origin=origin)
    return turned


def mirror(shape: Shape, about: Axis, at: float = 0.0) -> Shape:
    """The mirror image in the "vertical" line x = at, or in the "horizontal" line y = at.

    >>> from toolpaths import mirror, rectangle
    >>> mirror(rectangle(10, 10, (20, 5)), "vertical", at=50).bounds
    (75.0, 0.0, 85.0, 10.0)

    Raises InputError for another word, and what is no shapely geometry or no number.
    """
    _bounds(shape)
    one_of("about", about, AXES)
    x, y = (-1.0, 1.0) if about == "vertical" else (1.0, -1.0)
    line = _far("at", at)
    image: Shape = affinity.scale(shape, x, y, origin=(line, line))
    return image


def resize(shape: Shape, *, width: float | None = None, height: float | None = None) -> Shape:
    """The shape at an exact overall size, its middle kept; with one of the two, proportions are kept.

    >>> from toolpaths import rectangle, resize
    >>> resize(rectangle(20, 10, (50, 50)), width=40).bounds
    (30.0, 40.0, 70.0, 60.0)

    Raises InputError where neither is given or one is no length above 0, ShapeError for a shape without such a size.
    """
    across, up = size(shape)
    factors = []
    for name, wanted, now in (("width", width, across), ("height", height, up)):
        if wanted is not None:
            if now < _NO_SIZE:
                raise ShapeError(f"The shape has no {name} to resize.", centre(shape))
            factors.append(length(name, wanted) / now)
    if not factors:
        raise InputError("resize needs a width, a height, or both.")
    scaled: Shape = affinity.scale(shape, factors[0], factors[-1], origin=centre(shape))
    return scaled


def mirror_half(half: Line, about: Axis, at: float = 0.0, *, tolerance: float = DEFAULT_TOLERANCE) -> Polygon:
    """A closed outline from its half and the mirror image of that half.

    half : a shapely line, an Outline, or points (x, y)

    Both ends of the half must lie on the mirror line; a gap larger than an eighth of the
    tolerance is an error that says where.

    >>> from toolpaths import Outline, mirror_half
    >>> mirror_half(Outline((50, 0)).line_to((90, 0)).line_to((90, 30)).line_to((50, 30)), "vertical", at=50).bounds
    (10.0, 0.0, 90.0, 30.0)

    Raises ShapeError where an end lies off the line, and where the whole crosses itself.
    """
    one_of("about", about, AXES)
    at, fine = coordinate("at", at), checks.tolerance("tolerance", tolerance)
    points = _on_axis(_on_axis(_open_line(half), 0, about, at, fine), -1, about, at, fine)
    image = _mirrored(points, about, at)[::-1]
    return door.polygon("outline", np.vstack([points, image[1:-1]]))


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
    points = _on_axis(_on_axis(points, 0, "vertical", x, fine), -1, "horizontal", y, fine)
    half = np.vstack([points, _mirrored(points, "horizontal", y)[-2::-1]])
    return mirror_half(LineString(half), "vertical", x, tolerance=tolerance)


def _open_line(shape: Line) -> Floats:
    (points, closed), *more = door.lines("half or quarter", door.as_line("half or quarter", shape))
    if more:
        raise ShapeError(f"A half or a quarter is one line; these are {1 + len(more)}.")
    if closed:
        raise ShapeError("A half or a quarter is an open line; this one is closed.", tuple(points[0].tolist()))
    return points


def _mirrored(points: Floats, about: Axis, at: float) -> Floats:
    return points * [-1.0, 1.0] + [2 * at, 0.0] if about == "vertical" else points * [1.0, -1.0] + [0.0, 2 * at]


def _on_axis(points: Floats, end: int, about: Axis, at: float, tolerance: float) -> Floats:
    axis = 0 if about == "vertical" else 1
    gap = points[end][axis] - at
    if abs(gap) > tolerance * FLATTEN:
        x, y = points[end]
        raise ShapeError(
            f"The line ends at ({x:.4f}, {y:.4f}), {abs(gap):.4f} mm from the mirror line {'xy'[axis]} = {at:g}; "
            "mirrored, the outline would not close there.",
            (float(x), float(y)),
        )
    snapped = points.copy()
    snapped[end][axis] = at
    return snapped
