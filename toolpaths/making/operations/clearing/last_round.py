"""The last round along the walls: the wood left there by all passes, taken at full depth, and no mark where it
begins and ends. The cutter comes on to the wall on an arc, goes a little farther than once round, and leaves on an arc.
"""

from __future__ import annotations

import shapely
from shapely.geometry.base import BaseGeometry

from toolpaths.base.errors import DoesNotFitError
from toolpaths.facts.cutter import Cutter
from toolpaths.making.motion.toolpath import PathBuilder
from toolpaths.making.operations import rings
from toolpaths.making.operations.clearing.loops import allowed_about, polygons_of
from toolpaths.making.operations.leads import Leads, within
from toolpaths.making.operations.operation import CLEAR
from toolpaths.making.operations.rings import Direction
from toolpaths.shapes import offset
from toolpaths.shapes.drawn_area import DrawnArea
from toolpaths.shapes.track import Segment, Track


def finish_walls(
    builder: PathBuilder,
    edge: BaseGeometry,
    cleared: BaseGeometry,
    direction: Direction,
    top: float,
    passes: list[float],
    drawn: DrawnArea,
) -> None:
    """One round along every wall, the axis on the boundary of `edge`.

    cleared : what the passes took, to the floor
    drawn : the area that is cleared
    Raises DoesNotFitError where they did not get in, so that the round would be a slot at full depth.
    """
    cutter, tolerance = builder.cutter, drawn.tolerance
    check_open(edge, cleared, cutter, tolerance)
    air = offset.zone(cleared, tolerance - cutter.radius, tolerance)
    for part in polygons_of(edge):
        leads = Leads(cutter.radius, direction == "climb", allowed_about(part, tolerance))
        for track in rings.boundary_rings(part, drawn, wood_outside=True, direction=direction):
            _finish_wall(builder, track, leads, air, top, passes)


def check_open(edge: BaseGeometry, cleared: BaseGeometry, cutter: Cutter, tolerance: float) -> None:
    """Raises DoesNotFitError where the passes did not get in, so that a last round along `edge` would be a slot."""
    taken = shapely.difference(offset.zone(edge, cutter.radius, tolerance), cleared)
    thick = shapely.buffer(taken, -cutter.radius / 2)
    if not thick.is_empty:
        at = rings.placed_point(thick)
        raise DoesNotFitError(
            f"{cutter} leaving wood for the last round does not get through near ({at[0]:.1f}, {at[1]:.1f}); "
            "take finish=0, or a finer cutter.",
            at,
        )


def _finish_wall(
    builder: PathBuilder, track: Track, leads: Leads, air: BaseGeometry, top: float, passes: list[float]
) -> None:
    ring, lead = _begun(track, leads, air)
    rest = tuple(ring.between(0.0, rings.past_its_start(ring)))
    off = leads.arc_off(rest[-1].end, rest[-1].heading(1.0))
    begin = lead[0].start
    builder.go_above(begin, top + CLEAR)
    for z in passes:
        if builder.place != begin and not within(leads.room, (Segment(builder.place, begin),)):
            builder.go_above(begin, top + CLEAR)
        builder.straight(begin, builder.z)
        builder.plunge(z)
        builder.segments((*lead, *rest, *off), z)


def _begun(track: Track, leads: Leads, air: BaseGeometry) -> tuple[Track, tuple[Segment, ...]]:
    """The ring begun where an arc out of cleared wood leads on to it, on the longest segment that allows it; else where
    the cleared wood is nearest."""
    for along in rings.middles(track):
        ring = track.starting_at(along)
        if lead := leads.arc_on(ring.start, ring.segments[0].heading(0.0), air):
            return ring, lead
    ring = rings.begin_near(track, rings.near(air, track.start))
    return ring, (Segment(rings.near(air, ring.start), ring.start),)
