"""Leads: on to a track and off it, over room where the axis may be, so that no cutter stands still at a wall.

A cutter that stands while it touches a finished wall, to go up, down or another way, rubs a mark into it.
So it comes from a little off the wall, on an arc that touches it, and is as far off again before it lifts. In a slot
of its own width there is no such place: there it leaves rising along the slot, without standing. (Common practice, no
source.)
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import acos, ceil, cos, dist, pi, sin, sqrt
from typing import NamedTuple

import shapely
from shapely.geometry.base import BaseGeometry

from toolpaths.base.errors import Point
from toolpaths.making.motion.toolpath import Stretch, level
from toolpaths.making.operations.rings import past_its_start
from toolpaths.shapes.biarc import biarc
from toolpaths.shapes.track import Segment, Track


class Bend(NamedTuple):
    """An arc, by its radius as a share of the cutter's, and its sweep in radians."""

    share: float
    sweep: float


# Arcs on to a track and off it where an area is cleared, tried in this order.
_ON = (Bend(0.5, pi / 3), Bend(0.5, pi / 2), Bend(1.0, pi / 2), Bend(0.25, pi / 3))
_OFF = (Bend(0.5, pi / 2), Bend(0.25, pi / 2))
# Bends of links, as shares of the cutter's radius: the widest that fits is taken, else the link has corners; and the
# tightest of them.
_LINK_BENDS = (1.0, 0.6, 0.35)
_TIGHTEST = 0.3
# Where an arc finds no room, places farther along the wall are tried: so many, so many radii apart.
_TRIES, _STEP = 16, 0.5
# mm up for each mm along where the cutter leaves a slot.
_RISE = 1.0
# Chords of an arc, a turn, when asking whether it lies in the room.
_CHORDS = 48


def within(room: BaseGeometry, segments: Sequence[Segment]) -> bool:
    """Whether the axis may go along segments end to end."""
    points = [segments[0].start] if segments else []
    for segment in segments:
        count = ceil(_CHORDS * abs(segment.sweep) / (2 * pi))
        points += [segment.at(i / count) for i in range(1, count)]
        points.append(segment.end)
    return len(points) < 2 or bool(shapely.covers(room, shapely.linestrings(points)))


@dataclass(frozen=True, slots=True, eq=False)
class Leads:
    """How a cutter comes on to tracks and leaves them, out of the side on which the room lies.

    radius : of the cutter
    room_left : whether the room lies on the left of the travel: the wall is on the right, climb
    room : where the axis may go
    on, off : the arcs that are tried, in this order; none where it goes straight on to the track
    """

    radius: float
    room_left: bool
    room: BaseGeometry
    on: tuple[Bend, ...] = _ON
    off: tuple[Bend, ...] = _OFF

    def starting_off(self, away: float) -> Leads:
        """These leads with an arc of the cutter's own radius, which begins and ends so many mm off the track; 0 for
        none."""
        bends = (Bend(1.0, acos(1 - away / self.radius)),) if away else ()
        return replace(self, on=bends, off=bends)

    @property
    def ahead(self) -> float:
        """How far along the track the first arc reaches, mm."""
        return self.radius * self.on[0].share * sin(self.on[0].sweep)

    def arc_on(self, place: Point, heading: float, ground: BaseGeometry | None = None) -> tuple[Segment, ...]:
        """The first arc with room that arrives at a place in a direction; none if there is none.

        ground : where it has to begin; anywhere unless given
        """
        for bend in self.on:
            arc = self._arc(place, heading + pi, not self.room_left, bend).reversed()
            if (ground is None or shapely.covers(ground, shapely.Point(arc.start))) and within(self.room, (arc,)):
                return (arc,)
        return ()

    def arc_off(self, place: Point, heading: float, ground: BaseGeometry | None = None) -> tuple[Segment, ...]:
        """The first arc with room that leaves a place in a direction; none if there is none.

        ground : where it has to end; anywhere unless given
        """
        for bend in self.off:
            arc = self._arc(place, heading, self.room_left, bend)
            if (ground is None or shapely.covers(ground, shapely.Point(arc.end))) and within(self.room, (arc,)):
                return (arc,)
        return ()

    def _arc(self, place: Point, heading: float, left: bool, bend: Bend) -> Segment:
        """The arc that leaves a place in a direction, and bends to the left or right of it."""
        (x, y), side, radius = place, 1 if left else -1, bend.share * self.radius
        centre = x - side * radius * sin(heading), y + side * radius * cos(heading)
        half = Segment((x, y), (2 * centre[0] - x, 2 * centre[1] - y), centre, side * pi)
        return half.part(0.0, bend.sweep / pi)

    def link(self, last: Segment, track: Track, along: float) -> tuple[tuple[Segment, ...], Track] | None:
        """A short link from the end of a segment to a track, on two bends where they fit, else straight, and the track
        begun where it arrives: a closed one at `along` or a little after. None where the link leaves the room."""
        straight = track.starting_at(along) if track.closed else track
        far = dist(straight.start, last.end)
        for share in _LINK_BENDS if track.closed else (0.0,):
            begun, radius = straight, share * self.radius
            if track.closed:
                # Two arcs of radius q carry the axis over by s within sqrt(s (4 q - s)) of travel.
                ahead = sqrt(far * (4 * radius - far)) if far < 4 * radius else 2 * radius
                if ahead > track.length / 2:
                    continue
                begun = track.starting_at((along + ahead) % track.length)
            bends = biarc(last.end, last.heading(1.0), begun.start, begun.segments[0].heading(0.0))
            if bends is None:
                continue
            tight = min((segment.radius for segment in bends), default=0.0) < _TIGHTEST * self.radius
            long = sum(segment.length for segment in bends) > 2 * far + 2 * self.radius
            if not tight and not long and within(self.room, bends):
                return bends, begun
        direct = (Segment(last.end, straight.start),) if far > 1e-9 else ()
        return (direct, straight) if within(self.room, direct) else None

    def round(self, ring: Track) -> Round:
        """Once round a closed track, on to it near its start and off it past its end, where there arcs have room."""
        begun, on = ring, tuple[Segment, ...]()
        for i in range(_TRIES):
            later = ring.starting_at(i * _STEP * self.radius)
            # Joined as the ring itself arrives there: at a corner there is room along the side before it.
            if on := self.arc_on(later.start, later.segments[-1].heading(1.0)):
                begun = later
                break
        past = past_its_start(begun)
        for i in range(_TRIES):
            end = past + i * _STEP * self.radius
            if off := self.arc_off(begun.at(end), begun.heading(end)):
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
        if within(self.room, (Segment(over.start, self.begin),)):
            return straight(over.start, self.begin, z, reached, self.ring.length - self.before)
        return level(over, z, ring_from=reached, ring_rate=-1.0)


def straight(begin: Point, end: Point, z: float, ring_from: float, ring_to: float) -> Stretch:
    """Straight from one place to another beside a ring, from a length along it to another."""
    track = Track((Segment(begin, end),), False)
    return level(track, z, ring_from, (ring_to - ring_from) / track.length)


def rising_off(ring: Track, along: float, z: float, above: float) -> Stretch:
    """Up from z along a closed track that is cut already, from a length along it."""
    return Stretch(ring, ((along, z), (along + (above - z) / _RISE, above)))
