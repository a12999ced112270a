"""What is waste, and what is meant in it all the same: outlines beside each other, holes in the wood that falls off."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from shapely import MultiPolygon, Point, box

import toolpaths as tp
from toolpaths.facts.features.parting import Parting
from toolpaths.facts.features.slack import Slack
from toolpaths.facts.waste import waste_of

BOARD = tp.Board(width=240, height=140, thickness=12, name="beech")
SLACK = Slack(BOARD, -BOARD.thickness, 0.03, np.zeros((0, 6)))
TABS = tp.Tabs(count=4, width=6, height=3)
DRILL = tp.Cutter(1, tp.drill_point(3), 400, 9000, cutting_length=30)
FLAT = tp.Cutter(2, tp.flat(6), 1500, 18000, plunge_mm_min=500, cutting_length=20)
RACK = [DRILL, FLAT]
SIDE = tp.Fixture(board=BOARD, spoilboard_depth=0.5, grips=(BOARD.outline,))


def outside(*areas):
    return [Parting(area=area, waste="outside") for area in areas]


def inside(*areas):
    return [Parting(area=area, waste="inside") for area in areas]


def is_waste(partings, x, y):
    return shapely.contains_xy(waste_of(partings, SLACK), x, y)


LEFT, RIGHT = box(30, 40, 90, 100), box(120, 40, 210, 100)


@pytest.mark.parametrize(
    ("partings", "kept", "waste"),
    [
        ([], [(5, 5), (60, 70)], []),
        (outside(LEFT), [(60, 70)], [(5, 5), (105, 70), (150, 70)]),
        (outside(LEFT, RIGHT), [(60, 70), (150, 70)], [(5, 5), (105, 70)]),
        (outside(MultiPolygon([LEFT, RIGHT])), [(60, 70), (150, 70)], [(5, 5), (105, 70)]),
        (outside(LEFT, LEFT), [(60, 70)], [(5, 5)]),
        (outside(LEFT, RIGHT) + inside(box(140, 50, 180, 90)), [(60, 70), (130, 70)], [(5, 5), (150, 70)]),
        # A small part from the slug of an opening: its waste ends where the opening does.
        (outside(RIGHT) + inside(box(130, 50, 200, 90)) + outside(box(150, 60, 170, 80)),
         [(160, 70), (125, 70)], [(5, 5), (140, 70)]),
        # One that is cut from another outright: how far its waste goes is not known.
        (outside(RIGHT, box(150, 60, 170, 80)), [(160, 70)], [(5, 5), (140, 70)]),
        # Neighbours that share an edge, or overlap by less than a cutter.
        (outside(box(30, 40, 90, 100), box(90, 40, 150, 100)), [(60, 70), (120, 70)], [(5, 5)]),
        (outside(box(30, 40, 90, 100), box(89, 40, 150, 100)), [(60, 70), (120, 70)], [(5, 5)]),
        (inside(LEFT), [(5, 5), (150, 70)], [(60, 70)]),
        (inside(LEFT) + outside(LEFT), [], [(5, 5), (60, 70)]),
        (inside(shapely.difference(RIGHT, box(150, 60, 170, 80))), [(5, 5), (160, 70)], [(130, 70)]),
        (outside(shapely.difference(RIGHT, box(150, 60, 170, 80))), [(130, 70)], [(5, 5), (160, 70)]),
    ],
)  # fmt: skip
def test_waste_lies_outside_of_all_outlines_and_within_openings(partings, kept, waste):
    assert [at for at in kept if is_waste(partings, *at)] == []
    assert [at for at in waste if not is_waste(partings, *at)] == []


def test_waste_reaches_so_far_over_its_wall_as_the_wall_may_be_off():
    for partings in (outside(LEFT), outside(LEFT, RIGHT), inside(LEFT)):
        sign = 1 if partings[0].waste == "outside" else -1
        assert is_waste(partings, 30 + sign * 0.029, 70)
        assert not is_waste(partings, 30 + sign * 0.031, 70)


PILOTS = [(10, 12), (230, 128), (60, 70), (165, 70)]
WORK = [
    tp.drill(PILOTS, DRILL, depth=7, depth_of="full diameter", name="pilots"),
    tp.groove([(20, 20), (100, 20)], FLAT, depth=2, name="mark"),
    tp.contour(tp.circle(40, (60, 70)), FLAT, depth=tp.through(0.3), side="inside", name="opening"),
    tp.contour(box(30, 35, 110, 105), FLAT, depth=tp.through(0.3), name="left", tabs=TABS),
    tp.contour(box(130, 35, 200, 105), FLAT, depth=tp.through(0.3), name="right", tabs=TABS),
]
SETUP = tp.Setup(SIDE, WORK)
PART = tp.intended_part(SETUP)


def report(work):
    return tp.simulate(tp.program_text(tp.Setup(SIDE, work)), SIDE, RACK, cell=0.5, part=PART)


def found(work):
    return {(finding.severity, finding.code) for finding in report(work)}


def pilots(places, depth=7.0):
    return [tp.drill(places, DRILL, depth=depth, depth_of="full diameter", name="pilots"), *WORK[1:]]


@pytest.mark.long
def test_a_job_with_two_outlines_and_pilots_in_its_waste_is_sound():
    assert report(WORK).findings == ()


@pytest.mark.sample(1)
@pytest.mark.parametrize("lost", range(len(PILOTS)))
def test_a_pilot_that_is_not_drilled_is_missed_wherever_it_is_meant(lost):
    missing = [at for number, at in enumerate(PILOTS) if number != lost]
    (finding,) = report(pilots(missing)).findings
    assert (finding.severity, finding.code) == ("damage", "leftover")
    assert "pilots" in finding.message
    assert np.hypot(*(np.array(finding.place[:2]) - PILOTS[lost])) < 1.5


@pytest.mark.sample(3, long=10)
@pytest.mark.parametrize("moved", range(len(PILOTS)))
@pytest.mark.parametrize("by", [0.15, 0.4, 2.0, 10.0])
def test_a_pilot_beside_its_place_is_found_wherever_it_is_meant(moved, by):
    places = [(x + (by if x < 120 else -by) * (n == moved), y) for n, (x, y) in enumerate(PILOTS)]
    assert ("damage", "leftover") in found(pilots(places))


@pytest.mark.parametrize("depth", [6.8, 4.0])
def test_pilots_too_shallow_are_found_in_the_waste(depth):
    assert ("damage", "leftover") in found(pilots(PILOTS, depth))


def test_a_groove_in_the_waste_is_looked_for():
    assert ("damage", "leftover") in found([WORK[0], *WORK[2:]])


@pytest.mark.long
def test_what_nothing_means_is_free_in_the_waste_and_nowhere_else():
    more = [tp.drill([(120, 70), (8, 130), (50, 75)], DRILL, depth=9)]
    assert found(more + WORK) == set()
    assert found([tp.drill([(150, 70)], DRILL, depth=9), *WORK]) == {("damage", "gouge")}
    assert found([tp.drill([(100, 90)], DRILL, depth=9), *WORK]) == {("damage", "gouge")}


def test_what_only_reaches_into_the_waste_need_not_be_cut_there():
    """A rebate drawn over the edge of its part: past the edge it is as long as one likes."""
    drawn = tp.Part(board=BOARD, front=[
        tp.Recess(area=box(20, 60, 60, 80), depth=3, corners=3), Parting(area=LEFT, waste="outside"),
    ])  # fmt: skip
    work = [
        tp.pocket(box(26, 60, 60, 80), FLAT, depth=3),
        tp.contour(LEFT, FLAT, depth=tp.through(0.3), tabs=TABS),
    ]
    text = tp.program_text(tp.Setup(SIDE, work))
    assert tp.simulate(text, SIDE, RACK, cell=0.5, part=drawn).findings == ()


def test_a_part_of_points_in_the_waste_is_judged_point_by_point():
    hole = tp.CutAlong(line=shapely.MultiPoint(PILOTS), profile=DRILL.profile, depth=7, name="holes")
    part = tp.Part(board=BOARD, front=[hole, Parting(area=box(40, 50, 80, 90), waste="inside", tabs=0)])
    text = tp.program_text(tp.Setup(SIDE, [tp.drill(PILOTS[:2], DRILL, depth=7)]))
    where = [Point(f.place[:2]) for f in tp.simulate(text, SIDE, RACK, cell=0.5, part=part) if f.code == "leftover"]
    assert {min(range(4), key=lambda n, at=at: at.distance(Point(PILOTS[n]))) for at in where} == {2, 3}
