"""On which bends of a path a tab may stand: on a corner none, on a curve in chords as on the curve."""

from __future__ import annotations

from math import cos, radians, sin

import numpy as np
import pytest

from toolpaths.making.motion.tab_corners import clear_of_corners
from toolpaths.shapes.track import Segment, Track


def bent(*turns_deg: float, apart: float = 1.0) -> Track:
    """Straight for 100 mm, bends so far apart, straight on; closed by a wide way back with corners of its own."""
    places, heading = [(0.0, 0.0), (100.0, 0.0)], 0.0
    for turn_deg, length in zip(turns_deg, [apart] * (len(turns_deg) - 1) + [100.0]):
        heading += radians(turn_deg)
        x, y = places[-1]
        places.append((x + length * cos(heading), y + length * sin(heading)))
    x, y = places[-1]
    places += [(x, y + 200.0), (0.0, 200.0), (0.0, 0.0)]
    return Track(tuple(Segment(a, b) for a, b in zip(places, places[1:])), True)


def clear(track: Track, along: float, half: float, least_radius: float) -> bool:
    return bool(clear_of_corners(track, np.array([along]), half, least_radius)[0])


@pytest.mark.parametrize(("turn_deg", "may"), [(7.9, True), (8.1, False), (-7.9, True), (-8.1, False)])
def test_a_tab_stands_on_a_slight_bend_alone(turn_deg, may):
    """8 degrees over a tab; past both its ends a bend does not matter."""
    track = bent(turn_deg)
    assert clear(track, 100, 3, 1000) is may
    assert clear(track, 102.9, 3, 1000) is may and clear(track, 97.1, 3, 1000) is may
    assert clear(track, 103.1, 3, 1000) and clear(track, 96.9, 3, 1000)


@pytest.mark.parametrize(("turn_deg", "may"), [(19.9, True), (20.1, False)])
def test_on_the_tightest_curve_bends_of_its_chords_are_none_but_a_sharp_one_is_a_corner(turn_deg, may):
    """Of 10 mm radius a tab of 10 mm turns by 57 degrees: two bends of 19.9 are less, one of 20.1 is a corner."""
    assert clear(bent(turn_deg, turn_deg), 100.5, 5, 10) is may


@pytest.mark.parametrize(("count", "may"), [(2, True), (3, False)])
def test_bends_under_a_tab_add_up(count, may):
    """Of 20 mm radius a tab of 10 mm turns by 28.6 degrees: two bends of 14 are less, three are more."""
    assert clear(bent(*[14.0] * count), 101, 5, 20) is may


def test_where_the_path_begins_a_corner_is_one():
    track = bent(0.0)
    assert not clear(track, 1, 3, 1000) and not clear(track, track.length - 1, 3, 1000)
    assert clear(track, 4, 3, 1000) and clear(track, track.length - 4, 3, 1000)
