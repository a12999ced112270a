"""Grooves: the axis on the line, the profile of the cutter in the wood, both ways in on open lines."""

from __future__ import annotations

from dataclasses import replace
from math import pi, radians, sqrt, tan

import numpy as np
import pytest
import shapely
from pathcheck import (
    BALL,
    FRONT,
    INSERT,
    MIDDLE,
    SHAPES,
    SIDES,
    T6,
    VEE,
    Wood,
    axis,
    check_motion,
    falls,
    run_text,
    straight_down,
    turning,
)
from shapely import LineString

import toolpaths as tp

TOLERANCE = 0.01
OPEN = LineString([(40, 40), (90, 100), (150, 60), (160, 62)])


@pytest.mark.sample(3, long=9)
@pytest.mark.parametrize("entry", ["auto", "plunge", "zigzag", "ramp"])
@pytest.mark.parametrize("line", [OPEN, SHAPES["star"], tp.circle(60, MIDDLE), SHAPES["ring"]], ids=str)
@pytest.mark.parametrize("face", SIDES)
def test_groove_keeps_the_axis_on_the_line_and_goes_all_along_it(line, entry, face):
    fixture = SIDES[face]
    (path,) = tp.groove(line, T6, depth=5, entry=entry).toolpaths(fixture, TOLERANCE)
    lay = fixture.place(line)
    lay = lay if isinstance(lay, LineString) else lay.boundary

    check_motion(path)
    places = axis(path, 0.1)
    cut = places[places[:, 2] < -1e-6]
    assert shapely.distance(lay, shapely.points(cut[:, :2])).max() <= TOLERANCE
    floor = shapely.MultiPoint(places[places[:, 2] < -5 + 1e-6][:, :2])
    for part in getattr(lay, "geoms", [lay]):
        along = shapely.line_interpolate_point(part, np.linspace(0, part.length, 300))
        assert shapely.distance(floor, along).max() <= 0.06
    assert max(depth for _, depth, _ in Wood().cut(path)) <= T6.running.step_down + 1e-9
    steepest = max((down / length for length, down, _ in falls(path) if length > 1e-9), default=0)
    assert steepest <= tan(radians(T6.running.ramp_angle_deg)) * (1 + 1e-6)


@pytest.mark.parametrize("direction", ["climb", "conventional"])
@pytest.mark.parametrize("face", SIDES)
def test_groove_round_a_closed_line_runs_the_way_asked(direction, face):
    """On the wood inside: climb is clockwise (reference 3.7, derived), however the line was drawn."""
    for line in (tp.circle(60, MIDDLE), tp.circle(60, MIDDLE).reverse(), tp.circle(60, MIDDLE).exterior):
        (path,) = tp.groove(line, T6, depth=2, direction=direction, entry="plunge").toolpaths(SIDES[face])
        turn = -1 if direction == "climb" else 1
        assert turning(path, -2) == pytest.approx(turn * pi * 900, rel=1e-3)


def test_groove_of_a_ball_has_the_section_of_the_formula():
    """Straight slot of a ball, d >= R (reference 2.3): L (2R(d-R) + pi R^2/2) + pi R^2 (d-R) + 2 pi R^3/3."""
    _, report = run_text([tp.groove(LineString([(60, 70), (110, 70)]), BALL, depth=5)], cell=0.2)

    assert report.ok, str(report)
    assert report.stock.removed() == pytest.approx(1419.955683, rel=2e-3)
    row = report.stock.top[:, report.stock.cell_at(85, 70)[1]]
    across = np.abs(report.stock.grid.ys() - 70)
    expected = [-5 + 3 - sqrt(9 - a * a) if a < 3 else 0.0 for a in across]
    assert row[across < 2.9] == pytest.approx(np.array(expected)[across < 2.9], abs=1e-4)


def test_groove_of_a_v_is_as_wide_as_its_depth_says():
    """90 degrees: twice as wide as deep; L d^2 tan b + pi d^3 tan^2 b / 3 (reference 2.3): 478.274334."""
    _, report = run_text([tp.groove(LineString([(60, 70), (110, 70)]), VEE, depth=3)], cell=0.2)

    assert report.stock.removed() == pytest.approx(478.274334, rel=2e-3)


def test_groove_with_a_cutter_dead_at_its_centre_ramps_into_an_open_line():
    (path,) = tp.groove(OPEN, INSERT, depth=6).toolpaths(FRONT)

    assert falls(path) and all(move.z >= 0 for _, move in straight_down(path))


def test_groove_ramp_on_a_line_too_short_for_it_says_zigzag():
    with pytest.raises(tp.DoesNotFitError, match=r"20\.0 mm is too short for one ramp of 57\.2 mm .* entry='zigzag'"):
        tp.groove(LineString([(50, 50), (70, 50)]), T6, depth=3, entry="ramp").toolpaths(FRONT)


def test_groove_from_an_outline_and_from_several_lines():
    drawn = tp.Outline((40, 40)).line_to((120, 40)).line_to((120, 90))
    (path,) = tp.groove(drawn, T6, depth=2).toolpaths(FRONT)
    assert {(round(x, 6), round(y, 6)) for x, y, z in axis(path) if z < -1.999} >= {(40, 40), (120, 40), (120, 90)}

    (path,) = tp.groove(shapely.union_all([OPEN, LineString([(40, 120), (90, 120)])]), T6, depth=2).toolpaths(FRONT)
    assert sum(move.kind == "rapid" and move.z == FRONT.safe_z for move in path.moves) == 4


def test_groove_of_no_length_is_refused():
    with pytest.raises(tp.ShapeError):
        tp.groove(LineString([(50, 50), (50, 50)]), T6, depth=3)


@pytest.mark.sample(1)
@pytest.mark.parametrize("width", [6.5, 8.0, 14.0])
def test_a_groove_wider_than_its_cutter_is_exactly_as_wide(width):
    line = [(30, 40), (120, 40), (120, 90)]
    board = tp.Board(width=160, height=120, thickness=18)
    side = tp.Fixture(board=board, grips=(board.outline,))
    cutter = tp.Cutter(1, tp.flat(6), feed_mm_min=1500, spindle_rpm=16000)
    setup = tp.Setup(side, [tp.groove(line, cutter, depth=5, width=width, direction="climb")])
    # What is meant is drawn here: all within half the width of the line.
    meant = tp.Recess(area=shapely.LineString(line).buffer(width / 2, quad_segs=64), depth=5, corners=3)
    part = tp.Part(board=board, front=[meant])
    report = tp.simulate(tp.program_text(setup), side, [cutter], cell=0.5, part=part)
    assert report.ok, str(report)
    wider = replace(meant, area=shapely.LineString(line).buffer(width / 2 + 0.1, quad_segs=64))
    off = tp.simulate(tp.program_text(setup), side, [cutter], cell=0.5, part=replace(part, front=[wider]))
    assert "leftover" in off.codes()


def test_widths_of_grooves():
    cutter = tp.Cutter(1, tp.flat(6), feed_mm_min=1500, spindle_rpm=16000)
    line = [(30, 40), (120, 40)]
    assert tp.groove(line, cutter, depth=5, width=6) == tp.groove(line, cutter, depth=5)
    assert tp.groove(line, cutter, depth=5, width=8).title == "groove"
    with pytest.raises(tp.DoesNotFitError, match="6 is the least"):
        tp.groove(line, cutter, depth=5, width=5)
    with pytest.raises(tp.InputError, match="order"):
        tp.groove(line, cutter, depth=5, width=8, order="as given")
