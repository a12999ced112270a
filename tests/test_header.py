"""What the person at the machine reads first."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest
from pathcheck import BOARD, DRILL3, FRONT, MIDDLE, T6, run_text

import toolpaths as tp

DOWELS = tuple(tp.Dowel(x=x, y=70, diameter=8, depth=8) for x in (12, 188))
SIDE = tp.Fixture(
    board=BOARD,
    dowels=DOWELS,
    screws=tp.screws([(10, 10), (190, 130)], head_diameter=9, height=2),
    clamps=(tp.Clamp(area=tp.rectangle(20, 10, (100, 5)), height=12),),
)


def head(fixture: tp.Fixture, units: str = "mm") -> list[str]:
    """The comment lines before the first code."""
    work = (tp.drill([(60, 60)], DRILL3, depth=5), tp.stop("Look"), tp.contour(tp.circle(40, MIDDLE), T6, depth=9))
    text = tp.program_text(tp.Setup(fixture, title="Test piece", work=work), units=units)
    return text.split("G17")[0].splitlines()


def test_header_says_side_board_zero_cutters_order_and_cautions():
    lines = head(SIDE)
    text = "\n".join(lines)

    assert all(re.fullmatch(r"\([ -'*-~]+\)", line) for line in lines)
    assert lines[0] == "(Test piece: front)"
    for part in ("200 x 140 x 18 mm", "lower left corner", "Z0 is the top", "Safe height 17 mm", "2 dowels of 8",
                 "2 screws, 1 clamps", "T6: drill 3 118 deg", "T1: flat 6, 2 flutes, 18000 rpm"):  # fmt: skip
        assert part in text, part
    order = [line for line in lines if re.match(r"\(\d+\. ", line)]
    assert order == ["(1. drill, T6)", "(2. stop: Look)", "(3. contour outside, T1)"]
    assert "manual and local codes" in text and "Extinguisher" in text


def test_header_in_inches_gives_inches():
    board = tp.Board(width=tp.inch(8), height=tp.inch(6), thickness=tp.inch("3/4"))
    text = "\n".join(head(tp.Fixture(board=board), "inch"))

    assert "8 x 6 x 0.75 inch" in text
    assert "T1: flat 0.2362" in text and "Safe height 0.1969 inch" in text


def test_header_of_the_back_says_how_it_was_turned():
    lines = head(SIDE.turned_over("top to bottom"))

    assert lines[0].startswith("(Test piece: back") and "top to bottom" in lines[0]
    assert "pins in place" in "\n".join(lines)


@pytest.mark.parametrize(("corner", "surface"), [("centre", "spoilboard"), ("upper right", "top")])
def test_header_names_the_zero(corner, surface):
    text = "\n".join(head(replace(FRONT, zero_at=corner, zero_on=surface)))

    assert f"{corner} " in text and f"Z0 is the {surface}" in text


def test_header_breaks_names_too_long_for_a_line():
    """200 characters of name and the sizes behind it passed 256, and no program was written (once a fault)."""
    board = tp.Board(width=200, height=140, thickness=18, name="long " * 39 + "name")
    text, report = run_text([tp.contour(tp.circle(40, MIDDLE), T6, depth=2)], fixture=tp.Fixture(board=board))

    assert report.ok
    assert max(len(line) for line in text.splitlines()) <= 256
    assert re.sub(r"\)\n\(", " ", text).count("long long") > 5
