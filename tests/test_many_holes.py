"""Thousands of holes in one feature: their walls, and how far these may be off, are found for all at once."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from shapely import LineString, MultiPoint, MultiPolygon

from samples import examples
from toolpaths import Board, CutAlong, flat
from toolpaths.facts.features import cut_along
from toolpaths.facts.features.slack import _ALIKE, _SMOOTH, ROUND, Slack, _height_of_chords

SLACK = Slack(Board(width=300, height=200, thickness=18), -18.0, 0.1, np.empty((0, 6)))
places = st.lists(st.tuples(st.integers(0, 30), st.integers(0, 20)), min_size=1, max_size=40)


@given(places, st.sampled_from([1.0, 2.0, 3.5, 7.0]))
@examples(100)
def test_walls_of_holes_are_those_of_all_within_a_radius(points, diameter):
    """Apart, touching, overlapping, or one on the other."""
    feature = CutAlong(line=MultiPoint(points), profile=flat(diameter), depth=5)
    area = feature.walls(SLACK).area

    expected = shapely.buffer(MultiPoint(points), diameter / 2, quad_segs=ROUND)
    assert area.is_valid
    assert shapely.symmetric_difference(area, expected).area < 1e-9
    assert len(shapely.get_parts(area)) == len(shapely.get_parts(expected))


@pytest.mark.parametrize("number", [100, 400])
def test_only_holes_that_touch_are_made_together(number, monkeypatch):
    """A grid of holes, two of which touch: all together took time that grew faster than their number."""
    together, buffer = [], shapely.buffer

    def counted(shapes, *rest, **more):
        together.append(max(shapely.get_num_geometries(shapes).max(initial=0), 0))
        return buffer(shapes, *rest, **more)

    monkeypatch.setattr(cut_along.shapely, "buffer", counted)
    points = [(5.0 * (k % 20), 5.0 * (k // 20)) for k in range(number)]
    area = CutAlong(line=MultiPoint([*points, (1.0, 0.0)]), profile=flat(3), depth=5).walls(SLACK).area
    assert len(area.geoms) == number
    assert max(together) == 2


def _plain(shape: shapely.Geometry) -> float:
    """The highest chord, ring by ring and corner by corner."""
    lines = shapely.get_parts(shape) if shape.area == 0 else shapely.get_rings(shapely.get_parts(shape))
    high = 0.0
    for line in lines:
        points = list(line.coords)
        edges = [(b[0] - a[0], b[1] - a[1]) for a, b in zip(points, points[1:], strict=False)]
        pairs = list(zip(edges, edges[1:], strict=False)) + (
            [(edges[-1], edges[0])] if edges and line.is_closed else []
        )
        for (x0, y0), (x1, y1) in pairs:
            turn = abs(np.arctan2(x0 * y1 - y0 * x1, x0 * x1 + y0 * y1))
            if turn < _SMOOTH:
                one, other = sorted((np.hypot(x0, y0), np.hypot(x1, y1)))
                high = max(high, min(other, _ALIKE * one) / 2 * np.tan(turn / 4))
    return high


@given(places, st.integers(4, 40), st.floats(0.5, 3.0))
@examples(60)
def test_height_of_chords_is_that_of_the_highest_of_all_corners(points, segments, radius):
    area = shapely.buffer(MultiPoint(points), radius, quad_segs=segments)
    ring = shapely.difference(area, shapely.buffer(MultiPoint(points), radius / 2, quad_segs=segments // 2))
    for shape in (area, ring, MultiPoint(points), MultiPolygon(), *([LineString(points)] if len(points) > 1 else [])):
        assert _height_of_chords(shape) == pytest.approx(_plain(shape), abs=1e-12)
