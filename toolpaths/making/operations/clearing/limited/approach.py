"""How the cutter comes to a track through room without wood: at feed, back by rapid a little higher, or lifted over."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from math import dist

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from toolpaths.base.checks import Floats
from toolpaths.base.errors import Point
from toolpaths.making.operations.clearing.limited.discs import Discs
from toolpaths.making.operations.operation import AIR
from toolpaths.shapes.track import Track

# Radii: a return no longer is made at feed.
_SHORT = 0.2
# Ways looked at in one go: so few, one after the other, lie near few discs.
_AT_ONCE = 32


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

    def strokes(self, tracks: list[Track], known: list[int], cleared: Discs, here: Point) -> list[Stroke]:
        """The tracks, each with the way to it from the end of the one before.

        known : of each track, how many of the discs are cleared before it
        here : a place in the free room
        """
        if not tracks:
            return []
        found = [self._first(tracks[0], here)]
        if len(tracks) == 1:
            return found
        ends = [track.segments[-1] for track in tracks[:-1]]
        heres, starts = np.array([end.end for end in ends]), np.array([track.start for track in tracks[1:]])
        offs = self._aside(heres, np.array([end.heading(1.0) for end in ends]))
        ons = self._aside(starts, np.array([track.segments[0].heading(0.0) for track in tracks[1:]]))
        straight = shapely.covers(self._quiet, shapely.linestrings(np.stack([offs, ons], axis=1)))
        quiet = shapely.contains_xy(self._quiet, ons)
        for first in range(0, len(ends), _AT_ONCE):
            some = slice(first, first + _AT_ONCE)
            places = np.vstack([heres[some], starts[some], offs[some], ons[some]])
            about = cleared.about(places.min(axis=0), places.max(axis=0))
            if not len(about):
                about = np.arange(1)
            there, near_by = about < np.array(known[1:][some])[:, None], cleared.of(about)
            at_here, at_start, at_off, at_on = (
                np.where(there, near_by.depths(places[some]), -np.inf) for places in (heres, starts, offs, ons)
            )
            deep = np.minimum(at_here, at_start).max(axis=1) > -1e-3
            clear = straight[some] | (np.minimum(at_off, at_on).max(axis=1) >= AIR)
            free = quiet[some] | (at_on.max(axis=1) >= AIR)
            near = deep & (np.hypot(*(heres[some] - starts[some]).T) < _SHORT * self.radius) & ~straight[some]
            for i, track in enumerate(tracks[1:][some]):
                start, off, on = track.start, _point(offs[first + i]), _point(ons[first + i])
                if clear[i] and not near[i]:
                    found.append(Stroke(track, (off, on, start), "rapid"))
                elif deep[i]:
                    found.append(Stroke(track, (start,), "level"))
                else:
                    found.append(Stroke(track, (on if free[i] else start, start), "lifted"))
        return found

    def _first(self, track: Track, here: Point) -> Stroke:
        start = track.start
        on = _point(self._aside(np.array([start]), np.array([track.segments[0].heading(0.0)]))[0])
        if dist(here, start) > _SHORT * self.radius and shapely.contains_xy(self._quiet, *on):
            return Stroke(track, (on, start), "lifted")
        if shapely.covers(self.free, shapely.linestrings([here, start])) or dist(here, start) < 1e-3:
            return Stroke(track, (start,), "level")
        return Stroke(track, (start,), "lifted")

    def _aside(self, places: Floats, headings: Floats) -> Floats:
        """(n, 2) places off the wood."""
        off = (1.0 if self.climb else -1.0) * 2 * AIR
        aside: Floats = places + off * np.column_stack([-np.sin(headings), np.cos(headings)])
        return aside


def _point(place: Floats) -> Point:
    x, y = place.tolist()
    return x, y
