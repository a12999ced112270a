"""The curves that an outline drawn in chords stands for, and its corners.

A drawing holds chords where its maker had arcs and curves. Offset, each of its vertices comes out as a short arc about
it, or a crossing, and neither the eye nor a fit can tell the curve any more. So it is judged on the outline drawn: a
chord is one of a curve where it turns little at its ends and its neighbours are about as long. Such a curve is taken to
run half way between its vertices and the middles of its chords, and the whole outline is drawn again as the lines and
arcs that fit it, in chords so fine that they come out of an offset as one curve.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import radians

import numpy as np
from numpy.typing import NDArray

from toolpaths.base.checks import Floats
from toolpaths.shapes import arc_fit
from toolpaths.shapes.exact_arcs import exact_arcs
from toolpaths.shapes.tolerance_shares import DRAWN, FLATTEN
from toolpaths.shapes.track import Track

Flags = NDArray[np.bool_]

# A vertex that turns more than this is a corner; one between chords of which one is so many times as long as the
# other ends a straight side.
_CORNER, _UNLIKE = radians(15.0), 2.5
# The most of its share that a curve is moved half way between vertices and chords; the fit needs the rest.
_MOST_MOVED = 0.9
# Times the share of chords, up to which those of an arc are fine, so that it is taken as drawn.
_FINE = 1.01
# A curve is parted so often again, that its chords lie within a hundredth of that.
_PARTED = 2


def fitted(points: Floats, closed: bool, tolerance: float) -> Track:
    """The lines and arcs that a drawn line of (n, 2) points stands for."""
    points = arc_fit.distinct(points, closed)
    curve, moved = _halfway(points, closed, tolerance)
    most = DRAWN * tolerance if moved == 0 else (DRAWN + FLATTEN) * tolerance - moved
    return arc_fit.fit(curve, closed, most)


def _halfway(points: Floats, closed: bool, tolerance: float) -> tuple[Floats, float]:
    """A line with the chords of its curves parted, half way between them and their vertices; and by how much any of it
    was moved."""
    least, most = FLATTEN * tolerance, 2 * _MOST_MOVED * (DRAWN + FLATTEN) * tolerance
    arcs = exact_arcs(points, _FINE * least)
    bulge = _bulges(points, closed, [vertex for arc in arcs for vertex in (arc.first, arc.last)])
    curved = (np.abs(bulge) > least) & (np.abs(bulge) <= most)
    for arc in arcs:
        curved[arc.first : arc.last] = False
    if not curved.any():
        return points, 0.0
    bulge = np.where(curved, bulge, 0.0)
    moved = float(np.abs(bulge).max()) / 2
    # Each vertex by a quarter of what either chord lies inside, each middle by half of it the other way.
    outwards = bulge[:, None] * _normals(points)
    inwards = (outwards + np.roll(outwards, 1, axis=0)) / 4
    if not closed:
        inwards[0] = inwards[-1] = 0.0
    curve, bulge, curved = _parted(points - inwards, _middles(points) + outwards / 2, bulge, curved)
    for _ in range(_PARTED):
        most_left = np.abs(bulge) / 3
        bulge = np.where(curved, np.clip(_bulges(curve, closed), -most_left, most_left), 0.0)
        curve, bulge, curved = _parted(curve, _middles(curve) + bulge[:, None] * _normals(curve), bulge, curved)
    return curve, moved


def _parted(points: Floats, middles: Floats, bulge: Floats, curved: Flags) -> tuple[Floats, Floats, Flags]:
    """A line with the middles of some of its chords put in, and what each half chord was part of."""
    count = np.where(curved, 2, 1)
    line = np.insert(points, np.flatnonzero(curved) + 1, middles[curved], axis=0)
    return line, np.repeat(bulge, count), np.repeat(curved, count)


def _middles(points: Floats) -> Floats:
    middles: Floats = (points + np.roll(points, -1, axis=0)) / 2
    return middles


def _normals(points: Floats) -> Floats:
    """Unit normals of the chords of a ring, to the right of them."""
    step = np.roll(points, -1, axis=0) - points
    normals: Floats = np.column_stack([step[:, 1], -step[:, 0]]) / np.hypot(*step.T)[:, None]
    return normals


def _bulges(points: Floats, closed: bool, ends: Sequence[int] = ()) -> Floats:
    """By how much the curve that each chord stands for bulges to the right of it; 0 for a side.

    ends : vertices at which a curve ends that is known

    The chord from the last point to the first counts as a side of an open line.
    """
    step = np.roll(points, -1, axis=0) - points
    length = np.hypot(*step.T)
    before, length_before = np.roll(step, 1, axis=0), np.roll(length, 1)
    turn = np.arctan2(before[:, 0] * step[:, 1] - before[:, 1] * step[:, 0], (before * step).sum(axis=1))
    longer, shorter = np.maximum(length, length_before), np.minimum(length, length_before)
    smooth = (np.abs(turn) <= _CORNER) & (longer <= _UNLIKE * shorter)
    smooth[list(ends)] = False
    if not closed:
        smooth[0] = smooth[-1] = False
    smooth_after, turn_after = np.roll(smooth, -1), np.roll(turn, -1)
    near, far = np.where(smooth, turn, turn_after), np.where(smooth_after, turn_after, turn)
    found: Floats = np.where(smooth | smooth_after, length / 2 * np.tan((near + far) / 8), 0.0)
    if not closed:
        found[-1] = 0.0
    return found
