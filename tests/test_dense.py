"""Many moves at once leave, bit for bit, what the same moves leave one after the other."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from samples import examples
from toolpaths.facts.board import Board
from toolpaths.facts.profile import Profile, ball, bull_nose, flat, rounding, v_point
from toolpaths.judging.wood.dense import in_strips, rim_moves, widened
from toolpaths.judging.wood.field import Grid, grid_on
from toolpaths.judging.wood.lowest import lower
from toolpaths.judging.wood.moves import straightened, uphill_lines
from toolpaths.judging.wood.removal import cuts, remove
from toolpaths.judging.wood.sweep import capsules

BOARD = Board(width=61.3, height=40, thickness=20)


def one_by_one(grid: Grid, table: np.ndarray, profile: Profile) -> np.ndarray:
    top = np.zeros(grid.shape, np.float32)
    for start in range(0, table.shape[1], 50):
        for cell, z, _ in cuts(grid, table[:, start : start + 50], profile):
            np.minimum.at(top.reshape(-1), cell, z.astype(np.float32))
    return top


def together(grid: Grid, table: np.ndarray, profile: Profile) -> np.ndarray:
    top = np.zeros(grid.shape, np.float32)
    remove(top, grid, table, profile)
    return top


def walk(rng: np.random.Generator, count: int, step: float, digits: int, depths: tuple[float, ...]) -> np.ndarray:
    """Short level moves from place to place, a tenth of them arcs, some off the board, at these depths."""
    places = np.cumsum(rng.uniform(-step, step, (count + 1, 2)), axis=0) + rng.uniform(-2, 60, 2)
    places = np.round(places, digits)
    table = np.zeros((11, count))
    table[[0, 1]], table[[3, 4]] = places[:-1].T, places[1:].T
    table[2] = table[5] = rng.choice(depths, count)
    arcs = np.flatnonzero(rng.random(count) < 0.1)
    centre = places[arcs].T + rng.uniform(-8, 8, (2, len(arcs)))
    sweep = rng.uniform(-2 * np.pi, 2 * np.pi, len(arcs))
    start = np.arctan2(places[arcs, 1] - centre[1], places[arcs, 0] - centre[0])
    radius = np.hypot(*(places[arcs].T - centre))
    table[6:, arcs] = *centre, radius, start, sweep
    table[3, arcs] = centre[0] + radius * np.cos(start + sweep)
    table[4, arcs] = centre[1] + radius * np.sin(start + sweep)
    return table


@given(
    seed=st.integers(0, 10_000), diameter=st.sampled_from([0.8, 3.0, 6.0, 12.7]), step=st.floats(0.05, 2),
    digits=st.integers(0, 4), cell=st.sampled_from([0.25, 0.5, 0.7]), count=st.integers(250, 1200),
)  # fmt: skip
@examples(40)
def test_a_dense_walk_of_a_flat_cutter_equals_its_moves_one_by_one(seed, diameter, step, digits, cell, count):
    rng = np.random.default_rng(seed)
    grid = grid_on(BOARD, cell)
    table = walk(rng, count, step, digits, (-1.0, -2.5))

    assert (together(grid, table, flat(diameter)) == one_by_one(grid, table, flat(diameter))).all()


@pytest.mark.parametrize("cell", [0.25, 0.5])
def test_rows_on_round_numbers_include_their_boundary(cell):
    """Short steps along rows of a pocket, with its walls exactly on cell centres."""
    grid = grid_on(Board(width=60, height=40, thickness=20), cell)
    x = np.arange(10, 50.1, 0.5) + cell / 2
    rows = [(x[i], y, x[i + 1], y) for y in np.arange(10, 30.1, 0.5) + cell / 2 for i in range(len(x) - 1)]
    table = np.zeros((11, len(rows)))
    table[[0, 1, 3, 4]] = np.array(rows).T
    table[[2, 5]] = -3
    top = together(grid, table, flat(6))

    assert (top == one_by_one(grid, table, flat(6))).all()
    assert top[grid.rows // 2, round((10 - 3) / cell)] == -3, "a centre on the wall counts as cut"
    assert top[grid.rows // 2, round((10 - 3) / cell) - 1] == 0


def test_most_moves_of_a_dense_batch_are_not_worked_out():
    rng = np.random.default_rng(1)
    grid = grid_on(BOARD, 0.25)
    table = walk(rng, 1000, 0.3, 3, (-1.0,))
    table[6:] = 0
    sure, rim = rim_moves(grid, table, 3.0, np.ones(grid.shape, bool))

    whole = in_strips(grid, capsules(grid, np.full(1000, 3.0), *table[[0, 1, 3, 4]]))
    part = in_strips(grid, capsules(grid, np.full(len(rim), 3.0), *table[[0, 1, 3, 4]][:, rim]))
    assert len(rim) < 500
    assert not (sure & ~whole).any()
    assert ((sure | part) == whole).all()
    assert (sure & ~part).any()


def test_no_move_decides_about_cells_of_no_interest():
    grid = grid_on(BOARD, 0.25)
    table = walk(np.random.default_rng(1), 1000, 0.3, 3, (-1.0,))
    table[6:] = 0
    assert not len(rim_moves(grid, table, 3.0, np.zeros(grid.shape, bool))[1])


@given(seed=st.integers(0, 1000), radius=st.floats(0, 12))
def test_widened_marks_all_cells_within_the_radius(seed, radius):
    rng = np.random.default_rng(seed)
    mark = np.zeros((60, 70), bool)
    mark[15:-15, 15:-15] = rng.random((30, 40)) < 0.01
    rows, columns = np.indices(mark.shape)
    near = np.zeros(mark.shape, bool)
    for row, column in np.argwhere(mark):
        near |= (rows - row) ** 2 + (columns - column) ** 2 <= radius * radius

    assert (widened(mark, radius) == near).all()


def hills(rng: np.random.Generator, count: int, step: float, steep: float) -> np.ndarray:
    """Short lines from place to place, mostly sloping, some level, some upright, a few long."""
    places = np.cumsum(rng.uniform(-step, step, (count + 1, 3)) * (1, 1, steep), axis=0)
    places[:, :2] += rng.uniform(0, 40, 2)
    places[:, 2] = -8 + 7.9 * np.sin(places[:, 2])
    places[rng.random(count + 1) < 0.02, :2] += 15
    places = np.round(places, 3)
    table = np.zeros((11, count))
    table[:3], table[3:6] = places[:-1].T, places[1:].T
    level, upright = rng.random((2, count)) < 0.1
    table[5, level] = table[2, level]
    table[3:5, upright] = table[:2, upright]
    return table


@pytest.mark.long
@given(
    seed=st.integers(0, 10_000),
    profile=st.sampled_from([flat(3), ball(6), bull_nose(6, 1), v_point(12, 90), v_point(8, 60, 1.5), rounding(3, 2)]),
    step=st.floats(0.05, 1.5), steep=st.sampled_from([0.0, 0.2, 1.0, 20.0]), count=st.integers(250, 800),
    cell=st.sampled_from([0.25, 0.5, 0.7]),
)  # fmt: skip
@examples(20)
def test_many_lines_of_any_cutter_and_slope_equal_the_lines_one_by_one(seed, profile, step, steep, count, cell):
    rng = np.random.default_rng(seed)
    grid = grid_on(BOARD, cell)
    table = hills(rng, count, step, steep)
    top = np.zeros(grid.shape, np.float32)
    lower(top, grid, uphill_lines(table), profile)

    wrong = np.abs(top - one_by_one(grid, table, profile)) > 1e-6
    assert not wrong.any(), (
        f"{wrong.sum()} of {wrong.size}: {top[wrong][:3]} {one_by_one(grid, table, profile)[wrong][:3]}"
    )


def test_many_lines_are_added_to_what_was_cut_before():
    grid = grid_on(BOARD, 0.5)
    table = hills(np.random.default_rng(3), 500, 0.5, 0.5)
    before = np.random.default_rng(4).uniform(-16, 0, grid.shape).astype(np.float32)
    top = before.copy()
    lower(top, grid, uphill_lines(table), ball(6))

    alone = np.zeros(grid.shape, np.float32)
    lower(alone, grid, uphill_lines(table), ball(6))
    assert (top == np.minimum(before, alone)).all()
    assert (top < before).any()


@given(seed=st.integers(0, 1000), profile=st.sampled_from([flat(6), ball(6)]))
@examples(20)
def test_steps_along_the_axes_are_made_one_and_leave_the_same(seed, profile):
    """To and fro along rows and columns, with stops, corners, and changes of depth."""
    rng = np.random.default_rng(seed)
    steps = rng.integers(-3, 4, (400, 2)) * 0.5
    steps[np.arange(400), np.repeat(rng.integers(0, 2, 40), 10)] = 0
    places = np.cumsum(np.vstack([[20, 20], steps]), axis=0)
    table = np.zeros((11, 400))
    table[[0, 1]], table[[3, 4]] = places[:-1].T, places[1:].T
    table[2] = table[5] = np.repeat([-1.0, -2.0, -1.5, -1.0], 100)
    fewer = straightened(table)

    assert 40 <= fewer.shape[1] < 250
    grid = grid_on(BOARD, 0.5)
    assert (one_by_one(grid, fewer, profile) == one_by_one(grid, table, profile)).all()
    assert (together(grid, table, profile) == one_by_one(grid, table, profile)).all()


def test_slanted_sloping_and_separate_moves_are_left_as_they_are():
    table = hills(np.random.default_rng(1), 300, 1.0, 1.0)
    table[3] = table[0]
    table[3, ::2] += 1
    assert straightened(table) is table
