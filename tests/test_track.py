"""Tracks: every measure of one agrees with its points, sampled finely."""

from __future__ import annotations

from itertools import pairwise
from math import cos, hypot, pi, sin

import numpy as np
import pytest
import shapely
from hypothesis import assume, given
from hypothesis import strategies as st

from toolpaths.shapes.segment_bounds import segment_bounds
from toolpaths.shapes.track import Segment, Track, circle_track

places = st.tuples(st.floats(-100, 100), st.floats(-100, 100))


@st.composite
def tracks(draw: st.DrawFn, closed: bool | None = None) -> Track:
    """Lines and arcs end to end; closed by a last line."""
    x, y = start = draw(places)
    segments: list[Segment] = []
    for _ in range(draw(st.integers(1, 5))):
        if draw(st.booleans()):
            dx, dy = draw(st.tuples(st.floats(-40, 40), st.floats(-40, 40)).filter(lambda d: hypot(*d) > 0.5))
            segments.append(Segment((x, y), (x + dx, y + dy)))
        else:
            radius, angle = draw(st.floats(0.5, 30)), draw(st.floats(-pi, pi))
            sweep = draw(st.floats(-2 * pi, 2 * pi).filter(lambda s: abs(s) > 0.1))
            cx, cy = x - radius * cos(angle), y - radius * sin(angle)
            end = cx + radius * cos(angle + sweep), cy + radius * sin(angle + sweep)
            segments.append(Segment((x, y), end, (cx, cy), sweep))
        x, y = segments[-1].end
    round_trip = draw(st.booleans()) if closed is None else closed
    if round_trip and hypot(x - start[0], y - start[1]) > 1e-6:
        segments.append(Segment((x, y), start))
    elif round_trip:
        segments[-1] = segments[-1]._replace(end=start)
    return Track(tuple(segments), round_trip)


def sampled(segments: tuple[Segment, ...] | list[Segment], each: int = 200) -> np.ndarray:
    """Points of segments, found by turning about the centre or by going straight; not by Segment.at()."""
    t = np.linspace(0, 1, each)[:, None]
    out = []
    for segment in segments:
        if segment.sweep == 0:
            out.append(np.array(segment.start) * (1 - t) + np.array(segment.end) * t)
        else:
            arm = complex(*segment.start) - complex(*segment.centre)
            ring = complex(*segment.centre) + arm * np.exp(1j * segment.sweep * t[:, 0])
            out.append(np.column_stack([ring.real, ring.imag]))
    return np.vstack(out)


def close(a: tuple[float, float], b: tuple[float, float]) -> bool:
    return hypot(a[0] - b[0], a[1] - b[1]) < 1e-7


@given(tracks())
def test_length_is_that_of_the_fine_polyline(track):
    polyline = np.hypot(*np.diff(sampled(track.segments, 2000), axis=0).T).sum()

    assert track.length == pytest.approx(polyline, rel=1e-5)
    assert track.ends[-1] == track.length


@given(tracks(), st.floats(0, 1), st.floats(0, 1))
def test_points_are_no_farther_apart_than_the_length_between(track, one, other):
    a, b = sorted((one * track.length, other * track.length))
    p, q = track.at(a), track.at(b)

    assert hypot(q[0] - p[0], q[1] - p[1]) <= b - a + 1e-9
    assert shapely.distance(shapely.LineString(sampled(track.segments)), shapely.Point(p)) < 0.02


@given(tracks())
def test_at_the_joints_gives_the_joints(track):
    for segment, end in zip(track.segments, track.ends):
        assert close(track.at(end - segment.length), segment.start)
    assert close(track.at(0), track.start)


@given(tracks(closed=False))
def test_at_past_the_ends_of_an_open_track_stays_at_the_ends(track):
    assert track.at(-5) == track.start
    assert track.at(track.length + 5) == track.segments[-1].end


@given(tracks(), st.floats(0, 1), st.floats(0, 1))
def test_between_is_as_long_as_asked_and_joins_exactly(track, one, other):
    a, b = sorted((one * track.length, other * track.length))
    assume(b - a > 1e-3)
    run = track.between(a, b)

    assert sum(segment.length for segment in run) == pytest.approx(b - a, abs=1e-6)
    assert close(run[0].start, track.at(a))
    if b < track.length:
        assert close(run[-1].end, track.at(b))
    for segment, following in pairwise(run):
        assert hypot(following.start[0] - segment.end[0], following.start[1] - segment.end[1]) <= 2e-9


@given(tracks(), st.floats(0.1, 0.9))
def test_between_leaves_whole_pieces_as_they_are(track, share):
    assert tuple(track.between(0, track.length)) == track.segments
    middle = share * track.length
    run = track.between(0, middle)
    assert tuple(run[:-1]) == track.segments[: len(run) - 1]


@given(tracks(closed=True), st.floats(0, 2), st.floats(0.1, 2.5))
def test_between_goes_round_a_closed_track_as_often_as_asked(track, start, rounds):
    """Unrolled: half way along the segments lies where the length says."""
    a, b = start * track.length, (start + rounds) * track.length
    run = track.between(a, b)

    unrolled = Track(tuple(run), False)
    assert unrolled.length == pytest.approx(b - a, abs=1e-6)
    for share in (0.0, 0.3, 0.77):
        assert close(unrolled.at(share * (b - a)), track.at(a + share * (b - a)))


@given(tracks(closed=True), st.floats(0, 1))
def test_starting_at_is_the_same_ring_begun_elsewhere(track, share):
    along = share * track.length
    turned = track.starting_at(along)

    assert turned.closed
    assert turned.length == pytest.approx(track.length, abs=1e-6)
    assert close(turned.start, track.at(along))
    assert close(turned.segments[-1].end, turned.start)
    for part in (0.1, 0.5, 0.9):
        assert close(turned.at(part * track.length), track.at(along + part * track.length))


@given(tracks(), st.floats(0, 1))
def test_reversed_runs_the_other_way(track, share):
    back = track.reversed()

    assert back.length == pytest.approx(track.length)
    assert close(back.at(share * track.length), track.at((1 - share) * track.length))
    assert back.reversed() == track
    assert back.start == track.segments[-1].end


@given(tracks(closed=False))
def test_bounds_are_those_of_the_fine_points(track):
    for segment in track.segments:
        points = sampled([segment], 4001)
        left, low, right, high = segment_bounds([segment])[0]
        assert (left, low) == pytest.approx(points.min(axis=0), abs=1e-4)
        assert (right, high) == pytest.approx(points.max(axis=0), abs=1e-4)
        assert left <= points[:, 0].min() + 1e-9
        assert high >= points[:, 1].max() - 1e-9


@given(tracks(closed=False), places)
def test_nearest_is_the_nearest_of_the_fine_points(track, place):
    for segment in track.segments:
        share, distance = segment.nearest(place)
        least = np.hypot(*(sampled([segment], 4001) - place).T).min()

        assert 0 <= share <= 1
        x, y = segment.at(share)
        assert hypot(x - place[0], y - place[1]) == pytest.approx(distance, abs=1e-9)
        assert distance == pytest.approx(least, abs=segment.length / 4000)
        assert distance <= least + 1e-9


@given(tracks(closed=False), st.floats(0.05, 0.95))
def test_heading_is_the_direction_of_the_next_point(track, share):
    for segment in track.segments:
        (x0, y0), (x1, y1) = segment.at(share - 1e-5), segment.at(share + 1e-5)
        chord = complex(x1 - x0, y1 - y0)
        assert chord / abs(chord) == pytest.approx(np.exp(1j * segment.heading(share)), abs=1e-3)


@pytest.mark.parametrize("clockwise", [False, True])
def test_circle_track_is_two_half_arcs(clockwise):
    track = circle_track((10, 20), 5, clockwise, from_angle=0.3)

    assert track.length == pytest.approx(2 * pi * 5)
    assert [abs(segment.sweep) for segment in track.segments] == [pi, pi]
    assert np.hypot(*(sampled(track.segments) - (10, 20)).T) == pytest.approx(5)
    assert track.segments[0].end == track.segments[1].start
    assert track.segments[1].end == track.start
    ring = shapely.LinearRing(sampled(track.segments))
    assert ring.is_ccw is not clockwise
