"""Exact heights at scattered places: as the wood has them at its cell centres, and as a plain search has them."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from samples import examples
from toolpaths.facts.board import Board
from toolpaths.facts.cutter import Cutter
from toolpaths.facts.fixture import Fixture
from toolpaths.facts.profile import ball, bull_nose, drill_point, flat, v_point
from toolpaths.judging.checks.meeting.wood_in_time import run
from toolpaths.judging.reader.read import read
from toolpaths.judging.simulate import simulate
from toolpaths.judging.trial import case as cases
from toolpaths.judging.trial import cuts_over_places, exact_heights, wood_ahead
from toolpaths.judging.trial.case import Case, make_case
from toolpaths.judging.trial.cut_heights import cut_heights
from toolpaths.judging.trial.exact_heights import cut_at, first_below, lowest_over
from toolpaths.judging.trial.known_places import waiting_place
from toolpaths.judging.wood.field import whole_board

BOARD = Board(width=80, height=60, thickness=20)
FIXTURE = Fixture(board=BOARD)
RACK = [
    Cutter(1, flat(6), 1000, 16000),
    Cutter(2, ball(8), 1000, 16000),
    Cutter(3, v_point(12, 90), 1000, 16000),
    Cutter(4, bull_nose(8, 2), 1000, 16000),
    Cutter(5, drill_point(3), 300, 12000),
]


def case_of(body: str) -> Case:
    text = f"G21 G90 G17\nG0 Z20\nM3 S16000\nF900\n{body}\nG0 Z20\nM5\nM30\n"
    return make_case(read(text, start=waiting_place(FIXTURE)), FIXTURE, RACK)


coordinate = st.tuples(st.integers(5, 75), st.integers(5, 55))
depth = st.sampled_from([-0.5, -1.0, -3.0, -3.25, -6.0, 1.0])


KINDS = ["level", "slope", "plunge", "rapid", "arc", "helix", "circle", "cycle", "lift"]


@st.composite
def programs(draw) -> str:
    """Lines, arcs, full circles, helices, slopes, plunges and pecks of several cutters, at feed and at rapid."""
    lines = []
    for tool in draw(st.lists(st.integers(1, 5), min_size=1, max_size=3, unique=True)):
        (x, y), z = draw(coordinate), draw(depth)
        lines += [f"T{tool} M6", "M3 S16000", "G0 Z5", f"G0 X{x} Y{y}", f"G1 Z{z}"]
        for kind in draw(st.lists(st.sampled_from(KINDS), max_size=8)):
            (a, b), deep = draw(coordinate), draw(depth)
            if kind in ("arc", "helix", "circle"):
                # The end lies opposite, a quarter on or at the start, about a centre in whole numbers.
                i, j = draw(st.integers(-9, 9)), draw(st.integers(1, 9))
                way = draw(st.sampled_from(["G2", "G3"]))
                end = {"arc": (x + 2 * i, y + 2 * j), "helix": (x + i - j, y + j + i), "circle": (x, y)}[kind]
                lines.append(f"{way} X{end[0]} Y{end[1]} I{i} J{j}" + (f" Z{deep}" if kind == "helix" else ""))
                x, y = end
            elif kind == "plunge":
                lines.append(f"G1 Z{deep}")
            elif kind == "lift":
                lines.append("G0 Z5")
            elif kind == "cycle":
                lines += ["G0 Z5", f"G98 G83 X{a} Y{b} Z-7 R1 Q2", "G80"]
                x, y = a, b
            else:
                lines.append(
                    f"{'G0' if kind == 'rapid' else 'G1'} X{a} Y{b}" + (f" Z{deep}" if kind == "slope" else "")
                )
                x, y = a, b
    return "\n".join(lines)


@given(programs(), st.sampled_from([1.0, 1.7]))
@examples(150)
def test_heights_are_those_of_the_wood_at_the_cell_centres(body, cell):
    case = case_of(body)
    stock, _ = run(case, whole_board(BOARD, cell), [])
    x, y = np.meshgrid(stock.grid.xs(), stock.grid.ys())

    z, move = cut_at(case, np.column_stack([x.ravel(), y.ravel()]))

    got = np.minimum(z, 0.0).reshape(stock.grid.shape)
    assert got == pytest.approx(stock.top, abs=1e-5)
    assert ((move >= 0) == np.isfinite(z)).all()


def plain(case: Case, places, before=None):
    """Every move over every place, one at a time: (n, k) heights, inf where it does not cut."""
    heights = np.full((len(case.moves.low), len(places)), np.inf)
    for i in np.flatnonzero(case.moves.below(0.0) & case.known):
        table = np.repeat(case.moves.path[:, i : i + 1], len(places), axis=1)
        z = cut_heights(case.cutters[int(case.moves.tool[i])].profile, table, *places.T)
        heights[i] = np.where(z < 0, z, np.inf)
        if before is not None:
            heights[i][before <= i] = np.inf
    return heights


@given(programs(), st.integers(0, 2**32 - 1), st.integers(1, 60), st.booleans())
@examples(150)
def test_lowest_cut_and_its_move_are_those_of_a_plain_search(body, seed, count, some_only):
    case = case_of(body)
    chance = np.random.default_rng(seed)
    # Off the board and on round numbers, too.
    places = np.round(chance.uniform((-5, -5), (85, 65), (count, 2)), int(chance.integers(0, 4)))
    before = chance.integers(0, len(case.moves.low) + 1, count) if some_only else None

    z, move = cut_at(case, places, before=before)

    expected = plain(case, places, before)
    assert z == pytest.approx(expected.min(axis=0), abs=1e-9)
    low = np.rint(expected.min(axis=0) / 1e-6)
    first = (np.rint(expected / 1e-6) == low).argmax(axis=0)
    assert (move == np.where(np.isfinite(z), first, -1)).all()


@given(programs(), st.integers(0, 2**32 - 1))
@examples(60)
def test_first_move_below_a_limit_is_that_of_a_plain_search(body, seed):
    case = case_of(body)
    chance = np.random.default_rng(seed)
    places, limit = chance.uniform((0, 0), (80, 60), (40, 2)), chance.uniform(-7, 0, 40)

    first = first_below(case, places, limit)

    below = plain(case, places) < limit
    assert (first == np.where(below.any(axis=0), below.argmax(axis=0), -1)).all()


@given(programs(), st.integers(0, 2**32 - 1), st.booleans(), st.sampled_from([2_000, 10**9]))
@examples(30)
def test_lowest_cut_is_that_of_a_plain_search_however_few_moves_are_looked_at_at_a_time(body, seed, early, pairs):
    """Twice over, so that moves are repeated, too."""
    case = case_of(f"{body}\nG0 Z5\n{body}")
    chance = np.random.default_rng(seed)
    places = np.round(chance.uniform((-5, -5), (85, 65), (40, 2)), int(chance.integers(0, 4)))
    before = chance.integers(0, len(case.moves.low) + 1, len(places)) if early else None
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(exact_heights, "_MANY_PAIRS", pairs)
        # Even so few moves by blocks first.
        patch.setattr(cases, "_VERY_MANY", 0)
        patch.setattr(cases, "_TOGETHER", 3)
        low = lowest_over(case, places, before)
    assert low == pytest.approx(plain(case, places, before).min(axis=0), abs=1e-9)


@pytest.mark.parametrize("low", [-8, -9])
def test_pairs_of_a_move_and_a_place_are_bounded_however_often_the_same_wood_is_gone_over(monkeypatch, low):
    """Six times the moves over the same few millimetres take no more than six times the pairs, level or sloping; it was
    36 times."""
    looked = []
    near = cuts_over_places.cuts_near

    def counted(*args):
        some, z = near(*args)
        looked[-1] += len(some)
        return some, z

    monkeypatch.setattr(cuts_over_places, "cuts_near", counted)
    monkeypatch.setattr(exact_heights, "_MANY_PAIRS", 20_000)
    monkeypatch.setattr(wood_ahead, "_MOST_MOVES_OVER", 100_000)
    for count in (100, 600):
        body = "\n".join(f"G1 X{(30, 50)[i % 2]} Y{20 + i / 1e3:.3f} Z{(-8, low)[i % 2]}" for i in range(count))
        looked.append(0)
        simulate(
            f"G21 G90 G17\nG0 Z20\nT1 M6\nM3 S16000\nG4 P3\nG0 X20 Y20\nG1 Z-8 F900\n{body}\nG0 Z20\nM5\nM2",
            FIXTURE, RACK, cell=1.0,
        )  # fmt: skip
    assert 1_000 < looked[0] < looked[1] < 8 * looked[0]


def test_moves_that_are_not_looked_at_in_the_order_of_the_program_keep_their_own_paths():
    """Four of many, and the last as far from the first as if they followed each other: that was taken for a stretch."""
    rows = "\n".join(f"G1 X{20 + 40 * (i % 2)} Z-{1 + i % 5}\nG1 Y{10 + i}" for i in range(12))
    case = case_of(f"T1 M6\nM3 S16000\nG0 X20 Y10\nG1 Z-1\n{rows}")
    which = case.cutting_moves[[3, 17, 10, 6]]
    assert which[-1] - which[0] + 1 == len(which)
    places = np.random.default_rng(5).uniform((0, 0), (80, 60), (400, 2))
    low = np.full(len(places), np.inf)
    for pairs in exact_heights._pairs(case, places, which, None):
        np.minimum.at(low, pairs.place, pairs.z)
    assert low == pytest.approx(plain(case, places)[which].min(axis=0), abs=1e-9)


def test_only_the_moves_asked_for_count():
    case = case_of("T1 M6\nM3 S16000\nG0 X20 Y20\nG1 Z-2\nG1 X40\nG1 Z-5\nG1 X20")
    place = np.array([[30.0, 21.0]])
    assert cut_at(case, place)[0] == -5
    deep = int(cut_at(case, place)[1][0])
    shallow = np.flatnonzero(case.moves.low == -2)
    z, move = cut_at(case, place, moves=shallow)
    assert (z, case.moves.line[move]) == (-2, 9)
    assert cut_at(case, place, before=np.array([deep]))[0] == -2


def test_many_places_and_moves_are_worked_on_in_portions(monkeypatch):
    body = "T2 M6\nM3 S16000\nG0 X10 Y10\nG1 Z-2\n" + "\n".join(
        f"G1 X{10 + 60 * (i % 2)} Y{10 + i % 37} Z{-2 - i % 5}" for i in range(300)
    )
    case = case_of(body)
    places = np.random.default_rng(3).uniform((0, 0), (80, 60), (200, 2))
    whole = cut_at(case, places)
    monkeypatch.setattr(cuts_over_places, "_MOST_STRIPS", 50)
    monkeypatch.setattr(cuts_over_places, "_MOST_PAIRS", 100)
    parts = cut_at(case, places)
    assert (whole[0] == parts[0]).all()
    assert (whole[1] == parts[1]).all()


def test_nothing_asked_nothing_answered():
    z, move = cut_at(case_of("T1 M6"), np.empty((0, 2)))
    assert len(z) == len(move) == 0
    z, move = cut_at(case_of("T1 M6"), np.array([[1.0, 1.0]]))
    assert (z[0], move[0]) == (np.inf, -1)
