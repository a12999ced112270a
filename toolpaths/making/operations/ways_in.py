"""Where a cutter goes in beside or along a stroke, as seen from above; `entry` holds how it goes down there.

It comes onto the stroke in the stroke's direction wherever there is room: a helix touches the stroke, and beside wood
that was cut before the cutter comes down in air and onto the stroke on an arc.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import dist, pi

import numpy as np
import shapely
from shapely import Point
from shapely.ops import nearest_points

from toolpaths.base.errors import DoesNotFitError
from toolpaths.base.errors import Point as Place
from toolpaths.facts.cutter import Cutter
from toolpaths.making.operations import entry as entries
from toolpaths.making.operations import ring as rounds
from toolpaths.making.operations.clearing import Region
from toolpaths.making.operations.courses import Stroke
from toolpaths.shapes.track import Segment, Track, circle_track

# From air into the wood at most so many diameters of slot.
_LONGEST_SLOT = 1.5
# From a helix that does not touch its stroke at most so many diameters.
_LONGEST_LINK = 3.0
# Places at which a helix beside a closed stroke is tried.
_PLACES = 24
# A helix keeps so many radii off a wall that it stands beside.
_OFF_WALL = 0.1


@dataclass(frozen=True, slots=True, eq=False)
class WayIn:
    """kind : "sure", by rapid down at `start`, where earlier toolpaths took the wood; "air", at feed; "helix", down
        this circle; "along", down along the stroke itself
    lead : from there onto the stroke
    """

    kind: str
    start: Place
    helix: Track | None = None
    lead: tuple[Segment, ...] = ()


def way_in(stroke: Stroke, region: Region, cutter: Cutter, entry: str) -> tuple[WayIn, Track]:
    """The way into a stroke, and the stroke begun where it leads.

    Raises DoesNotFitError where a helix is wanted and finds no room, and where no way down is wide enough.
    """
    track = stroke.track
    if entry == "auto" and not region.air.is_empty:
        found = _through_air(track, region)
        if found is not None:
            return found
    if entry in ("auto", "helix"):
        found = _beside(stroke, region, cutter) or _widest(stroke, region, cutter)
        if found is not None:
            return found
    if entry != "plunge":
        entries.check_way_along(cutter, track)
    if entry == "helix":
        raise DoesNotFitError(f"A helix finds no room for {cutter} in the pocket; use entry='ramp'.", track.start)
    begun = rounds.begin_on_longest(track) if track.closed else track
    return WayIn("along", begun.start), begun


def _through_air(track: Track, region: Region) -> tuple[WayIn, Track] | None:
    begun = rounds.begun(track, rounds.near(region.air, track.start))
    if lead := region.leads.arc_on(begun.start, begun.segments[0].heading(0.0), region.air):
        return _down(lead[0].start, lead, region), begun
    near = nearest_points(region.air, Point(begun.start))[0]
    start = (near.x, near.y)
    begun = rounds.begun(track, start)
    lead = (Segment(start, begun.start),) if dist(start, begun.start) > 1e-9 else ()
    if sum(segment.length for segment in lead) > _LONGEST_SLOT * 2 * region.radius or not region.inside(lead):
        return None
    return _down(start, lead, region), begun


def _down(start: Place, lead: tuple[Segment, ...], region: Region) -> WayIn:
    kind = "sure" if shapely.covers(region.sure, Point(start)) else "air"
    return WayIn(kind, start, lead=lead)


def _beside(stroke: Stroke, region: Region, cutter: Cutter) -> tuple[WayIn, Track] | None:
    """A helix that touches a closed stroke from within, as wide as can be, where the stroke is straightest."""
    track = stroke.track
    if not track.closed:
        return None
    spots = rounds.middles(track)[:_PLACES]
    spots += [i * track.length / _PLACES for i in range(_PLACES)]
    turn = 1 if region.climb else -1
    off = _OFF_WALL * cutter.radius if stroke.wall else 0.0
    places = np.array([track.at(along) for along in spots])
    side = np.array([track.heading(along) for along in spots]) + turn * pi / 2
    inward = np.column_stack([np.cos(side), np.sin(side)])
    for radius in entries.helix_radii(cutter):
        centres = places + (radius + off) * inward
        good = shapely.contains_xy(region.centres, centres) & (
            shapely.distance(region.centres.boundary, shapely.points(centres)) >= radius - region.tolerance
        )
        if not good.any():
            continue
        spot = int(np.argmax(good))
        centre = (float(centres[spot][0]), float(centres[spot][1]))
        helix = circle_track(centre, radius, turn < 0, float(side[spot]) + pi)
        if not off:
            return WayIn("helix", helix.start, helix), track.starting_at(spots[spot])
        lead = region.leads.link(helix.segments[-1], track, spots[spot])
        if lead is not None:
            return WayIn("helix", helix.start, helix, lead[0]), lead[1]
    return None


def _widest(stroke: Stroke, region: Region, cutter: Cutter) -> tuple[WayIn, Track] | None:
    """A helix in the widest place inside the stroke, if there is room and an open way from it."""
    circle = shapely.maximum_inscribed_circle(stroke.inside, cutter.radius / 20)
    middle = Point(circle.coords[0])
    room = shapely.distance(middle, region.centres.boundary)
    helix = entries.helix_track(cutter, (middle.x, middle.y), room, clockwise=not region.climb)
    if helix is None:
        return None
    along, far = rounds.reached(stroke.track, helix.start)
    if far > _LONGEST_LINK * cutter.diameter:
        return None
    lead = region.leads.link(helix.segments[-1], stroke.track, along)
    return None if lead is None else (WayIn("helix", helix.start, helix, lead[0]), lead[1])
