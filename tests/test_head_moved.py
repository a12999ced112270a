"""Comments alone move nothing: a line of a head that stands twice, or beside the place where it was written, states
nothing new. The facts it states stay held against the job; where one can no longer be read that is a doubt at most."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import pytest

import toolpaths as tp

BOARD = tp.Board(width=200, height=120, thickness=18, name="ash")
FACING = tp.Cutter(1, tp.flat(25), 2500, 14000, plunge_mm_min=300, cutting_length=20)
FLAT = tp.Cutter(2, tp.flat(6), 1500, 18000, plunge_mm_min=500, cutting_length=25)
DRILL = tp.Cutter(3, tp.drill_point(3), 400, 9000, cutting_length=30)
RACK = [FACING, FLAT, DRILL]
DRIVE = "Drive the five screws that stand in the waste between the two recesses, then go on with the program"
CORNERS = tp.screws([(12, 12), (188, 12), (12, 108), (188, 108), (62, 12), (138, 108)], head_diameter=9, height=2)
LATER = tp.screws([(100, y) for y in (20.5, 40.5, 60, 80.5, 100.5)], head_diameter=7, height=1.5, driven_at=DRIVE)
SCREWED = tp.Fixture(board=BOARD, screws=(*CORNERS, *LATER), overhang=0.0)
PINS = (tp.Dowel(x=10, y=70, diameter=8, depth=5), tp.Dowel(x=190, y=70, diameter=8, depth=5))
WORK = [
    tp.drill([(screw.x, screw.y) for screw in LATER], DRILL, depth=8),
    tp.stop(DRIVE),
    tp.pocket(tp.rectangle(30, 30, (50, 60)), FLAT, depth=3, name="a recess with a name so long that its line goes on"),
    tp.pocket(tp.rectangle(30, 30, (150, 60)), FLAT, depth=3),
]
BACK = replace(SCREWED, screws=CORNERS, dowels=PINS, zero_on="spoilboard").turned_over(
    "left to right", levelled=1.0, screws=CORNERS
)


@cache
def heads():
    """Programs and their fixtures."""
    setup, back = tp.Setup(SCREWED, WORK), tp.Setup(BACK, WORK[2:])
    split = tp.texts_by_cutter(setup)
    return {
        "mm": (SCREWED, tp.program_text(setup)),
        "inch": (SCREWED, tp.program_text(setup, units="inch")),
        "first cutter": (SCREWED, split["1-T3"]),
        "last cutter": (SCREWED, split["2-T2"]),
        "back": (BACK, tp.program_text(back)),
    }


def grave(text, fixture):
    """What is found that is more than a doubt; a program without a change of cutter is run with the one it names."""
    rack = RACK if "M6" in text else [cutter for cutter in RACK if f"(T{cutter.number}: " in text]
    report = tp.simulate(text, fixture, rack, cell=2.0)
    return [f"{f.severity}: {f.code}: {f.message}" for f in report.findings if f.severity != "doubt"]


def head_of(text):
    """How many lines of a text are comments at its beginning."""
    lines = text.splitlines()
    return next(at for at, line in enumerate(lines) if not line.startswith("("))


@pytest.mark.sample(1, long=1)
@pytest.mark.parametrize("name", ["mm", "inch", "first cutter", "last cutter", "back"])
@pytest.mark.parametrize("edit", ["doubled", "swapped"])
def test_a_line_of_a_head_doubled_or_moved_by_one_is_no_danger(name, edit):
    fixture, text = heads()[name]
    assert grave(text, fixture) == []
    lines = text.splitlines()
    for at in range(head_of(text) - (edit == "swapped")):
        one, other = lines[at], lines[at + 1]
        edited = [*lines[:at], one, one, *lines[at + 1 :]] if edit == "doubled" else [
            *lines[:at], other, one, *lines[at + 2 :]
        ]  # fmt: skip
        assert grave("\n".join(edited) + "\n", fixture) == [], one


@pytest.mark.parametrize("name", ["mm", "inch", "back"])
def test_a_list_of_screws_in_two_places_is_held_against_the_screws_all_the_same(name):
    """A comment that came between its lines hides no screw that is missing or moved."""
    fixture, text = heads()[name]
    lines = text.splitlines()
    at = next(at for at, line in enumerate(lines) if line.startswith("(Screws ") and lines[at + 1].startswith("(  "))
    between = "\n".join([*lines[: at + 1], "(Spoilboard not cut)", *lines[at + 1 :]]) + "\n"
    assert grave(between, fixture) == []
    for screws in (fixture.screws[1:], (replace(fixture.screws[0], x=fixture.screws[0].x + 1), *fixture.screws[1:])):
        (found,) = grave(between, replace(fixture, screws=screws))
        assert found.startswith("danger: head-differs")


def test_a_list_that_breaks_off_is_a_doubt():
    fixture, text = heads()["mm"]
    lines = text.splitlines()
    at = next(at for at, line in enumerate(lines) if line.startswith("(Screws ") and lines[at + 1].startswith("(  "))
    report = tp.simulate("\n".join([*lines[: at + 1], *lines[at + 2 :]]) + "\n", fixture, RACK, cell=2.0)
    assert [(f.severity, f.code, f.line) for f in report.findings] == [("doubt", "head-differs", at + 1)]
