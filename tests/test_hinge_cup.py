"""Hinge cups: the holes of concealed hinges by makers' measures, their volume, and what is refused."""

from __future__ import annotations

from math import hypot, pi

import numpy as np
import pytest

import toolpaths as tp

DOOR = tp.Board(width=300, height=200, thickness=16, name="door")
FRONT = tp.Fixture(board=DOOR, grips=(DOOR.outline,))
BACK = FRONT.turned_over("left to right", grips=(DOOR.outline,))
T1 = tp.Cutter(1, tp.flat(12), feed_mm_min=1500, spindle_rpm=16000)
T4 = tp.Cutter(4, tp.drill_point(2.5), feed_mm_min=600, spindle_rpm=8000)
# The hinges on the left edge as seen from the front, from above.
LEFT = [(0, 200), (0, 0)]


def cups(**changes):
    return tp.hinge_cup(**{"edge": LEFT, "along": [60], "cutter": T1, "depth": 12.5, "to_edge": 5, **changes})


def test_a_cup_takes_its_volume_and_lies_by_the_makers_measures():
    """Source: a disc of 35, 12.5 deep: 12026.41 mm3; its middle edge distance + 17.5 from the edge."""
    (cup,) = cups(diameter=35)
    setup = tp.Setup(BACK, [cup])
    report = tp.simulate(tp.program_text(setup), BACK, [T1], cell=0.25, part=tp.intended_part(setup))
    assert report.ok, str(report)
    assert pi / 4 * 35**2 * 12.5 == pytest.approx(12026.41, abs=0.01)
    assert report.stock.removed() == pytest.approx(12026.41, rel=0.001)
    cx, cy = cup.shape.centroid.coords[0]
    assert (cx, cy) == pytest.approx((22.5, 140), abs=1e-6)


@pytest.mark.sample(1)
@pytest.mark.parametrize("edge", [LEFT, [(300, 20), (300, 180)], [(20, 0), (280, 0)], [(250, 200), (50, 200)]])
def test_screws_are_45_apart_and_9_5_further_in_on_any_edge(edge):
    cup, screws = cups(edge=edge, pilot=T4, along=[40, 110])
    (ax, ay), (bx, by) = edge
    long = np.array([bx - ax, by - ay]) / hypot(bx - ax, by - ay)
    middles = np.array([part.centroid.coords[0] for part in cup.shape.geoms])
    at = np.array(screws.places)
    assert sorted((middles - edge[0]) @ long) == pytest.approx([40, 110])
    inwards = np.array([-long[1], long[0]])
    assert (middles - edge[0]) @ inwards == pytest.approx([22.55] * 2), "to the left of the way along the edge"
    assert (at - edge[0]) @ inwards == pytest.approx([22.55 + 9.5] * 4)
    assert sorted((at - edge[0]) @ long) == pytest.approx([17.5, 62.5, 87.5, 132.5])
    setup = tp.Setup(FRONT, [cup, screws])
    report = tp.simulate(tp.program_text(setup), FRONT, setup.cutters, cell=1.0, part=tp.intended_part(setup))
    assert report.ok, str(report)


def test_the_cutter_decides_how_a_cup_is_made():
    wide = tp.Cutter(2, tp.flat(20), feed_mm_min=1500, spindle_rpm=9000)
    same = tp.Cutter(3, tp.flat(35), feed_mm_min=400, spindle_rpm=6000)
    made = [cups(cutter=cutter)[0] for cutter in (T1, wide, same)]
    assert [type(each) for each in made] == [tp.Pocket, tp.Bore, tp.Drill]
    assert len({each.name for each in made}) == 1


@pytest.mark.parametrize(
    ("changes", "error", "said"),
    [
        ({"to_edge": 2}, tp.InputError, "makers say 3 to 8"),
        ({"along": [210]}, tp.InputError, "0 to 200|200"),
        ({"along": []}, tp.InputError, "along is empty"),
        ({"edge": [(0, 0), (0, 0)]}, tp.InputError, "two places"),
        ({"cutter": tp.Cutter(2, tp.flat(40), 900, 6000)}, tp.DoesNotFitError, "35.1 is the most"),
        ({"pilot": T4, "pilot_depth": 0}, tp.InputError, "depth"),
    ],
)
def test_what_makes_no_hinge_is_refused(changes, error, said):
    with pytest.raises(error, match=said):
        cups(**changes)


def test_a_door_no_thicker_than_the_cup_is_refused_with_its_thickness():
    thin = tp.Fixture(board=tp.Board(width=300, height=200, thickness=12))
    with pytest.raises(tp.DoesNotFitError, match=r"12\.5.*12"):
        tp.Setup(thin, [*cups()])
