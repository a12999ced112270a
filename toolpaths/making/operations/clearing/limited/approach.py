"""How the cutter comes to a track through room without wood: at feed, back by rapid a little higher, or lifted over."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from math import cos, dist, sin

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from toolpaths.base.errors import Point
from toolpaths.making.operations.clearing.limited.disc_order import Discs
from toolpaths.making.operations.operation import AIR
from toolpaths.shapes.track import Track

# Radii: a return no longer is made at feed.
_SHORT = 0.2


@dataclass(frozen=True, slots=True)
class Stroke:
    """One track of the cutter, and the places on the way to its start, through room without wood.

    kind : "level" at feed; "rapid" by a rise to the first place, by rapid to the last but one, and down to the last;
        "lifted" by a lift to above the first place, where the cutter meets no wood on its way down
    """

    track: Track
    approach: tuple[Point, ...]
    kind: str


@dataclass(frozen=True, eq=False)
class Approaches:
    """Ways to tracks.

    free : where the axis meets no wood before the first of them
    radius : of the cutter
    climb : whether the wood is on the right of the travel
    """

    free: BaseGeometry
    radius: float
    climb: bool

    @cached_property
    def _quiet(self) -> BaseGeometry:
        """Where the cutter touches no wood at all."""
        quiet = shapely.buffer(self.free, -AIR, quad_segs=4)
        shapely.prepare(quiet)
        return quiet

    def to_first(self, track: Track, here: Point) -> Stroke:
        """The first track, from a place in the free room."""
        start = track.start
        if shapely.covers(self.free, shapely.linestrings([here, start])) or dist(here, start) < 1e-3:
            return Stroke(track, (start,), "level")
        return Stroke(track, (start,), "lifted")

    def to_next(self, track: Track, before: Track, cleared: Discs) -> Stroke:
        """A track, from the end of the one before."""
        here, start = before.segments[-1].end, track.start
        off = self._aside(here, before.segments[-1].heading(1.0))
        on = self._aside(start, track.segments[0].heading(0.0))
        if shapely.covers(self._quiet, shapely.linestrings([off, on])):
            return Stroke(track, (off, on, start), "rapid")
        deep = np.minimum(cleared.depth(np.array(here)), cleared.depth(np.array(start))).max() > -1e-3
        if deep and dist(here, start) < _SHORT * self.radius:
            return Stroke(track, (start,), "level")
        if np.minimum(cleared.depth(np.array(off)), cleared.depth(np.array(on))).max() >= AIR:
            return Stroke(track, (off, on, start), "rapid")
        if deep:
            return Stroke(track, (start,), "level")
        free = cleared.depth(np.array(on)).max() >= AIR or shapely.contains_xy(self._quiet, *on)
        return Stroke(track, (on if free else start, start), "lifted")

    def _aside(self, place: Point, heading: float) -> Point:
        """A place off the wood."""
        off = (1.0 if self.climb else -1.0) * 2 * AIR
        return place[0] - off * sin(heading), place[1] + off * cos(heading)
