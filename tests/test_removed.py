"""What is removed after some work, against the simulator's wood and closed formulas."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from pathcheck import FRONT, MIDDLE, SHAPES, T3, T6
from shapely import box

import toolpaths as tp
from toolpaths.making.motion.removed import Removed, Swept
from toolpaths.making.operations.operation import Operation
from toolpaths.making.plan.steps import Step

BALL = tp.Cutter(8, tp.ball(6), feed_mm_min=1000, spindle_rpm=18000)
DRILL = tp.Cutter(9, tp.drill_point(8), feed_mm_min=400, spindle_rpm=8000, cutting_length=30)
EVERYWHERE = box(-10, -10, 300, 300)

WORK = {
    "pocket": tp.pocket(SHAPES["rounded"], [T6, T3], depth=7),
    "contour": tp.contour(SHAPES["ellipse"], T6, depth=8, entry="zigzag"),
    "groove with a ball": tp.groove(SHAPES["square"].exterior, BALL, depth=4),
    "bore": tp.bore([(60, 50), (90, 60)], 10, T6, depth=9),
    "drill": tp.drill([(60, 50), (90, 60)], DRILL, depth=9),
}


def removed_after(operation: Operation) -> Removed:
    removed = Removed()
    for path in operation.toolpaths(FRONT):
        removed = removed.after(path)
    return removed


@pytest.mark.sample(3)
@pytest.mark.parametrize("work", WORK.values(), ids=WORK)
@pytest.mark.parametrize("z", [-1.0, -3.5])
def test_removed_is_where_the_simulator_finds_no_wood_above(work, z):
    """Nothing that stands is said to be removed, and what is not said is a hair or a ramp's wedge at most."""
    setup = tp.Setup(FRONT, [work])
    stock = tp.simulate(tp.program_text(setup), FRONT, setup.cutters).stock
    removed = removed_after(work).down_to(z, EVERYWHERE)

    heights = stock.top
    rows, columns = np.indices(heights.shape)
    x, y = (columns + 0.5) * stock.cell, (rows + 0.5) * stock.cell
    open_ = shapely.contains_xy(removed, x, y)
    assert open_.any()
    assert heights[open_].max() <= z + 1e-6
    assert (heights[~open_] < z - 0.05).sum() * stock.cell**2 < 0.02 * removed.length + 0.5


@pytest.mark.sample(2)
@pytest.mark.parametrize("work", WORK.values(), ids=WORK)
def test_what_was_asked_before_at_other_heights_changes_nothing(work):
    """Passes that go the same ways share their ground; those that do not, do not."""
    path, heights = list(work.toolpaths(FRONT))[-1], [-8.9, -0.5, -6.0, -3.0, -4.0, -2.0, -7.5]
    asked = Swept(path)
    for z in heights:
        found, alone = asked.down_to(z), Swept(path).down_to(z)
        assert shapely.symmetric_difference(found, alone).area < 1e-6

    assert len({asked.down_to(z).area for z in heights}) > 1


def test_removed_of_a_drilled_hole_narrows_with_its_point():
    """Above the point its full radius, within it less: closed form of the cone, 118 degrees."""
    removed = removed_after(tp.drill([MIDDLE], DRILL, depth=9))
    full = removed.down_to(-9 + DRILL.profile.tip_height, EVERYWHERE)
    half = removed.down_to(-9 + DRILL.profile.tip_height / 2, EVERYWHERE)

    assert full.area == pytest.approx(np.pi * 16, rel=0.01)
    assert half.area == pytest.approx(np.pi * 4, rel=0.01)
    assert removed.down_to(-9.1, EVERYWHERE).is_empty


def test_pocket_knows_what_any_earlier_work_took():
    """A pocket over a contour, a bore and a groove cuts only what they left; after all of it, nothing: an error."""
    shape = box(60, 40, 140, 95)
    pocket = tp.pocket(shape, T6, depth=3)
    alone = tp.Setup(FRONT, [pocket])
    ring = tp.contour(tp.offset(shape, -9), T6, depth=3)
    after = tp.Setup(FRONT, [ring, tp.bore([(100, 67)], 11, T6, depth=3), pocket])

    def level(step: Step) -> float:
        cut = [m for m in step.path.moves if m.kind == "cut"]
        return sum(abs(b.x - a.x) + abs(b.y - a.y) for a, b in zip(cut, cut[1:], strict=False) if a.z == b.z == -3)

    assert level(after.steps[-1]) < level(alone.steps[0])
    report = tp.simulate(
        tp.program_text(after),
        FRONT,
        after.cutters,
        part=tp.Part(board=FRONT.board, front=[tp.Recess(area=shape, depth=3)]),
    )
    assert report.ok, report
    with pytest.raises(tp.DoesNotFitError, match="no wood to take"):
        tp.Setup(FRONT, [pocket, pocket])
