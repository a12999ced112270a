"""Regions against a flood fill that looks at one cell after the other."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra import numpy as hnp

from samples import examples
from toolpaths.judging.wood.regions import joined, label, thick


def flooded(cells: np.ndarray) -> np.ndarray:
    """Number of the region of each cell, counted row by row; -1 for False."""
    number = np.full(cells.shape, -1)
    fresh = 0
    for start in np.ndindex(cells.shape):
        if number[start] >= 0 or (cells.dtype == bool and not cells[start]):
            continue
        waiting = [start]
        number[start] = fresh
        while waiting:
            row, column = waiting.pop()
            for near in ((row + 1, column), (row - 1, column), (row, column + 1), (row, column - 1)):
                on = 0 <= near[0] < cells.shape[0] and 0 <= near[1] < cells.shape[1]
                if on and number[near] < 0 and cells[near] == cells[start]:
                    number[near] = fresh
                    waiting.append(near)
        fresh += 1
    return number


SHAPES = hnp.array_shapes(min_dims=2, max_dims=2, min_side=1, max_side=14)
GRIDS = st.one_of(hnp.arrays(bool, SHAPES), hnp.arrays(np.int32, SHAPES, elements=st.integers(-1, 2)))


@given(GRIDS)
@examples(300)
def test_label_is_a_flood_fill(cells):
    """Every cell's region, and area, box, value and a place inside of every region."""
    regions, number = label(cells), flooded(cells)
    flat = np.arange(cells.size)
    assert np.array_equal(regions.of(flat).reshape(cells.shape), number)
    assert len(regions.area) == number.max() + 1
    for n in range(len(regions.area)):
        rows, columns = np.nonzero(number == n)
        assert regions.area[n] == len(rows)
        assert regions.box[n].tolist() == [rows.min(), rows.max(), columns.min(), columns.max()]
        assert regions.at(*regions.inside[n]) == n
        assert (cells[rows, columns] == regions.value[n]).all()
        assert np.array_equal(regions.cells(n), np.flatnonzero(number == n))


@given(GRIDS)
def test_links_are_the_neighbours_above(cells):
    """The pairs of runs that touch across a row are those of the flood fill, each once."""
    regions, number = label(cells), flooded(cells)
    low, high = number[:-1].ravel(), number[1:].ravel()
    wanted = {(a, b) for a, b in zip(low.tolist(), high.tolist(), strict=True) if a >= 0 and b >= 0}
    pairs = regions.links.T.tolist()
    assert len({tuple(pair) for pair in pairs}) == len(pairs)
    assert {(int(regions.region[a]), int(regions.region[b])) for a, b in pairs} == wanted


@pytest.mark.parametrize("cells", [np.zeros((3, 4), bool), np.zeros((1, 1), bool)])
def test_nothing_at_all(cells):
    regions = label(cells)
    assert len(regions.area) == 0 and regions.at(0, 0) == -1


def test_a_spiral_is_one_region():
    """One wall wound up: the longest chain of runs that a grid holds."""
    cells = np.zeros((61, 61), bool)
    row, column, way, length = 0, 0, (0, 1), 60
    cells[0, 0] = True
    for turn in range(60):
        for _ in range(length):
            row, column = row + way[0], column + way[1]
            cells[row, column] = True
        way = (way[1], -way[0])
        length -= 2 * (turn % 2) if turn > 1 else 0
        if length <= 0:
            break
    assert len(label(cells).area) == flooded(cells).max() + 1 == 1


@given(st.integers(1, 30).flatmap(lambda n: st.tuples(
    st.just(n), st.lists(st.tuples(st.integers(0, n - 1), st.integers(0, n - 1)), max_size=40)
)))  # fmt: skip
def test_joined_is_the_lowest_that_can_be_reached(drawn):
    count, pairs = drawn
    lowest = list(range(count))
    for _ in range(count):
        for a, b in pairs:
            lowest[a] = lowest[b] = min(lowest[a], lowest[b])
    one, other = np.array(pairs, int).reshape(-1, 2).T
    assert joined(count, one, other).tolist() == lowest


@given(hnp.arrays(bool, SHAPES), st.integers(1, 4))
def test_thick_finds_a_square(cells, side):
    rows, columns = cells.shape
    squares = (
        cells[r : r + side, c : c + side].all() for r in range(rows - side + 1) for c in range(columns - side + 1)
    )
    assert thick(cells, side) == any(squares)
