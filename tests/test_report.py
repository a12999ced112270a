"""What a reader sees: the page, the JSON, and the wood of both faces."""

from __future__ import annotations

import json
from dataclasses import replace

import numpy as np
import pytest
from planted_part import BACK, PART, RACK, SLUG, SOUND, SOUND_BACK, back, front
from shapely import box

import toolpaths as tp
from toolpaths import simulate
from toolpaths.facts.board import Clamp
from toolpaths.judging.report import WIDTH
from toolpaths.testing import assert_safe


def test_json_holds_what_the_report_holds():
    report = front(SOUND.replace("G1 X67", "G1 X76"))
    plain = json.loads(report.json())
    assert plain["ok"] is False
    assert [found["code"] for found in plain["findings"]] == [finding.code for finding in report.findings]
    first, finding = plain["findings"][0], report.findings[0]
    assert first["lines"] == list(finding.lines)
    assert first["place"] == pytest.approx(finding.place)
    assert first["amount"] == pytest.approx(finding.amount)
    assert plain["removed_mm3"] == pytest.approx(report.stock.removed())
    assert json.loads(front(SOUND).json())["ok"] is True


def test_page_fits_a_terminal_however_much_is_found():
    lines = SOUND.splitlines()
    at = lines.index("T2 M6")
    many = [f"G0 X{x} Y{y}\nG1 Z-1 F400\nG0 Z20" for x in range(20, 190, 12) for y in (20, 105)]
    report = front("\n".join([*lines[:at], *many, *lines[at:]]))
    assert len(report.findings) > 20
    page = str(report)
    assert max(map(len, page.splitlines())) <= WIDTH
    assert page.count("gouge") <= 20
    assert "more, all of them in .findings" in page


def test_page_says_what_was_not_judged():
    assert "the part meant" in str(simulate(SOUND, SLUG, RACK, cell=1.0))
    assert "the part meant" not in str(front(SOUND, 1.0))


def test_page_says_where_nothing_was_declared_that_holds():
    bare, held = (simulate(SOUND, replace(SLUG, screws=(), clamps=some, grips=()), RACK, cell=1.0)
                  for some in ((), (Clamp(area=box(0, 0, 10, 10), height=3),)))  # fmt: skip
    assert "what holds the board (nothing was declared)" in " ".join(str(bare).split())
    assert "what holds the board (nothing was declared)" not in " ".join(str(held).split())


def test_web_is_noted_where_both_sides_were_cut():
    report = back(SOUND_BACK)
    assert report.ok, str(report)
    assert any("4.00 mm" in note for note in report.notes), report.notes


def test_both_faces_of_the_finished_wood_are_arrays():
    stock = back(SOUND_BACK).stock
    row, column = stock.cell_at(150, 50)
    assert stock.top[row, column] == pytest.approx(-9)
    assert stock.bottom[row, column] == pytest.approx(-18 + 5)
    assert stock.top.shape == stock.bottom.shape == stock.grid.shape
    assert np.isfinite(stock.top).all()


def test_assertion_prints_the_findings_and_passes_sound_programs():
    assert assert_safe(SOUND, SLUG, RACK, part=PART, cell=1.0).ok
    with pytest.raises(AssertionError, match=r"(?s)front program is not safe.*gouge"):
        assert_safe(SOUND.replace("G1 X67", "G1 X76"), SLUG, RACK, part=PART, cell=1.0)
    sides = [(SOUND, SLUG), (SOUND_BACK, BACK)]
    assert tp.verify(sides, RACK, part=PART, cell=1.0, thinnest_web=3.9).ok
    assert tp.verify(sides, RACK, part=PART, cell=1.0, thinnest_web=4.1).codes() == ("thin-web",)
