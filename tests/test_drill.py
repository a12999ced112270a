"""Drilled holes: depth, point, pecks, and canned cycles against the same motion spelled out.

Motions: NISTIR 6556 section 3.5.16 and its interpreter's 0.254 mm above the last peck (reference 1.5).
"""

from __future__ import annotations

import re
from dataclasses import replace
from math import pi, tan

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from pathcheck import DRILL3, FRONT, INSERT, SIDES, T6, run_text

import toolpaths as tp
from samples import examples
from toolpaths.judging.reader.motions import DWELL, FEED, RAPID

PLACES = [(30, 40), (90, 40), (90, 100), (150.5, 20.25)]
SCREWED = tp.Fixture(board=FRONT.board, screws=tp.screws([(10, 10)], head_diameter=9, height=3))


def motions(text: str, kind: int):
    """Starts and ends of the motions of one kind."""
    read = tp.read(text).motions
    return read.start[read.kind == kind], read.end[read.kind == kind]


@pytest.mark.parametrize(
    "how", [{}, {"peck": 2.5}, {"peck": 4}, {"dwell_s": 0.5}, {"peck": 3, "dwell_s": 0.2}], ids=str
)
@pytest.mark.parametrize("fixture", [FRONT, SCREWED], ids=["bare", "screws"])
@pytest.mark.parametrize("units", ["mm", "inch"])
def test_drill_canned_and_spelled_out_cut_the_same(how, fixture, units):
    """The same feeds and dwells in order, the same wood gone; a dwell was lost with pecks (once a fault)."""
    op = tp.drill(PLACES, DRILL3, depth=10, **how)
    canned, first = run_text([op], fixture=fixture, cycles="canned", units=units)
    spelled, second = run_text([op], fixture=fixture, cycles="spelled out", units=units)

    # The increment of a cycle is rounded once, and adds up over its pecks.
    digit = (1e-4 if units == "mm" else 2.54e-4) * (1 + (12 // how["peck"] if "peck" in how else 0))
    (a, b), (c, d) = motions(canned, FEED), motions(spelled, FEED)
    assert len(a) and a.shape == c.shape
    assert np.abs(a - c).max() <= digit + 1e-9 and np.abs(b - d).max() <= digit + 1e-9
    assert first.ok and second.ok, f"{first}\n{second}"
    assert np.array_equal(first.stock.top, second.stock.top)
    assert len(motions(canned, DWELL)[0]) == len(motions(spelled, DWELL)[0]) == 1 + len(PLACES) * ("dwell_s" in how)
    assert not any(f"G8{n}" in spelled.replace("G80", "") for n in "123")


def test_drill_pecks_are_those_of_the_standard():
    """From R = 2 to -8 by 5: feeds to -3 and -8, no empty third; between them up, and down to 0.254 above."""
    text, _ = run_text([tp.drill([(30, 40)], DRILL3, depth=8, peck=5)], cycles="spelled out")

    start, end = motions(text, FEED)
    assert [(s[2], e[2]) for s, e in zip(start, end)] == [(2, -3), (pytest.approx(-2.746), -8)]
    assert [z for z in motions(text, RAPID)[1][:, 2] if z < 2] == [pytest.approx(-2.746)]


def test_drill_to_full_diameter_adds_the_point():
    """118 degrees: 0.300430 D deeper (reference 2.2)."""
    for angle, factor in ((118.0, 0.300430), (135.0, 0.207107)):
        cutter = replace(DRILL3, profile=tp.drill_point(3, angle))
        (path,) = tp.drill([(30, 40)], cutter, depth=7, depth_of="full diameter").toolpaths(FRONT)
        assert path.lowest == pytest.approx(-7 - 3 * factor, abs=1e-5)
    assert tp.drill([(30, 40)], DRILL3, depth=7).toolpaths(FRONT)[0].lowest == -7


def test_drill_removes_cylinder_and_point():
    """pi r^2 d for the full diameter, and the cone of the point, pi r^2 h / 3."""
    _, report = run_text([tp.drill([(30, 40), (60, 41)], DRILL3, depth=8, depth_of="full diameter")], cell=0.05)

    h = 1.5 / tan(np.radians(59))
    assert report.stock.removed() == pytest.approx(2 * (pi * 2.25 * 8 + pi * 2.25 * h / 3), rel=0.01)


@pytest.mark.parametrize("face", SIDES)
def test_drill_holes_lie_as_seen_from_the_front_in_the_order_given(face):
    fixture = SIDES[face]
    (path,) = tp.drill(PLACES, DRILL3, depth=5, order="as given").toolpaths(fixture)

    expected = {"front": PLACES, "left to right": [(200 - x, y) for x, y in PLACES]}
    expected["top to bottom"] = [(x, 140 - y) for x, y in PLACES]
    assert np.array([(m.x, m.y) for m in path.moves if m.hole]) == pytest.approx(np.array(expected[face]))


@pytest.mark.parametrize("face", SIDES)
@pytest.mark.parametrize("work", ["drill", "bore"])
def test_holes_are_visited_along_a_short_way_unless_the_order_is_given(face, work):
    """Two rows listed across and across again: short is along one row and back along the other."""
    rows = [(x, y) for x in range(20, 181, 20) for y in (30, 90)]

    def visited(**how):
        work_ = tp.drill(rows, DRILL3, depth=5, **how) if work == "drill" else tp.bore(rows, 8, T6, depth=5, **how)
        (path,) = work_.toolpaths(SIDES[face])
        places = [(m.x, m.y) for m in path.moves if m.hole or (m.kind == "rapid" and m.z == 2)]
        way = [(0, 0), *places, (0, 0)]
        return places, sum(np.hypot(a[0] - b[0], a[1] - b[1]) for a, b in zip(way, way[1:]))

    short, way = visited()
    given, long = visited(order="as given")
    assert np.abs(np.array(sorted(short)) - sorted(given)).max() < 1e-9
    # From the waiting corner and back there: two rows of 8 steps, 60 across at the far end, and to the near holes.
    nearest = {"front": (20, 30), "left to right": (20, 30), "top to bottom": (20, 50)}[face]
    assert way <= 2 * 160 + 60 + np.hypot(*nearest) + np.hypot(20, nearest[1] + 60) + 1e-6
    assert long > 9 * 60 + 8 * 60
    for wrong in ("shortest", None):
        with pytest.raises(tp.InputError, match="'short', 'as given'"):
            visited(order=wrong)


def test_drill_between_holes_stays_low_only_where_nothing_stands_between():
    """G99 returns to 2 mm above the wood; before a way over a screw the cycles end, and a lift is written (3.5.16)."""
    row = [(30, 40), (60, 40), (110, 40), (140, 40)]
    between = replace(SCREWED, screws=tp.screws([(85, 42)], head_diameter=9, height=3))
    low, _ = run_text([tp.drill(row, DRILL3, depth=5, order="as given")])
    some, first = run_text([tp.drill(row, DRILL3, depth=5, order="as given")], fixture=between)
    every = replace(between, screws=tp.screws([(x, 42) for x in (45, 85, 125)], head_diameter=9, height=3))
    high, second = run_text([tp.drill(row, DRILL3, depth=5, order="as given")], fixture=every)

    holes = "G81 X30 Y40 Z-5 R2 F250\nG81 X60\n{}G81 X110{}\nG81 X140\nG80\n"
    assert "G99\n" + holes.format("", "") + "G0 Z5\n" in low
    assert "G99\n" + holes.format("G80\nG0 Z8\nG99\n", " Y40 Z-5 R2") + "G0 Z8\n" in some
    assert "G98\n" + holes.format("", "") + "Z25\n" in high.replace("G80\nG0 Z25", "G80\nZ25")
    assert first.ok and second.ok


def test_drill_on_a_levelled_face_stays_at_the_link_height_between_holes():
    """R is 2 mm above the levelled face, the way across 2 mm above the board: back to where the cycles began, G98."""
    levelled = replace(FRONT, overhang=20)
    text, report = run_text(
        [tp.face(FRONT.board.outline, T6, depth=1), tp.drill(PLACES, DRILL3, depth=6, from_depth=1)], fixture=levelled
    )

    assert report.ok
    text = text[text.index("T6 M6") :]
    assert re.search(r"\nG0 X\S+ Y\S+\nZ2\nG98\nG81 X\S+ Y\S+ Z-6 R1 F250\n", text)
    start, end = motions(text, RAPID)
    across = (start[:, :2] != end[:, :2]).any(axis=1)
    assert sorted(set(start[across][1:, 2])) == [2.0, 25.0]


@examples(60)
@given(depth=st.floats(0.5, 17), peck=st.floats(0.4, 20), units=st.sampled_from(["mm", "inch"]))
def test_drill_pecks_of_any_size_reach_the_bottom_in_steps_of_no_more(depth, peck, units):
    """ceil((R - Z) / Q) feeds (reference 1.5, derived), canned and spelled out."""
    op = tp.drill([(30, 40)], DRILL3, depth=depth, peck=peck)
    digit = 1e-4 if units == "mm" else 2.54e-4
    for cycles in ("canned", "spelled out"):
        text = tp.program_text(tp.Setup(FRONT, work=(op,)), cycles=cycles, units=units)
        _, end = motions(text, FEED)
        assert end[:, 2].min() == pytest.approx(-depth, abs=digit)
        depths = [2.0, *end[:, 2]]
        assert max(a - b for a, b in zip(depths, depths[1:])) <= peck + 3 * digit
        # One more or less only where the depth is a whole number of pecks but for a digit.
        pecks = (2 + depth) / peck
        assert abs(len(end) - np.ceil(pecks)) <= (abs(pecks - round(pecks)) * peck < len(end) * digit)


def test_drill_with_a_cutter_dead_at_its_centre_is_refused():
    with pytest.raises(tp.DoesNotFitError, match="cannot go straight down"):
        tp.drill(PLACES, INSERT, depth=3)


@pytest.mark.parametrize(
    "wrong",
    [{"depth": 0}, {"depth": -2}, {"peck": -1}, {"dwell_s": -1}, {"dwell_s": float("nan")}, {"depth_of": "point"}],
    ids=str,
)
def test_drill_wrong_number_is_refused(wrong):
    with pytest.raises(tp.InputError):
        tp.drill(PLACES, DRILL3, **{"depth": 5, **wrong})


@pytest.mark.parametrize("places", [[], [(1, 2, 3)], [(1, float("nan"))], "ab", [("x", "y")]], ids=str)
def test_drill_places_that_are_none_are_refused(places):
    with pytest.raises(tp.InputError):
        tp.drill(places, DRILL3, depth=5)


def test_a_drill_whose_point_alone_comes_through_is_said():
    """Once nothing was said: the hole below was as wide as the point there."""
    (path,) = tp.drill(PLACES, DRILL3, depth=tp.through(0.3)).toolpaths(FRONT)
    assert any("only the point" in note and "full diameter" in note for note in path.notes)
    for sound in ({"depth_of": "full diameter"}, {"depth": tp.through(1.0)}, {"depth": 5}):
        (path,) = tp.drill(PLACES, DRILL3, **{"depth": tp.through(0.3)} | sound).toolpaths(FRONT)
        assert path.notes == ()
