"""A place of a board's face that a side never cuts: there Z0 can be found again."""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray

from toolpaths.base.errors import Point
from toolpaths.base.units import MM_PER_INCH
from toolpaths.show.sheet.sheet_side import SheetSide

# mm between the places that are looked at, which are read off as round numbers; and how many at most along an axis.
_STEP, _MOST = {"mm": 5.0, "inch": MM_PER_INCH / 4}, 100
# mm that it keeps from what stands on the board; and below the face, where a place is cut.
_CLEAR, _BELOW = 15.0, 0.001
# Steps all round it, as many as can be had.
_ROOM = (2, 1)
# Steps from zero within which most boards have one: places farther off are looked at only where there is none.
_NEAR = 16


def uncut_place(side: SheetSide) -> Point | None:
    """(x, y) from X0 Y0, the nearest to it about which nothing is ever cut or comes loose."""
    fixture = side.setup.fixture
    zero = np.array(fixture.zero[:2])
    size = np.array([fixture.board.width, fixture.board.height])
    step = _STEP[side.lengths.units] * np.ceil(size.max() / (_MOST * _STEP[side.lengths.units]))
    xs, ys = (np.arange(np.ceil(-at / step), np.floor((long - at) / step) + 1) * step for at, long in zip(zero, size))
    kept_off = [thing.outline.buffer(_CLEAR) for thing in fixture.standing() if thing.kind != "grip"]
    kept_off += [piece.area for piece in side.freed if piece.waste]
    kept_off_by_any = shapely.union_all(kept_off)
    for reach, rooms in ((_NEAR * step, _ROOM[:1]), (np.inf, _ROOM)):
        # Those all round it are looked at, too.
        near_xs, near_ys = (some[np.abs(some) < reach + (_ROOM[0] + 0.5) * step] for some in (xs, ys))
        places = np.stack(np.meshgrid(near_xs, near_ys), axis=-1).reshape(-1, 2)
        stands = side.setup.removed.stands_at(places + zero, -_BELOW)
        stands &= ~shapely.intersects_xy(kept_off_by_any, *(places + zero).T)
        free, away = stands.reshape(len(near_ys), len(near_xs)), np.hypot(*places.T)
        for steps in rooms:
            whole = np.flatnonzero(_eroded(free, steps).ravel() & (away <= reach))
            if len(whole):
                x, y = places[whole[np.argmin(away[whole])]].tolist()
                return x, y
    return None


def _eroded(free: NDArray[np.bool_], steps: int) -> NDArray[np.bool_]:
    """Where all within so many steps along the axes is free."""
    (rows, columns), around, width = free.shape, np.pad(free, steps), 2 * steps + 1
    shifted = [around[i : i + rows, j : j + columns] for i in range(width) for j in range(width)]
    return np.asarray(np.logical_and.reduce(shifted))
