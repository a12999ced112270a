"""Gouges and leftovers are found down to their resolution, at any size of the cells; sound walls are not blamed."""

from __future__ import annotations

import re
from dataclasses import replace

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from planted_part import PART, RACK, SLUG, SOUND, front
from shapely import affinity

from samples import examples
from toolpaths import (
    Board,
    CutAlong,
    Cutter,
    Fixture,
    Part,
    Parting,
    Recess,
    Tabs,
    ball,
    bull_nose,
    circle,
    contour,
    flat,
    groove,
    intended_part,
    pocket,
    program_text,
    rectangle,
    simulate,
    through,
    v_point,
)
from toolpaths.base.errors import InputError
from toolpaths.facts.features.slack import Slack
from toolpaths.facts.features.surfaces import grown
from toolpaths.facts.features.within_reach import reachable, reached
from toolpaths.judging.checks.part.target import highest, lowest
from toolpaths.judging.wood.field import grid_on
from toolpaths.making.plan.setup import Setup

BOARD = Board(width=160, height=100, thickness=18)
FIXTURE = Fixture(board=BOARD)
T1 = Cutter(1, flat(6), 1200, 16000, plunge_mm_min=400, step_down=6)
CELLS = (0.3, 1.0, 2.5)


def tray(wall: str = "", depth: float = 4.0, extra: str = "") -> str:
    """A program for a pocket 60 x 40 at (40, 30), its last round with one change of the upper wall."""
    rows = "\n".join(f"X{x}\nY{y}" for y, x in ((37, 97), (41, 43), (45, 97), (49, 43), (53, 97), (57, 43), (61, 97)))
    upper = wall or "X43"
    return (
        f"G21 G17 G90 G94\nG0 Z20\nT1 M6\nM3 S16000\nG4 P2\nG0 X43 Y33\nG0 Z2\nG1 Z-{depth:g} F400\nF1200\n{rows}\n"
        f"X43\nG1 X43 Y33\nX97\nY67\n{upper}\nY33\n{extra}G0 Z20\nM5\nM30\n"
    )


MEANT = Part(board=BOARD, front=[Recess(area=shapely.box(40, 30, 100, 70), depth=4, corners=3, name="tray")])


def judged(text: str, cell: float, part: Part = MEANT, cutter: Cutter = T1):
    return simulate(text, FIXTURE, [cutter], cell=cell, part=part)


@pytest.mark.parametrize("cell", CELLS)
def test_sound_tray_is_not_blamed(cell):
    report = judged(tray(), cell)
    assert report.ok, str(report)


@given(at=st.floats(45, 74), long=st.floats(0, 20), cell=st.sampled_from(CELLS))
@examples(30)
def test_wall_cut_into_by_a_tenth_over_2_mm_is_found_at_any_cell(at, long, cell):
    """The axis runs 0.1 too far out along 2 mm at the least; the cutter's round edge cuts a little farther."""
    bump = f"X{at + 2 + long:.3f}\nY67.1\nX{at:.3f}\nY67\nX43"
    report = judged(tray(bump), cell)
    assert report.codes() == ("gouge",), str(report)
    assert all(0.05 <= finding.amount <= 0.25 for finding in report.findings)


@given(depth=st.floats(4.04, 4.3), cell=st.sampled_from(CELLS))
@examples(20)
def test_floor_too_deep_by_a_twentieth_is_found_at_any_cell(depth, cell):
    text = tray().replace("Z-4 ", f"Z-{depth:.3f} ")
    report = judged(text, cell)
    assert report.codes() == ("gouge",)
    assert max(f.amount for f in report.findings) == pytest.approx(round(depth, 3) - 4, abs=2e-3)


@given(x=st.floats(105, 150), y=st.floats(10, 90), cell=st.sampled_from(CELLS))
@examples(20)
def test_prick_of_a_v_is_found_at_any_cell(x, y, cell):
    """0.05 deep it is 0.1 wide: between the centres of any cells."""
    prick = f"G0 Z20\nX{x:.3f} Y{y:.3f}\nZ2\nG1 Z-0.05 F400\n"
    v = Cutter(1, v_point(6, 90), 1200, 16000, plunge_mm_min=400)
    text = f"G21 G17 G90 G94\nG0 Z20\nT1 M6\nM3 S16000\nG4 P2\n{prick}G0 Z20\nM5\nM30\n"
    report = judged(text, cell, Part(board=BOARD), v)
    assert report.codes() == ("gouge",)
    # Under the tip, or at a cell centre that lies in the prick.
    assert report.findings[0].place == pytest.approx((x, y, -0.05), abs=0.05)


@pytest.mark.parametrize("off, found", [(0.02, False), (0.06, True)])
def test_within_is_the_limit_sideways_to_either_side(off, found):
    wide = judged(tray(f"X43\nG0 Z5\nX60 Y{67 + off}\nG1 Z-4\nX70\nG0 Z5\nX43 Y67\nG1 Z-4"), 1.0)
    assert ("gouge" in wide.codes()) is found, str(wide)
    narrow = judged(tray().replace("Y67\n", f"Y{67 - off}\n"), 1.0)
    assert ("leftover" in narrow.codes()) is found, str(narrow)


@pytest.mark.parametrize("off, found", [(0.02, False), (0.045, True)])
def test_within_is_the_limit_in_depth_to_either_side(off, found):
    assert ("gouge" in judged(tray(depth=4 + off), 1.0).codes()) is found
    assert ("leftover" in judged(tray(depth=4 - off), 1.0).codes()) is found


def test_area_depth_and_lines_of_a_gouge_are_right():
    """A plunge of the 6 mm cutter 2 deep beside the tray: 9 pi mm2."""
    text = tray(extra="G0 Z20\nG0 X130 Y50\nG0 Z2\nG1 Z-2 F400\n")
    (finding,) = judged(text, 0.1).findings
    assert finding.code == "gouge"
    assert finding.amount == pytest.approx(2)
    assert finding.lines == (text.splitlines().index("G1 Z-2 F400") + 1,)
    assert float(finding.message.split(" mm2")[0]) == pytest.approx(9 * np.pi, rel=0.02)


def test_corners_are_judged_by_the_radius_that_they_may_keep():
    sharp = replace(MEANT, front=[Recess(area=shapely.box(40, 30, 100, 70), depth=4, corners=1, name="tray")])
    report = judged(tray(), 0.3, sharp)
    assert report.codes() == ("leftover",)
    unsaid = replace(MEANT, front=[Recess(area=shapely.box(40, 30, 100, 70), depth=4, name="tray")])
    assert judged(tray(), 0.3, unsaid).ok


def test_room_too_narrow_for_the_cutter_is_no_corner():
    neck = shapely.union(shapely.box(40, 30, 100, 70), shapely.box(100, 48, 130, 52))
    part = replace(MEANT, front=[Recess(area=neck, depth=4, name="tray with a neck")])
    assert "leftover" in judged(tray(), 0.5, part).codes()


@pytest.mark.parametrize("x", [-2.99, -3.0, -8.0])
@pytest.mark.parametrize("cell", CELLS)
def test_a_cutter_deep_beside_the_board_gouges_only_what_it_reaches(cell, x):
    """A way in from outside: its tip lies off the board, next to cells of the part."""
    beside = f"G0 Z5\nG0 X{x} Y-10\nG1 Z-5 F400\nY110 F1200\n"
    fixture = replace(FIXTURE, overhang=20)
    report = simulate(tray(extra=beside), fixture, [T1], cell=cell, part=MEANT)
    assert "gouge" not in report.codes(), str(report)

    report = simulate(tray(extra=beside.replace(f"X{x}", "X-2.8")), fixture, [T1], cell=cell, part=MEANT)
    (found,) = (finding for finding in report.findings if finding.code == "gouge")
    assert found.amount > 0.1  # sideways, or where a cell shows it, in depth


def test_recess_never_cut_at_all_is_left_over():
    part = replace(MEANT, front=[*MEANT.front, Recess(area=shapely.box(120, 20, 140, 30), depth=2, name="slot")])
    report = judged(tray(), 1.0, part)
    assert report.codes() == ("leftover",)
    assert "slot" in report.findings[0].message


def test_what_lies_in_the_waste_is_not_judged():
    part = replace(MEANT, front=[*MEANT.front, Parting(area=shapely.box(0, 0, 110, 100), waste="outside")])
    text = tray(extra="G0 Z20\nG0 X130 Y50\nG0 Z2\nG1 Z-2 F400\n")
    assert "gouge" in judged(text, 0.5).codes()
    assert "gouge" not in judged(text, 0.5, part).codes()


@given(angle=st.floats(0, 360), cell=st.sampled_from([0.4, 1.7]))
@examples(15)
def test_parts_from_the_setup_agree_with_their_program_turned_any_way(angle, cell):
    shape = affinity.rotate(shapely.box(50, 30, 110, 60).union(circle(30, (80, 60))), angle)
    setup = Setup(FIXTURE, [pocket(shape, T1, depth=3), contour(circle(20, (25, 25)), T1, depth=2, side="outside")])
    report = simulate(program_text(setup), FIXTURE, setup.cutters, cell=cell, part=intended_part(setup))
    assert report.ok, str(report)


@pytest.mark.parametrize("profile", [flat(6), ball(6), bull_nose(6, 1), v_point(10, 60), v_point(10, 90, 1)], ids=str)
@given(x=st.floats(20, 140), y=st.floats(20, 80), depth=st.floats(0.5, 2.5), seed=st.integers(0, 99))
@examples(10)
def test_band_at_a_place_is_that_of_the_cell_there(profile, x, y, depth, seed):
    """Two ways to the same heights: point by point, and over a grid by the wood's own removal."""
    line = shapely.LineString([(30, 30), (x, y), (120, 60)])
    part = Part(board=BOARD, front=[CutAlong(line=line, profile=profile, depth=depth), *MEANT.front])
    slack = Slack(BOARD, -BOARD.thickness, part.within, np.zeros((0, 6)))
    low, high = lowest(part, FIXTURE, slack), highest(part, FIXTURE, slack)
    grid = grid_on(BOARD, 1.0)
    across, up = np.meshgrid(grid.xs(), grid.ys())
    places = np.stack([across.ravel(), up.ravel()], axis=1)
    assert np.allclose(low.over(grid).ravel(), low.at(places), atol=1e-5)
    # Near the end of what is judged by height, one may judge and the other not.
    one, other = high.over(grid).ravel(), high.at(places)
    both = np.isfinite(one) & np.isfinite(other)
    assert np.allclose(one[both], other[both], atol=1e-5)
    assert (np.isfinite(one) == np.isfinite(other)).mean() > 0.999


def test_grown_profile_is_the_profile_moved_outwards():
    rho = np.linspace(0, 3, 50)
    for profile in (flat(6), ball(6), bull_nose(6, 1), v_point(6, 60), v_point(6, 90, 1)):
        assert np.allclose(grown(profile, 0.2).height(rho + 0.1), profile.height(rho))


def test_reachable_of_a_rectangle_lacks_its_corners_only():
    """Opening of a rectangle by a disc: area less (4 - pi) r2 (reference 2.1)."""
    area = reachable(shapely.box(0, 0, 100, 60), 6)
    assert area.area == pytest.approx(6000 - (4 - np.pi) * 36, rel=1e-4)
    assert reachable(shapely.box(0, 0, 100, 60), 0).area == 6000
    # Asked of places alone it is the same: an L whose arm is narrower than the cutter, so that it stays in.
    room = shapely.union(shapely.box(0, 0, 60, 40), shapely.box(60, 10, 100, 20))
    area, places = reachable(room, 6), np.random.default_rng(1).uniform((-5, -5), (105, 45), (4000, 2))
    places = places[shapely.distance(area.boundary, shapely.points(places)) > 0.01]
    assert (reached(room, 6, places) == shapely.contains_xy(area, *places.T)).all()


@pytest.mark.parametrize("angle", [0, 33])
def test_square_ends_of_slots_as_wide_as_the_cutter_are_corners(angle):
    """A cross of a slot as wide as the cutter and a wider one: all four ends of each keep their corners."""
    drawn = shapely.union(shapely.box(77, 20, 83, 80), shapely.box(50, 46, 110, 55))
    drawn = affinity.rotate(drawn, angle, origin=(80, 50))
    area = reachable(drawn, 3)
    assert drawn.area - area.area == pytest.approx(8 * (1 - np.pi / 4) * 9, abs=0.3)
    places = np.random.default_rng(1).uniform((45, 15), (115, 85), (4000, 2))
    places = places[shapely.distance(area.boundary, shapely.points(places)) > 0.01]
    assert (reached(drawn, 3, places) == shapely.contains_xy(area, *places.T)).all()
    # An arm narrower than the cutter is none that it gets into.
    narrower = shapely.union(shapely.box(77.1, 20, 83, 80), shapely.box(50, 46, 110, 55))
    assert shapely.contains_xy(reachable(narrower, 3), 77.2, 20.1)


@pytest.mark.parametrize("radius", [1.5, 4, 12])
def test_walls_of_a_rounded_rectangle_are_no_chords_of_a_curve(radius):
    drawn = rectangle(60, 36, (80, 50), corner_radius=radius)
    assert Slack(BOARD, -18.0, 0.03, np.empty((0, 6))).sideways(drawn) < 0.03 + 0.005


def test_a_wall_of_a_rounded_rectangle_too_far_out_is_a_gouge():
    """Once long walls between drawn arcs were forgiven 0.05 mm more, as if they were chords."""
    setup = Setup(FIXTURE, [contour(rectangle(60, 36, (80, 50), corner_radius=1.5), T1, depth=2, side="inside")])
    text, part = program_text(setup), intended_part(setup)
    assert text.count("\nY35\n") == 1
    found = [
        simulate(one, FIXTURE, setup.cutters, cell=1.0, part=part).codes()
        for one in (text, text.replace("\nY35\n", "\nY34.94\n"))
    ]
    assert found[0] == () and "gouge" in found[1]


@pytest.mark.parametrize("angle", [8, 20, 36, 59, 90])
def test_what_a_corner_keeps_of_a_round_cutter_is_no_leftover_however_sharp_it_is(angle):
    """Between two walls at an angle a cutter of radius r leaves r2 (cot(a/2) - (pi - a) / 2) (reference 2.1)."""
    half = np.radians(angle / 2)
    drawn = shapely.Polygon([(10, 50), (110, 50 - 100 * np.tan(half)), (110, 50 + 100 * np.tan(half))])
    left = 9 * (1 / np.tan(half) - (np.pi / 2 - half))
    tip = shapely.box(0, 0, 60, 100)
    area = reachable(drawn, 3)
    assert (drawn & tip).area - (area & tip).area == pytest.approx(left, rel=0.01)
    places = np.random.default_rng(1).uniform((10, 40), (60, 60), (2000, 2))
    places = places[shapely.distance(area.boundary, shapely.points(places)) > 0.01]
    assert (reached(drawn, 3, places) == shapely.contains_xy(area, *places.T)).all()


@pytest.mark.sample(1)
@pytest.mark.parametrize(("mouth", "end"), [(5.9, 5.9), (7, 4), (4, 5), (3, 3)])
def test_an_arm_or_a_room_narrower_than_the_cutter_is_named_by_plan_and_judge(mouth, end):
    """However it narrows, unless to a tip: by the plan in a note, by the judge as a leftover."""
    arm = shapely.Polygon([(60, 50 - mouth / 2), (85, 50 - end / 2), (85, 50 + end / 2), (60, 50 + mouth / 2)])
    drawn = shapely.union(shapely.box(30, 30, 60, 70), arm)
    setup = Setup(FIXTURE, [pocket(drawn, T1, depth=3)])
    assert any("one gap" in note for note in setup.notes)
    report = simulate(program_text(setup), FIXTURE, setup.cutters, cell=1.0, part=intended_part(setup))
    assert "leftover" in report.codes()
    # A narrow room beside one that the cutter gets into is no corner of that.
    both = shapely.union(shapely.box(30, 30, 60, 70), shapely.box(61, 30, 61 + end, 70))
    assert shapely.contains_xy(reachable(both, 3), 61 + end / 2, 50)


def test_skin_left_all_round_is_sound_if_it_is_meant():
    setup = Setup(FIXTURE, [contour(circle(40, (80, 50)), T1, depth=through(0.3))])
    # Without a head, which says how deep it is cut.
    text = re.sub(r"^\(.*\)\n", "", program_text(setup), flags=re.M).replace("Z-18.3", "Z-17.6")
    part = intended_part(setup)
    assert simulate(text, FIXTURE, setup.cutters, cell=1.0, part=part).codes() == ("not-parted",)
    (parting,) = part.front
    with_skin = replace(part, front=[replace(parting, skin=0.4)])
    assert simulate(text, FIXTURE, setup.cutters, cell=1.0, part=with_skin).ok


def test_part_of_another_board_is_refused():
    other = Part(board=Board(width=161, height=100, thickness=18))
    with pytest.raises(InputError, match="part is of another board"):
        judged(tray(), 1.0, other)


def test_features_say_what_is_wrong_with_them():
    with pytest.raises(InputError, match="valid shapely polygon"):
        Recess(area=shapely.Point(1, 1), depth=2)
    with pytest.raises(InputError, match="shapely lines or points"):
        CutAlong(line=shapely.box(0, 0, 1, 1), profile=ball(6), depth=2)
    with pytest.raises(InputError, match="shapely lines or points"):
        CutAlong(line=shapely.Polygon([(10, 10), (60, 10), (30, 10)]), profile=ball(6), depth=2)
    with pytest.raises(InputError, match="waste"):
        Parting(area=circle(10), waste="left")
    with pytest.raises(InputError, match="must list"):
        Part(board=BOARD, front=[circle(10)])
    with pytest.raises(InputError, match="within"):
        Part(board=BOARD, within=0)


def test_program_in_two_files_is_judged_like_one():
    """What the first file cut is remembered exactly, not by its cells."""
    half = SOUND.index("T2 M6")
    first, second = SOUND[:half] + "M5\nM30\n", "G21 G17 G90 G94\nG0 Z20\n" + SOUND[half:]
    before = simulate(first, SLUG, RACK, cell=2.0).stock
    report = simulate(second, SLUG, RACK, stock=before, part=PART)
    assert report.ok, str(report)
    assert front(SOUND, 2.0).ok


@pytest.mark.parametrize("radius", [8, 25, 40])
def test_circle_drawn_in_few_chords_is_taken_for_a_circle(radius):
    """GEOS draws 64 chords, 0.05 high on a radius of 40; the program goes round truly."""
    rough = shapely.Point(80, 50).buffer(radius)
    for side in ("inside", "outside"):
        setup = Setup(FIXTURE, [contour(circle(2 * radius, (80, 50)), T1, depth=through(0.3), side=side)])
        part = Part(board=BOARD, front=[Parting(area=rough, waste=side, tabs=0)])
        report = simulate(program_text(setup), FIXTURE, [T1], cell=0.5, part=part)
        assert not {"gouge", "leftover", "not-parted"} & set(report.codes()), str(report)
    setup = Setup(FIXTURE, [pocket(circle(2 * radius, (80, 50)), T1, depth=3)])
    part = Part(board=BOARD, front=[Recess(area=rough, depth=3)])
    assert simulate(program_text(setup), FIXTURE, [T1], cell=0.5, part=part).ok


def test_a_cut_beside_its_wall_is_told_from_one_that_is_not_deep_enough():
    """The outline 0.16 mm too large, its tabs standing: not a board that hangs together, but a wall out of place."""
    tabs = Tabs(count=2, width=6, height=4)
    setup = Setup(FIXTURE, [contour(circle(40, (80, 50)), T1, depth=through(0.3), tabs=tabs)])
    larger = Setup(FIXTURE, [contour(circle(40.32, (80, 50)), T1, depth=through(0.3), tabs=tabs)])
    part = intended_part(setup)
    found = simulate(program_text(larger), FIXTURE, setup.cutters, cell=1.0, part=part).findings
    assert {finding.code for finding in found} == {"not-parted"}
    assert all("up to 0.20 mm too far out" in finding.message for finding in found)
    shallow = program_text(setup).replace("Z-18.3", "Z-17.6")
    found = simulate(shallow, FIXTURE, setup.cutters, cell=1.0, part=part).findings
    assert any("still hangs together" in finding.message for finding in found)


def test_wood_that_stands_says_where_in_what_and_which_line_cuts_there():
    line = shapely.LineString([(40, 50), (120, 50)])
    setup = Setup(FIXTURE, [groove(line, T1, depth=3, name="rail")])
    text = program_text(setup).replace("Z-3", "Z-2.8")
    (finding,) = simulate(text, FIXTURE, setup.cutters, cell=1.0, part=intended_part(setup)).findings
    number = text.splitlines().index("X40 Z-2.8") + 1
    assert f"line {number} (rail), at X" in str(finding) and "at the rail" in finding.message


@pytest.mark.parametrize("bump", [0.0, 0.3, 1.5])
def test_an_outline_with_a_bump_shorter_than_a_tab_is_no_tab(bump):
    """One X wrong for 20 mm of wall: the cut goes through all the same, so nothing holds there."""
    text = "G21 G90 G17\nG0 Z20\nM6 T1\nS16000 M3\nG4 P2\nG0 X37 Y17\nZ2\n"
    for z in (-6, -12, -18.3):
        tab = ["", f"X75\nG1 Z-13 F400\nX90\nG1 Z{z}\n"][z < -13]
        back = ["", f"X90\nG1 Z-13 F400\nX75\nG1 Z{z}\n"][z < -13]
        side = f"Y40\nX{123 + bump}\nY60\nX123\n" if bump else ""
        text += f"G1 Z{z} F400\nF1200\n{tab}X123\n{side}Y83\n{back}X37\nY17\n"
    part = Part(board=BOARD, front=[Parting(area=shapely.box(40, 20, 120, 80), waste="outside", tabs=2)])
    report = simulate(text + "G0 Z20\nM5\nX0 Y0\nM30\n", FIXTURE, [T1], cell=1.0, part=part)
    assert report.codes() == (("not-parted",) if bump else ()), str(report)


@pytest.mark.parametrize("cell", [0.3, 0.5, 1.0])
def test_line_that_set_the_depth_is_among_those_of_a_floor_too_deep(cell):
    """The plunge cuts few cells of the floor, and is the line to mend."""
    text = tray().replace("Z-4 ", "Z-4.1 ")
    (finding,) = judged(text, cell).findings
    assert text.splitlines().index("G1 Z-4.1 F400") + 1 in finding.lines
