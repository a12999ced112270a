"""Leads: on to a wall and off it again, on short arcs that touch it tangentially, over room where the axis may be.

A cutter that stands while it touches a finished wall, to go up, down or another way, rubs a mark into it.
So it comes from a little off the wall, and is as far off again before it lifts. In a slot of its own
width there is no such place: there it leaves rising along the slot, without standing. (Common practice, no source.)
"""

from __future__ import annotations

from dataclasses import dataclass
from math import acos, cos, pi, sin

import shapely
from shapely import LineString
from shapely.geometry.base import BaseGeometry

from toolpaths.base.errors import Point
from toolpaths.facts.cutter import Cutter
from toolpaths.making.motion.toolpath import Stretch, level
from toolpaths.making.operations.ring import past_its_start
from toolpaths.shapes.track import Segment, Track

# Where an arc finds no room, places farther along the wall are tried: so many, so many radii apart.
_TRIES, _STEP = 16, 0.5
# mm up for each mm along where the cutter leaves a slot.
_RISE = 1.0


def arc_off(place: Point, heading: float, left: bool, radius: float, sweep: float) -> Segment:
    """The arc that leaves a place in a direction, and bends to the left or right of it."""
    (x, y), side = place, 1 if left else -1
    centre = x - side * radius * sin(heading), y + side * radius * cos(heading)
    half = Segment((x, y), (2 * centre[0] - x, 2 * centre[1] - y), centre, side * pi)
    return half.part(0.0, sweep / pi)


def arc_on(place: Point, heading: float, left: bool, radius: float, sweep: float) -> Segment:
    """The arc that arrives at a place in a direction, out of what lies on the left or right of it."""
    return arc_off(place, heading + pi, not left, radius, sweep).reversed()


@dataclass(frozen=True, slots=True)
class Leads:
    """The arcs of one cutter beside walls.

    off : how far off the wall the arcs begin and end, mm, less than the cutter's radius; 0 for no arcs
    waste_left : whether the waste lies on the left of the travel: the wall is on the right, climb
    room : where the axis may go
    """

    cutter: Cutter
    off: float
    waste_left: bool
    room: BaseGeometry

    @property
    def ahead(self) -> float:
        """How far along the wall the arcs reach, mm."""
        return self.cutter.radius * sin(self._sweep)

    @property
    def _sweep(self) -> float:
        return acos(1 - self.off / self.cutter.radius)

    def _arc(self, track: Track, along: float, on: bool) -> tuple[Segment, ...]:
        """The arc on to a track, or off it, at a length along it; none where it has no room."""
        if self.off == 0:
            return ()
        # At its start a ring is joined as it arrives there: at a corner there is room along the side before it.
        make, heading = (arc_on, track.segments[-1].heading(1.0)) if on else (arc_off, track.heading(along))
        arc = make(track.at(along), heading, self.waste_left, self.cutter.radius, self._sweep)
        shares = (0.75, 0.5, 0.25, 0.0) if on else (0.25, 0.5, 0.75, 1.0)
        return (arc,) if shapely.covers(self.room, LineString([arc.at(share) for share in shares])) else ()

    def round(self, ring: Track) -> Round:
        """Once round a closed track, on to it near its start and off it past its end, where there arcs have room."""
        begun, on = ring, tuple[Segment, ...]()
        for i in range(_TRIES):
            later = ring.starting_at(i * _STEP * self.cutter.radius)
            if on := self._arc(later, 0.0, on=True):
                begun = later
                break
        past = past_its_start(begun)
        for i in range(_TRIES):
            end = past + i * _STEP * self.cutter.radius
            if off := self._arc(begun, end, on=False):
                return Round(begun, on, end, off, self.room)
        return Round(begun, on, past, (), self.room)


@dataclass(frozen=True, slots=True)
class Round:
    """Once round a closed track and a little over its beginning, with the arcs on to it and off it; () for none.

    end : length along the ring at which it is left
    room : where the axis may go beside it
    """

    ring: Track
    on: tuple[Segment, ...]
    end: float
    off: tuple[Segment, ...]
    room: BaseGeometry

    @property
    def begin(self) -> Point:
        """Where the cutter stands before it."""
        return self.on[0].start if self.on else self.ring.start

    @property
    def before(self) -> float:
        """mm of the arc on to the ring."""
        return sum(arc.length for arc in self.on)

    def at(self, z: float) -> Stretch:
        """All of it at one height."""
        track = Track((*self.on, *self.ring.between(0.0, self.end), *self.off), False)
        return level(track, z, ring_from=-self.before)

    def back(self, z: float) -> Stretch:
        """From its end to where it begins: straight where there is room, else over the arcs and what lies between."""
        over = Track((*self.on, *self.ring.between(self.ring.length, self.end), *self.off), False).reversed()
        reached = self.end + sum(arc.length for arc in self.off)
        if is_open(self.room, over.start, self.begin):
            return straight(over.start, self.begin, z, reached, self.ring.length - self.before)
        return level(over, z, ring_from=reached, ring_rate=-1.0)


def is_open(room: BaseGeometry, begin: Point, end: Point) -> bool:
    """Whether the axis may go straight from one place to another."""
    return bool(shapely.covers(room, LineString([begin, end])))


def straight(begin: Point, end: Point, z: float, ring_from: float, ring_to: float) -> Stretch:
    """Straight from one place to another beside a ring, from a length along it to another."""
    track = Track((Segment(begin, end),), False)
    return level(track, z, ring_from, (ring_to - ring_from) / track.length)


def rise(ring: Track, along: float, z: float, above: float) -> Stretch:
    """Up from z along a closed track that is cut already, from a length along it."""
    return Stretch(ring, ((along, z), (along + (above - z) / _RISE, above)))
