"""Along one ring of the wall: over the stretches where wood is left at it, or all round, from and to it on an arc."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from math import cos, pi, sin

import numpy as np

from toolpaths.base.checks import Floats
from toolpaths.base.errors import Point
from toolpaths.making.operations.clearing.limited.wall_discs import WallPlaces
from toolpaths.shapes import arc_fit
from toolpaths.shapes.curves import lengths_along, places_along
from toolpaths.shapes.tolerance_shares import FIT
from toolpaths.shapes.track import Segment, Track

# mm along the ring: where a part of it begins, and how long it is.
Stretch = tuple[float, float]


@dataclass(frozen=True, eq=False)
class WallLap:
    """One ring of the wall.

    radius : of the cutter
    climb : whether the wood is on the right of the travel
    """

    places: WallPlaces
    radius: float
    climb: bool
    tolerance: float

    @cached_property
    def at(self) -> Floats:
        """(n, 2) the places of the ring that are known."""
        return places_along(self.places.ring, self.places.along)

    @cached_property
    def _length(self) -> float:
        return float(lengths_along(self.places.ring)[-1])

    def stretches(self, wood: np.ndarray) -> list[Stretch]:
        """The parts of the ring about places (n,) with wood; none if that is all of it."""
        return _stretches(self.places.along[wood], self._length, 2 * self.radius)

    def nearest(self, stretches: list[Stretch], here: Point) -> int:
        """The number of that stretch which begins nearest to a place."""
        begins = np.array([(s if self.climb else s + n) % self._length for s, n in stretches])
        return int(np.argmin(np.hypot(*(places_along(self.places.ring, begins) - here).T)))

    def over(self, stretch: Stretch) -> Track:
        """Along a stretch, and a little more at both ends."""
        (start, length), pad = stretch, self.radius / 4
        return self._fitted(_along(self.places.ring, (start - pad) % self._length, length + 2 * pad))

    def all_round(self, here: Point) -> Track:
        """All round the ring, begun near a place where there is room to come on to the wall."""
        places = self.places
        wide = np.flatnonzero(places.radii >= min(2 * self.radius, 0.9 * places.radii.max()))
        chosen = int(wide[np.argmin(np.hypot(*(self.at[wide] - here).T))])
        heading, size = float(places.headings[chosen]), float(places.radii[chosen])
        x, y = self.at[chosen].tolist()
        lead = min(size / 2, self.radius)
        track = self._fitted(_along(places.ring, float(places.along[chosen]), self._length))
        cx, cy = x - lead * sin(heading), y + lead * cos(heading)
        sign = 1.0 if self.climb else -1.0
        before, after = heading - sign * pi / 2 - pi / 2, heading + sign * pi / 2 - pi / 2
        a = (cx + lead * cos(before), cy + lead * sin(before))
        b = (cx + lead * cos(after), cy + lead * sin(after))
        segments = (
            Segment(a, track.segments[0].start, (cx, cy), sign * pi / 2),
            *track.segments,
            Segment(track.segments[-1].end, b, (cx, cy), sign * pi / 2),
        )
        return Track(segments, False)

    def _fitted(self, points: Floats) -> Track:
        return arc_fit.fit(points if self.climb else points[::-1], False, self.tolerance * FIT)


def _along(ring: Floats, start: float, length: float) -> Floats:
    """The points of a ring from a length along it, for so much of it, at most one round."""
    at = lengths_along(ring)
    ats, twice = np.concatenate([at, at[1:] + at[-1]]), np.vstack([ring, ring[1:]])
    inside = (ats > start + 1e-6) & (ats < start + length - 1e-6)
    first, last = places_along(twice, np.array([start, start + length]))
    return np.vstack([first, twice[inside], last])


def _stretches(along: Floats, whole: float, apart: float) -> list[tuple[float, float]]:
    """(start, length) of the parts of a ring where places are no farther apart; none if that is all of it."""
    gaps = np.diff(np.append(along, along[0] + whole))
    ends = np.flatnonzero(gaps > apart)
    starts = (ends + 1) % len(along)
    order = np.roll(ends, -1)
    return [(float(along[s]), float((along[e] - along[s]) % whole)) for s, e in zip(starts, order)]
