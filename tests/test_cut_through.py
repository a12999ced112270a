"""When each cell is cut through, against taking the moves one by one."""

from __future__ import annotations

import sys
from dataclasses import replace
from random import Random

import numpy as np
import pytest

from toolpaths.facts.board import Board
from toolpaths.facts.cutter import Cutter
from toolpaths.facts.fixture import Fixture
from toolpaths.facts.profile import ball, drill_point, flat, v_point
from toolpaths.judging.checks.holding.cut_through import SKIN, cut_through_by
from toolpaths.judging.reader.read import read_all
from toolpaths.judging.simulate import simulate
from toolpaths.judging.trial.case import Case, Trial, make_case
from toolpaths.judging.trial.findings import ROUNDING
from toolpaths.judging.trial.known_places import waiting_place
from toolpaths.judging.wood.field import Wood, whole_board
from toolpaths.judging.wood.removal import remove

BOARD = Board(width=80, height=60, thickness=12)
FIXTURE = Fixture(board=BOARD)
BACK = FIXTURE.turned_over("left to right")
RACK = [
    Cutter(1, flat(6), 1500, 16000),
    Cutter(2, ball(8), 800, 18000),
    Cutter(3, drill_point(4), 300, 9000),
    Cutter(4, v_point(30, 90), 900, 9000),
    Cutter(5, flat(2.5), 900, 9000),
]


def program(rng: Random, deepest: float, tools: tuple[int, ...]) -> str:
    """Straight, sloping, round and helical moves here and there, a third of them low."""
    lines = ["G21 G90 F900", "M3 S9000", "G0 Z10"]
    x = y = z = 20.0
    for _ in range(rng.randrange(5, 40)):
        kind = rng.random()
        lower = round(rng.uniform(-deepest, 1.0) if rng.random() < 0.6 else -deepest, 2)
        if kind < 0.15:
            lines += ["G0 Z10", f"T{rng.choice(tools)} M6"]
        elif kind < 0.3:
            lines += [f"G1 Z{lower}"]
            z = lower
        elif kind < 0.55:
            radius = rng.choice([1.0, 2.5, 6.0, 15.0])
            z = lower if rng.random() < 0.5 else z
            lines += [f"G{rng.choice([2, 3])} X{x} Y{y} Z{z} I{radius} J0"]
        else:
            x, y = round(rng.uniform(5, 75), 1), round(rng.uniform(5, 55), 1)
            z = lower if rng.random() < 0.5 else z
            lines += [f"G{rng.choice([0, 1, 1])} X{x} Y{y} Z{z}"]
    return "\n".join([*lines, "G0 Z10", "M5", "M30"]) + "\n"


def one_by_one(case: Case, before: Wood) -> np.ndarray:
    top, floor = np.array(before.top), before.bottom + np.float32(SKIN - ROUNDING)
    cut_by = np.where(top < floor, -1, len(case.moves.low))
    for i in range(len(case.moves.low)):
        if case.moves.tool[i] in case.cutters and not case.moves.leaving[i]:
            remove(top, before.grid, case.moves.path[:, i : i + 1], case.cutters[int(case.moves.tool[i])].profile)
            cut_by[(cut_by == len(case.moves.low)) & (top < floor)] = i
    return cut_by


@pytest.mark.sample(1, long=1)
@pytest.mark.parametrize("tools", [(1,), (1, 5), (1, 2, 3, 4, 5)], ids=str)
@pytest.mark.parametrize("uneven", [False, True])
def test_cells_go_as_they_do_with_one_move_after_the_other(tools, uneven):
    rng, seen = Random(7), 0
    for _ in range(25):
        text = f"T{tools[0]} M6\n" + program(rng, 12.3, tools)
        fixture, stock = FIXTURE, whole_board(BOARD, 0.5)
        if uneven:
            front = simulate("T1 M6\n" + program(rng, rng.uniform(2, 13), tools), FIXTURE, RACK, cell=0.5)
            fixture, stock = BACK, front.stock.turned_over("left to right")
        after = simulate(text, fixture, RACK, stock=stock).stock
        case = make_case(read_all(text, start=waiting_place(fixture)), fixture, RACK)
        found, wanted = cut_through_by(Trial(case, stock, after, None, 0.0, ())), one_by_one(case, stock)
        gone = (wanted >= 0) & (wanted < len(case.moves.low))
        if found is None:
            assert not gone.any()
            continue
        seen += int(gone.sum())
        assert np.array_equal(found, wanted)
    assert seen > 10_000


def test_none_where_nothing_gets_through():
    """Neither from the front nor over an underside with a recess in it."""
    text = "G21 G90 F900\nT1 M6\nM3 S9000\nG0 Z9\nG0 X20 Y20\nG1 Z-6\nG1 X60\nG0 Z9\nM5\nM30\n"
    case = make_case(read_all(text, start=waiting_place(FIXTURE)), FIXTURE, RACK)
    stock = whole_board(BOARD, 0.5)
    after = simulate(text, FIXTURE, RACK, cell=0.5).stock
    assert cut_through_by(Trial(case, stock, after, None, 0.0, ())) is None
    turned = after.turned_over("left to right")
    shallow = text.replace("Z-6", "Z-5.7")
    back = make_case(read_all(shallow, start=waiting_place(BACK)), BACK, RACK)
    left = simulate(shallow, BACK, RACK, stock=turned).stock
    assert cut_through_by(Trial(back, turned, left, None, 0.0, ())) is None
    deep = replace(left, top=simulate(text.replace("Z-6", "Z-5.9"), BACK, RACK, stock=turned).stock.top)
    assert cut_through_by(Trial(back, turned, deep, None, 0.0, ())) is not None


def test_rows_of_short_moves_count_as_one_and_lose_no_cell(monkeypatch):
    """A wavy ring in 3000 chords: with rows every cell goes at the last move of a row, no more than 16 mm late."""
    turn = np.linspace(0, 2 * np.pi, 3001)
    x, y = 40 + (20 + np.sin(5 * turn)) * np.cos(turn), 30 + (20 + np.sin(5 * turn)) * np.sin(turn)
    chords = "".join(f"G1 X{a:.3f} Y{b:.3f}\n" for a, b in zip(x.tolist(), y.tolist(), strict=True))
    text = f"G21 G90 F900\nT1 M6\nM3 S9000\nG0 Z9\nG0 X{x[0]:.3f} Y{y[0]:.3f}\nG1 Z-12.2\n{chords}G0 Z9\nM5\nM30\n"
    case = make_case(read_all(text, start=waiting_place(FIXTURE)), FIXTURE, RACK)
    stock = whole_board(BOARD, 0.25)
    trial = Trial(case, stock, simulate(text, FIXTURE, RACK, cell=0.25).stock, None, 0.0, ())
    exact = cut_through_by(trial)
    monkeypatch.setattr(sys.modules[cut_through_by.__module__], "_PATIENCE", 0)
    late = cut_through_by(trial)
    assert exact is not None and late is not None
    gone = exact < len(case.moves.low)
    assert np.array_equal(late < len(case.moves.low), gone)
    assert (late >= exact).all()
    moves = np.unique(late[gone])
    assert len(moves) < len(np.unique(exact[gone])) / 5
    way = np.cumsum(np.hypot(*np.diff(case.moves.path[[3, 4]], axis=1)))
    assert (way[late[gone] - 1] - way[exact[gone] - 1]).max() <= 16.1
