"""Features and parts are values: equal when made alike, pickled whole, checked again when replaced."""

from __future__ import annotations

import pickle
from dataclasses import dataclass, replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import LineString, MultiPoint, Point, box
from shapely.geometry.base import BaseGeometry

from toolpaths import (
    Board,
    Carving,
    Cone,
    CutAlong,
    Cutter,
    Dish,
    InputError,
    Keyhole,
    Part,
    Parting,
    Recess,
    Section,
    TaperedInsert,
    ball,
    bull_nose,
    circle,
    drill_point,
    flat,
    simulate,
    through,
    tolerance_study,
    undercut,
)
from toolpaths.base.checks import positive
from toolpaths.facts.depth import Through
from toolpaths.facts.features.feature import Feature, Walls
from toolpaths.facts.features.slack import Slack
from toolpaths.facts.features.surfaces import Surfaces, narrowest, widest
from toolpaths.facts.fixture import Fixture
from toolpaths.judging.checks.part.target import highest, lowest
from toolpaths.judging.wood.field import grid_on

BOARD = Board(width=120, height=90, thickness=12)
SLACK = Slack(BOARD, -BOARD.thickness, 0.03, np.zeros((0, 6)))


def every_kind() -> list[Feature]:
    """One or more of each, made anew at each call."""
    return [
        Recess(area=box(20, 20, 60, 50), depth=4, corners=3, foot=0, name="tray"),
        Recess(area=circle(30, (90, 60)), depth=through(0.3), corners=3),
        CutAlong(line=LineString([(10, 10), (100, 12), (110, 80)]), profile=ball(6), depth=2),
        CutAlong(line=MultiPoint([(30, 70), (40, 70)]), profile=drill_point(5), depth=through(0.5), name="holes"),
        CutAlong(line=LineString([(10, 80), (70, 80)]), profile=flat(6), depth=3, waste=box(10, 75, 70, 80)),
        Cone(places=MultiPoint([(30, 70), (40, 70)]), diameter=9, angle_deg=90),
        Cone(places=Point(40, 35), diameter=6, angle_deg=60, from_depth=4, tip_diameter=0.5),
        Carving(area=box(60, 20, 100, 32), angle_deg=90, depth=6, name="bar"),
        Carving(area=circle(20, (40, 50)), angle_deg=60, depth=4, from_depth=1, tip_diameter=0.5, ridges=0.02),
        Dish(area=circle(40, (60, 50)), section=Section.arc(width=20, depth=5), profile=ball(8), ridges=0.02),
        Dish(
            area=box(60, 20, 100, 60),
            section=Section.cove(radius=5, depth=7),
            from_depth=1,
            profile=bull_nose(8, 3),
            name="bowl",
        ),
        Keyhole(line=[(30, 30), (30, 60)], profile=undercut(9.5, 3.2, 4.8), depth=8, from_depth=1),
        TaperedInsert(area=box(40, 40, 70, 55), start_depth=2, depth=4, angle_deg=60, around=8, ridges=0.5),
        Parting(area=box(5, 5, 115, 85), waste="outside", tabs=4, skin=0.3),
        Parting(area=circle(20, (90, 30)), waste="inside", corners=1.5),
    ]


PAIRS = list(zip(every_kind(), every_kind(), strict=True))
IDS = [f"{type(one).__name__} {n}" for n, (one, _) in enumerate(PAIRS)]


def test_every_kind_of_feature_is_looked_at() -> None:
    assert {type(one).__name__ for one, _ in PAIRS} == {
        kind.__name__ for kind in Feature.__subclasses__() if kind.__module__.startswith("toolpaths.")
    }


@pytest.mark.parametrize(("one", "again"), PAIRS, ids=IDS)
def test_features_made_alike_are_equal_and_pickle(one: Feature, again: Feature) -> None:
    assert one == again and hash(one) == hash(again) and one is not again
    assert pickle.loads(pickle.dumps(one)) == one
    assert replace(one) == one and replace(one, name="another") != one
    assert "\n" not in repr(one) and one.name in repr(one) and len(repr(one)) < 120


@pytest.mark.parametrize(("one", "again"), PAIRS, ids=IDS)
def test_a_replaced_field_is_checked_again(one: Feature, again: Feature) -> None:
    with pytest.raises(InputError, match="name"):
        replace(one, name="(")
    with pytest.raises(AttributeError):
        one.name = "another"


def test_no_two_features_are_equal_and_parts_go_by_theirs() -> None:
    features = every_kind()
    assert len(set(features)) == len(features)
    part = Part(board=BOARD, front=features, back=features[:1])
    assert part == Part(board=BOARD, front=every_kind(), back=tuple(every_kind()[:1]))
    assert part != replace(part, within=0.05) and hash(part) == hash(pickle.loads(pickle.dumps(part)))
    assert repr(part) == "<Part of board: 15 features on the front, 1 on the back>"
    assert [parting.waste for parting in part.partings()] == ["outside", "inside"]
    assert part.partings("back") == ()


@pytest.mark.sample(5, long=9)
@pytest.mark.parametrize(("one", "again"), PAIRS, ids=IDS)
@pytest.mark.parametrize("turned", ["", "left to right", "top to bottom"])
def test_heights_at_places_are_those_over_the_cells_there(one: Feature, again: Feature, turned: str) -> None:
    """Two computations of one surface: place by place, and over a grid; and a band that is never empty."""
    front = Fixture(board=BOARD)
    fixture = front.turned_over(turned) if turned else front
    part = Part(board=BOARD, **{fixture.side: [one]})
    grid = grid_on(BOARD, 0.5)
    places = np.stack([c.ravel() for c in np.meshgrid(grid.xs(), grid.ys())], axis=1)
    low, high = lowest(part, fixture, SLACK), highest(part, fixture, SLACK)
    low_at, high_at = low.at(places), high.at(places)
    assert (low_at <= high_at).all()
    assert (low_at < 0).any()
    for over, at in ((low.over(grid).ravel(), low_at), (high.over(grid).ravel(), high_at)):
        both = np.isfinite(over) & np.isfinite(at)
        assert over[both] == pytest.approx(at[both], abs=1e-5)
        assert (np.isfinite(over) == np.isfinite(at)).mean() > 0.999


@pytest.mark.parametrize(("one", "again"), [p for p in PAIRS if not p[0].waste_side], ids=str)
def test_the_area_where_wood_is_taken_is_where_the_face_may_be_cut(one: Feature, again: Feature) -> None:
    """What is asked for the order of work and what is asked by the judge are one thing, but for the slack."""
    area = one.taken(-one.floor(-BOARD.thickness), 3.0)
    places = np.random.default_rng(7).uniform((0, 0), (120, 90), (4000, 2))
    away = np.array([area.distance(Point(place)) for place in places])
    inside = np.array([-area.boundary.distance(Point(place)) for place in places])
    low = lowest(Part(board=BOARD, front=[one]), Fixture(board=BOARD), SLACK).at(places)
    waste = getattr(one, "waste", Point())
    free = np.array([waste.distance(Point(place)) > 1 if not waste.is_empty else True for place in places])
    assert (low[(away > 0.2) & free] == 0).all()
    deep = (away == 0) & (inside < -0.2)
    assert deep.any() and (low[deep] < 0).all()


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class Bowl(Feature):
    """A hollow of a sphere, which the package does not have: all that a new feature takes is what stands here."""

    places: MultiPoint
    radius: float
    depth: float
    name: str = "dish"

    def _check(self) -> None:
        positive("radius", self.radius)

    @property
    def shape(self) -> BaseGeometry:
        return self.places

    @property
    def reach(self) -> float:
        return ball(2 * self.radius).radius_at(self.depth)

    def floor(self, board: Board) -> float:
        return -self.depth

    def taken(self, below: float, radius: float) -> BaseGeometry:
        return self.places.buffer(self.reach)

    def lowest(self, slack: Slack) -> Surfaces:
        return Surfaces((), (widest(self.places, ball(2 * self.radius), -self.depth, slack.within),))

    def highest(self, slack: Slack) -> Surfaces:
        return Surfaces((), (narrowest(self.places, ball(2 * self.radius), -self.depth, slack.within),))

    def walls(self, slack: Slack) -> Walls:
        area = self.places.buffer(self.reach)
        return Walls(area, slack.sideways(area))

    def _size(self) -> str:
        return f"{self.depth:g} deep"


@pytest.mark.parametrize(
    ("old", "new", "codes"),
    [
        ("", "", set()),
        ("Z-3", "Z-3.2", {"gouge"}),
        ("Z-3", "Z-2.8", {"leftover"}),
        ("Y45", "Y45.3", {"gouge", "leftover"}),
    ],
)
def test_a_feature_that_the_package_does_not_know_is_judged_and_studied(old: str, new: str, codes: set[str]) -> None:
    part = Part(board=BOARD, back=[Bowl(places=MultiPoint([(40, 45), (80, 45)]), radius=8, depth=3)])
    cutter = Cutter(1, ball(16), 1200, 16000, step_down=6, plunge_mm_min=300)
    text = "G21 G17 G90 G94\nG0 Z20\nT1 M6\nM3 S16000\nG4 P2\nG98 G81 X40 Y45 Z-3 R2 F300\nX80\nG80\nG0 Z20\nM5\nM30\n"
    back = Fixture(board=BOARD).turned_over("left to right")
    report = simulate(text.replace(old, new), back, [cutter], part=part)
    assert set(report.codes()) == codes, str(report)
    assert not codes or any("dish" in finding.message for finding in report.findings)
    if not codes:
        study = tolerance_study([(text, back)], [cutter], part=part, zero_z=0.2)
        assert study.corners == 2 and not study.findings


@settings(max_examples=30, deadline=None)
@given(by=st.floats(-0.5, 0.5))
def test_only_what_ends_at_the_underside_follows_a_board_that_is_thicker(by: float) -> None:
    """Skins and tabs are so much thicker, and what goes through ends so much less below it; nothing else changes."""
    for one in every_kind():
        other = one.thicker(by)
        if isinstance(one, Parting):
            skin = one.skin + max(by, 0.0) if one.skin else 0.0
            height = max(one.tab_height + by, 0.01) if one.tab_height else 0.0
            assert other == replace(one, skin=skin, tab_height=height)
        elif isinstance(one, CutAlong) and isinstance(one.depth, Through):
            assert isinstance(other, CutAlong) and isinstance(other.depth, Through)
            assert other.depth.beyond == max(one.depth.beyond - by, 0.0)
            assert replace(other, depth=one.depth, tab_height=one.tab_height) == one
        else:
            assert other == one
