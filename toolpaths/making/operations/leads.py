"""Ways on to a wall and off it again: short arcs that touch it tangentially, on the side of the waste.

A cutter that stands while it touches a finished wall, to go up, down or another way, rubs a mark into it.
So it comes from a little off the wall, and is as far off again before it lifts. In a slot of its own
width there is no such place: there it leaves rising along the slot, without standing. (Common practice, no source.)
"""

from __future__ import annotations

from dataclasses import dataclass
from math import acos, cos, pi, sin

import shapely
from shapely.geometry.base import BaseGeometry

from toolpaths.base.errors import Point
from toolpaths.facts.cutter import Cutter
from toolpaths.making.motion.toolpath import PathBuilder
from toolpaths.making.operations.ring import past_its_start
from toolpaths.shapes.track import Segment, Track

# Where an arc finds no room, places farther along the wall are tried: so many, so many radii apart.
_TRIES, _STEP = 16, 0.5
# mm up for each mm along where the cutter leaves a slot.
_RISE = 1.0


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
        return self.cutter.radius * sin(self._turn)

    @property
    def _turn(self) -> float:
        return acos(1 - self.off / self.cutter.radius)

    def _off(self, track: Track, along: float) -> Segment | None:
        """The arc that leaves a track at a length along it; None where it has no room."""
        return self._arc(track, along, self.waste_left)

    def _into(self, track: Track) -> Segment | None:
        """The arc that joins a closed track at its start; None where it has no room."""
        arc = self._arc(track.reversed(), 0.0, not self.waste_left)
        return arc and arc.reversed()

    def _arc(self, track: Track, along: float, left: bool) -> Segment | None:
        if self.off == 0:
            return None
        radius, side = self.cutter.radius, 1 if left else -1
        (x, y), heading = track.at(along), track.heading(along)
        centre = x - side * radius * sin(heading), y + side * radius * cos(heading)
        half = Segment((x, y), (2 * centre[0] - x, 2 * centre[1] - y), centre, side * pi)
        arc = half.part(0.0, self._turn / pi)
        way = shapely.LineString([arc.at(share) for share in (0.25, 0.5, 0.75, 1.0)])
        return arc if shapely.covers(self.room, way) else None

    def begun(self, track: Track) -> tuple[Track, Point]:
        """A closed track begun where an arc on to it has room, near its start if there is such a place; and where
        that arc, or else the track, begins."""
        for i in range(_TRIES):
            later = track.starting_at(i * _STEP * self.cutter.radius)
            if arc := self._into(later):
                return later, arc.start
        return track, track.start

    def round(self, builder: PathBuilder, begun: Track, z: float) -> None:
        """On to a track from `begun`, once round it at z, and off it past its end, where an arc has room.

        The cutter stands at z where the way on to it begins.
        """
        if arc := self._into(begun):
            builder.segments((arc,), z)
        end = past_its_start(begun)
        builder.follow(begun, [(0.0, z), (end, z)])
        for i in range(_TRIES):
            farther = end + i * _STEP * self.cutter.radius
            if arc := self._off(begun, farther):
                builder.follow(begun, [(end, z), (farther, z)])
                builder.segments((arc,), z)
                return


def rise(builder: PathBuilder, track: Track, along: float, z: float) -> None:
    """Up to z along a closed track that is cut already, from a length along it where the cutter stands."""
    builder.follow(track, [(along, builder.z), (along + (z - builder.z) / _RISE, z)])
