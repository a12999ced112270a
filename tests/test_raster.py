"""Areas on a grid, against GEOS asked point by point."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from catalogue import SHAPES
from hypothesis import given
from hypothesis import strategies as st

from samples import examples
from toolpaths.facts.board import Board
from toolpaths.judging.wood.field import grid_on
from toolpaths.judging.wood.raster import covered, lower

BOARD = Board(width=160, height=160, thickness=18)


@pytest.mark.sample(3, long=2)
@pytest.mark.parametrize("name", SHAPES)
@examples(20)
@given(cell=st.sampled_from([0.7, 1.3, 3.1]), x=st.floats(-20, 60), y=st.floats(-20, 60), turned=st.floats(0, 360))
def test_cells_are_those_whose_centres_geos_finds_inside(name, cell, x, y, turned):
    area = shapely.affinity.translate(shapely.affinity.rotate(SHAPES[name], turned), x, y)
    if name == "square far from zero":
        area = shapely.affinity.translate(area, -680, -380)
    grid = grid_on(BOARD, cell)
    across, up = np.meshgrid(grid.xs(), grid.ys())
    edge = area.boundary
    shapely.prepare([area, edge])
    inside = shapely.contains_xy(area, across, up)
    # A centre within a rounding error of the boundary may fall to either side.
    near = shapely.dwithin(edge, shapely.points(across, up), 1e-9)
    assert (covered(area, grid) == inside)[~near].all()


def test_no_area_covers_no_cell():
    assert not covered(shapely.Polygon(), grid_on(BOARD, 1.0)).any()
    assert not covered(shapely.box(500, 500, 600, 600), grid_on(BOARD, 1.0)).any()


def test_centre_on_an_edge_belongs_to_one_of_two_neighbours():
    grid = grid_on(BOARD, 1.0)
    left, right = covered(shapely.box(0, 0, 10.5, 20), grid), covered(shapely.box(10.5, 0, 20, 20), grid)
    assert not (left & right).any()
    assert (left | right).sum() == 20 * 20


@pytest.mark.parametrize("name", ["star", "two islands"])
def test_heights_are_lowered_over_each_area_to_its_own_height(name):
    """Areas that overlap, wide enough for rows to be taken together, against each laid on the grid by itself."""
    grid = grid_on(BOARD, 0.5)
    areas = [shapely.box(5, 5, 120, 60), SHAPES[name], shapely.box(40, 20, 150, 150) - shapely.box(60, 40, 130, 90)]
    heights = np.zeros(grid.shape, np.float32)
    lower(heights, grid, areas, [-2.0, -5.0, -3.0])

    expected = np.min([np.where(covered(area, grid), z, 0.0) for area, z in zip(areas, (-2, -5, -3))], axis=0)
    assert (heights == expected).all() and len(np.unique(heights)) >= 3
