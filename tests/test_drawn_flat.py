"""A height of a coordinate is never dropped: every maker, every feature and every fact with a shape refuses it."""

from __future__ import annotations

from functools import partial

import numpy as np
import pytest
from shapely import LineString, MultiLineString, MultiPoint, Point, Polygon, force_2d

import toolpaths as tp

T1 = tp.Cutter(1, tp.flat(6), feed_mm_min=1500, spindle_rpm=18000)
T3 = tp.Cutter(3, tp.ball(6), feed_mm_min=1500, spindle_rpm=18000)
T5 = tp.Cutter(5, tp.drill_point(5), feed_mm_min=500, spindle_rpm=6000)
T6 = tp.Cutter(6, tp.v_point(12, 90), feed_mm_min=1200, spindle_rpm=16000)
BOARD = tp.Board(width=200, height=140, thickness=18)
LINE = LineString([(30, 70, 0), (90, 70, -3), (150, 70, 0)])
AREA = Polygon([(30, 30, 0), (100, 30, 0), (100, 100, 1.5), (30, 100, 0)])
TAKE_SHAPES = {
    "groove": (partial(tp.groove, cutter=T3, depth=3), LINE),
    "groove round an area": (partial(tp.groove, cutter=T3, depth=3), AREA),
    "groove of several": (partial(tp.groove, cutter=T3, depth=3), MultiLineString([LINE])),
    "groove, a list": (lambda line: tp.groove([line], T3, depth=3), LINE),
    "pocket": (lambda area: tp.pocket(area, T1, depth=3), AREA),
    "pocket, a list": (lambda area: tp.pocket([tp.rectangle(10, 10, (20, 20)), area], T1, depth=3), AREA),
    "contour": (partial(tp.contour, cutter=T1, depth=3), AREA),
    "face": (partial(tp.face, cutter=T1, depth=1), AREA),
    "chamfer": (partial(tp.chamfer, cutter=T6, width=1), AREA),
    "Recess": (lambda area: tp.Recess(area=area, depth=3), AREA),
    "Parting": (lambda area: tp.Parting(area=area, waste="outside"), AREA),
    "CutAlong": (lambda line: tp.CutAlong(line=line, profile=tp.ball(6), depth=3), LINE),
    "waste of CutAlong": (
        lambda area: tp.CutAlong(line=[(0, 0), (9, 9)], profile=tp.ball(6), depth=3, waste=area),
        AREA,
    ),
    "Cone": (lambda places: tp.Cone(places=places, diameter=8, angle_deg=90), MultiPoint([(20, 20, 0), (50, 50, -2)])),
    "Cone, one": (lambda place: tp.Cone(places=place, diameter=8, angle_deg=90), Point(50, 50, -2)),
    "Clamp": (lambda area: tp.Clamp(area=area, height=6), AREA),
    "grips": (lambda area: tp.Fixture(board=BOARD, grips=(area,)), AREA),
    "move": (lambda area: tp.move(area, 5, 5), AREA),
    "mirror": (lambda area: tp.mirror(area, "vertical", at=100), AREA),
    "offset": (lambda area: tp.offset(area, 2), AREA),
}


@pytest.mark.parametrize(("take", "shape"), TAKE_SHAPES.values(), ids=TAKE_SHAPES.keys())
def test_a_height_is_refused_with_its_place(take, shape):
    with pytest.raises(tp.ShapeError, match=r"has a height, Z(-3|1\.5|-2) at \(.*drawn flat.*force_2d"):
        take(shape)
    assert take(force_2d(shape))


def test_heights_of_nothing_are_none():
    """As drawings have them; and what has no number for a height has none."""
    for z in (0.0, -0.0, np.nan):
        line = LineString([(30, 70, z), (150, 70, z)])
        groove = tp.groove(line, T3, depth=3)
        assert groove.toolpaths(tp.Fixture(board=BOARD))


@pytest.mark.parametrize("points", [[(30, 70, 0), (90, 70, -3)], np.array([[30, 70, 0], [90, 70, 0]])])
def test_points_have_two_coordinates(points):
    for take in (
        lambda: tp.groove(points, T3, depth=3),
        lambda: tp.drill(points, T5, depth=3),
        lambda: tp.countersink(points, T6, diameter=6),
        lambda: tp.CutAlong(line=points, profile=tp.ball(6), depth=3),
        lambda: tp.Cone(places=points, diameter=8, angle_deg=90),
        lambda: tp.Tabs(points=points, width=6, height=3),
    ):
        with pytest.raises(tp.InputError, match=r"points \(x, y\) in mm"):
            take()
