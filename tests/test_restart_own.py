"""Restarts cut at random lines by the tests' own reader and wood, which share nothing with the library's simulator."""

from __future__ import annotations

import numpy as np
import pytest
from plain_judge import run
from plain_wood import heights
from restart_job import BOARD, MILL
from restart_job import DRILL as PILOT
from restart_job import job as tray
from test_restart import PRINTED, safe

import toolpaths as tp

FORMS = [
    ("M6", "mm", "canned"), ("stop", "inch", "canned"), ("files", "mm", "spelled out"), ("M6", "inch", "spelled out"),
]  # fmt: skip
RACK = [PILOT, MILL]


def ways(text: str, of: tp.Job, name: str) -> list:
    """All ways of a text into the board, in order. What a file for one cutter says of it the reader does not know."""
    rack = [MILL] if name.endswith("T1") else [PILOT] if name.endswith("T2") else RACK
    return run(text, of.setups[0].fixture, rack).cuts()


def dots(seed: int, count: int = 1500) -> np.ndarray:
    return np.random.default_rng(seed).uniform((0, 0), (BOARD.width, BOARD.height), (count, 2))


def assert_same_wood(of: tp.Job, name: str, line: int, points: np.ndarray) -> None:
    text = of.programs()[name]
    before = "".join(text.splitlines(keepends=True)[: line - 1])
    again = of.restart(name, line=line, cell=2.0)
    whole = heights(ways(text, of, name), points)
    left, after = ways(before, of, name), ways(again.text, of, name)
    assert np.abs(np.minimum(heights(left, points), heights(after, points)) - whole).max() < PRINTED, (name, line)


@pytest.mark.sample(0, long=1)
@pytest.mark.parametrize(("change", "units", "cycles"), FORMS)
def test_the_part_is_the_same_from_lines_by_lot(change, units, cycles):
    of, rng = tray(change, units, cycles), np.random.default_rng(len(change + units + cycles))
    for name in of.programs():
        lines = safe(of, name)
        for line in rng.choice(lines, min(8, len(lines)), replace=False).tolist():
            assert_same_wood(of, name, line, dots(line))


@pytest.mark.long
def test_a_line_left_out_of_a_restart_is_seen_in_the_wood():
    """The measure itself: without one of the cuts that the restart makes again, the wood is another."""
    of = tray()
    text = of.programs()["front"]
    points = np.concatenate([dots(3), [(50.0, 45.0), (35.0, 45.0)]])
    cut = ways(text, of, "front")
    whole = heights(cut, points)
    assert np.abs(heights(cut[: len(cut) // 2], points) - whole).max() > 1.0


TAPED = tp.Fixture(board=BOARD, grips=(BOARD.outline,), spoilboard_depth=1.0)


def windows(fixture: tp.Fixture, units: str = "mm", **more) -> tp.Job:
    """Two openings without tabs, whose slugs come free, and a tray after them."""
    openings = [
        tp.contour(tp.rectangle(30, 24, place), MILL, depth=tp.through(0.3), side="inside", name=name)
        for name, place in (("left window", (35, 45)), ("right window", (95, 45)))
    ]
    pocket = tp.pocket(tp.rectangle(16, 20, (65, 45)), MILL, depth=4, name="tray")
    return tp.Job("Windows", [tp.Setup(fixture, [*openings, pocket])], units=units, **more)


@pytest.mark.long
def test_what_is_cut_free_by_then_is_listed_with_what_holds_it():
    of = windows(TAPED)
    one, both = (of.restart("front", after=name, cell=1.0) for name in ("left window", "right window"))
    assert [len(each.free) for each in (one, both)] == [1, 2]
    (piece,) = one.free
    # A slug of 30 x 24 less the cutter all round.
    assert (piece.width, piece.height) == pytest.approx((18, 12), abs=1.0) and piece.area == pytest.approx(216, abs=40)
    assert (piece.x, piece.y) == pytest.approx((35, 45), abs=0.6) and [thing.by for thing in piece.held_by] == ["tape"]
    head = " ".join(line.strip("( )") for line in one.text.splitlines()[:40])
    assert "Cut free, on double-sided tape alone, try that it holds: 18 x 12 mm about X35 Y45" in head
    notes = [note for note in both.notes if note.startswith("Cut free")]
    assert len(notes) == 1 and notes[0].count(" X") == 2, both.notes
    assert not of.restart("front", line=safe(of, "front")[0], cell=1.0).free


def test_what_lies_loose_is_to_be_taken_out():
    """Screws hold the frame alone; the loose slugs are accepted as the user's own doing."""
    screws = tp.screws([(8, 8), (122, 8), (8, 82), (122, 82)], head_diameter=9, height=3)
    accepted = [tp.Accept("loose-piece", name, "I take them out.") for name in ("left window", "right window")]
    for units, said in (("mm", "18 x 12 mm about X35 Y45"), ("inch", "0.7 x 0.5 inch about X1.4 Y1.8")):
        of = windows(tp.Fixture(board=BOARD, screws=screws, spoilboard_depth=1.0), units, accept=accepted)
        again = of.restart("front", after="left window", cell=0.5)
        assert [piece.held_by for piece in again.free] == [()]
        assert f"Lies loose, take it out: {said}" in again.notes
        head = " ".join(line.strip("( )") for line in again.text.splitlines()[:40])
        assert f"Lies loose, take it out: {said}" in head


@pytest.mark.long
def test_a_restart_that_cuts_into_what_lies_loose_is_not_written(tmp_path):
    """The part is cut off all round before its tray: nothing holds it when the tray is gone on with."""
    screws = tp.screws([(8, 8), (122, 8), (8, 82), (122, 82)], head_diameter=9, height=3)
    fixture = tp.Fixture(board=BOARD, screws=screws, spoilboard_depth=1.0)
    outline = tp.contour(tp.rectangle(90, 56, (65, 45)), MILL, depth=tp.through(0.3), name="outline")
    pocket = tp.pocket(tp.rectangle(30, 30, (65, 45)), MILL, depth=4, name="tray")
    of = tp.Job("Loose", [tp.Setup(fixture, [outline, tp.stop("Look"), pocket])])
    again = of.restart("front", after="outline", cell=1.0)
    assert [piece.held_by for piece in again.free] == [()] and "cuts-loose" in again.report.codes()
    with pytest.raises(tp.NotSafeError):
        again.write(tmp_path / "again.nc")
