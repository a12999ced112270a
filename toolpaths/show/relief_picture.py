"""The upper face of the wood as it stands, shaded as if light fell on it from the upper left."""

from __future__ import annotations

from base64 import b64encode
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from toolpaths.base.checks import Floats, instance, whole
from toolpaths.facts import drawn
from toolpaths.judging.wood.field import Grid, Wood
from toolpaths.judging.wood.raster import covered
from toolpaths.show.markup import Markup, tag
from toolpaths.show.png import png

# Towards the light: from the left, from above on the page, and down on the board; of length 1.
_LIGHT = np.array([-0.45, 0.55, 0.70]) / np.sqrt(0.45**2 + 0.55**2 + 0.70**2)
# Grey of a level face, how much darker the deepest place is, and grey where no wood is left.
_FACE, _DEEPER, _OPEN = 225.0, 70.0, 255
_EDGE = 60
_MOST_PIXELS = 4000
# Pixels of paper about what is shown within a page.
_RIM = 4
# Squares along the longer side of a board by which areas are counted.
_COUNTED = 500


def relief_png(wood: Wood, *, pixels: int = 800, within: BaseGeometry | None = None) -> bytes:
    """A PNG of a board's upper face, as it lies.

    pixels : along its longer side, 50 to 4000; no more than the wood has cells
    within : an area of the board as it lies; what lies beyond it is left white

    Deeper is darker, white is cut right through, walls and slopes are bright or dark by the side from which the light
    falls.

    >>> import toolpaths as tp
    >>> side = tp.Fixture(board=tp.Board(width=100, height=60, thickness=18))
    >>> T1 = tp.Cutter(1, tp.flat(6), feed_mm_min=1500, spindle_rpm=18000)
    >>> setup = tp.Setup(side, [tp.pocket(tp.circle(30, (50, 30)), T1, depth=5)])
    >>> stock = tp.simulate(tp.program_text(setup), side, [T1], cell=1.0).stock
    >>> tp.relief_png(stock, pixels=100)[:4]
    b'\\x89PNG'

    Raises InputError for what is no Wood, and for so many pixels.
    """
    instance("wood", wood, Wood)
    area = None if within is None else drawn.area("within", within)
    return png(_relief(SeenFace(wood, area), whole("pixels", pixels, 50, _MOST_PIXELS)))


@dataclass(frozen=True, eq=False)
class SeenFace:
    """The upper face of the wood, of which an area of the board as it lies is shown; all of it where there is none."""

    wood: Wood
    within: BaseGeometry | None = None
    _left: dict[int, Floats] = field(default_factory=dict)

    def left(self, step: int) -> Floats:
        """(rows, columns) mm of wood that are left in squares of so many cells; none beyond the area."""
        if step not in self._left:
            left = _every(self.wood.thickness(), step)
            inside = True if self.within is None else _inside(self.wood, step, self.within)
            self._left[step] = np.where(inside, left, 0.0)
        return self._left[step]

    def image(self, what: str, pixels: int = 800) -> Markup:
        """A picture of it within a page, no larger than what is shown. what : what it shows, in words"""
        data = b64encode(png(_cropped(_relief(self, pixels)))).decode("ascii")
        return tag("img", src=f"data:image/png;base64,{data}", alt=what)

    @property
    def area(self) -> float:
        """mm2 of it over which the face, or a floor in it, stands."""
        step = max(1, -(-max(self.wood.grid.shape) // _COUNTED))
        return float(np.count_nonzero(self.left(step) > 0)) * (self.wood.cell * step) ** 2


def _relief(seen: SeenFace, pixels: int) -> NDArray[np.uint8]:
    """(rows, columns) grey values, the board's upper edge first."""
    step = max(1, -(-max(seen.wood.grid.shape) // pixels))
    heights, left = _every(seen.wood.top, step), seen.left(step)
    shade = _shade(heights, seen.wood.cell * step)
    deepest = max(-float(heights[left > 0].min(initial=0.0)), 1e-9)
    grey = _FACE * shade - _DEEPER * np.clip(-heights, 0.0, deepest) / deepest
    picture = np.clip(np.round(grey), 0, 250).astype(np.uint8)
    opened = left <= 0
    picture[opened] = _OPEN
    # The rim of an opening, where wood stands beside it.
    beside = np.zeros_like(opened)
    beside[1:] |= opened[:-1]
    beside[:-1] |= opened[1:]
    beside[:, 1:] |= opened[:, :-1]
    beside[:, :-1] |= opened[:, 1:]
    picture[beside & ~opened] = _EDGE
    return np.ascontiguousarray(picture[::-1])


def _cropped(picture: NDArray[np.uint8]) -> NDArray[np.uint8]:
    """Without its empty rows and columns at the edges, but for a few."""
    rows, columns = (np.flatnonzero((picture != _OPEN).any(axis=axis)) for axis in (1, 0))
    if not len(rows):
        return picture
    (low, high), (left, right) = ((max(0, some[0] - _RIM), some[-1] + 1 + _RIM) for some in (rows, columns))
    return np.ascontiguousarray(picture[low:high, left:right])


def _inside(wood: Wood, step: int, area: BaseGeometry) -> NDArray[np.bool_]:
    """Whether the middle of each square of so many cells lies in an area."""
    rows, columns = (-(-count // step) for count in wood.grid.shape)
    return covered(area, Grid(wood.cell * step, wood.grid.left, wood.grid.low, rows, columns))


def _every(face: NDArray[np.float32], step: int) -> Floats:
    """The mean over squares of so many cells; what is left over at the far edges goes by itself."""
    rows, columns = face.shape
    by_row = np.zeros((-(-rows // step), columns))
    sums = np.zeros((len(by_row), -(-columns // step)))
    for nth in range(step):
        row = face[nth::step]
        by_row[: len(row)] += row
    for nth in range(step):
        column = by_row[:, nth::step]
        sums[:, : column.shape[1]] += column
    counts = np.outer(*(np.diff([*range(0, count, step), count]) for count in (rows, columns)))
    return np.asarray(sums / counts)


def _shade(heights: Floats, cell: float) -> Floats:
    """How much light falls on each place, 1 on a level one (Lambert's law)."""
    up, across = np.gradient(heights, cell) if min(heights.shape) > 1 else (np.zeros_like(heights),) * 2
    normal = np.sqrt(across * across + up * up + 1.0)
    light = (_LIGHT[2] - _LIGHT[0] * across - _LIGHT[1] * up) / normal
    return np.asarray(np.clip(light / _LIGHT[2], 0.35, 1.1))
