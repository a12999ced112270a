"""Tabs: their width and thickness as the moves leave them, what becomes of them, and what is none."""

from __future__ import annotations

from dataclasses import replace
from math import hypot, radians, tan
from typing import NamedTuple

import numpy as np
import planted_tabs as planted
import pytest
from planted_pieces import BARE, BOARD, RACK, judge
from shapely import Polygon, box

import toolpaths as tp
from toolpaths.facts.board import screws
from toolpaths.facts.cutter import Cutter
from toolpaths.facts.features.parting import Parting
from toolpaths.facts.fixture import Fixture
from toolpaths.facts.part import Part
from toolpaths.facts.profile import ball, flat
from toolpaths.judging import simulate as run
from toolpaths.judging.checks.holding.standing_tabs import standing_tabs
from toolpaths.judging.report import Report
from toolpaths.judging.simulate import simulate
from toolpaths.judging.trial.case import Trial
from toolpaths.judging.wood.field import Wood

TABS = ("tab-cut", "weak-tab", "tab-count")


class Standing(NamedTuple):
    """A tab that stands: its middle as the program counts, its size, the line on which the cutter rises for it."""

    place: tuple[float, float]
    width: float
    thickness: float
    line: int
    cutter: str


def left(monkeypatch, text: str, fixture: Fixture = BARE, rack: list[Cutter] = RACK, cell: float = 0.5,
         stock: Wood | None = None) -> list[Standing]:  # fmt: skip
    """The tabs that stand after a program."""
    seen: list[list[Standing]] = []

    def look(trial: Trial):
        case = trial.case
        seen.append([
            Standing(case.point(*tab.middle, 0.0)[:2], tab.width, tab.thickness, int(case.moves.line[tab.gap.rise]),
                     str(case.cutters[tab.gap.tool]))
            for tab in standing_tabs(trial)
        ])  # fmt: skip
        return iter(())

    with monkeypatch.context() as patch:
        patch.setattr(run, "WOOD_CHECKS", (look,))
        simulate(text, fixture, rack, cell=cell, stock=stock)
    return seen[0]


def of_tabs(report: Report) -> list:
    return [finding for finding in report.findings if finding.code in TABS]


def around(gap: str, tool: int = 1, more: str = "", before: str = "") -> str:
    """A rectangle cut through, X40 to X200 and Y30 to Y110, with `gap` in the lower side from X40 on."""
    return (
        f"G21 G90 G17\nT{tool} M6\nM3 S16000\nG4 P2\nG0 Z10\n{before}G0 X40 Y30\nG0 Z1\nG1 Z-9 F400\n"
        f"G1 X200 F1200\nG1 Y110\nG1 X40\nG1 Y30\nG1 Z-18.2 F400\n{gap}\nG1 X200 F1200\nG1 Y110\nG1 X40\nG1 Y30\n"
        f"G0 Z10\n{more}M5\nM30\n"
    )


def square(x0: float, x1: float, z: float) -> str:
    return f"G1 X{x0} F1200\nG1 Z{z}\nG1 X{x1}\nG1 Z-18.2"


@pytest.mark.parametrize("fault", [f for f in planted.FAULTS if f.code in TABS], ids=lambda f: f.what)
def test_sound_before_the_edit(fault):
    assert fault.judge(fault.sound).ok, str(fault.judge(fault.sound))


@pytest.mark.parametrize("cell", [0.25, 0.5, 1.0])
@pytest.mark.parametrize(("width", "thick"), [(2.0, 1.0), (3.37, 2.5), (8.0, 4.0), (25.0, 8.5)])
def test_square_tab_is_measured_exactly(monkeypatch, cell, width, thick):
    """Raised length less the diameter, reference: a flat cutter leaves its own diameter less."""
    text = around(square(100, round(106 + width, 3), -18 + thick))
    (one,) = left(monkeypatch, text, cell=cell)
    assert one.width == pytest.approx(width, abs=1e-3)
    assert one.thickness == pytest.approx(thick, abs=1e-3)
    assert one.place == pytest.approx((103 + width / 2, 30), abs=0.01)
    assert text.splitlines()[one.line - 1] == f"G1 Z{-18 + thick}"
    assert one.cutter == "T1 flat 6"
    assert not of_tabs(judge(text, cell=cell))


@pytest.mark.parametrize("slope", [20, 45, 75])
def test_sloped_tab_is_measured_at_its_top(monkeypatch, slope):
    run_up = 4.2 / tan(radians(slope))
    gap = f"G1 X90 F1200\nG1 X{90 + run_up:.3f} Z-14\nG1 X{104 + run_up:.3f}\nG1 X{104 + 2 * run_up:.3f} Z-18.2"
    (one,) = left(monkeypatch, around(gap))
    assert one.width == pytest.approx(8.0, abs=0.01)
    assert one.thickness == pytest.approx(4.0, abs=1e-3)


def test_tab_with_a_peak_is_as_thick_as_any_of_its_wood(monkeypatch):
    """Up and down at 45 degrees over 2 x 7 mm: the cutter's foot, 6 mm wide, leaves 4 mm of the peak's 7."""
    (one,) = left(monkeypatch, around("G1 X90 F1200\nG1 X97 Z-11.2\nG1 X104 Z-18.2"))
    assert one.thickness == pytest.approx(3.8, abs=0.15)
    assert one.width == pytest.approx(4.0, abs=0.4)


@pytest.mark.parametrize("kind", ["square", "sloped"])
def test_tabs_of_the_library_stand_as_wanted(monkeypatch, kind):
    """On straight runs and on arcs, both sides of the board."""
    shape = tp.offset(tp.offset(tp.rectangle(150, 80, (120, 70)), -30), 30)
    wanted = tp.Tabs(count=5, width=6.5, height=3.2, slope_deg=90 if kind == "square" else 30)
    for fixture in (BARE, BARE.turned_over("left to right")):
        setup = tp.Setup(fixture, [tp.contour(shape, RACK[0], depth=tp.through(0.2), tabs=wanted)])
        text = tp.program_text(setup)
        found = left(monkeypatch, text, fixture, list(setup.cutters))
        assert len(found) == 5
        assert [tab.width for tab in found] == pytest.approx([6.5] * 5, abs=0.02)
        assert [tab.thickness for tab in found] == pytest.approx([3.2] * 5, abs=1e-3)
        assert simulate(text, fixture, setup.cutters, cell=0.5).ok


@pytest.mark.parametrize(("width", "weak"), [(1.9, 1), (1.99, 1), (2.0, 0), (2.1, 0)])
def test_narrowest(width, weak):
    found = of_tabs(judge(around(square(100, round(106 + width, 3), -14))))
    assert [finding.code for finding in found] == ["weak-tab"] * weak
    if weak:
        assert found[0].amount == pytest.approx(width, abs=0.01) and found[0].limit == 2.0
        assert found[0].severity == "damage"


@pytest.mark.parametrize(("thick", "weak"), [(0.5, 1), (0.99, 1), (1.0, 0), (1.2, 0)])
def test_thinnest(thick, weak):
    found = of_tabs(judge(around(square(100, 114, round(-18 + thick, 3)))))
    assert [finding.code for finding in found] == ["weak-tab"] * weak
    if weak:
        assert found[0].amount == pytest.approx(thick, abs=0.001) and found[0].limit == 1.0


def test_a_tab_weakened_later_is_blamed_on_the_line_that_weakened_it():
    """The line that left it was named (once a fault)."""
    more = "G0 X60 Y30\nG0 Z1\nG1 Z-17.4 F300\nG1 X160 F901\nG0 Z10\n"
    text = around(square(100, 114, -14), more=more)
    (found,) = of_tabs(judge(text))
    assert found.code == "weak-tab" and found.amount == pytest.approx(0.6, abs=0.003)
    assert text.splitlines()[found.line - 1] == "G1 X160 F901"
    left = 1 + text.splitlines().index("G1 Z-14")
    assert f"line {left}, 8.0 mm wide and 4.00 mm thick" in found.message


def test_thin_board_has_thinner_tabs():
    """15 % of 4 mm: 0.6 mm."""
    thin = Fixture(board=tp.Board(width=240, height=140, thickness=4))
    for thick, weak in ((0.5, 1), (0.65, 0)):
        text = around(square(100, 114, -4 + thick)).replace("Z-18.2", "Z-4.2").replace("Z-9", "Z-2")
        assert len(of_tabs(judge(text, thin))) == weak


def test_wide_tab_may_hold_with_a_thin_middle(monkeypatch):
    """A later groove across a tab lowers it: what stands is measured, not what was spared."""
    groove = "G0 X107 Y20\nG0 Z1\nG1 Z-15.5 F300\nG1 Y40 F900\nG0 Z10\n"
    (one,) = left(monkeypatch, around(square(90, 124, -14), more=groove))
    assert one.thickness == pytest.approx(4.0, abs=1e-3)
    along = "G0 X60 Y30\nG0 Z1\nG1 Z-15.5 F300\nG1 X160 F900\nG0 Z10\n"
    (one,) = left(monkeypatch, around(square(90, 124, -14), more=along))
    assert one.thickness == pytest.approx(2.5, abs=1e-3)


def test_tab_narrowed_by_a_later_cut(monkeypatch):
    """A through slot beside the tab takes 5 of its 8 mm."""
    more = "G0 X94 Y30\nG0 Z-9\nG1 Z-18.2 F300\nG1 X105 F900\nG0 Z10\n"
    text = around(square(100, 114, -14), more=more)
    (one,) = left(monkeypatch, text, cell=0.25)
    assert one.width == pytest.approx(3.0, abs=0.3)


@pytest.mark.parametrize(("more", "code"), [
    ("G0 X60 Y30\nG0 Z1\nG1 Z-18.2 F300\nG1 X160 F900\nG0 Z10\n", "tab-cut"),
    ("G0 X60 Y30\nG0 Z1\nG1 Z-17.9 F300\nG1 X160 F900\nG0 Z10\n", "tab-cut"),
    ("G0 X60 Y30\nG0 Z1\nG1 Z-17.3 F300\nG1 X160 F900\nG0 Z10\n", "weak-tab"),
    ("G0 X60 Y30\nG0 Z1\nG1 Z-16.9 F300\nG1 X160 F900\nG0 Z10\n", None),
    ("G0 X60 Y31.5\nM5\nT2 M6\nM3 S18000\nG4 P2\nG0 Z1\nG1 Z-18.2 F300\nG1 X160 F900\nG0 Z10\n", "tab-cut"),
    ("G0 X60 Y38\nG0 Z1\nG1 Z-9 F300\nG1 X160 F900\nG0 Z10\n", None),
])  # fmt: skip
def test_later_cut_along_the_tab(more, code):
    text = around(square(100, 114, -14), more=more)
    found = of_tabs(judge(text))
    assert [finding.code for finding in found] == ([code] if code else [])
    if code == "tab-cut":
        assert text.splitlines()[found[0].line - 1] == "G1 X160 F900"
        assert "line 15" in found[0].message and found[0].limit == pytest.approx(4.0, abs=1e-3)


TABBED = around(square(100, 114, -14))
BEGIN, END = "G21 G90 G17\n{tool}\nM3 S16000\nG4 P2\nG0 Z10\n", "M5\nM30\n"


def in_two(more, fixture=BARE, first=TABBED, tool="T1 M6"):
    """What is found of tabs in a second program that goes on in the wood of the first."""
    report = tp.verify([([first, BEGIN.format(tool=tool) + more + END], fixture)], RACK, cell=0.5)
    return [each for each in report.findings if each.finding.code in TABS]


@pytest.mark.parametrize(("more", "code"), [
    ("G0 X60 Y30\nG0 Z1\nG1 Z-18.2 F300\nG1 X160 F900\nG0 Z10\n", "tab-cut"),
    ("G0 X60 Y30\nG0 Z1\nG1 Z-17.9 F300\nG1 X160 F900\nG0 Z10\n", "tab-cut"),
    ("G0 X60 Y30\nG0 Z1\nG1 Z-17.3 F300\nG1 X160 F900\nG0 Z10\n", "weak-tab"),
    ("G0 X60 Y30\nG0 Z1\nG1 Z-16.9 F300\nG1 X160 F900\nG0 Z10\n", None),
    ("G0 X60 Y38\nG0 Z1\nG1 Z-9 F300\nG1 X160 F900\nG0 Z10\n", None),
    ("G0 X60 Y90\nG0 Z1\nG1 Z-9 F300\nG1 X160 F900\nG0 Z10\n", None),
    ("G0 X60 Y31.5\nG0 Z1\nG1 Z-18.2 F300\nG1 X160 F900\nG0 Z10\n", "tab-cut"),
])  # fmt: skip
def test_a_second_program_knows_the_tabs_of_the_first(more, code):
    tool = "T2 M6" if "Y31.5" in more else "T1 M6"
    found = in_two(more, tool=tool)
    assert [each.finding.code for each in found] == ([code] if code else [])
    if code:
        (each,) = found
        assert each.side == "front, program 2" and each.finding.line == 9
        assert "earlier program" in each.finding.message and "line 15" in each.finding.message
        assert each.finding.severity == ("danger" if code == "tab-cut" else "damage")


def test_a_third_program_does_not_blame_itself_for_the_second():
    cut = BEGIN.format(tool="T1 M6") + "G0 X60 Y30\nG0 Z1\nG1 Z-18.2 F300\nG1 X160 F900\nG0 Z10\n" + END
    report = tp.verify([([TABBED, cut, cut], BARE)], RACK, cell=0.5)
    assert [each.side for each in report.findings if each.finding.code in TABS] == ["front, program 2"]


def test_tabs_of_another_program_may_go_once_screws_are_driven_or_the_fixture_is_another():
    """Then others hold what they held."""
    cut = "G0 Z12\nG0 X60 Y30\nG0 Z1\nG1 Z-18.2 F300\nG1 X160 F900\nG0 Z12\n"
    drive = "M5\n(MSG, screw the part down)\nM0\nM3 S16000\nG4 P2\n"
    held = replace(BARE, screws=screws([(120, 70)], head_diameter=8, height=2, driven_at="screw the part down"))
    first = TABBED.replace("G0 Z10", "G0 Z12")
    assert in_two(drive + cut, held, first) == []
    assert in_two(cut, held, first.replace("M5\nM30", f"{drive}M5\nM30")) == []
    assert [each.finding.code for each in in_two(cut + drive, held, first)] == ["tab-cut"]
    other = replace(BARE, screws=screws([(120, 70)], head_diameter=8, height=2))
    sides = [(first, BARE), (BEGIN.format(tool="T1 M6") + cut + END, other)]
    assert "tab-cut" not in tp.verify(sides, RACK, cell=0.5).codes()


def test_raised_no_longer_than_the_cutter_leaves_nothing():
    for x1, width in ((105, -1.0), (106, 0.0)):
        (one,) = of_tabs(judge(around(square(100, x1, -14))))
        assert one.code == "weak-tab" and one.amount == pytest.approx(width, abs=0.01)


def test_tab_over_an_opening_of_the_other_side():
    """A recess 15 mm deep from the front crosses the outline: of a tab over it nothing is left."""
    recess = "G21 G90\nT1 M6\nM3 S16000\nG4 P2\nG0 Z10\nG0 X133 Y15\nG0 Z1\nG1 Z-8 F300\nG1 Y45 F900\nG1 Z-15 F300\n"
    stock = judge(recess + "G1 Y15 F900\nG0 Z10\nM5\nM30\n").stock.turned_over("left to right")
    back = BARE.turned_over("left to right")
    whole = around(square(130, 144, -14))
    assert not of_tabs(judge(whole, back, stock))
    (one,) = of_tabs(judge(around(square(101, 113, -14)), back, stock))
    assert one.code == "weak-tab" and one.amount == pytest.approx(0.0, abs=1e-6)


def test_tab_that_ends_where_the_cut_began(monkeypatch):
    """The last round ends raised over its own beginning."""
    text = around("").replace("G1 X40\nG1 Y30\nG0 Z10", "G1 X40\nG1 Y44\nG1 Z-14\nG1 Y30\nG0 Z10")
    (one,) = left(monkeypatch, text)
    assert one.width == pytest.approx(8.0, abs=1e-3) and one.place == pytest.approx((40, 37))
    assert judge(text).codes() == ("weak-hold",), "one tab joins such a cover and does not hold it"


def test_tabs_lifted_over(monkeypatch):
    """A cut that stops, goes on behind and meets wood that earlier rounds have lowered is a tab all the same."""
    found = left(monkeypatch, planted.LIFTED)
    assert [(tab.width, tab.thickness) for tab in found] == [pytest.approx((10.0, 5.0), abs=1e-3)] * 2
    cut = planted.LIFTED.replace("M5\n", "G0X60Y40\nG0Z-12.5\nG1Z-18.2F300\nX150F1000\nG0Z8\nM5\n")
    (one,) = of_tabs(judge(cut))
    assert one.code == "tab-cut" and cut.splitlines()[one.line - 1] == "X150F1000"


def test_same_tab_in_two_rounds_is_one(monkeypatch):
    text = around(square(100, 114, -14))
    second = text.replace("G1 X40\nG1 Y30\nG0 Z10", f"G1 X40\nG1 Y30\n{square(100, 114, -14)}\nG1 X200\nG0 Z10")
    assert len(left(monkeypatch, second)) == 1
    assert not of_tabs(judge(second))


def test_tabs_that_go_after_screws_are_driven():
    """Then they have done their work."""
    more = "M5\n(MSG, screw the part down)\nM0\nM3 S16000\nG4 P2\nG0 Z12\nG0 X60 Y30\nG0 Z1\nG1 Z-18.2 F300\n"
    text = around(square(100, 114, -14), more=more + "G1 X160 F900\nG0 Z12\n").replace("G0 Z10", "G0 Z12")
    held = replace(BARE, screws=screws([(120, 70)], head_diameter=8, height=2, driven_at="screw the part down"))
    assert judge(text, held).codes() == ("weak-hold",), "until then one tab alone is to hold the cover"
    assert {"tab-cut", "loose-piece"} <= set(judge(text).codes())


# What rises and is no tab.
def plunged(*places: float) -> str:
    return "".join(f"G1 X{x} F900\nG1 Z-18.2 F300\nG1 Z-3\n" for x in places)


def slots(height: float, *places: float) -> str:
    cut = "G0 X{} Y60\nG0 Z{}\nG1 Z-18.2 F300\nG1 X{} F900\nG0 Z10\n"
    return "".join(cut.format(x, height, x + 12) for x in places)


PECKED = "".join(f"G98 G83 X{x} Y60 Z-18.4 R1 Q5 F300\nG80\n" for x in (60, 68, 76, 84))
TURNS = "".join(f"G3 X72 Y60 Z-{z} I-2 J0 F900\n" for z in (4, 8, 12, 16, 18.2))
SOUND = {
    "plunges in a row, then the slot": "G0 X60 Y60\nG0 Z1\n" + plunged(60, 67, 74, 81, 88)
    + "G1 X60\nG1 Z-18.2 F300\nG1 X88 F900\n",
    "pecked holes close together": "M5\nT3 M6\nM3 S9000\nG4 P2\n" + PECKED,
    "a slot in a zigzag ramp": "G0 X60 Y60\nG0 Z0\nG1 X90 Z-6 F900\nG1 X60 Z-12\nG1 X90 Z-18.2\nG1 X60\n",
    "a slot there and back, raised between": "G0 X60 Y60\nG0 Z1\nG1 Z-18.2 F300\nG1 X84 F900\nG1 Z-6\nG1 X60\n"
    "G1 Y60.4\nG1 Z-18.2 F300\nG1 X84 F900\n",
    "a pocket with rings joined by a lift in the wood": "G0 X70 Y60\nG0 Z1\nG1 Z-18.2 F300\nG1 X72 F900\nG1 Y62\n"
    "G1 X68\nG1 Y58\nG1 X72\nG1 Z-4\nG1 X80 Y70\nG1 Z-18.2 F300\nG1 X60 F900\nG1 Y50\nG1 X80\nG1 Y70\nG1 Z-4\n"
    "G1 X76 Y66\nG1 Z-18.2 F300\nG1 X64 F900\nG1 Y54\nG1 X76\nG1 Y66\n",
    "slots in a row, whole webs between": slots(1, 60, 84, 108),
    "slots in a row, the webs lowered by a groove before": "G0 X60 Y60\nG0 Z1\nG1 Z-9 F300\nG1 X130 F900\nG0 Z10\n"
    + slots(-8, 60, 84, 108),
    "a helix to the underside": f"G0 X72 Y60\nG0 Z0\n{TURNS}G3 X72 Y60 I-2 J0\n",
    "half-depth cut that rises": "G0 X60 Y60\nG0 Z1\nG1 Z-9 F300\nG1 X80 F900\nG1 Z-5\nG1 X94\nG1 Z-9\nG1 X120\n",
    "an arc up and down in the upright plane": "G0 X60 Y60\nG0 Z1\nG1 Z-9 F300\nG18\nG1 X70 F900\n"
    "G3 X90 Z-9 I10 K0\nG17\n",
}  # fmt: skip


@pytest.mark.parametrize("name", SOUND)
def test_no_tab_where_none_is_meant(name):
    text = f"G21 G90 G17\nT1 M6\nM3 S16000\nG4 P2\nG0 Z10\n{SOUND[name]}G0 Z10\nM5\nM30\n"
    report = judge(text, replace(BARE, grips=(BOARD.outline,)))
    assert not of_tabs(report), str(report)


def test_nested_outlines_one_after_the_other(monkeypatch):
    """Three frames in one another, two tabs each, no finding, and six tabs."""
    shapes = [box(120 - w, 70 - h, 120 + w, 70 + h) for w, h in ((25, 15), (55, 32), (95, 52))]
    steps = [tp.contour(s, RACK[0], depth=tp.through(0.2), tabs=tp.Tabs(count=2, width=6, height=3)) for s in shapes]
    setup = tp.Setup(BARE, steps)
    text = tp.program_text(setup)
    assert simulate(text, BARE, setup.cutters, cell=0.5).ok
    assert len(left(monkeypatch, text, BARE, list(setup.cutters))) == 6


def test_ball_cutter_leaves_a_tab_too(monkeypatch):
    """At its top the tab is as narrow as the ball is wide at that height, here at its full width."""
    rack = [Cutter(1, ball(6), 1200, 16000, cutting_length=25)]
    deep = around(square(100, 114, -14)).replace("Z-18.2", "Z-20")
    (one,) = left(monkeypatch, deep, replace(BARE, spoilboard_depth=2.5), rack)
    assert one.width == pytest.approx(8.0, abs=0.1) and one.thickness == pytest.approx(4.0, abs=0.05)


@pytest.mark.parametrize(("tabs", "found"), [(4, 0), (3, 1), (5, 1), (None, 0)])
def test_as_many_as_are_meant(tabs, found):
    part = Part(board=BOARD, front=[Parting(area=box(43, 33, 197, 107), waste="outside", tabs=tabs)])
    report = simulate(planted.FOUR, BARE, RACK, cell=0.5, part=part)
    assert len([f for f in report.findings if f.code == "tab-count"]) == found
    if found:
        (one,) = of_tabs(report)
        assert (one.amount, one.limit) == (4.0, tabs)


def test_count_is_not_judged_before_the_cut_is_through():
    part = Part(board=BOARD, front=[Parting(area=box(43, 33, 197, 107), waste="outside", tabs=4)])
    half = planted.FOUR.replace("Z-18.2", "Z-9").replace("Z-14", "Z-8")
    assert "tab-count" not in simulate(half, BARE, RACK, cell=0.5, part=part).codes()
    back = Part(board=BOARD, back=part.front)
    assert "tab-count" not in simulate(planted.FOUR, BARE, RACK, cell=0.5, part=back).codes()


def test_count_inside_an_opening():
    shape = tp.circle(60, (120, 70))
    for count in (2, 3):
        tabs = tp.Tabs(count=count, width=6, height=4)
        setup = tp.Setup(BARE, [tp.contour(shape, RACK[0], depth=tp.through(0.2), side="inside", tabs=tabs)])
        part = Part(board=BOARD, front=[Parting(area=shape, waste="inside", tabs=3)])
        report = simulate(tp.program_text(setup), BARE, setup.cutters, cell=0.5, part=part)
        assert report.codes() == (() if count == 3 else ("tab-count",)), str(report)


def test_said_in_a_line():
    report = judge(planted.FOUR)
    assert "4 tabs stand, 8 mm wide and 4 mm thick." in str(report)
    assert "tab" not in str(judge(planted.FOUR.replace("Z-18.2", "Z-9").replace("Z-14", "Z-8")))


def test_width_holds_for_any_direction(monkeypatch):
    """A tab on a slanting side, its ends where they fall."""
    rng = np.random.default_rng(3)
    for _ in range(12):
        x, y = rng.uniform(90, 150, 2).round(2), rng.uniform(40, 100, 2).round(2)
        way = hypot(x[1] - x[0], y[1] - y[0])
        if way < 40:
            continue
        one, other = 12 / way, 26 / way
        at = [(x[0] + s * (x[1] - x[0]), y[0] + s * (y[1] - y[0])) for s in (0, one, other, 1)]
        places = [f"X{px:.3f} Y{py:.3f}" for px, py in at]
        text = (
            f"G21 G90\nT1 M6\nM3 S16000\nG4 P2\nG0 Z10\nG0 {places[0]}\nG0 Z1\nG1 Z-18.2 F300\nG1 {places[1]} F900\n"
            f"G1 Z-15\nG1 {places[2]}\nG1 Z-18.2\nG1 {places[3]}\nG0 Z10\nM5\nM30\n"
        )
        (tab,) = left(monkeypatch, text, rack=[Cutter(1, flat(6), 1200, 16000, cutting_length=25)])
        assert tab.width == pytest.approx(8.0, abs=0.01) and tab.thickness == pytest.approx(3.0, abs=0.001)


@pytest.mark.parametrize(("points", "inner"), [(5, 15.4), (6, 15.4), (8, 19.6)])
def test_wood_in_the_tips_of_a_star_is_no_tab(points, inner):
    """A round cutter leaves the tips; its axis has no place between their walls. Tabs elsewhere are counted."""
    turns = np.pi / points * np.arange(2 * points)
    far = np.where(np.arange(2 * points) % 2, 28.0, inner)
    star = Polygon(np.column_stack([60 + far * np.cos(turns), 50 + far * np.sin(turns)]))
    fixture = Fixture(board=tp.Board(width=120, height=100, thickness=9.3))
    cut = tp.contour(star, Cutter(1, flat(6), 1200, 18000), depth=tp.through(0.3), side="inside", skin=0.4)
    setup = tp.Setup(fixture, [cut])
    text, part = tp.program_text(setup), tp.intended_part(setup)
    assert not tp.simulate(text, fixture, setup.cutters, part=part).findings
    meant = replace(part, front=[replace(part.front[0], tabs=2)])
    (finding,) = tp.simulate(text, fixture, setup.cutters, part=meant).findings
    assert (finding.code, finding.amount) == ("tab-count", 0.0)
