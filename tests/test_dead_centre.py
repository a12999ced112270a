"""A cutter that does not cut at its centre goes down only where its way is as wide as its dead middle, or in air."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from pathcheck import FRONT, T6, run_text

import toolpaths as tp

DEAD = replace(T6, centre_cutting=False)
PLACE = (100.0, 70.0)
NARROW = {"square of 6": tp.rectangle(6, 6, PLACE)} | {f"hole of {d}": tp.circle(d, PLACE) for d in (6.1, 6.6, 8, 8.9)}
ANSWER = r"does not cut at its centre.*9 mm.*Use a cutter that cuts at its centre, or first drill or bore a hole of at "
ANSWER += r"least 6\.5 mm there"
ROUND = {
    "contour": lambda shape, cutter: tp.contour(shape, cutter, depth=5, side="inside"),
    "groove": lambda shape, cutter: tp.groove(shape.buffer(-3).exterior, cutter, depth=5),
}


def ways_down(path: tp.Toolpath) -> list[np.ndarray]:
    """The places of the axis from each move that goes down sideways to the next that lifts, (n, 2) each."""
    found: list[list[tuple[float, float]]] = []
    down = False
    before = path.moves[0]
    for move in path.moves[1:]:
        aside = np.hypot(move.x - before.x, move.y - before.y) > 1e-9 or move.sweep
        if move.kind != "cut" or move.z > before.z + 1e-9:
            down = False
        elif aside and move.z < before.z - 1e-9 and not down:
            found.append([(before.x, before.y)])
            down = True
        if down:
            found[-1].append((move.x, move.y))
        before = move
    return [np.array(places) for places in found]


@pytest.mark.parametrize("entry", ["auto", "ramp", "zigzag", "helix"])
@pytest.mark.parametrize("name", NARROW)
def test_pocket_too_narrow_to_go_down_in_says_what_would_work(name, entry):
    with pytest.raises(tp.DoesNotFitError, match=ANSWER) as error:
        tp.pocket(NARROW[name], DEAD, depth=5, entry=entry).toolpaths(FRONT)
    assert error.value.point == pytest.approx(PLACE, abs=3)


@pytest.mark.parametrize("name", ["hole of 6.6", "hole of 8", "hole of 8.9"])
def test_so_it_is_with_limited_engagement(name):
    with pytest.raises(tp.DoesNotFitError, match=ANSWER):
        tp.pocket(NARROW[name], DEAD, depth=5, engagement_deg=120).toolpaths(FRONT)


@pytest.mark.parametrize("kind", ROUND)
@pytest.mark.parametrize("name", ["hole of 6.6", "hole of 8", "hole of 8.9"])
def test_so_it_is_round_a_small_ring(name, kind):
    with pytest.raises(tp.DoesNotFitError, match=ANSWER):
        ROUND[kind](NARROW[name], DEAD).toolpaths(FRONT)


@pytest.mark.parametrize("diameter", [6.6, 8, 8.9])
def test_bore_says_the_same_of_the_same_hole(diameter):
    with pytest.raises(tp.DoesNotFitError, match=ANSWER):
        tp.bore([PLACE], diameter, DEAD, depth=5)
    assert tp.bore([PLACE], 9, DEAD, depth=5).toolpaths(FRONT)


@pytest.mark.parametrize("entry", ["auto", "ramp", "zigzag"])
@pytest.mark.parametrize("shape", [tp.circle(9, PLACE), tp.circle(12, PLACE), tp.slot((60, 70), (100, 70), 6.2)],
                         ids=["hole of 9", "hole of 12", "slot"])  # fmt: skip
def test_where_there_is_room_every_way_down_is_as_wide_as_the_dead_middle(shape, entry):
    _, report = run_text([tp.pocket(shape, DEAD, depth=5, entry=entry)], cell=0.25)
    assert report.ok, str(report)
    (path,) = tp.pocket(shape, DEAD, depth=5, entry=entry).toolpaths(FRONT)
    ways = ways_down(path)
    assert ways
    for places in ways:
        across = [np.ptp(places @ (np.cos(angle), np.sin(angle))) for angle in np.linspace(0, np.pi, 90)]
        assert max(across) >= 0.98 * DEAD.dead_centre


@pytest.mark.parametrize("kind", ROUND)
def test_a_ring_of_the_narrowest_hole_is_gone_down_along(kind):
    assert ROUND[kind](tp.circle(9.1, PLACE), DEAD).toolpaths(FRONT)


def test_hole_of_nine_with_limited_engagement():
    assert tp.pocket(tp.circle(9.1, PLACE), DEAD, depth=5, engagement_deg=120).toolpaths(FRONT)


@pytest.mark.parametrize("kept", [{}, {"engagement_deg": 120}], ids=["auto", "limited"])
@pytest.mark.parametrize("name", ["hole of 8", "hole of 8.9"])
def test_the_hole_that_the_error_asks_for_lets_it_down(name, kept):
    drill = tp.Cutter(8, tp.drill_point(6.5), feed_mm_min=600, spindle_rpm=8000)
    work = [tp.drill([PLACE], drill, depth=8), tp.pocket(NARROW[name], DEAD, depth=5, **kept)]
    _, report = run_text(work, cell=0.25)
    assert report.ok, str(report)


@pytest.mark.parametrize("diameter", [6, 6.2])
def test_a_hole_hardly_wider_than_the_cutter_does_not_let_it_down(diameter):
    """Its edges would come down on the rim of the hole."""
    drill = tp.Cutter(8, tp.drill_point(diameter), feed_mm_min=600, spindle_rpm=8000)
    with pytest.raises(tp.DoesNotFitError, match=ANSWER):
        tp.Setup(FRONT, work=[tp.drill([PLACE], drill, depth=8), tp.pocket(NARROW["hole of 8"], DEAD, depth=5)])


def test_where_one_course_begins_on_too_narrow_a_loop_another_is_taken():
    """Along the innermost loop of a hole of 12, 1.2 mm across, it cannot go down; along the wall's it can."""
    hole = tp.circle(12, PLACE)
    with pytest.raises(tp.DoesNotFitError, match=ANSWER):
        tp.pocket(hole, DEAD, depth=3, entry="ramp", pattern="inside out").toolpaths(FRONT)
    assert tp.pocket(hole, DEAD, depth=3, entry="ramp", pattern="outside in").toolpaths(FRONT)
    assert tp.pocket(hole, DEAD, depth=3, entry="ramp").toolpaths(FRONT)


@pytest.mark.parametrize(("diameter", "through_air"), [(6, False), (6.15, False), (6.5, True), (7, True)])
def test_a_contour_goes_down_in_a_hole_only_if_that_is_wider_than_the_cutter(diameter, through_air):
    """Its edges would come down on the rim of a hole of its own width; one that cuts at its centre may do that."""
    shape, drill = tp.rectangle(60, 40, PLACE), tp.Cutter(8, tp.drill_point(diameter), 600, 8000, cutting_length=30)
    hole = tp.drill([(100, 70 - 20 - 3)], drill, depth=4, depth_of="full diameter")
    for cutter, down in ((DEAD, through_air), (T6, True)):
        setup = tp.Setup(FRONT, [hole, tp.contour(shape, cutter, depth=4)])
        moves = setup.steps[-1].path.moves
        ramps = [b for a, b in zip(moves, moves[1:]) if b.z < a.z - 1e-6 and (a.x, a.y) != (b.x, b.y)]
        assert bool(ramps) is not down, (cutter, ramps)
        _, report = run_text([hole, tp.contour(shape, cutter, depth=4)], cell=0.25)
        assert "plunge" not in report.codes()
