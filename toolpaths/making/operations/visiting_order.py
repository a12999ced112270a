"""In which order the places and rings of one operation are visited, and where each is begun.

The way is taken as from where the cutter waits, and back there: what comes before or after is not known here.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import ceil

import numpy as np
import shapely
from shapely import Polygon
from shapely.geometry.base import BaseGeometry

from toolpaths.base.errors import Point
from toolpaths.facts.cutter import Cutter
from toolpaths.facts.fixture import Fixture
from toolpaths.making.motion.before import Before
from toolpaths.making.motion.crossing import rise
from toolpaths.making.motion.route import Order, short_order, short_route
from toolpaths.making.motion.tour import Ends
from toolpaths.making.operations import rings
from toolpaths.shapes import door
from toolpaths.shapes.track import Track

# Begun at any segment this share as long as the longest or longer: a ramp has as good as the most room there.
_LONG = 0.9
_MOST_BEGINS = 4


def places_in_order(at: Sequence[Point], order: Order, cutter: Cutter, fixture: Fixture) -> list[Point]:
    """Places seen from the front, as they lie on this side, in the order in which they are visited."""
    lay = [(float(x), float(y)) for x, y in fixture.seen_from_front(np.array(at))]
    if order == "as given":
        return lay
    return [lay[k] for k in short_order(lay, fixture.wait_at, fixture.wait_at, rise(fixture, cutter))]


def lines_in_order(tracks: list[Track], passes: int, order: Order, cutter: Cutter, fixture: Fixture) -> list[Track]:
    """Tracks of lines: open ones from either end, closed ones begun where a ramp has room. As given: from where each
    is drawn, or on its longest run."""
    if order == "as given":
        return [rings.begin_on_longest(track) if track.closed else track for track in tracks]
    ends = [_closed(track) if track.closed else _open(track, passes) for track in tracks]
    route = short_route(ends, fixture.wait_at, fixture.wait_at, rise(fixture, cutter))
    return [_begun(tracks[k], ends[k][which]) for k, which in route]


def rings_in_order(
    area: BaseGeometry, tracks: list[Track], cutter: Cutter, fixture: Fixture, anywhere: bool = True
) -> list[tuple[int, Track]]:
    """The rings of an area, each with its number: what lies inside another always before it, or it would come loose.

    tracks : the rings of the area in the order of boundary_rings()
    anywhere : whether they may be begun where a ramp has room, wherever that shortens the way; else as they are
    """
    ends = [_closed(track) if anywhere else [(track.start, track.start)] for track in tracks]
    route = short_route(ends, fixture.wait_at, fixture.wait_at, rise(fixture, cutter), _inside_first(area))
    return [(k, _begun(tracks[k], ends[k][which]) if anywhere else tracks[k]) for k, which in route]


def _inside_first(area: BaseGeometry) -> list[Before]:
    """Rings of an area, by their numbers, of which the first lies inside the second."""
    found = [Polygon(ring) for each in door.polygons("area", area) for ring in (*each.interiors, each.exterior)]
    if len(found) == 1:
        return []
    inner, outer = shapely.STRtree(found).query([ring.representative_point() for ring in found], predicate="within")
    return [Before([a], [b]) for a, b in zip(inner.tolist(), outer.tolist()) if found[a].area < found[b].area]


def _closed(track: Track) -> list[Ends]:
    """Where a closed track may be begun: at the start of any segment about as long as its longest."""
    long = _LONG * max(track.lengths)
    starts = [segment.start for segment, length in zip(track.segments, track.lengths, strict=True) if length >= long]
    return [(place, place) for place in starts[:: ceil(len(starts) / _MOST_BEGINS)]]


def _open(track: Track, passes: int) -> list[Ends]:
    """An open track from either end; forth and back on successive passes, so an even number ends where it began."""
    a, b = track.start, track.segments[-1].end
    return [(a, b), (b, a)] if passes % 2 else [(a, a), (b, b)]


def _begun(track: Track, ends: Ends) -> Track:
    """A track begun at the first of its ends; a closed one where that segment begins."""
    if track.closed:
        first = next(number for number, segment in enumerate(track.segments) if segment.start == ends[0])
        return Track((*track.segments[first:], *track.segments[:first]), True)
    return track if ends[0] == track.start else track.reversed()
