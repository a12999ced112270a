"""The branches of a medial axis that run out into the corners of an area.

Points on the border lie off its corners, so the axis between them ends short of these. A disc that touches both sides
of a corner grows along the line that halves it until it touches a third: there its branch begins, and that follows from
the sides alone.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from toolpaths.base.checks import Floats
from toolpaths.shapes.border import Border, Ints

# mm by which a place may be off the sides of its corner, and between places that are one.
_OFF, _ONE_PLACE = 1e-4, 1e-4
# Corners looked at together, times the sides of a border.
_AT_ONCE = 1_000_000


class Axis(NamedTuple):
    """A medial axis as straight pieces.

    places : (n, 2) mm
    radius : (n,) mm from each to the border
    pieces : (m, 2) the numbers of two places each
    beside : (m, 2) the sides of the border between which each piece lies
    border : the border
    """

    places: Floats
    radius: Floats
    pieces: Ints
    beside: Ints
    border: Border


def with_corners(axis: Axis, labels: Ints) -> Axis:
    """The axis with a piece into each corner.

    labels : (n, 3) of each place the sides beside which it was found
    """
    border, places, radius = axis.border, axis.places, axis.radius
    found_place, found_corner = [], []
    for i, j in ((0, 1), (1, 2), (2, 0), (1, 0), (2, 1), (0, 2)):
        into, out = labels[:, i], labels[:, j]
        at = np.flatnonzero((border.after[into] == out) & border.convex[out] & (radius > 0))
        found_place.append(at)
        found_corner.append(out[at])
    place, corner = np.concatenate(found_place), np.concatenate(found_corner)
    true = np.ones(len(place), bool)
    for each in (border.before[corner], corner):
        true &= np.abs(border.distance(each, places[place])[0] - radius[place]) <= _OFF
    place, corner = place[true], corner[true]
    away = np.hypot(*(places[place] - border.start[corner]).T)
    order = np.lexsort((away, corner))
    corner, first = np.unique(corner[order], return_index=True)
    found = _with_tips(axis, place[order][first], corner)
    missed = np.flatnonzero(border.convex)
    missed = missed[~np.isin(missed, corner)]
    return _with_roots(found, missed) if len(missed) else found


def _with_tips(axis: Axis, place: Ints, corner: Ints) -> Axis:
    """The axis with pieces from places by their numbers into corners."""
    border = axis.border
    tips = len(axis.places) + np.arange(len(corner))
    return axis._replace(
        places=np.vstack([axis.places, border.start[corner]]),
        radius=np.append(axis.radius, np.zeros(len(corner))),
        pieces=np.vstack([axis.pieces, np.column_stack([place, tips])]),
        beside=np.vstack([axis.beside, np.column_stack([border.before[corner], corner])]),
    )


def _with_roots(axis: Axis, corner: Ints) -> Axis:
    """The axis with places where the branches of corners begin, each put into the piece that is nearest to it."""
    border = axis.border
    spots = largest_in_corners(border, corner)
    new = len(axis.places) + np.arange(len(corner))
    places, radius = np.vstack([axis.places, spots[:, :2]]), np.append(axis.radius, spots[:, 2])
    pieces, beside = axis.pieces, axis.beside
    for number, at in zip(new.tolist(), spots[:, :2]):
        if not len(pieces):
            break
        first, last = places[pieces[:, 0]], places[pieces[:, 1]]
        step = last - first
        share = ((at - first) * step).sum(axis=1) / np.maximum((step * step).sum(axis=1), 1e-18)
        off = np.hypot(*(at - first - np.clip(share, 0.0, 1.0)[:, None] * step).T)
        nearest = int(off.argmin())
        one, other = pieces[nearest].tolist()
        pieces, beside = np.vstack([pieces, [[number, other]]]), np.vstack([beside, beside[nearest]])
        pieces[nearest] = one, number
    return _with_tips(Axis(places, radius, pieces, beside, border), new, corner)


def largest_in_corners(border: Border, corner: Ints) -> Floats:
    """(k, 3) x, y and radius of the largest disc that touches both sides of each corner by its number and reaches over
    no other: it grows as it goes along the line that halves the corner."""
    step = max(1, _AT_ONCE // len(border.start))
    return np.vstack([_largest(border, corner[begin : begin + step]) for begin in range(0, len(corner), step)])


def _largest(border: Border, corner: Ints) -> Floats:
    half = (np.pi - border.turn[corner]) / 2
    along, inwards = border.along[corner], border.inwards[corner]
    ahead = along * np.cos(half)[:, None] + inwards * np.sin(half)[:, None]
    grows, tip = np.sin(half)[:, None], border.start[corner]
    # No farther than a disc touches both sides, not the lines beyond them.
    most = np.minimum(border.length[corner], border.length[border.before[corner]]) / np.cos(half)
    own = (np.arange(len(border.start)) == corner[:, None]) | (
        np.arange(len(border.start)) == border.before[corner][:, None]
    )
    off = tip[:, None] - border.start
    # The side itself: n.(tip + t ahead - start) = t grows, where the foot of that lies on it.
    fall = grows - ahead @ border.inwards.T
    with np.errstate(divide="ignore", invalid="ignore"):
        reach = (off * border.inwards).sum(axis=2) / fall
        foot = (off * border.along).sum(axis=2) + reach * (ahead @ border.along.T)
        on_side = (reach > 0) & (foot >= 0) & (foot <= border.length) & ~own
        found = np.where(on_side, reach, np.inf).min(axis=1)
        # The corner at its start: |tip + t ahead - start| = t grows.
        b = (ahead[:, None] * off).sum(axis=2)
        c = (off * off).sum(axis=2)
        a = 1 - grows * grows
        root = b * b - a * c
        reach = np.where(root >= 0, (-b - np.sqrt(np.maximum(root, 0.0))) / np.maximum(a, 1e-18), np.inf)
        mine = np.arange(len(border.start)) == corner[:, None]
        reach = np.where((reach > 1e-9) & ~mine, reach, np.inf).min(axis=1)
    far = np.minimum(np.minimum(found, reach), most)
    return np.column_stack([tip + far[:, None] * ahead, far * grows[:, 0]])


def joined(axis: Axis) -> Axis:
    """The axis with one number for places that are one, that of the largest disc, and no piece twice."""
    places, radius, pieces = axis.places, axis.radius, axis.pieces
    ends = places[pieces]
    short = np.hypot(*(ends[:, 0] - ends[:, 1]).T) <= _ONE_PLACE
    same = list(range(len(places)))

    def first(node: int) -> int:
        while same[node] != node:
            same[node] = same[same[node]]
            node = same[node]
        return node

    for a, b in pieces[short].tolist():
        a, b = sorted((first(a), first(b)), key=lambda node: (-radius[node], node))
        same[b] = a
    found = np.array([first(node) for node in range(len(same))])[pieces] if short.any() else pieces
    found = np.sort(found, axis=1)
    apart = np.flatnonzero(found[:, 0] != found[:, 1])
    _, first_of = np.unique(found[apart] @ (len(places), 1), return_index=True)
    kept = apart[np.sort(first_of)]
    return axis._replace(pieces=found[kept], beside=axis.beside[kept])
