"""The one door to offsetting areas, and where a round cutter can go.

Engine: GEOS buffers through shapely; the tests hold it against pyclipper. Arcs that the engine
adds are chords, at most OFFSET of the tolerance inside the true arc.
"""

from __future__ import annotations

from math import acos, ceil, pi

import shapely
from shapely.geometry.base import BaseGeometry

from toolpaths.checks import finite, positive
from toolpaths.errors import ShapeError
from toolpaths.geometry import door
from toolpaths.geometry import tolerance as share


def buffer(area: BaseGeometry, distance: float, tolerance: float) -> BaseGeometry:
    """All points within `distance` of the area; if negative, those farther than that from its outside.

    The result may be empty, or fall into several parts.
    """
    if distance == 0:
        return area
    sagitta = min(tolerance * share.OFFSET / abs(distance), 0.5)
    quarter = max(2, ceil(pi / 4 / acos(1 - sagitta)))
    slim = shapely.simplify(area, tolerance * share.SIMPLIFY)
    return shapely.buffer(slim, distance, quad_segs=quarter)


def offset(shape: BaseGeometry, distance: float, *, tolerance: float = share.DEFAULT) -> BaseGeometry:
    """The shape moved outwards by `distance` mm, or inwards where it is negative.

    Outward corners come out rounded, inward ones sharp. Error at most `tolerance`, to either side.
    Raises ShapeError where nothing is left.
    """
    area = door.area("shape", shape)
    moved = buffer(area, finite("distance", distance), positive("tolerance", tolerance))
    if moved.is_empty:
        at = shapely.get_coordinates(shapely.centroid(area))[0]
        raise ShapeError(
            f"Moved {-distance:g} mm inwards nothing is left of the shape at ({at[0]:.3f}, {at[1]:.3f}).",
            tuple(at.tolist()),
        )
    return moved


def reach(area: BaseGeometry, radius: float, tolerance: float) -> BaseGeometry:
    """Where the centre of a round cutter may go so that it stays inside the area.

    Exactly the inward offset, except where the area is as narrow as the cutter (within twice the
    SNUG share of the tolerance): there a thread is kept along which the cutter just passes.
    """
    exact = buffer(area, -radius, tolerance)
    snug = share.SNUG * tolerance
    loose = buffer(area, snug - radius, tolerance / 2)
    threads = [
        part
        for part in _parts(shapely.difference(loose, buffer(exact, 4 * snug, tolerance)))
        if not part.is_empty and part.geom_type == "Polygon"
    ]
    if not threads:
        return exact
    near = shapely.buffer(shapely.union_all(threads), 8 * snug)
    return shapely.union_all([exact, shapely.intersection(loose, near)])


def _parts(geometry: BaseGeometry) -> list[BaseGeometry]:
    return list(getattr(geometry, "geoms", [geometry]))
