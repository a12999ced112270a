"""The wood of the tests' own model, at points: what a cutter leaves on its way, in closed form or by brute force.

Shares nothing with the library's simulator but the numbers of a cutter.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from math import atan2, ceil, cos, hypot, pi, radians, sin, tan

import numpy as np

import toolpaths as tp

Points = np.ndarray
# mm between the places at which a way is looked at where it has no closed form.
_STEP = 0.1


@dataclass(frozen=True, eq=False)
class Way:
    """Of one cutter from place to place on the board, z from its top, x and y from its lower-left corner as it lies.

    centre, turn : of an arc, as places and +1 or -1; turn 0 for a straight way
    """

    cutter: tp.Cutter
    start: tuple[float, float, float]
    end: tuple[float, float, float]
    centre: tuple[float, float] = (0.0, 0.0)
    turn: int = 0

    @property
    def level(self) -> bool:
        return abs(self.start[2] - self.end[2]) < 1e-9

    @cached_property
    def key(self) -> tuple[float, ...]:
        """The same for ways that do the same."""
        numbers = (*self.start, *self.end, *(self.centre if self.turn else ()))
        return self.cutter.number, self.turn, *(round(number, 6) + 0.0 for number in numbers)

    @cached_property
    def sweep(self) -> float:
        """Radians, positive; a full turn where it ends where it starts."""
        (x0, y0, _), (x1, y1, _), (cx, cy) = self.start, self.end, self.centre
        if hypot(x1 - x0, y1 - y0) < 1e-7:
            return 2 * pi
        return (atan2(y1 - cy, x1 - cx) - atan2(y0 - cy, x0 - cx)) * self.turn % (2 * pi)

    @cached_property
    def length(self) -> float:
        """As seen from above."""
        (x0, y0, _), (x1, y1, _) = self.start, self.end
        return self.sweep * self._radius if self.turn else hypot(x1 - x0, y1 - y0)

    @cached_property
    def _radius(self) -> float:
        return hypot(self.start[0] - self.centre[0], self.start[1] - self.centre[1])

    def at(self, shares: Points) -> Points:
        """(k, 3) places at shares 0 to 1 of the way."""
        (x0, y0, z0), (x1, y1, z1) = self.start, self.end
        if not self.turn:
            x, y = x0 + (x1 - x0) * shares, y0 + (y1 - y0) * shares
        else:
            cx, cy = self.centre
            angle = atan2(y0 - cy, x0 - cx) + self.turn * self.sweep * shares
            # Rounding leaves start and end at radii that differ a little.
            radius = self._radius + (hypot(x1 - cx, y1 - cy) - self._radius) * shares
            x, y = cx + radius * np.cos(angle), cy + radius * np.sin(angle)
        return np.column_stack([x, y, z0 + (z1 - z0) * shares])

    def places(self, apart: float) -> Points:
        """(k, 3) places so close together, the ends among them."""
        long = hypot(self.length, self.end[2] - self.start[2])
        return self.at(np.linspace(0, 1, max(2, ceil(long / apart) + 1)))

    @cached_property
    def chords(self) -> Points:
        """(k + 1, 3) places along a helix, whose chords are 0.002 mm high and less."""
        count = max(2, ceil(self.sweep / (2 * np.arccos(1 - min(0.5, 0.002 / self._radius)))))
        return self.at(np.linspace(0, 1, count + 1))

    @cached_property
    def box(self) -> tuple[float, float, float, float]:
        """Left, low, right, high of all that the cutter takes."""
        places = self.places(1.0)
        room = self.cutter.profile.diameter / 2 + 0.2
        left, low = places[:, :2].min(axis=0) - room
        right, high = places[:, :2].max(axis=0) + room
        return left, low, right, high


def rise(cutter: tp.Cutter, away: Points, wider: float = 0.0) -> Points:
    """How far above the tip the cutter's edge lies so far from its axis; inf beyond its radius.

    wider : mm by which the cutter is taken to be thicker all round
    """
    profile = cutter.profile
    radius, away = profile.diameter / 2, np.maximum(away - wider, 0.0)
    if profile.kind in ("V", "drill"):
        up = np.maximum(away - profile.tip_diameter / 2, 0.0) / tan(radians(profile.angle_deg / 2))
    else:
        corner = profile.corner_radius
        beyond = np.clip(away - (radius - corner), 0.0, corner)
        up = corner - np.sqrt(corner * corner - beyond * beyond)
    return np.where(away <= radius + 1e-9, up, np.inf)


def taken_by(way: Way, points: Points, wider: float = 0.0) -> Points:
    """(k,) height down to which a way takes the wood at points (k, 2); inf where it takes none."""
    left, low, right, high = way.box
    x, y = points.T
    near = (x > left) & (x < right) & (y > low) & (y < high)
    heights = np.full(len(points), np.inf)
    if near.any():
        heights[near] = _taken(way, points[near], wider)
    return heights


def _taken(way: Way, points: Points, wider: float) -> Points:
    z0, z1 = way.start[2], way.end[2]
    if way.turn and way.level:
        return z0 + rise(way.cutter, _from_arc(way, points), wider)
    if way.length < 1e-9:
        return min(z0, z1) + rise(way.cutter, np.hypot(*(points - way.start[:2]).T), wider)
    if way.turn:
        return (_along_chords if way.cutter.profile.kind == "flat" else _sampled)(way, points, wider)
    return _along(way, points, wider)


def _along_chords(way: Way, points: Points, wider: float) -> Points:
    """Of a helix, by a flat cutter: all its chords at once, as in _along()."""
    start, end = way.chords[:-1], way.chords[1:]
    length = np.hypot(*(end - start)[:, :2].T)
    along = (end - start)[:, :2] / length[:, None]
    x, y = (points[:, None] - start[:, :2]).transpose(2, 0, 1)
    u, v = x * along[:, 0] + y * along[:, 1], y * along[:, 0] - x * along[:, 1]
    reach = way.cutter.profile.diameter / 2 + wider
    half = np.sqrt(np.maximum(reach * reach - v * v, 0.0))
    lowest = np.where(end[:, 2] < start[:, 2], np.minimum(u + half, length), np.maximum(u - half, 0.0))
    met = (np.abs(v) <= reach) & (u - half <= length) & (u + half >= 0)
    return np.where(met, start[:, 2] + (end - start)[:, 2] * lowest / length, np.inf).min(axis=1)


def _along(way: Way, points: Points, wider: float) -> Points:
    """Of a straight way that is not upright."""
    z0, z1, length = way.start[2], way.end[2], way.length
    along = (np.array(way.end[:2]) - way.start[:2]) / max(length, 1e-12)
    u, v = (points - way.start[:2]) @ along, (points - way.start[:2]) @ [-along[1], along[0]]
    if way.level:
        return z0 + rise(way.cutter, np.hypot(u - np.clip(u, 0, length), v), wider)
    if way.cutter.profile.kind == "flat":
        reach = way.cutter.profile.diameter / 2 + wider
        half = np.sqrt(np.maximum(reach * reach - v * v, 0.0))
        lowest = np.minimum(u + half, length) if z1 < z0 else np.maximum(u - half, 0.0)
        met = (np.abs(v) <= reach) & (u - half <= length) & (u + half >= 0)
        return np.where(met, z0 + (z1 - z0) * lowest / length, np.inf)
    return _sampled(way, points, wider)


def _sampled(way: Way, points: Points, wider: float) -> Points:
    """By brute force."""
    heights = np.full(len(points), np.inf)
    for x, y, z in way.places(_STEP):
        heights = np.minimum(heights, z + rise(way.cutter, np.hypot(points[:, 0] - x, points[:, 1] - y), wider))
    return heights


def _from_arc(way: Way, points: Points) -> Points:
    x, y = (points - way.centre).T
    begin = atan2(way.start[1] - way.centre[1], way.start[0] - way.centre[0])
    turned = (np.arctan2(y, x) - begin) * way.turn % (2 * pi)
    ends = np.minimum(*(np.hypot(*(points - end[:2]).T) for end in (way.start, way.end)))
    return np.where(turned <= way.sweep, np.abs(np.hypot(x, y) - way._radius), ends)


def heights(ways: Sequence[Way], points: Points, wider: float = 0.0, deeper: float = 0.0) -> Points:
    """(k,) upper face of the wood at points (k, 2) of a board whose top is 0, once these ways are gone."""
    found = np.zeros(len(points))
    for way in ways:
        if min(way.start[2], way.end[2]) < 0:
            found = np.minimum(found, taken_by(way, points, wider) - deeper)
    return np.minimum(found, 0.0)


def disc(radius: float, rings: int = 3) -> Points:
    """(k, 2) points over a disc about 0."""
    found = [(0.0, 0.0)]
    for ring in range(1, rings + 1):
        r = radius * ring / rings
        found += [(r * cos(2 * pi * k / (8 * ring)), r * sin(2 * pi * k / (8 * ring))) for k in range(8 * ring)]
    return np.array(found)


def probes(way: Way) -> Points:
    """(k, 2) points at which a change of this way must show: along it, and just inside the edges of what it takes."""
    places = way.places(min(0.4, max(way.length, 0.01) / 16))[:, :2]
    if len(places) > 250:
        places = places[:: len(places) // 250 + 1]
    radius = way.cutter.profile.diameter / 2
    rims = [radius * k / 12 for k in range(1, 12)] if way.cutter.profile.kind != "flat" else []
    rims += [r for r in (radius - 0.005, radius - 0.03, radius - 0.11, radius - 0.5, radius / 2) if r > 0]
    turns = np.linspace(0, 2 * pi, 12, endpoint=False)
    if way.length < 1e-9:
        places = places[:1]
        turns = np.linspace(0, 2 * pi, 48, endpoint=False)
    elif not way.turn:
        # Across the way, and round its ends.
        x, y = np.array(way.end[:2]) - way.start[:2]
        turns = atan2(y, x) + np.array([pi / 2, -pi / 2, 0, pi, pi / 4, -pi / 4, 3 * pi / 4, -3 * pi / 4])
    found = [places]
    for rim in rims:
        found.append((places[:, None] + rim * np.column_stack([np.cos(turns), np.sin(turns)])).reshape(-1, 2))
    return np.concatenate(found)
