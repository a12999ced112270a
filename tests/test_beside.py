"""How far cells beside lines lie from them, against shapely's own distances."""

from __future__ import annotations

import numpy as np
import pytest
import shapely

from toolpaths.judging.wood.beside import cells_beside
from toolpaths.judging.wood.field import Grid

GRID = Grid(0.5, -0.2, -0.1, 60, 70)


def walk(chance: np.random.Generator, count: int, step: float, closed: bool) -> np.ndarray:
    """(n, 2) places of a line that turns at will, sharply as well as back over itself."""
    places = np.cumsum(chance.normal(0, step, (count, 2)), axis=0) + np.array([17.0, 15.0])
    return np.vstack([places, places[:1]]) if closed else places


@pytest.mark.sample(8)
@pytest.mark.parametrize("count", [1, 2, 3, 12])
@pytest.mark.parametrize("step", [0.5, 3.0, 12.0])
@pytest.mark.parametrize("closed", [False, True])
def test_every_cell_within_reach_is_found_at_its_distance(count, step, closed):
    for seed in range(8):
        chance = np.random.default_rng(seed)
        places, reach = walk(chance, count, step, closed and count > 2), chance.uniform(0.3, 8)
        other = places + np.array([9.0, 4.0])
        lines = shapely.linestrings([places, other]) if count > 1 else shapely.points(places)
        every = [places, other] if count > 1 else [places]
        first, last = (
            np.concatenate([each[some] if count > 1 else each for each in every])
            for some in (slice(None, -1), slice(1, None))
        )
        cell, away = cells_beside(GRID, first, last, reach)
        found = np.full(GRID.rows * GRID.columns, np.inf)
        np.minimum.at(found, cell, away)
        x, y = (each.ravel() for each in np.meshgrid(GRID.xs(), GRID.ys()))
        true = shapely.distance(shapely.union_all(lines), shapely.points(x, y))
        assert np.abs(found - true)[true <= reach].max(initial=0.0) < 1e-9
        assert np.isinf(found[true > reach + 1e-6]).all()
