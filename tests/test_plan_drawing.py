"""The plan of a side on paper: nothing off the page, no word over another or too small, whatever the board and zero."""

from __future__ import annotations

import re

import pytest
from drawn_words import boxes, faults
from shapely import LineString

import toolpaths as tp
from toolpaths.show.cutter_picture import cutter_picture
from toolpaths.show.lengths import Lengths
from toolpaths.show.palette import GREY, line_style
from toolpaths.show.side_plan import cutter_styles, side_plan

T1 = tp.Cutter(1, tp.flat(6), feed_mm_min=1500, spindle_rpm=18000, cutting_length=24)
T2 = tp.Cutter(2, tp.flat(25), feed_mm_min=1500, spindle_rpm=12000)
T3 = tp.Cutter(3, tp.drill_point(3), feed_mm_min=300, spindle_rpm=9000, cutting_length=20)
BOARDS = [(60, 60), (60, 200), (240, 150), (300, 420), (2400, 1200), (2400, 100)]


def plan(width: float, height: float, zero_at: str = "lower left", wood: str = "", clamped: bool = True) -> str:
    board = tp.Board(width=width, height=height, thickness=18, wood=wood)
    inset = min(12.0, width / 8, height / 8)
    corners = [(x, y) for x in (inset, width - inset) for y in (inset, height - inset)]
    side = tp.Fixture(
        board=board, zero_at=zero_at, screws=tp.screws(corners, head_diameter=8, height=3),
        clamps=(tp.Clamp(area=tp.rectangle(width / 4, 20, (width / 2, -5)), height=8),) if clamped else (),
    )  # fmt: skip
    setup = tp.Setup(side, [
        tp.pocket(tp.rectangle(width / 3, height / 3, (width / 2, height / 2)), T1, depth=3),
        tp.drill([(width / 4, height / 2), (width / 3, height / 4)], T3, depth=4),
    ])  # fmt: skip
    return side_plan(setup, cutter_styles([setup]))


@pytest.mark.sample(2)
@pytest.mark.parametrize(("width", "height"), BOARDS)
def test_words_on_a_plan_are_apart_large_enough_and_on_the_page(width, height):
    assert faults(plan(width, height)) == []


@pytest.mark.sample(1)
@pytest.mark.parametrize("zero_at", ["lower right", "upper left", "upper right", "centre"])
def test_zero_is_named_wherever_it_is(zero_at):
    drawing = plan(240, 150, zero_at)
    assert "X0 Y0" in drawing and faults(drawing) == []


@pytest.mark.sample(1)
@pytest.mark.parametrize(("width", "height"), BOARDS)
def test_no_leader_runs_through_the_name_of_zero(width, height):
    drawing = plan(width, height, clamped=False)
    (name,) = [area for text, _, area in boxes(drawing) if text == "X0 Y0"]
    leaders = re.findall(rf'd="M([^"]*)"[^>]*stroke="{GREY}"', drawing)
    lines = [
        LineString([tuple(map(float, at.split())) for at in each.split("L")]) for each in leaders if "A" not in each
    ]
    assert len(lines) > 8 and not any(line.intersects(name) for line in lines)


def test_what_a_cutter_sweeps_beyond_the_board_is_on_the_page():
    """Levelling goes past the edges; the drawing cut it off square."""
    board = tp.Board(width=240, height=150, thickness=18)
    side = tp.Fixture(board=board, overhang=40, grips=[board.outline])
    setup = tp.Setup(side, [tp.face(board.outline, T2, depth=1)])
    drawing = side_plan(setup, cutter_styles([setup]))
    wide, tall = map(float, re.search(r'viewBox="0 0 ([\d.]+) ([\d.]+)"', drawing).groups())
    swath = re.search(r'<g opacity="0.16"[^>]*><path d="([^"]*)"[^>]*stroke-width="([\d.]+)"', drawing)
    half = float(swath[2]) / 2
    places = [tuple(map(float, each.split())) for each in re.findall(r"[ML]([\d.-]+ [\d.-]+)", swath[1])]
    assert len(places) > 8
    assert all(half <= x <= wide - half + 0.01 and half <= y <= tall - half + 0.01 for x, y in places)
    assert faults(drawing) == [] and "held" not in drawing


@pytest.mark.parametrize(
    ("wood", "said"), [("oak", [">grain<"]), ("", [">grain, if it has one<"]), ("MDF", []), ("plywood", [])]
)
def test_grain_is_drawn_where_there_is_some(wood, said):
    assert re.findall(">grain[^<]*<", plan(240, 150, wood=wood)) == said


def test_a_small_board_is_drawn_larger_and_a_long_one_smaller():
    assert "up. 2:1, mm" in plan(60, 40)
    assert "1:15, mm" in plan(2400, 100)


@pytest.mark.sample(1)
@pytest.mark.parametrize("grain_deg", [0, 30, 90, 135])
def test_the_arrow_of_the_grain_stays_on_the_page(grain_deg):
    board = tp.Board(width=240, height=150, thickness=18, grain_deg=grain_deg)
    setup = tp.Setup(tp.Fixture(board=board), [tp.drill([(50, 50)], T3, depth=4)])
    assert faults(side_plan(setup, cutter_styles([setup]))) == []


@pytest.mark.parametrize("units", ["mm", "inch"])
def test_the_picture_of_a_cutter_has_its_words_on_the_page_and_apart(units):
    given = {"feed_mm_min": 900, "spindle_rpm": 12000}
    for cutter in (
        tp.Cutter(1, tp.flat(1), cutting_length=3, shank_diameter=3.175, **given),
        tp.Cutter(2, tp.flat(50), cutting_length=10, shank_diameter=6, **given),
        tp.Cutter(3, tp.drill_point(8), cutting_length=80, stick_out=100, **given),
        tp.Cutter(4, tp.ball(3), cutting_length=12, stick_out=60, shank_diameter=6, **given),
        tp.Cutter(5, tp.v_point(32, 120), **given),
        tp.Cutter(6, tp.rounding(9.5, 5), shank_diameter=8, **given),
    ):
        assert faults(cutter_picture(cutter, line_style(0), Lengths(units))) == [], cutter
