"""The entities of DXF that are curves, as segments in their own coordinates: those of the object, or of the world."""

from __future__ import annotations

from collections.abc import Callable
from math import isfinite, pi, radians
from typing import Any, NamedTuple

from toolpaths.base.errors import InputError, Point
from toolpaths.drawings.curve_segments import Arc, DrawnSubpath, Line, Segment, arc_by_bulge, circle_arc
from toolpaths.drawings.spline_spans import spline_segments

# Bits of code 70 of polylines and their vertices, and of splines.
_CLOSED, _CURVE_FIT, _SPLINE_FIT, _FRAME = 1, 2, 4, 16
# Units by which heights may differ in what is flat.
_FLAT = 1e-6


class Tilted(Exception):
    """An entity that does not lie flat."""


class EntityCurve(NamedTuple):
    """What an entity draws.

    height : Z of all of it, in its own coordinates
    in_object : whether these are those of the object (OCS), and not of the world
    doubt : what must be known of it
    """

    subpath: DrawnSubpath
    height: float
    in_object: bool
    doubt: str = ""


def curve_of_entity(entity: Any) -> EntityCurve | None:
    """The curve of an entity; None for one that is none.

    Raises Tilted for one that is not flat, InputError for one whose numbers do not belong together.
    """
    make = _CURVES.get(entity.dxftype())
    return None if make is None else make(entity)


def _line(entity: Any) -> EntityCurve:
    (x0, y0, z0), (x1, y1, z1) = entity.dxf.start.xyz, entity.dxf.end.xyz
    if abs(z1 - z0) > _FLAT:
        raise Tilted
    return EntityCurve(DrawnSubpath((Line((x0, y0), (x1, y1)),), False), z0, False)


def _circle(entity: Any) -> EntityCurve:
    x, y, z = entity.dxf.center.xyz
    radius = abs(entity.dxf.radius)
    return EntityCurve(DrawnSubpath((circle_arc((x, y), radius, 0.0, 2 * pi),), True), z, True)


def _arc(entity: Any) -> EntityCurve:
    x, y, z = entity.dxf.center.xyz
    first, last = entity.dxf.start_angle, entity.dxf.end_angle
    sweep = (last - first) % 360.0
    whole = abs(sweep) < 1e-9 or sweep > 360.0 - 1e-9
    if not isfinite(sweep):
        raise InputError("its angles are no numbers")
    arc = circle_arc((x, y), abs(entity.dxf.radius), radians(first), 2 * pi if whole else radians(sweep))
    return EntityCurve(DrawnSubpath((arc,), whole), z, True)


def _ellipse(entity: Any) -> EntityCurve:
    (x, y, z), (ux, uy, uz) = entity.dxf.center.xyz, entity.dxf.major_axis.xyz
    _, _, nz = entity.dxf.extrusion.normalize().xyz
    if abs(abs(nz) - 1) > 1e-9 or abs(uz) > _FLAT:
        raise Tilted
    ratio, sense = entity.dxf.ratio, 1.0 if nz > 0 else -1.0
    sweep = (entity.dxf.end_param - entity.dxf.start_param) % (2 * pi)
    whole = sweep < 1e-9 or sweep > 2 * pi - 1e-9
    if not isfinite(sweep):
        raise InputError("its parameters are no numbers")
    minor = (-uy * ratio * sense, ux * ratio * sense)
    arc = Arc((x, y), (ux, uy), minor, entity.dxf.start_param, 2 * pi if whole else sweep)
    return EntityCurve(DrawnSubpath((arc,), whole), z, False)


def _light_polyline(entity: Any) -> EntityCurve:
    rows = [(float(x), float(y), float(bulge)) for x, y, bulge in entity.get_points("xyb")]
    return EntityCurve(_bulged(rows, bool(entity.dxf.flags & _CLOSED)), entity.dxf.elevation, True)


def _polyline(entity: Any) -> EntityCurve | None:
    closed = bool(entity.dxf.flags & _CLOSED)
    if entity.is_3d_polyline:
        places = [vertex.dxf.location.xyz for vertex in entity.vertices if not vertex.dxf.flags & _FRAME]
        if max((abs(z - places[0][2]) for _, _, z in places), default=0.0) > _FLAT:
            raise Tilted
        rows = [(x, y, 0.0) for x, y, _ in places]
        return EntityCurve(_bulged(rows, closed), places[0][2] if places else 0.0, False)
    if not entity.is_2d_polyline:
        return None
    fitted = entity.dxf.flags & (_CURVE_FIT | _SPLINE_FIT)
    kept = [vertex for vertex in entity.vertices if not (fitted and vertex.dxf.flags & _FRAME)]
    rows = [(vertex.dxf.location.x, vertex.dxf.location.y, vertex.dxf.get("bulge", 0.0)) for vertex in kept]
    return EntityCurve(_bulged(rows, closed), entity.dxf.elevation.z, True)


def _bulged(rows: list[tuple[float, float, float]], closed: bool) -> DrawnSubpath:
    places: list[Point] = [(x, y) for x, y, _ in rows]
    following = [*places[1:], places[0]] if closed and len(places) > 1 else places[1:]
    segments = [
        arc_by_bulge(start, end, bulge)
        for start, end, (_, _, bulge) in zip(places, following, rows)
        if bulge == 0 or start != end
    ]
    if not segments and places:
        segments = [Line(places[0], places[0])]
    return DrawnSubpath(tuple(segments), closed)


def _spline(entity: Any) -> EntityCurve:
    doubt = ""
    places = [tuple(map(float, place)) for place in entity.control_points]
    if places:
        degree, knots, weights = entity.dxf.degree, list(entity.knots), list(entity.weights)
        if not knots:
            raise InputError("a spline has no knots")
    else:
        fit = [tuple(map(float, place)) for place in entity.fit_points]
        if len(fit) < 2:
            raise InputError("a spline has neither control points nor fit points")
        tool = entity.construction_tool()
        places, degree = [place.xyz for place in tool.control_points], tool.degree
        knots, weights = list(tool.knots()), list(tool.weights())
        doubt = "is a spline given by the places that it passes alone; between them its course is ours"
    if max(abs(place[2] - places[0][2]) for place in places) > _FLAT:
        raise Tilted
    segments: list[Segment] = spline_segments(degree, [(x, y) for x, y, _ in places], knots, weights)
    if not segments:
        raise InputError("a spline has no span")
    closed = bool(entity.dxf.flags & _CLOSED) and _meets(segments)
    return EntityCurve(DrawnSubpath(tuple(segments), closed), places[0][2], False, doubt)


def _meets(segments: list[Segment]) -> bool:
    """Whether a spline that is to be closed ends where it begins; where it does not, it is left open and joined."""
    (x, y), (u, v) = segments[0].chords(1e6)[0].tolist(), segments[-1].chords(1e6)[-1].tolist()
    return bool(abs(x - u) <= _FLAT and abs(y - v) <= _FLAT)


_CURVES: dict[str, Callable[[Any], EntityCurve | None]] = {
    "LINE": _line, "CIRCLE": _circle, "ARC": _arc, "ELLIPSE": _ellipse, "LWPOLYLINE": _light_polyline,
    "POLYLINE": _polyline, "SPLINE": _spline,
}  # fmt: skip
