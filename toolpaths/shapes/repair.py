"""Faults of a drawing's lines and outlines taken out, each of them said."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
import shapely
from shapely import GeometryCollection, LineString, MultiLineString, MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry
from shapely.geometry.polygon import orient

from toolpaths.base.checks import Floats, positive
from toolpaths.base.errors import ShapeError
from toolpaths.shapes.filled import filled
from toolpaths.shapes.joining import join_lines
from toolpaths.shapes.shape_faults import (
    ShapeFault,
    drawn_once,
    is_sliver,
    shape_faults,
    spike_tips,
    taken_apart,
)


@dataclass(frozen=True, slots=True, repr=False)
class Repaired:
    """A shape after repaired().

    shape : areas as one polygon or several; lines that are still open among them where there are such
    faults : what was wrong before, and was put right
    left : what is still wrong: open ends of lines and the like
    """

    shape: BaseGeometry
    faults: tuple[ShapeFault, ...]
    left: tuple[ShapeFault, ...]

    def __repr__(self) -> str:
        return f"<Repaired: {self.shape.geom_type}, {len(self.faults)} faults before, {len(self.left)} left>"


def repaired(shape: BaseGeometry, within: float = 0.01) -> Repaired:
    """Lines and areas without the faults that shape_faults() finds in them, and what those were.

    shape, within : as for shape_faults()

    Lines: those drawn twice are taken once, ends are joined across gaps, and what closes becomes an area. Areas:
    points that coincide become one, spikes are cut off, what crosses itself is filled as it looks (by even and odd),
    slivers are left out, and outlines run the usual way round. Nothing else moves.

    >>> from shapely import MultiLineString
    >>> from toolpaths import repaired
    >>> mended = repaired(MultiLineString([[(0, 0), (40, 0), (40, 30)], [(40, 30.004), (0, 0)], [(40, 0), (40, 30)]]))
    >>> [fault.kind for fault in mended.faults], mended.shape.geom_type, mended.left
    (['gap', 'doubled line'], 'Polygon', ())

    Raises InputError for what is no shapely geometry, and ShapeError where nothing is left.
    """
    near = positive("within", within)
    faults = shape_faults(shape, near)
    lines, polygons = taken_apart(shape)
    joined = join_lines(drawn_once(lines, near), gap=near) if lines else None
    areas = [area for polygon in polygons for area in _sound(polygon, near)]
    if joined is not None:
        areas += [area for outline in joined.outlines for area in _sound(outline, near)]
    united = [orient(area) for area in shapely.get_parts(shapely.union_all(areas))]
    made = [*united, *(joined.open_lines if joined is not None else ())]
    if not made:
        raise ShapeError("Nothing is left of the shape once its slivers and spikes are taken out.")
    whole = _as_one(made)
    return Repaired(whole, faults, shape_faults(whole, near))


def _as_one(parts: list[Any]) -> BaseGeometry:
    """One part as it is, several as one geometry of their kind."""
    if len(parts) == 1:
        single: BaseGeometry = parts[0]
        return single
    for kind, bundle in ((Polygon, MultiPolygon), (LineString, MultiLineString)):
        if all(isinstance(part, kind) for part in parts):
            return bundle(parts)
    return GeometryCollection(parts)


def _sound(polygon: Polygon, within: float) -> list[Polygon]:
    rings = [_plain(shapely.get_coordinates(ring), within) for ring in (polygon.exterior, *polygon.interiors)]
    rings = [ring for ring in rings if len(ring) > 3]
    if not rings:
        return []
    plain = Polygon(rings[0], rings[1:])
    whole = plain if plain.is_valid else filled([ring[:-1] for ring in rings], "evenodd")
    return [
        orient(part)
        for part in shapely.get_parts(whole)
        if isinstance(part, Polygon) and not part.is_empty and not is_sliver(part, within)
    ]


def _plain(ring: Floats, within: float) -> Floats:
    """A closed ring without points that coincide and without spikes."""
    points = ring[:-1]
    while len(points) > 2:
        apart = np.hypot(*(points - np.roll(points, 1, axis=0)).T)
        apart[0] = max(apart[0], within)
        kept = points[apart >= within]
        if len(kept) > 1 and np.hypot(*(kept[0] - kept[-1])) < within:
            kept = kept[:-1]
        tips = spike_tips(np.vstack([kept, kept[:1]])) if len(kept) > 2 else np.empty(0, np.int64)
        # One after another: without its tip the foot of a spike may be another's.
        kept = np.delete(kept, tips[:1], axis=0)
        if len(kept) == len(points):
            break
        points = kept
    return np.vstack([points, points[:1]])
