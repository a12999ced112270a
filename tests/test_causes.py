"""One cause, one finding, and the cause first: what follows from a fault is left out, and named where it is."""

from __future__ import annotations

import re
from collections import Counter
from dataclasses import replace

import numpy as np
import pytest
from shapely import box

import toolpaths as tp
from toolpaths.job.accept import Accept, split
from toolpaths.judging.job_report import SideFinding
from toolpaths.judging.trial.codes import CODES, FACTS, HOLDING, MOTION, PART, RUNNING, TEXT, WOOD, family
from toolpaths.judging.trial.consequences import without_consequences
from toolpaths.judging.trial.findings import NOWHERE, SEVERITIES, Finding, folded, in_order

T1 = tp.Cutter(1, tp.flat(6), feed_mm_min=1500, spindle_rpm=18000)
T2 = tp.Cutter(2, tp.drill_point(5), feed_mm_min=600, spindle_rpm=8000)
T3 = tp.Cutter(3, tp.drill_point(8), feed_mm_min=600, spindle_rpm=8000, cutting_length=40)
RACK = [T1, T2, T3]
BOARD = tp.Board(width=300, height=200, thickness=18)
# Tape under the border, which stays when the part is cut out.
TAPE = (box(0, 0, 300, 40), box(0, 160, 300, 200))
PINS = (tp.Dowel(x=15, y=130, diameter=8, depth=7), tp.Dowel(x=285, y=130, diameter=8, depth=7))


def job(**facts: object) -> tuple[list[tp.Setup], list[str], tp.Part]:
    front = tp.Fixture(board=BOARD, dowels=PINS, grips=TAPE, **facts)
    setups = [
        tp.Setup(front, [
            tp.drill([(15, 130), (285, 130)], T3, depth=tp.through(7), depth_of="full diameter", name="dowel holes"),
            tp.pocket(box(60, 60, 120, 120), T1, depth=6, name="tray"),
            tp.drill([(200, 60), (220, 60)], T2, depth=9, name="pilots"),
        ]),
        tp.Setup(front.turned_over("left to right", grips=TAPE), [
            tp.pocket(box(60, 60, 120, 120), T1, depth=6, name="hollow"),
            tp.contour(box(40, 40, 260, 160), T1, depth=tp.through(0.3), name="outline",
                       tabs=tp.Tabs(count=4, width=8, height=4)),
        ]),
    ]  # fmt: skip
    return setups, [tp.program_text(setup) for setup in setups], tp.intended_part(*setups)


def verified(setups: list[tp.Setup], texts: list[str], part: tp.Part | None) -> tp.JobReport:
    return tp.verify(list(zip(texts, (s.fixture for s in setups), strict=True)), RACK, part=part, cell=0.5)


def bare(text: str) -> str:
    """A program without its comments."""
    return "\n".join(line.split("(")[0] for line in text.splitlines() if line.split("(")[0].strip()) + "\n"


FACTS_TRIED = {
    "corner": {},
    "centre": {"zero_at": "centre"},
    "spoilboard": {"zero_on": "spoilboard"},
}


@pytest.mark.sample(1, long=8)
@pytest.mark.parametrize("facts", FACTS_TRIED.values(), ids=FACTS_TRIED)
@pytest.mark.parametrize("stripped", [False, True], ids=["with head", "bare"])
@pytest.mark.parametrize("units", ["mm", "inch"])
@pytest.mark.parametrize("side", [0, 1])
def test_a_program_in_other_units_is_one_finding_that_says_so(side, units, stripped, facts):
    """Of G20 for G21 there were 18 findings, none of which spoke of inches (once a fault)."""
    setups, _, part = job(**facts)
    texts = [tp.program_text(setup, units=units) for setup in setups]
    texts = [bare(text) for text in texts] if stripped else texts
    assert verified(setups, texts, part).ok
    right, wrong = ("G21", "G20") if units == "mm" else ("G20", "G21")
    line = 1 + next(n for n, text in enumerate(texts[side].splitlines()) if right in text and "(" not in text)
    texts[side] = texts[side].replace(right, wrong)
    report = verified(setups, texts, part)
    (found,) = [each for each in report if each.finding.code == "other-units"]
    assert report.findings[0] == found
    assert (found.finding.line, found.side, found.finding.severity) == (line, setups[side].fixture.side, "danger")
    assert f"Is {right} meant?" in found.finding.message and len(found.finding.consequences) >= 2
    # What is left belongs to the programs that are right.
    assert {each.side for each in report if each != found} <= {setups[1 - side].fixture.side}


@pytest.mark.parametrize("where", [0.5, 0.8])
def test_units_that_change_in_the_middle_are_found_there(where):
    setups, texts, part = job()
    lines = texts[1].splitlines()
    at = next(n for n, text in enumerate(lines) if n > where * len(lines) and text.startswith("X"))
    texts[1] = "\n".join([*lines[:at], "G20", *lines[at:]])
    first = verified(setups, texts, part).findings[0]
    assert (first.finding.code, first.finding.line) == ("other-units", at + 1)


@pytest.mark.long
def test_a_slip_of_one_number_is_not_taken_for_other_units():
    setups, texts, part = job()
    inch = [tp.program_text(setup, units="inch") for setup in setups]
    for some in (texts, inch):
        lines = some[1].splitlines()
        at = next(n for n, line in enumerate(lines) if n > 100 and line.startswith("X"))
        word = lines[at].split()[0]
        for slip in (f"X{float(word[1:]) * 10:g}", f"X{float(word[1:]) * 100:g}", "Z-200", "Z-20"):
            wrong = [some[0], "\n".join([*lines[:at], lines[at].replace(word, slip), *lines[at + 1 :]])]
            assert "other-units" not in verified(setups, wrong, part).codes()


def test_small_work_in_a_corner_is_not_taken_for_inches():
    small = tp.Setup(tp.Fixture(board=BOARD), [tp.pocket(box(2, 2, 12, 12), T1, depth=0.4)])
    text = bare(tp.program_text(small))
    assert "other-units" not in tp.simulate(text, small.fixture, RACK, cell=0.5).codes()


def test_a_rapid_through_the_board_comes_before_the_dowel_holes_that_it_spoils():
    """Five lines of dowel holes came first (once a fault)."""
    setups, texts, part = job()
    hole = re.compile(r"^(G81 X\d+ Y130 Z-27\.4034 R2 F600)\nG81 (X\d+)$", re.M)
    texts[0], count = hole.subn(r"\1\nG80\nG0 Z-10\n\2\nG0 Z5\nG81 \2 Z-27.4034 R2", texts[0])
    assert count == 1
    report = verified(setups, texts, part)
    assert report.findings[0].finding.code == "rapid-in-wood"
    places = [(SEVERITIES.index(f.severity), family(f.code)) for _, f, *_ in report]
    assert places == sorted(places)


def finding(code: str, severity: str, *lines: int) -> Finding:
    return Finding(code, severity, lines[0] if lines else 0, NOWHERE, 0.0, 0.0, "words", 1, lines)


def test_families_stand_from_causes_to_what_follows():
    begin = (TEXT, FACTS, RUNNING, MOTION, WOOD, HOLDING, PART)
    assert [family(code) for code in begin] == list(range(7))
    assert [family(code) for code in CODES] == sorted(family(code) for code in CODES)
    some = [finding("gouge", "damage", 3), finding("dowel-hole", "danger", 2), finding("hold-down", "danger", 9),
            finding("chip-load", "doubt", 1), finding("off-board", "damage", 8)]  # fmt: skip
    assert [each.code for each in in_order(some)] == ["hold-down", "dowel-hole", "off-board", "gouge", "chip-load"]


def test_what_a_move_into_something_does_to_the_part_is_left_out_and_named():
    rapid = finding("rapid-in-wood", "danger", 7, 8)
    same, more = finding("gouge", "damage", 8), finding("gouge", "damage", 8, 9)
    kept = without_consequences([rapid, same, same, finding("tab-cut", "danger", 7), more])
    assert [each.code for each in kept] == ["rapid-in-wood", "gouge"]
    assert kept[1] == more and Counter(kept[0].consequences) == {"gouge": 2, "tab-cut": 1}
    assert str(kept[0]).endswith("What follows from it is left out: 2 x gouge, tab-cut.")


def test_what_is_graver_or_on_no_line_or_of_many_lines_is_never_left_out():
    graver = [finding("off-board", "damage", 7), finding("loose-piece", "danger", 7)]
    assert without_consequences(graver) == graver
    nowhere = [finding("rapid-in-wood", "danger", 7), finding("gouge", "damage")]
    assert without_consequences(nowhere) == nowhere
    many = [finding("off-board", "damage", *range(1, 40)), finding("gouge", "damage", 7)]
    assert without_consequences(many) == many


def test_wood_that_stands_follows_from_lines_that_could_not_be_read():
    left = [finding("leftover", "damage"), finding("gouge", "damage", 4)]
    assert [each.code for each in without_consequences([finding("unreadable", "danger", 3), *left])] == [
        "unreadable", "gouge",
    ]  # fmt: skip
    # A rule that is only strict reading leaves no line out.
    doubt = [finding("unreadable", "doubt", 3), *left]
    assert without_consequences(doubt) == doubt


def test_a_finding_of_several_motions_has_line_place_and_amount_of_one_of_them():
    """The line of the first stood beside the amount of the worst (once a fault)."""
    places = np.array([[1.0, 1, -1], [2, 2, -2], [3, 3, -9], [4, 4, -9]])
    found = folded(
        "too-deep", "damage", np.array([10, 11, 12, 13]), places, np.array([1.0, 2, 9, 9 + 1e-9]), 0.5, "{amount}"
    )
    assert (found.line, found.place, found.amount, found.message) == (12, (3, 3, -9), 9, "9.00")
    assert (found.lines, found.first_line, found.times) == ((10, 11, 12, 13), 10, 4)


def test_what_follows_is_accepted_only_by_its_own_code():
    doubtful = replace(finding("rapid-in-wood", "danger", 7), consequences=("gouge",))
    one = SideFinding("front", doubtful, ("tray",))
    first, second = (Accept(code, "tray", "So it is.") for code in ("rapid-in-wood", "gouge"))
    assert split([one], [first])[0] == (one,)
    assert split([one], [first, second])[0] == ()


def test_a_bare_text_names_the_operations_that_its_own_comments_tell():
    setups, texts, part = job()
    lines = texts[0].splitlines()
    at = lines.index("(tray)") + 12
    wrong = "\n".join([*lines[:at], "G0 X89.4 Y110 Z-4", *lines[at + 1 :]])
    (first, *_) = tp.simulate(wrong, setups[0].fixture, RACK, part=part, cell=0.5)
    assert first.operations == ("tray",) and f"line {first.line} (tray)" in str(first)
    front = [each for each in verified(setups, [wrong, texts[1]], part) if each.side == "front"]
    assert front[0].operations == ("tray",) and str(front[0]).count("tray") == 1
    bare_first = tp.simulate(bare(wrong), setups[0].fixture, RACK, part=part, cell=0.5).findings[0]
    assert bare_first.operations == () and bare_first.code == first.code


def test_a_hold_down_is_named_where_the_program_counts_it_too():
    """A screw in coordinates of the front stood beside a cutter in those of the back (once a fault)."""
    screw = tp.screws([(80, 60)], head_diameter=9, height=3)
    front = tp.Fixture(board=BOARD, screws=screw)
    text = "G21 G90\nG0 Z20\nT1 M6\nM3 S18000\nG4 P2\nG0 X{} Y60\nG1 Z1 F500\nG0 Z20\nM5\nM30\n"
    for fixture, x, words in (
        (front, 80, "the screw at X80 Y60 (seen from the front), which"),
        (
            front.turned_over("left to right", screws=screw),
            220,
            "(seen from the front), as the program counts at X220 Y60, which",
        ),
    ):
        found = next(each for each in tp.simulate(text.format(x), fixture, RACK, cell=1.0) if each.code == "hold-down")
        assert words in found.message


def test_what_a_wrong_speed_does_on_its_lines_is_counted_in_it_and_makes_it_as_grave():
    """A piece that is not held well enough stood first, and the speed that is why after it (once a fault)."""
    weak = replace(finding("weak-hold", "danger", 9), amount=0.9, limit=1.0)
    thick, thick_elsewhere = finding("chip-load", "doubt", 7, 8), finding("chip-load", "doubt", 8, 44)
    for code, severity, amount, limit in (
        ("spindle-speed", "damage", 900.0, 6000.0), ("fast-feed", "doubt", 12000.0, 5000.0),
    ):  # fmt: skip
        cause = replace(finding(code, severity, 7, 8, 9), amount=amount, limit=limit)
        (kept,) = without_consequences([weak, thick, cause])
        assert (kept.code, kept.severity) == (code, "danger")
        assert Counter(kept.consequences) == {"weak-hold": 1, "chip-load": 1}
        assert in_order([weak, *without_consequences([cause, thick])])[-1].severity == severity
        # What holds by nothing, what is on other lines and what a spindle too fast cannot do stay.
        nothing = replace(weak, amount=0.0)
        assert without_consequences([nothing, thick_elsewhere, cause]) == [nothing, thick_elsewhere, cause]
    fast = replace(finding("spindle-speed", "damage", 7, 8, 9), amount=90000.0, limit=24000.0)
    kept = without_consequences([weak, thick, fast])
    assert [(each.code, each.severity, each.consequences) for each in kept] == [
        ("weak-hold", "danger", ()), ("spindle-speed", "damage", ("chip-load",)),
    ]  # fmt: skip


@pytest.mark.parametrize("slip", [("S18000", "S1200"), ("F1500", "F15000")])
def test_a_slip_of_speed_or_feed_is_the_first_finding(slip):
    board = tp.Board(width=200, height=140, thickness=16, wood="beech")
    side = tp.Fixture(board=board, screws=tp.screws([(100, 70), (10, 10), (190, 130)], head_diameter=8, height=3))
    ring = tp.contour(box(76, 52, 124, 88), T1, depth=tp.through(0.3), side="inside", name="opening")
    text = tp.program_text(tp.Setup(side, [ring]))
    assert tp.simulate(text, side, RACK, cell=0.5).ok
    report = tp.simulate(text.replace(*slip), side, RACK, cell=0.5)
    assert report.findings[0].code == ("spindle-speed" if slip[0][0] == "S" else "fast-feed"), str(report)
    assert "chip-load" in report.findings[0].consequences and "chip-load" not in report.codes()


@pytest.mark.parametrize(("start", "words"), [
    ("M3", "S is missing"), ("M3 S0", "S is missing"), ("M5 S18000", "Put M3 and its S"), ("", "Put M3 and its S"),
])  # fmt: skip
def test_a_spindle_started_at_no_speed_is_told_from_one_not_started(start, words):
    """Of M3 without S it was said to put M3 and its S before (once a fault)."""
    side = tp.Fixture(board=BOARD, grips=TAPE)
    for down in ("G0 Z1\nG1 Z-3 F500\nG1 X90", "G0 Z-3\nM3 S18000\nG1 Z-4 F500\nG1 X90"):
        text = f"G21 G90\nG0 Z20\nT1 M6\n{start}\nG4 P3\nG0 X60 Y70\n{down}\nG0 Z20\nM5\nM30\n"
        found = [each for each in tp.simulate(text, side, RACK, cell=1.0) if each.code == "spindle-off"]
        assert len(found) == 1 and words in found[0].message, found


@pytest.mark.parametrize("zero_at", ["lower left", "centre"])
def test_waste_that_comes_free_on_the_back_is_counted_where_the_front_left_it_hanging(zero_at):
    """The loose pieces of the back stood before the skin that the front left by a slip (once a fault)."""
    front = tp.Fixture(board=BOARD, dowels=PINS, grips=(*TAPE, box(70, 80, 100, 110)), zero_at=zero_at)
    one = tp.Setup(front, [
        tp.drill([(15, 130), (285, 130)], T3, depth=tp.through(7), depth_of="full diameter", name="dowel holes"),
        tp.contour(box(60, 70, 110, 120), T1, depth=tp.through(0.3), side="inside", name="opening"),
    ])  # fmt: skip
    back = front.turned_over("left to right", grips=TAPE)
    two = tp.Setup(back, [tp.pocket(box(45, 55, 125, 135), T1, depth=5, name="well")], after=one)
    texts, part = [tp.program_text(each) for each in (one, two)], tp.intended_part(one, two)
    assert verified([one, two], texts, part).ok
    report = verified([one, two], [texts[0].replace("Z-18.3", "Z-17.7"), texts[1]], part)
    first = report.findings[0]
    assert (first.side, first.finding.code, first.finding.severity) == ("front", "not-parted", "danger")
    assert "loose-piece" in first.finding.consequences and "loose-piece" not in report.codes()
