"""Where a section of a course is entered, as seen from above; `entries` holds how the cutter goes down there.

It comes on to the leg in the leg's direction wherever there is room: a helix touches the leg, and beside wood
that was cut before the cutter comes down in air and on to the leg on an arc.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import atan2, cos, dist, pi, sin
from typing import Literal

import numpy as np
import shapely
from shapely import LineString
from shapely.ops import nearest_points

from toolpaths.base.errors import DoesNotFitError, Point
from toolpaths.facts.cutter import Cutter
from toolpaths.making.operations import entries, rings
from toolpaths.making.operations.clearing.loop_order import Leg
from toolpaths.making.operations.clearing.loops import Room
from toolpaths.making.operations.entries import AreaEntry
from toolpaths.shapes import offset
from toolpaths.shapes.track import Segment, Track, circle_track

# From air into the wood at most so many diameters of slot.
_LONGEST_SLOT = 1.5
# From a helix that does not touch its leg at most so many diameters.
_LONGEST_LINK = 3.0
# Places at which a helix beside a closed leg is tried.
_PLACES = 24
# A helix keeps so many radii off a wall that it stands beside.
_OFF_WALL = 0.1
# Diameters and directions of strokes to and fro that are tried, and mm within which places are one.
_LONGEST_STROKE, _DIRECTIONS, _NOTHING = 2.0, 24, 1e-6


@dataclass(frozen=True, slots=True, eq=False)
class SectionEntry:
    """How a section is entered.

    kind : "known air", by rapid down at `start`, where earlier toolpaths took the wood; "air", at feed; "helix", down
        this circle; "along", down along the leg itself; "stroke", to and fro along this line, which ends where the leg
        begins
    lead : from there on to the leg
    """

    kind: Literal["known air", "air", "helix", "along", "stroke"]
    start: Point
    helix: Track | None = None
    lead: tuple[Segment, ...] = ()
    stroke: Track | None = None

    @property
    def into_wood(self) -> bool:
        """Whether the cutter cuts its way down."""
        return self.kind in ("helix", "along", "stroke")


def entry_into(leg: Leg, room: Room, cutter: Cutter, entry: AreaEntry) -> tuple[SectionEntry, Track]:
    """The entry into a leg, and the leg begun where it leads.

    Raises DoesNotFitError where a helix is wanted and finds no room, and where no way down is wide enough.
    """
    track = leg.track
    if entry == "auto" and not room.air.is_empty:
        found = _through_air(track, room)
        if found is not None:
            return found
    if entry in ("auto", "helix") and not leg.slot:
        found = _helix_touching(leg, room, cutter) or _widest_helix(leg, room, cutter)
        if found is not None:
            return found
    if entry == "auto" and entries.too_short(cutter, track):
        found = _nearest_helix(leg, room, cutter) or _longest_stroke(leg, room, cutter)
        if found is not None:
            return found
    if entry != "plunge":
        entries.check_room_along(cutter, track)
    if entry == "helix":
        raise DoesNotFitError(f"A helix finds no room for {cutter} in the pocket; use entry='ramp'.", track.start)
    begun = rings.begin_on_longest(track) if track.closed else track
    return SectionEntry("along", begun.start), begun


def through_known_air(leg: Leg, room: Room) -> tuple[SectionEntry, Track] | None:
    """The entry into a leg by rapid, where earlier toolpaths took the wood beside it; None where they did not."""
    found = None if room.known_air.is_empty else _through_air(leg.track, room)
    return found if found is not None and found[0].kind == "known air" else None


def _through_air(track: Track, room: Room) -> tuple[SectionEntry, Track] | None:
    begun = rings.begun(track, rings.near(room.air, track.start))
    if lead := room.leads.arc_on(begun.start, begun.segments[0].heading(0.0), room.air):
        return _down(lead[0].start, lead, room), begun
    near = nearest_points(room.air, shapely.Point(begun.start))[0]
    start = (near.x, near.y)
    begun = rings.begun(track, start)
    lead = (Segment(start, begun.start),) if dist(start, begun.start) > 1e-9 else ()
    if sum(segment.length for segment in lead) > _LONGEST_SLOT * 2 * room.radius or not room.inside(lead):
        return None
    return _down(start, lead, room), begun


def _down(start: Point, lead: tuple[Segment, ...], room: Room) -> SectionEntry:
    kind: Literal["known air", "air"] = "known air" if shapely.covers(room.known_air, shapely.Point(start)) else "air"
    return SectionEntry(kind, start, lead=lead)


def helix_taking(legs: Sequence[Leg], room: Room, cutter: Cutter) -> tuple[int, SectionEntry, Track] | None:
    """A helix that clears all that the first of some closed legs would: of how many, the entry into the next one, and
    that begun where it leads. None where it would clear none."""
    circle = shapely.minimum_bounding_circle(legs[0].line)
    middle = shapely.centroid(circle)
    if not shapely.contains(room.centres, middle):
        return None
    spare = min(float(shapely.distance(middle, room.centres.boundary)), room.flat)
    helix = entries.helix_track(cutter, (middle.x, middle.y), spare, clockwise=not room.climb)
    if helix is None:
        return None
    taken = shapely.buffer(middle, helix.segments[0].radius, quad_segs=32)
    count = next((i for i, leg in enumerate(legs) if leg.wall or not shapely.covers(taken, leg.line)), 0)
    if count == 0 or not legs[count].track.closed:
        return None
    along, _ = rings.where_joined(legs[count].track, helix.start)
    lead = room.leads.link(helix.segments[-1], legs[count].track, along)
    return None if lead is None else (count, SectionEntry("helix", helix.start, helix, lead[0]), lead[1])


def _helix_touching(leg: Leg, room: Room, cutter: Cutter) -> tuple[SectionEntry, Track] | None:
    """A helix that touches a closed leg from within, where that is straightest, or a row at its start, as wide as can
    be."""
    track = leg.track
    if leg.wall and not track.closed:
        return None
    spots, turns = [0.0, 0.0], np.array([1, -1])
    if track.closed:
        spots = rings.middles(track)[:_PLACES]
        spots += [i * track.length / _PLACES for i in range(_PLACES)]
        turns = np.full(len(spots), 1 if room.climb else -1)
    off = _OFF_WALL * cutter.radius if leg.wall else 0.0
    places = np.array([track.at(along) for along in spots])
    side = np.array([track.heading(along) for along in spots]) + turns * pi / 2
    inward = np.column_stack([np.cos(side), np.sin(side)])
    for radius in entries.helix_radii(cutter):
        centres = places + (radius + off) * inward
        good = shapely.contains_xy(room.centres, centres) & (
            shapely.distance(room.centres.boundary, shapely.points(centres)) >= radius - room.tolerance
        )
        if not good.any():
            continue
        spot = int(np.argmax(good))
        centre = (float(centres[spot][0]), float(centres[spot][1]))
        helix = circle_track(centre, radius, bool(turns[spot] < 0), float(side[spot]) + pi)
        if not off:
            return SectionEntry("helix", helix.start, helix), rings.begun(track, helix.start)
        lead = room.leads.link(helix.segments[-1], track, spots[spot])
        if lead is not None:
            return SectionEntry("helix", helix.start, helix, lead[0]), lead[1]
    return None


def _widest_helix(leg: Leg, room: Room, cutter: Cutter) -> tuple[SectionEntry, Track] | None:
    """A helix in the widest place inside the leg, if there is room and an open link from it."""
    circle = shapely.maximum_inscribed_circle(leg.inside, cutter.radius / 20)
    middle = shapely.Point(circle.coords[0])
    spare = shapely.distance(middle, room.centres.boundary)
    helix = entries.helix_track(cutter, (middle.x, middle.y), spare, clockwise=not room.climb)
    if helix is None:
        return None
    along, far = rings.where_joined(leg.track, helix.start)
    if far > _LONGEST_LINK * cutter.diameter:
        return None
    lead = room.leads.link(helix.segments[-1], leg.track, along)
    return None if lead is None else (SectionEntry("helix", helix.start, helix, lead[0]), lead[1])


def _nearest_helix(leg: Leg, room: Room, cutter: Cutter) -> tuple[SectionEntry, Track] | None:
    """A helix near the start of an open leg, as wide as can be, if there is an open link from it."""
    start = shapely.Point(leg.track.start)
    for radius in entries.helix_radii(cutter):
        fits = offset.zone(room.centres, -radius, room.tolerance)
        if fits.is_empty or (far := float(shapely.distance(fits, start))) > _LONGEST_LINK * cutter.diameter:
            continue
        x, y = rings.near(fits, leg.track.start)
        towards = atan2(start.y - y, start.x - x) if far else 0.0
        helix = circle_track((x, y), radius, not room.climb, towards)
        lead = room.leads.link(helix.segments[-1], leg.track, 0.0)
        if lead is not None:
            return SectionEntry("helix", helix.start, helix, lead[0]), lead[1]
    return None


def _longest_stroke(leg: Leg, room: Room, cutter: Cutter) -> tuple[SectionEntry, Track] | None:
    """The longest straight line on which a cutter can go down to and fro to the start of an open leg."""
    start = leg.track.start
    ends = [
        (
            start[0] + _LONGEST_STROKE * cutter.diameter * cos(turn),
            start[1] + _LONGEST_STROKE * cutter.diameter * sin(turn),
        )
        for turn in np.arange(_DIRECTIONS) * 2 * pi / _DIRECTIONS
    ]
    best: Point | None = None
    for end in ends:
        for part in shapely.get_parts(shapely.intersection(room.allowed, LineString([start, end]))):
            if shapely.distance(part, shapely.Point(start)) < _NOTHING:
                far = max(((x, y) for x, y in part.coords), key=lambda place: dist(place, start))
                best = far if best is None or dist(far, start) > dist(best, start) else best
    if best is None:
        return None
    stroke = Track((Segment(start, best),), False)
    if entries.too_short(cutter, stroke):
        return None
    return SectionEntry("stroke", start, stroke=stroke), leg.track
