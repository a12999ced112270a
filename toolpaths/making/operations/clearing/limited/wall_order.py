"""Where the wall of a room may be cut in one go, once discs in it are cleared."""

from __future__ import annotations

from math import pi

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from toolpaths.base.checks import Floats
from toolpaths.making.operations.clearing.limited.advance import Limit
from toolpaths.making.operations.clearing.limited.discs import AT_ONCE, Discs

# Places of the rim, from the limit to straight back, that must be free for the wall to be cut.
_RIM_PLACES = 4


class WallOrder:
    """Where the wall may be cut in one go: where the rim from the limit on is free."""

    def __init__(self, places: Floats, headings: Floats, climb: bool, limit: Limit, hair: float) -> None:
        turns = limit.angle + (pi - limit.angle) * np.arange(_RIM_PLACES) / _RIM_PLACES
        # The wall is on the right of the ring's heading.
        rim = headings[:, None] - pi / 2 + turns if climb else headings[:, None] - pi / 2 - turns
        self.rim = places[:, None] + limit.radius * np.stack([np.cos(rim), np.sin(rim)], axis=2)
        self.limit, self.places, self.hair = limit, places, hair
        self.free = np.zeros(rim.shape, bool)
        self.ready = np.zeros(len(places), bool)

    def clear_area(self, free: BaseGeometry) -> np.ndarray:
        """Add a free room; which places no longer need be cut."""
        reached = shapely.dwithin(free, shapely.points(self.rim.reshape(-1, 2)), self.limit.radius)
        self.free |= reached.reshape(self.free.shape)
        cut: np.ndarray = shapely.dwithin(free, shapely.points(self.places), self.hair)
        self.ready = self.free.all(axis=1) | cut
        return cut

    def clear(self, centre: Floats, radius: float) -> None:
        number = np.flatnonzero(~self.ready)
        if len(number):
            away = self.rim[number] - centre
            self.free[number] |= (away * away).sum(axis=2) <= (radius + self.limit.radius) ** 2
            touched = np.hypot(*(self.places[number] - centre).T) <= radius + self.hair
            self.ready[number] = self.free[number].all(axis=1) | touched

    def clear_all(self, discs: Discs) -> None:
        open_ = np.flatnonzero(~self.ready)
        for first in range(0, len(open_), AT_ONCE):
            number = open_[first : first + AT_ONCE]
            places, rim = self.places[number], self.rim[number].reshape(-1, 2)
            near = discs.of(discs.about(rim.min(axis=0) - self.limit.radius, rim.max(axis=0) + self.limit.radius))
            if len(near):
                free = (near.depths(rim) >= -self.limit.radius).any(axis=1)
                self.free[number] |= free.reshape(len(number), -1)
                touched = (near.depths(places) >= -self.hair).any(axis=1)
                self.ready[number] = self.free[number].all(axis=1) | touched
