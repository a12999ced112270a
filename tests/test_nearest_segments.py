"""What places lie beside: against the segments in fine points, and each place alone against all in a row."""

from __future__ import annotations

from math import pi

import numpy as np
import pytest
import shapely
from shapely import Polygon

import toolpaths as tp
from toolpaths.shapes.drawn_area import drawn_area
from toolpaths.shapes.nearest_segments import NearestSegments


def _wavy(count: int) -> Polygon:
    turn = np.linspace(0, 2 * pi, count, endpoint=False)
    radius = 40 + 7 * np.cos(3 * turn) + 4 * np.sin(2 * turn)
    return Polygon(np.column_stack([1.3 * radius * np.cos(turn), radius * np.sin(turn)]))


SHAPES = {
    "rounded, with a hole": tp.rectangle(110, 80, corner_radius=14) - tp.circle(23, (9, -4)),
    "many arcs": _wavy(400),
    "many sides": _wavy(70),
}


@pytest.mark.sample(2)
@pytest.mark.parametrize("name", SHAPES)
@pytest.mark.parametrize("away", [-3.0, 4.5, 12.0])
def test_a_place_lies_beside_the_nearest_segment(name, away):
    tracks = drawn_area(SHAPES[name], -3.0, 0.01).tracks
    segments = [segment for track in tracks for segment in track.segments]
    nearest = NearestSegments(tracks)
    ring = shapely.get_rings(shapely.buffer(SHAPES[name], -away, quad_segs=3))[0]
    places = shapely.get_coordinates(shapely.segmentize(ring, 9.0))

    labels, far = nearest.find(places)

    lines = [shapely.LineString([segment.at(i / 150) for i in range(151)]) for segment in segments]
    all_away = shapely.distance(np.array(lines)[:, None], shapely.points(places))
    assert far == pytest.approx(all_away.min(axis=0), abs=0.001)
    of, index = labels % len(segments), np.arange(len(places))
    assert all_away[of, index] == pytest.approx(far, abs=0.001)
    # Round a corner it is as far from where the segment before ends.
    corner = np.flatnonzero(labels >= len(segments))
    starts = np.array([segments[number].start for number in of[corner]]).reshape(-1, 2)
    assert far[corner] == pytest.approx(np.hypot(*(places[corner] - starts).T), abs=1e-9)
    assert len(corner) > 0 or away > 0 or name != "many sides"

    alone = [nearest.find(place[None, :]) for place in places[::5]]
    assert labels[::5].tolist() == [int(label[0]) for label, _ in alone]
    assert far[::5].tolist() == [float(each[0]) for _, each in alone]
