"""The largest discs that fit into a room: each touches the wall in two places or more.

From each of many places of the wall the disc is found that touches there and holds no other part of the wall, by taking
a disc that is too large through the place of the wall nearest to its centre, until there is none within.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil, cos, pi, sin, tan

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Polygon
from shapely.geometry.base import BaseGeometry
from shapely.geometry.polygon import orient

from toolpaths.base.checks import Floats
from toolpaths.making.operations.clearing.limited.advance import Limit
from toolpaths.shapes.curves import lengths_along, places_along

# Of the cutter's radius: from place to place along the wall.
_APART = 1 / 3
# Discs from one to the next in a corner where the limit allows for one step, and in the open, as a share of a step.
_IN_A_STEP, _OF_A_STEP, _OF_A_STEP_IN_CORNERS = 3, 0.25, 0.25
# Of the step in a corner, for rounding.
_SURE = 0.97
# Of the cutter's radius: what sticks out by less of another disc.
_THIN = 0.02
# Corners that turn by less, degrees, are those of chords of a curve; the normals about a corner of an island are so far
# apart.
_STRAIGHT, _FAN = 12.0, 15.0
# A disc is the largest when the wall reaches into it by no more than so much of its radius, nor hairs: so chords of a
# curve are no corners.
_TRUE, _HAIRS = 0.02, 10
_ROUNDS = 40


@dataclass(frozen=True, slots=True)
class WallPlaces:
    """Places of one ring of the wall, the room on its left.

    ring : (m, 2), the last the first
    along : (n,) mm from the start of the ring
    headings : (n,) radians
    centres, radii : (n, 2), (n,) of the largest disc that touches there
    """

    ring: Floats
    along: Floats
    headings: Floats
    centres: Floats
    radii: Floats


def wall_places(room: Polygon, limit: Limit, hair: float) -> list[WallPlaces]:
    """Places of each ring of a room's wall; in corners as near to the corner as a chip is thicker than a hair."""
    wall = room.boundary
    shapely.prepare(wall)
    largest = min(np.diff(np.reshape(room.bounds, (2, 2)), axis=0)[0].tolist()) / 2 * 1.001
    found = []
    for boundary in shapely.get_rings(orient(room)):
        ring = shapely.get_coordinates(shapely.remove_repeated_points(boundary, 1e-7))
        along, headings = _places(ring, limit, hair)
        places = places_along(ring, along)
        square = headings + _bent(ring, along)
        normals = np.column_stack([-np.sin(square), np.cos(square)])
        centres, radii = _largest(wall, places, normals, largest, _HAIRS * hair)
        found.append(WallPlaces(ring, along, headings, centres, radii))
    return found


def between(places: WallPlaces, wall: BaseGeometry, limit: Limit) -> tuple[Floats, Floats, NDArray[np.int64]]:
    """(centres, radii, number of the place) of discs from each place's to that of the next."""
    centres, radii = places.centres, places.radii
    after = np.roll(centres, -1, axis=0)
    least = np.minimum(radii, np.roll(radii, -1))
    step = np.minimum(least + limit.radius - limit.nearest_end(least), limit.widest)
    far, wider = np.hypot(*(after - centres).T), np.abs(np.roll(radii, -1) - radii)
    count = np.ceil((far + wider) / np.maximum(_OF_A_STEP * step, 1e-9)).astype(int)
    # In corners one way only leads on, and they are near already.
    corner = np.ceil((far - wider) / np.maximum(_OF_A_STEP_IN_CORNERS * step, 1e-9)).astype(int)
    count = np.where(least < limit.radius / 4, corner, count)
    # What the larger all but covers leads nowhere.
    count = np.where(far - wider < _THIN * np.minimum(limit.radius, least), 1, np.clip(count, 1, 200))
    number = np.repeat(np.arange(len(centres)), count)
    share = (np.arange(len(number)) - np.repeat(np.cumsum(count) - count, count)) / count[number]
    found = centres[number] + (after - centres)[number] * share[:, None]
    size = radii[number]
    new = share > 0
    size[new] = shapely.distance(wall, shapely.points(found[new]))
    return found, size, number


def _places(ring: Floats, limit: Limit, hair: float) -> tuple[Floats, Floats]:
    """(along, headings)"""
    at = lengths_along(ring)
    sides = np.diff(ring, axis=0)
    headings = np.arctan2(sides[:, 1], sides[:, 0])
    apart = _APART * limit.radius
    count = max(8, ceil(at[-1] / apart))
    even = (np.arange(count) + 0.5) * at[-1] / count
    # At a corner itself there is no largest disc.
    near = np.abs(at[np.searchsorted(at, even) - [[1], [0]]] - even).min(axis=0) < hair
    even = np.where(near, even + 2 * hair, even) % at[-1]
    lengths, turns = [even], [headings[np.searchsorted(at, even, side="right") - 1]]
    turn = _turns(ring)
    for i in np.flatnonzero(np.abs(turn) > np.radians(_STRAIGHT)).tolist():
        if turn[i] > 0:
            some = _into_corner(turn[i], min(apart, float(at[i + 1] - at[i])), limit, hair)
            lengths.append(at[i] + some)
            turns.append(np.full(len(some), headings[i]))
        else:
            some = np.linspace(turn[i], 0.0, 1 + ceil(-turn[i] / np.radians(_FAN)))
            lengths.append(np.full(len(some), at[i]))
            turns.append(headings[i] - some[::-1] + turn[i])
    along, turned = np.concatenate(lengths), np.concatenate(turns)
    order = np.lexsort((np.arange(len(along)), along))
    return along[order], turned[order]


def _bent(ring: Floats, along: Floats) -> Floats:
    """Radians by which the heading of the curve differs from that of its chord at a length along the ring."""
    at, turn = lengths_along(ring), _turns(ring)
    turn = np.where(np.abs(turn) < np.radians(_STRAIGHT), turn, 0.0)
    lengths = np.diff(at)
    half = np.minimum(lengths, np.roll(lengths, 1)) / 2
    side = np.clip(np.searchsorted(at, along, side="right") - 1, 0, len(lengths) - 1)
    after = (side + 1) % len(lengths)
    begun = np.maximum(1 - (along - at[side]) / half[side], 0)
    ending = np.maximum(1 - (at[side + 1] - along) / half[after], 0)
    bent: Floats = (turn[after] * ending - turn[side] * begun) / 2
    return bent


def _turns(ring: Floats) -> Floats:
    """Radians by which a ring turns to the left where each of its sides begins."""
    sides = np.diff(ring, axis=0)
    headings = np.arctan2(sides[:, 1], sides[:, 0])
    found: Floats = (headings - np.roll(headings, 1) + pi) % (2 * pi) - pi
    return found


def _into_corner(turn: float, far: float, limit: Limit, hair: float) -> Floats:
    """mm from a corner along its side to where discs touch that follow one another in it, the nearest first."""
    half = (pi - turn) / 2
    depth = 1 / sin(half) - 1
    ratio = (depth / (depth + _SURE * (1 - cos(limit.angle)))) ** (1 / _IN_A_STEP)
    nearest = hair / depth / tan(half)
    if nearest >= far:
        return np.array([far / 2])
    count = ceil(np.log(nearest / far) / np.log(ratio))
    found: Floats = nearest * ratio ** -np.arange(count)
    return found


def _largest(wall: BaseGeometry, places: Floats, normals: Floats, largest: float, hair: float) -> tuple[Floats, Floats]:
    """(centres, radii) of the largest disc that touches each place on the side of its normal, within a hair."""
    radii = np.full(len(places), largest)
    open_ = np.arange(len(places))
    for _ in range(_ROUNDS):
        centres = places[open_] + normals[open_] * radii[open_, None]
        ends = shapely.get_coordinates(shapely.shortest_line(wall, shapely.points(centres)))[::2]
        off = np.hypot(*(ends - centres).T)
        within = off < radii[open_] - np.minimum(_TRUE * radii[open_], hair)
        open_, ends = open_[within], ends[within]
        if not len(open_):
            break
        to = ends - places[open_]
        ahead = (to * normals[open_]).sum(axis=1)
        radii[open_] = np.minimum((to * to).sum(axis=1) / (2 * np.maximum(ahead, 1e-12)), 0.99999 * radii[open_])
    centres = places + normals * radii[:, None]
    return centres, shapely.distance(wall, shapely.points(centres))
