"""What is removed is removed, by whatever did it: how much of a pocket's level cutting goes through air.

Followed on plain cells: a step is in air where the cutter, two fifths of a cell thinner, takes no cell down.
"""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from pathcheck import FRONT, T2, T3, T6, segments
from shapely import Point, Polygon, box

import toolpaths as tp

CELL = 0.1


class Cells:
    """Heights over cells about a shape."""

    def __init__(self, shape: Polygon) -> None:
        left, low, right, high = shapely.buffer(shape, 1).bounds
        self.xs, self.ys = np.arange(left, right, CELL), np.arange(low, high, CELL)
        self.top = np.zeros((len(self.ys), len(self.xs)))

    def takes(self, x: float, y: float, z: float, radius: float) -> bool:
        """Whether a cutter takes any cell down at a place."""
        columns = slice(*np.searchsorted(self.xs, (x - radius, x + radius)))
        rows = slice(*np.searchsorted(self.ys, (y - radius, y + radius)))
        away = np.hypot(self.xs[columns] - x, self.ys[rows, None] - y)
        window = self.top[rows, columns]
        took = bool(((away <= radius - 0.4 * CELL) & (window > z + 1e-6)).any())
        np.minimum(window, z, out=window, where=away <= radius)
        return took


def shares_in_air(paths: tuple[tp.Toolpath, ...], shape: Polygon) -> list[tuple[float, float]]:
    """For each path (mm of level cutting, the share of it in air)."""
    cells, found = Cells(shape), []
    for path in paths:
        level = air = 0.0
        for segment, move, z in segments(path):
            if move.kind != "cut":
                continue
            count = max(1, int(np.ceil(segment.length / 0.2)))
            took = [
                cells.takes(*segment.at(share), z + (move.z - z) * share, path.cutter.radius)
                for share in np.arange(1, count + 1) / count
            ]
            if move.z == z < 0:
                level += segment.length
                air += segment.length * (1 - float(np.mean(took)))
        found.append((level, air / level))
    return found


SHAPES = {
    "two islands": box(30, 25, 135, 95)
    - Point(60, 50).buffer(11, quad_segs=64)
    - Point(100, 72).buffer(8, quad_segs=64),
    "cross": box(80, 25, 112, 115) | box(50, 55, 150, 90),
    "bell": box(40, 40, 80, 90) | Point(115, 65).buffer(28, quad_segs=64) | box(60, 60, 115, 70),
    "wedge": Polygon([(30, 25), (160, 40), (150, 95), (95, 60), (60, 110)]),
}


@pytest.mark.sample(0, long=2)
@pytest.mark.parametrize("how", [{}, {"pattern": "parallel"}, {"stepover": 0.15}], ids=str)
@pytest.mark.parametrize("name", SHAPES)
def test_first_cutter_goes_little_through_air(name, how):
    ((level, air),) = shares_in_air(tp.pocket(SHAPES[name], T6, depth=6, **how).toolpaths(FRONT), SHAPES[name])
    assert level > 500
    assert air <= 0.15


@pytest.mark.sample(3)
@pytest.mark.parametrize("stepover", [0.1, 0.2, 0.4])
@pytest.mark.parametrize("diameter", [14.5, 18, 23])
def test_hole_of_the_helix_is_no_wood(diameter, stepover):
    """Loops that would go round in it are left out; the level round of the helix itself counts."""
    shape = tp.circle(diameter, (80, 60))
    ((_, air),) = shares_in_air(tp.pocket(shape, T6, depth=3, stepover=stepover).toolpaths(FRONT), shape)
    assert air <= 0.15


@pytest.mark.sample(0)
@pytest.mark.parametrize("fine", [T3, T2], ids=str)
def test_finer_cutter_in_sharp_corners_goes_little_through_air(fine):
    """Where there is wood thick enough for the cells to see."""
    shape = SHAPES["wedge"]
    coarse = tp.Cutter(8, tp.flat(12), feed_mm_min=1800, spindle_rpm=16000, cutting_length=25)
    *_, (level, air) = shares_in_air(tp.pocket(shape, [coarse, fine], depth=3).toolpaths(FRONT), shape)
    assert level > 20
    assert air <= 0.25
