"""What a head says of screws, for the person who drives them, is held against the screws that are given."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest

import toolpaths as tp

BOARD = tp.Board(width=240, height=140, thickness=12, name="beech")
DRILL = tp.Cutter(1, tp.drill_point(3), 400, 9000, cutting_length=30)
FLAT = tp.Cutter(2, tp.flat(6), 1500, 18000, plunge_mm_min=500, cutting_length=20)
RACK = [DRILL, FLAT]
DRIVE = "Drive the two screws in the middle, heads down to the wood, then go on - and see that none stands up"
CORNERS = tp.screws([(12, 12), (228, 12), (12, 128), (228, 128)], head_diameter=9, height=3)
MIDDLE = tp.screws([(100 / 3, 70), (200, 70)], head_diameter=7.5, height=2.54, driven_at=DRIVE)
SIDE = tp.Fixture(board=BOARD, screws=(*CORNERS, *MIDDLE))
WORK = [
    tp.pocket(tp.rectangle(60, 40, (120, 40)), FLAT, depth=4),
    tp.drill([(100 / 3, 70), (200, 70)], DRILL, depth=6),
    tp.stop(DRIVE),
    tp.pocket(tp.rectangle(60, 40, (120, 100)), FLAT, depth=4),
]
FIXTURES = [
    SIDE, replace(SIDE, zero_at="centre"), replace(SIDE, zero_at="upper right", zero_on="spoilboard"),
    SIDE.turned_over("left to right", screws=SIDE.screws), SIDE.turned_over("top to bottom", screws=SIDE.screws),
]  # fmt: skip


def findings(text, fixture=SIDE):
    return [f for f in tp.simulate(text, fixture, RACK, cell=1.0).findings if f.code in ("head-differs", "screw-stop")]


@pytest.mark.sample(1)
@pytest.mark.parametrize("fixture", FIXTURES)
@pytest.mark.parametrize("units", ["mm", "inch"])
def test_the_head_of_a_program_lists_the_screws_that_it_is_made_for(fixture, units):
    text = tp.program_text(tp.Setup(fixture, WORK), units=units)
    assert findings(text, fixture) == []
    for screws in (
        SIDE.screws[1:], (*SIDE.screws, tp.Screw(x=50, y=20, head_diameter=9, height=3)),
        (replace(SIDE.screws[0], x=12.02), *SIDE.screws[1:]), (replace(SIDE.screws[0], height=3.01), *SIDE.screws[1:]),
        (replace(SIDE.screws[0], head_diameter=8.99), *SIDE.screws[1:]),
        (*SIDE.screws[:-1], replace(SIDE.screws[-1], driven_at="")),
    ):  # fmt: skip
        (finding,) = findings(text, replace(fixture, screws=screws))
        assert (finding.severity, finding.code) == ("danger", "head-differs")


@pytest.mark.parametrize(
    ("old", "new"), [("X228 Y12", "X226 Y12"), ("Screws 9 wide", "Screws 8 wide"), ("Y128, X", "Y12, X")]
)
def test_a_slip_in_the_head_is_found_on_its_line(old, new):
    text = tp.program_text(tp.Setup(SIDE, WORK))
    assert old in text
    slipped = text.replace(old, new, 1)
    (finding,) = findings(slipped)
    assert finding.code == "head-differs"
    assert slipped.splitlines()[finding.line - 1].startswith("(Screws ")


def test_heads_of_others_say_nothing_of_screws():
    text = tp.program_text(tp.Setup(SIDE, WORK))
    assert findings(re.sub(r"\(Board .*\)\n", "", text), replace(SIDE, screws=MIDDLE)) == []


SPLIT = tp.texts_by_cutter(tp.Setup(SIDE, WORK))
IN, LATER = "(Screws in before this program", "(Screws not in yet"


def test_each_file_says_which_screws_are_in_and_which_are_not():
    assert [(IN in text, LATER in text, "M0\n" in text) for text in SPLIT.values()] == [
        (False, True, False), (False, False, True), (True, False, False),
    ]  # fmt: skip
    for text in SPLIT.values():
        assert all(len(line) <= 64 for line in text.split("\nG17")[0].splitlines())


def in_order(*numbers):
    texts = list(SPLIT.values())
    return tp.verify([([texts[n] for n in numbers], SIDE)], RACK, cell=1.0)


def test_files_in_their_order_are_sound_and_in_another_they_are_not():
    assert in_order(0, 1, 2).findings == ()
    for wrong in ((0, 2, 1), (1, 0, 2), (2, 1, 0), (1, 2, 0)):
        assert ("danger", "screw-stop") in {(f.finding.severity, f.finding.code) for f in in_order(*wrong).findings}
    assert "screw-stop" in in_order(0, 2).codes()


def test_one_file_alone_is_judged_by_its_head():
    """Heads that are in stand in the way from the start; those that are not yet, never."""
    first, _, last = SPLIT.values()
    over = "G0 Z20\nG0 X20 Y70\nG0 Z1\nG0 X50 Y70\nG0 Z20\nM5\nM30"
    for text, met in ((first, False), (last, True)):
        report = tp.simulate(text.replace("M5\nM30", over), SIDE, [FLAT], cell=1.0)
        assert ("hold-down" in report.codes()) == met, str(report)
        assert "screw-stop" not in report.codes()
