"""Assertions about places, sums and margins against closed formulas: passed beside the true value, failed off it."""

from __future__ import annotations

import re
from math import hypot, pi, sqrt

import pytest

import toolpaths as tp
from toolpaths.testing import (
    SimulatedJob,
    assert_clear_of_hold_downs,
    assert_depth_at,
    assert_time_below,
    assert_volume_removed,
    assert_webs_above,
    assert_wood_left_at,
    simulated,
)

BOARD = tp.Board(width=160, height=100, thickness=18)
BALL = tp.Cutter(1, tp.ball(10), feed_mm_min=1500, spindle_rpm=16000, step_down=5)
MILL = tp.Cutter(2, tp.flat(6), feed_mm_min=1500, spindle_rpm=18000, step_down=3)
SCREWS = tp.screws([(12, 50), (148, 50)], head_diameter=9, height=3)
FRONT = tp.Fixture(board=BOARD, screws=SCREWS, dowels=tp.dowels([(80, 8), (80, 92)], diameter=6, depth=4))


@pytest.fixture(scope="module")
def made() -> SimulatedJob:
    """A round-bottomed groove and a round pocket on the front, a round pocket below it on the back."""
    front = tp.Setup(FRONT, [
        tp.groove([(40, 20), (120, 20)], BALL, depth=4, name="groove"),
        tp.pocket(tp.circle(30, (80, 60)), MILL, depth=6, name="dish"),
        tp.bore([(80, 8), (80, 92)], 6.1, tp.Cutter(3, tp.flat(4), feed_mm_min=900, spindle_rpm=18000,
                                                    cutting_length=24), depth=tp.through(4)),
    ])  # fmt: skip
    back_side = FRONT.turned_over("left to right", screws=SCREWS)
    back = tp.Setup(back_side, [tp.pocket(tp.circle(24, (90, 60)), MILL, depth=7.5)], after=front)
    return simulated(tp.Job("Two faces", [front, back]), cell=0.5)


@pytest.mark.parametrize("off", [0.0, 1.5, 3.0, 4.5])
def test_depth_of_a_round_groove_is_that_of_the_circle(made: SimulatedJob, off: float) -> None:
    """At `off` beside the axis a ball of radius r, sunk by d, cuts d - r + sqrt(r^2 - off^2) deep."""
    depth = 4 - 5 + sqrt(25 - off**2)
    for y in (20 - off, 20 + off):
        assert_depth_at(made, (80, y), depth=depth, within=0.001)
        assert_wood_left_at(made, (80, y), thickness=18 - depth, within=0.001)
        for wrong in (depth - 0.003, depth + 0.003):
            with pytest.raises(AssertionError, match=r"0.003 mm too (deep|shallow)"):
                assert_depth_at(made, (80, y), depth=wrong, within=0.001)


def test_the_back_is_asked_where_it_is_seen_from_the_front(made: SimulatedJob) -> None:
    """The pocket of the back lies 10 mm to the right of the one above it, and 10 mm to the left of its mirror image."""
    assert_depth_at(made, (98, 60), depth=7.5, face="back")
    assert_depth_at(made, (72, 60), depth=0, face="back")
    assert_wood_left_at(made, (85, 60), thickness=18 - 6 - 7.5)
    assert_wood_left_at(made, (85, 60), thickness=18 - 6, after="front")


def test_webs_are_as_thick_as_both_depths_leave_them(made: SimulatedJob) -> None:
    assert_webs_above(made, thickness=4.499)
    with pytest.raises(AssertionError, match=r"4.500 mm are at.*0.010 mm too thin") as failed:
        assert_webs_above(made, thickness=4.51)
    said = str(failed.value).splitlines()[0]
    assert "cut 7.500 mm deep from the back, 6.000 mm from the front" in said
    x, y = (float(word[1:]) for word in re.search(r"(X\S+) (Y\S+) \(seen from the front\)", said).groups())
    assert hypot(x - 90, y - 60) < 12 and hypot(x - 80, y - 60) < 15


def test_volume_of_the_back_is_that_of_a_cylinder(made: SimulatedJob) -> None:
    volume = pi * 12**2 * 7.5 / 1000
    assert_volume_removed(made, volume_cm3=volume, program="back")
    with pytest.raises(AssertionError, match=r"cm3 less.*over cells of 0\.5 mm"):
        assert_volume_removed(made, volume_cm3=1.03 * volume, program="back")


def test_room_beside_a_screw_is_the_distance_less_both_radii(made: SimulatedJob) -> None:
    """The ball comes nearest to a screw at an end of the groove, its radius where it stands as high as the head."""
    room = hypot(40 - 12, 50 - 20) - 4.5 - 5
    assert_clear_of_hold_downs(made, margin=room - 0.01, program="front")
    with pytest.raises(AssertionError, match=r"0\.010 mm too near"):
        assert_clear_of_hold_downs(made, margin=room + 0.01, program="front")


def test_time_is_that_of_the_report(made: SimulatedJob) -> None:
    minutes = sum(report.seconds for _, report in made.report.sides) / 60
    assert_time_below(made, minutes=minutes * 1.001)
    with pytest.raises(AssertionError, match="What takes longest"):
        assert_time_below(made, minutes=minutes * 0.999)


def test_what_cannot_be_asked_is_refused(made: SimulatedJob) -> None:
    for place, options, said in (
        ((161, 5), {"depth": 1}, "lies off the board"), ((5, 5), {"depth": 18}, "all of the board"),
        ((5, 5), {"depth": 1, "after": "side"}, "not one of"),
    ):  # fmt: skip
        with pytest.raises(tp.InputError, match=said):
            assert_depth_at(made, place, **options)
