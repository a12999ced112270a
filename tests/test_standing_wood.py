"""Work that begins below the face is refused where wood stands above it, with the place and the height of that wood."""

from __future__ import annotations

import re
from dataclasses import replace
from functools import partial

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pathcheck import BOARD, DRILL3, FRONT, MIDDLE, SIDES, T2, T3, T6, VEE
from shapely import LineString, Point, box

import toolpaths as tp
from samples import examples

ROUNDER = tp.Cutter(8, tp.rounding(2, 4), feed_mm_min=1200, spindle_rpm=16000, shank_diameter=6)
# All work of a kind within 15 mm of the middle of the board.
BELOW = {
    "contour": lambda top: tp.contour(tp.circle(16, MIDDLE), T6, depth=top + 2, from_depth=top, name="below"),
    "opening": lambda top: tp.contour(
        tp.circle(20, MIDDLE), T6, depth=top + 2, from_depth=top, side="inside", name="below"
    ),
    "drill": lambda top: tp.drill([MIDDLE], DRILL3, depth=top + 2, from_depth=top, name="below"),
    "groove": lambda top: tp.groove(LineString([(92, 66), (108, 74)]), T3, depth=top + 2, from_depth=top, name="below"),
    "bore": lambda top: tp.bore([MIDDLE], 9, T6, depth=top + 2, from_depth=top, name="below"),
    "chamfer": lambda top: tp.chamfer(tp.circle(12, MIDDLE), VEE, width=1, from_depth=top, name="below"),
    "round edge": lambda top: tp.round_edge(tp.circle(12, MIDDLE), ROUNDER, from_depth=top, name="below"),
    "countersink": lambda top: tp.countersink([MIDDLE], VEE, diameter=8, from_depth=top, name="below"),
    "pocket": lambda top: tp.pocket(tp.circle(20, MIDDLE), [T6, T3], depth=top + 2, from_depth=top, name="below"),
    "face": lambda top: tp.face(tp.rectangle(12, 12, MIDDLE), T6, depth=top + 2, from_depth=top, name="below"),
}
TRAY = tp.rectangle(50, 40, MIDDLE)


def refusal(fixture: tp.Fixture, work: list, **more) -> tp.DoesNotFitError:
    with pytest.raises(tp.DoesNotFitError, match="wood stands") as caught:
        tp.Setup(fixture, work, **more)
    return caught.value


def seen_from_front(error: tp.DoesNotFitError, fixture: tp.Fixture) -> Point:
    """The place that the words of an error give last: where it is as seen from the front."""
    x, y = map(float, re.findall(r"(-?\d+\.\d), (-?\d+\.\d)", str(error))[-1])
    lies = fixture.place(Point(error.point))
    assert Point(x, y).distance(lies) < 0.2
    return Point(x, y)


@pytest.mark.sample(10)
@pytest.mark.parametrize("kind", BELOW)
@pytest.mark.parametrize("side", SIDES)
def test_work_below_the_face_of_a_whole_board_is_refused(kind, side):
    """Once the rapid went down into the wood, or the first pass was as much deeper."""
    for top in (10.0, 0.5):
        error = refusal(SIDES[side], [tp.drill([(20, 20)], DRILL3, depth=2), BELOW[kind](top)])

        assert f"Step 2 on the {SIDES[side].side}, below: " in str(error)
        assert f"begins at from_depth={top:g}" in str(error) and "wood stands up to the face" in str(error)
        assert seen_from_front(error, SIDES[side]).distance(Point(MIDDLE)) < 18


@pytest.mark.sample(1, long=10)
@pytest.mark.parametrize("kind", BELOW)
@pytest.mark.parametrize("side", SIDES)
def test_work_below_the_face_is_accepted_where_the_wood_above_was_taken_and_refused_a_step_deeper(kind, side):
    tray = tp.pocket(TRAY, T6, depth=4)

    assert tp.Setup(SIDES[side], [tray, BELOW[kind](4.0)])
    if kind in ("chamfer", "round edge", "countersink"):
        with pytest.raises(tp.DoesNotFitError, match=r"begins 4\.00 mm below the face: give from_depth=4"):
            tp.Setup(SIDES[side], [tray, BELOW[kind](3.0)])
    else:
        assert tp.Setup(SIDES[side], [tray, BELOW[kind](3.0)])
    error = refusal(SIDES[side], [tray, BELOW[kind](4.5)])
    assert "wood stands up to 4.00 mm below the face" in str(error)
    assert "from_depth=4." in str(error)
    assert tp.Setup(SIDES[side], [tp.pocket(TRAY, T6, depth=4.5), BELOW[kind](4.5)])


@pytest.mark.parametrize("side", SIDES)
def test_place_is_where_the_wood_stands_not_where_it_was_taken(side):
    """Half of the ground is cleared: the place lies in the other half, as seen from the front."""
    cleared = box(60, 40, 100, 100)
    below = tp.pocket(tp.rectangle(40, 16, MIDDLE), T6, depth=6, from_depth=3)
    error = refusal(SIDES[side], [tp.pocket(cleared, T6, depth=3), below])

    assert box(100, 62, 120, 78).covers(seen_from_front(error, SIDES[side]))


@examples(25)
@given(depth=st.floats(0.5, 9), more=st.floats(0.06, 6))
def test_height_is_that_of_the_wood(depth, more):
    depth = round(depth, 2)
    error = refusal(
        FRONT, [tp.bore([MIDDLE], 11, T6, depth=depth), tp.drill([MIDDLE], T3, depth=16, from_depth=depth + more)]
    )

    assert f"up to {depth:.2f} mm below the face" in str(error)


@pytest.mark.long
def test_a_finer_cutter_does_not_find_the_corners_cleared_that_a_coarser_one_left():
    tray = tp.pocket(TRAY, T6, depth=4)
    error = refusal(FRONT, [tray, tp.pocket(TRAY, T3, depth=8, from_depth=4)])

    assert min(Point(corner).distance(Point(error.point)) for corner in TRAY.exterior.coords) < 2
    assert tp.Setup(FRONT, [tp.pocket(TRAY, [T6, T3], depth=4), tp.pocket(TRAY, T3, depth=8, from_depth=4)])
    assert tp.Setup(FRONT, [tray, tp.pocket(TRAY, T3, depth=8)])


@pytest.mark.long
def test_levelling_is_enough_for_all_that_is_cut_below_it():
    level = tp.face(BOARD.outline, T6, depth=1)
    levelled = replace(FRONT, overhang=20)
    outline = tp.contour(
        tp.rectangle(180, 120, MIDDLE),
        T6,
        depth=tp.through(0.3),
        from_depth=1,
        tabs=tp.Tabs(count=4, width=6, height=4),
    )

    for make in BELOW.values():
        assert tp.Setup(levelled, [level, make(1.0), outline])
        refusal(levelled, [make(1.0), level])
    refusal(levelled, [outline, level])


@pytest.mark.parametrize("cutter", [tp.bull_nose(6, 1), tp.ball(6)], ids=str)
def test_hairs_of_wood_are_no_standing_wood(cutter):
    """Scallops of hundredths of a mm that a rounded tip leaves between passes hinder nobody; tenths do."""
    rounded = replace(T6, profile=cutter, number=9)
    low = tp.groove([LineString([(70, y), (130, y)]) for y in (69.6, 70, 70.4)], rounded, depth=3)

    assert tp.Setup(FRONT, [low, tp.drill([(100, 70)], T2, depth=9, from_depth=3 - 0.15)])
    refusal(FRONT, [low, tp.drill([(100, 70)], T6, depth=9, from_depth=3)])


def test_an_order_that_the_user_keeps_is_refused_as_in_a_list():
    tray = tp.pocket(TRAY, T6, depth=4, name="tray")
    error = refusal(FRONT, [tp.any_order(tray, BELOW["drill"](4.0), keeping=[(BELOW["drill"](4.0), tray)])])

    assert "Step 2 on the front, below" in str(error)
    assert tp.Setup(FRONT, [tp.any_order(BELOW["drill"](4.0), tray)])


def test_wood_that_the_other_side_cut_through_stands_no_more():
    """An opening made from the front, and on the back a groove across it, begun below the face where nothing is."""
    opening = tp.pocket(tp.rectangle(40, 20, MIDDLE), T6, depth=tp.through())
    front = tp.Setup(replace(FRONT, grips=(BOARD.outline,)), [opening])
    inside = tp.contour(tp.rectangle(40, 20, MIDDLE), T6, depth=9, from_depth=4, side="inside")
    back = front.fixture.turned_over("left to right", grips=(BOARD.outline,))

    assert tp.Setup(back, [inside], after=front)
    refusal(back, [inside])


V90 = tp.Cutter(6, tp.v_point(12, 90), feed_mm_min=1200, spindle_rpm=16000, step_down=3)
SINK = partial(tp.countersink, [(60, 60), (150, 80)], V90, diameter=8)
BREAK = partial(tp.chamfer, tp.rectangle(80, 50, (100, 70)), V90, width=1.2)
BREAK_HOLE = partial(tp.chamfer, tp.rectangle(80, 50, (100, 70)), V90, width=1.2, side="inside")


@pytest.mark.parametrize("turned", ["", "left to right"])
@pytest.mark.parametrize("make", [SINK, BREAK, BREAK_HOLE], ids=["countersink", "chamfer", "chamfer of an opening"])
def test_what_gets_wider_with_its_depth_begins_at_the_wood(make, turned):
    """After levelling by 1 a cone 8 wide at the face as measured would be 6 wide, and a chamfer 1.2 wide 0.2."""
    levelled = replace(FRONT, overhang=25)
    levelled = levelled.turned_over(turned) if turned else levelled
    level = tp.face(FRONT.board.outline, T6, depth=1)
    for from_depth in (0.0, 0.5):
        with pytest.raises(
            tp.DoesNotFitError, match=r"begins 1\.00 mm below the face: give from_depth=1, or do this bef"
        ):
            tp.Setup(levelled, [level, make(from_depth=from_depth)])
    assert tp.Setup(levelled, [level, make(from_depth=1)])
    assert tp.Setup(levelled, [make(), level]), "before the face is levelled it is as wide as it says"


@pytest.mark.long
def test_a_countersink_over_its_hole_or_a_chamfer_beside_its_wall_is_as_wide_as_it_says():
    hole = tp.bore([(60, 60), (150, 80)], 8, T6, depth=6)
    wall = tp.contour(tp.rectangle(80, 50, (100, 70)), T6, depth=6)
    tray = tp.pocket(tp.rectangle(80, 50, (100, 70)), T6, depth=6)
    for before, after in ((hole, SINK()), (wall, BREAK()), (tray, BREAK_HOLE())):
        assert tp.Setup(FRONT, [before, after])
    with pytest.raises(tp.DoesNotFitError, match=r"begins 6\.00 mm below"):
        tp.Setup(FRONT, [tray, tp.countersink([(100, 70)], V90, diameter=8)])
    with pytest.raises(tp.DoesNotFitError, match="none is left"):
        tp.Setup(
            FRONT, [tp.bore([(60, 60)], 12, T6, depth=tp.through(0.3)), tp.countersink([(60, 60)], V90, diameter=8)]
        )
