"""Holding tabs: short bridges of wood left under a through cut, so that the part stays put.

`Tabs` says what is wanted; `places_on` chooses where on a closed track.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import asin, ceil, inf, pi, radians, tan
from typing import Any

import numpy as np

from toolpaths.checks import Floats, between, points, positive, whole
from toolpaths.errors import DoesNotFit, InputError, Point
from toolpaths.geometry.track import Track

# Tabs sit on straight runs and curves of at least so many cutter diameters in radius; where there
# are too few of those, on somewhat tighter ones. Anything tighter still is a corner.
_GENTLE = (10.0, 3.0)
# Tabs nearer to each other than this share of an even spread are uneven: tighter curves are tried too.
_EVEN = 0.5
# Two pieces that meet at a larger angle than this form a corner.
_CORNER = radians(8.0)
# At a turn larger than this the path goes back over itself.
_BACK = radians(135.0)
# Places are tried in steps of this many mm.
_STEP = 1.0
# Two nearest points of a path this close along it, mm, are one: a curve in chords wavers.
_SAME = 0.05
# Lengths below this, mm, are rounding.
_NOTHING = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class Tabs:
    """Tabs wanted: by `count`, by `spacing` (mm along the path, at most), or at given `points`.

    width : of wood left at the narrowest; the cutter rises over width plus its own diameter
    height : of wood left, from the underside of the board (or from the floor of a blind cut)
    slope_deg : 90 for square tabs; less for sloped ones, up and down at that angle
    points : (x, y) seen from the front; each tab comes to the nearest place on the path
    """

    width: float
    height: float
    count: int = 0
    spacing: float = 0.0
    points: tuple[Point, ...] = ()
    slope_deg: float = 90.0

    def __post_init__(self) -> None:
        positive("tab width", self.width)
        positive("tab height", self.height)
        between("slope_deg", self.slope_deg, 1.0, 90.0)
        if bool(self.count) + bool(self.spacing) + bool(len(self.points)) != 1:
            raise InputError("Tabs take one of count=, spacing= and points=.")
        if self.count:
            whole("count", self.count, 1)
        if self.spacing:
            positive("spacing", self.spacing)
        if len(self.points):
            given: Any = points("points", self.points)
            object.__setattr__(self, "points", tuple((float(x), float(y)) for x, y in given))

    def half_length(self, diameter: float, radius: float = inf) -> float:
        """Half the length of path over which the cutter is raised, slopes not counted.

        On a curve of that radius the path is longer than the chord which spans the wood.
        """
        half = (self.width + diameter) / 2
        if radius == inf:
            return half
        return radius * asin(half / radius) if half < radius else half * pi / 2

    def slope_run(self, rise: float) -> float:
        """Length of path of one slope, for a cutter raised by `rise` mm."""
        return rise / tan(radians(self.slope_deg)) if self.slope_deg < 90 else 0.0

    def half_zone(self, diameter: float, rise: float, radius: float = inf) -> float:
        """Half the length of path over which the cutter is raised, slopes and all."""
        return self.half_length(diameter, radius) + self.slope_run(rise)


def places_on(track: Track, tabs: Tabs, diameter: float, rise: float, free_from: float) -> list[Point]:
    """Places for tabs by count or spacing on a closed track, evenly spread where the path allows.

    They keep clear of corners, of each other, and of the entry over [0, free_from] of the track.
    Raises DoesNotFit with the number that would.
    """
    count = tabs.count or ceil(track.length / tabs.spacing)
    most, widest, best = 0, 0.0, list[float]()
    for gentle in _GENTLE:
        half = tabs.half_zone(diameter, rise, gentle * diameter)
        first, last = free_from + half, track.length - half
        positions = np.arange(first, last, _STEP) if last > first else np.zeros(0)
        for low, high in _corners(track, gentle * diameter):
            positions = positions[(positions + half <= low) | (positions - half >= high)]
        chosen = _spread(positions, count, first, last, 2 * half + diameter)
        most = max(most, len(chosen))
        if len(chosen) == count:
            gap = min(b - a for a, b in zip(chosen, [*chosen[1:], chosen[0] + track.length]))
            if gap > widest:
                widest, best = gap, chosen
            if gap >= _EVEN * track.length / count:
                break
    if best:
        return [track.at(along) for along in best]
    raise DoesNotFit(
        f"Only {most} of {count} tabs {tabs.width:g} mm wide find room on a path of {track.length:.0f} mm, clear "
        f"of its corners and of the first {free_from:.0f} mm where the cutter goes down; ask for fewer, "
        "or narrower ones.",
        track.start,
    )


def _spread(positions: Floats, count: int, first: float, last: float, apart: float) -> list[float]:
    """Up to `count` of the positions, each as near as can be to an even spread, `apart` or more between them."""
    chosen: list[float] = []
    for i in range(count):
        allowed = positions[positions >= (chosen[-1] + apart if chosen else first)]
        if len(allowed):
            ideal = first + (last - first) * (i + 0.5) / count
            chosen.append(float(allowed[np.argmin(np.abs(allowed - ideal))]))
    return chosen


def _corners(track: Track, gentle: float) -> list[tuple[float, float]]:
    """Stretches of a closed track that are corners: sharp joints, and arcs too tight."""
    found = []
    for i, piece in enumerate(track.pieces):
        start = track.ends[i] - piece.length
        if piece.radius < gentle:
            found.append((start, track.ends[i]))
        turn = abs((piece.heading(0.0) - track.pieces[i - 1].heading(1.0) + pi) % (2 * pi) - pi)
        if turn > _CORNER:
            found.append((start, start))
    length = track.length
    return found + [(low + length, high + length) for low, high in found if low < length * 0.1]
