"""Areas and lines with a band around them, whose outline may be as long as a scanned one."""

from __future__ import annotations

from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from toolpaths.base.checks import Floats

# Vertices of a line from which on it is gone along in runs of so many chords.
_LONG, _RUN = 4000, 25


def buffered(shape: BaseGeometry, distance: float, *, quad_segs: int = 16) -> BaseGeometry:
    """The GEOS buffer of an area or of lines, of a long outline in runs."""
    if not has_long_line(shape):
        return shapely.buffer(shape, distance, quad_segs=quad_segs)
    runs = [shapely.linestrings(run) for run in runs_of(shape)]
    band = shapely.union_all(shapely.buffer(runs, abs(distance), quad_segs=quad_segs))
    return band if shapely.get_dimensions(shape) == 1 else with_band(shape, band, distance)


def with_band(area: BaseGeometry, band: BaseGeometry, distance: float) -> BaseGeometry:
    """An area with the band along its outline that an offset adds, or takes away where that is negative."""
    return shapely.union(area, band) if distance > 0 else shapely.difference(area, band)


def has_long_line(shape: BaseGeometry) -> bool:
    """Whether any ring or line of it has very many vertices."""
    # Most shapes have fewer altogether.
    if shapely.get_num_coordinates(shape) < _LONG:
        return False
    return int(shapely.get_num_coordinates(_lines(shape)).max(initial=0)) >= _LONG


def runs_of(shape: BaseGeometry) -> list[Floats]:
    """The outline of an area, or lines, in runs of a few chords, (n, 2) points each.

    In one piece engines take the square of the vertices that lie within the distance of each other, and along a traced
    or scanned outline these are many.
    """
    lines = [shapely.get_coordinates(line) for line in _lines(shape)]
    return [line[at : at + _RUN + 1] for line in lines for at in range(0, len(line) - 1, _RUN)]


def _lines(shape: BaseGeometry) -> NDArray[Any]:
    """Its rings and lines."""
    parts = shapely.get_parts(shape)
    return np.append(shapely.get_rings(parts), parts[shapely.get_dimensions(parts) == 1])
