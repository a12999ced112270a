"""Move, turn and resize shapes. Shapely in, shapely out."""

from __future__ import annotations

from typing import TypeVar

from shapely import affinity
from shapely.geometry.base import BaseGeometry

from toolpaths.base.checks import finite, length, point
from toolpaths.base.errors import InputError, Point, ShapeError
from toolpaths.shapes import door

Shape = TypeVar("Shape", bound=BaseGeometry)
# mm below which a shape has no width, or no height, that could be made another.
_NO_SIZE = 1e-6


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
    moved: Shape = affinity.translate(shape, door.far("dx", dx), door.far("dy", dy))
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
