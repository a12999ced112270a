"""From pixels to millimetres: one scale, or the perspective of four points of a known rectangle."""

from __future__ import annotations

from math import atan2, cos, hypot, pi, sin
from typing import NamedTuple

import numpy as np

from toolpaths.base.checks import Floats
from toolpaths.base.errors import InputError, Point, ShapeError

# Three of the four marks as near to a line as this share of their distances are in one.
_IN_LINE = 0.01
# Pixels: two marks nearer to each other give no scale and no direction.
_LEAST_MARKS = 2.0
# What is so much farther off than the upper left pixel, or the first corner, is on the horizon.
_HORIZON = 1e-6


class PixelScale(NamedTuple):
    """Where pixels lie in mm: (x, y, 1) times the three rows of `matrix`, by the last of them; y of mm goes up.

    The last is greater than 0 for what is seen: it is 0 on the horizon of a plane that is seen aslant.
    """

    matrix: Floats

    def to_mm(self, pixels: Floats) -> Floats:
        """(n, 2) mm of (n, 2) pixel places; ShapeError for those on the horizon or beyond."""
        return _mapped(self.matrix, pixels)

    def to_pixels(self, places: Floats) -> Floats:
        """(n, 2) pixel places of (n, 2) mm; ShapeError for those behind the camera."""
        return _mapped(np.asarray(np.linalg.inv(self.matrix)), places)

    def mm_per_pixel(self, pixel: Point) -> float:
        """Millimetres of a pixel's side there: the root of its area."""
        x, y = pixel
        corners = self.to_mm(np.array([(x, y), (x + 1, y), (x, y + 1)]))
        across, down = corners[1] - corners[0], corners[2] - corners[0]
        return float(np.sqrt(abs(across[0] * down[1] - across[1] * down[0])))

    def levelled(self, line: Floats | None) -> PixelScale:
        """Turned about (0, 0) until a line of two pixels lies level or upright, whichever is nearer."""
        if line is None:
            return self
        if _apart(line) < _LEAST_MARKS:
            raise InputError(f"level: its two places are {_apart(line):.2f} pixels apart, which gives no direction.")
        dx, dy = np.diff(self.to_mm(line), axis=0)[0].tolist()
        angle = atan2(dy, dx)
        turn = round(angle / (pi / 2)) * pi / 2 - angle
        c, s = cos(turn), sin(turn)
        return PixelScale(np.array([[c, -s, 0.0], [s, c, 0.0], [0.0, 0.0, 1.0]]) @ self.matrix)

    def with_zero_at(self, place: Point) -> PixelScale:
        """Moved, so that a place in mm becomes (0, 0)."""
        return PixelScale(np.array([[1.0, 0.0, -place[0]], [0.0, 1.0, -place[1]], [0.0, 0.0, 1.0]]) @ self.matrix)


def _mapped(matrix: Floats, places: Floats) -> Floats:
    rows = np.column_stack([places, np.ones(len(places))]) @ matrix.T
    unseen = np.flatnonzero(rows[:, 2] <= _HORIZON)
    if len(unseen):
        x, y = places[unseen[0]].tolist()
        raise ShapeError(f"({x:.1f}, {y:.1f}) is not on the plane of the four corners as it is seen; are they right?")
    return np.asarray(rows[:, :2] / rows[:, 2:])


def _apart(marks: Floats) -> float:
    return float(np.hypot(*(marks[1] - marks[0])))


def _even(mm_per_pixel: float) -> PixelScale:
    """The same scale everywhere; pixels go down, mm up."""
    return PixelScale(np.diag([mm_per_pixel, -mm_per_pixel, 1.0]))


def scale_of_width(outline: Floats, level: Floats | None, width: float) -> PixelScale:
    """The scale at which (n, 2) pixels are so many mm wide, once the line `level` is; (0, 0) is the lower left of what
    surrounds them."""
    across = np.ptp(_even(1.0).levelled(level).to_mm(outline)[:, 0])
    scale = _even(width / float(across)).levelled(level)
    left, low = scale.to_mm(outline).min(axis=0).tolist()
    return scale.with_zero_at((left, low))


def scale_of_marks(marks: Floats, distance: float, level: Floats) -> PixelScale:
    """The scale of two marked pixels and the mm between them: the first is at (0, 0), and the line `level` lies so."""
    if _apart(marks) < _LEAST_MARKS:
        raise InputError(f"marks: the two are {_apart(marks):.2f} pixels apart, which gives no scale.")
    scale = _even(distance / _apart(marks)).levelled(level)
    ((x, y),) = scale.to_mm(marks[:1]).tolist()
    return scale.with_zero_at((x, y))


def scale_of_corners(pixels: Floats, width: float, height: float) -> PixelScale:
    """The perspective of the four corners of a rectangle of known size, one after the other, the first side its width.

    Never mirrored, and turned as it lies in the picture or nearly so; its lower left corner is then at (0, 0).
    """
    for left_out in range(4):
        a, b, c = np.delete(pixels, left_out, axis=0)
        (ux, uy), (vx, vy) = b - a, c - a
        longest = max(hypot(ux, uy), hypot(vx, vy), hypot(ux - vx, uy - vy))
        if abs(ux * vy - uy * vx) <= _IN_LINE * longest * longest:
            raise InputError("corners: three of the four lie in a line, or two in one place.")
    sides = np.roll(pixels, -1, axis=0) - pixels
    turns = {bool(ux * vy > uy * vx) for (ux, uy), (vx, vy) in zip(sides, np.roll(sides, -1, axis=0))}
    if len(turns) > 1:
        raise InputError("corners must go round the rectangle, one after the other; these cross.")
    # Pixels go down: what turns to the right there goes round clockwise as seen.
    up = -height if turns == {True} else height
    matrix = homography(pixels, np.array([(0.0, 0.0), (width, 0.0), (width, up), (0.0, up)]))
    return _upright(PixelScale(matrix if matrix[2] @ [*pixels[0], 1.0] > 0 else -matrix), pixels)


def _upright(scale: PixelScale, pixels: Floats) -> PixelScale:
    """Turned by whole quarters until what is uppermost in the picture is so in mm; (0, 0) at the lower left of the
    pixels."""
    middle = pixels.mean(axis=0)
    above = scale.to_mm(np.array([middle, middle - (0.0, 1.0)]))
    dx, dy = (above[1] - above[0]).tolist()
    c, s = ((1, 0), (0, 1), (-1, 0), (0, -1))[round((pi / 2 - atan2(dy, dx)) / (pi / 2)) % 4]
    turned = PixelScale(np.array([[c, -s, 0.0], [s, c, 0.0], [0.0, 0.0, 1.0]]) @ scale.matrix)
    left, low = turned.to_mm(pixels).min(axis=0).tolist()
    return turned.with_zero_at((left, low))


def homography(pixels: Floats, places: Floats) -> Floats:
    """The (3, 3) matrix, its last number 1, that takes four pixel places (4, 2) to four places (4, 2).

    Eight linear equations (derived).
    """
    rows, right = [], []
    for (x, y), (u, v) in zip(pixels.tolist(), places.tolist()):
        rows += [[x, y, 1, 0, 0, 0, -u * x, -u * y], [0, 0, 0, x, y, 1, -v * x, -v * y]]
        right += [u, v]
    return np.append(np.linalg.solve(np.array(rows), np.array(right)), 1.0).reshape(3, 3)
