"""How the board lies: turned over about either centre line, its zero, its hold-downs and dowels."""

from __future__ import annotations

from dataclasses import replace
from math import atan2, cos, degrees, hypot, radians, sin, tan

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from shapely import Point, Polygon, box

from toolpaths.base.errors import InputError
from toolpaths.facts.board import Board, Clamp, Dowel, screws
from toolpaths.facts.cutter import Cutter
from toolpaths.facts.fixture import CORNERS, TURNS, Fixture
from toolpaths.facts.profile import drill_point
from toolpaths.judging.simulate import simulate

BOARD = Board(width=440, height=220, thickness=19.8)
ODD = Polygon([(3, 1), (40, 7), (22, 9), (31, 30), (5, 17)], [[(10, 8), (12, 8), (12, 10)]])
NAN = float("nan")


def dowels(*places: tuple[float, float], diameter: float = 8, **more: float) -> tuple[Dowel, ...]:
    return tuple(Dowel(x=x, y=y, diameter=diameter, depth=8, **more) for x, y in places)


def fixture(**changes: object) -> Fixture:
    return Fixture(**{"board": BOARD, **changes})


def test_the_front_leaves_shapes_where_they_are():
    assert fixture().place(ODD) is ODD
    assert fixture().side == "front"


@pytest.mark.parametrize(("turned", "to"), [("left to right", (430.0, 20.0)), ("top to bottom", (10.0, 200.0))])
def test_turned_over_a_place_is_mirrored_in_the_centre_line(turned, to):
    """(x, y) -> (2m - x, y) about the line x = m (mirror image, derived)."""
    back = fixture().turned_over(turned)

    assert back.side == "back"
    assert back.place(Point(10, 20)) == Point(*to)
    assert back.place(BOARD.outline).equals(BOARD.outline)


@given(st.sampled_from(TURNS), st.floats(50, 900), st.floats(50, 900), st.integers(-50, 50))
def test_turned_over_twice_is_the_identity(turned, width, height, shift):
    back = Fixture(board=Board(width=width, height=height, thickness=18), turned=turned)
    shape = shapely.transform(ODD, lambda xy: xy + shift)

    assert back.place(back.place(shape)).equals_exact(shape, 1e-9)
    assert not back.place(shape).equals_exact(shape, 1e-3)
    assert back.place(shape).area == pytest.approx(shape.area)


def test_placing_does_not_change_the_shape():
    before = ODD.wkb
    fixture(turned="left to right").place(ODD)
    assert ODD.wkb == before


def test_the_back_cannot_be_turned_over():
    with pytest.raises(InputError, match="turn the front over"):
        fixture().turned_over("left to right").turned_over("left to right")


@pytest.mark.parametrize(
    ("turned", "places"),
    [
        ("left to right", [(12, 110), (428, 110)]),
        ("left to right", [(220, 20), (220, 200)]),
        ("left to right", [(12, 40), (428, 40), (220, 7)]),
        ("left to right", [(12, 110), (428.009, 110)]),
        ("top to bottom", [(12, 110), (428, 110)]),
        ("top to bottom", [(30, 20), (30, 200)]),
    ],
)
def test_dowels_that_map_onto_themselves_are_taken(turned, places):
    back = fixture(dowels=dowels(*places)).turned_over(turned)
    assert len(back.dowels) == len(places)


@pytest.mark.parametrize(
    ("turned", "places", "lonely"),
    [
        ("left to right", [(12, 110)], r"\(12, 110\) comes to \(428, 110\)"),
        ("left to right", [(12, 110), (427.9, 110)], r"\(12, 110\) comes to \(428, 110\)"),
        ("left to right", [(12, 110), (428, 110), (30, 20)], r"\(30, 20\) comes to \(410, 20\)"),
        ("top to bottom", [(220, 20), (220, 199)], r"\(220, 20\) comes to \(220, 200\)"),
        ("top to bottom", [(12, 40), (428, 40)], r"\(12, 40\) comes to \(12, 180\)"),
    ],
)
def test_dowels_that_do_not_map_onto_themselves_are_refused(turned, places, lonely):
    front = fixture(dowels=dowels(*places))
    with pytest.raises(InputError, match=lonely):
        front.turned_over(turned)


def test_dowels_of_two_sizes_do_not_fit_each_others_holes():
    pins = dowels((12, 110)) + dowels((428, 110), diameter=6)
    with pytest.raises(InputError, match="the dowel of 8 at"):
        fixture(dowels=pins).turned_over("left to right")


@pytest.mark.parametrize(
    ("corner", "xy"),
    list(zip(CORNERS, [(0, 0), (440, 0), (0, 220), (440, 220), (220, 110)], strict=True)),
)
@pytest.mark.parametrize(("surface", "z"), [("top", 0), ("spoilboard", -19.8)])
def test_zero_points(corner, xy, surface, z):
    assert fixture(zero_at=corner, zero_on=surface).zero == (*xy, z)
    assert fixture(zero_at=corner, zero_on=surface).turned_over("left to right").zero == (*xy, z)
    assert fixture().turned_over("top to bottom", zero_at=corner).zero == (*xy, 0)


def test_safe_height_is_5_above_the_highest_hold_down():
    tall = Clamp(area=box(0, 0, 30, 10), height=25)

    assert fixture().safe_z == 5
    assert fixture(screws=screws([(14, 14)], head_diameter=9, height=2)).safe_z == 7
    assert fixture(clamps=(tall,)).safe_z == 30
    assert fixture(clamps=(tall,)).highest == 25


def test_pins_stand_up_only_on_the_second_side():
    front = fixture(dowels=dowels((12, 110), (428, 110), standing=3))

    assert front.highest == 0
    assert front.turned_over("left to right").highest == 3
    assert front.turned_over("left to right").safe_z == 8


def test_the_other_side_has_its_own_hold_downs_and_safe_height():
    front = fixture(screws=screws([(14, 14), (220, 110)], head_diameter=9, height=2), safe_height=40)
    back = front.turned_over("left to right", screws=screws([(14, 14)], head_diameter=9, height=4))

    assert len(back.screws) == 1
    assert back.safe_z == 9
    assert front.turned_over("left to right", safe_height=33).safe_z == 33
    assert len(front.screws) == 2
    assert front.safe_z == 40


def test_lists_are_copied():
    places = list(screws([(14, 14)], head_diameter=9, height=2))
    made = fixture(screws=places)
    places.clear()

    assert len(made.screws) == 1
    assert hash(made) == hash(replace(made))


@pytest.mark.parametrize("count", [1, 2])
def test_a_fixture_in_a_line_counts_what_holds_the_board(count):
    """One of a thing is named in the singular, in whole words."""
    clamp = Clamp(area=box(0, 35, 10, 45), height=8)
    fixture = Fixture(
        board=BOARD, grips=[box(40, 30, 60, 50)] * count, clamps=[clamp] * count,
        screws=screws([(20, 20), (80, 20)][:count], head_diameter=8, height=3),
    )  # fmt: skip
    s = "s" * (count - 1)
    assert repr(fixture).endswith(f", {count} screw{s}, {count} clamp{s}, {count} grip{s}>")


@pytest.mark.parametrize("turned", ["", *TURNS])
@given(grain=st.floats(-400, 400))
def test_grain_lies_as_a_line_along_it_does(turned, grain):
    """A line drawn along the grain from the front, placed as any shape is, runs along the grain of that side."""
    made = fixture(board=replace(BOARD, grain_deg=grain), turned=turned)
    line = shapely.LineString([(0, 0), (100 * cos(radians(grain)), 100 * sin(radians(grain)))])
    (x0, y0), (x1, y1) = made.place(line).coords
    off = (degrees(atan2(y1 - y0, x1 - x0)) - made.grain_deg + 90) % 180 - 90

    assert off == pytest.approx(0, abs=1e-6)
    assert 0 <= made.grain_deg <= 180
    assert fixture(board=replace(BOARD, grain_deg="none"), turned=turned).grain_deg is None


BAD = [
    ({"screws": screws([(441, 14)], head_diameter=9, height=2)}, "lies off the board, 440 x 220 mm"),
    ({"screws": screws([(14, -0.1)], head_diameter=9, height=2)}, "lies off the board"),
    ({"dowels": dowels((12, 221))}, "lies off the board"),
    ({"turned": "upside down"}, "turned='upside down' is not one of"),
    ({"zero_at": "middle"}, "zero_at='middle' is not one of 'lower left'"),
    ({"zero_on": "bottom"}, "zero_on='bottom' is not one of 'top', 'spoilboard'"),
    ({"spoilboard_depth": -0.1}, "spoilboard_depth=-0.1 must not be negative"),
    ({"spoilboard_thickness": 0}, "spoilboard_thickness=0 must be greater than 0"),
    ({"spoilboard_thickness": NAN}, "spoilboard_thickness=nan"),
    ({"spoilboard_thickness": 0.5}, "spoilboard_depth goes 0.5 mm deep, through the spoilboard, which is 0.5 mm thick"),
    (
        {"spoilboard_thickness": 8, "dowels": dowels((12, 110))},
        "the hole of the dowel at (12, 110) goes 8 mm deep, through the spoilboard, which is 8 mm thick",
    ),
    ({"overhang": NAN}, "overhang=nan"),
    ({"safe_height": 0}, "safe_height=0 must be greater than 0"),
    ({"safe_height": -1.0}, "safe_height=-1.0 must be greater than 0"),
    ({"safe_height": -float("inf")}, "safe_height=-inf"),
    ({"safe_height": "high"}, "safe_height='high'"),
    ({"safe_height": 2, "screws": screws([(14, 14)], head_diameter=9, height=2)}, "does not clear the hold-downs"),
    ({"screws": dowels((12, 110))}, "screws must be a tuple of Screw(...)"),
    ({"dowels": [(12, 110)]}, "dowels must be a tuple of Dowel(...)"),
    ({"clamps": box(0, 0, 1, 1)}, "clamps must be a tuple of Clamp(...)"),
    ({"board": (440, 220, 19.8)}, "board=(440, 220, 19.8) must be a Board"),
    ({"machine": None}, "machine=None must be a Machine"),
    ({"zero_in_machine": (1, 2)}, "zero_in_machine=(1, 2) must be (x, y, z)"),
    ({"zero_in_machine": (1, 2, NAN)}, "zero_in_machine z=nan"),
]


@pytest.mark.parametrize(("options", "message"), BAD, ids=[message for _, message in BAD])
def test_fixture_refuses_bad_arguments(options, message):
    with pytest.raises(InputError) as caught:
        fixture(**options)
    assert message in str(caught.value)


def test_bad_arguments_hold_no_row_twice():
    assert len({repr(row[0]) for row in BAD}) == len(BAD)


def spoilboard_limit(fixture, x, y, cutter):
    """How deep the spoilboard may be cut by a cutter straight down at one place."""

    def reach_from(at_x, at_y):
        return np.array([hypot(x - at_x, y - at_y) + cutter.radius])

    return fixture.spoilboard_limits(reach_from, np.array([cutter.profile.tip_height])).item()


@pytest.mark.sample(5)
@pytest.mark.parametrize("turned", ["", "left to right", "top to bottom"])
@pytest.mark.parametrize("off", [0.0, 2.5, 2.67, 2.68, 4.0])
def test_the_judge_finds_just_what_goes_deeper_than_the_spoilboard_may_be_cut(turned, off):
    """Within a pin's hole as deep as that and the point, elsewhere as anywhere: one rule for planning and judging."""
    pins = (Dowel(x=100, y=30, diameter=8, depth=6), Dowel(x=100, y=110, diameter=8, depth=6))
    pins += (Dowel(x=30, y=70, diameter=8, depth=4), Dowel(x=170, y=70, diameter=8, depth=4))
    fixture = Fixture(board=Board(width=200, height=140, thickness=18), turned=turned, dowels=pins)
    cutter, limits = Cutter(1, drill_point(3), 400, 9000), set()
    for pin in pins:
        at = fixture.place(Point(pin.x, pin.y))
        limit = spoilboard_limit(fixture, at.x + off, at.y, cutter)
        limits.add(limit)
        for below, found in ((limit, False), (limit + 0.01, True)):
            down = f"G0 X{at.x + off} Y{at.y}\nG1 Z{-18 - below} F100\n"
            report = simulate(f"G21 G90 G0 Z30\nT1 M6\nM3 S9000\n{down}G0 Z30\nM5\nM30\n", fixture, [cutter], cell=1.0)
            assert ("too-deep" in report.codes()) == found
    point = 1.5 / tan(radians(59))
    assert limits == ({6.0 + point, 4.0 + point} if off < 2.675 else {0.5})


@pytest.mark.parametrize("turned", ["", "left to right", "top to bottom"])
@pytest.mark.parametrize("thick", [9.0, 17.5])
@pytest.mark.parametrize("beyond, severity", [(-0.01, "damage"), (0.01, "danger"), (6.0, "danger")])
def test_a_cut_through_the_spoilboard_is_danger_and_one_finding(thick, beyond, severity, turned):
    """In the hole of a pin or anywhere else; what only goes deeper than it may is damage as before."""
    front = Fixture(
        board=Board(width=200, height=140, thickness=18), spoilboard_thickness=thick,
        dowels=(Dowel(x=100, y=30, diameter=8, depth=6), Dowel(x=100, y=110, diameter=8, depth=6)),
    )  # fmt: skip
    side, cutter = front.turned_over(turned) if turned else front, Cutter(1, drill_point(8), 400, 9000)
    assert side.spoilboard_thickness == thick
    for x, y in ((100, 30), (40, 50)):
        down = f"G0 X{x} Y{y}\nG1 Z{-18 - thick - beyond} F100\n"
        text = f"G21 G90 G0 Z30\nT1 M6\nM3 S9000\n{down}G0 Z30\nM5\nM30\n"
        report = simulate(text, replace(side, dowels=() if turned else side.dowels), [cutter], cell=1.0)
        (found,) = (finding for finding in report if finding.code == "too-deep")
        assert (found.severity, found.amount) == (severity, pytest.approx(thick + beyond))
        assert (found.limit == thick) is ("through the spoilboard" in found.message) is (severity == "danger")


def test_what_is_not_known_of_the_spoilboard_is_said_where_it_is_cut():
    """A cut that ends in the board asks nothing of it."""
    board, cutter = Board(width=200, height=140, thickness=18), Cutter(1, drill_point(8), 400, 9000)
    for depth, thick, said in ((18.2, None, True), (18.2, 12.0, False), (9.0, None, False)):
        text = f"G21 G90 G0 Z30\nT1 M6\nM3 S9000\nG0 X40 Y50\nG1 Z-{depth} F100\nG0 Z30\nM5\nM30\n"
        report = simulate(text, Fixture(board=board, spoilboard_thickness=thick), [cutter], cell=1.0)
        assert any("through the spoilboard" in what for what in report.not_judged) is said


@pytest.mark.parametrize("zero_at", ["lower left", "lower right", "upper right", "centre"])
@pytest.mark.parametrize("turned", ["left to right", "top to bottom"])
def test_the_zero_in_the_machine_goes_with_the_corner_when_the_board_is_turned(zero_at, turned):
    """The board lies where it lay, so its lower-left corner has the same machine coordinates (the zero less where it
    is on the board)."""
    front = fixture(zero_at="lower left", zero_in_machine=(-350.0, -250.0, -60.0))
    back = front.turned_over(turned, zero_at=zero_at)
    assert back.zero_in_machine is not None
    corner = [at - on for at, on in zip(back.zero_in_machine, back.zero)]
    assert corner == pytest.approx([-350.0, -250.0, -60.0], abs=1e-9)
