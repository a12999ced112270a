"""Nothing is left out silently: each case here once was."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from shapely import MultiPolygon, box

import toolpaths as tp
from toolpaths.making.operations.operation import Operation

BOARD = tp.Board(width=300, height=300, thickness=12)
SIDE = tp.Fixture(board=BOARD, overhang=20)
FLAT6 = tp.Cutter(1, tp.flat(6), feed_mm_min=1000, spindle_rpm=18000, cutting_length=40)
DUMBBELL = shapely.union_all([box(50, 50, 80, 80), box(100, 50, 130, 80), box(75, 64, 105, 66)])


def vee(tip: float) -> tp.Cutter:
    return tp.Cutter(5, tp.v_point(12, 90, tip_diameter=tip), feed_mm_min=1000, spindle_rpm=18000)


def tab_area(operation: Operation) -> float:
    """Square millimetres of kerf left at the height of the tabs, 2 mm above the underside."""
    setup = tp.Setup(SIDE, (operation,))
    stock = tp.simulate(tp.program_text(setup), SIDE, setup.cutters).stock
    return float(np.isclose(stock.top, -10, atol=1e-4).sum() * stock.cell**2)


@pytest.mark.parametrize("finish", [0.0, 0.3])
@pytest.mark.parametrize("entry", ["plunge", "ramp", "zigzag"])
def test_tabs_by_point_stand_after_every_pass(finish: float, entry: str) -> None:
    """Two tabs of 6 leave two bridges, each 6 long in the middle of a kerf 6 wide, round ends added (derived)."""
    tabs = tp.Tabs(width=6, height=2, points=((60, 30), (60, 90)))
    square = box(30, 30, 90, 90)
    area = tab_area(tp.contour(square, FLAT6, depth=tp.through(0.3), finish=finish, entry=entry, tabs=tabs))
    each = (6 + 6) * 6 - np.pi * 9
    assert area == pytest.approx(2 * each, rel=0.1)


@pytest.mark.parametrize("entry", ["plunge", "ramp"])
@pytest.mark.parametrize("place", [(109.5, 50), (107.5, 50), (50, 50), (80, 52)])
def test_a_tab_by_a_corner_comes_to_the_nearest_place_clear_of_it(place: tuple[float, float], entry: str) -> None:
    """Wherever the point lies, one bridge is left on a side, its ends 12 apart: width and diameter."""
    tabs = tp.Tabs(width=6, height=2, points=(place,))
    ring = box(50, 50, 110, 100)
    area = tab_area(tp.contour(ring, FLAT6, depth=tp.through(0.3), side="inside", entry=entry, tabs=tabs))
    assert area == pytest.approx(12 * 6 - np.pi * 9, rel=0.05)


def test_a_tab_far_off_its_path_is_refused() -> None:
    """More than its own width and the cutter's away it is a slip, not a tab."""
    tabs = tp.Tabs(width=6, height=2, points=((80, 75),))
    with pytest.raises(tp.DoesNotFitError, match=r"22\.0 mm from the cutter's path"):
        tab_area(tp.contour(box(50, 50, 110, 100), FLAT6, depth=tp.through(0.3), side="inside", tabs=tabs))


def test_points_of_tabs_go_to_the_nearest_ring() -> None:
    """On a part with a hole, one tab outside and one in the hole."""
    part = box(40, 40, 140, 140).difference(box(70, 70, 110, 110))
    tabs = tp.Tabs(width=6, height=2, points=((90, 40), (90, 70)))
    area = tab_area(tp.contour(part, FLAT6, depth=tp.through(0.3), tabs=tabs))
    assert area == pytest.approx(2 * ((6 + 6) * 6 - np.pi * 9), rel=0.1)


def test_a_piece_lost_is_not_made_up_for_by_one_split() -> None:
    """One piece too small and one that falls in two are two faults, not none."""
    shapes = MultiPolygon([DUMBBELL, box(200, 200, 204, 204)])
    with pytest.raises(tp.DoesNotFitError, match="does not get round"):
        tp.Setup(SIDE, (tp.contour(shapes, FLAT6, depth=3, side="inside"),))
    with pytest.raises(tp.DoesNotFitError, match="no room"):
        tp.Setup(SIDE, (tp.chamfer(MultiPolygon([DUMBBELL, box(200, 200, 202, 202)]), vee(3), width=1, side="inside"),))


def test_edge_left_without_chamfer_is_noted() -> None:
    """An arm 2.5 wide, into which a tip of 2 does not go, keeps its edge: 40 mm and more on either side."""
    keyhole = shapely.union_all([box(50, 50, 90, 90), box(89, 69, 130, 71.5)])
    (note,) = tp.Setup(SIDE, (tp.chamfer(keyhole, vee(2), width=1, side="inside"),)).notes
    assert "mm of edge" in note


def test_a_finer_cutter_without_work_is_noted() -> None:
    """A round pocket leaves a finer cutter nothing."""
    fine = tp.Cutter(2, tp.flat(3), feed_mm_min=800, spindle_rpm=18000)
    setup = tp.Setup(SIDE, (tp.pocket(tp.circle(60, (100, 100)), [FLAT6, fine], depth=2),))
    assert setup.notes == ("pocket: T2 flat 3 finds no wood left to take and is not used.",)


@pytest.mark.long
def test_hundreds_of_loops_are_no_limit() -> None:
    """A fine stepover takes more loops than Python stacks calls."""
    thin = tp.Cutter(2, tp.flat(1), feed_mm_min=800, spindle_rpm=18000)
    path = tp.pocket(box(20, 20, 110, 110), thin, depth=0.4, stepover=0.06).toolpaths(SIDE)[0]
    assert len(path.moves) > 3000


@pytest.mark.parametrize(
    ("operation", "words"),
    [
        (lambda: tp.contour(box(50, 50, 90, 90), vee(0), depth=3), "full diameter"),
        (lambda: tp.contour(box(50, 50, 90, 90), FLAT6, depth=1e308), "beyond every board"),
        (lambda: tp.drill([(50, 50)], FLAT6, depth=tp.through(0.3), from_depth=20), "not above the end of the cut"),
        (lambda: tp.pocket(box(50, 50, 90, 90), FLAT6, depth=30), "into the spoilboard"),
        (lambda: tp.drill([(50, 50)], FLAT6, depth=3, peck=1e-5), "peck"),
        (lambda: tp.pocket(box(50, 50, 90, 90), vee(0), depth=3), "ridges"),
        (lambda: tp.contour(box(50, 50, 90, 90), FLAT6, depth=tp.through), "parentheses"),
        (lambda: tp.contour(box(50, 50, 90, 90), tp.flat(6), depth=3), "no cutter"),
        (lambda: tp.contour(box(50, 50, 90, 90), FLAT6, depth=3, tabs=4), "Tabs"),
        (lambda: tp.contour(tp.Outline((0, 0)).line_to((9, 0)), FLAT6, depth=3), "close"),
        (lambda: tp.face(box(0, 0, 90, 90), tp.Cutter(6, tp.bull_nose(6, 3), 900, 9000), depth=1), "flat cutter"),
        (lambda: tp.pocket(box(50, 50, 70, 70), FLAT6, depth=3, cleared=box(40, 40, 80, 80)), "no wood"),
    ],
)
def test_what_cannot_be_cut_as_asked_is_refused(operation, words: str) -> None:
    """The refusal names the reason, before any text exists."""
    with pytest.raises(tp.ToolpathsError, match=words):
        tp.Setup(SIDE, (operation(),))


def test_numbers_of_any_kind_mean_what_they_say() -> None:
    """Unsigned numpy numbers do not wrap round when they are taken away from zero."""
    board = tp.Board(width=200, height=200, thickness=np.uint8(12))
    assert tp.Fixture(board=board, zero_on="spoilboard").zero == (0, 0, -12)
    plain = tp.contour(box(50, 50, 90, 90), FLAT6, depth=3).toolpaths(SIDE)
    odd = tp.contour(box(50, 50, 90, 90), FLAT6, depth=np.uint8(3), from_depth=np.uint8(0)).toolpaths(SIDE)
    assert odd == plain
