"""Arcs on which a cutter comes onto a path, and leaves it, so that it never stands still at a wall."""

from __future__ import annotations

from collections.abc import Iterator
from math import cos, pi, sin

from toolpaths.making.operations.clearing import Region
from toolpaths.shapes.track import Segment, Track

# Radii, as shares of the cutter's, and angles of arcs onto a path, and off it.
_ONTO = ((0.5, pi / 3), (0.5, pi / 2), (1.0, pi / 2), (0.25, pi / 3))
_OFF = (0.5, 0.25)


def arcs_onto(track: Track, region: Region) -> Iterator[Segment]:
    """Arcs that end at the start of a track in its direction, out of the side on which the room lies."""
    (x, y), heading = track.start, track.segments[0].heading(0.0)
    turn = 1 if region.climb else -1
    side = heading + turn * pi / 2
    for share, sweep in _ONTO:
        radius = share * region.radius
        centre = (x + radius * cos(side), y + radius * sin(side))
        back = side + pi - turn * sweep
        start = (centre[0] + radius * cos(back), centre[1] + radius * sin(back))
        yield Segment(start, (x, y), centre, turn * sweep)


def arc_off(last: Segment, region: Region) -> tuple[Segment, ...]:
    """An arc that leaves the end of a segment in its direction, to the side on which the room lies; none if no room."""
    turn = pi / 2 if region.climb else -pi / 2
    heading = last.heading(1.0)
    side = heading + turn
    for share in _OFF:
        radius = share * region.radius
        centre = (last.end[0] + radius * cos(side), last.end[1] + radius * sin(side))
        end = (centre[0] + radius * cos(heading), centre[1] + radius * sin(heading))
        arc = Segment(last.end, end, centre, turn)
        if region.inside((arc,)):
            return (arc,)
    return ()
