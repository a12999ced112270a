"""Where the outermost wood of a face stands: the face is levelled by no more than that, be it a rim or an island.

Cells may miss a rim narrower than they are, so places along the edges of the board are looked at exactly as well.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from toolpaths.base.checks import Floats
from toolpaths.facts.board import Board
from toolpaths.judging.trial.case import Trial
from toolpaths.judging.trial.exact_heights import face_at, faces_before, lower_face
from toolpaths.judging.wood.field import Heights, Wood, heights_at, one_height
from toolpaths.judging.wood.patches import centres
from toolpaths.judging.wood.sweep import Flags

# mm of height; wood thinner than this is none, and a face cut by less is not cut.
_NOTHING = 0.002
# mm from the edges at which a rim is looked for: a narrower one is crushed; and between two places along them.
_RIM, _STEP = 0.1, 2.0
# Rows and columns of places over the board that are looked at exactly.
_ROWS = 40


class Outermost(NamedTuple):
    """The wood that stands out farthest from a face: on the board as it lies, mm.

    by : how far it lies behind the face as measured, 0 where some of that face stands
    """

    x: float
    y: float
    by: float


def of_lower_face(stock: Wood) -> Outermost | None:
    """On what the board rests; None where no wood is left."""
    thickness = stock.board.thickness
    found = _in_cells(stock, stock.bottom, 1.0, thickness)
    if found is None or found.by <= _NOTHING or stock.top_cuts is None:
        return found
    places = _along_edges(stock.board)
    bottom = lower_face(stock, places)
    if bottom is None:
        return found
    at_edges = _least(places, bottom + thickness, face_at(stock.top_cuts, places) - bottom > _NOTHING)
    return min((each for each in (found, at_edges) if each), key=lambda each: each.by)


def of_upper_face(trial: Trial, move: int) -> Outermost | None:
    """The highest wood when a move begins; None where no wood is left."""
    at_end = _in_cells(trial.after, trial.after.top, -1.0, 0.0)
    if at_end is not None and at_end.by <= _NOTHING:
        # Wood only goes away: it stood all the time.
        return at_end
    board = trial.after.board
    places = np.concatenate([_along_edges(board), _over(board)])
    top, bottom = faces_before(trial, places, np.full(len(places), move))
    return _least(places, -top, top - bottom > _NOTHING)


def _in_cells(stock: Wood, face: Heights, sign: float, shift: float) -> Outermost | None:
    """The outermost wood at the centres of cells, a face whose distance behind the measured one is sign * z + shift."""
    cell = 0 if one_height(face) else int(face.argmin() if sign > 0 else face.argmax())
    left = heights_at(stock.top, np.array([cell])) - heights_at(stock.bottom, np.array([cell]))
    if left[0] <= _NOTHING:
        wood = np.flatnonzero(stock.top - stock.bottom > _NOTHING)
        if not len(wood):
            return None
        cell = int(wood[(sign * heights_at(face, wood)).argmin()])
    (x, y), (z,) = centres(stock.grid, np.array([cell]))[0].tolist(), heights_at(face, np.array([cell])).tolist()
    return Outermost(x, y, round(sign * z + shift, 6))


def _least(places: Floats, behind: Floats, wood: Flags) -> Outermost | None:
    """Of places (k, 2) with wood that which lies least behind its face."""
    if not wood.any():
        return None
    first = int(np.where(wood, behind, np.inf).argmin())
    x, y = places[first].tolist()
    return Outermost(x, y, float(behind[first]))


def _along_edges(board: Board) -> Floats:
    """(k, 2) places on the rim of the board, all round."""
    wide, high = board.width, board.height
    xs, ys = (np.linspace(_RIM, size - _RIM, max(int(size / _STEP), 2)) for size in (wide, high))
    sides = [(xs, np.full_like(xs, y)) for y in (_RIM, high - _RIM)]
    sides += [(np.full_like(ys, x), ys) for x in (_RIM, wide - _RIM)]
    return np.concatenate([np.stack(side, axis=1) for side in sides])


def _over(board: Board) -> Floats:
    """(k, 2) places all over the board."""
    xs, ys = (np.linspace(_RIM, size - _RIM, _ROWS) for size in (board.width, board.height))
    across, up = np.meshgrid(xs, ys)
    return np.stack([across.ravel(), up.ravel()], axis=1)
