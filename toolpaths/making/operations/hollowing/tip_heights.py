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
_PROFILE, _TABLE, _MOST_PAIRS = 301, 601, 2_000_000
# Places between two passes where the ridge is looked for, passes between them that would leave none, and how often the
# widest step is halved.
_BETWEEN, _SWEPT, _HALVINGS = 25, 9, 22
# Widest step from pass to pass of a ball as a share of its diameter; of a flat tip half of that, lest tips stand where
# passes turn.
_WIDEST = 0.75
# A section falls at its edge by more than this, mm, where it begins with an upright wall.
_WALL = 1e-6
# mm by which rounding may take the cutter beyond a wall.
_BESIDE = 1e-7
# At how many distances the step is worked out.
_STEPS = 241


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
        across = self._across
        rises = self.profile.height(np.abs(across))
        found = np.empty(len(away))
        for begin in range(0, len(away), _MOST_PAIRS // len(across)):
            some = slice(begin, begin + _MOST_PAIRS // len(across))
            places = away[some, None] + across
            found[some] = (self._surface(places) - rises).max(axis=1)
        # Where pieces of the section meet, and at the edge, from either side.
        for knot in self._knots:
            off = np.abs(away - knot)
            # A wall is touched from beside it.
            near = off < self.profile.radius - _BESIDE
            z = 0.0 if knot == 0 else self.section.heights(np.array([knot]))[0]
            found[near] = np.maximum(found[near], z - self.profile.height(off[near]))
        return found

    @cached_property
    def _across(self) -> Floats:
        """Places of the profile beside its axis, close to each other where it is steep."""
        turn = np.sin(np.linspace(0.0, np.pi / 2, _PROFILE))
        flat, corner = self.profile.flat_radius, self.profile.corner_radius
        outer = flat + (corner if corner else self.profile.radius - flat) * turn
        half = np.concatenate([np.linspace(0.0, flat, _PROFILE), outer]) if flat else outer
        return np.unique(np.concatenate([-half, half]))

    @property
    def rim(self) -> float:
        """mm from the edge at which it touches the surface at its very edge, and no more the edge itself."""
        steep = -float(self.section.slopes(np.array([0.0]))[0])
        if isinf(steep) or self.section.heights(np.array([0.0]))[0] < -_WALL:
            return self.profile.radius
        return self.profile.flat_radius + self.profile.corner_radius * sin(atan(max(steep, 0.0)))

    @cached_property
    def table(self) -> tuple[Floats, Floats]:
        """Distances from the rim to the middle, and the tip's z there; close beside the rim, where it may be steep."""
        far = max(self.farthest, self.rim)
        near = self.rim + min(self.profile.radius, far - self.rim) * np.linspace(0.0, 1.0, _TABLE) ** 3
        away = np.unique(np.concatenate([near, np.linspace(self.rim, far, _TABLE)]))
        return away, self.at(away)

    @cached_property
    def _along(self) -> Floats:
        """mm along the way of the tip over the section, from the rim, of each distance of the table."""
        away, z = self.table
        return np.concatenate([[0.0], np.cumsum(np.hypot(np.diff(away), np.diff(z)))])

    @cached_property
    def standing(self) -> float:
        """mm of wood that the flat of its tip leaves over a hollow surface at most, where that has no corner within its
        reach and is no steeper than 45 degrees."""
        if not self.profile.flat_radius:
            return 0.0
        away = np.linspace(0.0, self.farthest, _TABLE)
        away = away[np.abs(self.section.slopes(away)) < 1]
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
        along, away = self._along, self.table[0]
        if along[-1] < 1e-6:
            return away[-1:]
        at = np.linspace(0.0, along[-1], _STEPS)
        steps = self._widest_steps(at, ridge)
        # So many passes as fit, each a like share of a ridge.
        count = np.concatenate([[0.0], np.cumsum(np.diff(at) * (1 / steps[1:] + 1 / steps[:-1]) / 2)])
        shares = np.linspace(0.0, count[-1], max(int(np.ceil(count[-1] - 1e-6)), 1) + 1)
        return np.asarray(np.interp(np.interp(shares, count, at), along, away))

    def _widest_steps(self, at: Floats, ridge: float) -> Floats:
        """(k,) the widest step along the way of the tip, about each length of it, that leaves no higher ridge."""
        low, high = np.zeros(len(at)), np.full(len(at), self.profile.flat_radius or _WIDEST * self.profile.diameter)
        for _ in range(_HALVINGS):
            step = (low + high) / 2
            much = self._ridges(at, step) > ridge
            low, high = np.where(much, low, step), np.where(much, step, high)
        return np.maximum(low, 1e-3)

    def _ridges(self, at: Floats, step: Floats) -> Floats:
        """(k,) mm, upright to the surface, of the ridge between two passes a step apart about each length along the way
        of the tip, over what is left where there are many between them."""
        (places, tips), along = self.table, self._along
        first = np.clip(at - step / 2, 0.0, np.maximum(along[-1] - step, 0.0))
        last = np.minimum(first + step, along[-1])
        share = np.linspace(0.0, 1.0, _SWEPT)
        between = first[:, None] + (last - first)[:, None] * share
        away, heights = np.interp(between, along, places), np.interp(between, along, tips)
        # The surface is touched beside the axis, uphill of it.
        touch = self._touched(away[:, [0, -1]])
        look = touch[:, :1] + (touch[:, 1:] - touch[:, :1]) * np.linspace(0.0, 1.0, _BETWEEN)
        off = np.minimum(np.abs(look[:, :, None] - away[:, None, :]), self.profile.radius)
        over = heights[:, None, :] + self.profile.height(off)
        standing = np.minimum(over[:, :, 0], over[:, :, -1]) - over.min(axis=2)
        slope = np.abs(self.section.slopes(np.clip(look, 1e-9, None)))
        upright = 1 / np.sqrt(1 + np.minimum(slope, 1e6) ** 2)
        return np.asarray((standing * upright).max(axis=1))

    def _touched(self, away: Floats) -> Floats:
        """Where an axis so far from the edge touches the surface, any shape."""
        places, tips = self.table
        slope = np.interp(away, (places[1:] + places[:-1]) / 2, np.diff(tips) / np.maximum(np.diff(places), 1e-12))
        flat = np.where(slope > 0, self.profile.flat_radius, -self.profile.flat_radius)
        return np.asarray(away + flat + self.profile.corner_radius * slope / np.sqrt(1 + slope * slope))

    def _surface(self, away: Floats) -> Floats:
        """z so far from the edge: the face beyond it, and no surface beyond the middle."""
        z = self.section.heights(away)
        z[away < -_BESIDE] = 0.0
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
        found = [away for away, _ in self.section.corners if away < self.farthest]
        steep = self.section.slopes(np.array([self.farthest - 1e-6]))[0] < -1e-3
        return np.array([*found, self.farthest] if steep else found)
