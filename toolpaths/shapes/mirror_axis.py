"""The line in which a shape is nearest to its own mirror image, and of two such lines the pair square to each other.

A mirror line of a shape runs through the centroid of its area along a principal axis of it (derived: either moment
would change sign). Where the two moments are alike, as a square's, no axis follows from them, so that directions all
round are looked at as well. From the likeliest of them the line is turned and moved until the area that the shape
and its image do not share is least.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from math import atan2, cos, pi, sin, sqrt

import numpy as np
import shapely
from shapely import Polygon, affinity

from toolpaths.base.checks import Floats
from toolpaths.shapes.symmetry import MirrorLine

# Directions looked at beside the principal ones, in half a turn.
_DIRECTIONS = 90
# Directions nearer to each other than this, radians, lead to one line.
_ONE_LINE = pi / 24
# Lines that share nearly as much as the best: times its area not shared, and a share of the shape's area more.
_AS_GOOD, _AS_GOOD_SHARE = 1.5, 0.002
# Directions that are followed up, of those that share nearly as much as the best.
_MOST_FOLLOWED, _FOLLOWED, _FOLLOWED_SHARE = 8, 3.0, 0.05
# Share of its size by which a shape is made simpler to look for lines.
_ROUGH = 4e-3
# The first steps in which a line is turned (radians) and moved (share of the shape's size), how often they are halved
# for the simpler shape, and then for the shape itself.
_TURNED, _MOVED, _HALVINGS, _LAST_HALVINGS = 0.03, 0.01, 6, 15


def found_lines(shape: Polygon, number: int) -> tuple[tuple[MirrorLine, ...], tuple[MirrorLine, ...]]:
    """One mirror line, or two square to each other, the steeper first; and others that would do as well as the first.

    number : 1 or 2
    """
    middle = shape.centroid.x, shape.centroid.y
    size = sqrt(shape.area)
    rough = _Overlap(shapely.simplify(shape, _ROUGH * size), middle, number)
    angles = [*principal_angles(shape), *(pi * k / _DIRECTIONS for k in range(_DIRECTIONS))]
    likely = sorted((rough.not_shared([angle, *[0.0] * number]), angle) for angle in angles)
    starts: list[float] = []
    most = _FOLLOWED * likely[0][0] + _FOLLOWED_SHARE * shape.area
    for cost, angle in likely:
        if (
            cost <= most
            and len(starts) < _MOST_FOLLOWED
            and all(_apart(angle, other, number) > _ONE_LINE for other in starts)
        ):
            starts.append(angle)
    steps = [_TURNED, *[_MOVED * size] * number]
    roughly = sorted(_least(rough.not_shared, [angle, *[0.0] * number], steps, _HALVINGS) for angle in starts)
    close = _AS_GOOD * roughly[0][0] + _AS_GOOD_SHARE * shape.area
    good: list[list[float]] = []
    for cost, at in roughly:
        if cost <= close and all(_apart(at[0], other[0], number) > _ONE_LINE for other in good):
            good.append(at)
    # Of those that are as good the most upright, so that noise does not choose.
    best, *others = sorted(good, key=lambda at: round(abs(sin(at[0] - pi / 2)) if number == 1 else _off_axis(at[0]), 6))
    exact = _Overlap(shape, middle, number)
    _, best = _least(exact.not_shared, best, [step / 2**_HALVINGS for step in steps], _LAST_HALVINGS)
    lines = sorted(exact.lines(best), key=lambda line: -abs(line.along_y))
    return tuple(map(_upwards, lines)), tuple(_upwards(exact.lines(other)[0]) for other in others)


def principal_angles(shape: Polygon) -> tuple[float, float]:
    """Directions, radians, of the two principal axes of an area through its centroid."""
    xx = yy = xy = 0.0
    middle = np.array([shape.centroid.x, shape.centroid.y])
    for ring in (shape.exterior, *shape.interiors):
        points = shapely.get_coordinates(ring) - middle
        sign = 1.0 if (ring is shape.exterior) == ring.is_ccw else -1.0
        (x0, y0), (x1, y1) = points[:-1].T, points[1:].T
        cross = sign * (x0 * y1 - x1 * y0)
        xx += float((cross * (x0 * x0 + x0 * x1 + x1 * x1)).sum()) / 12
        yy += float((cross * (y0 * y0 + y0 * y1 + y1 * y1)).sum()) / 12
        xy += float((cross * (x0 * y1 + 2 * x0 * y0 + 2 * x1 * y1 + x1 * y0)).sum()) / 24
    angle = atan2(2 * xy, xx - yy) / 2
    return angle, angle + pi / 2


class _Overlap:
    """A shape against its image in lines at (angle, mm that the first is moved aside, and the second)."""

    def __init__(self, shape: Polygon, middle: tuple[float, float], number: int) -> None:
        self.shape, self.middle, self.number = shape, middle, number

    def lines(self, at: Sequence[float]) -> list[MirrorLine]:
        angle, *aside = at
        found = []
        for k, off in enumerate(aside):
            c, s = cos(angle + k * pi / 2), sin(angle + k * pi / 2)
            found.append(MirrorLine((self.middle[0] + off * s, self.middle[1] - off * c), c, s))
        return found

    def not_shared(self, at: Sequence[float]) -> float:
        """Areas, mm2, that only one of the shape and its image has, of all lines together."""
        images = [affinity.affine_transform(self.shape, line.matrix) for line in self.lines(at)]
        shared = float(shapely.area(shapely.intersection(self.shape, images)).sum())
        return 2 * (self.number * float(self.shape.area) - shared)


def _least(
    cost: Callable[[Sequence[float]], float], start: list[float], steps: list[float], halvings: int
) -> tuple[float, list[float]]:
    """The least cost near a start, and where: by steps along each axis, halved where none of them is better
    (after Hooke and Jeeves, J. ACM 8(2) 1961, 212-229; from memory)."""
    best, at = cost(start), start
    for _ in range(halvings):
        better = True
        while better:
            before = at
            best, at = _stepped(cost, best, at, steps)
            better = at != before
            # What was better by a step is often still better by as much again.
            while at != before:
                ahead = [2 * now - was for now, was in zip(at, before)]
                found = cost(ahead)
                if found >= best:
                    break
                best, at, before = found, ahead, at
        steps = [step / 2 for step in steps]
    return best, at


def _stepped(
    cost: Callable[[Sequence[float]], float], best: float, at: list[float], steps: list[float]
) -> tuple[float, list[float]]:
    """The same place, or a better one a step away along some of the axes."""
    for axis, step in enumerate(steps):
        for by in (step, -step):
            other = [value + by * (k == axis) for k, value in enumerate(at)]
            found = cost(other)
            if found < best:
                best, at = found, other
                break
    return best, at


def _apart(one: float, other: float, number: int) -> float:
    """Between two directions, or two crosses, radians."""
    turn = pi / number
    off = abs(one - other) % turn
    return min(off, turn - off)


def _off_axis(angle: float) -> float:
    return _apart(angle, 0.0, 2)


def _upwards(line: MirrorLine) -> MirrorLine:
    """The same line, its direction up, or to the right where it is level; along x or y exactly where it nearly is."""
    x, y = _cleaned(line.along_x), _cleaned(line.along_y)
    return MirrorLine(line.place, -x, -y) if y < 0 or (y == 0 and x < 0) else MirrorLine(line.place, x, y)


def _cleaned(part: float) -> float:
    """A part of a unit direction without its rounding."""
    if abs(part) < 1e-9:
        return 0.0
    return float(np.sign(part)) if abs(part) > 1 - 1e-17 else part


def local(line: MirrorLine, points: Floats) -> Floats:
    """(n, 2) mm to the right of a line, and along it."""
    along = np.array([line.along_x, line.along_y])
    off = points - np.array(line.place)
    return np.column_stack([off @ np.array([along[1], -along[0]]), off @ along])


def placed(line: MirrorLine, points: Floats) -> Floats:
    """Back from mm to the right of a line and along it."""
    u, v = points[:, :1], points[:, 1:]
    along = np.array([line.along_x, line.along_y])
    return np.asarray(np.array(line.place) + u * np.array([along[1], -along[0]]) + v * along)
