"""Sections against closed formulas, and how far places are from an edge against shapely's own distances."""

from __future__ import annotations

import pickle

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from samples import examples
from toolpaths import InputError, Section, circle
from toolpaths.facts.features.edge_distances import distances, edge_of

SOME = [
    Section.slope(width=6, depth=2),
    Section.cove(radius=5, depth=12),
    Section.round_over(radius=4),
    Section.arc(width=50, depth=10),
    Section.ellipse(width=40, depth=12),
    Section.ellipse(width=40, depth=12, rim_deg=90),
    Section.spline([(0, 0), (10, 4), (30, 9), (45, 9.5)]),
    Section.spline([(0, 0), (10, 6), (20, 2)]),
]


@pytest.mark.parametrize("section", SOME, ids=str)
def test_a_section_is_its_own_value_and_goes_on_level(section):
    assert pickle.loads(pickle.dumps(section)) == section and hash(section) == hash(pickle.loads(pickle.dumps(section)))
    beyond = section.heights([section.width, section.width + 1, 1e4])
    assert (beyond == beyond[0]).all() and (section.slopes([section.width + 1]) == 0).all()
    assert section.heights(np.linspace(0, section.width, 5001)).min() == pytest.approx(-section.depth, abs=1e-4)


@pytest.mark.parametrize("section", SOME, ids=str)
def test_slopes_are_those_of_its_heights(section):
    at = np.linspace(0.2, section.width - 0.2, 200)
    ends = [piece.end for piece in section.pieces]
    at = at[np.abs(at[:, None] - ends).min(axis=1) > 1e-3]
    step = 1e-6
    measured = (section.heights(at + step) - section.heights(at - step)) / (2 * step)
    assert section.slopes(at) == pytest.approx(measured, abs=1e-5)


@pytest.mark.parametrize("section", SOME, ids=str)
def test_the_tightest_bend_is_that_of_the_circle_through_three_places_close_by(section):
    at = np.linspace(0, section.width, 40_001)[:, None] + np.array([-1.0, 0.0, 1.0]) * section.width / 4000
    at = at[(at[:, 0] > 1e-9 * section.width) & (at[:, 2] < section.width)]
    ends = np.array([piece.end for piece in section.pieces[:-1]])
    at = at[~((at[:, :1] < ends) & (ends < at[:, 2:])).any(axis=1)]
    z = section.heights(at)
    a, b, c = (np.hypot(at[:, i] - at[:, j], z[:, i] - z[:, j]) for i, j in ((0, 1), (1, 2), (0, 2)))
    twice = (at[:, 1] - at[:, 0]) * (z[:, 2] - z[:, 0]) - (at[:, 2] - at[:, 0]) * (z[:, 1] - z[:, 0])
    bend = np.where(twice > 1e-12, 2 * twice / (a * b * c), 0.0).max()
    # At an end the three places lie beside it.
    assert 1 / section.tightest == pytest.approx(bend, rel=0.02, abs=1e-4)


def test_an_arc_is_the_spherical_cap_of_the_reference():
    """Reference: diameter 100, 10 deep: radius 130, slope at the rim 22.619865; 150, 20: 150.625, 29.862834."""
    for wide, deep, radius, rim in ((50, 10, 130.0, 22.619865), (75, 20, 150.625, 29.862834)):
        section = Section.arc(width=wide, depth=deep)
        assert section.tightest == pytest.approx(radius)
        assert np.degrees(np.arctan(-section.slopes([0.0])))[0] == pytest.approx(rim, abs=1e-6)
        assert Section.arc(radius=radius, depth=deep).width == pytest.approx(wide)
        x = np.linspace(0, wide, 99)
        assert section.heights(x) == pytest.approx(radius - deep - np.sqrt(radius**2 - (wide - x) ** 2))


@pytest.mark.parametrize("rim", [45.0, 60.0, 90.0])
def test_an_ellipse_has_the_rim_that_was_asked_for(rim):
    section = Section.ellipse(width=40, depth=12, rim_deg=rim)
    assert section.heights([0.0, 40.0]) == pytest.approx([0.0, -12.0])
    assert np.degrees(np.arctan(-section.slopes([1e-12])))[0] == pytest.approx(rim, abs=1e-3)


def test_what_makes_no_section_is_refused():
    for wrong in (
        lambda: Section.arc(depth=10),
        lambda: Section.arc(depth=10, width=20, radius=30),
        lambda: Section.arc(depth=10, width=9),
        lambda: Section.arc(depth=10, radius=9),
        lambda: Section.cove(radius=5, depth=4),
        lambda: Section.ellipse(width=40, depth=12, rim_deg=20),
        lambda: Section.spline([(1, 0), (10, 5)]),
        lambda: Section.spline([(0, 0), (10, 5), (10, 6)]),
        lambda: Section.spline([(0, -1), (10, 5)]),
        lambda: Section.spline([(0, 0)]),
        lambda: Section(()),
        lambda: Section((Section.slope(2, 1).pieces[0], Section.slope(3, 1).pieces[0])),
    ):
        with pytest.raises(InputError):
            wrong()


@examples(40)
@given(seed=st.integers(0, 2**32 - 1), count=st.sampled_from([1, 7, 900]), size=st.sampled_from([0.1, 5.0, 300.0]))
def test_distances_are_those_to_the_nearest_piece(seed, count, size):
    chance = np.random.default_rng(seed)
    line = shapely.linestrings(chance.uniform(0, 50, (chance.integers(2, 30), 2)))
    lines = shapely.geometrycollections([line, circle(30, (25, 25)).boundary, shapely.Point(3, 4)])
    places = chance.uniform(-size, size, (count, 2)) + 25
    assert distances(edge_of(lines), places) == pytest.approx(shapely.distance(lines, shapely.points(places)), abs=1e-9)
