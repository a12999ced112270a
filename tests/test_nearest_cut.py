"""Wood that stands is told with the line that works nearest to it, in the work that should have taken it."""

from __future__ import annotations

import re

import pytest

import toolpaths as tp

BOARD = tp.Board(width=160, height=110, thickness=16)
T1 = tp.Cutter(1, tp.flat(6), 1200, 16000, plunge_mm_min=400, cutting_length=30, step_down=6)
T2 = tp.Cutter(2, tp.drill_point(4), 400, 9000, cutting_length=30)
SIDE = tp.Fixture(board=BOARD, grips=(BOARD.outline,))
SETUP = tp.Setup(SIDE, [
    tp.pocket(tp.rectangle(40, 30, (40, 40)), T1, depth=5, name="tray"),
    tp.pocket(tp.rectangle(40, 30, (110, 40)), T1, depth=5, name="dish"),
    tp.groove([(20, 80), (70, 85)], T1, depth=3, name="groove"),
    tp.drill([(100, 80), (120, 80), (140, 80)], T2, depth=6, name="feet"),
])  # fmt: skip
PART, TEXT = tp.intended_part(SETUP), tp.program_text(SETUP)
NAMES = ["tray", "dish", "groove", "feet"]
DEPTHS = {"tray": "5", "dish": "5", "groove": "3", "feet": "6"}


def sections() -> dict[str, range]:
    """The lines of each piece of work, from 1."""
    lines = TEXT.splitlines()
    begin = [lines.index(f"({name})") + 1 for name in NAMES]
    return {name: range(a, b) for name, a, b in zip(NAMES, begin, [*begin[1:], len(lines)])}


def leftovers(text: str) -> list[tp.Finding]:
    return [each for each in tp.simulate(text, SIDE, [T1, T2], part=PART, cell=1.0) if each.code == "leftover"]


def edited(numbers: range, old: str, new: str) -> str:
    """The text with what is written otherwise in some of its lines."""
    lines = TEXT.splitlines()
    for number in numbers:
        lines[number - 1] = re.sub(old, new, lines[number - 1])
    assert lines != TEXT.splitlines()
    return "\n".join(lines) + "\n"


@pytest.mark.sample(1)
@pytest.mark.parametrize("name", NAMES)
def test_a_floor_too_high_is_told_with_the_line_that_cuts_lowest_there(name: str) -> None:
    """One millimetre less deep: the line lies in that work, and cuts over the place."""
    depth = DEPTHS[name]
    text = edited(sections()[name], rf"Z-{depth}\b", f"Z-{float(depth) - 1:g}")
    told = leftovers(text)
    assert told
    for each in told:
        assert each.line in sections()[name] and each.operations == (name,)
        assert f"line {each.line} cuts lowest there" in each.message


@pytest.mark.sample(1)
@pytest.mark.parametrize("name", NAMES)
def test_work_left_out_is_told_with_its_first_line(name: str) -> None:
    """Nothing else works near by: the work is known by its name, and without comments nothing is said."""
    lines = TEXT.splitlines()
    kept = [
        line
        for n, line in enumerate(lines, start=1)
        if n not in sections()[name][1:] or line.startswith(("T", "M", "S"))
    ]
    text = "\n".join(kept) + "\n"
    told = leftovers(text)
    assert told
    for each in told:
        assert text.splitlines()[each.line - 1] == f"({name})" and each.operations == (name,)
        assert f"it belongs to {name}, from line {each.line} on" in each.message
    for each in leftovers(re.sub(r" ?\([^)]*\)", "", text)):
        assert (each.line, each.operations) == (0, ())


def test_a_wall_that_stands_too_far_inside_is_told_with_the_line_beside_it() -> None:
    """The right wall of the tray is cut 0.6 mm short, at the line that goes along it."""
    number, line = next((n, line) for n, line in enumerate(TEXT.splitlines(), 1)
                        if n in sections()["tray"] and re.search(r"X57\b", line))  # fmt: skip
    told = leftovers(edited(sections()["tray"], r"X57\b", "X56.4"))
    assert told and all(each.operations == ("tray",) and each.line >= number for each in told), line
    assert all("at that depth" in each.message or "cuts lowest" in each.message for each in told)


def test_a_line_beside_it_makes_it_no_consequence() -> None:
    """The line that is told did not leave the wood: what it meets is no reason to leave the finding out."""
    text = edited(sections()["tray"], r"X57\b", "X56.4")
    (first, *_) = leftovers(text)
    assert first.lines == ()
