"""Straight sides found within a smooth contour, each made one line, and the bend between two made one arc tangent to
both where it is one.

Noise bends every side a little, and the lines and arcs that fit a bent side are many. Over all of its length its line
is known far better than any place of it.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from toolpaths.base.checks import Floats
from toolpaths.pictures.smooth_rings import STEP
from toolpaths.shapes.curves import arc
from toolpaths.shapes.tolerance_shares import DEFAULT_TOLERANCE, FLATTEN

Numbers = NDArray[np.int64]

# Pixels: a shorter stretch is never taken for a side.
_SHORTEST = 20.0
# Pixels (root of the mean square) by which steps alone leave a straight side off its line, and the bow that it may
# have; and how much of the noise of what was found may be left in either.
_STEPS_OFF, _STEPS_BOW = 0.08, 0.06
_NOISE_OFF, _NOISE_BOW = 0.6, 0.5
# Of a stretch, either end that may belong to the bend there, and does not tell its line.
_END = 0.15
# Pixels from a side to the next place that is kept, where the bend between two is no arc.
_FREE = 3.0
# Radii tried for a bend, as shares of that which its middle shows.
_TRIED = np.linspace(0.6, 1.4, 161)
# Sine of the least turn between two sides that a bend is looked for at.
_LEAST_SINE = 0.05


class Grain(NamedTuple):
    """What a contour still shows of pixels and noise, in lengths of the contour.

    pixel : the side of a pixel
    noise : root of the mean square of what was taken out
    off : how far a line or an arc may lie off
    """

    pixel: float
    noise: float
    off: float


class _Side(NamedTuple):
    """A straight side from one place of a contour to another, by their numbers, on a line."""

    first: int
    last: int
    middle: Floats
    along: Floats

    def once_round(self, count: int) -> _Side:
        """The same, its places numbered as of the next time round a ring of so many."""
        return self._replace(first=self.first + count, last=self.last + count)

    def at(self, place: Floats) -> Floats:
        """The nearest place on the line."""
        return np.asarray(self.middle + self.along * ((place - self.middle) @ self.along))


def with_straight_sides(points: Floats, closed: bool, grain: Grain) -> Floats:
    """The (n, 2) points of a smooth line again, but straight sides as their two ends, and a bend between two that is an
    arc in chords of that."""
    width = round(_SHORTEST / STEP)
    if len(points) < 2 * width:
        return points
    if closed:
        points = np.roll(points, -_most_bent(points, width), axis=0)
    sides = _sides(points, width, grain)
    if not sides:
        return points
    following = [*sides[1:], sides[0].once_round(len(points))] if closed else sides[1:]
    bends = [_bend(points, a, b, grain) for a, b in zip(sides, following)]
    if not closed:
        # The ends stay where they are, in corners.
        bends = [points[: sides[0].first], *bends, points[sides[-1].last + 1 :]]
    return np.vstack(bends)


def _most_bent(points: Floats, width: int) -> int:
    """Where a ring turns most, so that no side goes over its end."""
    ahead, back = np.roll(points, -width // 2, axis=0) - points, points - np.roll(points, width // 2, axis=0)
    turn = np.arctan2(back[:, 0] * ahead[:, 1] - back[:, 1] * ahead[:, 0], (back * ahead).sum(axis=1))
    return int(np.argmax(np.abs(turn)))


def _sides(points: Floats, width: int, grain: Grain) -> list[_Side]:
    """The straight sides of a line, in order."""
    off = np.hypot(_STEPS_OFF * grain.pixel, _NOISE_OFF * grain.noise)
    sums = _sums(points)
    firsts = np.arange(max(len(points) - width, 0))
    found, end = list[_Side](), 0
    for first in np.flatnonzero(_off_line(sums, firsts, firsts + width) <= off).tolist():
        if first < end:
            continue
        end = _farthest(sums, first, first + width, off)
        side = _side(points, first, end, grain)
        if side is not None:
            found.append(side)
    return found


def _farthest(sums: Floats, first: int, last: int, off: float) -> int:
    """The last point, from one that is near enough on, up to which all from the first on lie on a line."""
    ahead = last - first
    while last < len(sums) - 2:
        lasts = np.arange(last + 1, min(last + ahead, len(sums) - 2) + 1)
        bent = np.flatnonzero(_off_line(sums, np.full(len(lasts), first), lasts) > off)
        if len(bent):
            return last + int(bent[0])
        last, ahead = int(lasts[-1]), 2 * ahead
    return last


def _sums(points: Floats) -> Floats:
    """(n + 1, 6) sums of 1, x, y, xx, xy, yy over the points before each."""
    x, y = (points - points.mean(axis=0)).T
    each = np.column_stack([np.ones(len(x)), x, y, x * x, x * y, y * y])
    return np.vstack([np.zeros(6), np.cumsum(each, axis=0)])


def _off_line(sums: Floats, firsts: Numbers, lasts: Numbers) -> Floats:
    """Root of the mean square by which the points from each of the first to its last lie off their line of best fit."""
    n, x, y, xx, xy, yy = (sums[lasts + 1] - sums[firsts]).T
    a, b, c = xx / n - (x / n) ** 2, xy / n - x * y / n**2, yy / n - (y / n) ** 2
    return np.asarray(np.sqrt(np.maximum((a + c) / 2 - np.hypot((a - c) / 2, b), 0.0)))


def _side(points: Floats, first: int, last: int, grain: Grain) -> _Side | None:
    """The side that a stretch is, without what may belong to the bends at its ends; None for one with a bow."""
    cut = round(_END * (last - first))
    first, last = first + cut, last - cut
    stretch = points[first : last + 1]
    middle = stretch.mean(axis=0)
    along = np.linalg.svd(stretch - middle, full_matrices=False)[2][0]
    along = along if along @ (stretch[-1] - stretch[0]) > 0 else -along
    aside = (stretch - middle) @ np.array([-along[1], along[0]])
    bow = float(np.polyfit(np.linspace(-1.0, 1.0, len(aside)), aside, 2)[0])
    if abs(bow) > _STEPS_BOW * grain.pixel + _NOISE_BOW * grain.noise:
        return None
    return _Side(first, last, middle, along)


def _bend(points: Floats, before: _Side, after: _Side, grain: Grain) -> Floats:
    """What leads from one side to the next, from the end of the one to the start of the other."""
    found = _arc_between(points, before, after, grain)
    if found is not None:
        return found
    # Without what is so near to the sides that the little it is off them would bend it.
    free = min(round(_FREE / STEP), (after.first - before.last) // 3)
    between = np.take(points, np.arange(before.last + free, after.first - free + 1), axis=0, mode="wrap")
    start, end = points[before.last % len(points)], points[after.first % len(points)]
    return np.vstack([before.at(start), between, after.at(end)])


def _arc_between(points: Floats, before: _Side, after: _Side, grain: Grain) -> Floats | None:
    """The arc tangent to two sides that lies nearest to what is between them, in chords; None where it is off that."""
    sine = float(before.along[0] * after.along[1] - before.along[1] * after.along[0])
    cosine = float(before.along @ after.along)
    if abs(sine) < _LEAST_SINE:
        return None
    gap = after.middle - before.middle
    corner = before.middle + before.along * float(gap[0] * after.along[1] - gap[1] * after.along[0]) / sine
    # From the middle of one side to that of the other.
    first, last = (before.first + before.last) // 2, (after.first + after.last) // 2
    looked_at = np.take(points, np.arange(first, last + 1), axis=0, mode="wrap") - corner
    inwards = (after.along - before.along) / np.hypot(*(after.along - before.along))
    half_cosine = np.sqrt((1 + cosine) / 2)
    near = float(np.hypot(*looked_at.T).min())
    tangent = np.sqrt((1 - cosine) / (1 + cosine))
    room = min(-float(looked_at[0] @ before.along), float(looked_at[-1] @ after.along))
    radii = near / (1 / half_cosine - 1) * _TRIED
    radii = radii[radii * tangent < room]
    if not len(radii):
        return None
    off = np.array([_off_bend(looked_at, before, after, inwards / half_cosine, radius, tangent) for radius in radii])
    best = int(np.argmin((off**2).sum(axis=1)))
    if np.abs(off[best]).max() > grain.off:
        return None
    radius = float(radii[best])
    start, centre = corner - before.along * radius * tangent, corner + inwards * radius / half_cosine
    sweep = float(np.arctan2(sine, cosine))
    return arc(tuple(centre.tolist()), tuple(start.tolist()), sweep, FLATTEN * DEFAULT_TOLERANCE)


def _off_bend(points: Floats, before: _Side, after: _Side, centre: Floats, radius: float, tangent: float) -> Floats:
    """By how much (n, 2) points about the corner of two sides lie off these and the arc of a radius between them.

    centre : that of the arc of radius 1
    """
    off_arc = np.hypot(*(points - centre * radius).T) - radius
    on_before = points @ before.along < -radius * tangent
    on_after = points @ after.along > radius * tangent
    aside = [points @ np.array([-side.along[1], side.along[0]]) for side in (before, after)]
    return np.asarray(np.where(on_before, aside[0], np.where(on_after, aside[1], off_arc)))
