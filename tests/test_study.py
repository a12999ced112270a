"""The tolerance study: closed forms, brute force on other boards, and no point within the ranges worse than said."""

from __future__ import annotations

import json
import pickle
import re
from dataclasses import replace
from fractions import Fraction

import numpy as np
import planted_sides as plate
import planted_tabs
import pytest
from hypothesis import given
from hypothesis import strategies as st
from test_weather_station import job as weather_station

import toolpaths as tp
from samples import examples
from toolpaths.facts.turning import CORNERS
from toolpaths.judging import job_programs
from toolpaths.judging.checks.between_sides import dowel_hole as dowels
from toolpaths.judging.checks.between_sides.round_holes import holes_of
from toolpaths.judging.checks.holding.standing_tabs import standing_tabs
from toolpaths.judging.study.at_corner import job_at, settings_at
from toolpaths.judging.study.corners import NOMINAL, Corner, corners_of, in_words
from toolpaths.judging.study.registration import laid_at, mismatch, size_shift
from toolpaths.judging.study.requirements import in_moves
from toolpaths.judging.study.thickness import floors
from toolpaths.judging.study.webs import webs
from toolpaths.judging.trial.case import make_case

FRONT_SIDE, BACK_SIDE = plate.fixture_of(plate.FRONT_FACTS), plate.fixture_of(plate.BACK_FACTS)
PLATE = [(plate.FRONT, FRONT_SIDE), (plate.BACK, BACK_SIDE)]
HEAD = "G21 G90\nG0 Z20\nT1 M6\nM3 S12000\nG0 Z20\nF600\n"
TAIL = "G0 Z20\nM5\nM2\n"
BOARD = tp.Board(width=160, height=100, thickness=18)
SIX = [tp.Cutter(1, tp.flat(6), 900, 12000, cutting_length=30)]


def text_of(study: tp.Study, part: str) -> str:
    """The one requirement that says this."""
    found = [r.text for r in study.requirements if part in r.text]
    assert len(found) == 1, str(study)
    return found[0]


def row(study: tp.Study, part: str):
    text = text_of(study, part)
    return next(r for r in study.requirements if r.text == text)


def slot(x: float, y: float, z: float, length: float = 40, top: float = 0.0) -> str:
    return f"G0 X{x} Y{y}\nG0 Z{top + 2}\nG1 Z{z}\nX{x + length}\nG0 Z20\n"


def area(x: float, y: float, z: float, rows: int = 8) -> str:
    """A recess 46 wide, and 6 + 4 (rows - 1) high, its lower left centre at a place."""
    lines = "".join(f"G1 Y{y + 4 * n}\nX{x + 40 * (n % 2 == 0)}\n" for n in range(rows))
    return f"G0 X{x} Y{y}\nG0 Z2\nG1 Z{z}\n{lines}G0 Z20\n"


# How far front and back may be off each other.


def pinned(apart: float, turned: str = "left to right") -> list[job_programs.Setting]:
    """A job on two pins, so far apart about the middle of the board."""
    board = tp.Board(width=400, height=300, thickness=18)
    pins = tuple(tp.Dowel(x=200 + s * apart / 2, y=150, diameter=8, depth=5) for s in (-1, 1))
    side = tp.Fixture(board=board, dowels=pins)
    text = HEAD + slot(50, 50, -2) + TAIL
    return list(job_programs.read_sides([(text, side), (text, side.turned_over(turned))], SIX))


def test_mismatch_has_the_check_values_of_the_source():
    """Section 2.5: 2 e = 0.2 for e = 0.1; c / 2 + rho c / L = 0.11 for c = 0.1, L = 100, rho = 60."""
    job = pinned(100)
    place = np.array([[260.0, 150.0]])
    assert mismatch(job, Corner(flip_line=0.1), place) == pytest.approx(0.2)
    assert mismatch(job, Corner(dowel_clearance=0.1), place) == pytest.approx(0.11)
    assert mismatch(job, Corner(flip_line=0.1, dowel_clearance=0.1), place) == pytest.approx(0.31)


@given(
    x=st.floats(0, 400), y=st.floats(0, 300), e=st.floats(-0.2, 0.2), c=st.floats(-0.2, 0.2),
    a=st.floats(-0.5, 0.5), turned=st.sampled_from(["left to right", "top to bottom"]),
)  # fmt: skip
def test_no_place_of_the_back_is_farther_off_than_the_mismatch(x, y, e, c, a, turned):
    """The motion worked out for each place, against the bound."""
    job = pinned(100, turned)
    back = job[1].fixture
    aimed = back.seen_from_front(np.array([x, y]))
    corner = Corner(flip_line=e, dowel_clearance=c, flip_angle_deg=a)
    off = float(np.hypot(*(laid_at(job[0].fixture, back, corner, aimed[None]) - aimed)[0]))
    bound = mismatch(job, Corner(*map(abs, corner)), np.array([[x, y]]))
    assert off <= bound + 1e-6


def test_the_mismatch_is_reached_where_turn_and_shift_add_up():
    """60 mm above the pins turning moves along X, the way of the shift (angles of 0.001, so to 1e-6)."""
    job = pinned(100)
    aimed = np.array([[200.0, 90.0]])
    off = laid_at(job[0].fixture, job[1].fixture, Corner(flip_line=0.1, dowel_clearance=0.1), aimed) - aimed
    assert off[0, 0] == pytest.approx(0.31, abs=1e-4)


def test_an_opening_met_from_the_other_side_may_step_by_twice_the_error():
    study = tp.tolerance_study(PLATE, plate.RACK, flip_line=0.1)
    assert len([r for r in study.requirements if "off each other by up to 0.20 mm" in r.text]) == 3
    study = tp.tolerance_study(PLATE, plate.RACK, zero_z=0.1)
    assert not [r for r in study.requirements if "step" in r.text]


@pytest.mark.parametrize("turned", ["left to right", "top to bottom"])
@pytest.mark.parametrize("e", [0.1, -0.1])
def test_the_words_for_a_flip_line_name_the_side_on_which_it_lies(turned, e):
    """What was at p comes to lie at 2 (line + off) - p, and the program cuts at 2 line - p: 2 off nearer on the board
    as it lies, farther right or up as seen from the front."""
    job = pinned(100, turned)
    corner, back = Corner(flip_line=e), job[1].fixture
    aimed = np.array([[40.0, 30.0]])
    off = -(laid_at(job[0].fixture, back, corner, aimed) - aimed).sum() / 2
    assert abs(off) == pytest.approx(0.1)
    assert ("too far right or up" if off > 0 else "too far left or down") in in_words(corner)


@pytest.mark.parametrize("turned", ["left to right", "top to bottom"])
@pytest.mark.parametrize("angle", [0.4, -0.4])
def test_the_words_for_an_askew_flip_line_name_the_way_in_which_it_is_turned(turned, angle):
    """The board is mirrored about the line as it lies: what was drawn at p (seen from the front) is cut where the place
    aimed at, its mirror image about the line as meant, is the mirror image about the other of."""
    job = pinned(100, turned)
    corner, back, middle = Corner(flip_angle_deg=angle), job[1].fixture, np.array([200.0, 150.0])
    aimed = np.array([[40.0, 30.0]])
    lies = laid_at(job[0].fixture, back, corner, aimed)
    meant = back.seen_from_front(aimed)[0] - middle
    cut = back.seen_from_front(lies)[0] - middle
    ways = {"turned left": 1, "turned right": -1}
    (sign,) = [sign for words, sign in ways.items() if words in in_words(corner)]
    upright = 90.0 if turned == "left to right" else 0.0
    line = np.radians(upright + sign * 0.4)
    x, y = np.cos(line), np.sin(line)
    mirrored = 2 * (cut @ [x, y]) * np.array([x, y]) - cut
    assert mirrored == pytest.approx(aimed[0] - middle, abs=1e-9), meant


def test_what_an_askew_flip_line_puts_off_is_twice_its_angle_over_the_farthest_place():
    """0.4 mrad over 150 mm from the middle: 0.12 mm."""
    angle = float(np.degrees(0.0004))
    assert mismatch(pinned(100), Corner(flip_angle_deg=angle), np.array([[350.0, 150.0]])) == pytest.approx(0.12)
    study = tp.tolerance_study(PLATE, plate.RACK, flip_angle_deg=0.05)
    assert study.corners == 2 and "(mm, degrees)" in str(study) and "flip_angle_deg +-0.05" in str(study)
    assert any("off each other by up to" in each.text for each in study.requirements)
    with pytest.raises(tp.InputError, match="flip_angle_deg"):
        tp.tolerance_study(PLATE, plate.RACK, flip_angle_deg=6)


def test_without_dowels_the_flip_rests_on_the_flip_line():
    sides = [(text, replace(side, dowels=())) for text, side in PLATE]
    study = tp.tolerance_study(sides, plate.RACK, flip_line=0.1)
    (note,) = study.notes
    assert note == (
        "no dowels: X0 Y0 is found anew at the lower left corner of the turned board. How front and back meet rests on "
        "the flip line, +-0.1 mm, on all of the error of the board's width and on none of the error of its height."
    )
    (note,) = tp.tolerance_study(PLATE, plate.RACK, flip_line=0.1).notes
    assert note == (
        "the back lies on its pins: X0 Y0 is not set anew, only Z0 is, so a board of another width or height moves "
        "nothing of the back off the front."
    )


# A board of another width or height.

EDGES = {"left": 0.0, "right": 1.0, "lower": 0.0, "upper": 1.0, "centre": 0.5}


def hole_in(zero_at: str, turned: str = "", place: tuple[float, float] = (60, 40)) -> tuple[str, tp.Fixture]:
    """A hole at a place of the board as it lies, in a program that counts from this corner."""
    side = tp.Fixture(board=BOARD, zero_at=zero_at, turned=turned)
    x, y = (at - zero for at, zero in zip(place, side.zero))
    return HEAD + f"G0 X{x:.4f} Y{y:.4f}\nG0 Z2\nG1 Z-5\nG0 Z20\n" + TAIL, side


def holes_off(read: tuple[job_programs.Setting, ...]) -> np.ndarray:
    """How far the hole of the second program lies off that of the first, seen from the front."""
    places = []
    for program in read:
        found = holes_of(make_case(program.program, program.fixture, program.cutters))
        places.append(program.fixture.seen_from_front(np.array([[found.x[0], found.y[0]]]))[0])
    return places[1] - places[0]


@pytest.mark.parametrize("turned", ["left to right", "top to bottom"])
@pytest.mark.parametrize("front", CORNERS)
@pytest.mark.parametrize("back", CORNERS)
def test_without_pins_another_size_moves_the_back_as_on_a_board_that_has_it(front, back, turned):
    """The same texts on a board that really is 0.6 wider and 0.4 lower, each zero found at that board's edges."""
    job = [hole_in(front), hole_in(back, turned, (75, 30))]
    grown = replace(BOARD, width=BOARD.width + 0.6, height=BOARD.height - 0.4)
    real = holes_off(job_programs.read_sides([(t, replace(side, board=grown)) for t, side in job], SIX))
    read = job_programs.read_sides(job, SIX)
    studied = holes_off(settings_at(read, Corner(width=0.6, height=-0.4)))
    assert studied == pytest.approx(real, abs=1e-9)

    # And in closed form: along the axis that is mirrored the two zeros count from opposite edges of the wood.
    shares = []
    for axis in (0, 1):
        a, b = (EDGES[corner.split()[-1 if axis == 0 else 0]] for corner in (front, back))
        mirrored = axis == (0 if turned == "left to right" else 1)
        shares.append(1 - b - a if mirrored else b - a)
    shift = np.array(shares) * (0.6, -0.4)
    assert size_shift(read[0].fixture, read[1].fixture, Corner(width=0.6, height=-0.4)) == pytest.approx(shift)
    assert studied - holes_off(read) == pytest.approx(shift, abs=1e-9)
    assert mismatch(read, Corner(width=0.6, height=0.4), np.zeros((1, 2))) == pytest.approx(np.hypot(*shift))


@pytest.mark.parametrize("corner, off", [("lower left", 0.6), ("lower right", 0.0), ("centre", 0.3)])
def test_a_wider_board_moves_a_back_that_is_found_anew_and_the_wood_shows_it(corner, off):
    """Two round recesses over each other, their middles measured in the wood of a board 0.6 wider than entered."""
    side = tp.Fixture(board=BOARD)
    recess = tp.pocket(tp.circle(30, (60, 50)), SIX[0], depth=4)
    setups = [tp.Setup(side, [recess]), tp.Setup(side.turned_over("left to right", zero_at=corner), [recess])]
    texts = [tp.program_text(setup) for setup in setups]
    apart = []
    for board in (BOARD, replace(BOARD, width=160.6)):
        sides = [(text, replace(setup.fixture, board=board)) for text, setup in zip(texts, setups)]
        wood = tp.verify(sides, SIX, cell=0.25).stock.turned_over("left to right")
        front, back = (wood.grid.xs()[np.nonzero(cut)[1]].mean() for cut in (wood.top < -1, wood.bottom > -17))
        apart.append(back - front)
    assert apart == [pytest.approx(0, abs=0.01), pytest.approx(off, abs=0.02)]
    study = tp.tolerance_study([(text, setup.fixture) for text, setup in zip(texts, setups)], SIX, width=0.6)
    steps = [r.high for r in study.requirements if "off each other" in r.text]
    assert steps == ([pytest.approx(off)] if off else [])


def test_on_pins_a_board_of_another_size_moves_nothing():
    """Whatever corner is X0 Y0: the pins fix the board, and X0 Y0 is not set anew."""
    for corner in CORNERS:
        back = replace(BACK_SIDE, zero_at=corner)
        assert not size_shift(FRONT_SIDE, back, Corner(width=0.6, height=0.6)).any()
        assert not size_shift(back, FRONT_SIDE, Corner(width=0.6, height=0.6)).any()
    plain = tp.tolerance_study(PLATE, plate.RACK, thickness=0.1)
    wider = tp.tolerance_study(PLATE, plate.RACK, thickness=0.1, width=0.6, height=0.4)
    assert wider.requirements == plain.requirements
    assert wider.findings == plain.findings
    assert wider.corners == plain.corners == 2
    assert "width +-0.6, height +-0.4" in str(wider)
    assert "X0 Y0 is not set anew, only Z0 is" in "\n".join(wider.notes)


def test_holes_that_a_wider_board_parts_are_found_without_pins_alone():
    """A twentieth off is too much for holes that are to meet: with pins there is nothing to find."""
    loose = [(text, replace(side, dowels=())) for text, side in PLATE]
    study = tp.tolerance_study(loose, plate.RACK, width=0.1)
    assert [(f.code, f.side) for f in study.findings] == [("holes-apart", "back")]
    assert study.findings[0].corner.startswith("the board 0.10 ")
    assert tp.tolerance_study(loose, plate.RACK, height=0.1).findings == ()
    assert tp.tolerance_study(PLATE, plate.RACK, width=0.1).findings == ()


@given(
    x=st.floats(0, 160), y=st.floats(0, 100), e=st.floats(-0.2, 0.2), w=st.floats(-0.6, 0.6), h=st.floats(-0.6, 0.6),
    turned=st.sampled_from(["left to right", "top to bottom"]), corner=st.sampled_from(CORNERS),
)  # fmt: skip
def test_no_place_is_farther_off_than_the_mismatch_on_a_board_of_another_size(x, y, e, w, h, turned, corner):
    job = job_programs.read_sides([hole_in("lower left"), hole_in(corner, turned)], SIX)
    back, aimed = job[1].fixture, np.array([[x, y]])
    laid = laid_at(job[0].fixture, back, Corner(flip_line=e, width=w, height=h), aimed)
    bound = mismatch(job, Corner(flip_line=abs(e), width=abs(w), height=abs(h)), aimed)
    assert np.hypot(*(laid - aimed)[0]) <= bound + 1e-9


# Depths.


@pytest.mark.parametrize("zero_on", ["top", "spoilboard"])
@pytest.mark.parametrize("thickness, zero_z", [(0.2, 0), (0, 0.1), (0.2, 0.1), (0, 0)])
def test_through_cuts_keep_what_is_left_of_their_depth(zero_on, thickness, zero_z):
    """0.3 beyond: a thicker board takes its part only where depths count from the top; Z0 always does."""
    side = tp.Fixture(board=BOARD, zero_on=zero_on)
    floor, top = (-18, 0) if zero_on == "top" else (0, 18)
    text = (
        HEAD.replace("Z20", "Z40")
        + slot(30, 30, floor - 0.3, top=top).replace("Z20", "Z40")
        + TAIL.replace("Z20", "Z40")
    )
    study = tp.tolerance_study([(text, side)], SIX, thickness=thickness, zero_z=zero_z)

    off = zero_z + (thickness if zero_on == "top" else 0)
    through, spoil = row(study, "part the board"), row(study, "the spoilboard is cut")
    assert through.margin == pytest.approx(0.3 - off, abs=1e-6)
    assert spoil.high == pytest.approx(0.3 + off, abs=1e-6)
    assert spoil.margin == pytest.approx(0.5 - 0.3 - off, abs=1e-6)
    assert study.corners == 2 ** ((thickness > 0) + (zero_z > 0))
    assert spoil.ok is (off <= 0.2)


def test_what_falls_short_is_said_in_plain_words_with_its_corner():
    text = HEAD + slot(30, 30, -18.3) + TAIL
    study = tp.tolerance_study([(text, tp.Fixture(board=BOARD))], SIX, thickness=0.3, zero_z=0.1)
    short = row(study, "fall 0.10 mm short of the underside")
    assert short.corner == "the board 0.30 thicker, Z0 0.10 too high"
    assert not short.ok
    assert not study.ok
    assert study.requirements[0].margin == min(r.margin for r in study.requirements if r.margin is not None)
    assert "FAILS front: through cuts fall 0.10 mm short of the underside" in str(study)


def test_passes_on_the_way_down_are_no_through_cuts():
    """A pass 0.01 below the underside with a deeper one after it parts nothing by itself."""
    text = HEAD + slot(30, 30, -18.01) + slot(30, 30, -18.4) + TAIL
    study = tp.tolerance_study([(text, tp.Fixture(board=BOARD))], SIX, zero_z=0.1)
    assert row(study, "part the board").margin == pytest.approx(0.3, abs=1e-6)


@pytest.mark.parametrize("zero_on", ["top", "spoilboard"])
def test_other_boards_tried_one_by_one_agree(zero_on):
    """Brute force: the text itself judged on a board of another thickness, its floor measured in the wood."""
    floor = -12 if zero_on == "top" else 6
    up = "Z20" if zero_on == "top" else "Z40"
    text = (HEAD + area(40, 30, floor) + TAIL).replace("Z20", up)
    if zero_on == "spoilboard":
        text = text.replace("G0 Z2\n", "G0 Z20\n")
    study = tp.tolerance_study([(text, tp.Fixture(board=BOARD, zero_on=zero_on))], SIX, thickness=0.4)
    left = []
    for thick in (17.6, 18.4):
        board = tp.Board(width=160, height=100, thickness=thick)
        stock = tp.simulate(text, tp.Fixture(board=board, zero_on=zero_on), SIX, cell=0.5).stock
        left.append(float(stock.thickness()[stock.cell_at(60, 42)]))
    found = row(study, "leaves")
    assert (found.low, found.high) == pytest.approx((min(left), max(left)), abs=1e-4)
    assert (found.low, found.high) == pytest.approx((5.6, 6.4) if zero_on == "top" else (6, 6), abs=1e-4)


def test_a_zero_set_wrong_is_a_text_with_other_depths():
    deeper = re.sub(r"Z(-?[\d.]+)", lambda z: f"Z{float(z[1]) - 0.1:.3f}", plate.BACK.replace("P0.2", "P0.2"))
    fronts = re.sub(r"Z(-?[\d.]+)", lambda z: f"Z{float(z[1]) - 0.1:.3f}", plate.FRONT)
    # R planes count as depths do.
    deeper, fronts = (re.sub(r" R2\b", " R1.9", text) for text in (deeper, fronts))
    brute = tp.verify([(fronts, FRONT_SIDE), (deeper, BACK_SIDE)], plate.RACK, cell=0.5).stock
    mine = job_at(job_programs.read_sides(PLATE, plate.RACK), Corner(zero_z=-0.1), 0.5, None)[-1].report.stock
    assert np.abs(brute.top - mine.top).max() < 1e-5
    assert np.abs(brute.bottom - mine.bottom).max() < 1e-5


def test_a_flip_line_that_is_off_is_a_back_with_other_places():
    """e = 0.1 to the right: what is aimed at X120 on the back comes to lie at X120.2 of the board."""
    back = re.sub(r"X([\d.]+)", lambda x: f"X{float(x[1]) + 0.2:.3f}", plate.BACK)
    brute = tp.verify([(plate.FRONT, FRONT_SIDE), (back, BACK_SIDE)], plate.RACK, cell=0.5).stock
    mine = job_at(job_programs.read_sides(PLATE, plate.RACK), Corner(flip_line=0.1), 0.5, None)[-1].report.stock
    assert np.abs(brute.top - mine.top).max() < 1e-5
    assert np.abs(brute.bottom - mine.bottom).max() < 1e-5


def test_a_thicker_cutter_makes_wider_dowel_holes():
    """Measured anew with such cutters, and told by the study; a bore grows by what its cutter does."""
    sides = [(plate.INCH_TEXT, plate.INCH_FRONT), (plate.INCH_BACK_TEXT, plate.INCH_BACK)]
    study = tp.tolerance_study(sides, plate.RACK, cutter_diameter=0.03)
    worn = [replace(c, profile=replace(c.profile, diameter=c.diameter - 0.03)) for c in plate.RACK]
    first, (dowel, _) = dowels.registered(job_programs.judge_programs(job_programs.read_sides(sides, worn), cell=1))
    bored = dowels.measured(first, dowel)
    assert bored is not None
    found = row(study, "dowel holes are")
    assert found.low == pytest.approx(bored.narrowest, abs=1e-3)
    assert found.low == pytest.approx(6.35 - 0.03, abs=1e-3)
    assert (found.ok, found.corner) == (False, "the cutters 0.03 thinner")
    assert found.text == "dowel holes are 6.32 to 6.38 mm wide, a pin of 6.35 does not go in"


@pytest.mark.sample(3, long=9)
@pytest.mark.parametrize("wide", [7.9, 7.96, 8.0, 8.03, 8.09])
@pytest.mark.parametrize("worn", [0.0, 0.02, 0.05])
def test_the_thickest_pin_has_to_go_in_the_narrowest_hole_and_the_widest_has_to_hold_it(wide, worn):
    """A pin of 8 in holes bored so wide with a cutter that may be off; and what the play does to the back (2.5)."""
    pins = tp.dowels([(10, 50), (150, 50), (80, 12)], diameter=8, depth=5)
    front = tp.Fixture(board=BOARD, dowels=pins)
    holes = tp.Setup(front, [tp.bore([(d.x, d.y) for d in pins], wide, SIX[0], depth=tp.through(5))])
    recess = tp.Setup(front.turned_over("left to right"), [tp.pocket(tp.circle(30, (60, 50)), SIX[0], depth=4)])
    sides = [(tp.program_text(setup), setup.fixture) for setup in (holes, recess)]
    study = tp.tolerance_study(sides, SIX, cutter_diameter=worn)

    goes_in, play = row(study, "dowel holes are"), row(study, "of play in their holes")
    assert (goes_in.low, goes_in.high) == pytest.approx((wide - worn, wide + worn), abs=2e-3)
    assert goes_in.margin == pytest.approx(wide - worn - 8, abs=2e-3)
    assert goes_in.ok is (wide - worn >= 8)
    assert ("a pin of 8 goes in" in goes_in.text) is goes_in.ok
    most = max(wide + worn - 8, 0)
    assert play.margin == pytest.approx(0.25 - (wide + worn - 8), abs=2e-3)
    assert play.ok
    # The corners of the board lie hypot(80, 50) from the middle of the pins that are 140 apart.
    off = float(play.text.split("up to ")[2].split()[0])
    assert off == pytest.approx(most / 2 + np.hypot(80, 50) * most / 140, abs=0.006)


@pytest.mark.parametrize("thicker", [-0.05, 0.05])
def test_a_cutter_ground_or_worn_keeps_its_body_and_what_it_bears(thicker):
    """Its shank is not ground, nor does it bear less at once: only the edges are thinner, and a V not even those."""
    profiles = [tp.flat(6), tp.ball(6), tp.bull_nose(6, 1), tp.drill_point(6), tp.v_point(12, 90)]
    rack = [tp.Cutter(n, profile, 900, 12000) for n, profile in enumerate(profiles, start=1)]
    text = HEAD + slot(30, 30, -5) + TAIL
    (nominal,) = job_programs.read_sides([(text, tp.Fixture(board=BOARD))], rack)
    nominal = nominal._replace(cutters=tuple(rack))
    (worn,) = settings_at([nominal], Corner(cutter_diameter=thicker))
    for before, after in zip(nominal.cutters, worn.cutters, strict=True):
        grown = 0.0 if before.profile.kind == "V" else thicker
        assert after.diameter == pytest.approx(before.diameter + grown)
        assert after.body.shank_diameter == before.body.shank_diameter
        assert after.body.stick_out == before.body.stick_out
        assert after.body.cutting_length == before.body.cutting_length
        assert after.bears == before.bears
        assert after.running.plunge_mm_min == before.running.plunge_mm_min


def test_first_pass_into_wood_that_stands_higher_is_no_overload():
    """Each pass is as deep as the cutter bears; with Z0 off the first one is deeper by that, and no more."""
    board = tp.Board(width=200, height=120, thickness=18)
    cutter = tp.Cutter(1, tp.flat(6), 1200, 16000, plunge_mm_min=400, step_down=4)
    setup = tp.Setup(tp.Fixture(board=board), [tp.pocket(tp.circle(40, (100, 60)), cutter, depth=12)])
    study = tp.tolerance_study([(tp.program_text(setup), setup.fixture)], [cutter], zero_z=0.1)
    assert study.ok, str(study)


def test_tabs_are_as_thick_as_the_board_leaves_them():
    text = HEAD + "G0 X30 Y30\nG0 Z2\nG1 Z-18.3\nX60\nZ-14\nX75\nZ-18.3\nX100\nG0 Z20\n" + TAIL
    study = tp.tolerance_study([(text, tp.Fixture(board=BOARD))], SIX, thickness=0.2, zero_z=0.1)
    tabs = row(study, "tabs are 3.70 to 4.30 mm thick")
    assert tabs.margin == pytest.approx(3.7)


@pytest.mark.parametrize("text", [planted_tabs.FOUR, planted_tabs.SLOPED, planted_tabs.LIFTED])
def test_the_study_asks_of_the_tabs_that_the_check_counts(text):
    """Lifted over, sloped or square: their thickness at each corner is what stands on a board of that thickness."""
    side = tp.Fixture(board=planted_tabs.BOARD)
    study = tp.tolerance_study([(text, side)], planted_tabs.RACK, thickness=0.2, zero_z=0.05)
    found = row(study, "tabs are")
    read = job_programs.read_sides([(text, side)], planted_tabs.RACK)
    thick = [
        tab.thickness
        for corner in corners_of(study.ranges)
        for tab in standing_tabs(job_at(read, corner, 0.5, None)[0].trial)
    ]
    assert len(thick) in (4 * 4, 4 * 3, 4 * 2)
    assert (found.low, found.high) == (pytest.approx(min(thick), abs=1e-3), pytest.approx(max(thick), abs=1e-3))
    assert found.high - found.low == pytest.approx(0.5, abs=1e-3)


@pytest.mark.parametrize(("off", "codes"), [(0.15, []), (0.25, ["loose-piece"])])
def test_a_skin_holds_on_boards_that_leave_a_fifth_of_a_millimetre_of_it(off, codes):
    """0.4 mm less what the board may be thinner by; thicker on a thicker board, it is no leftover."""
    side = tp.Fixture(board=BOARD)
    op = tp.contour(tp.rectangle(80, 50, (80, 50)), SIX[0], depth=tp.through(0.3), skin=0.4)
    setup = tp.Setup(side, [op])
    study = tp.tolerance_study([(tp.program_text(setup), side)], SIX, part=tp.intended_part(setup), thickness=off)

    assert [found.code for found in study.findings] == codes, str(study)
    assert all(f"the board {off:.2f} thinner" in found.corner for found in study.findings)


def test_a_gap_between_two_cuts_is_no_tab():
    text = HEAD + slot(30, 30, -18.3, 20) + slot(90, 30, -18.3, 20) + TAIL
    study = tp.tolerance_study([(text, tp.Fixture(board=BOARD))], SIX, zero_z=0.1)
    assert study.requirements and not [r for r in study.requirements if "tabs" in r.text]


def pockets(front: float, back: float) -> list[tuple[str, tp.Fixture]]:
    """One from each side, the middles of both over each other."""
    side = tp.Fixture(board=BOARD)
    texts = HEAD + area(45, 34, -front) + TAIL, HEAD + area(60, 36, -back) + TAIL
    return [(texts[0], side), (texts[1], side.turned_over("left to right"))]


def two_pockets(front: float, back: float, **ranges: float) -> tp.Study:
    return tp.tolerance_study(pockets(front, back), SIX, **ranges)


@pytest.mark.long
def test_cuts_that_meet_have_to_spare_what_they_overlap_by():
    found = row(two_pockets(9.2, 9.2, thickness=0.1, zero_z=0.05), "meet")
    assert found.margin == pytest.approx(0.4 - 0.1 - 2 * 0.05, abs=1e-4)
    found = row(two_pockets(9.05, 9.05, thickness=0.2), "skin of 0.10 mm")
    assert not found.ok


@pytest.mark.long
def test_a_web_and_two_floors_are_told_apart():
    study = two_pockets(6, 7, thickness=0.1, zero_z=0.05, flip_line=0.1)
    web = row(study, "the thinnest web between the sides")
    assert web.low == pytest.approx(5 - 0.1 - 2 * 0.05, abs=1e-4)
    front, back = row(study, "the floor 6.00 deep from the front"), row(study, "the floor 7.00 deep from the back")
    assert (front.low, back.low) == pytest.approx((4.8, 4.8), abs=1e-4)
    assert front.high == pytest.approx(12 + 0.1 + 0.05, abs=1e-4)


def lip(cell: float, **ranges: float) -> tp.Study:
    """An opening with a chamfer of 1.5 over a recess 10 deep from the back: 8 are left, at the lip 6.5."""
    front = tp.Fixture(board=BOARD)
    vee = tp.Cutter(2, tp.v_point(12, 90), 900, 12000)
    hole = tp.rectangle(40.3, 26.7, (80, 50), corner_radius=5)
    setup = tp.Setup(front, [
        tp.chamfer(hole, vee, width=1.5, side="inside"), tp.contour(hole, SIX[0], depth=tp.through(0.3), side="inside"),
    ])  # fmt: skip
    recess = tp.Setup(front.turned_over("left to right"), [tp.pocket(tp.rectangle(60, 44, (80, 50)), SIX[0], depth=10)])
    sides = [(tp.program_text(each), each.fixture) for each in (setup, recess)]
    return tp.tolerance_study(sides, [*SIX, vee], cell=cell, **ranges)


@pytest.mark.parametrize("cell", [0.25, 0.5, 1.3])
def test_the_thinnest_web_is_that_at_the_lip_whatever_the_cells(cell):
    """Walls between the centres of the cells, a chamfer narrower than two of them."""
    found = row(lip(cell), "the thinnest web between the sides")
    assert (found.low, found.margin) == (pytest.approx(6.5, abs=0.005), pytest.approx(6.5, abs=0.005))


@pytest.mark.long
def test_the_web_at_a_lip_is_that_of_the_worst_board():
    """0.2 of the board, twice 0.05 of Z0; a cutter 0.04 thinner leaves 0.02 more of the slope, which is 0.02 deeper."""
    found = row(lip(0.5, thickness=0.2, zero_z=0.05, cutter_diameter=0.04), "the thinnest web between the sides")
    assert found.low == pytest.approx(6.5 - 0.2 - 0.1 - 0.02, abs=0.005)
    assert found.high == pytest.approx(6.5 + 0.2 + 0.1 + 0.02, abs=0.005)
    assert found.corner == "the board 0.20 thinner, the cutters 0.04 thinner, Z0 0.05 too low"


@pytest.mark.sample(1)
@pytest.mark.parametrize("wanted, ok", [(0.0, True), (6.1, True), (6.4, False)])
def test_the_thinnest_web_is_held_against_what_is_wanted(wanted, ok):
    found = row(lip(0.5, thickness=0.2, thinnest_web=wanted), "the thinnest web between the sides")
    assert (found.ok, found.margin) == (ok, pytest.approx(6.3 - wanted, abs=0.005))
    assert ("is wanted" in found.text) is bool(wanted)


def test_a_groove_over_a_recess_is_thinnest_at_its_bottom():
    """A V-groove 4 wide, 2 deep, whose bottom lies between any cells: 18 - 9 - 2."""
    front, vee = tp.Fixture(board=BOARD), tp.Cutter(2, tp.v_point(12, 90), 900, 12000)
    line = tp.Setup(front, [tp.groove([(60.13, 50.13), (100.13, 50.13)], vee, depth=2)])
    recess = tp.Setup(front.turned_over("left to right"), [tp.pocket(tp.rectangle(60, 44, (80, 50)), SIX[0], depth=9)])
    sides = [(tp.program_text(each), each.fixture) for each in (line, recess)]
    for cell in (0.5, 1.0):
        found = row(tp.tolerance_study(sides, [*SIX, vee], cell=cell), "the thinnest web between the sides")
        assert found.low == pytest.approx(7, abs=cell / 5)


@pytest.mark.sample(1)
@pytest.mark.parametrize("kind", [np.float64, np.float32, np.int64, Fraction])
def test_ranges_may_be_numbers_of_any_kind(kind):
    """And a study of them is the same, and goes to text like any other."""
    study = two_pockets(6, 7, thickness=kind(1), zero_z=kind(1))
    assert study == two_pockets(6, 7, thickness=1.0, zero_z=1.0)
    assert study.json() == two_pockets(6, 7, thickness=1.0, zero_z=1.0).json()


def test_a_back_cut_in_two_ways_of_lying_is_one_side():
    """Turned left to right and then top to bottom: both floors are from the back."""
    (front, side), (back, _) = pockets(6, 7)
    low = HEAD + area(45, 34, -5, 3) + TAIL
    sides = [(front, side), (back, side.turned_over("left to right")), (low, side.turned_over("top to bottom"))]
    study = tp.tolerance_study(sides, SIX, zero_z=0.05)
    assert {r.text.split(" leaves")[0] for r in study.requirements if "the floor" in r.text} == {
        "the floor 6.00 deep from the front", "the floor 7.00 deep from the back", "the floor 5.00 deep from the back",
    }, str(study)  # fmt: skip


def test_a_floor_that_breaks_through_is_said_so():
    text = HEAD + area(40, 30, -17.8) + TAIL
    study = tp.tolerance_study([(text, tp.Fixture(board=BOARD))], SIX, thickness=0.3)
    assert text_of(study, "breaks through by 0.10 mm")
    assert not study.ok


# Names, findings, the page.


@pytest.mark.long
def test_a_part_lends_its_names():
    """Names of a part's features, in a job whose opening is cut from the front and met from the back."""
    station = weather_station()
    sides = [(tp.program_text(s), s.fixture) for s in (station.front, station.back)]
    part = tp.Part(
        board=station.board,
        front=[
            tp.Parting(area=station.outline, waste="outside", name="outline"),
            *(tp.Parting(area=o, waste="inside", name="opening") for o in station.openings),
        ],
        back=[
            tp.Recess(area=r, depth=14, name=n) for r, n in zip(station.recesses, ("dial", "dial", "display recess"))
        ],
    )
    study = tp.tolerance_study(
        sides, station.front.cutters + station.back.cutters, part=part, thickness=0.2, flip_line=0.05, zero_z=0.05
    )
    assert study.corners == 8
    assert row(study, "the outline still parts the board").margin == pytest.approx(0.05, abs=1e-6)
    assert row(study, "the opening still parts the board").margin == pytest.approx(0.05, abs=1e-6)
    assert row(study, "other through cuts").margin is not None if "other through" in str(study) else True
    assert text_of(study, "the display recess leaves 5.55 to 6.05 mm")
    assert text_of(study, "front and back of the opening and display recess may be off each other by up to 0.10 mm")
    assert text_of(study, "the spoilboard is cut at most 0.55 mm deep, 0.3 is allowed")
    assert text_of(study, "tabs are 3.75 to 4.25 mm thick")


def test_what_comes_up_at_a_corner_only_is_listed_with_what_brings_it():
    """Z0 0.1 too low: the rapid to a hair above the floor of the slot cut before meets it."""
    text = HEAD + slot(30, 30, -5) + "G0 X30 Y30\nG0 Z-4.95\nG1 Z-9\nX70\nG0 Z20\n" + TAIL
    back = HEAD + slot(30, 70, -2) + TAIL
    side = tp.Fixture(board=BOARD)
    sides = [(text, side), (back, side.turned_over("left to right"))]
    assert tp.tolerance_study(sides, SIX, zero_z=0.1, flip_line=0.1).findings == (), "both passes sink alike"
    low = HEAD + "G0 X30 Y30\nG0 Z0.02\nG1 Z-5\nX70\nG0 Z20\n" + TAIL
    study = tp.tolerance_study([(low, side), sides[1]], SIX, zero_z=0.1, flip_line=0.1)
    (found,) = study.findings
    assert (found.code, found.side, found.corner) == ("rapid-in-wood", "front", "Z0 0.10 too low")
    assert not study.ok


@pytest.mark.long
def test_holes_that_no_longer_meet_are_findings_of_the_job():
    study = tp.tolerance_study(PLATE, plate.RACK, thickness=0.3)
    assert [(f.code, f.side, f.corner) for f in study.findings if f.code == "holes-apart"] == [
        ("holes-apart", "back", "the board 0.30 thicker")
    ]
    study = tp.tolerance_study(PLATE, plate.RACK, flip_line=0.05)
    (found,) = (f for f in study.findings if f.code == "holes-apart")
    assert found.corner.startswith("the flip line 0.05 too far"), "whichever way it is off"


@pytest.mark.long
def test_the_page_fits_a_terminal_and_tells_the_ranges():
    study = tp.tolerance_study(PLATE, plate.RACK, thickness=0.2, zero_z=0.1, dowel_clearance=0.1, cutter_diameter=0.02)
    lines = str(study).splitlines()
    assert max(map(len, lines)) <= 100
    assert lines[0].startswith("Tolerance study, 16 combinations of extremes: thickness +-0.2, dowel_clearance 0.1")
    assert study.as_dict()["corners"] == 16


@pytest.mark.long
def test_a_study_is_a_value():
    one, other = (tp.tolerance_study(PLATE, plate.RACK, thickness=0.3) for _ in range(2))
    assert one == other and hash(one) == hash(other)
    assert pickle.loads(pickle.dumps(one)) == one
    assert one != tp.tolerance_study(PLATE, plate.RACK, thickness=0.2)
    assert list(one) == list(one.requirements) and len(one) == len(one.requirements) > 0
    assert repr(one) == "<Study: 2 corners, 1 of 8 requirements fail, 2 findings>"
    assert (
        repr(tp.tolerance_study(PLATE, plate.RACK)) == "<Study: 1 corner, all 8 requirements hold, nothing new found>"
    )
    assert json.loads(one.json()) == json.loads(json.dumps(one.as_dict()))
    with pytest.raises(AttributeError):
        one.corners = 1


def test_nothing_off_is_one_corner_and_the_nominal_margins():
    study = tp.tolerance_study(PLATE, plate.RACK)
    assert study.corners == 1
    assert study.ok, str(study)
    assert {r.corner for r in study.requirements} == {""}
    assert study.findings == ()


BAD = [
    ({"thickness": -0.1}, "thickness"),
    ({"zero_z": float("nan")}, "zero_z"),
    ({"thickness": 10}, "not small against the board's"),
    ({"width": 80}, "not small against the board's"),
    ({"height": -0.1}, "height"),
    ({"thickness": "0.1"}, "thickness"),
    ({"thickness": np.array([0.1, 0.2])}, "thickness"),
    ({"zero_z": True}, "zero_z"),
    ({"thinnest_web": 19}, "thinnest_web"),
    ({"thinnest_web": -1}, "thinnest_web"),
    ({"cutter_diameter": 3}, "not small against the thinnest cutter's"),
]


@pytest.mark.parametrize("ranges, message", BAD)
def test_ranges_that_cannot_be_used_are_said_so(ranges, message):
    with pytest.raises(tp.InputError, match=message):
        tp.tolerance_study(PLATE, plate.RACK, **ranges)


def test_a_clearance_needs_dowels():
    sides = [(text, replace(side, dowels=())) for text, side in PLATE]
    with pytest.raises(tp.InputError, match="has dowels"):
        tp.tolerance_study(sides, plate.RACK, dowel_clearance=0.1)


def test_clearance_of_screws_is_what_is_between_cutter_and_head():
    """A slot 10 beside a screw's middle: 10 less 4.5 less 3; a cutter 0.1 thicker takes 0.05 of it."""
    side = tp.Fixture(board=BOARD, screws=tp.screws([(50, 40)], head_diameter=9, height=2))
    study = tp.tolerance_study([(HEAD + slot(30, 30, -3) + TAIL, side)], SIX, cutter_diameter=0.1)
    found = row(study, "the nearest hold-down")
    assert found.margin == pytest.approx(2.5 - 0.05, abs=1e-6)
    assert found.corner == "the cutters 0.10 thicker"
    assert "the screw at X50 Y40" in found.text


# No point within the ranges is worse.

RANGES = Corner(thickness=0.3, flip_line=0.1, dowel_clearance=0.1, cutter_diameter=0.05, zero_z=0.1)


@pytest.mark.sample(0, long=1)
@pytest.mark.parametrize("name", ["plate", "station", "web", "meeting"])
@given(data=st.data())
@examples(12)
def test_no_point_within_the_ranges_is_worse_than_the_corners(name, data):
    job, cutters = PLATE, plate.RACK
    if name in ("web", "meeting"):
        job, cutters = pockets(6, 7) if name == "web" else pockets(9.3, 9.4), SIX
    if name == "station":
        station = weather_station()
        job = [(tp.program_text(s), s.fixture) for s in (station.front, station.back)]
        cutters = station.front.cutters + station.back.cutters
    asked, spare = worst_of(name, job, cutters)
    inside = Corner(*[data.draw(st.floats(-1, 1)) * value for value in RANGES])
    at = job_at(job_programs.read_sides(job, cutters), inside, 0.5, None)
    assert asked
    for question, worst in zip(asked, spare, strict=True):
        margin = question.margin(*question.measure(at))
        # The distance from a screw is no straight line in what shifts a path: 0.3^2 / (2 * 13) at most.
        tolerance = 0.004 if "hold-down" in question.words(0, 0) else 1e-5
        assert margin >= worst - tolerance, question.words(*question.measure(at))


_WORST: dict[str, tuple] = {}


def worst_of(name, job, cutters):
    """The requirements of a job, and what each has to spare at its worst corner."""
    if name not in _WORST:
        read = job_programs.read_sides(job, cutters)
        nominal = job_at(read, NOMINAL, 0.5, None)
        blur = mismatch(read, RANGES, np.array([[0.0, 0.0]])) + RANGES.cutter_diameter / 2
        tabs = [standing_tabs(run.trial) for run in nominal]
        asked = [*in_moves(nominal, tabs, None, blur, RANGES.thickness + RANGES.zero_z)]
        asked += [*floors(nominal, tabs, None, blur), *webs(nominal, blur, 0.0)]
        values = [[q.measure(at) for q in asked] for at in (job_at(read, c, 0.5, None) for c in corners_of(RANGES))]
        spare = [min(q.margin(*v[n]) for v in values) for n, q in enumerate(asked)]
        assert len(asked) == {"plate": 6, "station": 10, "web": 3, "meeting": 3}[name], [q.words(0, 0) for q in asked]
        _WORST[name] = asked, spare
    return _WORST[name]


def test_the_nominal_job_is_not_changed_by_being_run_at_no_corner():
    read = job_programs.read_sides(PLATE, plate.RACK)
    plain, again = (
        job_programs.judge_programs(read, cell=0.5),
        job_programs.judge_programs(settings_at(read, NOMINAL), cell=0.5),
    )
    assert len(plain) == 2
    for a, b in zip(plain, again, strict=True):
        assert np.array_equal(a.report.stock.top, b.report.stock.top)
        assert a.report.findings == b.report.findings


@pytest.mark.long
def test_gouges_that_the_ranges_explain_are_not_told_and_what_they_do_not_explain_is():
    """Rows 6 apart with a cutter of 6 leave nothing; a thinner one leaves ribs as high as the recess is deep."""
    rows = "".join(f"G1 Y{30.25 + 6 * n}\nX{40 + 40 * (n % 2 == 0)}\n" for n in range(4))
    round_it = "X80\nY30.25\nX40\nY48.25\n"
    text = HEAD + f"G0 X40 Y30.25\nG0 Z2\nG1 Z-4\n{rows}{round_it}G0 Z20\n" + TAIL
    side = tp.Fixture(board=BOARD, grips=(BOARD.outline,))
    meant = tp.Recess(area=tp.rectangle(46, 24, (60, 39.25)), depth=4, corners=3.1, name="tray")
    part = tp.Part(board=BOARD, front=[meant])
    assert tp.verify([(text, side)], SIX, part=part, cell=0.5).ok
    study = tp.tolerance_study([(text, side)], SIX, part=part, zero_z=0.1, thickness=0.2)
    assert study.findings == (), str(study)
    assert text_of(study, "the tray leaves 13.70 to 14.30 mm")
    study = tp.tolerance_study([(text, side)], SIX, part=part, zero_z=0.1, cutter_diameter=0.8)
    assert [(f.code, f.corner) for f in study.findings] == [("leftover", "the cutters 0.80 thinner")], str(study)
