"""The assertion for users' own tests passes what is sound and fails what is not."""

from __future__ import annotations

from dataclasses import replace

import pytest

import toolpaths as tp
from toolpaths.testing import assert_job_safe, assert_safe, assert_same_motion, simulated


def test_assert_safe_passes_a_sound_program_and_prints_the_finding_of_a_tampered_one() -> None:
    """A retract that stays in the wood is found, and the message shows it."""
    side = tp.Fixture(board=tp.Board(width=120, height=80, thickness=18))
    cutter = tp.Cutter(1, tp.flat(6), feed_mm_min=1500, spindle_rpm=18000)
    text = tp.program_text(tp.Setup(side, (tp.bore([(30, 40), (90, 40)], 9, cutter, depth=6),)))

    assert assert_safe(text, side, [cutter]).ok
    assert "G0 Z2\nX" in text
    with pytest.raises(AssertionError, match="rapid-in-wood"):
        assert_safe(text.replace("G0 Z2\nX", "G0 Z-3\nX"), side, [cutter])


def test_assert_job_safe_passes_a_sound_job_and_prints_the_finding_of_another() -> None:
    """A cutter that bears less depth at once is found, and the message shows it."""
    board = tp.Board(width=120, height=80, thickness=18)
    side = tp.Fixture(board=board, grips=(board.outline,))
    cutter = tp.Cutter(1, tp.flat(6), feed_mm_min=1500, spindle_rpm=18000)
    weak = replace(cutter, step_down=2, deepest_pass=1)
    sound, wrong = (
        tp.Job("Holes", [tp.Setup(side, [tp.bore([(30, 40), (90, 40)], 9, each, depth=6)])]) for each in (cutter, weak)
    )
    assert assert_job_safe(sound, cell=1.0).ok
    with pytest.raises(AssertionError, match=r"(?s)The job Holes is not safe.*deep-pass"):
        assert_job_safe(wrong, cell=1.0)


@pytest.fixture(scope="module")
def holes() -> tp.Job:
    board = tp.Board(width=120, height=80, thickness=18)
    side = tp.Fixture(board=board, grips=(board.outline,))
    cutter = tp.Cutter(1, tp.flat(6), feed_mm_min=1500, spindle_rpm=18000)
    return tp.Job("Holes", [tp.Setup(side, [tp.bore([(30, 40), (90, 40)], 9, cutter, depth=6)])])


def failed(found: str, expected: str, **names: str) -> str:
    with pytest.raises(AssertionError) as error:
        assert_same_motion(found, expected, **names)
    return str(error.value)


def test_a_shifted_zero_is_shown_as_one_cause_with_its_line(holes: tp.Job) -> None:
    """All holes lie elsewhere, by one length: there were eight findings without their cause (once a fault)."""
    text = holes.programs()["front"].replace("\nG4 P3\n", "\nG4 P3\nG92 X15\n")
    with pytest.raises(AssertionError) as error:
        assert_job_safe(simulated(holes, texts={"front": text}, cell=1.0))
    said, shown = str(error.value).split("\n\n", 1)
    line = text.splitlines().index("G92 X15") + 1
    assert f"laid-wrong:\nProgram front, line {line}" in shown and "gouge:" not in shown
    words = " ".join(said.split())
    assert "lies 15 mm too far left (X-15)" in words and f"G92 on line {line} moves its zero by as much" in words


def test_what_is_cut_is_shown_before_what_stands_of_the_same_kind(holes: tp.Job) -> None:
    """One hole of two in another place: one finding of each code is shown, with a line each."""
    text = holes.programs()["front"]
    with pytest.raises(AssertionError) as error:
        assert_job_safe(simulated(holes, texts={"front": text.replace("X90 ", "X84 ", 1)}, cell=1.0))
    shown = str(error.value).split("\n\n", 1)[1]
    assert [line for line in shown.splitlines() if line == "leftover:"] in ([], ["leftover:"])


def test_a_zero_moved_is_told_in_words_with_the_place_in_the_other_program(holes: tp.Job) -> None:
    text = holes.programs()["front"]
    said = failed(text.replace("\nG4 P3\n", "\nG4 P3\nG92 X15\n"), text)
    lines = text.splitlines()
    after = lines.index("G4 P3") + 3  # a comment comes between
    assert "new here: G92 by X-15 (where zero is)." in said
    assert f"--> {after:4d}  {lines[after - 1]}" in said.split("The one expected:")[1]
    said = failed(text.replace("G54", "G55"), text)
    assert "new here: G55 (where zero is)." in said
    # Nothing is cut there: no picture of nothing.
    assert "seen from above" not in said


def test_names_of_files_stay_as_they_are() -> None:
    said = failed("G21 G90\nG1 X9 F600\nM2", "G21 G90\nG1 X10 F600\nM2", found_name="out/a.nc", expected_name="b.nc")
    assert said.startswith("out/a.nc moves otherwise than b.nc, first at line 2")
    assert "\nout/a.nc:\n" in said and "\nb.nc:\n" in said
    assert failed("G21 G90\nG1 X9 F600\nM2", "G21 G90\nG1 X10 F600\nM2").startswith("The program moves otherwise")


def test_a_line_that_cannot_be_read_is_shown_beside_what_the_other_program_has_there() -> None:
    """The arc fits no longer, for the line before it is missing."""
    whole = "G21 G90 G17\nG0 X0 Y0 Z5\nG1 X10 F600\nG1 Y10\nG2 X20 Y20 I10 J0\nM2"
    said = failed(whole.replace("G1 Y10\n", ""), whole)
    assert "whether a line before it is missing" in said
    assert "-->    4  G2 X20 Y20 I10 J0" in said.split("The one expected goes on there:")[0]
    assert "-->    4  G1 Y10" in said.split("The one expected goes on there:")[1]
