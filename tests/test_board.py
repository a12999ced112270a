"""The board, the machine and what stands on the board: sizes that make sense, places that are numbers."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from shapely import LineString, Polygon, box

from toolpaths.base.errors import InputError, UnitsError
from toolpaths.base.units import inch
from toolpaths.facts.board import Board, Clamp, Dowel, Screw, screws
from toolpaths.facts.fixture import Fixture
from toolpaths.facts.machine import ALL_CODES, CYCLES, PLAIN_CODES, Machine


def board(**changes: object) -> Board:
    return Board(**{"width": 440, "height": 220, "thickness": 19.8, **changes})


def screw(**changes: object) -> Screw:
    return Screw(**{"x": 14, "y": 14, "head_diameter": 9, "height": 2, **changes})


def dowel(**changes: object) -> Dowel:
    return Dowel(**{"x": 12, "y": 110, "diameter": 8, "depth": 8, **changes})


def test_outline_of_a_board_begins_at_its_lower_left_corner():
    assert board().outline.bounds == (0, 0, 440, 220)


@pytest.mark.parametrize(
    "sizes",
    [(16, 12, 3), (16, 12, 0.75), (48, 24, 0.75), (440, 220, 0.75), (49.9, 49.9, 20)],
)
def test_sizes_like_inches_given_as_mm_are_a_question(sizes):
    width, height, thickness = sizes
    with pytest.raises(UnitsError, match=r"write inch\(\.\.\.\)"):
        board(width=width, height=height, thickness=thickness)


@pytest.mark.parametrize("sizes", [(inch(440), inch(220), 19.8), (440, 220, inch(19.8))])
def test_sizes_in_mm_given_as_inches_are_a_question(sizes):
    width, height, thickness = sizes
    with pytest.raises(UnitsError, match="in mm already"):
        board(width=width, height=height, thickness=thickness)


@pytest.mark.parametrize("sizes", [(50, 12, 1.5), (inch(16), inch(12), inch("3/4")), (inch(120), inch(60), inch(4))])
def test_sizes_of_boards_on_sale_are_no_question(sizes):
    width, height, thickness = sizes
    assert board(width=width, height=height, thickness=thickness).width == width


def test_screws_makes_one_at_each_place():
    made = screws([(14, 14), (426, 206)], head_diameter=9, height=2, driven_at="Drive")

    assert made == (screw(driven_at="Drive"), screw(x=426.0, y=206.0, driven_at="Drive"))


def test_a_screw_says_its_shank_and_its_length_where_they_are_known():
    (made,) = screws([(14, 14)], head_diameter=9, height=2, shank_diameter=np.float32(4.5), length=30)
    (held,) = Fixture(board=board(), screws=(made,)).standing()

    assert (made.shank_diameter, made.length) == (held.shank_diameter, held.length) == (4.5, 30)
    assert type(made.shank_diameter) is float
    assert (screw().shank_diameter, screw().length) == (None, None)
    assert "shank_diameter=4.5, length=30" in repr(made)


def machine(**changes: object) -> Machine:
    return Machine(**changes)


def clamp(area: object, height: object = 20) -> Clamp:
    return Clamp(area=area, height=height)


def test_machine_codes_are_kept_as_a_frozen_set():
    assert Machine(codes=set(ALL_CODES - CYCLES)).codes == ALL_CODES - CYCLES
    assert isinstance(Machine(codes=set(ALL_CODES)).codes, frozenset)


NAN, INF = float("nan"), float("inf")


@pytest.mark.parametrize(
    ("facts", "grain"),
    [
        ({}, 0.0), ({"width": 200}, 90.0), ({"width": 220}, 0.0), ({"wood": "hardwood"}, 0.0),
        ({"wood": "MDF"}, None), ({"wood": "plywood"}, None), ({"grain_deg": "none"}, None),
        ({"wood": "plywood", "grain_deg": 90}, 90.0), ({"grain_deg": -30}, 150.0), ({"grain_deg": 180}, 0.0),
    ],
)  # fmt: skip
def test_grain_runs_along_the_longer_side_unless_said(facts, grain):
    assert board(**facts).grain_direction_deg == grain
    assert replace(board(**facts), thickness=12).grain_direction_deg == grain


BAD = [
    (board, (), {"width": 0}, "width=0 must be greater than 0"),
    (board, (), {"height": -220}, "height=-220"),
    (board, (), {"thickness": NAN}, "thickness=nan"),
    (board, (), {"thickness": INF}, "thickness=inf"),
    (board, (), {"thickness": "19"}, "thickness='19'"),
    (board, (), {"thickness": True}, "thickness=True"),
    (board, (), {"name": ""}, "name=''"),
    (board, (), {"name": "ash (old)"}, "contains '('"),
    (screw, (), {"x": NAN}, "screw x=nan is not a finite number"),
    (screw, (), {"y": "14"}, "screw y='14' is not a number"),
    (screw, (), {"head_diameter": 0}, "head_diameter=0"),
    (screw, (), {"height": -1}, "height=-1 must not be negative"),
    (screw, (), {"driven_at": "a\nb"}, "driven_at"),
    (screw, (), {"shank_diameter": 0}, "shank_diameter=0 must be greater than 0"),
    (screw, (), {"shank_diameter": 9.5}, "shank_diameter=9.5 is more than head_diameter=9"),
    (screw, (), {"shank_diameter": "4"}, "shank_diameter='4'"),
    (screw, (), {"length": -30}, "length=-30 must be greater than 0"),
    (screw, (), {"length": NAN}, "length=nan"),
    (screws, ([(1, 2, 3)],), {"head_diameter": 9, "height": 2}, "points (x, y)"),
    (screws, ([],), {"head_diameter": 9, "height": 2}, "needs at least 1"),
    (dowel, (), {"diameter": 0}, "diameter=0"),
    (dowel, (), {"depth": 0}, "depth=0"),
    (board, (), {"grain_deg": NAN}, "grain_deg=nan"),
    (board, (), {"grain_deg": "x"}, "grain_deg='x'"),
    (dowel, (), {"standing": -1}, "standing=-1"),
    (dowel, (), {"x": INF}, "dowel x=inf is not a finite number"),
    (clamp, (Polygon(),), {}, "must be a valid shapely Polygon"),
    (clamp, (LineString([(0, 0), (1, 1)]),), {}, "must be a valid shapely Polygon"),
    (clamp, (Polygon([(0, 0), (9, 9), (9, 0), (0, 9)]),), {}, "must be a valid shapely Polygon"),
    (clamp, (box(0, 0, 9, 9), -1), {}, "height=-1"),
    (machine, (), {"rigid": 1}, "rigid=1 must be True or False"),
    (machine, (), {"travel": (750, 450)}, "must be (x, y, z)"),
    (machine, (), {"travel": 750}, "must be (x, y, z)"),
    (machine, (), {"travel": (750, 450, 0)}, "travel z=0"),
    (machine, (), {"rapid_mm_min": 0}, "rapid_mm_min=0"),
    (machine, (), {"spin_up_s": -1}, "spin_up_s=-1"),
    (machine, (), {"acceleration_mm_s2": NAN}, "acceleration_mm_s2=nan"),
    (machine, (), {"corner_rounding": -0.1}, "corner_rounding=-0.1"),
    (machine, (), {"spindle_rpm": (24000, 6000)}, "must be (slowest, fastest)"),
    (machine, (), {"spindle_rpm": 18000}, "must be (slowest, fastest)"),
    (machine, (), {"spindle_rpm": (0, 6000)}, "spindle_rpm=0"),
    (machine, (), {"codes": "G0"}, "codes must be a set"),
    (machine, (), {"codes": PLAIN_CODES - {"G1"}}, "codes lacks G1"),
    (machine, (), {"name": "x)"}, "contains ')'"),
]


@pytest.mark.parametrize(("function", "arguments", "options", "message"), BAD)
def test_facts_refuse_bad_arguments(function, arguments, options, message):
    with pytest.raises(InputError) as caught:
        function(*arguments, **options)
    assert message in str(caught.value)


def test_bad_arguments_hold_no_row_twice():
    assert len({repr(row[:3]) for row in BAD}) == len(BAD)


def test_what_a_dowels_hole_has_to_be_is_said_once():
    """The same numbers for the pin that goes in, for the spoilboard and for the study."""
    dowel = Dowel(x=10, y=50, diameter=8, depth=7)
    assert (dowel.narrowest_hole, dowel.widest_hole, dowel.shallowest_hole) == (7.99, 8.25, 6.95)
    assert (dowel.hole_may_miss, dowel.hole_reach) == (0.05, 4.175)
    side = Fixture(board=Board(width=200, height=100, thickness=18), dowels=(dowel,), spoilboard_depth=0.3)
    reach = dowel.hole_reach + np.array([0.0, 0.001])
    limits = side.spoilboard_limits(lambda x, y: reach + np.hypot(x - 10, y - 50), np.array([2.5, 2.5]))
    assert limits.tolist() == [9.5, 0.3]
    thin = replace(side, spoilboard_thickness=9.0)
    assert thin.spoilboard_limits(lambda x, y: reach[:1] + np.hypot(x - 10, y - 50), np.array([2.5])).tolist() == [9.0]
