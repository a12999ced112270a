"""How deep the tip of a cutter may go over a surface that follows a section, by how far its axis is from the edge.

A place p within the cutter's radius of the axis q lies at a distance from the edge that differs from that of q by no
more than |p - q|, and the cutter's profile only rises outwards. So what touches nothing in the section, seen as a cut
straight across the edge, touches nothing anywhere, whatever the outline: the tip's height follows from the distance
alone, and rings of one distance are level.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from math import atan, isinf, sin

import numpy as np

from toolpaths.base.checks import Floats
from toolpaths.facts.profile import Profile
from toolpaths.facts.section import Section

# Places of the profile that are looked at, and of the section; pairs of them taken at a time.
_PROFILE, _TABLE, _MOST_PAIRS = 801, 1501, 2_000_000
# Places between two passes where the ridge is looked for, passes between them that would leave none, and how often the
# widest step is halved.
_BETWEEN, _SWEPT, _HALVINGS = 25, 9, 22
# Widest step from pass to pass as a share of the diameter.
_WIDEST = 0.75
# A section falls at its edge by more than this, mm, where it begins with an upright wall.
_WALL = 1e-6
# At how many distances the step is worked out.
_STEPS = 121


@dataclass(frozen=True, eq=False)
class TipHeights:
    """A section and the cutter that goes over it.

    farthest : mm from the edge to the place of the shape that is farthest from it
    """

    section: Section
    profile: Profile
    farthest: float

    def at(self, away: Floats) -> Floats:
        """(k,) the lowest z of the tip, from the level of the edge, so far from the edge, at which it cuts nothing of
        the surface, nor of the face beyond the edge."""
        across = np.linspace(-self.profile.radius, self.profile.radius, _PROFILE)
        rises = self.profile.height(np.abs(across))
        found = np.empty(len(away))
        for begin in range(0, len(away), _MOST_PAIRS // _PROFILE):
            some = slice(begin, begin + _MOST_PAIRS // _PROFILE)
            places = away[some, None] + across
            found[some] = (self._surface(places) - rises).max(axis=1)
        # Where pieces of the section meet, and at the edge, from either side.
        for knot in self._knots:
            off = np.abs(away - knot)
            near = off <= self.profile.radius
            z = self.section.heights(np.array([knot]))[0]
            z = max(z, 0.0) if knot == 0 and self.profile.radius > 0 else z
            found[near] = np.maximum(found[near], z - self.profile.height(off[near]))
        return found

    @property
    def rim(self) -> float:
        """mm from the edge at which it touches the surface at its very edge, and no more the edge itself."""
        steep = -float(self.section.slopes(np.array([0.0]))[0])
        if isinf(steep) or self.section.heights(np.array([0.0]))[0] < -_WALL:
            return self.profile.radius
        return self.profile.flat_radius + self.profile.corner_radius * sin(atan(max(steep, 0.0)))

    @cached_property
    def table(self) -> tuple[Floats, Floats]:
        """Distances from the rim to the middle, and the tip's z there."""
        away = np.linspace(self.rim, max(self.farthest, self.rim), _TABLE)
        return away, self.at(away)

    @cached_property
    def standing(self) -> float:
        """mm of wood that it leaves above the surface at most, where the section has no corner within its reach."""
        away = np.linspace(0.0, self.farthest, _TABLE)
        reach = self.profile.radius
        corners = self._corners
        if len(corners):
            away = away[np.abs(away[:, None] - corners).min(axis=1) > reach]
        if not len(away):
            return 0.0
        at, tips = self.table
        left = np.empty(len(away))
        for number, place in enumerate(away.tolist()):
            first, last = np.searchsorted(at, (place - reach, place + reach))
            off = np.minimum(np.abs(at[first:last] - place), reach)
            left[number] = (tips[first:last] + self.profile.height(off)).min(initial=np.inf)
        left -= self.section.heights(away)
        return float(left[np.isfinite(left)].max(initial=0.0))

    def passes(self, ridge: float) -> Floats:
        """Distances from the edge of passes from the rim to the middle, whose ridges are no higher than this, mm."""
        at = np.linspace(self.rim, self.farthest, _STEPS)
        if self.farthest - self.rim < 1e-6:
            return at[-1:]
        steps = self._widest_steps(at, ridge)
        # So many passes as fit, each a like share of a ridge.
        count = np.concatenate([[0.0], np.cumsum(np.diff(at) * (1 / steps[1:] + 1 / steps[:-1]) / 2)])
        shares = np.linspace(0.0, count[-1], max(int(np.ceil(count[-1] - 1e-6)), 1) + 1)
        return np.interp(shares, count, at)

    def _widest_steps(self, at: Floats, ridge: float) -> Floats:
        """(k,) the widest step about each distance that leaves no higher ridge."""
        low, high = np.zeros(len(at)), np.full(len(at), _WIDEST * self.profile.diameter)
        for _ in range(_HALVINGS):
            step = (low + high) / 2
            much = self._ridges(at, step) > ridge
            low, high = np.where(much, low, step), np.where(much, step, high)
        return np.maximum(low, 1e-3)

    def _ridges(self, at: Floats, step: Floats) -> Floats:
        """(k,) mm, upright to the surface, of the ridge between two passes a step apart about each distance, over what
        is left where there are many between them."""
        places, tips = self.table
        first = np.clip(at - step / 2, places[0], places[-1])
        last = np.clip(at + step / 2, places[0], places[-1])
        share = np.linspace(0.0, 1.0, _SWEPT)
        between = first[:, None] + (last - first)[:, None] * share
        heights = np.interp(between, places, tips)
        # The surface is touched beside the axis, uphill of it.
        touch = self._touched(np.stack([first, last], axis=1))
        look = touch[:, :1] + (touch[:, 1:] - touch[:, :1]) * np.linspace(0.0, 1.0, _BETWEEN)
        off = np.minimum(np.abs(look[:, :, None] - between[:, None, :]), self.profile.radius)
        over = heights[:, None, :] + self.profile.height(off)
        standing = np.minimum(over[:, :, 0], over[:, :, -1]) - over.min(axis=2)
        slope = np.abs(self.section.slopes(np.clip(look, 1e-9, None)))
        upright = 1 / np.sqrt(1 + np.minimum(slope, 1e6) ** 2)
        return np.asarray((standing * upright).max(axis=1))

    def _touched(self, away: Floats) -> Floats:
        """Where an axis so far from the edge touches the surface, any shape."""
        places, tips = self.table
        slope = np.interp(away, (places[1:] + places[:-1]) / 2, np.diff(tips) / np.maximum(np.diff(places), 1e-12))
        return np.asarray(away + self.profile.corner_radius * slope / np.sqrt(1 + slope * slope))

    def _surface(self, away: Floats) -> Floats:
        """z so far from the edge: the face beyond it, and no surface beyond the middle."""
        z = self.section.heights(away)
        z[away < 0] = 0.0
        z[away > self.farthest] = -np.inf
        return z

    @property
    def _knots(self) -> Floats:
        ends = np.array([0.0, *(piece.end for piece in self.section.pieces)])
        return ends[ends <= self.farthest]

    @property
    def _corners(self) -> Floats:
        """Distances at which two slopes meet in a hollow corner, into which no round cutter gets; the middle, where it
        is not level, is one."""
        ends = np.array([*(piece.end for piece in self.section.pieces), self.farthest])
        ends = np.unique(ends[ends <= self.farthest + 1e-9])
        before, after = self.section.slopes(ends - 1e-6), self.section.slopes(ends + 1e-6)
        after = np.where(ends >= self.farthest - 1e-6, -before, after)
        return np.asarray(ends[after - before > 1e-3])
