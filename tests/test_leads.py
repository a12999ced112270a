"""Leads: arcs on to a track and off it, and the way back from a round to where it begins."""

from __future__ import annotations

from math import acos, cos, dist, hypot, pi, sin

import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from shapely import LineString, Point, box
from shapely.geometry.polygon import orient

from samples import examples
from toolpaths.making.operations.leads import Leads
from toolpaths.shapes import arc_fit
from toolpaths.shapes.track import circle_track, wrapped

OPEN = box(-100, -100, 100, 100)


@examples(100)
@given(
    heading=st.floats(-pi, pi), radius=st.floats(0.5, 8), left=st.booleans(),
    place=st.tuples(st.floats(-20, 20), st.floats(-20, 20)), away=st.none() | st.floats(0.05, 0.5),
)  # fmt: skip
def test_arcs_touch_the_track_and_lie_on_the_side_of_the_room(heading, radius, left, place, away):
    """One arrives in the direction, the other leaves in it; both ends are as far to the side as 1 - cos of the sweep
    of the radius."""
    leads = Leads(radius, left, OPEN)
    if away is not None:
        leads = leads.starting_off(away * radius)
    (on,), (off,) = leads.arc_on(place, heading), leads.arc_off(place, heading)

    assert dist(on.end, place) < 1e-9 and dist(off.start, place) < 1e-9
    assert wrapped(on.heading(1.0) - heading) == pytest.approx(0, abs=1e-9)
    assert wrapped(off.heading(0.0) - heading) == pytest.approx(0, abs=1e-9)
    for arc, far in ((on, on.start), (off, off.end)):
        side = (far[1] - place[1]) * cos(heading) - (far[0] - place[0]) * sin(heading)
        expected = arc.radius * (1 - cos(abs(arc.sweep))) if away is None else away * radius
        assert (side if left else -side) == pytest.approx(expected)


def test_arc_finds_the_bend_that_has_room_or_none():
    """Room on one side only, and ever less of it: the arc off takes half of the radius, then a quarter, then none."""
    for depth, expected in ((2.0, 1.5), (1.0, 0.75), (0.5, None)):
        leads = Leads(3.0, True, box(-10, -0.01, 10, depth))
        arcs = leads.arc_off((0.0, 0.0), 0.0)
        assert [arc.radius for arc in arcs] == ([] if expected is None else [pytest.approx(expected)])
        assert not Leads(3.0, False, leads.room).arc_off((0.0, 0.0), 0.0)
    assert not Leads(3.0, True, OPEN).arc_on((0.0, 0.0), 0.0, ground=box(50, 50, 60, 60))


@pytest.mark.parametrize("clockwise", [False, True])
@pytest.mark.parametrize("post", [None, (0.0, 11.2)])
def test_round_comes_and_goes_in_the_room_and_back_again(clockwise, post):
    """Outside a part of radius 10, past a post that stands where the ring begins: no way enters either."""
    ring, part = circle_track((0.0, 0.0), 10.0, clockwise, from_angle=pi / 2), Point(0, 0).buffer(9.999, quad_segs=256)
    room = OPEN - part
    if post is not None:
        room -= Point(post).buffer(0.6)
    around = Leads(3.0, clockwise, room).starting_off(1.0).round(ring)
    out, back, sweep = around.at(-4.0), around.back(-4.0), acos(1 - 1 / 3)

    assert around.on and around.off and around.end >= ring.length + 1
    assert dist(out.track.start, around.begin) < 1e-9
    assert hypot(*around.begin) == pytest.approx(hypot(*around.off[-1].end)) == pytest.approx(hypot(11, 3 * sin(sweep)))
    assert dist(out.track.segments[-1].end, back.track.start) < 1e-9
    assert dist(back.track.segments[-1].end, around.begin) < 1e-9
    for track in (out.track, back.track):
        assert max(room.distance(Point(track.at(track.length * i / 500))) for i in range(501)) < 1e-3
    assert all(z == -4.0 for _, z in (*out.heights, *back.heights))
    # By the lengths of the ring: the arc on ends at 0, and back is where that was a round before.
    assert out.ring_from == pytest.approx(-3 * sweep)
    assert back.ring_from == pytest.approx(out.ring_from + out.track.length)
    assert back.ring_from + back.ring_rate * back.track.length == pytest.approx(ring.length + out.ring_from)


def test_way_back_goes_over_the_arcs_where_straight_would_cut_the_part():
    """Round the end of a strip 0.4 wide: the straight way from behind it to before it leads through the strip."""
    strip = box(-20, -0.2, 0, 0.2)
    edge = orient(strip.buffer(1.5, quad_segs=64)).exterior
    track = arc_fit.fit(shapely.get_coordinates(edge)[:-1], True, 0.002)
    around = (
        Leads(1.5, False, OPEN - strip.buffer(1.49))
        .starting_off(0.05)
        .round(track.starting_at(track.nearest((1.5, 0.0))[0]))
    )
    back = around.back(-1.0).track

    assert strip.distance(LineString([back.start, around.begin])) < 1.4
    assert min(strip.distance(Point(back.at(share * back.length / 50))) for share in range(51)) > 1.49
    assert dist(back.segments[-1].end, around.begin) < 1e-9
