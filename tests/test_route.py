"""Routes against every order there is, for few things, and against what must hold of many.

The shortest way of all is found by trying all orders and all ends of each thing.
"""

from __future__ import annotations

from itertools import pairwise, permutations, product
from math import hypot

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

import toolpaths as tp
from toolpaths.making.motion.before import Before
from toolpaths.making.motion.route import Visit, short_order, short_route
from toolpaths.making.motion.shorter_tour import shorten
from toolpaths.making.motion.shortest_tour import make_shortest
from toolpaths.making.motion.tour import Tour

places = st.tuples(st.floats(0, 300), st.floats(0, 200))
here = st.lists(st.builds(lambda p: [(p, p)], places), min_size=1, max_size=6)
lines = st.builds(lambda a, b: [(a, b), (b, a)], places, places)
twice = st.builds(lambda a, b: [(a, a), (b, b)], places, places)
one_way = st.builds(lambda a, b: [(a, b)], places, places)
mixed = st.lists(st.one_of(lines, twice, one_way), min_size=1, max_size=5)


def over(a, b):
    """As if a ridge 10 mm high stood along x = 150."""
    return 20.0 * ((np.asarray(a)[..., 0] < 150) != (np.asarray(b)[..., 0] < 150))


def length(things, visits, start, end, rise=None):
    at, total = start, 0.0
    for thing, ends in visits:
        begin, leave = things[thing][ends]
        total += hypot(begin[0] - at[0], begin[1] - at[1]) + (rise(at, begin) if rise else 0.0)
        at = leave
    return total + (0.0 if end is None else hypot(end[0] - at[0], end[1] - at[1]) + (rise(at, end) if rise else 0.0))


def shortest(things, start, end, rise=None, before=()):
    """The length of the best of all ways."""
    found = []
    for order in permutations(range(len(things))):
        if all(order.index(a) < order.index(b) for a, b in before):
            for ways in product(*(range(len(things[t])) for t in order)):
                found.append(length(things, zip(order, ways), start, end, rise))
    return min(found)


@given(here, places, st.one_of(st.none(), places), st.sampled_from([None, over]))
def test_few_places_are_visited_along_the_shortest_way_of_all(things, start, end, rise):
    visits = short_route(things, start, end, rise)

    assert sorted(visit.thing for visit in visits) == list(range(len(things)))
    assert length(things, visits, start, end, rise) <= shortest(things, start, end, rise) + 1e-6


@given(st.lists(places, min_size=7, max_size=8), st.booleans(), st.sampled_from([None, over]))
def test_up_to_eight_places_are_visited_along_the_shortest_way_of_all(some, back, rise):
    """All 40320 orders tried, their lengths summed at once."""
    home = (12.0, 34.0)
    nodes = np.array([home, *some])
    cost = np.hypot(*(nodes[:, None] - nodes[None]).transpose(2, 0, 1))
    cost = cost + (0.0 if rise is None else rise(nodes[:, None], nodes[None]))
    orders = np.array(list(permutations(range(1, len(nodes)))))
    orders = np.column_stack([np.zeros(len(orders), int), orders, *([np.zeros(len(orders), int)] if back else [])])
    found = [0, *(k + 1 for k in short_order(some, home, home if back else None, rise)), *([0] if back else [])]

    assert cost[found[:-1], found[1:]].sum() <= cost[orders[:, :-1], orders[:, 1:]].sum(axis=1).min() + 1e-6


@given(st.lists(places, min_size=4, max_size=10), st.booleans())
def test_small_changes_and_chance_come_near_the_shortest_way(some, back):
    """The search for many things, given few: at most a tenth longer."""
    home = (12.0, 34.0)
    ways = []
    for make in (make_shortest, shorten):
        tour = Tour([[(place, place)] for place in some], home, home if back else None, None, ())
        make(tour)
        assert sorted(tour.seq[1:-1]) == list(range(1, len(some) + 1))
        ways.append(sum(tour.far[a][b] for a, b in pairwise(tour.seq)))
    assert ways[0] <= ways[1] + 1e-6
    assert ways[1] <= 1.1 * ways[0] + 1e-6


@given(mixed, places, st.one_of(st.none(), places))
def test_few_things_with_several_ends_are_visited_along_the_shortest_way_of_all(things, start, end):
    visits = short_route(things, start, end)

    assert sorted(visit.thing for visit in visits) == list(range(len(things)))
    assert length(things, visits, start, end) <= shortest(things, start, end) + 1e-6


@given(here, places, st.sets(st.tuples(st.integers(0, 5), st.integers(0, 5))))
def test_what_is_to_be_done_before_is_done_before(things, start, wanted):
    """Pairs from a lower to a higher number only, so that there is an order that keeps them all."""
    before = [(a, b) for a, b in wanted if a < b < len(things)]
    visits = short_route(things, start, None, before=[Before([a], [b]) for a, b in before])

    turn = [visit.thing for visit in visits]
    assert sorted(turn) == list(range(len(things)))
    assert all(turn.index(a) < turn.index(b) for a, b in before)
    assert length(things, visits, start, None) <= shortest(things, start, None, before=before) * 1.1 + 1e-6


@pytest.mark.parametrize("seed", range(3))
def test_of_many_things_too_each_is_done_before_those_that_wait_for_it(seed):
    """Where the order has to go against the shortest way: small changes do not bring one before its turn."""
    rng = np.random.default_rng(seed)
    things = [[(place, place)] for place in map(tuple, rng.uniform(0, 100, (40, 2)).tolist())]
    before = [(a, b) for a, b in rng.integers(0, 40, (60, 2)).tolist() if a < b]
    visits = short_route(things, (0.0, 0.0), None, before=[Before([a], [b]) for a, b in before])

    turn = [visit.thing for visit in visits]
    assert sorted(turn) == list(range(40)) and len(before) > 20
    assert all(turn.index(a) < turn.index(b) for a, b in before)


@given(st.lists(places, min_size=20, max_size=60), st.sampled_from([None, over]))
def test_many_places_once_each_and_the_same_twice(some, rise):
    order = short_order(some, (0.0, 0.0), (0.0, 0.0), rise)

    assert sorted(order) == list(range(len(some)))
    assert order == short_order(some, (0.0, 0.0), (0.0, 0.0), rise)


def test_places_that_are_one_place_and_places_on_one_line():
    assert sorted(short_order([(5.0, 5.0)] * 40, (0.0, 0.0), None)) == list(range(40))
    row = [(float(x), 0.0) for x in (7, 3, 9, 1, 5, 8, 2, 6, 4, 0)]
    assert [row[k][0] for k in short_order(row, (-1.0, 0.0), None)] == list(range(10))


def test_a_comb_of_lines_is_cut_back_and_forth():
    """From the end of one line to the near end of the next: 9 steps of 10 mm, nothing else."""
    heights = [10.0 * k for k in (3, 0, 9, 6, 1, 5, 2, 8, 7, 4)]
    things = [[((0.0, y), (200.0, y)), ((200.0, y), (0.0, y))] for y in heights]
    visits = short_route(things, (0.0, 0.0), None)

    assert length(things, visits, (0.0, 0.0), None) == pytest.approx(90)


def test_no_things_and_one_thing():
    assert short_route([], (0.0, 0.0), None) == []
    assert short_route([[((5.0, 5.0), (1.0, 0.0)), ((1.0, 0.0), (5.0, 5.0))]], (0.0, 0.0), (6.0, 5.0)) == [Visit(0, 1)]


def test_a_ring_of_things_that_wait_for_each_other_is_refused():
    things = [[((0.0, 0.0), (0.0, 0.0))]] * 3
    with pytest.raises(tp.InputError, match="wait for each other"):
        short_route(things, (0.0, 0.0), None, before=[Before([0], [1]), Before([1], [2]), Before([2], [0])])
    with pytest.raises(tp.InputError, match="Thing 1 of the route has no ends"):
        short_route([things[0], []], (0.0, 0.0), None)


def test_order_is_one_of_two_words():
    drill = tp.Cutter(4, tp.drill_point(3), feed_mm_min=600, spindle_rpm=8000)
    assert tp.drill([(20, 20)], drill, depth=3, order="as given").order == "as given"
    with pytest.raises(tp.InputError, match="'short', 'as given'"):
        tp.drill([(20, 20)], drill, depth=3, order="shortest")


@pytest.mark.sample(2)
@pytest.mark.parametrize("start", [(0.0, 0.0), (600.0, 200.0)])
@pytest.mark.parametrize("seed", [1, 2, 11])
def test_long_rows_of_holes_take_no_longer_than_the_best_way_row_by_row(seed, start):
    """Rows in any order, each from either end: all of those ways are tried for the comparison."""
    dice = np.random.default_rng(seed)
    rows = [np.column_stack([np.linspace(20, 580, 50), y + dice.normal(0, 2, 50)]) for y in (50, 60, 200, 350)]
    inside = sum(float(np.hypot(*np.diff(row, axis=0).T).sum()) for row in rows)
    ends = [[(row[0], row[-1]), (row[-1], row[0])] for row in rows]
    best = min(
        sum(float(np.hypot(*(b - a))) for (_, a), (b, _) in pairwise([(start, start), *chosen, (start, start)]))
        for order in permutations(ends) for chosen in product(*order)
    )  # fmt: skip
    places = [(float(x), float(y)) for x, y in dice.permutation(np.vstack(rows))]
    order = short_order(places, start, start)
    assert sorted(order) == list(range(200))
    way = [start, *(places[k] for k in order), start]
    assert sum(hypot(p[0] - q[0], p[1] - q[1]) for p, q in pairwise(way)) <= inside + best + 1e-6
