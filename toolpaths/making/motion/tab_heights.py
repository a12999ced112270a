"""Where a cutter is lifted over tabs: heights over the track that it follows, before any move is made."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from math import ceil, dist, floor, inf, pi
from typing import NamedTuple

import numpy as np

from toolpaths.base.checks import Floats
from toolpaths.base.errors import DoesNotFitError, Point
from toolpaths.facts.cutter import Cutter
from toolpaths.making.motion.tabs import Tabs
from toolpaths.making.motion.toolpath import Stretch
from toolpaths.shapes.segment_bounds import segment_bounds
from toolpaths.shapes.track import Track

# Two nearest points of a track this close along it, mm, are one: a curve in chords wavers.
_WAVER = 0.05
# Lengths tried for a tab on no single line or arc, and how often the last step is halved then.
_TRIES, _HALVINGS = 64, 32
# Lengths below this, mm, are rounding.
_NOTHING = 1e-9


class _Lift(NamedTuple):
    """One tab met along a track: level at `top` over `half` mm to either side of its middle, and then a slope, `run` mm
    long, down to `floor`."""

    middle: float
    half: float
    run: float
    top: float
    floor: float

    @property
    def corners(self) -> tuple[float, float, float, float]:
        far = self.half + self.run
        return self.middle - far, self.middle - self.half, self.middle + self.half, self.middle + far

    def height(self, along: float, within: float | None = None) -> float:
        """Height at a length along the track; where it jumps there, as it is towards the length `within`."""
        seen_from = along if within is None else within
        if abs(seen_from - self.middle) <= self.half:
            return self.top
        if abs(seen_from - self.middle) >= self.half + self.run:
            return -inf
        return self.top - (self.top - self.floor) * (abs(along - self.middle) - self.half) / self.run

    def meetings(self, a: float, za: float, slope: float) -> list[float]:
        """Lengths at which a straight height, za at a, meets its top and its slopes, or where they would go on."""
        found = [a + (self.top - za) / slope] if slope else []
        if self.run:
            rise = (self.top - self.floor) / self.run
            for own, edge in ((rise, self.corners[1]), (-rise, self.corners[2])):
                if slope != own:
                    found.append((self.top - own * edge - za + slope * a) / (slope - own))
        return found

    def valleys(self, others: Iterable[_Lift]) -> list[float]:
        """Lengths at which its slope down meets a slope up, which are as steep: half way between their upper ends."""
        meet = [other for other in others if self.middle < other.middle and other.corners[0] < self.corners[3]]
        return [(self.corners[2] + other.corners[1]) / 2 for other in meet if self.run]


class _Lifts:
    """Lifts along a track, of which those about a length are soon found."""

    def __init__(self, lifts: Sequence[_Lift]) -> None:
        begins = sorted((lift.corners[0], number) for number, lift in enumerate(lifts))
        self.every = lifts
        self._begins, self._numbers = [begin for begin, _ in begins], [number for _, number in begins]
        self._widest = max((lift.corners[3] - lift.corners[0] for lift in lifts), default=0.0)

    def about(self, low: float, high: float) -> list[_Lift]:
        """All that reach into a stretch, as they were given, and maybe others."""
        first, last = bisect_left(self._begins, low - self._widest), bisect_right(self._begins, high)
        return [self.every[number] for number in sorted(self._numbers[first:last])]


@dataclass(frozen=True, slots=True)
class TabHeights:
    """How high a cutter goes over the tabs on one ring, whatever the pass, ramps and ways on to the ring included."""

    ring_length: float
    lifts: tuple[_Lift, ...] = ()

    def over(self, stretch: Stretch) -> Stretch:
        """A stretch of the ring, or beside it, lifted wherever it comes by a tab."""
        lifts = self._met(stretch)
        return replace(stretch, heights=tuple(_highest(stretch.heights, lifts))) if lifts else stretch

    def _met(self, stretch: Stretch) -> list[_Lift]:
        """The lifts by the stretch's own lengths, each as often as it is met."""
        first, last = stretch.heights[0][0], stretch.end
        rate = stretch.ring_rate or _NOTHING
        low, high = sorted(stretch.ring_from + rate * along for along in (first, last))
        found = []
        for lift in self.lifts:
            far = lift.half + lift.run
            rounds = [(low - far - lift.middle) / self.ring_length, (high + far - lift.middle) / self.ring_length]
            for number in range(ceil(rounds[0]), floor(rounds[1]) + 1):
                middle = (lift.middle + number * self.ring_length - stretch.ring_from) / rate
                found.append(lift._replace(middle=middle, half=lift.half / abs(rate), run=lift.run / abs(rate)))
        return found


def tab_heights(
    ring: Track, places: Sequence[Point], tabs: Tabs, top: float, floor: float, cutter: Cutter
) -> TabHeights:
    """The heights over tabs at these places of a closed track.

    top, floor : z of the top of the tabs, and of the cut
    Every time the track passes within the cutter's radius of a place it is lifted over the same stretch. The stretch
    ends where the straight distance between its two ends is the width of wood asked for and the cutter's diameter (a
    disc at either end leaves just that between them), so on a curve or about a corner it is longer than on a straight
    run.
    Raises DoesNotFitError for a place the track does not pass at all, a curve too tight for the tab, or a
    square tab under a cutter that cannot go straight down.
    """
    if tabs.slope_deg > cutter.running.ramp_angle_deg and not cutter.centre_cutting:
        raise DoesNotFitError(
            f"{cutter} does not cut at its centre and cannot go down {tabs.slope_deg:g} degrees steep behind a tab; "
            f"take slope_deg={cutter.running.ramp_angle_deg:g} or less, or another cutter."
        )
    run, lifts, boxes = tabs.slope_run(top - floor), [], segment_bounds(ring.segments)
    for place in places:
        middles = _passes(ring, boxes, place, cutter.radius)
        if not middles:
            raise DoesNotFitError(f"The path does not come by the tab at ({place[0]:.1f}, {place[1]:.1f}).", place)
        for middle in middles:
            half = _half_flat(ring, middle, place, tabs, cutter.diameter)
            lifts.append(_Lift(middle, half, run, top, floor))
    return TabHeights(ring.length, tuple(lifts))


def _highest(heights: Sequence[tuple[float, float]], lifts: Sequence[_Lift]) -> list[tuple[float, float]]:
    """The heights, straight between their points, or those of the lifts where they are higher."""
    found: list[tuple[float, float]] = []
    for (a, za), (b, zb) in zip(heights, heights[1:]):
        if b - a <= _NOTHING:
            points = [(b, max([zb, *(lift.height(b) for lift in lifts)]))]
        else:
            points = _highest_between((a, za), (b, zb), lifts)
        for along, z in points:
            if not found or abs(found[-1][0] - along) > _NOTHING or abs(found[-1][1] - z) > _NOTHING:
                found.append((along, z))
    return found


def _highest_between(
    begin: tuple[float, float], end: tuple[float, float], lifts: Sequence[_Lift]
) -> list[tuple[float, float]]:
    """The same over one straight height: both ends of each part of it, at a jump the one height and then the other."""
    (a, za), (b, zb) = begin, end
    near = _Lifts([each for each in lifts if each.corners[0] < b and each.corners[3] > a and min(za, zb) < each.top])
    slope = (zb - za) / (b - a)
    marks = {a, b}
    for lift in near.every:
        valleys = lift.valleys(near.about(*lift.corners[1::2]))
        marks |= {mark for mark in (*lift.corners, *lift.meetings(a, za, slope), *valleys) if a < mark < b}
    found: list[tuple[float, float]] = []
    was_own = False
    for low, high in pairwise(sorted(marks)):
        if high - low <= _NOTHING:
            continue
        middle = (low + high) / 2
        highest = max(near.about(low, high), key=lambda lift: lift.height(middle), default=None)
        own = highest is None or highest.height(middle) <= za + slope * (middle - a)
        if own and was_own:
            found.pop()
        elif own:
            found.append((low, za + slope * (low - a)))
        if highest is None or own:
            found.append((high, za + slope * (high - a)))
        else:
            found += [(along, highest.height(along, middle)) for along in (low, high)]
        was_own = own
    return found


def _passes(ring: Track, boxes: Floats, place: Point, reach: float) -> list[float]:
    """Lengths along a closed track at which it comes nearest to a place, each time it comes within reach.

    boxes : (n, 4) the bounds of its segments
    """
    beside = np.maximum(boxes[:, :2] - place, place - boxes[:, 2:]).max(axis=1)
    found: list[float] = []
    for i in np.flatnonzero(beside <= reach + _NOTHING).tolist():
        segment, following = ring.segments[i], ring.segments[(i + 1) % len(ring.segments)]
        part, away = segment.nearest(place)
        # The nearest point of a segment at one of its ends is none of the track if the neighbour goes on nearer.
        if away > reach or (part <= 0 and ring.segments[i - 1].nearest(place)[0] < 1):
            continue
        if part >= 1 and following.nearest(place)[0] > 0:
            continue
        along = ring.ends[i] - (1 - part) * segment.length
        if not found or along - found[-1] > _WAVER:
            found.append(along)
    if len(found) > 1 and found[0] + ring.length - found[-1] <= _WAVER:
        found.pop()
    return found


def _half_flat(ring: Track, middle: float, place: Point, tabs: Tabs, diameter: float) -> float:
    """Half the length of track over which the cutter is lifted: its two ends are width and diameter apart."""
    wanted = tabs.width + diameter

    def apart(half: float) -> float:
        return dist(ring.at(middle - half), ring.at(middle + half))

    # On a line or an arc there is a formula; else the two ends are moved apart until they are far enough.
    segment = ring.segments[min(bisect_right(ring.ends, middle), len(ring.segments) - 1)]
    half = tabs.half_length(diameter, segment.radius)
    if abs(apart(half) - wanted) < _NOTHING:
        return half
    steps = [wanted / 2 * (1 + (pi / 2 - 1) * i / _TRIES) for i in range(_TRIES + 1)]
    far = next((half for half in steps if apart(half) >= wanted), None)
    if far is None:
        room = max(apart(wanted / 2 * pi / 2 * i / _TRIES) for i in range(_TRIES + 1)) - diameter
        raise DoesNotFitError(
            f"The path bends too tightly at ({place[0]:.1f}, {place[1]:.1f}) for a tab {tabs.width:g} mm wide: "
            + (f"{floor(room * 100) / 100:g} mm is the most there." if room > 0.01 else "there is no room for any."),
            place,
        )
    near = max(wanted / 2, far - wanted / 2 * (pi / 2 - 1) / _TRIES)
    for _ in range(_HALVINGS):
        half = (near + far) / 2
        near, far = (near, half) if apart(half) >= wanted else (half, far)
    return far
