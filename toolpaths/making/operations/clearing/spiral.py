"""A spiral: where loops nest one in one, each goes over into the next in the course of a turn.

A place of the turn a share t of the way along the outer loop lies the share t of the way from the nearest place of the
inner one to the outer one. So turns lie no farther apart than loops, and neither start nor end shows; the wall is
followed whole at the end. That nothing is left between is looked up by area.
"""

from __future__ import annotations

from math import inf

import numpy as np
import shapely
from shapely import LineString

from toolpaths.base.checks import Floats
from toolpaths.making.operations.clearing.loop_order import Leg, LoopTree
from toolpaths.making.operations.clearing.loops import Loop, Room, standing
from toolpaths.shapes import arc_fit
from toolpaths.shapes.curves import lengths_along, nearest_places
from toolpaths.shapes.tolerance_shares import FIT
from toolpaths.shapes.track import Track

# Of the radius of the flat: how exactly the swath is looked up.
_ROUGH = 0.02
# The least of what a turn comes to of the average of two loops, where they are long and narrow (by trial).
_ABOUT = 0.97


def spiral(tree: LoopTree, room: Room, longest: float = inf) -> list[Leg] | None:
    """One continuous leg from the innermost loop to the whole of the wall's; None where loops do not nest so, and where
    it comes to more than `longest` mm."""
    loops = sorted(tree.loops, key=lambda loop: -loop.depth)
    if len(loops) < 2 or [loop.depth for loop in loops] != list(range(len(loops) - 1, -1, -1)):
        return None
    if any(not loop.track.closed or loop.inside.interiors for loop in loops):
        return None
    # Rings run with their area on the left, climb; conventional is the same figure the other way round each loop.
    lines = [loop.line if room.climb else shapely.reverse(loop.line) for loop in loops]
    turns: list[Floats] = [_begun(lines[0], lines[0].coords[0])]
    # How much longer it comes out than it could have, which may tell before all of it is made.
    spare = longest - shortest_spiral(tree)
    for inner, outer in zip(loops, lines[1:]):
        turns.append(_turn(inner, outer, turns[-1][-1], room.step)[1:])
        spare -= lengths_along(turns[-1])[-1] - _least_turn(inner.line, outer)
        if spare < 0:
            return None
    wall = _begun(lines[-1], turns[-1][-1])
    turns.append(wall[1:])
    points = np.vstack(turns)
    line = LineString(points)
    if line.length > longest or not shapely.covers(room.allowed, line):
        return None
    rough = _ROUGH * room.flat
    swept = shapely.buffer(shapely.simplify(line, room.tolerance), room.flat - room.coarse_fit, quad_segs=16)
    floor = shapely.buffer(shapely.simplify(room.centres, rough / 2), room.flat - 2 * rough, quad_segs=8)
    if not standing(shapely.difference(shapely.intersection(room.wood, floor), swept), room.tolerance).is_empty:
        return None
    rest = arc_fit.fit(points[: len(points) - len(wall) + 1], False, room.coarse_fit)
    last = arc_fit.fit(wall, False, room.tolerance * FIT)
    track = Track((*rest.segments, *last.segments), False)
    return [Leg(track, line, loops[0].inside, True)]


def _begun(line: LineString, place: Floats) -> Floats:
    """The ring's points, from its place nearest to a given one, round to it again."""
    along = line.project(shapely.Point(place))
    points = shapely.get_coordinates(line)
    marks = lengths_along(points)
    start = shapely.get_coordinates(line.interpolate(along))
    after, before = points[marks > along + 1e-9], points[(marks < along - 1e-9) & (marks > 0)]
    return np.vstack([start, after, before, start])


def _turn(inner: Loop, outer: LineString, begin: Floats, step: float) -> Floats:
    """One turn from the inner loop out to the outer one."""
    line = shapely.segmentize(LineString(_begun(outer, begin)), step)
    points = shapely.get_coordinates(line)
    along_outer = lengths_along(points)
    nearest = nearest_places(points, shapely.get_coordinates(inner.line))
    along = (along_outer / along_outer[-1])[:, None]
    blended: Floats = nearest + (points - nearest) * along
    return np.vstack([begin[None, :], blended])


def shortest_spiral(tree: LoopTree) -> float:
    """mm below which no spiral of these loops comes: the innermost and the wall are followed whole."""
    lines = [loop.line for loop in sorted(tree.loops, key=lambda loop: loop.depth)]
    return float(lines[0].length + lines[-1].length) + sum(map(_least_turn, lines, lines[1:]))


def _least_turn(inner: LineString, outer: LineString) -> float:
    """mm below which no turn from one loop to the next comes: it is about as long as both on average."""
    return float(_ABOUT * (inner.length + outer.length) / 2)
