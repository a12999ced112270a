"""The benchmark runs on few features, and nothing is asserted about time: what is counted is work."""

from __future__ import annotations

import runpy
from pathlib import Path

import pytest

from toolpaths.making.motion.toolpath import Toolpath
from toolpaths.making.plan import order

BENCH = runpy.run_path(str(Path(__file__).with_name("growth.py")))


@pytest.mark.long
def test_seconds_and_exponents_are_measured():
    assert list(BENCH["measured"]("holes, in any order", 10)) == [1, 10]
    assert BENCH["exponent"](10, 1.0, 100, 100.0) == pytest.approx(2)


@pytest.mark.long
def test_what_comes_before_what_is_said_in_as_many_words_as_there_is_work(monkeypatch):
    """Holes of two cutters and parts that are cut free: that all else comes before what frees a part is one row, not
    a pair for each hole and part."""
    said = []
    plain = order.with_precedence

    def counted(*args):
        before, notes = plain(*args)
        said.append(sum(len(row.first) + len(row.then) for row in before))
        return before, notes

    monkeypatch.setattr(order, "with_precedence", counted)
    for number in (3, 12):
        BENCH["text"]("all kinds, in any order", number)
    few, many = said
    assert 0 < few <= many <= 4.5 * few


@pytest.mark.long
def test_moves_of_earlier_toolpaths_are_looked_at_once_however_many_questions_follow(monkeypatch):
    looked: list[Toolpath] = []
    plain = Toolpath.lowest.func

    def lowest(path):
        looked.append(path)
        return plain(path)

    monkeypatch.setattr(Toolpath, "lowest", property(lowest))
    counts = []
    for number in (2, 8):
        looked.clear()
        BENCH["text"]("pockets, in a list", number)
        counts.append(len(looked))
    few, many = counts
    assert 0 < many <= 4 * few
