"""Ways over 200 holes, at most 1.06 times what no closed way can be shorter than; and that bound, on known tours."""

from __future__ import annotations

import runpy
from itertools import permutations
from pathlib import Path

import numpy as np
import pytest

HERE = Path(__file__).parent


@pytest.fixture(scope="module")
def bench(monkeypatch_module: pytest.MonkeyPatch) -> dict:
    monkeypatch_module.syspath_prepend(str(HERE))
    return runpy.run_path(str(HERE / "holes.py"))


@pytest.fixture(scope="module")
def monkeypatch_module():
    with pytest.MonkeyPatch.context() as patch:
        yield patch


@pytest.mark.sample(0, long=2)
@pytest.mark.parametrize("name", ["uniform 1", "clustered 1", "grid 1", "keep-outs 1"])
def test_way_over_200_holes_is_near_the_one_tree_bound(bench: dict, name: str) -> None:
    """The text read back, from the waiting place over all holes and back (Held and Karp 1970)."""
    ratio = bench["ratio"](bench["fields"]()[name], 300)
    assert 1.0 - 1e-9 <= ratio <= bench["GOAL"]


@pytest.mark.parametrize("seed", range(4))
def test_bound_is_below_the_shortest_tour_and_near_it(bench: dict, seed: int) -> None:
    """Eight places: all 5040 tours tried."""
    places = np.random.default_rng(seed).uniform(0, 100, (8, 2))
    cost = np.hypot(*(places[:, None] - places[None]).transpose(2, 0, 1))
    shortest = min(sum(cost[a, b] for a, b in zip((0, *tour), (*tour, 0))) for tour in permutations(range(1, 8)))
    bound = bench["lower_bound"](cost, shortest)
    assert 0.95 * shortest <= bound <= shortest + 1e-9


def test_bound_of_places_on_a_circle_is_their_only_sensible_tour(bench: dict) -> None:
    """The polygon itself: n chords of 2 r sin(pi / n)."""
    turns = np.arange(40) / 40 * 2 * np.pi
    places = 50 * np.column_stack([np.cos(turns), np.sin(turns)])
    cost = np.hypot(*(places[:, None] - places[None]).transpose(2, 0, 1))
    assert bench["lower_bound"](cost, 320.0) == pytest.approx(40 * 100 * np.sin(np.pi / 40), rel=1e-3)
