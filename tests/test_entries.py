"""Ways into the wood as height profiles: how steep, how deep, and back to where the cut begins."""

from __future__ import annotations

from dataclasses import replace
from math import atan, degrees, pi, radians, tan

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pathcheck import FRONT, INSERT, MIDDLE, T6, Wood, axis, falls, segments

from samples import examples
from toolpaths.base.errors import DoesNotFitError
from toolpaths.making.motion.toolpath import CUT, PathBuilder
from toolpaths.making.operations.entries import (
    bore_fall,
    check_plunge,
    cut_line,
    cut_ring,
    helix_down,
    helix_track,
    ramp_heights,
)
from toolpaths.making.operations.operation import levels
from toolpaths.shapes.track import Segment, Track, circle_track

SAFE = FRONT.safe_z


def round_and_down(radius: float, depth: float, entry: str, cutter=T6):
    ring = circle_track(MIDDLE, radius, True)
    builder = PathBuilder(cutter, SAFE)
    builder.go_above(ring.start, 2.0)
    cut_ring(builder, ring, 0.0, levels(0, -depth, cutter.running.step_down), entry)
    return builder.path()


@examples(100)
@given(length=st.floats(1, 500), depth=st.floats(0.05, 40), step=st.floats(0.2, 10), angle=st.floats(0.5, 30))
def test_ramp_heights_fall_at_the_angle_and_end_with_a_level_round(length, depth, step, angle):
    """Ramp length d / tan a (reference 2.2); no stretch rises, none is steeper than the angle."""
    fall = tan(radians(angle))
    heights = ramp_heights(length, 0.0, levels(0, -depth, step), fall)

    for (a, za), (b, zb) in zip(heights, heights[1:]):
        assert b > a and zb <= za + 1e-12
        assert (za - zb) <= fall * (b - a) * (1 + 1e-6) + 1e-9
    assert heights[0] == (0.0, 0.0) and heights[-1][1] == -depth
    # Each point of the ring is passed at the floor: the last stretch at the floor is one whole round.
    first_at_floor = next(along for along, z in heights if z == -depth)
    assert heights[-1][0] - first_at_floor >= length - 1e-6


@pytest.mark.sample(6)
@pytest.mark.parametrize("entry", ["auto", "ramp", "zigzag", "plunge"])
@pytest.mark.parametrize("radius", [0.4, 2.0, 10.0, 40.0])
def test_cut_ring_in_every_entry_clears_the_ring_to_the_floor(entry, radius):
    path = round_and_down(radius, 7, entry)
    wood = Wood(0.25)

    assert max(depth for _, depth, _ in wood.cut(path)) <= T6.running.step_down + 1e-9
    for x, y, _ in axis(path):
        assert wood.top[int(y / 0.25), int(x / 0.25)] == pytest.approx(-7)
    steepest = max((degrees(atan(down / length)) for length, down, _ in falls(path) if length > 1e-9), default=0)
    # In a hole no wider than two cutters the angle is held at its wall, as by a bore.
    at_wall = (radius + T6.radius) / radius if 0.5 <= radius <= T6.radius else 1.0
    assert tan(radians(steepest)) <= at_wall * tan(radians(T6.running.ramp_angle_deg)) * (1 + 1e-6)
    if entry == "plunge":
        assert steepest == 0


@pytest.mark.parametrize("entry", ["ramp", "zigzag"])
def test_ways_down_are_fed_at_the_ramp_feed_and_level_ones_at_the_feed(entry):
    slow = replace(T6, ramp_mm_min=T6.feed_mm_min / 2)
    path = round_and_down(20, 7, entry, slow)
    down = {move.feed_mm_min for length, _, move in falls(path) if length > 1e-9}
    level = {move.feed_mm_min for _, move, z in segments(path) if move.kind == CUT and abs(z - move.z) < 1e-9}

    assert down == {slow.running.ramp_mm_min}
    assert level == {slow.feed_mm_min}
    # A cutter of which nobody said it goes down at its feed.
    assert max(move.feed_mm_min for _, _, move in falls(round_and_down(20, 7, entry))) == T6.feed_mm_min


def test_cut_ring_auto_plunges_only_where_a_ramp_would_be_endless_and_the_cutter_can():
    def plunges(radius, cutter):
        path = round_and_down(radius, 3, "auto", cutter)
        down = any(length < 1e-9 and move.z < 0 for length, _, move in falls(path))
        # Where it was not asked for, it is said.
        assert any("straight down into wood in one place" in note for note in path.notes) == down
        return down

    assert plunges(0.3, T6)
    assert not plunges(10, T6)
    assert not plunges(2, INSERT)
    with pytest.raises(DoesNotFitError, match=r"finds one of 0\.60 near"):
        plunges(0.3, INSERT)


@pytest.mark.parametrize("length", [1.0, 2.9, 3.1, 20.0, 150.0])
@pytest.mark.parametrize("entry", ["auto", "zigzag", "plunge"])
def test_cut_line_goes_all_along_at_the_floor_and_alternates(length, entry):
    line = Track((Segment((30, 50), (30 + length, 50)),), False)
    builder = PathBuilder(T6, SAFE)
    builder.go_above(line.start, 2.0)
    cut_line(builder, line, 0.0, [-2.0, -4.0, -6.0], entry)
    path = builder.path()

    for z in (-2, -4, -6):
        level = axis(path)
        level = level[abs(level[:, 2] - z) < 1e-9]
        assert level[:, 0].min() == pytest.approx(30) and level[:, 0].max() == pytest.approx(30 + length)
    assert builder.x == pytest.approx(30 + length)
    assert max(depth for _, depth, _ in Wood(0.25).cut(path)) <= T6.running.step_down + 1e-9


def test_cut_line_too_short_for_a_cutter_dead_at_its_centre_says_so():
    builder = PathBuilder(INSERT, SAFE)
    builder.go_above((30, 50), 2.0)
    with pytest.raises(DoesNotFitError, match=r"only on a way 4 mm from end to end.*finds one of 1\.00 near"):
        cut_line(builder, Track((Segment((30, 50), (31, 50)),), False), 0.0, [-2.0], "auto")


@pytest.mark.parametrize(("room", "radius"), [(10, 2.7), (2.7, 2.7), (2.0, 2.0), (1.5, 1.5), (1.49, None), (0, None)])
def test_helix_track_is_half_to_nine_tenths_of_the_cutter_wide(room, radius):
    """Path diameter 0.5 to 0.9 D (reference 3.7, common practice); wider than D would leave a post."""
    track = helix_track(T6, MIDDLE, room, False)

    assert (track is None) == (radius is None)
    if track is not None:
        assert track.length == pytest.approx(2 * pi * radius)
        circle, heights = helix_down(T6, track, 0.0, -3.0)
        assert circle.at(heights[-1][0]) == pytest.approx(track.start)
        # No stub at either end, no steeper than the ramp angle and hardly flatter.
        ramp = heights[1][0]
        assert heights[1][1] == -3.0 and 3 / tan(radians(3)) <= ramp * (1 + 1e-9) and ramp <= 3 / tan(radians(3)) + 0.5
        assert min(segment.length for segment in circle.segments) >= 0.499
        assert heights[2][0] - heights[1][0] == pytest.approx(track.length)


def test_bore_fall_holds_the_angle_where_the_cutter_works():
    path = pi * 4.0  # a hole of 10 with a cutter of 6
    assert bore_fall(10, path, T6) * path == pytest.approx(pi * 10 * tan(radians(3)))
    assert bore_fall(10, path, INSERT) == pytest.approx(tan(radians(3)))


def test_check_plunge_passes_a_centre_cutting_cutter():
    check_plunge(T6)
    with pytest.raises(DoesNotFitError):
        check_plunge(INSERT)
