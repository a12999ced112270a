"""Roughing: levels of a pocket above a surface, none of them below it.

A cutter with a rounded corner cuts so high above its tip as wide as a flat one: a pocket is planned for that one, and
run so much lower.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import numpy as np
import shapely
from shapely import Polygon
from shapely.geometry.base import BaseGeometry

from toolpaths.base.checks import Floats
from toolpaths.base.errors import DoesNotFitError
from toolpaths.facts.cutter import Cutter
from toolpaths.facts.profile import flat
from toolpaths.making.motion.toolpath import CUT, RAPID, Move, Toolpath
from toolpaths.making.operations.hollowing.tip_heights import TipHeights
from toolpaths.making.operations.operation import Site, levels
from toolpaths.making.operations.pocket import Pocket
from toolpaths.making.operations.rings import Direction
from toolpaths.shapes import offset

# So much of a pass is left in ridges by a cutter without a flat, at most this share of its corner's radius.
_OF_PASS, _OF_CORNER = 0.2, 0.25
# A room narrower than this share of the cutter's diameter is left to the finishing cutter.
_ROOM = 0.4
# Wood narrower than this share of the cutter's radius is left to the finishing cutter where another one roughed before.
_STRIP = 0.6


def ridge(cutter: Cutter, deepest: float) -> float:
    """mm of ridges that a cutter leaves in roughing passes so deep; none with a flat end."""
    return min(_OF_PASS * deepest, _OF_CORNER * cutter.profile.corner_radius)


def roughed(
    area: BaseGeometry, cutter: Cutter, tips: TipHeights, top: float, finish: float, deepest: float, stepover: float,
    direction: Direction, site: Site, rest: bool,
) -> Toolpath:  # fmt: skip
    """All levels of one cutter.

    area : of the surface, seen from the front; top : z of its edge
    finish : mm left above the surface
    deepest : mm of a level
    rest : whether only wood is taken that another cutter found no room for
    """
    low = ridge(cutter, deepest)
    planned = replace(cutter, profile=flat(2 * cutter.profile.radius_at(low) if low else cutter.diameter))
    away, heights = tips.table
    moves: list[Move] = []
    lowest = _lowest(away, heights, planned.radius)
    above = top
    for z in levels(top, top + lowest + finish, deepest) if lowest + finish < -deepest / 4 else ():
        for room in _rooms(area, away, heights + top + finish, z, planned.radius, site.tolerance):
            wood = _standing(room, z + low + deepest, top, cutter, site) if rest else room
            if wood.is_empty:
                continue
            begins = min(site.removed.highest_wood(site.fixture.place(wood)), top) if rest else above
            if begins <= z + low:
                continue
            work = Pocket(
                shape=wood, cutters=(planned,), depth=-(z + low), from_depth=-begins, direction=direction,
                stepover=stepover, name="roughing",
            )  # fmt: skip
            try:
                found = work.toolpath(planned, site)
            except DoesNotFitError:
                # What it does not get into is left to the finishing cutter.
                continue
            path = _lowered(found, cutter, low, top, site.fixture.safe_z)
            moves += path.moves
            site = site.after(path)
        above = z + low
    return Toolpath(cutter, tuple(moves))


def _lowest(away: Floats, heights: Floats, radius: float) -> float:
    """Lowest of the tip where a room is left about the middle in which a cutter of this radius works."""
    inner = away <= max(away[-1] - 2 * _ROOM * radius, away[0])
    return float(heights[inner].min())


def _rooms(
    area: BaseGeometry, away: Floats, heights: Floats, z: float, radius: float, tolerance: float
) -> Iterator[BaseGeometry]:
    """The areas in which a cutter of this radius may work with its tip at z, by the tip's lowest heights."""
    free = np.flatnonzero(np.diff(np.concatenate([[False], heights <= z + 1e-9, [False]]).astype(int)))
    for begin, end in free.reshape(-1, 2).tolist():
        first, last = float(away[begin]), float(away[end - 1])
        if away[-1] - first < _ROOM * radius:
            continue
        room = offset.wall(area, radius - first, tolerance, slim=False)
        if end < len(away) and not room.is_empty:
            room = shapely.difference(room, offset.wall(area, -last - radius, tolerance, slim=False))
        for part in shapely.get_parts(room):
            if part.geom_type == "Polygon" and shapely.maximum_inscribed_circle(part).length > (1 + _ROOM) * radius:
                yield part


def _standing(room: BaseGeometry, above: float, top: float, cutter: Cutter, site: Site) -> BaseGeometry:
    """What of a room another cutter found no room for.

    above : z up to which wood is no more than the steps that it left, which the finishing cutter takes
    """
    if above >= top:
        return Polygon()
    lay = site.fixture.place(room)
    if not _stands_far_in(lay, above, _STRIP * cutter.radius, site):
        return Polygon()
    left = shapely.difference(lay, shapely.buffer(site.removed.cut_down_to(above, lay), _STRIP * cutter.radius))
    # Placing twice is not placing.
    return site.fixture.place(shapely.intersection(lay, shapely.buffer(left, 3 * cutter.radius)))


def _stands_far_in(room: BaseGeometry, above: float, strip: float, site: Site) -> bool:
    """Whether wood may stand above z anywhere in a room, farther than a strip from where there is none: soon seen at
    places all over it."""
    left, low, right, high = room.bounds
    xs, ys = np.meshgrid(np.arange(left, right, strip / 2), np.arange(low, high, strip / 2))
    places = np.column_stack([xs.ravel(), ys.ravel()])
    places = places[shapely.contains_xy(room, *places.T)]
    stands = site.removed.stands_at(places, above)
    if stands.all() or not stands.any():
        return bool(stands.any())
    without = shapely.STRtree(shapely.points(places[~stands]))
    near, _ = without.query(shapely.points(places[stands]), "dwithin", strip)
    return bool(len(np.unique(near)) < np.count_nonzero(stands))


def _lowered(path: Toolpath, cutter: Cutter, by: float, top: float, safe: float) -> Toolpath:
    """A toolpath run lower, but for what runs at the safe height.

    Higher up the cutter is wider than the one that was planned with: below the top it never goes by rapid.
    """
    moves = []
    for move in path.moves:
        if move.z < safe:
            move = move._replace(z=move.z - by)
        if by and move.kind == RAPID and move.z < top:
            move = move._replace(kind=CUT, feed_mm_min=cutter.running.plunge_mm_min)
        moves.append(move)
    return Toolpath(cutter, tuple(moves))
