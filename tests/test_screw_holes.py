"""Screws and their holes, which say the same thing twice: where a screw goes, and how wide it is."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

import toolpaths as tp

BOARD = tp.Board(width=240, height=140, thickness=12, name="beech")
DRILL = tp.Cutter(1, tp.drill_point(3), 400, 9000, cutting_length=30)
FLAT = tp.Cutter(2, tp.flat(6), 1500, 18000, plunge_mm_min=500, cutting_length=20)
RACK = [DRILL, FLAT]
DRIVE = "Drive the four screws"
CORNERS = [(12, 12), (228, 12), (12, 128), (228, 128)]
SCREWS = tp.screws(CORNERS, head_diameter=9, height=3, driven_at=DRIVE)
SIDE = tp.Fixture(board=BOARD, spoilboard_depth=0.5, screws=SCREWS, held_meanwhile="clamps at both ends")
CUT = tp.pocket(tp.rectangle(60, 40, (120, 70)), FLAT, depth=4)


def program(places, *, depth=8.0, drill=None, then=(CUT,), fixture=SIDE):
    holes = [tp.drill(list(places), drill or DRILL, depth=depth, name="pilots")] if places else []
    stops = [tp.stop(DRIVE)] if any(screw.driven_at for screw in fixture.screws) else []
    return tp.program_text(tp.Setup(fixture, [*holes, *stops, *then]))


def judged(text, fixture=SIDE, **more):
    """What is found but for how firmly screws hold, and for stops that a test leaves out."""
    found = tp.simulate(text, fixture, RACK, cell=0.5, **more).findings
    return [f for f in found if f.code not in ("screw-stop", "weak-hold")]


def said(findings):
    return [(finding.severity, finding.code) for finding in findings]


def test_screws_over_their_holes_and_screws_that_have_none_are_sound():
    assert judged(program(CORNERS)) == []
    assert judged(program([])) == []
    # Other holes have nothing to do with screws.
    assert judged(program([(60, 20), (100, 120)])) == []


@pytest.mark.parametrize("lost", range(4))
def test_a_screw_without_a_hole_among_others_that_have_one_is_found(lost):
    (finding,) = judged(program([at for number, at in enumerate(CORNERS) if number != lost]))
    assert (finding.severity, finding.code) == ("damage", "screw-hole")
    assert finding.place[:2] == CORNERS[lost]


@pytest.mark.sample(3)
@pytest.mark.parametrize("moved", range(4))
@pytest.mark.parametrize("by", [0.4, 3.0, 10.0, 37.0])
def test_a_hole_beside_its_screw_is_found_with_how_far(moved, by):
    places = [(x, y + (by if y < 70 else -by) * (n == moved)) for n, (x, y) in enumerate(CORNERS)]
    (finding,) = judged(program(places))
    assert (finding.severity, finding.code) == ("damage", "screw-hole")
    assert finding.amount == pytest.approx(by)
    assert f"{by:.2f} mm beside" in finding.message and finding.place[:2] == CORNERS[moved]


def test_by_so_much_a_screw_driven_by_hand_is_off_anyway():
    assert judged(program([(x + 0.2, y) for x, y in CORNERS])) == []


def test_a_hole_in_the_way_of_a_cutter_is_danger_for_the_head_that_will_stand_there():
    across = tp.groove([(60, 30), (180, 30)], FLAT, depth=2)
    (finding,) = judged(program([(12, 12), (191, 30), *CORNERS[2:]], then=[across]))
    assert said([finding]) == [("damage", "screw-hole")]
    text = program([(12, 12), (191, 30), *CORNERS[2:]], then=[tp.groove([(60, 30), (185, 30)], FLAT, depth=2)])
    (finding,) = judged(text)
    assert said([finding]) == [("danger", "screw-hole")]

    assert "in the way on line" in finding.message


def test_what_the_part_means_as_holes_is_missed_even_if_no_screw_has_one():
    part = tp.intended_part(tp.Setup(SIDE, [tp.drill(CORNERS, DRILL, depth=8), tp.stop(DRIVE), CUT]))
    found = said(judged(program([]), part=part))
    assert ("damage", "screw-hole") in found and ("damage", "leftover") in found
    assert found.count(("damage", "screw-hole")) == 1


def test_one_screw_alone_is_a_doubt_where_a_hole_lies_under_its_head():
    one = replace(SIDE, screws=SCREWS[:1])
    assert judged(program([(12, 12)], fixture=one), one) == []
    assert judged(program([(30, 12)], fixture=one), one) == []
    assert said(judged(program([(14, 12)], fixture=one), one)) == [("doubt", "screw-hole")]


def test_a_hole_made_behind_the_stop_is_none_of_its_screws():
    bare = replace(SIDE, screws=(), held_meanwhile="")
    work = [tp.drill(CORNERS[:3], DRILL, depth=8), tp.stop(DRIVE), tp.drill(CORNERS[3:], DRILL, depth=8), CUT]
    headless = tp.program_text(tp.Setup(bare, work)).partition("\nG17")[2]
    found = said(judged(f"G17{headless}"))
    assert set(found) == {("danger", "hold-down"), ("damage", "screw-hole")}


@pytest.mark.parametrize("turned", ["left to right", "top to bottom"])
@pytest.mark.parametrize("wanting", [0, 1])
def test_screws_of_the_back_go_into_holes_of_the_front(turned, wanting):
    front = tp.Fixture(board=BOARD, spoilboard_depth=0.5, grips=(BOARD.outline,))
    back = front.turned_over(turned, screws=tp.screws(CORNERS, head_diameter=9, height=3))
    holes = tp.drill(CORNERS[wanting:], DRILL, depth=tp.through(0.4), depth_of="tip")
    first = tp.Setup(front, [holes])
    second = tp.Setup(back, [CUT], after=first)
    texts = [(tp.program_text(setup), setup.fixture) for setup in (first, second)]
    found = [(f.side, f.finding.severity, f.finding.code) for f in tp.verify(texts, RACK, cell=0.5).findings]
    assert found == [("back", "doubt", "screw-hole")] * wanting
    # Holes that do not come through are none for the screws of the back, though the part means them.
    blind = tp.Setup(front, [tp.drill(CORNERS[wanting:], DRILL, depth=6)])
    over = tp.Setup(back, [CUT], after=blind)
    texts = [(tp.program_text(setup), setup.fixture) for setup in (blind, over)]
    assert tp.verify(texts, RACK, cell=0.5, part=tp.intended_part(blind, over)).findings == ()


@pytest.mark.parametrize("wanting", [0, 1])
def test_holes_of_an_earlier_file_count(wanting):
    setup = tp.Setup(SIDE, [tp.drill(CORNERS[wanting:], DRILL, depth=8), tp.stop(DRIVE), CUT])
    texts = tp.texts_by_cutter(setup)
    found = [(f.side, f.finding.code) for f in tp.verify([(texts, SIDE)], RACK, cell=0.5).findings]
    assert found == [("front, program 1-T1", "screw-hole")] * wanting


def held(**more):
    screws = tuple(replace(screw, **more) for screw in SCREWS)
    return replace(SIDE, screws=screws)


@pytest.mark.sample(3)
@pytest.mark.parametrize(
    ("facts", "depth", "found"),
    [
        ({"shank_diameter": 4, "length": 30}, 8, []),
        ({"shank_diameter": 2.5}, 8, []),
        ({"shank_diameter": 2.5, "length": 8.5}, 8, []),
        ({"shank_diameter": 2.5, "length": 7.5}, 8, ["screw-hole"] * 4),
        ({"shank_diameter": 3, "length": 7.5}, 8, []),
        ({"head_diameter": 3}, 8, []),
        ({"head_diameter": 3}, tp.through(0.4), ["screw-hole"] * 4),
        ({"shank_diameter": 2.5, "length": 14}, tp.through(0.4), []),
        ({"shank_diameter": 2.5, "length": 12}, tp.through(0.4), ["screw-hole"] * 4),
    ],
)
def test_a_hole_in_which_a_screw_does_not_hold_is_danger(facts, depth, found):
    fixture = held(**facts)
    report = judged(program(CORNERS, depth=depth, fixture=fixture), fixture)
    assert said(report) == [("danger", code) for code in found]


def test_a_screw_that_comes_out_below_the_spoilboard_is_a_doubt():
    thick = replace(held(shank_diameter=4, length=31), spoilboard_thickness=18)
    assert said(judged(program([], fixture=thick), thick)) == [("doubt", "screw-hole")]
    assert judged(program([], fixture=thick), replace(thick, screws=held(length=30).screws)) == []


def test_a_screw_in_a_counterbore_sits_in_the_narrow_hole_below():
    wide = tp.bore(CORNERS, 10, FLAT, depth=4)
    text = tp.program_text(tp.Setup(SIDE, [wide, tp.drill(CORNERS, DRILL, depth=10), tp.stop(DRIVE), CUT]))
    assert judged(text, held(shank_diameter=4, length=30)) == []


def test_the_check_reads_places_of_the_board_wherever_the_zero_is():
    centred = replace(SIDE, zero_at="centre", zero_on="spoilboard")
    assert judged(program(CORNERS, fixture=centred), centred) == []
    (finding,) = judged(program(CORNERS[1:], fixture=centred), centred)
    assert np.allclose(finding.place, (12 - 120, 12 - 70, 12))
