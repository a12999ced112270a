"""The basic shapes of SVG, chapter 10 of SVG 2, as segments in user units, y down."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from math import pi

from toolpaths.base.errors import InputError, Point
from toolpaths.drawings.curve_segments import Arc, DrawnSubpath, Line, Segment
from toolpaths.drawings.svg_path_data import subpaths
from toolpaths.drawings.svg_units import Length, Viewport, length, numbers

Attributes = Mapping[str, str]


class NothingDrawn(Exception):
    """An element that SVG does not draw, and why."""


def shape_of(name: str, attributes: Attributes, viewport: Viewport) -> tuple[DrawnSubpath, ...]:
    """The subpaths of a shape by its name; see SHAPES.

    Raises InputError for attributes that cannot be read, NothingDrawn for a shape without a size.
    """
    return SHAPES[name](attributes, viewport)


def px(attributes: Attributes, name: str, viewport: Viewport, initial: str = "0") -> float:
    """A length in user units; percentages are of the viewport's width, height or diagonal, as the name says."""
    whole = viewport.width if name in ("x", "cx", "x1", "x2", "width", "rx") else viewport.height
    whole = viewport.diagonal if name == "r" else whole
    return length(name, attributes.get(name, initial)).px(name, whole)


def _size(attributes: Attributes, name: str, viewport: Viewport) -> float:
    value = px(attributes, name, viewport)
    if value <= 0:
        raise NothingDrawn(f"its {name} is {'negative' if value < 0 else '0'}")
    return value


def _path(attributes: Attributes, viewport: Viewport) -> tuple[DrawnSubpath, ...]:
    data = attributes.get("d", "").strip()
    if data in ("", "none"):
        raise NothingDrawn("it has no path data")
    found = subpaths(data)
    if not found:
        raise NothingDrawn("its path data only moves")
    return found


def _line(attributes: Attributes, viewport: Viewport) -> tuple[DrawnSubpath, ...]:
    x1, y1, x2, y2 = (px(attributes, name, viewport) for name in ("x1", "y1", "x2", "y2"))
    return (DrawnSubpath((Line((x1, y1), (x2, y2)),), False),)


def _points(attributes: Attributes) -> list[Point]:
    found = numbers("points", attributes.get("points", ""))
    if len(found) % 2:
        raise InputError("points holds an odd number of numbers.")
    if len(found) < 4:
        raise NothingDrawn("it has fewer than two points")
    return list(zip(found[::2], found[1::2]))


def _polyline(attributes: Attributes, viewport: Viewport) -> tuple[DrawnSubpath, ...]:
    places = _points(attributes)
    return (DrawnSubpath(tuple(map(Line, places, places[1:])), False),)


def _polygon(attributes: Attributes, viewport: Viewport) -> tuple[DrawnSubpath, ...]:
    places = _points(attributes)
    return (DrawnSubpath(tuple(map(Line, places, [*places[1:], places[0]])), True),)


def _circle(attributes: Attributes, viewport: Viewport) -> tuple[DrawnSubpath, ...]:
    radius = _size(attributes, "r", viewport)
    return _round(attributes, viewport, radius, radius)


def _ellipse(attributes: Attributes, viewport: Viewport) -> tuple[DrawnSubpath, ...]:
    rx, ry = _radii(attributes, viewport)
    if rx <= 0 or ry <= 0:
        raise NothingDrawn("a radius of it is not above 0")
    return _round(attributes, viewport, rx, ry)


def _round(attributes: Attributes, viewport: Viewport, rx: float, ry: float) -> tuple[DrawnSubpath, ...]:
    centre = (px(attributes, "cx", viewport), px(attributes, "cy", viewport))
    return (DrawnSubpath((Arc(centre, (rx, 0.0), (0.0, ry), 0.0, 2 * pi),), True),)


def _radii(attributes: Attributes, viewport: Viewport) -> Point:
    """rx and ry; one that is not said is as the other."""
    found = []
    for name in ("rx", "ry"):
        said = attributes.get(name, "auto").strip()
        value = None if said == "auto" else px(attributes, name, viewport)
        found.append(None if value is not None and value < 0 else value)
    rx, ry = found
    return (ry or 0.0) if rx is None else rx, (rx or 0.0) if ry is None else ry


def _rect(attributes: Attributes, viewport: Viewport) -> tuple[DrawnSubpath, ...]:
    x, y = px(attributes, "x", viewport), px(attributes, "y", viewport)
    width, height = _size(attributes, "width", viewport), _size(attributes, "height", viewport)
    rx, ry = _radii(attributes, viewport)
    rx, ry = min(rx, width / 2), min(ry, height / 2)
    left, right, top, low = x, x + width, y, y + height
    if rx == 0 or ry == 0:
        corners = [(left, top), (right, top), (right, low), (left, low)]
        return (DrawnSubpath(tuple(map(Line, corners, [*corners[1:], corners[0]])), True),)
    segments = list[Segment]()
    sides = (
        ((left + rx, top), (right - rx, top), (right - rx, top + ry), -pi / 2),
        ((right, top + ry), (right, low - ry), (right - rx, low - ry), 0.0),
        ((right - rx, low), (left + rx, low), (left + rx, low - ry), pi / 2),
        ((left, low - ry), (left, top + ry), (left + rx, top + ry), pi),
    )
    for start, end, centre, first in sides:
        if start != end:
            segments.append(Line(start, end))
        segments.append(Arc(centre, (rx, 0.0), (0.0, ry), first, pi / 2))
    return (DrawnSubpath(tuple(segments), True),)


SHAPES: dict[str, Callable[[Attributes, Viewport], tuple[DrawnSubpath, ...]]] = {
    "path": _path, "rect": _rect, "circle": _circle, "ellipse": _ellipse, "line": _line, "polyline": _polyline,
    "polygon": _polygon,
}  # fmt: skip
# For percentages of what has none.
NO_VIEWPORT = Viewport(0.0, 0.0)


def said_length(attributes: Attributes, name: str) -> Length | None:
    """A length as written; None where it is not said, or "auto"."""
    written = attributes.get(name, "auto").strip()
    return None if written == "auto" else length(name, written)
