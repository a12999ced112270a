"""A picture as greys with the scale of what it shows: from a file or from numbers, never guessed."""

from __future__ import annotations

import os
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

import numpy as np

from toolpaths.base.checks import Floats, between, file_path, flag, one_of, optional, points, shown
from toolpaths.base.checks import tolerance as checked_tolerance
from toolpaths.base.errors import InputError, Point, ShapeError
from toolpaths.base.values import Value, read_only
from toolpaths.pictures.grey_threshold import best_parting, parting
from toolpaths.pictures.known_size import KnownSize, check_in_picture, pixels
from toolpaths.pictures.level_contours import level_contours
from toolpaths.pictures.longest_edge import longest_edge
from toolpaths.pictures.picture_file import check_size, greys_of_file
from toolpaths.pictures.pixel_scale import PixelScale
from toolpaths.pictures.smooth_rings import SmoothRing, smooth_ring
from toolpaths.pictures.traced import Traced, traced

# Shares of red, green and blue in grey (ITU-R BT.601).
_SHARES = (0.299, 0.587, 0.114)
_LONGEST_EDGE = "longest edge"


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class Picture(Value):
    """A picture with its scale, made by read_picture().

    grey : (rows, columns) from 0, black, to 255, white, the uppermost row first. Places in it are pixels (x, y), x to
        the right and y down; whole numbers are the middles of pixels, and (0, 0) is that of the upper left one
    matrix : (3, 3) that takes pixels (x, y, 1) to places in mm, y upwards: the first two by the third
    dark : whether the thing is darker than what is round it
    threshold : the grey that parts the two; None where none does
    notes : what is in doubt
    """

    grey: Floats
    matrix: Floats
    dark: bool
    threshold: float | None
    notes: tuple[str, ...] = ()

    @property
    def size(self) -> tuple[int, int]:
        """(width, height) in pixels."""
        rows, columns = self.grey.shape
        return columns, rows

    @property
    def mm_per_pixel(self) -> float:
        """The side of a pixel in the middle of the picture."""
        across, down = self.size
        return PixelScale(self.matrix).mm_per_pixel(((across - 1) / 2, (down - 1) / 2))

    def to_mm(self, places: Iterable[Point]) -> Floats:
        """(n, 2) places in mm of (n, 2) pixels.

        >>> import numpy as np
        >>> from toolpaths import read_picture
        >>> scan = read_picture(np.full((40, 60), 255), marks=[(10, 30), (50, 30)], distance=20)
        >>> scan.to_mm([(10, 30), (30, 10)]).tolist()
        [[0.0, 0.0], [10.0, 10.0]]

        Raises InputError for what are no places.
        """
        return PixelScale(self.matrix).to_mm(points("places", places))

    def to_pixels(self, places: Iterable[Point]) -> Floats:
        """(n, 2) pixels of (n, 2) places in mm.

        >>> import numpy as np
        >>> from toolpaths import read_picture
        >>> scan = read_picture(np.full((40, 60), 255), marks=[(10, 30), (50, 30)], distance=20)
        >>> scan.to_pixels([(10, 10)]).tolist()
        [[30.0, 10.0]]

        Raises InputError for what are no places.
        """
        return PixelScale(self.matrix).to_pixels(points("places", places))

    def contours(self) -> list[Floats]:
        """The lines along which the picture has the grey of its threshold, closed, the one that encloses most first.

        Each is (n, 2) pixels, the last not the first again, as found: neither smooth nor of arcs.

        >>> import numpy as np
        >>> from toolpaths import read_picture
        >>> y, x = np.mgrid[:80, :120]
        >>> disc = read_picture(np.where(np.hypot(x - 60, y - 40) < 30, 20, 230), width=100)
        >>> len(disc.contours())
        1

        Raises ShapeError where no threshold parts the picture.
        """
        if self.threshold is None:
            raise ShapeError(best_parting(self.grey).why_not)
        return level_contours(self.grey, self.threshold, self.dark)

    def outlines(self, *, least_mm2: float = 1.0, tolerance: float | None = None) -> Traced:
        """The outlines of the thing in the picture, in mm: shapes with holes, of lines and tangent arcs.

        least_mm2 : smaller specks and holes are left out and listed in the notes
        tolerance : mm that the lines and arcs may lie off the smooth contour; an eighth of a pixel if not given

        Away from corners an outline lies within 0.3 pixels of the edge for a blur (standard deviation) of up to one
        pixel and noise of up to a twentieth of the contrast; corners within one. Corners are kept that turn by 60 to
        120 degrees between sides of 20 pixels or more; sharper ones lose their tip, others may be rounded, as are all
        in a picture more blurred. Bends are as exact from 10 pixels' radius on, with half the noise from 5 on; those
        of 4 or less may become corners. Measured on pictures drawn with known blur and noise: what a lens bends, and
        what is shadow, is not in these numbers.

        >>> import numpy as np
        >>> from toolpaths import read_picture
        >>> y, x = np.mgrid[:80, :120]
        >>> disc = read_picture(np.where(np.hypot(x - 60, y - 40) < 30, 20, 230), width=100)
        >>> disc.outlines().largest.area > 7_700
        True

        Raises ShapeError where no threshold parts the picture, and where nothing is left.
        """
        least = between("least_mm2", least_mm2, 0.0, 1e9)
        close = optional("tolerance", tolerance, checked_tolerance)
        return traced(self.contours(), PixelScale(self.matrix), self.size, least, close)

    def __repr__(self) -> str:
        across, down = self.size
        grey = "no threshold" if self.threshold is None else f"threshold {self.threshold:.0f}"
        return f"<Picture: {across} x {down} pixels, {self.mm_per_pixel:.4f} mm each, {grey}>"


def read_picture(
    picture: str | os.PathLike[str] | Any,
    *,
    width: float | None = None,
    marks: Iterable[Point] | None = None,
    distance: float | None = None,
    corners: Iterable[Point] | None = None,
    rectangle: Point | None = None,
    level: Iterable[Point] | str | None = None,
    dark: bool = True,
    threshold: float | None = None,
) -> Picture:
    """Read a picture from a file (PNG, JPEG, TIFF, BMP, WebP) or an array of greys or colours from 0 to 255.

    A photograph is turned as its camera was held. Colours become greys; what is transparent lies on white.

    Exactly one of these gives the scale; without one there is none to be had from a picture:

    width : mm across the largest outline; (0, 0) is the lower left of what surrounds it
    marks, distance : two pixel places and the mm between them; the first becomes (0, 0), and the line through them
        level or upright, whichever is nearer
    corners, rectangle : four pixel places, the corners of a rectangle one after the other, and its (width, height) in
        mm, the first being that of the side from the first corner to the second; perspective is taken out, what is
        uppermost stays so, and (0, 0) is the rectangle's lower left corner. What stands above the plane of the four
        is off by its height times its distance from below the camera over the camera's height above it

    level : two pixel places of a line that is to lie level or upright, whichever is nearer; or "longest edge", the
        longest straight edge of the largest outline; without it a width is taken of the picture as it lies
    dark : whether the thing is darker than what is round it
    threshold : the grey, 0 to 255, that parts the two; found if not given. Where none does, a note says so, and only
        what needs no outline can be done with the picture

    >>> import numpy as np
    >>> from toolpaths import read_picture
    >>> y, x = np.mgrid[:80, :120]
    >>> read_picture(np.where(np.hypot(x - 60, y - 40) < 30, 20, 230), marks=[(10, 40), (90, 40)], distance=200)
    <Picture: 120 x 80 pixels, 2.5000 mm each, threshold 125>

    Raises InputError for a file that is no picture or is cut off, for one that is too large, before it is decoded,
    without exactly one scale, and for marks in one place or three corners in a line; ShapeError where the scale or
    `level` needs an outline and no threshold parts the picture.
    """
    known = KnownSize.of(width, marks, distance, corners, rectangle)
    side = flag("dark", dark)
    grey, notes = _greys(picture)
    given = None if threshold is None else between("threshold", threshold, 0.0, 255.0)
    parted = best_parting(grey) if given is None else parting(grey, given)
    parts = given is not None or parted.clear
    if not parts:
        notes = (*notes, parted.why_not)
    known.check_in_picture((grey.shape[1], grey.shape[0]))
    unsized = Picture(grey, np.eye(3), side, parted.threshold if parts else None, notes)
    line = _level_line(level, unsized)
    matrix = known.scale(_largest(unsized).points if known.of_outline else None, line).matrix
    return Picture(grey, read_only(matrix), side, unsized.threshold, notes)


def _greys(picture: Any) -> tuple[Floats, tuple[str, ...]]:
    if isinstance(picture, (str, os.PathLike)):
        grey, notes = greys_of_file(file_path("picture", picture))
        return read_only(grey), notes
    if not isinstance(picture, np.ndarray):
        raise InputError(f"picture={shown(picture)} must be the path of a file, or an array of greys or colours.")
    if picture.dtype == bool:
        picture = picture * 255
    if picture.dtype.kind not in "uif" or picture.ndim not in (2, 3) or (picture.ndim == 3 and picture.shape[2] != 3):
        raise InputError("picture must be an array of numbers: (rows, columns) greys, or (rows, columns, 3) colours.")
    check_size(picture.shape[1], picture.shape[0])
    grey = picture.astype(float) if picture.ndim == 2 else picture.astype(float) @ np.array(_SHARES)
    if not (np.isfinite(grey).all() and grey.min() >= 0 and grey.max() <= 255 + 1e-6):
        raise InputError("picture holds a number that is none from 0 (black) to 255 (white).")
    return read_only(grey), ()


def _largest(picture: Picture) -> SmoothRing:
    return smooth_ring(picture.contours()[0])


def _level_line(level: Iterable[Point] | str | None, picture: Picture) -> Floats | None:
    if isinstance(level, str):
        one_of("level", level, (_LONGEST_EDGE,))
        return longest_edge(_largest(picture))
    if level is None:
        return None
    line = pixels("level", level, 2)
    check_in_picture("level", line, picture.size)
    return line
