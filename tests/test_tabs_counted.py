"""Tabs that stand on small shapes are all counted, wherever the cut comes down, rises and ends."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from pathcheck import axis

import toolpaths as tp

BOARD = tp.Board(width=200, height=150, thickness=12)
SIDE = tp.Fixture(board=BOARD, grips=(BOARD.outline,))
T1 = tp.Cutter(1, tp.flat(6), feed_mm_min=1200, spindle_rpm=18000, step_down=3)
WIDTH, HEIGHT = 6.0, 3.0
# mm of the cutter's axis along which heights are compared.
STRETCH = 0.5
MIDDLE = (100, 75)
SHAPES = {
    "circle 30": tp.circle(30, MIDDLE),
    "circle 40": tp.circle(40, MIDDLE),
    "circle 50": tp.circle(50, MIDDLE),
    "circle 63": tp.circle(63, MIDDLE),
    "rectangle 40 x 30": tp.rectangle(40, 30, MIDDLE),
    "rectangle 61 x 47": tp.rectangle(61, 47, MIDDLE),
    "hexagon": tp.regular_polygon(6, 52, MIDDLE),
}


def raised(setup: tp.Setup, ring: shapely.Geometry) -> int:
    """On how many stretches of its track the cutter never comes down to the underside, by the moves alone."""
    places = axis(setup.steps[-1].path)
    lowest = np.full(int(ring.length / STRETCH), np.inf)
    along = shapely.line_locate_point(ring, shapely.points(places[:, :2])) / ring.length
    np.minimum.at(lowest, np.minimum((along * len(lowest)).astype(int), len(lowest) - 1), places[:, 2])
    high = lowest > -BOARD.thickness
    return int((high & ~np.roll(high, 1)).sum())


def counted(shape: shapely.Geometry, side: str, count: int, entry: str, slope: float) -> None:
    tabs = tp.Tabs(count=count, width=WIDTH, height=HEIGHT, slope_deg=slope)
    setup = tp.Setup(SIDE, [tp.contour(shape, T1, side=side, depth=tp.through(0.3), tabs=tabs, entry=entry)])
    report = tp.simulate(tp.program_text(setup), SIDE, setup.cutters, cell=1.0)
    ring = shapely.buffer(shape, T1.radius if side == "outside" else -T1.radius, quad_segs=32).exterior
    assert len(report.tabs) == raised(setup, ring) == count
    for tab in report.tabs:
        assert (tab.width, tab.thickness) == pytest.approx((WIDTH, HEIGHT), abs=0.01)


def test_a_tab_right_behind_the_end_of_the_ramp_is_counted():
    """The ramp goes through only just before it, and the cut rises clear over it in the end (once a fault)."""
    counted(SHAPES["circle 50"], "inside", 2, "ramp", 90.0)


@pytest.mark.sample(1, long=14)
@pytest.mark.parametrize(("count", "slope"), [(1, 90.0), (2, 90.0), (3, 90.0), (4, 90.0), (1, 50.0), (3, 50.0)])
@pytest.mark.parametrize("entry", ["ramp", "plunge", "auto"])
@pytest.mark.parametrize("side", ["inside", "outside"])
@pytest.mark.parametrize("shape", SHAPES.values(), ids=SHAPES)
def test_every_tab_that_stands_is_counted(shape, side, entry, count, slope):
    """However short the cuts between tabs are, and wherever the cut comes down, rises and ends."""
    counted(shape, side, count, entry, slope)
