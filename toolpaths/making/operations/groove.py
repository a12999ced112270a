"""Groove: a cutter with its axis on a line, open or closed."""

from __future__ import annotations

import shapely
from shapely.geometry.base import BaseGeometry

from toolpaths.facts.cutter import Cutter
from toolpaths.facts.depth import Depth, checked_depth
from toolpaths.facts.part import CutAlong, Feature
from toolpaths.making.motion.route import checked_order
from toolpaths.making.motion.toolpath import PathBuilder, Toolpath
from toolpaths.making.operations import entry as entries
from toolpaths.making.operations import ring as rounds
from toolpaths.making.operations import visit
from toolpaths.making.operations.leads import rise
from toolpaths.making.operations.operation import (
    CLEAR,
    Operation,
    Site,
    Stage,
    check_side_cutting,
    checked_name,
    checked_top,
    floor_of,
    from_face,
    levels,
)
from toolpaths.shapes import arc_fit as arcs
from toolpaths.shapes import door
from toolpaths.shapes import tolerance as share
from toolpaths.shapes.outline import Outline


def groove(
    line: BaseGeometry | Outline,
    cutter: Cutter,
    *,
    depth: Depth,
    direction: str = "conventional",
    entry: str = "auto",
    order: str = "short",
    top: float = 0.0,
    name: str = "",
) -> Operation:
    """Cut along each line, or round each polygon, the tip `depth` below `top`.

    direction : round closed lines, "climb" or "conventional" on the wood inside them; an open
        line is cut forth and back on successive passes
    order : visit the lines along a "short" way, open ones from either end; or "as given", each as it is drawn
    """
    listed = door.lines("line", line.line if isinstance(line, Outline) else line)
    rounds.checked_direction(direction)
    checked_order(order)
    entries.checked_entry(entry, cutter)
    check_side_cutting(cutter)
    depth = checked_depth(depth)
    top = checked_top(top)

    def make(site: Site) -> Toolpath:
        fixture, tolerance = site.fixture, site.tolerance
        passes = levels(top, floor_of(depth, top, fixture), cutter.running.step_down)
        builder = PathBuilder(cutter, fixture.safe_z)
        tracks = []
        for drawn, closed in listed:
            points = fixture.seen_from_front(drawn)
            if closed:
                # Wood inside kept on the right means clockwise: see rings().
                clockwise = direction == "climb"
                if shapely.is_ccw(shapely.linearrings(points)) == clockwise:
                    points = points[::-1]
            tracks.append(arcs.fit(points, closed, tolerance * share.FIT))
        for track in visit.lines(tracks, len(passes), order, cutter, fixture):
            builder.go_above(track.start, top + CLEAR)
            if track.closed:
                rise(builder, track, entries.cut_ring(builder, track, top, passes, entry), top + CLEAR)
            else:
                entries.cut_line(builder, track, top, passes, entry)
        return builder.path()

    called = checked_name(name, "groove")

    def meant(tolerance: float) -> tuple[Feature, ...]:
        ways = [shapely.LineString([*points, points[0]] if closed else points) for points, closed in listed]
        line = shapely.MultiLineString(ways)
        return (CutAlong(line=line, profile=cutter.profile, depth=from_face(depth, top), name=called),)

    return Operation(called, (Stage(cutter, make),), meant, top)
