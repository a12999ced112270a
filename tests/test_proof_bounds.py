"""The bounds of the proof are tight: what stands or lies just outside of one is proved, what is within is not.

Each of these fails a mutant of the proof's code that the other tests let live.
"""

from __future__ import annotations

import re

import pytest
from mutant_bases import BOARD

import toolpaths as tp
from toolpaths.proving.proof import SENTENCES, Proof, prove

MODES = "G17 G21 G40 G49 G54 G90 G94\nT1 M6\nM3 S9000\nG0 Z9\n"
FLAT = tp.Cutter(1, tp.flat(6), feed_mm_min=900, spindle_rpm=18000)


def refused(proof: Proof) -> list[str]:
    return [sentence.text for sentence in proof.sentences if sentence.why_not]


def test_a_screw_is_in_the_way_from_its_own_stop_on():
    """Not from an earlier stop at which something else is done."""
    screw = tp.screws([(40, 25)], head_diameter=8, height=3, driven_at="drive the middle screw")
    fixture = tp.Fixture(board=BOARD, screws=screw, grips=[BOARD.outline])
    part = tp.Part(board=BOARD, front=[])
    over = "X30 Y25 Z1\nX50\nZ9\n"
    stops = f"M0 (turn the clamps)\n{over}M0 (drive the middle screw)\nX10 Y10\n"
    assert prove([f"{MODES}{over}{stops}M2"], part, fixture, [FLAT]).holds
    assert refused(prove([f"{MODES}{stops}{over}M2"], part, fixture, [FLAT])) == [SENTENCES[3]]
    # Without words at its stop it may be there all the time.
    assert refused(prove([f"{MODES}{over}M0\nX10 Y10\nM2"], part, fixture, [FLAT])) == [SENTENCES[3]]


@pytest.mark.parametrize(("beyond", "proved"), [(0.0, True), (0.05, False)])
def test_a_pointed_cutter_is_as_wide_as_at_the_face_and_no_wider(beyond, proved):
    """A V of 90 degrees 1 mm deep is 1 mm wide to each side; the wall is at Y10 to Y40."""
    vee = tp.Cutter(1, tp.v_point(12, 90), feed_mm_min=900, spindle_rpm=18000)
    part = tp.Part(board=BOARD, front=[tp.Recess(area=tp.rectangle(40, 30, (40, 25)), depth=3)])
    fixture = tp.Fixture(board=BOARD, grips=[BOARD.outline])
    way = f"X30 Y{39 + beyond}\nG1 Z-1 F300\nX50\nG0 Z9\nM2"
    assert (refused(prove([MODES + way], part, fixture, [vee])) == []) is proved


@pytest.mark.parametrize(("z", "proved"), [(0.5, True), (0.001, True), (-0.05, False)])
def test_a_rapid_just_above_the_face_meets_no_wood(z, proved):
    """With a pointed cutter as with a flat one; below the face it does."""
    vee = tp.Cutter(1, tp.v_point(12, 90, tip_diameter=2), feed_mm_min=900, spindle_rpm=18000)
    fixture = tp.Fixture(board=BOARD, grips=[BOARD.outline])
    for cutter in (FLAT, vee):
        proof = prove([f"{MODES}X30 Y20\nZ{z}\nX50\nZ9\nM2"], tp.Part(board=BOARD), fixture, [cutter])
        assert (SENTENCES[1] not in refused(proof)) is proved


def carved() -> tp.Setup:
    vee = tp.Cutter(3, tp.v_point(12, 90), feed_mm_min=900, spindle_rpm=16000, cutting_length=10)
    return tp.Setup(tp.Fixture(board=BOARD, grips=[BOARD.outline]), [tp.v_carve(tp.rectangle(8, 3, (40, 25)), vee)])


def dished() -> tp.Setup:
    ball = tp.Cutter(6, tp.ball(6), feed_mm_min=900, spindle_rpm=16000, cutting_length=12)
    return tp.Setup(
        tp.Fixture(board=BOARD, grips=[BOARD.outline]),
        [tp.hollow(tp.circle(12, (40, 25)), ball, depth=1.5, scallop=0.1)],
    )


def spoilt(text: str, letter: str, by: float) -> str:
    """Every word of a letter of what feeds moved by so many mm; rapids stay."""
    lines, feeding = [], False
    for line in text.split("\n"):
        feeding = not line.startswith("G0") and (feeding or line.startswith(("G1", "G2", "G3")))
        move = feeding and not line.startswith("(")
        words = re.sub(rf"{letter}(-?[\d.]+)", lambda m: f"{letter}{float(m[1]) + by:.4f}", line) if move else line
        lines.append(words)
    return "\n".join(lines)


@pytest.mark.parametrize("made", [pytest.param(carved, marks=pytest.mark.long), dished])
def test_on_a_sloping_surface_what_was_meant_is_proved_and_a_twentieth_deeper_or_aside_is_not(made):
    setup = made()
    text, part = tp.program_text(setup), tp.intended_part(setup)
    proof = prove([text], part, setup.fixture, setup.cutters)
    assert proof.holds, str(proof)
    for letter, by in (("Z", -0.05), ("X", 0.05)):
        edited = spoilt(text, letter, by)
        assert edited != text
        assert SENTENCES[0] in refused(prove([edited], part, setup.fixture, setup.cutters)), letter


LONG = pytest.mark.long


@pytest.mark.parametrize(
    "profile", [tp.ball(10), pytest.param(tp.flat(6), marks=LONG), pytest.param(tp.v_point(12, 150), marks=LONG)]
)
def test_a_cutter_wider_above_its_tip_than_the_surface_is_not_proved_on_it(profile):
    """Its tip goes where that of the right one goes, its edges into the slope."""
    setup = dished()
    text, part = tp.program_text(setup), tp.intended_part(setup)
    other = tp.Cutter(6, profile, feed_mm_min=900, spindle_rpm=16000, cutting_length=12)
    assert SENTENCES[0] in refused(prove([text], part, setup.fixture, [other]))
