"""The assertion for users' own tests passes what is sound and fails what is not."""

from __future__ import annotations

from dataclasses import replace

import pytest

import toolpaths as tp
from toolpaths.testing import assert_job_safe, assert_safe


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
