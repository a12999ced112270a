"""Contours of pixels made smooth, with their corners kept: what noise and steps did is taken out, what was drawn stays.

A contour is looked at from every place of it to either side. Where two lines through its stretches there cross at an
angle, and no farther off than blur and pixels round a sharp corner, it has one; on a bend they cross farther off. The
sides of a corner are then led on to where they cross. Between corners every place is moved to the parabola of best fit
to its neighbours (Savitzky and Golay, Anal. Chem. 36 (1964) 1627-1639; from memory), which leaves circles where they
were; and a side that is as straight as what was taken out lets one know is its line of best fit.
"""

from __future__ import annotations

from functools import lru_cache
from math import radians
from typing import NamedTuple

import numpy as np

from toolpaths.base.checks import Floats
from toolpaths.shapes.curves import places_along

# Pixels between the places of a contour that are looked at.
STEP = 0.5
# Pixels to either side of a corner that blur and steps have rounded, and of the stretch beyond that shows the side.
_ROUNDED, _SEEN = 3.0, 9.0
# Pixels from one corner to the next at least.
_LEAST_APART = 5.0
# A lesser turn is taken for one of noise or of a bend.
_LEAST_TURN = radians(25.0)
# Pixels: a bend of less radius is taken for a corner. A blur of one pixel rounds a square corner as a radius of 1.9
# does (derived: its half level crosses the diagonal 0.77 from it). And by how much steps may move where lines cross,
# and how many times the noise.
_CORNER_RADIUS, _LOOSE, _LOOSE_NOISES = 3.0, 0.25, 1.5
# Pixels to either side that smoothing looks at.
_SMOOTHED = 5.0
# Pixels from where a contour turns, beyond which its sides do not cross in a corner.
_FARTHEST_CORNER = 4.0


# Pixels by which steps alone leave what is found off a line or an arc (derived: an edge along the pixels that covers
# them by parts lies up to 0.09 off), and so many times the noise that may come on top.
STEPS_OFF, _NOISES = 0.125, 3.0
# Pixels that the middle of a straight side may lie off the line through its ends.
_MOST_BOW = 0.25


class SmoothRing(NamedTuple):
    """A closed contour as parts end to end, each (n, 2), that meet in corners; or one closed part without any.

    A straight part has only its two ends.

    noise : pixels (root of the mean square) by which what was found lay off it
    """

    parts: list[Floats]
    closed: bool
    noise: float

    @property
    def off(self) -> float:
        """Pixels by which what steps and noise did may still show in it."""
        return STEPS_OFF + _NOISES * self.noise

    @property
    def points(self) -> Floats:
        """(n, 2) all places of it, none of them twice."""
        return self.parts[0] if self.closed else np.vstack([part[:-1] for part in self.parts])


def smooth_ring(contour: Floats) -> SmoothRing:
    """A closed contour of (n, 2) pixel places, smooth between its corners."""
    ring = np.vstack([contour, contour[:1]])
    length = float(np.hypot(*np.diff(ring, axis=0).T).sum())
    count = max(8, round(length / STEP))
    points = places_along(ring, np.asarray(np.arange(count) * (length / count)))
    corners = _corners(points)
    if len(corners) == 0:
        smooth = _smoothed_round(points)
        return SmoothRing([smooth], True, _noise(smooth - points))
    rounded = round(_ROUNDED / STEP)
    found, sides = [], []
    for first, last in zip(corners, [*corners[1:], corners[0] + count]):
        trim = min(rounded, (last - first) // 3)
        found.append(np.take(points, np.arange(first + trim, last - trim + 1), axis=0, mode="wrap"))
        sides.append(_smoothed(found[-1]))
    noise = _noise(np.vstack(sides) - np.vstack(found))
    off = STEPS_OFF + _NOISES * noise
    sides = [_straight(side, as_found, off) for side, as_found in zip(sides, found)]
    meeting = [_meeting(before, after, points[at]) for before, after, at in zip([sides[-1], *sides], sides, corners)]
    ends = [*meeting[1:], meeting[0]]
    parts = [np.vstack([a, side if len(side) > 2 else side[:0], b]) for a, side, b in zip(meeting, sides, ends)]
    return SmoothRing(parts, False, noise)


def _noise(taken_out: Floats) -> float:
    return float(np.sqrt((taken_out**2).sum(axis=1).mean()))


def _straight(side: Floats, as_found: Floats, off: float) -> Floats:
    """The two ends of the line of best fit to what was found of a side, where it lies within `off` of the side and
    the side has no bow."""
    middle = as_found.mean(axis=0)
    along = np.linalg.svd(as_found - middle, full_matrices=False)[2][0]
    if along @ (side[-1] - side[0]) < 0:
        along = -along
    aside = (side - middle) @ np.array([-along[1], along[0]])
    bow = float(_fit_of(tuple(range(len(side))))[2] @ aside) * (len(side) / 2) ** 2
    if np.abs(aside).max() > off or abs(bow) > _MOST_BOW:
        return side
    return np.array([middle + along * ((end - middle) @ along) for end in (side[0], side[-1])])


def _corners(points: Floats) -> list[int]:
    """Where a closed contour has corners, as numbers of its places."""
    near, far = round(_ROUNDED / STEP), round((_ROUNDED + _SEEN) / STEP)
    if len(points) < 3 * far:
        return []
    turn = _corner_turns(points, near, far)
    highest = turn.copy()
    apart = round(_LEAST_APART / STEP)
    for k in range(1, apart + 1):
        highest = np.maximum(highest, np.maximum(np.roll(turn, k), np.roll(turn, -k)))
    found = np.flatnonzero((turn > 0) & (turn == highest))
    # Of places that turn alike and stand together, the first; a ring goes on from its end.
    return [int(at) for at, before in zip(found, np.roll(found, 1)) if (at - before - 1) % len(points) >= apart]


def _corner_turns(points: Floats, near: int, far: int) -> Floats:
    """By how much each place of a ring turns as a corner does, radians; 0 for a bend."""
    steps = list(range(near, far + 1))
    height, slope = _fit_of(tuple(steps), 2)
    (ax, ay), (px, py) = (
        sum(w * np.roll(points, k, axis=0) for k, w in zip(steps, each)).T for each in (-slope, height)
    )
    (bx, by), (qx, qy) = (
        sum(w * np.roll(points, -k, axis=0) for k, w in zip(steps, each)).T for each in (slope, height)
    )
    sine, cosine = ax * by - ay * bx, ax * bx + ay * by
    turn = np.abs(np.arctan2(sine, cosine))
    along = ((qx - px) * by - (qy - py) * bx) / np.where(sine == 0, 1e-9, sine)
    x, y = ((np.roll(points, 1, axis=0) + points + np.roll(points, -1, axis=0)) / 3).T
    off = np.hypot(px + along * ax - x, py + along * ay - y)
    loose = _LOOSE + _LOOSE_NOISES * _usual_noise(points)
    most = _CORNER_RADIUS * (1 / np.maximum(np.cos(turn / 2), 1e-3) - 1) + loose
    return np.asarray(np.where((turn >= _LEAST_TURN) & (off <= np.minimum(most, _FARTHEST_CORNER)), turn, 0.0))


def _usual_noise(points: Floats) -> float:
    """Pixels by which most places of a ring lie off a smooth one, without the few at its corners: the median, as the
    root of the mean square of what is distributed normally across the ring."""
    return float(np.median(np.hypot(*(_smoothed_round(points) - points).T))) / 0.6745


@lru_cache
def _fit_of(steps: tuple[int, ...], terms: int = 3) -> Floats:
    """(terms, n) what each of n values at whole steps adds to the height, the slope and the bend at step 0 of the line
    or the parabola of best fit."""
    return np.asarray(np.linalg.pinv(np.vander(np.array(steps, dtype=float), terms, increasing=True)))


def _smoothed_round(points: Floats) -> Floats:
    reach = min(round(_SMOOTHED / STEP), (len(points) - 1) // 2)
    weights = _fit_of(tuple(range(-reach, reach + 1)))[0]
    return np.asarray(sum(weight * np.roll(points, -k, axis=0) for k, weight in zip(range(-reach, reach + 1), weights)))


def _smoothed(points: Floats) -> Floats:
    """An open line, smooth; near its ends, and where it is short, on the parabola of its last stretch."""
    reach = min(round(_SMOOTHED / STEP), (len(points) - 1) // 2)
    if reach < 2:
        return points
    smooth = points.copy()
    weights = _fit_of(tuple(range(-reach, reach + 1)))[0]
    for axis in (0, 1):
        smooth[reach : len(points) - reach, axis] = np.convolve(points[:, axis], weights[::-1], mode="valid")
    for k in range(reach):
        smooth[k] = _fit_of(tuple(range(-k, 2 * reach + 1 - k)))[0] @ points[: 2 * reach + 1]
        smooth[-1 - k] = _fit_of(tuple(range(-k, 2 * reach + 1 - k)))[0] @ points[: -2 * reach - 2 : -1]
    return smooth


def _meeting(before: Floats, after: Floats, turning: Floats) -> Floats:
    """Where two sides, led on straight, cross; where the contour turns if they do not cross near there."""
    if len(before) == 1 or len(after) == 1:
        return turning
    (p, u), (q, v) = _end_line(before[::-1]), _end_line(after)
    sine = u[0] * v[1] - u[1] * v[0]
    if abs(sine) < 0.1:
        return turning
    along = ((q[0] - p[0]) * v[1] - (q[1] - p[1]) * v[0]) / sine
    place = np.asarray(p + along * u)
    return place if np.hypot(*(place - turning)) <= _FARTHEST_CORNER else turning


def _end_line(side: Floats) -> tuple[Floats, Floats]:
    """A place and the unit direction in which a side goes at its first point."""
    near = side[: round(_SMOOTHED / STEP) + 1]
    height, slope = (_fit_of(tuple(range(len(near))), min(len(near), 3)) @ near)[:2]
    return height, slope / np.hypot(*slope)
