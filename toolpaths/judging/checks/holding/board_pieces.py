"""The pieces of a board that hang together only by little wood, tabs, skins and narrow webs, and where they meet.

Looked at in cells wide enough to be few and narrow enough to show every cut. How thick the wood is where two pieces
meet is not read from them.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from toolpaths.base.checks import Floats
from toolpaths.judging.checks.holding.cut_through import SKIN
from toolpaths.judging.trial.case import Trial
from toolpaths.judging.trial.findings import ROUNDING
from toolpaths.judging.wood.field import Grid, Wood
from toolpaths.judging.wood.patches import around, centres
from toolpaths.judging.wood.regions import joined, label
from toolpaths.judging.wood.sweep import Flags, Ints

# Wood thinner than this share of the thickest within so many mm joins pieces and belongs to none; so does a web less
# than twice so many mm wide. No tab is so thick, or stands between walls so far apart.
_THIN, _NEAR, _NARROW = 0.7, 10.0, 5.0
# mm: width of the cells, in between half of the narrowest cutter.
_WIDEST, _FINEST = 1.5, 0.5
# Cells to each side by which is told which way a border runs.
_LOOK_AROUND = 2
# mm2; what is smaller is a chip.
_CHIP = 4.0
# mm2 of wood in the end by which two pieces are one: no cutter of a small machine breaks that.
_ONE = 600.0


class Borders(NamedTuple):
    """b short stretches of the lines along which pieces meet, midway between them.

    pieces : (2, b) the two
    place : (b, 2) the middle; along, normal : (b, 2) of length 1, along the cells' edge, and from piece to piece
    width : (b,) mm of the line
    near : (b,) whether wood stands there or close by in the end
    """

    pieces: Ints
    place: Floats
    along: Floats
    normal: Floats
    width: Floats
    near: Flags


class BoardPieces(NamedTuple):
    """The pieces, numbered from 0.

    number : (rows, columns) the nearest piece to each cell, wood or not; -1 where there is none at all
    thickness, lower_face : (rows, columns) mm of wood there in the end, and how high its underside lies
    borders : where two of them meet
    """

    grid: Grid
    how_many: int
    number: Ints
    thickness: Floats
    lower_face: Floats
    borders: Borders


def board_pieces(trial: Trial) -> BoardPieces:
    """The pieces that a program leaves."""
    grid, step = _coarse(trial)
    top, bottom = (np.asarray(face[::step, ::step], np.float64) for face in (trial.after.top, trial.after.bottom))
    thickness = np.where(top - bottom >= SKIN - ROUNDING, top - bottom, 0.0)
    solid = (thickness > 0) & (thickness >= _THIN * _widened(thickness, round(_NEAR / grid.cell)))
    number, count = _cores(solid, grid)
    number = _grown(_grown(number, solid), np.ones_like(solid))
    borders, wood = _borders(number, grid, thickness)
    number, count, borders = _strongly_joined(number, count, borders, wood * borders.width)
    return BoardPieces(grid, count, number, thickness, bottom, borders)


def _strongly_joined(number: Ints, count: int, borders: Borders, section: Floats) -> tuple[Ints, int, Borders]:
    """The same with pieces made one that much wood joins; section : (b,) mm2 of it along each stretch."""
    pair, which = np.unique(np.sort(borders.pieces, axis=0), axis=1, return_inverse=True)
    strong = np.bincount(which.ravel(), section, minlength=pair.shape[1]) >= _ONE
    root = joined(count, *pair[:, strong])
    roots = np.flatnonzero(root == np.arange(count))
    new = np.append(np.searchsorted(roots, root), -1)
    pieces = new[borders.pieces]
    kept = pieces[0] != pieces[1]
    return new[number], len(roots), Borders(pieces[:, kept], *(each[kept] for each in borders[1:]))


def _coarse(trial: Trial) -> tuple[Grid, int]:
    """The cells looked at, and every how many of the wood's own they are one."""
    wood: Wood = trial.after
    used = set(trial.case.moves.tool[trial.case.cutting_moves].tolist())
    narrowest = min((trial.case.cutters[tool].diameter for tool in used), default=2 * _WIDEST)
    fine = wood.grid
    step = max(int(min(max(narrowest / 2, _FINEST), _WIDEST) / fine.cell), 1)
    cell = fine.cell * step
    shift = (fine.cell - cell) / 2
    rows, columns = -(-fine.rows // step), -(-fine.columns // step)
    return Grid(cell, fine.left + shift, fine.low + shift, rows, columns), step


def _cores(solid: Flags, grid: Grid) -> tuple[Ints, int]:
    """What is left of solid wood when narrow webs are taken away, numbered; and solid pieces narrow all over."""
    broad = solid & (_widened((~solid).astype(np.float64), round(_NARROW / grid.cell)) == 0)
    cores, whole = label(broad), label(solid)
    number = np.full(solid.size, -1)
    flat = np.flatnonzero(broad)
    number[flat] = cores.of(flat)
    has_core = np.zeros(len(whole.area), bool)
    has_core[whole.of(flat)] = True
    alone = np.flatnonzero(~has_core & (whole.area * grid.cell**2 >= _CHIP))
    if len(alone):
        cells = whole.cells(*alone.tolist())
        number[cells] = len(cores.area) + np.searchsorted(alone, whole.of(cells))
    return number.reshape(solid.shape), len(cores.area) + len(alone)


def _widened(values: Floats, reach: int) -> Floats:
    """The greatest of each cell and of those up to so many rows and columns away."""
    for _ in range(2):
        padded = np.pad(values, ((reach, reach), (0, 0)), mode="edge")
        wide, covered = padded, 1
        while covered < 2 * reach + 1:
            shift = min(covered, 2 * reach + 1 - covered)
            wide = np.asarray(np.maximum(wide[:-shift], wide[shift:]), np.float64)
            covered += shift
        values = wide.T
    return values


def _grown(number: Ints, within: Flags) -> Ints:
    """Numbers spread from cell to cell, all at one pace, over the cells within."""
    columns = number.shape[1] + 2
    number = np.pad(number, 1, constant_values=-1)
    flat = number.reshape(-1)
    free = np.pad(within, 1).reshape(-1) & (flat < 0)
    front = np.flatnonzero(flat >= 0)
    while len(front):
        found = []
        for shift in (1, -1, columns, -columns):
            new = free[front + shift]
            into = front[new] + shift
            flat[into], free[into] = flat[front[new]], False
            found.append(into)
        front = np.concatenate(found)
    return np.asarray(number[1:-1, 1:-1])


def _borders(number: Ints, grid: Grid, thickness: Floats) -> tuple[Borders, Floats]:
    """Where pieces meet, and (b,) how thick wood is there in the end, as cells show it."""
    flat, near = np.arange(number.size).reshape(number.shape), around(thickness > 0).ravel()
    piece, wood = number.ravel(), thickness.ravel()
    meet, lean = [], []
    for axis in (1, 0):
        one, other = (np.moveaxis(flat, axis, 0)[some].ravel() for some in (slice(None, -1), slice(1, None)))
        here = (piece[one] != piece[other]) & (piece[one] >= 0) & (piece[other] >= 0)
        a, b = one[here], other[here]
        meet.append((a, b))
        # Which way the line faces, by the edges of the cells close by.
        faces = np.bincount(a, np.sign(piece[b] - piece[a]), minlength=piece.size)
        lean.append(_summed(np.asarray(faces.reshape(number.shape), np.float64), _LOOK_AROUND).ravel())
    found = []
    for axis, (a, b) in enumerate(meet):
        normal = np.stack([each[a] for each in lean], axis=1)
        square = np.eye(2)[np.full(len(a), axis)]
        length = np.hypot(*normal.T)[:, None]
        normal = np.where(length > 0, normal / np.where(length > 0, length, 1.0), square)
        # An edge of a staircase counts for as much of the line as it shows of it.
        width = np.abs(normal[:, axis]) * grid.cell
        place = (centres(grid, a) + centres(grid, b)) / 2
        pair = np.stack([piece[a], piece[b]], axis=1)
        found.append((pair, place, square[:, ::-1], normal, width, near[a], np.minimum(wood[a], wood[b])))
    pair, place, along, normal, width, close, thick = (np.concatenate(each) for each in zip(*found, strict=True))
    return Borders(pair.T, place, along, normal, width, close), thick


def _summed(values: Floats, reach: int) -> Floats:
    """The sum of each cell and of those up to so many rows and columns away."""
    for _ in range(2):
        sums = np.cumsum(np.pad(values, ((reach + 1, reach), (0, 0))), axis=0)
        values = (sums[2 * reach + 1 :] - sums[: -2 * reach - 1]).T
    return values


def frame_of(pieces: BoardPieces) -> int:
    """The piece that reaches all four sides of the board, else the largest."""
    number = np.where(pieces.thickness > 0, pieces.number, -1)
    area = np.bincount(number[number >= 0], minlength=pieces.how_many)
    sides = (number[0], number[-1], number[:, 0], number[:, -1])
    around_all = [piece for piece in range(pieces.how_many) if all((side == piece).any() for side in sides)]
    return max(around_all or range(pieces.how_many), key=lambda piece: int(area[piece]))


def hang_together(count: int, pairs: Ints, without: int = -1) -> Ints:
    """(count,) for pieces joined in pairs (2, m): the lowest that each hangs together with, one piece left out."""
    kept = (pairs != without).all(axis=0)
    return joined(count, *pairs[:, kept])
