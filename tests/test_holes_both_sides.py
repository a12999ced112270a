"""Round holes made from both sides: as many as were drilled, however; and who sees that all lie the other way round."""

from __future__ import annotations

import pytest

import toolpaths as tp

BOARD = tp.Board(width=200, height=120, thickness=18)
FLAT = tp.Cutter(2, tp.flat(5), 900, 16000, cutting_length=45)
DRILL = tp.Cutter(1, tp.drill_point(5), 300, 6000, cutting_length=45)
FRONT = tp.Fixture(board=BOARD, grips=[BOARD.outline])
BACK = FRONT.turned_over("left to right", grips=FRONT.grips)
PLACES = [(40, 30), (70, 85), (110, 45)]


def drilled(places: list[tuple[float, float]], pecks: int = 1) -> str:
    """Each hole 10 mm deep, in so many pecks."""
    holes = ""
    for x, y in places:
        holes += f"G0 X{x} Y{y}\nG0 Z2\n"
        holes += "".join(f"G1 Z{-10 * (n + 1) / pecks:g} F200\nG0 Z2\n" for n in range(pecks))
    return f"G17 G21 G40 G49 G54 G90 G94\nT1 M6\nM3 S6000\nG0 Z20\n{holes}G0 Z20\nM5\nM2\n"


def bored(places: list[tuple[float, float]]) -> str:
    """Each hole 8 wide and 10 deep by two half rounds of the cutter of 5, as many a controller asks for."""
    holes = "".join(
        f"G0 X{x + 1.5} Y{y}\nG0 Z2\nG1 Z-10 F200\nG2 X{x - 1.5} I-1.5 F600\nX{x + 1.5} I1.5\nG1 X{x}\nG0 Z20\n"
        for x, y in places
    )
    return f"G17 G21 G40 G49 G54 G90 G94\nT2 M6\nM3 S16000\nG0 Z20\n{holes}M5\nM2\n"


def seen_from_the_back(places: list[tuple[float, float]], turned: str) -> list[tuple[float, float]]:
    """Where the program of a back that is turned so has places of the front."""
    if turned == "left to right":
        return [(BOARD.width - x, y) for x, y in places]
    return [(x, BOARD.height - y) for x, y in places]


def findings(front: str, back: str) -> list[tuple[str, int]]:
    report = tp.verify([(front, FRONT), (back, BACK)], [DRILL, FLAT], cell=0.5)
    about = [each.finding for each in report if each.finding.code in ("holes-apart", "laid-wrong")]
    return [(each.code, each.times) for each in about]


@pytest.mark.parametrize("count", [2, pytest.param(3, marks=pytest.mark.long)])
def test_two_holes_that_meet_otherwise_are_enough_to_say_how_the_board_is_to_lie(count):
    front = drilled(PLACES[:count])
    assert findings(front, drilled(seen_from_the_back(PLACES[:count], "left to right"))) == []
    assert findings(front, drilled(seen_from_the_back(PLACES[:count], "top to bottom"))) == [("laid-wrong", 1)]


@pytest.mark.parametrize("pecks", [3, pytest.param(1, marks=pytest.mark.long)])
def test_each_hole_off_its_partner_is_counted_once(pecks):
    """In however many pecks it was drilled."""
    off = [(x, y + 0.3) for x, y in seen_from_the_back(PLACES, "left to right")]
    assert findings(drilled(PLACES, pecks), drilled(off, pecks)) == [("holes-apart", len(PLACES))]


def test_a_hole_bored_in_half_rounds_is_one_hole():
    """Its axis and its depth are those of all its moves."""
    off = [(x, y + 0.3) for x, y in seen_from_the_back(PLACES, "left to right")]
    assert findings(bored(PLACES), bored(off)) == [("holes-apart", len(PLACES))]
    assert findings(bored(PLACES), bored(seen_from_the_back(PLACES, "left to right"))) == []
