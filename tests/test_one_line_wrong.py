"""One line wrong in a short sound program is one finding of its own code, on that line, and seldom another."""

from __future__ import annotations

import pytest

import toolpaths as tp

BOARD = tp.Board(width=80, height=60, thickness=18)
SIDE = tp.Fixture(board=BOARD, grips=(BOARD.outline,))
SIX = tp.Cutter(1, tp.flat(6), feed_mm_min=1200, plunge_mm_min=400, spindle_rpm=16000, step_down=6, cutting_length=30)
EIGHT = tp.Cutter(2, tp.flat(8), feed_mm_min=1200, plunge_mm_min=400, spindle_rpm=16000, step_down=6, cutting_length=30)
SOUND = """G21 G90 G17 G49 G54
G0 Z20
T1 M6
M3 S16000
G4 P2
G0 X20 Y30
Z2
G1 Z-2 F400
X60 F1200
G0 Z20
M5
M30
"""
# What is put in place of a line, the code that is found, and the line of the changed text on which it is.
WRONG = {
    "a zero of another system": ("G21 G90 G17 G49 G54", "G21 G90 G17 G49 G55", "other-zero", 1),
    "home in between": ("Z2", "G28 Z20\nG0 Z2", "other-zero", 7),
    "an offset of before": ("Z2", "G92.3\nG0 Z2", "other-zero", 7),
    "no units": ("G21 G90 G17 G49 G54", "G90 G17 G49 G54", "modes", 2),
    "no way to count": ("G21 G90 G17 G49 G54", "G21 G17 G49 G54", "modes", 2),
    "counts on from there after a stop": ("G0 Z20\nM5", "G0 Z20\nM5\nG91\nM0\nG0 X1\nG90", "state-left", 14),
    "left counting from there": ("M5", "M5\nG91", "state-left", 12),
    "left with an offset of length": ("M5", "M5\nG43 H1", "state-left", 12),
    "a stop with the spindle on": ("G0 Z20\nM5", "G0 Z20\nM0\nM5", "stop-turning", 11),
    "the spindle stopped in the wood": ("G0 Z20\nM5", "M5\nG0 Z20\nM5", "stops-low", 10),
    "a cutter that is not there": ("T1 M6", "T7 M6", "unknown-tool", 3),
    "the length of another": ("T1 M6", "T1 M6\nG43 H2", "other-length", 9),
    "no feed": ("G1 Z-2 F400\nX60 F1200", "G1 Z-2\nX60 F1200", "no-feed", 8),
    "a dwell that burns": ("X60 F1200", "G4 P8\nG1 X60 F1200", "long-dwell", 9),
    "a dwell in milliseconds": ("G4 P2", "G4 P2000", "long-dwell", 5),
    "the other way round": ("M3 S16000", "M4 S16000", "spindle-off", 8),
    "at rest": ("M3 S16000", "S16000", "spindle-off", 8),
    "lower than the board's top at the end": ("G0 Z20\nM5", "G0 Z2\nM5\nG0 Z-1", "waits-low", 13),
}
# What the same line does besides.
BESIDES = {"the length of another": {"state-left"}, "lower than the board's top at the end": {"spindle-off"}}


def found(text: str) -> list[tp.Finding]:
    return list(tp.simulate(text, SIDE, [SIX, EIGHT], cell=4.0))


def test_it_is_sound() -> None:
    assert found(SOUND) == []


@pytest.mark.parametrize("name", WRONG)
def test_one_line_wrong_is_found_on_it(name: str) -> None:
    old, new, code, line = WRONG[name]
    assert SOUND.count(f"\n{old}\n") == 1 or SOUND.startswith(f"{old}\n")
    report = found(SOUND.replace(f"{old}\n", f"{new}\n", 1))
    (one,) = [each for each in report if each.code == code]
    assert {each.code for each in report} == {code} | BESIDES.get(name, set())
    assert line in (one.line, *one.lines), one
