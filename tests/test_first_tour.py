"""The tour that is then made shorter goes from each thing on to the nearest that is left."""

from __future__ import annotations

import numpy as np
import pytest

from toolpaths.making.motion.tour import Tour


@pytest.mark.parametrize("seed", range(3))
def test_the_first_tour_goes_on_to_the_nearest(seed):
    places = np.random.default_rng(seed).uniform(0, 100, (30, 2))
    things = [[(tuple(place), tuple(place))] for place in places.tolist()]
    tour = Tour(things, (0.0, 0.0), None, None, [])
    order = [tour.thing[ends] - 1 for ends in tour.seq[1:-1]]
    assert sorted(order) == list(range(30))
    at, left = np.zeros(2), set(range(30))
    for number in order:
        assert number == min(left, key=lambda each: float(np.hypot(*(places[each] - at))))
        at = places[number]
        left.remove(number)
