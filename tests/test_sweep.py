"""Which cells a move covers, against the plain distance of every cell centre."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from toolpaths.facts.board import Board
from toolpaths.judging.wood.field import Grid, grid_on
from toolpaths.judging.wood.paths import extents, farthest, lengths, nearest
from toolpaths.judging.wood.sweep import Strips, capsules, cells, discs, sectors

GRID = grid_on(Board(width=60, height=40, thickness=10), 0.5)
# A cell centre this near the boundary may fall on either side.
UNDECIDED = 1e-6

places = st.tuples(st.floats(-15, 75), st.floats(-15, 55))
radii = st.floats(0.05, 12)
angles = st.floats(-7, 7)
sweeps = st.floats(-2 * np.pi, 2 * np.pi).filter(lambda sweep: abs(sweep) > 1e-6)


def covered(grid: Grid, strips: Strips) -> np.ndarray:
    """(rows, columns) how often each cell is covered."""
    flat, count = cells(grid, strips)
    assert len(flat) == count.sum()
    return np.bincount(flat, minlength=grid.rows * grid.columns).reshape(grid.shape)


def columns(*values: float) -> list[np.ndarray]:
    return [np.array([value], float) for value in values]


def distance_to_line(grid: Grid, a: tuple[float, float], b: tuple[float, float]) -> np.ndarray:
    x, y = np.meshgrid(grid.xs() - a[0], grid.ys() - a[1])
    dx, dy = b[0] - a[0], b[1] - a[1]
    square = dx * dx + dy * dy
    part = np.clip((x * dx + y * dy) / square, 0, 1) if square else 0.0
    return np.hypot(x - part * dx, y - part * dy)


@given(a=places, b=places, radius=radii)
def test_capsules_cover_the_cells_within_the_radius_once(a, b, radius):
    strips = capsules(GRID, *columns(radius, *a, *b))

    distance = distance_to_line(GRID, a, b)
    hit = covered(GRID, strips)
    assert (hit[distance < radius - UNDECIDED] == 1).all()
    assert (hit[distance > radius + UNDECIDED] == 0).all()


@given(at=places, radius=radii)
@example(at=(30.1, 20.2), radius=5.0)
@example(at=(30.1, 20.2), radius=0.3)
def test_discs_cover_the_cells_within_the_radius_once(at, radius):
    distance = distance_to_line(GRID, at, at)
    hit = covered(GRID, discs(GRID, *columns(radius, *at)))
    assert (hit[distance < radius - UNDECIDED] == 1).all()
    assert (hit[distance > radius + UNDECIDED] == 0).all()


@pytest.mark.parametrize("b", [(30.0, 20.0), (45.0, 20.0), (30.0, 35.0), (45.0, 35.0)])
def test_capsules_on_round_numbers_include_their_boundary(b):
    """A disc, a level, an upright and a slanted line; 3 mm is a whole number of cells."""
    hit = covered(GRID, capsules(GRID, *columns(3.25, 30, 20, *b)))

    assert (hit == (distance_to_line(GRID, (30, 20), b) <= 3.25 + 1e-9)).all()


@given(centre=places, path=st.floats(0.1, 30), start=angles, sweep=sweeps, radius=radii)
def test_sectors_cover_the_cells_near_the_arc_and_within_its_angles(centre, path, start, sweep, radius):
    hit = covered(GRID, sectors(GRID, *columns(radius, *centre, path, start, sweep)))

    x, y = np.meshgrid(GRID.xs() - centre[0], GRID.ys() - centre[1])
    rho = np.hypot(x, y)
    turn = np.mod((np.arctan2(y, x) - start) * np.sign(sweep), 2 * np.pi)
    aside = np.abs(rho - path)
    # As a length, how far the cell is from the straight sides of the sector.
    margin = rho * np.minimum(np.minimum(turn, 2 * np.pi - turn), np.abs(turn - abs(sweep)))
    inside = (aside < radius - UNDECIDED) & (turn < abs(sweep)) & (margin > UNDECIDED)
    outside = (aside > radius + UNDECIDED) | ((turn > abs(sweep)) & (margin > 1e-4))
    assert (hit[inside] >= 1).all()
    assert (hit[outside] == 0).all()


@given(centre=places, path=st.floats(0.1, 30), start=angles, radius=radii)
def test_sectors_of_a_full_circle_leave_no_gap(centre, path, start, radius):
    hit = covered(GRID, sectors(GRID, *columns(radius, *centre, path, start, 2 * np.pi)))

    x, y = np.meshgrid(GRID.xs() - centre[0], GRID.ys() - centre[1])
    assert (hit[np.abs(np.hypot(x, y) - path) < radius - UNDECIDED] >= 1).all()


def test_a_batch_is_the_sum_of_its_moves():
    rng = np.random.default_rng(1)
    lines = rng.uniform(-10, 60, (4, 30))
    radius = rng.uniform(0.2, 8, 30)

    together = covered(GRID, capsules(GRID, radius, *lines))
    alone = sum(covered(GRID, capsules(GRID, radius[i : i + 1], *lines[:, i : i + 1])) for i in range(30))
    assert (together == alone).all()
    assert together.any()


@pytest.mark.parametrize("far", [1e6, 1e12, 1e300])
def test_moves_far_off_the_board_cost_no_more_than_the_board(far):
    with np.errstate(over="ignore", invalid="ignore"):
        strips = capsules(GRID, *columns(3, -far, 20, far, 20))
    assert len(strips.row) <= GRID.rows


def test_nothing_in_nothing_out():
    none = np.zeros(0)
    assert covered(GRID, capsules(GRID, none, none, none, none, none)).sum() == 0
    assert covered(GRID, sectors(GRID, none, none, none, none, none, none)).sum() == 0


@given(centre=places, path=st.floats(0.1, 30), start=angles, sweep=sweeps, point=places)
def test_paths_nearest_farthest_and_extents_agree_with_looking_everywhere(centre, path, start, sweep, point):
    angle = start + sweep * np.linspace(0, 1, 20001)
    x, y = centre[0] + path * np.cos(angle), centre[1] + path * np.sin(angle)
    table = np.array([[x[0], y[0], 0, x[-1], y[-1], 0, *centre, path, start, sweep]], float).T

    distance = np.hypot(x - point[0], y - point[1])
    # Between two looks lies at most 0.01 mm of the path.
    assert nearest(table, *point)[0][0] == pytest.approx(distance.min(), abs=0.01)
    assert farthest(table, *point)[0] == pytest.approx(distance.max(), abs=0.01)
    assert extents(table)[:, 0] == pytest.approx([x.min(), x.max(), y.min(), y.max()], abs=0.01)
    assert lengths(table)[0] == pytest.approx(abs(sweep) * path)
    place = nearest(table, *point)[1][0]
    assert np.hypot(x - place[0], y - place[1]).min() < 0.01, "the place lies on the path"
