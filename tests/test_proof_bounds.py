"""The bounds of the proof are tight: what stands or lies just outside of one is proved, what is within is not.

Each of these fails a mutant of the proof's code that the other tests let live.
"""

from __future__ import annotations

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
