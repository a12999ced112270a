"""Path data of SVG: the grammar, all of it or none, and arcs by their ends. Numbers of appendix B.2 of SVG 2."""

from __future__ import annotations

from math import degrees, hypot, pi

import numpy as np
import pytest

import toolpaths as tp
from toolpaths.drawings import svg_path_data
from toolpaths.drawings.curve_segments import Arc, Bezier, Line
from toolpaths.drawings.svg_path_data import subpaths

ARCS = {
    "A10 10 0 0 0 10 0": (10, 10, (5, -8.660254), 120, -60),
    "A10 10 0 0 1 10 0": (10, 10, (5, 8.660254), -120, 60),
    "A10 10 0 1 0 10 0": (10, 10, (5, 8.660254), -120, -300),
    "A10 10 0 1 1 10 0": (10, 10, (5, -8.660254), 120, 300),
    "A3 3 0 0 1 10 0": (5, 5, (5, 0), 180, 180),
    "A2 1 0 0 1 10 0": (5, 2.5, (5, 0), 180, 180),
    "a25 25 -30 0 1 50 -25": (27.950850, 27.950850, (25, -12.5), -176.565051, 180),
    "A20 10 30 0 1 15 5": (20, 10, (9.255753, 13.219763), -136.993803, 49.471995),
}


@pytest.mark.parametrize("data", ARCS)
def test_arcs_by_their_ends(data):
    rx, ry, centre, first, sweep = ARCS[data]
    ((arc,),) = (sub.segments for sub in subpaths("M0 0" + data))
    assert (hypot(*arc.u), hypot(*arc.v)) == pytest.approx((rx, ry), abs=1e-6)
    assert arc.centre == pytest.approx(centre, abs=1e-6)
    assert degrees(arc.sweep) == pytest.approx(sweep, abs=1e-6)
    assert (degrees(arc.first) - first + 180) % 360 == pytest.approx(180, abs=1e-6)
    assert arc.chords(0.01)[0] == pytest.approx((0, 0), abs=1e-9)


def test_degenerate_arcs():
    """No radius is a line, no length nothing, a negative radius its absolute value."""
    assert [type(s) for s in subpaths("M0 0A0 5 0 0 1 10 0")[0].segments] == [Line]
    assert [type(s) for s in subpaths("M0 0A5 5 0 0 1 0 0L3 3")[0].segments] == [Line]
    assert subpaths("M0 0A-10 -10 0 0 1 10 0") == subpaths("M0 0A10 10 0 0 1 10 0")


def ends(data: str) -> list[tuple[float, float]]:
    found = []
    for sub in subpaths(data):
        points = sub.chords(0.01)
        found += [tuple(points[0].round(9)), tuple(points[-1].round(9))]
    return found


@pytest.mark.parametrize(
    ("data", "found"),
    [
        ("M.5.5.6.6", [(0.5, 0.5), (0.6, 0.6)]),
        ("M10-20L-1e1+4", [(10, -20), (-10, 4)]),
        ("m1 1 2 2 3 3", [(1, 1), (6, 6)]),
        ("M1 1 2 2 3 3", [(1, 1), (3, 3)]),
        ("M0 0h10v5H3V1", [(0, 0), (3, 1)]),
        ("M5 5h10v10zl2 2", [(5, 5), (5, 5), (5, 5), (7, 7)]),
        ("M0,0a10 10 0 0110 0", [(0, 0), (10, 0)]),
        ("M0 0 C1 1 2 1 3 0 S 5 -1 6 0 Q7 1 8 0 T10 0", [(0, 0), (10, 0)]),
        ("\t M 0 0\nL 1e2 .5 ", [(0, 0), (100, 0.5)]),
    ],
)
def test_what_the_grammar_allows(data, found):
    assert ends(data) == found


def test_smooth_commands_mirror_the_last_control_point():
    (sub,) = subpaths("M0 0C0 1 2 3 4 4s2 2 3 5q1 0 2 2t3 3")
    cubic, smooth, quadratic, again = sub.segments
    assert isinstance(cubic, Bezier) and smooth.points == ((4, 4), (6, 5), (6, 6), (7, 9))
    assert quadratic.points == ((7, 9), (8, 9), (9, 11)) and again.points == ((9, 11), (10, 13), (12, 14))
    # After a command of another kind there is nothing to mirror.
    assert subpaths("M0 0L4 4S6 6 7 9")[0].segments[1].points == ((4, 4), (4, 4), (6, 6), (7, 9))
    assert subpaths("M0 0C0 1 2 3 4 4T7 9")[0].segments[1].points == ((4, 4), (4, 4), (7, 9))


@pytest.mark.parametrize(
    ("data", "at"),
    [
        ("M0 0L1", 6), ("M0 0L10", 6), ("M0 0L1.5", 6), ("L10 10", 1), ("M0 0L10 10 x", 12), ("M0 0L1. 2", 6),
        ("M0 0L1e400 2", 6), ("M0 0Lnan 1", 6),
        ("M0 0L1,,2 3", 6), ("M0 0 10", 6), ("M0 0a1 1 0 2 0 3 3", 6), ("M0 0L1 2;L3 4", 9), ("0 0", 1),
        ("M0 0L1 2,", 9), ("M0 0zz5", 7), ("M0 0Linf 2", 6), ("M0 0C1 2 3 4 5", 6),
    ],
)  # fmt: skip
def test_a_path_is_read_whole_or_refused_with_the_place(data, at):
    with pytest.raises(tp.InputError, match=f"at character {at},"):
        subpaths(data)


def test_a_path_without_an_end_is_refused(monkeypatch):
    monkeypatch.setattr(svg_path_data, "MOST_SEGMENTS", 1000)
    assert len(subpaths("M0 0" + " 1 1" * 999)[0].segments) == 999
    with pytest.raises(tp.InputError, match="more than 1000 segments"):
        subpaths("M0 0" + " 1 1" * 1000)


@pytest.mark.parametrize("first", [-200, 0, 30, 90, 170])
@pytest.mark.parametrize("sweep", [359, -359, 5, -5, 91.5])
def test_chords_of_arcs_lie_on_them_and_reach_as_far(first, sweep):
    arc = Arc((3.0, 4.0), (20.0, 0.0), (0.0, 20.0), first * pi / 180, sweep * pi / 180)
    points = arc.chords(0.001)
    assert np.hypot(*(points - [3, 4]).T) == pytest.approx(20, abs=1e-12)
    middles = (points[1:] + points[:-1]) / 2
    assert 20 - np.hypot(*(middles - [3, 4]).T).min() <= 0.001
    fine = arc.at(np.linspace(arc.first, arc.first + arc.sweep, 200_001))
    assert np.abs(points.min(axis=0) - fine.min(axis=0)).max() < 1e-8
    assert np.abs(points.max(axis=0) - fine.max(axis=0)).max() < 1e-8
