"""What has to come first in a group comes first, however the group is listed."""

from __future__ import annotations

from dataclasses import replace
from random import Random

import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from pathcheck import BOARD, DRILL3, FRONT, MIDDLE, T2, T3, T6, VEE
from shapely import LineString, box
from test_order import order_of

import toolpaths as tp
from samples import examples
from toolpaths.making.plan.effect import effect_of

PART = tp.rectangle(150, 100, MIDDLE)
TABS = tp.Tabs(count=4, width=6, height=4)
CLAMPED = replace(FRONT, clamps=(tp.Clamp(area=box(90, 60, 110, 80), height=5),), safe_height=20)


def outline(shape=PART, cutter=T6, **more):
    more.setdefault("tabs", TABS)
    return tp.contour(shape, cutter, depth=tp.through(), name="outline", **more)


def at(name: str, found: list[str]) -> list[int]:
    """Where a piece of work comes in an order, for each of its cutters."""
    return [place for place, each in enumerate(found) if each.rpartition(" T")[0] == name or each == name]


# Each pair: what comes first, and what comes after it.
BEFORE = {
    "pocket on the part": (tp.pocket(tp.circle(30, MIDDLE), [T3, T2], depth=5, name="first"), outline()),
    "groove on the part": (tp.groove(LineString([(60, 50), (90, 60)]), T3, depth=3, name="first"), outline()),
    "chamfer of its edge": (tp.chamfer(PART, VEE, width=1, name="first"), outline()),
    "opening inside": (
        tp.contour(tp.circle(40, MIDDLE), T3, depth=tp.through(), side="inside", name="first", tabs=TABS),
        outline(),
    ),
    "inner piece": (
        tp.contour(tp.circle(40, MIDDLE), T3, depth=tp.through(), name="first"),
        outline(tp.circle(90, MIDDLE)),
    ),
    "waste in the opening": (
        tp.pocket(tp.circle(20, MIDDLE), T3, depth=5, name="first"),
        tp.contour(tp.circle(50, MIDDLE), T6, depth=tp.through(), side="inside", name="outline", tabs=TABS),
    ),
    "off the part": (tp.pocket(tp.circle(14, (186, 70)), T3, depth=5, name="first"), outline(tp.circle(60, MIDDLE))),
    "island of a pocket right through": (
        tp.drill([MIDDLE], DRILL3, depth=5, name="first"),
        tp.pocket(tp.circle(60, MIDDLE), T6, islands=tp.circle(20, MIDDLE), depth=tp.through(), name="outline"),
    ),
    "closed groove right through": (
        tp.pocket(tp.circle(20, MIDDLE), T3, depth=5, name="first"),
        tp.groove(tp.circle(60, MIDDLE), T6, depth=tp.through(), name="outline"),
    ),
    "strip cut off": (
        tp.pocket(tp.circle(20, (170, 70)), T3, depth=5, name="first"),
        tp.groove(LineString([(150, -10), (150, 150)]), T6, depth=tp.through(), name="outline"),
    ),
    "levelling": (tp.face(BOARD.outline, T6, depth=1, name="first"), tp.drill([MIDDLE], T3, depth=5, from_depth=1)),
    "counterbore": (
        tp.bore([MIDDLE], 10, T6, depth=5, name="first"),
        tp.drill([MIDDLE], DRILL3, depth=tp.through(), from_depth=5),
    ),
    "step": (
        tp.pocket(tp.circle(40, MIDDLE), T3, depth=5, name="first"),
        tp.pocket(tp.circle(20, MIDDLE), T6, depth=9, from_depth=5),
    ),
    "hole": (tp.drill([MIDDLE], DRILL3, depth=12, name="first"), tp.pocket(tp.circle(30, MIDDLE), T6, depth=4)),
    "coarse": (
        tp.pocket(tp.circle(30, MIDDLE), T6, depth=4, name="first"),
        tp.pocket(tp.rectangle(30, 20, MIDDLE), [T3, T2], depth=4),
    ),
    "wall of the same cutter": (
        tp.pocket(tp.circle(40, MIDDLE), T6, depth=4, name="first"),
        tp.contour(tp.circle(40.4, MIDDLE), T6, depth=4, side="inside"),
    ),
    "rough cut of an outline": (
        tp.contour(tp.offset(PART, 0.3), T6, depth=tp.through(), tabs=TABS, name="first"),
        outline(cutter=T3),
    ),
    "rough cut of an opening": (
        tp.contour(tp.circle(59.4, MIDDLE), T6, depth=tp.through(), side="inside", tabs=TABS, name="first"),
        tp.contour(tp.circle(60, MIDDLE), T3, depth=tp.through(), side="inside", name="outline", tabs=TABS),
    ),
    "loose waste": (
        tp.pocket(tp.circle(14, (186, 70)), T3, depth=5, name="first"),
        tp.contour(tp.circle(60, MIDDLE), T6, depth=tp.through(), side="inside", name="outline"),
    ),
}


@pytest.mark.parametrize("case", BEFORE)
@pytest.mark.parametrize("turned", [False, True], ids=["listed so", "listed the other way round"])
@pytest.mark.parametrize("fitted", [T2, T3, T6], ids=str)
def test_first_things_come_first(case, turned, fitted):
    """However they are listed, and whatever cutter is in the spindle."""
    first, second = BEFORE[case]
    group = tp.any_order(second, first) if turned else tp.any_order(first, second)
    loaded = tp.drill([(5, 5)], fitted, depth=1, name="loaded")
    found = order_of([loaded, group])

    assert max(at("first", found)) < min(at(second.title, found))


FREE = {
    "chamfer and pocket": (
        tp.pocket(tp.circle(30, MIDDLE), T3, depth=5, name="pocket"),
        tp.chamfer(tp.circle(30, MIDDLE), VEE, width=1, side="inside", name="other"),
    ),
    "apart": (
        tp.pocket(tp.circle(30, (50, 50)), T3, depth=5, name="pocket"),
        tp.pocket(tp.circle(30, (150, 70)), T6, depth=5, name="other"),
    ),
    "opening held by tabs, work beside it": (
        tp.pocket(tp.circle(30, (40, 70)), T3, depth=5, name="pocket"),
        tp.contour(tp.circle(60, (130, 70)), T6, depth=tp.through(), side="inside", tabs=TABS, name="other"),
    ),
}


@pytest.mark.parametrize("case", FREE)
@pytest.mark.parametrize("first", [0, 1])
def test_where_nothing_speaks_for_an_order_the_fitted_cutter_goes_on(case, first):
    one, two = FREE[case][first], FREE[case][1 - first]
    (cutter,) = one.cutters_in_turn
    edge = tp.groove(LineString([(5, 5), (30, 5)]), cutter, depth=1, name="loaded")

    assert order_of([edge, tp.any_order(two, one)])[1].startswith(one.title)


def test_dowel_holes_come_first_on_the_side_where_they_are_made():
    """After the levelling that they count from, before all else; on the back they are no dowel holes any more."""
    pins = tuple(tp.Dowel(x=x, y=70, diameter=8, depth=5) for x in (10, 190))
    front = replace(FRONT, dowels=pins, overhang=20)
    holes = tp.bore([(10, 70), (190, 70)], 8, T6, depth=tp.through(5), from_depth=1, name="dowels")
    level = tp.face(BOARD.outline, T3, depth=1, name="level")
    tray = tp.pocket(tp.circle(40, MIDDLE), T3, depth=5, from_depth=1, name="tray")
    found = order_of([tp.any_order(tray, holes, level)], front)

    assert found == ["level T2", "dowels T1", "tray T2"]
    # As on the front, the levelling is T3's; with nothing to say for the holes T3 stays in.
    assert order_of([tp.any_order(tray, holes, level)], front.turned_over("top to bottom"))[:2] == [
        "level T2",
        "tray T2",
    ]


def test_pilots_come_before_the_screws_and_what_the_screws_hold_after():
    when = "Drive the screw"
    fixture = replace(FRONT, screws=tp.screws([(60, 70)], head_diameter=8, height=3, driven_at=when), safe_height=20)
    pilot = tp.drill([(60, 70)], DRILL3, depth=tp.through(), name="pilot")
    near = tp.pocket(tp.rectangle(10, 4, (69, 70)), T3, depth=2, name="near")
    slug = tp.contour(tp.circle(60, (60, 70)), T6, depth=tp.through(), side="inside", name="slug")
    stop = tp.stop(when)
    for listed in ([pilot, near, slug, stop], [stop, slug, near, pilot], [slug, stop, pilot, near]):
        found = order_of([tp.any_order(*listed)], fixture)
        assert max(at("pilot", found) + at("near", found)) < at(f"stop {when}", found)[0] < at("slug", found)[0]


def test_a_stop_that_nothing_places_is_refused():
    hole = tp.drill([MIDDLE], DRILL3, depth=3)
    wait = tp.stop("Sweep")
    with pytest.raises(tp.InputError, match="No screw is driven at the stop 'Sweep'"):
        tp.Setup(FRONT, [tp.any_order(hole, wait)])
    assert order_of([tp.any_order(wait, hole, keeping=[(hole, wait)])]) == ["drill T6", "stop Sweep"]


def test_what_was_asked_for_holds_and_a_danger_is_noted():
    """Outline first, then the pocket on the part: done, and noted unless something holds the part."""
    pocket = tp.pocket(tp.circle(20, (76, 70)), T3, depth=5, name="pocket")
    for cut, fixture, noted in [
        (outline(tabs=None), FRONT, True),
        (outline(), FRONT, False),
        (outline(tabs=None), CLAMPED, False),
        (outline(tabs=None), replace(FRONT, grips=(BOARD.outline,)), False),
    ]:
        setup = tp.Setup(fixture, [tp.any_order(pocket, cut, keeping=[(cut, pocket)])])
        assert [step.name for step in setup.steps] == ["outline", "pocket"]
        assert any("pocket before outline works" in note for note in setup.notes) == noted


def test_work_kept_before_that_which_lays_its_surface_bare_is_refused():
    """As the same order is in a list; also where less than the clear height of wood stands above it."""
    tray = tp.pocket(tp.circle(40, MIDDLE), T6, depth=5, name="tray")
    step = tp.pocket(tp.circle(20, MIDDLE), T6, depth=9, from_depth=5, name="step")
    between = tp.drill([(40, 40)], T2, depth=4, name="between")
    level = tp.face(tp.rectangle(60, 60, MIDDLE), T6, depth=1, name="level")
    hole = tp.drill([MIDDLE], DRILL3, depth=5, from_depth=1, name="hole")
    for first, last, kept in [
        (step, tray, (step, tray)),
        (step, tray, (step, between, tray)),
        (hole, level, (hole, level)),
    ]:
        words = rf"{first.title}: it begins at from_depth={first.from_depth:g}, but wood stands up to the face"
        with pytest.raises(tp.DoesNotFitError, match=words):
            tp.Setup(FRONT, [tp.any_order(last, first, between, keeping=[kept])])
        with pytest.raises(tp.DoesNotFitError, match=words):
            tp.Setup(FRONT, [first, last])
        assert tp.Setup(FRONT, [tp.any_order(last, first, between)])


@examples(60)
@given(x=st.floats(55, 145), y=st.floats(55, 85), size=st.floats(14, 80), cutter=st.sampled_from([T6, T3]))
def test_effect_of_a_cut_out_are_its_kerf_and_its_piece(x, y, size, cutter):
    """By closed formula: a ring as wide as the cutter, and the disc that it goes round."""
    disc = tp.circle(size, (x, y))
    out, opening = (
        effect_of(tp.contour(disc, cutter, depth=tp.through(), side=side), replace(FRONT, overhang=99), 0.01)
        for side in ("outside", "inside")
    )
    assert out.area.area == pytest.approx(shapely.buffer(disc, cutter.diameter).area - disc.area, rel=0.01)
    assert opening.freed.area == pytest.approx(disc.area, rel=0.01)
    inner = tp.circle(size - 2 * cutter.diameter, (x, y))
    assert opening.area.area == pytest.approx(disc.area - inner.area, rel=0.01)
    assert out.freed.covers(disc.buffer(-0.01))


def test_the_strongest_reasons_hold_in_any_listing():
    """A part with everything on it: the same order whichever way it is listed, reasons being all that decides."""
    rng = Random(5)
    work = [
        tp.face(BOARD.outline, T6, depth=1, name="level"),
        tp.drill([MIDDLE], DRILL3, depth=7, from_depth=1, name="hole"),
        tp.pocket(tp.circle(40, MIDDLE), [T6, T3], depth=6, from_depth=1, name="tray"),
        tp.pocket(tp.rectangle(20, 10, MIDDLE), T3, depth=9, from_depth=6, name="step"),
        tp.contour(
            tp.circle(20, (150, 70)), T3, depth=tp.through(), side="inside", from_depth=1, tabs=TABS, name="opening"
        ),
        outline(from_depth=1),
    ]
    for _ in range(10):
        found = order_of([tp.any_order(*rng.sample(work, len(work)))], replace(FRONT, overhang=20))
        # The hole may not come before the levelling, nor after the tray; so T1 is fitted three times.
        assert found[0] == "level T1" and found[1] == "hole T6" and found[2] == "tray T1"
        assert sorted(found[3:6]) == ["opening T2", "step T2", "tray T2"] and found[6] == "outline T1"


def test_an_error_in_work_of_a_group_says_which_and_where_as_seen_from_the_front():
    """Also where the shape fails before any motion is made of it, on the back."""
    gap = shapely.union_all([box(40, 40, 80, 90), box(83, 40, 120, 90)])
    tray = tp.pocket(tp.circle(20, (150, 110)), T3, depth=3)
    narrow = tp.contour(gap, T6, depth=4, name="narrow")
    back = FRONT.turned_over("left to right")
    with pytest.raises(tp.DoesNotFitError, match=r"Step 2 on the back, narrow: .* near \(8\d\.\d, \d+\.\d\)"):
        tp.Setup(back, [tp.any_order(tray, narrow)])


def test_files_by_cutter_are_one_for_each_run():
    pockets = [tp.pocket(tp.rectangle(24, 18, (30 + 35 * k, 70)), [T6, T3], depth=4) for k in range(4)]

    assert list(tp.texts_by_cutter(tp.Setup(FRONT, [tp.any_order(*pockets)]))) == ["1-T1", "2-T2"]


def test_cuts_that_free_a_piece_only_together_come_after_the_work_on_it():
    """Four grooves right through, none of which parts anything alone; and a hole beside them, which frees nothing."""
    x, y, w, h = 60, 40, 80, 60
    corners = [(x, y), (x + w, y), (x + w, y + h), (x, y + h), (x, y)]
    walls = [
        tp.groove(LineString(ends), T6, depth=tp.through(), name=f"wall {k}")
        for k, ends in enumerate(zip(corners, corners[1:]))
    ]
    tray = tp.pocket(tp.circle(30, MIDDLE), T3, depth=4, name="tray")
    hole = tp.drill([(70, 50), (20, 20)], T3, depth=tp.through(), name="hole")
    loaded = tp.groove(LineString([(5, 5), (30, 5)]), T6, depth=1, name="loaded")
    found = order_of([loaded, tp.any_order(*walls, tray, hole)])

    assert sorted(found[1:3]) == ["hole T2", "tray T2"]
    # Three of them free nothing, so the cutter that is fitted goes on.
    assert order_of([loaded, tp.any_order(*walls[:3], tray, hole)])[1].startswith("wall")
