"""Tabs stand where they hold: on wood that is there, beside more than a narrow arm, and on no corner."""

from __future__ import annotations

from math import dist

import pytest
import shapely
from pathcheck import BOARD, DRILL3, MIDDLE, T6
from shapely import box

import toolpaths as tp

THROUGH = tp.through(0.3)
SIDE = tp.Fixture(board=BOARD, grips=[BOARD.outline])
TABS = tp.Tabs(width=6, height=4, count=4)
# A plate with an arm of less than two cutters.
ARMED = shapely.union(box(40, 40, 100, 100), box(100, 65, 165, 75))


def places(setup):
    """Middles of the stretches on which the lowest pass of the last step is lifted, by the program's own moves."""
    path = setup.steps[-1].path
    high = -BOARD.thickness + 4
    lifted, found, before = [], [], None
    for move in path.moves:
        if move.kind == "cut" and abs(move.z - high) < 1e-6 and before and abs(before.z - high) < 1e-6:
            lifted.append(((move.x + before.x) / 2, (move.y + before.y) / 2))
        before = move
    for x, y in lifted:
        if not any(dist((x, y), each) < 8 for each in found):
            found.append((x, y))
    return found


def judged(setup):
    return tp.simulate(tp.program_text(setup), setup.fixture, setup.cutters, part=tp.intended_part(setup), cell=0.5)


@pytest.mark.parametrize("count", [2, 4, 6])
def test_tabs_by_count_keep_off_holes_that_are_drilled_before(count):
    """One hole in the kerf where a tab would come to stand; each tab is whole, and none is missed."""
    tabs = tp.Tabs(width=6, height=4, count=count)
    outline = tp.contour(tp.rectangle(110, 60, MIDDLE, corner_radius=8), T6, depth=THROUGH, tabs=tabs)
    alone = places(tp.Setup(SIDE, [outline]))
    assert len(alone) == count
    hole = min(alone, key=lambda place: abs(place[1] - 37))
    setup = tp.Setup(SIDE, [tp.drill([hole], DRILL3, depth=THROUGH), outline])
    found = places(setup)
    assert len(found) == count
    assert all(dist(hole, place) >= 6 + 1.4 for place in found)
    report = judged(setup)
    assert not {"weak-tab", "tab-count", "tab-size", "loose-piece"} & set(report.codes()), report


def test_tabs_by_count_stand_on_an_arm_only_where_nothing_else_has_room():
    found = places(tp.Setup(SIDE, [tp.contour(ARMED, T6, depth=THROUGH, tabs=TABS)]))
    assert len(found) == 4 and all(x < 104 for x, _ in found)
    stick = tp.rectangle(120, 9, MIDDLE)
    assert len(places(tp.Setup(SIDE, [tp.contour(stick, T6, depth=THROUGH, tabs=TABS)]))) == 4


@pytest.mark.parametrize(("shape", "point", "word"), [
    (box(50, 40, 150, 100), (150, 100), "corner"), (box(50, 40, 150, 100), (53, 36), "corner"),
    (ARMED, (116, 78), "narrow arm"),
])  # fmt: skip
def test_a_tab_asked_for_at_a_bad_place_is_moved_with_a_note(shape, point, word):
    tabs = tp.Tabs(width=6, height=4, points=[point])
    setup = tp.Setup(SIDE, [tp.contour(shape, T6, depth=THROUGH, tabs=tabs)])
    (place,) = places(setup)
    assert any(word in note and "moved to" in note for note in setup.notes), setup.notes
    assert 0 < dist(place, point) < 30
    assert not {"weak-tab", "tab-count", "tab-size"} & set(judged(setup).codes())


def test_a_tab_asked_for_where_no_wood_is_near_is_refused():
    opening = tp.pocket(box(60, 20, 140, 41), T6, depth=THROUGH)
    tabs = tp.Tabs(width=6, height=4, points=[(100, 37)])
    with pytest.raises(tp.DoesNotFitError, match="over wood that is removed"):
        tp.Setup(SIDE, [opening, tp.contour(box(50, 40, 150, 100), T6, depth=THROUGH, tabs=tabs)])


def test_a_tab_asked_for_at_a_good_place_stays_there():
    tabs = tp.Tabs(width=6, height=4, points=[(100, 37), (70, 103)])
    setup = tp.Setup(SIDE, [tp.contour(box(50, 40, 150, 100), T6, depth=THROUGH, tabs=tabs)])
    assert setup.notes == ()
    # The middle of what is lifted at once; a ring may begin within it.
    assert all(min(dist(point, each) for each in places(setup)) < 4 for point in tabs.points)
