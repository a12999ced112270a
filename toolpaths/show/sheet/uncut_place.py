"""A place of a board's face that a side never cuts: there Z0 can be found again."""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray

from toolpaths.base.errors import Point
from toolpaths.base.units import MM_PER_INCH
from toolpaths.show.sheet.comes_free import freed_pieces
from toolpaths.show.sheet.sheet_side import SheetSide

# mm between the places that are looked at, which are read off as round numbers; and how many at most along an axis.
_STEP, _MOST = {"mm": 5.0, "inch": MM_PER_INCH / 4}, 100
# mm that it keeps from what stands on the board; and below the face, where a place is cut.
_CLEAR, _BELOW = 15.0, 0.001
# Steps all round it, as many as can be had.
_ROOM = (2, 1)


def uncut_place(side: SheetSide) -> Point | None:
    """(x, y) from X0 Y0, the nearest to it about which nothing is ever cut or comes loose."""
    fixture = side.setup.fixture
    zero = np.array(fixture.zero[:2])
    size = np.array([fixture.board.width, fixture.board.height])
    step = _STEP[side.lengths.units] * np.ceil(size.max() / (_MOST * _STEP[side.lengths.units]))
    xs, ys = (np.arange(np.ceil(-at / step), np.floor((long - at) / step) + 1) * step for at, long in zip(zero, size))
    places = np.stack(np.meshgrid(xs, ys), axis=-1).reshape(-1, 2)
    kept_off = [thing.outline.buffer(_CLEAR) for thing in fixture.standing() if thing.kind != "grip"]
    kept_off += [piece.area for piece in freed_pieces(side) if piece.waste]
    stands = side.setup.removed.stands_at(places + zero, -_BELOW)
    stands &= ~shapely.intersects_xy(shapely.union_all(kept_off), *(places + zero).T)
    free = stands.reshape(len(ys), len(xs))
    for steps in _ROOM:
        whole = _eroded(free, steps).ravel()
        if whole.any():
            found = places[whole]
            x, y = found[np.argmin(np.hypot(*found.T))].tolist()
            return x, y
    return None


def _eroded(free: NDArray[np.bool_], steps: int) -> NDArray[np.bool_]:
    """Where all within so many steps along the axes is free."""
    (rows, columns), around, width = free.shape, np.pad(free, steps), 2 * steps + 1
    shifted = [around[i : i + rows, j : j + columns] for i in range(width) for j in range(width)]
    return np.asarray(np.logical_and.reduce(shifted))
