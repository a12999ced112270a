"""Threads: rooms of no width, where an area is just as wide as the cutter. Their loop would go along every place twice;
their middle goes along it once."""

from __future__ import annotations

import numpy as np
import shapely
from shapely import LineString, Polygon

from toolpaths.shapes.curves import lengths_along
from toolpaths.shapes.tolerance_shares import SNUG

# A thread is no wider than so many times that by which a cutter enters a gap narrower than itself, at either side.
_WIDEST = 4.0
# Places at which both sides of it are compared.
_PLACES = 48


def middle(room: Polygon, tolerance: float) -> LineString | None:
    """The line along the middle of a room that is a thread from one end to the other; None where it is none, forks, or
    is no longer than wide.

    Seen from either end the ring comes back the way that it went.
    """
    widest = _WIDEST * SNUG * tolerance
    if room.interiors or 2 * room.area > widest * room.length:
        return None
    ring = LineString(room.exterior)
    marks, half = lengths_along(shapely.get_coordinates(ring)), ring.length / 2
    ahead = (np.arange(_PLACES) + 0.5) * half / _PLACES
    there, back = (
        shapely.line_interpolate_point(ring, (marks[:-1, None] + way * ahead) % ring.length) for way in (1, -1)
    )
    apart = shapely.distance(there, back).max(axis=1)
    end = int(apart.argmin())
    if apart[end] > widest:
        return None
    along = np.sort((marks[:-1] - marks[end]) % ring.length)
    along = np.append(along[along < half], half)
    there, back = (
        shapely.get_coordinates(shapely.line_interpolate_point(ring, (marks[end] + way * along) % ring.length))
        for way in (1, -1)
    )
    line: LineString = shapely.simplify(LineString((there + back) / 2), SNUG * tolerance)
    return line if line.length > widest else None
