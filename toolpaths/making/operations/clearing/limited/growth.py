"""All fronts by which a room is cleared, as they follow from one another: large discs before small ones.

In the open, fronts need not be true to the tolerance: large discs clear what is a skin away from the walls. Then one
front takes the skin along all walls, and smaller and smaller discs what is left in corners. Where small discs open a
neck, larger ones go on behind it.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import cos, pi, radians, sin

import numpy as np
import shapely
from shapely import Polygon
from shapely.geometry.base import BaseGeometry
from shapely.geometry.polygon import orient

from toolpaths.making.operations.clearing.limited.fronts import (
    SHORTEST,
    Discs,
    Front,
    advance,
    area_of,
    closed_up,
    deep,
    fronts,
    moved,
    next_cores,
    polygons,
    slimmed,
)
from toolpaths.shapes.tolerance_shares import SIMPLIFY

# Degrees kept from the limit, for chords, for arcs fitted to them, and for the rounding of the text.
_HAIR_DEG = 1.0
# Each disc is so much smaller than the one before, and the largest so many of the cutter's radii.
_LADDER, _LARGEST = 0.6, 8.0
# The same for discs that come to the walls, as the sharpest corner lets, and a share of what it would let.
_LEAST, _MOST, _SURE = 0.5, 0.85, 0.9
# Of the radius: the largest discs that come to the walls, and how true fronts are in the open.
_AT_WALLS, _OPEN = 0.5, 0.02
# The skin at the walls, as a share of what those discs may advance: in a right angle they take it at once.
_SKIN = 0.5
# Corners of the path's chords stay below some two degrees: the chords' height is such a share of a disc's radius.
_FINE = 1 / 90
# The finest that is worth writing with four decimals, mm.
_FINEST = 0.00005
# The smallest disc, and how deep a corner may be left uncut, as shares of the tolerance.
_SMALLEST, _DEPTH = 1 / 10, 0.6
# Below this share of the cutter's radius, fronts that meet leave no wood behind that is worth asking for.
_CLOSED_UP = 0.1
# So many hairs less than the advance is a step, for what is simplified.
_HAIRS = 2.0
# So often discs at the walls advance before larger ones are tried again.
_PATIENCE = 4


@dataclass(frozen=True, slots=True)
class Growth:
    """All fronts in an order that keeps the limit.

    closed : where fronts met and the axis meets no wood any more though no front went there
    free : the room that is free in the end
    """

    fronts: tuple[Front, ...]
    closed: tuple[Polygon, ...]
    free: BaseGeometry


def growth(
    centres: Polygon, free: BaseGeometry, radius: float, limit_deg: float, widest: float, tolerance: float
) -> Growth:
    """What clears `centres`, where the cutter's axis may be, when it meets no wood in `free`.

    widest : mm from front to front at most, up to the radius of what cuts level, or wood would be left between them
    """
    ladder = _ladder(centres, radius, radians(limit_deg - _HAIR_DEG), widest, tolerance)
    free = closed_up(area_of(free), centres, radius, tolerance)
    found: list[Front] = []
    closed: list[Polygon] = []
    patience = [1 if discs.room is not centres else _PATIENCE for discs in ladder]
    size = 0
    while size < len(ladder):
        some, free, more = _grown(free, ladder[size], patience[size] if size else None)
        found += some
        if some:
            if ladder[size].rho > _CLOSED_UP * radius:
                met = _closed(free, some, ladder[size].room, radius, tolerance)
                closed += met
                free = area_of(shapely.union_all([free, *met]))
            patience[size + 1 :] = [1 if discs.room is not centres else _PATIENCE for discs in ladder[size + 1 :]]
        if more:
            patience[size] *= 2
            size -= 1
        else:
            size += 1
    return Growth(tuple(found), tuple(closed), free)


def _ladder(centres: Polygon, radius: float, limit: float, widest: float, tolerance: float) -> list[Discs]:
    """Discs from the largest to the smallest."""
    at_walls = _AT_WALLS * radius
    inside = moved(centres, -_SKIN * min(advance(at_walls, radius, limit), widest), tolerance)
    ratio = _ratio(centres, limit)
    rho = min(0.98 * shapely.maximum_inscribed_circle(centres, radius / 50).length, _LARGEST * radius)
    found = []
    while rho > tolerance * _SMALLEST:
        open_ = rho > at_walls
        fine = _OPEN * radius if open_ else min(tolerance, max(rho * _FINE, _FINEST))
        step = min(advance(rho, radius, limit), widest) - _HAIRS * fine * SIMPLIFY
        found.append(Discs(rho, step, inside if open_ else centres, fine, max(_DEPTH * tolerance, fine * SIMPLIFY)))
        rho *= _LADDER if open_ else ratio
    return found


def _ratio(room: Polygon, limit: float) -> float:
    """So much smaller is a disc that comes to both walls of the sharpest corner of a room in one advance."""
    sharpest = pi
    for ring in shapely.get_rings(orient(room)):
        sides = np.diff(shapely.get_coordinates(shapely.remove_repeated_points(ring, 1e-6)), axis=0)
        heading = np.arctan2(sides[:, 1], sides[:, 0])
        turn = (np.roll(heading, -1) - heading + pi) % (2 * pi) - pi
        sharpest = min(sharpest, pi - float(turn.max()))
    # Discs of radius 1 that move by so much come from an arc of radius x about the corner, where
    # (x - 1) (1 / sin(half the angle) - 1) = 1 - cos(limit).
    spare = (1 - cos(limit)) * _SURE
    corner = 1 / sin(sharpest / 2) - 1
    return min(max(corner / (corner + spare), _LEAST), _MOST)


def _closed(
    free: BaseGeometry, fronts: list[Front], room: BaseGeometry, radius: float, tolerance: float
) -> list[Polygon]:
    """The wood between fronts that met, where the axis meets none now."""
    about = shapely.union_all([front.room for front in fronts])
    window = shapely.buffer(shapely.box(*about.bounds), 2.5 * radius, join_style="mitre")
    near = area_of(shapely.intersection(free, window))
    standing = shapely.difference(shapely.intersection(room, window), near)
    roughly = shapely.buffer(shapely.buffer(near, radius), -0.97 * radius)
    if not polygons(shapely.intersection(standing, roughly)):
        return []
    return polygons(shapely.intersection(standing, closed_up(near, room, radius, tolerance)))


def _grown(free: BaseGeometry, discs: Discs, most: int | None) -> tuple[list[Front], BaseGeometry, bool]:
    """The fronts of discs of one size, what is free after them, and whether that was the most and more may follow."""
    depth = discs.depth
    left = deep(discs.room, free, depth)
    if not left:
        return [], free, False
    far = 4 * discs.rho + 2 * discs.step + 3 * SHORTEST
    window = shapely.union_all(shapely.buffer(shapely.envelope(left), far, join_style="mitre"))
    room = area_of(shapely.intersection(discs.room, window))
    inner = moved(room, -discs.rho, discs.fine)
    if inner.is_empty:
        return [], free, False
    here = area_of(shapely.intersection(free, window))
    discs = replace(discs, room=room)
    standing = shapely.union_all(left)
    shapely.prepare(standing)
    cores = area_of(shapely.intersection(moved(here, -discs.rho, discs.fine), inner))
    found: list[Front] = []
    count, more = 0, False
    while not cores.is_empty:
        cores = next_cores(cores, inner, discs)
        some, whole = fronts(here, cores, discs)
        wanted = [front for front in some if shapely.intersects(standing, front.room)]
        if not wanted:
            break
        found += wanted
        here = _with(here, wanted, discs)
        count += 1
        if count == most:
            more = True
            break
        if not whole or len(wanted) < len(some):
            cores = area_of(shapely.intersection(moved(here, -discs.rho, discs.fine), inner))
    if not found:
        return [], free, False
    return found, area_of(shapely.union(free, here)), more


def _with(free: BaseGeometry, opened: list[Front], discs: Discs) -> BaseGeometry:
    """The free room and what fronts open."""
    whole = shapely.union_all([free, *[front.room for front in opened]])
    return slimmed(whole, discs.hair)
