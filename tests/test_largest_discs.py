"""The discs that are moved along the middles of an area, measured by what they cover."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from carved_shapes import AWKWARD, KNOWN, farthest_beyond, odd_shape, star, swept
from hypothesis import given
from hypothesis import strategies as st
from shapely import Point, box
from shapely.geometry.polygon import orient

from samples import examples
from toolpaths.shapes.border import border_of
from toolpaths.shapes.largest_discs import largest_discs, reach_over
from toolpaths.shapes.medial_axis import medial_axis

TOLERANCE = 0.01


def lines_of(shape) -> list[np.ndarray]:
    return [line for part in shapely.get_parts(shape) for line in largest_discs(orient(part), TOLERANCE).lines]


@pytest.mark.sample(4)
@pytest.mark.parametrize("name", KNOWN)
def test_they_cover_all_and_nothing_else(name):
    shape, deepest, _ = KNOWN[name]
    lines = lines_of(shape)
    assert max(line[:, 2].max() for line in lines) == pytest.approx(deepest, abs=0.002)
    assert farthest_beyond(swept(lines), shape) <= TOLERANCE / 2 + 0.001
    assert farthest_beyond(shape, swept(lines)) <= TOLERANCE


def test_few_moves_are_left_where_the_middle_is_straight():
    names = ("rectangle", "square", "triangle", "disc", "stadium")
    counts = {name: sum(max(len(line) - 1, 1) for line in lines_of(KNOWN[name].shape)) for name in names}
    assert counts["rectangle"] == 5 and counts["square"] == 4 and counts["triangle"] == 3
    assert counts["disc"] == 1 and counts["stadium"] <= 3


@examples(12)
@given(st.integers(0, 10_000))
def test_odd_shapes_are_covered_and_nothing_beyond(seed):
    """Gouge: no disc over the line by more than the tolerance. Left over: in the sharpest corners, no more than it."""
    shape = odd_shape(seed)
    covered = swept(lines_of(shape))
    assert farthest_beyond(covered, shape) <= TOLERANCE
    assert farthest_beyond(shape, covered) <= TOLERANCE


# Once the triangulation of points had no branch into a corner of these.
CORNERS_MISSED = {f"by lot {seed}": odd_shape(seed) for seed in (4, 7, 187, 232, 248)}


@pytest.mark.sample(4)
@pytest.mark.parametrize("name", [*AWKWARD, *CORNERS_MISSED])
def test_awkward_shapes_are_covered_and_nothing_beyond(name):
    shape = (AWKWARD | CORNERS_MISSED)[name]
    covered = swept(lines_of(shape))
    assert farthest_beyond(covered, shape) <= TOLERANCE / 2 + 0.001
    assert farthest_beyond(shape, covered) <= TOLERANCE


def test_how_far_a_moving_disc_reaches_over_is_known_exactly():
    """Against many places along the move, each measured by the library."""
    rng = np.random.default_rng(5)
    shape = orient(star(7, 10, 4))
    border = border_of(shape)
    start, end = (np.column_stack([rng.uniform(-6, 6, (90, 2)), rng.uniform(0.5, 4, 90)]) for _ in range(2))
    short = np.hypot(*(start - end)[:, :2].T) > np.abs(start - end)[:, 2]
    start, end = start[short], end[short]
    known = reach_over(border, start, end)
    share = np.linspace(0, 1, 801)[:, None, None]
    discs = start + share * (end - start)
    over = (discs[..., 2] - shapely.distance(shape.boundary, shapely.points(discs[..., :2]))).max(axis=0)
    # Between two places, 0.02 mm apart at most, it reaches no more than that farther.
    assert (known - over)[over > 0].min() > -1e-9 and (known - over)[over > 0].max() < 0.02
    assert (over > 0).sum() > 50


def test_axis_lies_in_the_middle_at_forks_and_reflex_corners():
    axis = medial_axis(box(0, 12, 30, 18) | box(12, 0, 18, 30))
    at = shapely.distance(shapely.points(axis.places), Point(15, 15)).argmin()
    assert axis.places[at] == pytest.approx([15, 15], abs=1e-9)
    assert axis.radius[at] == pytest.approx(3 * 2**0.5, abs=1e-9)  # reference: w / sqrt(2) at a crossing
