"""Discs of a room: many centres, each with its radius."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from toolpaths.base.checks import Floats

# Looked at in one go: so few, one beside the other, lie near few others.
AT_ONCE = 64


@dataclass(frozen=True, slots=True)
class Discs:
    """centres, radii : (n, 2), (n,)"""

    centres: Floats
    radii: Floats

    def __len__(self) -> int:
        return len(self.radii)

    def of(self, chosen: np.ndarray) -> Discs:
        return Discs(self.centres[chosen], self.radii[chosen])

    def joined(self, other: Discs) -> Discs:
        return Discs(np.vstack([self.centres, other.centres]), np.concatenate([self.radii, other.radii]))

    def about(self, low: Floats, high: Floats) -> np.ndarray:
        """Numbers of those that reach into a box."""
        x = np.maximum(low, np.minimum(self.centres, high)) - self.centres
        return np.flatnonzero(np.hypot(*x.T) <= self.radii + 1e-3)

    def depth(self, place: Floats) -> Floats:
        """How deep a place lies in each."""
        found: Floats = self.radii - np.hypot(*(self.centres - place).T)
        return found

    def depths(self, places: Floats) -> Floats:
        """(places, discs) the same of many places."""
        x, y = (self.centres[:, axis] - places[:, axis, None] for axis in (0, 1))
        found: Floats = self.radii - np.hypot(x, y)
        return found
