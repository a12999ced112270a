"""From text to report: what the wood looks like afterwards, and that sound programs pass."""

from __future__ import annotations

import time
from math import pi, radians, sqrt, tan

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from samples import examples
from toolpaths.base.errors import InputError
from toolpaths.facts.board import Board, Dowel
from toolpaths.facts.cutter import Cutter
from toolpaths.facts.fixture import Fixture
from toolpaths.facts.profile import ball, drill_point, flat
from toolpaths.judging.simulate import simulate
from toolpaths.judging.wood.field import Wood, whole_board
from toolpaths.testing import assert_safe

BOARD = Board(width=120, height=80, thickness=18)
FRONT = Fixture(board=BOARD)
T1 = Cutter(1, flat(6), 1200, 16000, cutting_length=25)
T2 = Cutter(2, drill_point(4), 600, 12000, cutting_length=30)
T3 = Cutter(3, ball(12), 1200, 12000)
RACK = [T1, T2, T3]
HEAD = "G21 G90 G17 G94\nG0 Z10\nT1 M6\nM3 S16000\nF600\n"
TAIL = "\nG0 Z10\nM5\nM30\n"


def top_at(stock: Wood, x: float, y: float) -> float:
    return float(stock.top[stock.cell_at(x, y)])


def test_slot_from_text_has_the_volume_of_the_formula():
    """Source: section 2.3, d(2rL + pi r2)."""
    report = assert_safe(f"{HEAD}G0 X20 Y40\nG1 Z-2\nX70{TAIL}", FRONT, RACK, cell=0.1)

    assert report.stock.removed() == pytest.approx(656.548668, rel=1e-3)
    assert top_at(report.stock, 45, 40) == pytest.approx(-2, abs=1e-6)


def test_feed_and_way_are_those_of_the_text():
    report = assert_safe(f"{HEAD}G0 X20 Y40\nG1 Z-2 F300\nX80 F600\nG4 P1.5{TAIL}", FRONT, RACK)

    assert report.cutting_mm == pytest.approx(12 + 60)
    assert report.rapid_mm == pytest.approx(12, abs=1e-6), "the way to the first place is not known"
    # The corner may be taken at more than the 5 mm/s of the way down; at the dwell and the end all rests.
    down, along = 12 / 5 + 5 / (2 * 500), 5 / 500 + 10 / 500 + (60 - 75 / 1000 - 100 / 1000) / 10
    assert report.seconds == pytest.approx(down + along + 1.5 + 2 * sqrt(12 / 500))


@pytest.mark.parametrize("cycle", ["G81 X30 Y20 Z-8 R2", "G82 X30 Y20 Z-8 R2 P0.2", "G83 X30 Y20 Z-8 R2 Q3"])
@pytest.mark.parametrize("back", ["G98", "G99"])
def test_cycles_drill_one_pointed_hole(cycle, back):
    text = HEAD.replace("T1", "T2") + f"{back} {cycle}\nX50\nG80{TAIL}"
    report = assert_safe(text, FRONT, RACK, cell=0.05)

    point = 2 / tan(radians(59))
    assert report.stock.removed() == pytest.approx(2 * pi * 4 * (8 - point + point / 3), rel=3e-3)


def test_arcs_in_upright_planes_are_cut():
    """G18 from X30 to X50 about X40, through Z-10 less the start's Z (NISTIR 6556, 4.3.6.1)."""
    report = simulate(f"{HEAD}G0 X30 Y40\nG1 Z0\nG18 G2 X50 Z0 I10 K0\nG17{TAIL}", FRONT, RACK, cell=0.5)

    # The cutter's edge, not its axis, cuts lowest at each place; the cell's centre is 0.25 off the path.
    half = (9 - 0.25**2) ** 0.5
    for at in (40.25, 36.25, 33.25):
        low = [-((100 - (s - 40) ** 2) ** 0.5) for s in np.linspace(max(at - half, 30), min(at + half, 50), 4001)]
        assert top_at(report.stock, at, 40.1) == pytest.approx(min(low), abs=1e-3)


def test_inches_are_read():
    text = "G20 G90\nG0 Z0.5\nT1 M6\nM3 S16000\nF40\nG0 X1 Y1\nG1 Z-0.1\nX2\nG0 Z0.5\nM5\nM30"
    report = assert_safe(text, FRONT, RACK)
    assert top_at(report.stock, 38, 25.4) == pytest.approx(-2.54, abs=1e-6)


@pytest.mark.parametrize("zero_at", ["lower left", "lower right", "upper left", "upper right", "centre"])
@pytest.mark.parametrize("zero_on", ["top", "spoilboard"])
def test_any_zero_gives_the_same_wood(zero_at, zero_on):
    fixture = Fixture(board=BOARD, zero_at=zero_at, zero_on=zero_on)
    zx, zy, zz = fixture.zero
    text = (
        f"G21 G90\nG0 Z{10 - zz}\nT1 M6\nM3 S16000\nF600\nG0 X{30 - zx} Y{20 - zy}\nG1 Z{-4 - zz}\n"
        f"X{60 - zx}\nG0 Z{10 - zz}\nM5\nM30"
    )
    plain = assert_safe(f"{HEAD}G0 X30 Y20\nG1 Z-4\nX60{TAIL}", FRONT, RACK)

    assert np.abs(assert_safe(text, fixture, RACK).stock.top - plain.stock.top).max() < 1e-5


@pytest.mark.parametrize("turned", ["left to right", "top to bottom"])
def test_back_sees_what_the_front_left(turned):
    """Section 2.5: x becomes width less x, height above the table becomes thickness less height."""
    front = assert_safe(f"{HEAD}G0 X20 Y15\nG1 Z-10\nG0 Z1\nG1 Z-18.3\nG0 Z10\nG0 X60 Y15\nG1 Z-5{TAIL}", FRONT, RACK)
    back = front.stock.turned_over(turned)

    x, y = (120 - 20, 15) if turned == "left to right" else (20, 80 - 15)
    row, column = back.cell_at(x, y)
    assert back.thickness()[row, column] == 0
    x, y = (120 - 60, 15) if turned == "left to right" else (60, 80 - 15)
    row, column = back.cell_at(x, y)
    assert back.bottom[row, column] == pytest.approx(-13, abs=1e-5)
    assert back.top[row, column] == pytest.approx(0, abs=1e-5)
    assert back.volume() == pytest.approx(front.stock.volume(), rel=1e-6)


@given(turned=st.sampled_from(["left to right", "top to bottom"]), seed=st.integers(0, 99))
@examples(10)
def test_turning_twice_is_where_it_began(turned, seed):
    rng = np.random.default_rng(seed)
    plain = whole_board(Board(width=100.3, height=51, thickness=19.8), 1.0)
    stock = Wood(plain.board, plain.grid, rng.uniform(-21, 0, plain.grid.shape).astype(np.float32), plain.bottom)
    again = stock.turned_over(turned).turned_over(turned)

    assert np.abs(again.top - stock.top).max() < 1e-5
    assert np.abs(again.bottom - stock.bottom).max() < 1e-5


def test_rapid_on_the_back_through_an_opening_cut_from_the_front_is_sound():
    front = assert_safe(f"{HEAD}G0 X20 Y15\nG1 Z-6\nX40\nZ-12\nX20\nZ-18.3\nX40{TAIL}", FRONT, RACK)
    back = FRONT.turned_over("left to right")
    text = f"{HEAD}G0 X100 Y15\nG0 Z-9\nG1 X90\nG0 X85{TAIL}"

    assert_safe(text, back, RACK, stock=front.stock.turned_over("left to right"))
    assert simulate(text, back, RACK).codes() == ("rapid-in-wood", "deep-pass")


def test_stock_of_another_board_is_refused():
    with pytest.raises(InputError, match="another board"):
        simulate("M2", FRONT, RACK, stock=whole_board(Board(width=120, height=80, thickness=19), 0.25))


def test_cells_that_do_not_divide_the_board_are_centred_on_it():
    stock = whole_board(Board(width=100.1, height=60, thickness=10), 0.25)

    assert stock.grid.xs()[[0, -1]] + stock.grid.xs()[[-1, 0]] == pytest.approx([100.1, 100.1])
    assert stock.volume() == pytest.approx(100.1 * 60 * 10, rel=1e-6)


def test_stock_cannot_be_written_to():
    stock = simulate(f"{HEAD}G0 X20 Y15\nG1 Z-1{TAIL}", FRONT, RACK).stock
    for heights in (stock.top, stock.bottom, stock.turned_over("left to right").top):
        with pytest.raises(ValueError, match="read-only"):
            heights[0, 0] = 1


def test_given_stock_is_not_changed():
    first = whole_board(BOARD, 0.5)
    simulate(f"{HEAD}G0 X20 Y15\nG1 Z-1{TAIL}", FRONT, RACK, stock=first)
    assert (first.top == 0).all()


def test_same_text_gives_the_same_report():
    text = f"{HEAD}G0 X20 Y15\nG1 Z-30\nG0 X90 Z-2{TAIL}"
    one, two = (simulate(text, FRONT, RACK) for _ in range(2))
    assert (str(one), one.findings) == (str(two), two.findings)
    assert (one.stock.top == two.stock.top).all()


def test_report_fits_a_terminal_and_says_what_matters():
    bad = str(simulate(f"{HEAD}G0 X20 Y15\nG1 Z-30\nG0 X90 Z-2{TAIL}", FRONT, RACK))
    good = str(simulate(f"{HEAD}G0 X20 Y15\nG1 Z-1{TAIL}", FRONT, RACK))

    assert max(len(line) for line in [*bad.splitlines(), *good.splitlines()]) <= 100
    assert "rapid-in-wood, line 8" in bad
    assert good.startswith("Nothing found")


def test_assert_safe_prints_the_findings():
    with pytest.raises(AssertionError, match=r"front program(.|\n)*too-deep, line 7"):
        assert_safe(f"{HEAD}G0 X20 Y15\nG1 Z-19{TAIL}", FRONT, RACK)


def test_program_without_m6_uses_the_only_cutter_given():
    text = HEAD.replace("T1 M6\n", "") + f"G0 X20 Y15\nG1 Z-2{TAIL}"
    assert_safe(text, FRONT, [T3])
    assert simulate(text, FRONT, RACK).codes() == ("unknown-tool",)


def test_program_with_tool_changes_by_stops_uses_the_tool_named():
    text = (
        "G21 G90\nG0 Z10\n(MSG, put in T1)\nM0\nM3 S16000\nF600\nG0 X20 Y20\nG1 Z-2\nG0 Z10\nM5\n"
        "(MSG, put in T3)\nM0\nM3 S12000\nG0 X60 Y20\nG1 Z-2\nG0 Z10\nM5\nM30"
    )
    stock = assert_safe(text, FRONT, RACK).stock
    assert top_at(stock, 22.5, 20) == pytest.approx(-2, abs=1e-5)
    assert -2 < top_at(stock, 62.5, 20) < 0


def test_drilling_a_dowel_hole_deep_into_the_spoilboard_is_sound():
    fixture = Fixture(
        board=BOARD, dowels=(Dowel(x=12, y=40, diameter=8, depth=6), Dowel(x=108, y=40, diameter=8, depth=6))
    )
    turns = "\n".join(f"G3 X13 Y40 Z{-z} I-1 J0" for z in range(1, 25))
    assert_safe(f"{HEAD}G0 X13 Y40\nG1 Z0\n{turns}\nG3 X13 Y40 I-1 J0{TAIL}", fixture, RACK)


@given(
    x=st.floats(10, 110),
    y=st.floats(10, 70),
    z=st.floats(-18.3, -0.5),
    r=st.floats(0.5, 2.9),
    seed=st.integers(0, 9999),
)
@examples(40)
def test_sound_programs_of_any_numbers_give_no_finding(x, y, z, r, seed):
    """Pockets in levels with rapids back into what is cut: rounding must not make findings."""
    cx, cy = min(max(x, 12), 108), min(max(y, 12), 68)
    lines = [f"G0 X{cx + r:.4f} Y{cy:.4f}"]
    depth = 0.0
    while depth > z:
        above, depth = depth, max(depth - 2.5, z)
        lines += [
            f"G0 Z{above + 0.2:.4f}", f"G1 Z{depth:.4f}", f"G3 X{cx + r:.4f} Y{cy:.4f} I{-r:.4f} J0",
            f"G1 X{cx:.4f}", f"G0 X{cx + r:.4f}", "G0 Z10",
        ]  # fmt: skip
    assert_safe(HEAD + "\n".join(lines) + TAIL, FRONT, RACK, cell=0.5)


@pytest.mark.parametrize(
    "text",
    [
        "", "\x00\x01\x02", "G1" * 100_000, "(" * 5000, "0" * 1_000_000,
        HEAD + "G0 X1e9\nM30", HEAD + "G0 X1000000000 Y5\nG1 Z-1\nG3 X-1000000000 Y5 I-1000000000 J0\nM30",
        HEAD + "G1 X9" + "9" * 200 + "\nM30", HEAD + "G18 G2 X1000000 Z0 I500000 K0\nM30", HEAD,
    ],
)  # fmt: skip
def test_bad_text_ends_soon_with_a_finding(text):
    start = time.perf_counter()
    report = simulate(text, FRONT, RACK, cell=1.0)
    assert not report.ok
    assert time.perf_counter() - start < 2
