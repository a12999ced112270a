"""Tabs asked for and tabs that stand: how many across each cut, how wide and how high, wherever the part says so."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace

import numpy as np
import pytest
import shapely
from shapely import Point, box

import toolpaths as tp

BOARD = tp.Board(width=300, height=200, thickness=18.2)
SIDES = {
    "front": tp.Fixture(board=BOARD),
    "back": tp.Fixture(board=BOARD).turned_over("left to right"),
    "zero below": tp.Fixture(board=BOARD, zero_on="spoilboard"),
}
T1 = tp.Cutter(1, tp.flat(6), feed_mm_min=1500, spindle_rpm=18000)
T2 = tp.Cutter(2, tp.flat(3), feed_mm_min=1200, spindle_rpm=18000)
ONE = box(40, 40, 130, 110)
SHAPES = {
    "one": [ONE],
    "two": [box(30, 30, 100, 100), box(140, 30, 220, 150)],
    "three": [box(20, 20, 80, 80), tp.circle(70, (150, 60)), box(200, 20, 270, 170)],
    "with a hole": [box(30, 30, 230, 170).difference(box(80, 70, 180, 130))],
    "one of several parts": [shapely.union(ONE, box(160, 40, 260, 150))],
}


def judged(setup: tp.Setup, text: str = "", part: tp.Part | None = None) -> tp.Report:
    part = part or tp.intended_part(setup)
    return tp.simulate(text or tp.program_text(setup), setup.fixture, [T1, T2], part=part, cell=0.5)


def codes(report: tp.Report) -> Counter:
    return Counter(finding.code for finding in report)


@pytest.mark.sample(4, long=19)
@pytest.mark.parametrize("fixture", SIDES.values(), ids=SIDES)
@pytest.mark.parametrize("depth", [tp.through(0.3), 11.3], ids=str)
@pytest.mark.parametrize("side", ["outside", "inside", "on"])
@pytest.mark.parametrize("shapes", SHAPES.values(), ids=SHAPES)
def test_tabs_are_meant_on_every_ring_however_deep_and_on_whichever_side(shapes, side, depth, fixture):
    """The rings of several polygons came out as none, and beside no waste the part knew of no tabs (once faults)."""
    tabs = tp.Tabs(count=3, width=7, height=3.5)
    setup = tp.Setup(fixture, [tp.contour(shapes, T1, depth=depth, side=side, tabs=tabs)])
    report = judged(setup)
    assert not set(codes(report)) - {"loose-piece", "cuts-loose"}, str(report)
    (feature,) = [*tp.intended_part(setup).front, *tp.intended_part(setup).back]
    rings = sum(1 + len(each.interiors) for shape in shapes for each in shapely.get_parts(shape))
    assert (feature.tabs, feature.tab_width, feature.tab_height) == (3 * rings, 7, 3.5)


def test_a_tab_more_or_less_than_meant_is_found_in_a_blind_cut_too():
    setup = tp.Setup(SIDES["front"], [tp.contour(ONE, T1, depth=12, tabs=tp.Tabs(count=3, width=7, height=3.5))])
    part = tp.intended_part(setup)
    for number in (2, 4):
        wrong = replace(part, front=[replace(part.front[0], tabs=number)])
        (found,) = judged(setup, part=wrong)
        assert (found.code, found.severity, found.amount, found.limit) == ("tab-count", "damage", 3, number)
    without = replace(part, front=[replace(part.front[0], tabs=0)])
    assert set(codes(judged(setup, part=without))) == {"leftover"}


ROUND = [(60, 20), (100, 20), (140, 20), (180, 50), (140, 80), (100, 80), (60, 80), (20, 50)]


@pytest.mark.sample(6)
@pytest.mark.parametrize("side", SIDES)
@pytest.mark.parametrize("missing", range(len(ROUND)))
def test_the_place_of_a_missing_tab_is_where_none_stands(side, missing):
    """The place that was said was that of a tab that stands (once a fault)."""
    shape = box(20, 20, 180, 80)
    all_, rest = (tp.Tabs(points=tuple(points), width=7, height=3.5)
                  for points in (ROUND, ROUND[:missing] + ROUND[missing + 1 :]))  # fmt: skip
    part = tp.intended_part(tp.Setup(SIDES[side], [tp.contour(shape, T1, depth=12, tabs=all_)]))
    (found,) = judged(tp.Setup(SIDES[side], [tp.contour(shape, T1, depth=12, tabs=rest)]), part=part)
    assert (found.code, found.amount, found.limit) == ("tab-count", 7, 8)
    fixture = SIDES[side]
    at = np.array(found.place[:2]) + fixture.zero[:2]
    away = np.hypot(*(fixture.seen_from_front(at[None]) - ROUND).T)
    # The tabs are not evenly spaced, so that the middle of the stretch is not quite where the missing one was.
    assert away.argmin() == missing and away.min() < 20 and np.sort(away)[1] > 25


@pytest.mark.parametrize("side", ["outside", "on"])
def test_a_cut_that_stays_on_the_tabs_all_round_is_found(side):
    tabs = tp.Tabs(count=3, width=7, height=3.5)
    part = tp.intended_part(tp.Setup(SIDES["front"], [tp.contour(ONE, T1, depth=12, side=side, tabs=tabs)]))
    shallow = tp.Setup(SIDES["front"], [tp.contour(ONE, T1, depth=9, side=side)])
    assert set(codes(judged(shallow, part=part))) == {"tab-count"}


SIZES = {"less": (3.1, 1.0, "damage"), "much less": (1.5, 1.0, "damage"), "more": (6.0, 1.0, "doubt")}


@pytest.mark.sample(2)
@pytest.mark.parametrize(("height", "width", "severity"), SIZES.values(), ids=SIZES)
@pytest.mark.parametrize("depth", [tp.through(0.3), 11.3], ids=str)
def test_a_tab_of_another_height_is_found(height, width, severity, depth):
    def setup(high: float) -> tp.Setup:
        return tp.Setup(SIDES["front"], [tp.contour(ONE, T1, depth=depth, tabs=tp.Tabs(count=2, width=8, height=high))])

    report = judged(setup(height), part=tp.intended_part(setup(4.0)))
    found = [finding for finding in report if finding.code == "tab-size"]
    assert len(found) == 2 and {finding.severity for finding in found} == {severity}
    assert found[0].amount == pytest.approx(height, abs=0.003) and found[0].limit == 4


def test_a_narrower_tab_is_found_and_a_wider_one_only_if_it_is_too_long():
    def setup(wide: float) -> tp.Setup:
        return tp.Setup(
            SIDES["front"], [tp.contour(ONE, T1, depth=tp.through(0.3), tabs=tp.Tabs(count=2, width=wide, height=4))]
        )

    part = tp.intended_part(setup(8))
    (first, *others) = judged(setup(7), part=part)
    assert (first.code, first.severity, len(others)) == ("tab-size", "damage", 1)
    assert first.amount == pytest.approx(7, abs=0.1)
    assert judged(setup(9), part=part).ok


@pytest.mark.parametrize("at", [(70.0, 37.0), (100.0, 113.0)])
def test_a_tab_that_a_later_groove_lowers_is_blamed_on_the_groove(at):
    """8 x 4 mm were left and 8 x 1.5 stood, in silence (once a fault)."""
    tabs = tp.Tabs(width=8, height=4, points=(at, (127.0, 75.0)))
    along = [(at[0] - 12, at[1]), (at[0] + 12, at[1])]
    cut = [tp.contour(ONE, T1, depth=tp.through(0.3), tabs=tabs)]
    groove = tp.groove(along, T1, depth=18.2 - 1.5, from_depth=14.2 - 1, name="later")
    setup = tp.Setup(SIDES["front"], [*cut, groove])
    report = judged(setup, part=tp.intended_part(tp.Setup(SIDES["front"], cut)))
    (found,) = [finding for finding in report if finding.code == "tab-size"]
    assert found.amount == pytest.approx(1.5, abs=0.003)
    text = tp.program_text(setup).splitlines()
    began = next(number for number, line in enumerate(text, 1) if "later" in line and number > 20)
    assert found.line > began


def test_a_depth_that_is_all_of_the_board_is_said_as_through():
    """It made a cut through that the part took for a blind one (once a fault)."""
    hole = [(60, 60)]
    drill = tp.Cutter(4, tp.drill_point(5), feed_mm_min=600, spindle_rpm=8000)
    for depth, words in ((18.2, r"through\(0\.3\)"), (18.195, r"through\(0\.3\)"), (18.5, r"through\(0\.3\)"),
                         (18.6, r"through\(0\.4\)")):  # fmt: skip
        for make in (
            lambda depth: tp.contour(ONE, T1, depth=depth),
            lambda depth: tp.pocket(ONE, T1, depth=depth),
            lambda depth: tp.groove(ONE.exterior, T1, depth=depth),
            lambda depth: tp.bore(hole, 8, T1, depth=depth),
            lambda depth: tp.drill(hole, drill, depth=depth),
        ):
            with pytest.raises(tp.DoesNotFitError, match=words):
                tp.Setup(SIDES["front"], [make(depth)])
    tp.Setup(SIDES["front"], [tp.contour(ONE, T1, depth=18.1)])


def test_a_recess_as_deep_as_the_board_is_one_right_through():
    for depth in (18.2, tp.through(0), tp.through(0.3)):
        assert tp.Recess(area=ONE, depth=depth).goes_through(-BOARD.thickness)
    assert not tp.Recess(area=ONE, depth=18).goes_through(-BOARD.thickness)


def test_tabs_of_a_cut_along_lines_need_a_height_and_closed_lines():
    with pytest.raises(tp.InputError, match="tab_height"):
        tp.CutAlong(line=ONE.exterior, profile=tp.flat(6), depth=5, tabs=2)
    with pytest.raises(tp.InputError, match="closed lines"):
        tp.CutAlong(line=[(0, 0), (50, 0)], profile=tp.flat(6), depth=5, tabs=2, tab_height=2)
    with pytest.raises(tp.InputError, match="closed lines"):
        tp.CutAlong(line=Point(5, 5), profile=tp.flat(6), depth=5, tabs=2, tab_height=2)


@pytest.mark.parametrize("depth", [18.2, tp.through(0.3)], ids=str)
def test_tabs_in_an_opening_drawn_as_a_recess_are_told_how_to_be_meant(depth):
    tabs = tp.Tabs(count=3, width=7, height=3.5)
    setup = tp.Setup(SIDES["front"], [tp.contour(ONE, T1, depth=tp.through(0.3), side="inside", tabs=tabs)])
    part = tp.Part(board=BOARD, front=[tp.Recess(area=ONE.difference(ONE.buffer(-6)), depth=depth, corners=3)])
    found = [each for each in judged(setup, part=part) if each.code == "leftover" and "mm2" in each.message]
    assert len(found) >= 3 and all("Parting(..., tabs=...)" in each.message for each in found)
