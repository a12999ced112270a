"""Programs that reach far beyond every board, or go on and on: judged in bounded time and memory."""

from __future__ import annotations

import json
from dataclasses import replace

import numpy as np
import pytest
import shapely
from shapely import box

from toolpaths import Board, Cutter, Fixture, Part, Recess, ball, circle, flat, simulate, tolerance_study
from toolpaths.base.errors import InputError
from toolpaths.judging.checks.part import leftover
from toolpaths.judging.reader.read import read
from toolpaths.judging.trial import exact_heights
from toolpaths.judging.wood.field import grid_on
from toolpaths.judging.wood.lowest import lower
from toolpaths.judging.wood.moves import X0, X1, Y0, Y1, on_board
from toolpaths.judging.wood.paths import inside, lengths, places_along

BOARD = Board(width=300, height=200, thickness=18)
FIXTURE = Fixture(board=BOARD)
CUTTERS = [Cutter(1, flat(6), 1500, 16000, cutting_length=25), Cutter(2, ball(6), 1500, 16000)]
HEAD = "G21 G90 G17 G94\nG0 Z20\nT{tool} M6\nM3 S16000\nG4 P2\nG0 X10 Y10\nG1 Z-1 F900\n"
TAIL = "G0 Z20\nM5\nM30\n"
FAR = {
    "lines": "X2000000 Y1000000\nX-2000000 Z-4\n" * 150,
    "arcs": "G2 X10 Y10 I100000000\nG3 X10 Y10 Z-2 I100000000\n" * 8,
    "upright arcs": "G18\n" + "G2 X10 Z-1 I1000000\n" * 2 + "G17\n",
    "off the board for good": "X-1000000 Y-1000000\n" + "X-1000000000\nX-1000000\n" * 150,
}


@pytest.mark.sample(3)
@pytest.mark.parametrize("tool", [1, 2])
@pytest.mark.parametrize("way", FAR)
def test_moves_of_many_kilometres_are_judged_against_the_part(way: str, tool: int) -> None:
    """Each of these was looked at in places half a millimetre apart, or cut into millions of pieces."""
    part = Part(board=BOARD, front=[Recess(area=box(20, 20, 40, 40), depth=5)])
    report = simulate(HEAD.format(tool=tool) + FAR[way] + TAIL, FIXTURE, CUTTERS, part=part)

    assert {"off-board", "gouge"} <= set(report.codes())


def test_share_of_a_way_within_a_box() -> None:
    rng = np.random.default_rng(3)
    start, end = rng.uniform(-20, 30, (2, 2, 500)).round(0)
    low, high = np.array([0.0, 0.0]), np.array([10.0, 8.0])
    enter, leave = inside(start, end - start, low, high)

    part = np.linspace(0, 1, 2001)
    at = start[:, :, None] + (end - start)[:, :, None] * part
    within = ((at >= low[:, None, None]) & (at <= high[:, None, None])).all(axis=0)
    told = (part >= enter[:, None] - 1e-12) & (part <= leave[:, None] + 1e-12) & (leave > enter)[:, None]
    # A way of no length is within all the time or never; one that touches a corner may count as never.
    assert (within.sum(axis=1) - told.sum(axis=1) <= 1).all()
    assert (told & ~within).sum() == 0
    assert told.any(axis=1).sum() > 50


def test_cells_do_not_show_how_far_off_the_board_a_line_begins() -> None:
    grid, rng = grid_on(BOARD, 1.0), np.random.default_rng(5)
    y = np.linspace(1, 199, 300)
    z = -rng.uniform(0.5, 3, 300)
    near, far = np.zeros(grid.shape, np.float32), np.zeros(grid.shape, np.float32)
    for top, beyond in ((near, 20.0), (far, 4e5)):
        lines = np.stack([np.full(300, -beyond), y, z, np.full(300, 300 + beyond), y, z])
        lower(top, grid, lines, ball(6))

    assert (near < -0.4).all()
    assert np.abs(near - far).max() < 1e-5


def test_places_along_moves_are_close_and_on_them() -> None:
    text = "G21 G90 G17 F900\nG0 X10 Y10 Z5\nG1 Z-3\nX90 Y20 Z-4\nG2 X90 Y20 Z-6 I5\nG3 X80 Y30 R9\nG1 X80 Y30\nM2"
    table = on_board(read(text).motions, (0, 0, 0)).table
    places, moves = (np.concatenate(column) for column in zip(*places_along(table, 0.5), strict=True))

    assert np.array_equal(np.unique(moves), np.arange(table.shape[1]))
    for i in range(table.shape[1]):
        mine = places[moves == i]
        assert np.allclose(mine[0], table[[X0, Y0, 2], i]) and np.allclose(mine[-1], table[[X1, Y1, 5], i], atol=1e-3)
        if len(mine) > 1:
            steps = np.linalg.norm(np.diff(mine, axis=0), axis=1)
            assert np.hypot(*np.diff(mine[:, :2], axis=0).T).max() <= 0.5 + 1e-9
            assert steps.sum() == pytest.approx(lengths(table)[i], rel=0.01)


def test_places_along_very_long_moves_are_bounded() -> None:
    table = np.zeros((11, 40))
    table[X1], table[Y1] = 1e9, 1.0
    assert sum(len(places) for places, _ in places_along(table, 0.5)) < 5_100_000


@pytest.mark.parametrize("number", [50, 400])
def test_each_feature_asks_only_the_places_near_it(number: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """A panel of many holes, none of them cut: one finding each, by name, and no place asked by them all."""
    asked = []
    contains = shapely.contains_xy
    monkeypatch.setattr(shapely, "contains_xy", lambda area, x, y: asked.append(len(x)) or contains(area, x, y))
    holes = [
        Recess(area=circle(4, (5 + k % 40 * 7, 5 + k // 40 * 7)), depth=3, name=f"hole {k}") for k in range(number)
    ]
    report = simulate(HEAD.format(tool=1) + TAIL, FIXTURE, CUTTERS, cell=0.5, part=Part(board=BOARD, front=holes))

    left = [finding for finding in report.findings if finding.code == "leftover"]
    assert len(left) == number
    named = {finding.message.split(" at the ")[1].split(",")[0] for finding in left}
    assert len(named) == len(left)
    assert sum(asked) < 600 * number


@pytest.mark.long
def test_very_many_upright_arcs_are_lines_in_bounded_number() -> None:
    body = "G2 X100 Z-1 I0 K2 Y100.1\nG2 X100 Z-1 I0 K2 Y100\n"
    head = "G21 G90 G17 F900\nG0 X100 Y100 Z5\nG1 Z-1\nG18\n"
    few, many = (on_board(read(head + body * n + "M2").motions, (0, 0, 0)) for n in (1, 20_000))

    assert many.table.shape[1] < 4_200_000
    for moves in (few, many):
        arc = moves.table[:, moves.motion == moves.motion.max()]
        off = np.abs(np.hypot(arc[X0] - 100, arc[2] - 1) - 2)
        middle = np.abs(np.hypot((arc[X0] + arc[X1]) / 2 - 100, (arc[2] + arc[5]) / 2 - 1) - 2)
        assert off.max() < 1e-9 and middle.max() < (1e-4 if moves is few else 2e-3)


@pytest.mark.sample(1)
@pytest.mark.parametrize("depth", [2, 9])
def test_each_cutter_looks_only_at_what_is_near_it(depth: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """Four times the cutters, each with a cut of its own, are looked at little more than four times as often, be the
    passes too deep or not. It was sixteen times: to know the wood in front of one, all others were gone through."""
    looked, gripped = [], replace(FIXTURE, grips=(BOARD.outline,))
    cuts_of = exact_heights.cuts_of

    def counted(table: np.ndarray, which: np.ndarray, *rest: object, **more: object) -> object:
        looked.append(len(which))
        return cuts_of(table, which, *rest, **more)

    monkeypatch.setattr(exact_heights, "cuts_of", counted)
    work = []
    for number in (25, 100):
        cutters = [Cutter(n + 1, flat(3 + n * 0.01), 1500, 16000, cutting_length=25) for n in range(number)]
        cut = "M5\nT{} M6\nM3 S16000\nG4 P2\nG0 X{} Y{}\nG0 Z2\nG1 Z-{} F400\nG1 X{} F1500\nG0 Z30\n"
        places = [(10 + n % 10 * 28, 10 + n // 10 * 18) for n in range(number)]
        body = "".join(cut.format(n + 1, x, y, depth, x + 12) for n, (x, y) in enumerate(places))
        looked.clear()
        report = simulate("G21 G90 G17 G94\nG0 Z30\n" + body + "M5\nM30\n", gripped, cutters, cell=1.0)
        assert ("deep-pass" in report.codes()) == (depth == 9)
        work.append((len(looked), sum(looked)))
    assert min(work[0]) > 20
    assert all(many < 5 * few for few, many in zip(*work, strict=True)), work


@pytest.mark.parametrize("arguments", [{"thinnest_web": 1e308}, {"cell": 1e308}, {"cell": 301}])
def test_numbers_beyond_the_board_are_errors(arguments: dict[str, float]) -> None:
    with pytest.raises(InputError, match=next(iter(arguments))):
        simulate(HEAD.format(tool=1) + TAIL, FIXTURE, CUTTERS, **arguments)


@pytest.mark.parametrize("name", ["flip_line", "dowel_clearance"])
def test_a_study_of_ranges_as_wide_as_the_board_is_an_error(name: str) -> None:
    with pytest.raises(InputError, match=f"{name}=1e.308 is not small against the board's shorter side"):
        tolerance_study([(HEAD.format(tool=1) + TAIL, FIXTURE)], CUTTERS, **{name: 1e308})


def test_numbers_of_numpy_come_out_as_json() -> None:
    one = np.float32(0.5)
    cutter = Cutter(1, flat(np.float32(6)), np.float32(1500), np.float32(16000), cutting_length=np.float32(25))
    part = Part(board=BOARD, front=[Recess(area=box(20, 20, 40, 40), depth=np.float32(5))], within=np.float32(0.03))
    text = HEAD.format(tool=1) + "G1 Z-30\n" + TAIL
    report = simulate(text, FIXTURE, [cutter], cell=one, part=part, thinnest_web=one)

    assert "leftover" in report.codes()
    assert json.loads(report.json())["findings"]


@pytest.mark.parametrize("cell", [5e-324, 1e-300])
def test_cells_too_small_to_count_are_an_error(cell: float) -> None:
    with pytest.raises(InputError, match="use a larger cell"):
        simulate(TAIL, FIXTURE, CUTTERS, cell=cell)


@pytest.mark.parametrize("change", [{"area": box(0, 0, 1e6, 1e6)}, {"corners": 1e308}, {"depth": 1e308}, {"foot": 1e5}])
def test_a_part_beyond_every_board_is_an_error(change: dict[str, object]) -> None:
    with pytest.raises(InputError):
        Recess(**{"area": box(0, 0, 10, 10), "depth": 5, **change})


def test_thin_patches_are_looked_at_together(monkeypatch: pytest.MonkeyPatch) -> None:
    """Thirty slivers a quarter of a millimetre wide between rows: a look at the wood goes through all the moves."""
    looks = []
    top_at = leftover.top_at
    monkeypatch.setattr(leftover, "top_at", lambda trial, points: looks.append(len(points)) or top_at(trial, points))
    rows = "".join(f"G0 Z2\nG0 X9 Y{12.5 + 5.25 * k:.2f}\nG1 Z-1\nX291\n" for k in range(31))
    part = Part(board=BOARD, front=[Recess(area=box(10, 10, 290, 172), depth=1)])
    narrow = [Cutter(1, flat(5), 1500, 16000, cutting_length=25)]
    report = simulate(HEAD.format(tool=1) + rows + TAIL, FIXTURE, narrow, part=part)

    (left,) = (finding for finding in report.findings if "patches" in finding.message)
    assert "in 30 patches" in left.message
    assert len(looks) <= 16
