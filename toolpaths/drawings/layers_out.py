"""What is written to a drawing: layers of outlines and lines, as lines and arcs, and of words."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from math import dist
from typing import Any

import numpy as np
import shapely
from shapely import Polygon

from toolpaths.base.errors import Point
from toolpaths.shapes import door
from toolpaths.shapes.curves import arc
from toolpaths.shapes.drawn_curve import fitted
from toolpaths.shapes.track import Segment, Track


@dataclass(frozen=True)
class Words:
    """A text, its middle at a place; mm."""

    place: Point
    text: str
    height: float = 3.0


@dataclass(frozen=True)
class LayerOut:
    """A layer of a drawing to be written.

    things : each an area, with its holes, or a line; as tracks
    """

    name: str
    things: tuple[tuple[Track, ...], ...]
    words: tuple[Words, ...] = ()


def layer_of_shapes(name: str, shapes: Any, tolerance: float) -> LayerOut:
    """A layer of shapely areas and lines.

    Raises InputError and ShapeError for what is neither, is not sound or lies beyond every board.
    """
    things = list[tuple[Track, ...]]()
    for part in _single(door.one_geometry(name, shapes)):
        # Areas are let in whole, lines as they are.
        if isinstance(part, Polygon):
            door.polygons(name, part)
        things.append(tuple(fitted(points, closed, tolerance) for points, closed in door.lines(name, part)))
    return LayerOut(name, tuple(things))


def _single(shape: Any) -> Iterable[Any]:
    for part in shapely.get_parts(shape):
        if hasattr(part, "geoms"):
            yield from _single(part)
        else:
            yield part


def round_track(track: Track) -> tuple[Point, float] | None:
    """Centre and radius of a track that is one full circle; None for any other."""
    first = track.segments[0]
    if not track.closed or first.sweep == 0:
        return None
    for other in track.segments:
        if other.sweep * first.sweep <= 0 or abs(other.radius - first.radius) > 1e-6:
            return None
        if dist(other.centre, first.centre) > 1e-6:
            return None
    return first.centre, first.radius


def bounds_of(layers: Iterable[LayerOut]) -> tuple[float, float, float, float]:
    """(left, low, right, high) of all that is drawn, and of the corner (0, 0)."""
    corners = [(0.0, 0.0, 0.0, 0.0)]
    for layer in layers:
        corners += [_bounds(segment) for thing in layer.things for track in thing for segment in track.segments]
        corners += [(*words.place, *words.place) for words in layer.words]
    left, low, right, high = zip(*corners)
    return min(left), min(low), max(right), max(high)


def _bounds(segment: Segment) -> tuple[float, float, float, float]:
    """Of a line or an arc; the chords of an arc reach as far as it does."""
    ends = np.array((segment.start, segment.end))
    points = arc(segment.centre, segment.start, segment.sweep, 1.0) if segment.sweep else ends
    (left, low), (right, high) = points.min(axis=0).tolist(), points.max(axis=0).tolist()
    return left, low, right, high
