"""Crossings: never nearer to what stands on it than the margin, and no higher than that asks.

Bodies and distances are worked out with shapely, from the motions as the reader has them from the text.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from pathcheck import BOARD, DRILL3, FRONT, T6, VEE, segments
from shapely import LineString, Point, box

import toolpaths as tp
from samples import examples
from toolpaths.judging.reader.motions import RAPID
from toolpaths.making.motion.crossing import MARGIN, crossings, lowered
from toolpaths.making.motion.toolpath import CUT, Move, Toolpath
from toolpaths.making.motion.toolpath import RAPID as UP_AND_ACROSS
from toolpaths.making.plan import steps

# Short enough for its shank and its nut to meet a clamp.
SHORT = replace(T6, number=8, cutting_length=7, stick_out=12, shank_diameter=8)
inside = st.tuples(st.integers(8, 192), st.integers(8, 132))
screw = st.builds(
    lambda at, head, up, when: tp.Screw(x=at[0], y=at[1], head_diameter=head, height=up, driven_at=when),
    inside, st.sampled_from([6.0, 9.0]), st.sampled_from([0.0, 1.0, 3.5]), st.sampled_from(["", "Drive it"]),
)  # fmt: skip
clamp = st.builds(
    lambda at, long, up: tp.Clamp(area=tp.rotate(box(at[0], at[1], at[0] + long, at[1] + 8), long, at), height=up),
    inside, st.integers(8, 60), st.sampled_from([2.0, 14.0, 30.0]),
)  # fmt: skip
held = st.tuples(
    st.lists(screw, max_size=4),
    st.lists(clamp, max_size=2),
    st.sampled_from([(), ((100, 30), (100, 110))]),
    st.sampled_from(["", "left to right"]),
)


def fixture_of(parts) -> tp.Fixture:
    screws, clamps, pins, turned = parts
    dowels = tuple(tp.Dowel(x=x, y=y, diameter=8, depth=5, standing=2) for x, y in pins)
    return tp.Fixture(board=BOARD, screws=screws, clamps=clamps, dowels=dowels, turned=turned)


def standing(fixture: tp.Fixture):
    """(area as it lies, height) of all that stands up."""
    found = [(Point(s.x, s.y).buffer(s.head_diameter / 2, 128), s.height) for s in fixture.screws]
    found += [(clamp.area, clamp.height) for clamp in fixture.clamps]
    if fixture.turned:
        found += [(Point(d.x, d.y).buffer(d.diameter / 2, 128), d.standing) for d in fixture.dowels]
    return [(fixture.place(area), height) for area, height in found if height > 0]


def body(cutter: tp.Cutter, up: float) -> float:
    """Radius of the widest part of the body not higher than so much above the tip."""
    wide = cutter.profile.radius_at(up)
    wide = max(wide, cutter.body.shank_diameter / 2) if up > cutter.body.cutting_length else wide
    return max(wide, cutter.nut_diameter / 2) if up > cutter.body.stick_out else wide


def rapids_across(text: str, fixture: tp.Fixture, cutters):
    """(cutter, line, z over the board) of each rapid across, from the first place that the program names on."""
    read = tp.read(text).motions
    number = {cutter.number: cutter for cutter in cutters}
    rapid = (read.kind == RAPID) & (np.abs(read.start[:, :2] - read.end[:, :2]).max(axis=1) > 1e-3)
    shift = np.array(fixture.zero)
    for i in np.flatnonzero(rapid)[1:].tolist():
        a, b = read.start[i] + shift, read.end[i] + shift
        assert a[2] == b[2], "a crossing is level"
        yield number.get(int(read.tool[i])), LineString([a[:2], b[:2]]), float(a[2])


def height_of(over, a, b):
    """Z of the one crossing between two places."""
    return over.heights(np.array([a]), np.array([b]))[0]


def work(places, cutter=T6):
    lines = [LineString([(x, y), (min(x + 15, 190), y)]) for x, y in places[:4]]
    rounds = shapely.MultiPolygon([box(20, 20, 40, 40), box(60, 90, 90, 110), box(150, 60, 170, 80)])
    return (
        tp.drill(places, DRILL3, depth=4),
        tp.stop("Drive it"),
        tp.drill(places, DRILL3, depth=4, order="as given", peck=3),
        tp.bore(places[:5], 9, cutter, depth=3),
        tp.groove(lines, VEE, depth=1),
        tp.contour(rounds, cutter, depth=2, side="inside"),
        tp.pocket(rounds, cutter, depth=2),
        tp.chamfer(rounds, VEE, width=1, side="inside"),
    )


@examples(8)
@given(
    held,
    st.lists(inside, min_size=5, max_size=14, unique=True),
    st.sampled_from([T6, SHORT]),
    st.sampled_from(["canned", "spelled out"]),
    st.sampled_from(["mm", "inch"]),
)
def test_no_body_comes_nearer_than_the_margin_to_what_stands_up(parts, places, cutter, cycles, units):
    """Every rapid across, of all operations; and none is higher than what lies within reach below it asks."""
    fixture = fixture_of(parts)
    with pytest.MonkeyPatch.context() as patched:
        # Places may lie under what stands up; what is cut there is another matter.
        patched.setattr(steps, "check_limits", lambda *given: None)
        setup = tp.Setup(fixture, work([(float(x), float(y)) for x, y in places], cutter))
        text = tp.program_text(setup, cycles=cycles, units=units)
    things, room = standing(fixture), fixture.safe_z - fixture.highest
    digit = 1e-3

    allowed = {fixture.wait_z, fixture.safe_z}
    count = 0
    for tool, way, z in rapids_across(text, fixture, setup.cutters):
        count += 1
        assert z >= fixture.link_z - digit
        wanted = [fixture.link_z]
        for area, height in things:
            away = way.distance(area)
            if z < height + room - digit:
                assert away >= body(tool, max(height - z, 0.0)) + MARGIN - digit, (way.wkt, z, height)
            # Reach of the body at the lowest way, with the margin both beside and above.
            if away < body(tool, max(height - fixture.link_z, 0.0) + MARGIN) + MARGIN + digit:
                wanted.append(height + room)
        if not any(abs(z - one) < digit for one in allowed):
            assert z <= max(wanted) + digit
    assert count > 20


def test_crossings_between_holes_are_low_where_nothing_stands_and_high_only_over_what_does():
    """A screw 3 mm high between two of four holes in a row: 2 mm up, 8 over the screw, 2 again."""
    row = [(20, 60), (60, 60), (120, 60), (160, 60)]
    fixture = tp.Fixture(board=BOARD, screws=tp.screws([(90, 62)], head_diameter=9, height=3))
    expected = {(20, 60): 2.0, (60, 120): 8.0, (120, 160): 2.0}
    for cycles in ("canned", "spelled out"):
        setup = tp.Setup(fixture, [tp.drill(row, DRILL3, depth=5, order="as given")])
        text = tp.program_text(setup, cycles=cycles)
        found = {
            (way.coords[0][0], way.coords[1][0]): z
            for tool, way, z in rapids_across(text, fixture, setup.cutters)
            if way.coords[0][1] == way.coords[1][1]
        }
        assert found == expected
        assert tp.simulate(text, fixture, setup.cutters, cell=0.5).ok


def test_a_lower_thing_is_passed_lower_than_a_higher_one():
    """Room over each is that of the safe height over the highest: 5 mm."""
    screws, clamp = tp.screws([(60, 60)], head_diameter=9, height=3), tp.Clamp(area=box(100, 50, 110, 70), height=20)
    fixture = tp.Fixture(board=BOARD, screws=screws, clamps=(clamp,))
    over = crossings(fixture, T6)
    assert fixture.safe_z == 25
    assert height_of(over, (20, 60), (80, 60)) == 8
    assert height_of(over, (80, 60), (130, 60)) == 25
    assert height_of(over, (20, 60), (130, 60)) == 25
    assert height_of(over, (20, 120), (130, 120)) == 2
    assert over.rise(np.array([(20, 60)]), np.array([(80, 60)])) == [12]


def test_shank_and_nut_keep_clear_of_what_is_higher_than_the_flutes_are_long():
    """A clamp 30 mm high, 8 mm beside the way: a cutter of 3 mm radius passes, its nut of 9.5 mm would not."""
    fixture = tp.Fixture(board=BOARD, clamps=(tp.Clamp(area=box(80, 50, 120, 60), height=30),))
    long = replace(T6, cutting_length=40, stick_out=60)
    assert height_of(crossings(fixture, long), (20, 68), (180, 68)) == 2
    assert height_of(crossings(fixture, replace(T6, stick_out=25)), (20, 68), (180, 68)) == 35


def test_a_screw_that_is_driven_later_is_reckoned_with_from_the_start():
    screws = tp.screws([(60, 60)], head_diameter=9, height=3, driven_at="Drive it")
    assert height_of(crossings(tp.Fixture(board=BOARD, screws=screws), T6), (20, 60), (80, 60)) == 8


def test_dowels_stand_on_the_back_only():
    pins = tuple(tp.Dowel(x=100, y=y, diameter=8, depth=5, standing=2) for y in (30, 110))
    front = tp.Fixture(board=BOARD, dowels=pins)
    assert height_of(crossings(front, T6), (80, 30), (120, 30)) == 2
    assert height_of(crossings(front.turned_over("left to right"), T6), (80, 30), (120, 30)) == 7


@pytest.mark.parametrize("link", [1.0, 2.0, 3.5, 5.0])
def test_crossings_are_at_the_link_height_that_the_user_wants(link):
    """But not below the height at which the feed begins, 2 mm."""
    fixture = replace(FRONT, link_height=link)
    setup = tp.Setup(fixture, [tp.drill([(20, 60), (60, 60), (90, 90)], DRILL3, depth=5)])
    text = tp.program_text(setup)
    heights = [z for _, way, z in rapids_across(text, fixture, setup.cutters)]

    assert set(heights[1:-1]) == {max(link, 2.0)}
    assert tp.simulate(text, fixture, setup.cutters, cell=0.5).ok


def test_lowered_changes_nothing_but_heights_between_the_first_and_the_last_cut():
    """Ends at the safe height stay, so do all cuts, and where each of them begins."""
    shape = shapely.MultiPolygon([box(30, 30, 60, 60), box(90, 30, 120, 60), box(30, 80, 60, 110)])
    (path,) = tp.contour(shape, T6, depth=4).toolpaths(FRONT)
    low = lowered(path, FRONT)

    assert len(low.moves) == len(path.moves)
    assert (low.moves[0], low.moves[-1]) == (path.moves[0], path.moves[-1])
    for one, other in zip(path.moves, low.moves):
        assert one == other or (one.kind == UP_AND_ACROSS and one.z == 5 and other == one._replace(z=2.0))
    across = [move.z for segment, move, _ in segments(low) if move.kind == UP_AND_ACROSS and segment.length > 0]
    assert across == [2.0, 2.0]


def test_a_cut_that_begins_at_the_safe_height_is_left_so():
    moves = [Move(UP_AND_ACROSS, 10, 10, 5.0), Move(CUT, 20, 10, -1.0, 500.0), Move(UP_AND_ACROSS, 20, 10, 5.0)]
    moves += [Move(UP_AND_ACROSS, 50, 10, 5.0), Move(CUT, 60, 10, -1.0, 500.0), Move(UP_AND_ACROSS, 60, 10, 5.0)]
    assert lowered(Toolpath(T6, tuple(moves)), FRONT).moves == tuple(moves)


@pytest.mark.parametrize("wrong", [0, -1, 6, float("nan"), "low"], ids=str)
def test_link_height_that_is_none_is_refused(wrong):
    with pytest.raises(tp.InputError, match="link_height"):
        replace(FRONT, link_height=wrong)


def test_link_height_is_never_above_a_low_safe_height():
    assert tp.Fixture(board=BOARD, safe_height=1.5).link_z == 1.5


def test_the_back_keeps_the_link_height_of_the_front_unless_given():
    front = replace(FRONT, link_height=3.5)
    assert front.turned_over("left to right").link_z == 3.5
    assert front.turned_over("left to right", link_height=2.5).link_z == 2.5
    with pytest.raises(tp.InputError, match="link_height=8 is above safe_height=5; use that or less"):
        replace(FRONT, safe_height=10, link_height=8).turned_over("left to right")
