"""The strokes that clear an area with limited engagement, and how the cutter comes from each to the next.

Where there is room it rises a little and goes back by rapid over what is cleared; a short way it goes at feed.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, dist, sin

import numpy as np
import shapely
from shapely import Polygon
from shapely.geometry.base import BaseGeometry

from toolpaths.base.errors import DoesNotFitError, Point
from toolpaths.making.operations.clearing.limited.cuts import cuts_of
from toolpaths.making.operations.clearing.limited.fronts import deep
from toolpaths.making.operations.clearing.limited.growth import Growth, growth
from toolpaths.making.operations.clearing.shortest_path import shortest_path
from toolpaths.making.operations.operation import AIR
from toolpaths.shapes import arc_fit
from toolpaths.shapes.tolerance_shares import FIT
from toolpaths.shapes.track import Track

# Deeper than this share of the tolerance, what is left in a corner is an error.
_TOO_DEEP = 5.0
# Radii: a way back no longer than the first is gone at feed; one round corners longer than the second is lifted over.
_SHORT, _LONGEST = 1.0, 12.0
# Of the radius: how roughly ways back look at what is cleared.
_ROUGH = 0.01
# The cutter leaves wood and walls for a rapid by so many times the room that it must have.
_OFF = 2.0


@dataclass(frozen=True, slots=True)
class Stroke:
    """One track of the cutter, and the places on the way to its start, through room without wood.

    kind : "level" at feed; "rapid" by a rise to the first place, by rapid to the last but one, and down to the last;
        "lifted" by a lift to above the first place, where the cutter meets no wood on its way down
    """

    track: Track
    approach: tuple[Point, ...]
    kind: str


def strokes(
    centres: Polygon,
    free: BaseGeometry,
    here: Point,
    *,
    radius: float,
    limit_deg: float,
    widest: float,
    climb: bool,
    tolerance: float,
) -> list[Stroke]:
    """What clears `centres`, where the cutter's axis may be, when it meets no wood in `free`, in order.

    here : where the axis is at first, in `free`
    widest : mm from front to front at most, up to the radius of what cuts level, or wood would be left between them
    climb : whether the wood is on the right of the travel
    Raises DoesNotFitError where the limit cannot be kept.
    """
    grown = growth(centres, free, radius, limit_deg, widest, tolerance)
    left = deep(centres, grown.free, _TOO_DEEP * tolerance)
    if left:
        at = left[0].representative_point()
        raise DoesNotFitError(
            f"The limit of engagement cannot be kept near ({at.x:.1f}, {at.y:.1f}); take a finer cutter there, or "
            "engagement_deg=180.",
            (at.x, at.y),
        )
    if not grown.fronts:
        return []
    ground = _Ground(centres, grown, radius, tolerance)
    done = np.zeros(len(grown.fronts), bool)
    found: list[Stroke] = []
    aside = 1.0 if climb else -1.0
    before: Track | None = None
    for cut in cuts_of(grown.fronts, here, radius, climb):
        track = arc_fit.fit(cut.points, False, grown.fronts[cut.front].discs.fine * FIT)
        found.append(ground.joined(before, here, track, aside, ~done))
        before, here = track, track.segments[-1].end
        done[cut.front] |= cut.last
    return found


def _beside(place: Point, heading: float, aside: float) -> Point:
    """A place off the wood."""
    off = aside * _OFF * AIR
    return place[0] - off * sin(heading), place[1] + off * cos(heading)


class _Ground:
    """What is free by and by: all of the room but what belongs to fronts that are not cut yet."""

    def __init__(self, centres: Polygon, grown: Growth, radius: float, tolerance: float) -> None:
        self.radius, self.tolerance = radius, tolerance
        self.whole = shapely.buffer(centres, tolerance / 2, quad_segs=2)
        self.quiet = shapely.buffer(centres, -AIR, quad_segs=4)
        shapely.prepare(self.whole)
        shapely.prepare(self.quiet)
        rooms = np.array([front.room for front in grown.fronts])
        # Rooms reach a few hairs into what was free before them.
        wood = shapely.buffer(rooms, [-4 * front.discs.hair for front in grown.fronts], quad_segs=2)
        closed = np.array(grown.closed)
        slim = shapely.simplify(wood, min(_ROUGH * radius, AIR / 4))
        wood = np.where(shapely.is_valid(slim), slim, wood)
        by, piece = shapely.STRtree(closed).query(rooms, "dwithin", 2 * radius)
        self.wood = np.concatenate([wood, closed[piece]])
        self.front = np.concatenate([np.arange(len(wood)), by])
        self.tree = shapely.STRtree(self.wood)

    def joined(self, before: Track | None, here: Point, track: Track, aside: float, uncut: np.ndarray) -> Stroke:
        """A stroke, and how to come to it when wood stands in the rooms of some fronts."""
        short = dist(here, track.start) <= _SHORT * self.radius
        if short and self._free(here, track.start, uncut):
            return Stroke(track, (track.start,), "level")
        if before is not None:
            last = before.segments[-1]
            off = _beside(last.end, last.heading(1.0), aside)
            on = _beside(track.start, track.segments[0].heading(0.0), aside)
            if path := self._quiet_path(off, on, uncut):
                return Stroke(track, (off, *path, track.start), "rapid")
        if self._free(here, track.start, uncut):
            return Stroke(track, (track.start,), "level")
        ground = self._cleared(self.whole, 0.0, here, track.start, uncut)
        found = shortest_path(ground, here, track.start, _LONGEST * self.radius, self.tolerance / 2)
        if found is not None:
            return Stroke(track, found, "level")
        # Down beside the wall, not along it, where there is room for that.
        roomy = shapely.buffer(ground, -AIR, quad_segs=2)
        start = shapely.Point(track.start)
        near = shapely.shortest_line(roomy if not roomy.is_empty else start, start)
        down = shapely.get_coordinates(near)[0]
        return Stroke(track, ((float(down[0]), float(down[1])), track.start), "lifted")

    def _free(self, here: Point, there: Point, uncut: np.ndarray) -> bool:
        line = shapely.linestrings([here, there])
        return bool(shapely.covers(self.whole, line)) and not len(self._wood(line, 0.0, uncut))

    def _quiet_path(self, off: Point, on: Point, uncut: np.ndarray) -> tuple[Point, ...]:
        """Places of a path that keeps off walls and wood; none where there is none so short."""
        line = shapely.linestrings([off, on])
        if not shapely.covers(self.quiet, shapely.points([off, on])).all():
            return ()
        if shapely.covers(self.quiet, line) and not len(self._wood(line, AIR, uncut)):
            return (on,)
        if dist(off, on) > _LONGEST * self.radius:
            return ()
        ground = shapely.simplify(self._cleared(self.quiet, AIR, off, on, uncut), _ROUGH * self.radius)
        return shortest_path(ground, off, on, _LONGEST * self.radius, 0.0) or ()

    def _wood(self, about: BaseGeometry, apart: float, uncut: np.ndarray) -> np.ndarray:
        """What stands nearer than so much."""
        near = self.tree.query(about, "dwithin", apart) if apart else self.tree.query(about, "intersects")
        found: np.ndarray = self.wood[near[uncut[self.front[near]]]]
        return found

    def _cleared(self, room: BaseGeometry, apart: float, here: Point, there: Point, uncut: np.ndarray) -> BaseGeometry:
        """What is free of a room by now, so far from wood, where a path from here to there may lead."""
        window = shapely.box(*shapely.buffer(shapely.linestrings([here, there]), _LONGEST * self.radius / 2).bounds)
        wood = shapely.buffer(self._wood(window, 0.0, uncut), apart, quad_segs=2)
        return shapely.difference(shapely.intersection(room, window), shapely.union_all(wood))
