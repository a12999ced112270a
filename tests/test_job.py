"""The whole job: programs in order on one board, and what holds only between its sides."""

from __future__ import annotations

import json
import pickle
from dataclasses import replace

import numpy as np
import planted_sides as plate
import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely import Polygon
from test_weather_station import job as weather_station

import toolpaths as tp
from toolpaths.judging import job_programs
from toolpaths.judging.checks.between_sides import dowel_hole as dowels
from toolpaths.judging.checks.between_sides import round_holes as holes

FRONT_SIDE, BACK_SIDE = plate.fixture_of(plate.FRONT_FACTS), plate.fixture_of(plate.BACK_FACTS)
JOB = [(plate.FRONT, FRONT_SIDE), (plate.BACK, BACK_SIDE)]
HEAD = "G21 G90\nG0 Z20\nT{} M6\nM3 S12000\nG0 Z20\n"
TAIL = "G0 Z20\nM5\nM2\n"


def taped(board: tp.Board, *areas: Polygon, **facts: object) -> tuple[tp.Fixture, tp.Fixture]:
    """Front and back of a board on tape, under all of it unless areas are given."""
    front = tp.Fixture(board=board, grips=areas or (board.outline,), **facts)
    return front, front.turned_over("left to right", grips=front.grips)


def found(report: tp.JobReport, code: str) -> list[tuple[str, object]]:
    return [(f.side, f.finding) for f in report.findings if f.finding.code == code]


def assert_sound(sides: list, cutters: list, **options: object) -> tp.JobReport:
    """The report of a job in which nothing is found."""
    report = tp.verify(sides, cutters, **options)
    assert report.ok, str(report)
    return report


@pytest.mark.parametrize("job", [JOB, [(plate.INCH_TEXT, plate.INCH_FRONT), (plate.INCH_BACK_TEXT, plate.INCH_BACK)]])
def test_sound_jobs_by_two_hands_give_no_finding(job):
    report = assert_sound(job, plate.RACK)
    assert report.ok
    assert [name for name, _ in report.sides] == ["front", "back"]
    assert report.codes() == ()


@pytest.mark.long
def test_the_sample_is_sound_as_one_job_and_as_one_file_per_cutter():
    """The wood is the same to the last bit, however the programs are cut up; screws in stops stay where they are."""
    station = weather_station()
    front, back = tp.program_text(station.front), tp.program_text(station.back)
    cutters = station.front.cutters + station.back.cutters
    whole = assert_sound([(front, station.front_side), (back, station.back_side)], cutters)

    by_cutter = tp.texts_by_cutter(station.front)
    pieces = assert_sound([(by_cutter, station.front_side), (list(tp.texts_by_cutter(station.back).values()),
                                                                station.back_side)], cutters)  # fmt: skip

    assert np.array_equal(whole.stock.top, pieces.stock.top)
    assert np.array_equal(whole.stock.bottom, pieces.stock.bottom)
    assert [name for name, _ in pieces.sides][:2] == ["front, program 1-T4", "front, program 2-T3"]
    assert pieces.sides[-1][0] == "back, program 3"


def test_the_job_is_what_simulate_finds_side_by_side():
    front = tp.simulate(plate.FRONT, FRONT_SIDE, plate.RACK)
    back = tp.simulate(plate.BACK, BACK_SIDE, plate.RACK, stock=front.stock.turned_over("left to right"))
    report = tp.verify(JOB, plate.RACK)

    assert np.array_equal(report.stock.top, back.stock.top)
    assert np.array_equal(report.stock.bottom, back.stock.bottom)
    assert [r.cutting_mm for _, r in report.sides] == [front.cutting_mm, back.cutting_mm]


def test_one_side_alone_is_a_job():
    assert tp.verify(JOB[:1], plate.RACK).ok
    assert tp.verify(JOB[1:], plate.RACK).ok


def test_findings_name_their_side_and_come_gravest_first():
    deep = plate.BACK.replace("Z-8.2", "Z-19")
    report = tp.verify([(plate.FRONT.replace("X152", "X151"), FRONT_SIDE), (deep, BACK_SIDE)], plate.RACK)

    assert next(f.side for f in report.findings) == "front"
    assert [side for side, _ in found(report, "too-deep")] == ["front", "back"]
    ranks = [("danger", "damage", "doubt").index(f.finding.severity) for f in report.findings]
    assert ranks == sorted(ranks)
    assert "front: danger: dowel-hole, line 9" in str(report)


def test_the_page_fits_a_terminal():
    text = str(tp.verify([(plate.FRONT.replace("X152", "X142"), FRONT_SIDE), (plate.BACK, BACK_SIDE)], plate.RACK))
    assert max(map(len, text.splitlines())) <= 100
    assert text.startswith("2 findings against the job:")


def test_the_page_says_what_is_wrong():
    report = tp.verify([(plate.FRONT, FRONT_SIDE), (plate.BACK.replace("Y70", "Y71"), BACK_SIDE)], plate.RACK)
    assert not report.ok
    assert "holes-apart" in str(report)


BAD = [
    ([], "sides must be a list"),
    (plate.FRONT, "sides must be a list"),
    ([plate.FRONT], "each of sides"),
    ([(FRONT_SIDE, plate.FRONT)], "each of sides"),
    ([(7, FRONT_SIDE)], "program is text"),
    ([([], FRONT_SIDE)], "program is text"),
    ([([7], FRONT_SIDE)], "A program is text"),
]


@pytest.mark.parametrize("sides, message", BAD)
def test_arguments_that_cannot_be_used_are_said_so(sides, message):
    with pytest.raises(tp.InputError, match=message):
        tp.verify(sides, plate.RACK)


@pytest.mark.long
def test_a_report_of_a_job_is_a_value():
    """Equal when made alike, the same from another process, a line long, and its findings one by one."""
    off = plate.FRONT.replace("X152", "X142")
    one, other = (tp.verify([(off, FRONT_SIDE), (plate.BACK, BACK_SIDE)], plate.RACK, cell=0.5) for _ in range(2))
    assert one == other and hash(one) == hash(other)
    assert pickle.loads(pickle.dumps(one)) == one
    assert one != tp.verify(JOB, plate.RACK, cell=0.5)
    assert list(one) == list(one.findings) and len(one) == len(one.findings) == 2
    assert repr(one) == "<JobReport: 2 programs, 2 findings: dowel-hole, too-deep>"
    assert repr(tp.verify(JOB, plate.RACK, cell=0.5)) == "<JobReport: 2 programs, nothing found>"
    assert [found["side"] for found in json.loads(one.json())["findings"]] == [side for side, *_ in one]
    with pytest.raises(AttributeError):
        one.findings = ()


# A side in two fixtures, and the front again after the back.

SHEET = tp.Board(width=200, height=140, thickness=18)
AT_RIM = tp.Fixture(
    board=SHEET,
    dowels=tuple(tp.Dowel(x=x, y=84, diameter=8, depth=6) for x in (10, 190)),
    screws=tp.screws([(100, 8), (100, 132)], head_diameter=9, height=3),
)
IN_MIDDLE = replace(AT_RIM, screws=tp.screws([(100, 70)], head_diameter=9, height=3))
ON_BACK = AT_RIM.turned_over("left to right", screws=AT_RIM.screws)
SIX, FOUR = (
    tp.Cutter(number, tp.flat(wide), 1200, 16000, plunge_mm_min=400, cutting_length=30)
    for number, wide in ((1, 6), (2, 4))
)
HOLES = [
    tp.bore([(10, 84), (190, 84)], 8.05, SIX, depth=tp.through(6)),
    tp.pocket(tp.circle(30, (60, 50)), SIX, depth=6),
]
OUTLINE = tp.contour(tp.rectangle(120, 100, (100, 70)), SIX, depth=tp.through(0.3))
FIRST, PARTED = tp.Setup(AT_RIM, HOLES), tp.Setup(IN_MIDDLE, [OUTLINE])
TURNED = tp.Setup(ON_BACK, [tp.pocket(tp.rectangle(40, 30, (140, 90)), FOUR, depth=7)])
AGAIN = tp.Setup(AT_RIM, [tp.pocket(tp.circle(24, (60, 95)), FOUR, depth=4)])


def of_setups(setups: list[tp.Setup], programs: list[tp.Setup] | None = None) -> tp.JobReport:
    """The programs of some setups, or only of the first of them, against the part that all of them mean."""
    sides = [(tp.program_text(setup), setup.fixture) for setup in programs or setups]
    return tp.verify(sides, [SIX, FOUR], part=tp.intended_part(*setups), cell=0.5)


@pytest.mark.sample(1)
@pytest.mark.parametrize(
    "setups, names",
    [
        ([FIRST, PARTED], ["front, program 1", "front, program 2"]),
        ([FIRST, TURNED, PARTED], ["front, program 1", "back", "front, program 2"]),
        ([FIRST, TURNED, AGAIN, PARTED], ["front, program 1", "back", "front, program 2", "front, program 3"]),
    ],
)
def test_a_side_in_two_fixtures_is_one_side(setups, names):
    """What a later program of the side takes away is not left over; the wood of the first is kept, turned or not."""
    report = of_setups(setups)
    assert report.ok, str(report)
    assert [name for name, _ in report.sides] == names
    removed = [each.stock.removed() for _, each in report.sides]
    assert removed == sorted(removed) and len(set(removed)) == len(removed)


@pytest.mark.long
def test_what_no_program_of_a_side_takes_away_is_found_once():
    """On the last of them, whether the board was turned over between or not."""
    for setups in ([FIRST, PARTED], [FIRST, TURNED, AGAIN, PARTED]):
        report = of_setups(setups, setups[:-1])
        left = [(name, finding.code) for name, finding, _ in report if finding.code in ("leftover", "not-parted")]
        assert left == [([name for name, _ in report.sides if name.startswith("front")][-1], "not-parted")], str(report)


def test_a_part_cut_loose_in_one_fixture_is_not_cut_in_the_next():
    report = of_setups([PARTED, FIRST])
    assert report.codes() == ("cuts-loose",), str(report)
    assert {found.side for found in report} == {"front, program 2"}


def test_programs_of_a_side_have_names_of_their_own():
    """The given ones where there are any; two fixtures may well give the same."""
    text = HEAD.format(1) + "F600\nG0 X40 Y40\nG0 Z8\nG1 Z-2\nX60\n" + TAIL
    plain = replace(FRONT_SIDE, dowels=(), safe_height=8)
    screwed = replace(plain, screws=tp.screws([(80, 90)], head_diameter=9, height=3))
    read = job_programs.read_sides([({"1-T4": text, "2-T2": text}, plain), ({"1-T4": text}, screwed)], plate.RACK)
    assert [setting.name for setting in read] == [
        "front, program 1-T4", "front, program 2-T2", "front, program 1-T4 again",
    ]  # fmt: skip
    assert [setting.last for setting in read] == [False, False, True]


# Facts that differ.


def test_a_board_measured_twice_is_judged_as_the_first_was():
    thick = replace(BACK_SIDE, board=tp.Board(width=160, height=100, thickness=18.4))
    (side, finding) = found(tp.verify([(plate.FRONT, FRONT_SIDE), (plate.BACK, thick)], plate.RACK), "sides-differ")[0]
    assert (side, finding.severity, finding.amount, finding.limit) == ("", "danger", 18.4, 18)


def test_another_width_that_the_dowels_do_not_fit_is_still_judged():
    board = tp.Board(width=164, height=100, thickness=18)
    moved = (tp.Dowel(x=10, y=58, diameter=8, depth=7), tp.Dowel(x=154, y=58, diameter=8, depth=7))
    other = tp.Fixture(board=board, turned="left to right", dowels=moved, grips=(board.outline,))
    report = tp.verify([(plate.FRONT, FRONT_SIDE), (plate.BACK, other)], plate.RACK)
    assert report.codes() == ("sides-differ",)
    assert len(report.findings) == 1 + 2 * 2, "the width, and two dowels that the other side lacks each"


@pytest.mark.parametrize("corner, ok", [("lower left", True), ("lower right", True), ("upper left", False)])
def test_the_zero_may_stay_on_the_machine_or_on_the_wood(corner, ok):
    back = replace(BACK_SIDE, zero_at=corner)
    shifted = plate.BACK.replace("X120", "X-40").replace("X40", "X-120") if corner == "lower right" else plate.BACK
    report = tp.verify([(plate.FRONT, FRONT_SIDE), (shifted, back)], plate.RACK)
    assert ("sides-differ" not in report.codes()) is ok
    assert report.ok is ok


def test_dowels_on_one_side_only_are_a_doubt():
    report = tp.verify([(plate.FRONT, FRONT_SIDE), (plate.BACK, replace(BACK_SIDE, dowels=()))], plate.RACK)
    assert [f.finding.severity for f in report.findings] == ["doubt"]
    report = tp.verify(
        [(plate.FRONT, FRONT_SIDE), (plate.BACK, replace(BACK_SIDE, dowels=BACK_SIDE.dowels * 2))], plate.RACK
    )
    assert report.ok, "the same dowel told twice"


def test_both_sides_turned_is_a_doubt():
    report = tp.verify([(plate.BACK, BACK_SIDE), (plate.BACK, BACK_SIDE)], plate.RACK)
    assert report.codes() == ("sides-differ",)


@pytest.mark.long
def test_front_listed_twice_in_one_fixture_is_a_doubt_and_in_two_fixtures_is_none():
    """The same hold-downs twice look like a turn that was forgotten; other ones are why a side has two fixtures."""
    text = HEAD.format(1) + "F600\nG0 X40 Y40\nG0 Z8\nG1 Z-2\nX60\n" + TAIL
    again = tp.verify([(text, FRONT_SIDE), (text, replace(FRONT_SIDE))], plate.RACK)
    assert again.codes() == ("sides-differ",)
    for held in (
        {"screws": tp.screws([(80, 90)], head_diameter=9, height=3)},
        {"clamps": (tp.Clamp(area=tp.rectangle(10, 10, (150, 95)), height=5),), "safe_height": 10},
        {"grips": (tp.Grip(area=FRONT_SIDE.board.outline, by="vacuum"),)},
    ):
        other = replace(FRONT_SIDE, **{"safe_height": 8.0, **held})
        assert tp.verify([(text, FRONT_SIDE), (text, other)], plate.RACK).ok


def test_new_screws_on_the_same_side_differ_in_nothing_that_matters():
    plain = replace(FRONT_SIDE, dowels=())
    screwed = replace(plain, screws=tp.screws([(80, 90)], head_diameter=9, height=3), safe_height=8)
    text = HEAD.format(1) + "F600\nG0 X40 Y40\nG0 Z8\nG1 Z-2\nX60\n" + TAIL
    assert tp.verify([(text, plain), (text, screwed)], plate.RACK).ok


# Dowel holes.


def dowel_job(front: str) -> tp.JobReport:
    """A job of two dowels, the second one drilled well, the first as `front` has it, with a fine cutter."""
    second = "T4 M6\nM3 S6000\nG0 Z20\nG81 X152 Y58 Z-27.4 R2 F240\nG80\n"
    return tp.verify(
        [(HEAD.format(1) + second + "T1 M6\nM3 S9000\nG0 Z20\n" + front + TAIL, FRONT_SIDE), JOB[1]], plate.RACK
    )


def ring(x: float, y: float, path: float, deepest: float = -25.0) -> str:
    down = "".join(f"G1 Z{z}\nG3 X{x + path} Y{y} I{-path} J0\n" for z in (-4, -8, -12, -16, -20, deepest))
    return f"F600\nG0 X{x + path} Y{y}\nG0 Z2\n{down}G0 Z20\n"


PATH = 4 - tp.inch("3/32")


@pytest.mark.sample(3)
@pytest.mark.parametrize("off, ok", [(0.0, True), (0.048, True), (0.053, False), (-0.053, False)])
@pytest.mark.parametrize("axis", ["x", "y"])
def test_a_dowel_hole_may_be_off_by_a_twentieth(off, ok, axis):
    dx, dy = (off, 0) if axis == "x" else (0, off)
    report = dowel_job(ring(8 + dx, 58 + dy, PATH))
    assert ("dowel-hole" not in report.codes()) is ok, str(report)
    for _, finding in found(report, "dowel-hole"):
        assert (finding.amount, finding.limit) == (pytest.approx(abs(off), abs=0.002), 0.05)


@pytest.mark.parametrize(
    "wide, ok", [(8.0, True), (8.1, True), (8.245, True), (8.255, False), (7.994, True), (7.985, False)]
)
def test_a_dowel_hole_holds_its_pin_and_takes_it(wide, ok):
    report = dowel_job(ring(8, 58, PATH + (wide - 8) / 2))
    assert ("dowel-hole" not in report.codes()) is ok, str(report)
    for _, finding in found(report, "dowel-hole"):
        assert finding.amount == pytest.approx(wide, abs=0.002)


@pytest.mark.parametrize("deepest, ok", [(-25, True), (-24.96, True), (-24.94, False), (-18, False), (-17, False)])
def test_a_dowel_hole_goes_as_deep_as_its_pin(deepest, ok):
    report = dowel_job(ring(8, 58, PATH, deepest).replace("G1 Z-20\n", ""))
    assert ("dowel-hole" not in report.codes()) is ok, str(report)


def test_a_wide_hole_with_a_narrow_end_does_not_take_the_pin():
    narrow = ring(8, 58, PATH, -18.5) + "T2 M6\nM3 S6000\nG0 Z20\nG81 X8 Y58 Z-25 R2 F240\nG80\n"
    ((_, finding),) = found(dowel_job(narrow), "dowel-hole")
    assert (finding.amount, finding.limit) == (pytest.approx(4, abs=0.002), 8)
    assert "in the spoilboard" in finding.message


def test_a_dowel_hole_of_straight_lines_and_one_opened_at_the_top_are_sound():
    """Sixty chords, and a countersink that eases the pin in: both hold the pin."""
    angles = np.linspace(0, 2 * np.pi, 61)
    lines = "".join(f"X{8 + PATH * np.cos(a):.4f} Y{58 + PATH * np.sin(a):.4f}\n" for a in angles)
    rounds = "".join(f"G1 Z{z}\n{lines}" for z in (-4, -8, -12, -16, -20, -25))
    text = f"F600\nG0 X{8 + PATH} Y58\nG0 Z2\n{rounds}G0 Z20\n"
    assert "dowel-hole" not in dowel_job(text).codes()
    eased = f"G0 X{8.4 + PATH} Y58\nG0 Z2\nG1 Z-1\nG3 X{8.4 + PATH} Y58 I{-PATH - 0.4} J0\nG0 Z20\n"
    assert "dowel-hole" not in dowel_job(ring(8, 58, PATH) + eased).codes()


def test_dowel_holes_made_by_two_programs_count_together():
    upper, lower = ring(8, 58, PATH).split("G1 Z-16\n")
    lower = f"F600\nG0 X{8 + PATH} Y58\nG0 Z-12\nG1 Z-16\n" + lower
    second = "T4 M6\nM3 S6000\nG0 Z20\nG81 X152 Y58 Z-27.4 R2 F240\nG80\n"
    texts = [HEAD.format(1) + upper + "G0 Z20\n" + second + TAIL, HEAD.format(1) + lower + TAIL]
    assert "dowel-hole" not in tp.verify([(texts, FRONT_SIDE), JOB[1]], plate.RACK).codes()
    assert "dowel-hole" in tp.verify([(texts[:1], FRONT_SIDE), JOB[1]], plate.RACK).codes()


def test_dowel_holes_are_not_asked_for_where_the_board_is_not_turned():
    text = HEAD.format(1) + "F600\nG0 X40 Y40\nG0 Z8\nG1 Z-2\nX60\n" + TAIL
    assert tp.verify([(text, FRONT_SIDE)], plate.RACK).ok
    assert found(tp.verify([(text, FRONT_SIDE), (text, BACK_SIDE)], plate.RACK), "dowel-hole")


# Holes from both sides.


def two_holes(x: float, y: float, front: float, back: float, tools: tuple[int, int] = (2, 2)) -> tp.JobReport:
    """A hole at (60, 40) from the front, one at a place seen from the front from the back."""
    board = tp.Board(width=160, height=100, thickness=20)
    sides = taped(board, spoilboard_depth=3)
    one = HEAD.format(tools[0]) + f"G83 X60 Y40 Z{-front} R2 Q4 F240\nG80\n" + TAIL
    two = HEAD.format(tools[1]) + f"G83 X{160 - x:.4f} Y{y} Z{-back} R2 Q4 F240\nG80\n" + TAIL
    return tp.verify(list(zip((one, two), sides)), plate.RACK)


@pytest.mark.parametrize("tools", [(2, 2), (4, 2), (2, 3), (1, 1)])
@pytest.mark.parametrize("off, ok", [(0.049, True), (0.051, False), (1.0, False)])
def test_holes_that_meet_have_one_axis(off, ok, tools):
    report = two_holes(60 - off, 40, 12, 12, tools)
    assert report.ok is ok, str(report)
    for side, finding in found(report, "holes-apart"):
        assert (side, finding.amount, finding.limit) == ("back", pytest.approx(off, abs=1e-6), 0.05)
        assert finding.line == 6


@pytest.mark.parametrize(
    "front, back, code",
    [
        (10, 10, ()),
        (10, 9.99, ("holes-apart",)),
        (10, 9.01, ("holes-apart",)),
        (10, 8.99, ()),
        (5, 5, ()),
    ],
)
def test_a_thin_web_between_coaxial_holes_is_a_doubt_and_two_blind_holes_are_not(front, back, code):
    report = two_holes(60, 40, front, back)
    assert report.codes() == code
    assert all(f.finding.severity == "doubt" for f in report.findings)


def test_blind_holes_that_do_not_meet_lie_where_they_like():
    assert two_holes(61, 40, 9, 9).ok
    assert two_holes(62.5, 40, 9, 10.9).ok


def test_holes_side_by_side_are_no_pair():
    """Two holes of 4 mm, 4 mm apart, touch and do not overlap."""
    assert two_holes(64, 40, 20.5, 20.5).ok
    assert two_holes(63.9, 40, 20.5, 20.5).codes() == ("holes-apart",)


def test_several_small_holes_in_a_large_one_are_a_pattern():
    board = tp.Board(width=160, height=100, thickness=20)
    sides = taped(board, spoilboard_depth=3)
    one = HEAD.format(3) + "G81 X60 Y40 Z-12 R2 F240\nG80\n" + TAIL
    two = HEAD.format(2) + "G81 X98 Y40 Z-12 R2 F240\nX102\nG80\n" + TAIL
    assert tp.verify(list(zip((one, two), sides)), plate.RACK).ok


@pytest.mark.long
def test_a_row_of_holes_that_run_into_each_other_meets_a_hole_on_the_axis_of_one():
    """A slot drilled in a row 3 apart, whichever side it is on; a row that is off is found all the same."""
    board = tp.Board(width=160, height=100, thickness=20)
    sides = taped(board, spoilboard_depth=3)

    def judged(row: list[float], one: float, row_first: bool) -> tp.JobReport:
        xs = [row, [one]] if row_first else [[one], row]
        texts = []
        for places, turned in zip(xs, (False, True)):
            holes = "".join(f"G81 X{160 - x if turned else x:.3f} Y40 Z-12 R2 F240\n" for x in places)
            texts.append(HEAD.format(2) + holes + "G80\n" + TAIL)
        return tp.verify(list(zip(texts, sides)), plate.RACK)

    for row_first in (True, False):
        assert judged([57, 60, 63], 60, row_first).ok
        assert judged([57, 60, 63], 63, row_first).ok
        ((_, finding),) = found(judged([57, 60, 63], 60.4, row_first), "holes-apart")
        assert (finding.amount, finding.times) == (pytest.approx(0.4, abs=1e-6), 1)


@given(
    x=st.floats(30, 130), y=st.floats(30, 70), path=st.floats(0.5, 2.3), turns=st.integers(1, 9),
    clockwise=st.booleans(),
)  # fmt: skip
def test_a_bore_is_known_by_its_place_width_and_depth(x, y, path, turns, clockwise):
    """A helix down and a round at the floor, from any place."""
    code = "G2" if clockwise else "G3"
    x, y, path = round(x, 3), round(y, 3), round(path, 3)
    start = f"X{x + path:.4f} Y{y}"
    down = "".join(f"{code} {start} Z{-n} I{-path} J0\n" for n in range(1, turns + 1))
    text = HEAD.format(1) + f"F600\nG0 {start}\nG0 Z1\nG1 Z0\n{down}{code} {start} I{-path} J0\n" + TAIL
    (setting,) = job_programs.read_sides([(text, FRONT_SIDE)], plate.RACK)
    (run,) = job_programs.judge_programs([setting], cell=5)
    found = holes.holes_of(run.case)

    assert found.x.tolist() == pytest.approx([x], abs=1e-3)
    assert found.y.tolist() == pytest.approx([y], abs=1e-3)
    assert found.radius.tolist() == pytest.approx([path + tp.inch("3/32")], abs=1e-3)
    assert found.depth.tolist() == [turns]


NO_HOLES = [
    "G0 X40 Y40\nG1 Z-3\nX60\n",
    "G0 X40 Y40\nG1 Z-3\nG3 X60 Y40 I10 J0\n",
    "G0 X40 Y40\nG1 Z-3\nG3 X40 Y40 I10 J0\n",
    "G0 X40 Y40\nG1 Z-3\nG3 X40 Y40 I2 J0\nG1 X44\nG3 X44 Y40 I2 J0\n",
    "G0 X40 Y40\nG0 Z3\nG3 X40 Y40 I2 J0\n",
]


@pytest.mark.parametrize("moves", NO_HOLES, ids=["slot", "half a ring", "ring with a post", "two rings", "in the air"])
def test_what_is_no_hole_is_not_taken_for_one(moves):
    (setting,) = job_programs.read_sides([(HEAD.format(1) + "F600\n" + moves + TAIL, FRONT_SIDE)], plate.RACK)
    (run,) = job_programs.judge_programs([setting], cell=5)
    assert len(holes.holes_of(run.case).x) == 0


def test_pecks_cycles_and_plain_plunges_are_the_same_hole():
    for one in ("G83 X40 Y30 Z-9 R2 Q2\nG80\n", "G81 X40 Y30 Z-9 R2\nG80\n", "G0 X40 Y30\nG1 Z-9\n"):
        (setting,) = job_programs.read_sides([(HEAD.format(2) + "F240\n" + one + TAIL, FRONT_SIDE)], plate.RACK)
        (run,) = job_programs.judge_programs([setting], cell=5)
        found = holes.holes_of(run.case)
        assert sorted(zip(found.x.tolist(), found.y.tolist(), found.radius.tolist())) == [(40, 30, 2)] * len(found.x)
        assert found.depth.max() == 9


@pytest.mark.parametrize("wide, deep", [(8.05, 6.0), (9.0, 4.0), (7.0, 17.2)])
def test_a_bore_is_a_round_hole_whatever_arc_it_is_left_on(wide, deep):
    setup = tp.Setup(tp.Fixture(board=SHEET), [tp.bore([(60, 50), (90, 50)], wide, SIX, depth=deep)])
    (setting,) = job_programs.read_sides([(tp.program_text(setup), setup.fixture)], [SIX])
    found = holes.holes_of(job_programs.judge_programs([setting], cell=5)[0].case)
    assert sorted(zip(found.x.tolist(), found.y.tolist(), found.radius.tolist(), found.depth.tolist())) == [
        pytest.approx((x, 50, wide / 2, deep), abs=1e-3) for x in (60, 90)
    ]


@pytest.mark.long
def test_the_dowel_holes_of_the_sample_measure_what_was_asked():
    """Bored 8 wide and 8 into the spoilboard, all three."""
    station = weather_station()
    sides = [(tp.program_text(s), s.fixture) for s in (station.front, station.back)]
    done = job_programs.judge_programs(
        job_programs.read_sides(sides, station.front.cutters + station.back.cutters), cell=1
    )
    first, used = dowels.registered(done)
    assert len(used) == 3
    for dowel in used:
        bored = dowels.measured(first, dowel)
        assert bored is not None
        assert (bored.narrowest, bored.widest, bored.below) == pytest.approx((8, 8, 8), abs=1e-3)
        assert bored.away < 1e-3


# What the checks of single programs find only because the job is run as one.


def cut_out(tab: float | None) -> str:
    """A plate 74 x 34 cut out in seven passes, with two tabs from this height on, or none."""
    text = "G0 X40 Y30\nG0 Z2\n"
    for n in range(1, 8):
        z = round(-18.3 * n / 7, 3)
        bridge = f"Z{tab}\nX{{}}\nZ{z} F300\n" if tab is not None and z < tab else ""
        text += f"G1 Z{z} F300\n"
        text += f"G1 X72 F900\n{bridge.format(88)}X120 F900\nY70\nX88\n{bridge.format(72)}X40 F900\nY30\n"
    return text + "G0 Z20\n"


GROOVES = "".join(f"G0 X70 Y{y}\nG0 Z2\nG1 Z-2 F300\nX90 F900\nG0 Z20\n" for y in (45, 49, 53))
START = "G21 G90\nG0 Z20\nT1 M6\nM3 S12000\nG0 Z20\nF900\n"


def plate_job(front: str, part: tp.Part | None = None) -> tp.JobReport:
    board = tp.Board(width=160, height=100, thickness=18)
    side, other = taped(board, tp.rectangle(160, 20, (80, 10)), tp.rectangle(160, 20, (80, 90)))
    six = [tp.Cutter(1, tp.flat(6), 900, 12000, cutting_length=30)]
    back = START + GROOVES + TAIL
    return tp.verify([(START + front + TAIL, side), (back, other)], six, part=part)


def test_a_part_cut_loose_on_the_front_is_not_cut_on_the_back():
    report = plate_job(cut_out(None))
    assert [(f.side, f.finding.code) for f in report.findings] == [("front", "loose-piece"), ("back", "cuts-loose")]
    assert plate_job(cut_out(-12.0)).ok, str(plate_job(cut_out(-12.0)))


@pytest.mark.long
def test_programs_of_the_other_side_are_known_by_their_heads():
    """Front and back exchanged, as files are."""
    station = weather_station()
    front, back = tp.program_text(station.front), tp.program_text(station.back)
    cutters = station.front.cutters + station.back.cutters
    report = tp.verify([(back, station.front_side), (front, station.back_side)], cutters, cell=0.5)
    assert {side for side, _ in found(report, "head-differs")} == {"front", "back"}


@pytest.mark.long
def test_wood_that_a_later_program_of_the_side_takes_away_is_not_left_over():
    """One file per cutter, against the part meant: what stands is judged once the side is done."""
    station = weather_station()
    part = tp.intended_part(station.front, station.back)
    cutters = station.front.cutters + station.back.cutters
    texts = [list(tp.texts_by_cutter(setup).values()) for setup in (station.front, station.back)]
    sides = list(zip(texts, (station.front_side, station.back_side)))
    assert_sound(sides, cutters, part=part, cell=0.5)

    short = [(texts[0][:-1], station.front_side), sides[1]]
    report = tp.verify(short, cutters, part=part, cell=0.5)
    assert {"leftover", "not-parted"} & set(report.codes()), str(report)


@pytest.mark.long
def test_back_first_on_pins_that_the_front_bores_is_found():
    """The order of the list is that of the work."""
    board = tp.Board(width=200, height=120, thickness=18)
    dowels = tuple(tp.Dowel(x=x, y=60, diameter=8, depth=6) for x in (10, 190))
    front = tp.Fixture(board=board, dowels=dowels, grips=(board.outline,))
    back = front.turned_over("left to right", grips=(board.outline,))
    cutter = tp.Cutter(1, tp.flat(6), 1200, 16000, plunge_mm_min=400, cutting_length=30)
    holes = tp.Setup(front, [tp.bore([(10, 60), (190, 60)], 8.05, cutter, depth=tp.through(6))])
    tray = tp.Setup(back, [tp.pocket(tp.circle(40, (100, 60)), cutter, depth=5)])
    right = [(tp.program_text(holes), front), (tp.program_text(tray), back)]
    assert tp.verify(right, [cutter], cell=1.0).ok
    assert tp.verify(right[::-1], [cutter], cell=1.0).codes() == ("sides-differ",)
