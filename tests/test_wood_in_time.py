"""What rapids, plunges and deep flutes meet, against taking every move in turn."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from samples import examples
from toolpaths.facts.board import Board
from toolpaths.facts.cutter import Cutter
from toolpaths.facts.fixture import Fixture
from toolpaths.facts.profile import ball, bull_nose, flat
from toolpaths.judging import simulate as run
from toolpaths.judging.checks.meeting import flutes, plunge, rapid_in_wood, wood_in_time
from toolpaths.judging.trial.case import Case, make_case
from toolpaths.judging.trial.findings import SHAVING
from toolpaths.judging.wood.field import Wood, whole_board
from toolpaths.judging.wood.removal import cuts, remove

BOARD = Board(width=60, height=40, thickness=18)
FIXTURE = Fixture(board=BOARD)
RACK = [
    Cutter(1, flat(6), 1000, 16000),
    Cutter(2, bull_nose(8, 2), 1000, 16000, centre_cutting=False, cutting_length=5, shank_diameter=8),
    Cutter(3, ball(3), 1000, 16000, cutting_length=3, shank_diameter=2),
]


def case_of(text: str) -> Case:
    return make_case(run.read_for(text, FIXTURE), FIXTURE, RACK)


def watches(case: Case) -> list[wood_in_time.Watch]:
    return [rapid_in_wood.watch(case), plunge.watch(case), flutes.watch(case)]


def run_through(case: Case, stock: Wood):
    """The wood after the whole program, and what is met at the centres of cells."""
    return wood_in_time.run(case, stock, watches(case))


def in_turn(case: Case, stock: Wood) -> tuple[np.ndarray, dict[tuple[str, int], float]]:
    """The wood after the program, and the greatest amount of each meeting, one move after the other."""
    top = np.array(stock.top)
    bottom = stock.bottom.reshape(-1)
    rapid, down, deep = (watch.moves for watch in watches(case))
    met: dict[tuple[str, int], float] = {}

    def note(code: str, i: int, cut, amounts: np.ndarray, limit: float) -> None:
        if len(amounts) and amounts.max() > limit:
            met[code, i] = max(met.get((code, i), 0.0), float(amounts.max()))

    for i in np.flatnonzero(case.moves.tool).tolist():
        cutter, move = case.cutters[int(case.moves.tool[i])], case.moves.path[:, i : i + 1]
        if rapid[i] or down[i]:
            for cut in cuts(stock.grid, move, cutter.profile, SHAVING):
                standing = top.reshape(-1)[cut.cell].astype(float)
                amounts = standing - np.maximum(cut.z, bottom[cut.cell])
                note("rapid-in-wood" if rapid[i] else "plunge", i, cut, amounts, SHAVING)
        if deep[i]:
            reach = max(cutter.radius, cutter.body.shank_diameter / 2)
            for cut in cuts(stock.grid, move, flat(2 * reach)):
                standing = top.reshape(-1)[cut.cell].astype(float)
                amounts = np.where(standing > bottom[cut.cell], standing - cut.z, 0)
                note("flutes", i, cut, amounts, cutter.body.cutting_length + SHAVING)
        if case.moves.low[i] < 0 and not case.moves.leaving[i]:
            remove(top, stock.grid, move, cutter.profile)
    return top, met


def program(seed: int, count: int) -> str:
    """Moves that go to and fro over a few places, at a few depths, by rapid and at feed."""
    rng = np.random.default_rng(seed)
    lines = ["G21 G90 G0 Z20", "T1 M6", "M3 S16000", "F900"]
    for _ in range(count):
        x, y = rng.choice([10, 14, 18.5, 30], 1)[0], rng.choice([8, 12, 20.25], 1)[0]
        z = rng.choice([2.0, -1.0, -2.5, -6.0])
        kind = rng.integers(0, 12)
        if kind == 0:
            lines += ["G0 Z20", f"T{rng.integers(1, 4)} M6", "M3 S16000"]
        elif kind < 4:
            lines.append(f"G0 X{x} Y{y}" if kind == 1 else f"G0 Z{z}" if kind == 2 else f"G0 X{x} Z{z}")
        elif kind < 9:
            lines.append(f"G1 X{x} Y{y}")
        elif kind == 9:
            lines.append(f"G1 Z{z}")
        else:
            lines.append(f"G1 X{x} Y{y} Z{z}" if kind == 10 else "G3 I2 J0")
    return "\n".join([*lines, "G0 Z20", "M30"])


@given(seed=st.integers(0, 100_000), few=st.booleans(), count=st.integers(20, 90))
@examples(40)
def test_meetings_are_those_of_taking_every_move_in_turn(seed, few, count):
    case, stock = case_of(program(seed, count)), whole_board(BOARD, 0.5)
    expected_top, expected = in_turn(case, stock)
    with pytest.MonkeyPatch.context() as patch:
        if few:  # portions of a few moves each
            patch.setattr(wood_in_time, "PORTION", 1000)
        after, meetings = run_through(case, stock)

    assert np.abs(after.top - expected_top).max() <= 1e-6
    assert {(m.code, m.move) for m in meetings} == expected.keys()
    for meeting in meetings:
        assert meeting.amount == pytest.approx(expected[meeting.code, meeting.move], abs=1e-5)
        assert 0 < meeting.place[0] < 60
    assert [m.move for m in meetings] == sorted(m.move for m in meetings)


@pytest.mark.long
def test_the_random_programs_meet_wood_in_all_three_ways_and_mostly_none():
    codes, watched, met = set(), 0, 0
    for seed in range(30):
        case = case_of(program(seed, 60))
        meetings = run_through(case, whole_board(BOARD, 0.5))[1]
        codes |= {m.code for m in meetings}
        watched += sum(int(watch.moves.sum()) for watch in watches(case))
        met += len(meetings)
    assert codes == {"rapid-in-wood", "plunge", "flutes"}
    assert 50 < met < 0.8 * watched


def loops(count: int) -> str:
    """A slot of half circles, each followed by a rapid back over what it has just cleared."""
    lines = ["G21 G90 G0 Z20", "T1 M6", "M3 S16000", "F900", "G0 X12 Y16", "G1 Z-2", "G1 Y24", "G0 Y16"]
    for i in range(count):
        x = 12 + 0.01 * i
        lines += [f"G1 X{x + 0.01:.2f} Y16", f"G3 X{x + 0.01:.2f} Y24 I0 J4", f"G0 X{x + 0.01:.2f} Y16"]
    return "\n".join([*lines, "G0 Z20", "M30"])


@pytest.mark.long
def test_rapids_over_what_was_cleared_a_moment_ago_are_sound():
    text = loops(1000)
    assert not run_through(case_of(text), whole_board(BOARD, 0.25))[1]

    ahead = text.replace("G0 X17.00 Y16", "G0 X18.00 Y16")
    assert ahead != text
    found = run_through(case_of(ahead), whole_board(BOARD, 0.25))[1]
    assert [m.code for m in found] == ["rapid-in-wood"]
