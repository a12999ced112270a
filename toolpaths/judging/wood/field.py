"""The wood that stands: two heights over every cell of a grid laid on the board."""

from __future__ import annotations

from dataclasses import dataclass, field
from math import ceil
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from toolpaths.base.checks import Floats, coordinate, one_of, positive
from toolpaths.base.errors import InputError
from toolpaths.base.values import ShownInNotebooks, Value, read_only
from toolpaths.facts.board import Board
from toolpaths.facts.turning import TURNS, Turned

# Single precision keeps a height within 20 mm to 1e-6 mm, a hundredth of what the text itself
# rounds away, and halves the memory that every cut has to touch.
Heights = NDArray[np.float32]

# More cells than this is a slip of the finger in the cell size, not a simulation (1.6 GB).
_MOST_CELLS = 200_000_000


class Grid(NamedTuple):
    """Square cells centred on the board, so that the board turned over falls on the same cells.

    left, low : the lower-left corner of the grid, from the lower-left corner of the board as it
        lies; 0 when the board is a whole number of cells, else up to half a cell below 0
    """

    cell: float
    left: float
    low: float
    rows: int
    columns: int

    @property
    def shape(self) -> tuple[int, int]:
        return self.rows, self.columns

    def xs(self) -> Floats:
        """(columns,) x of the cell centres."""
        return np.asarray(self.left + (np.arange(self.columns) + 0.5) * self.cell, np.float64)

    def ys(self) -> Floats:
        """(rows,) y of the cell centres."""
        return np.asarray(self.low + (np.arange(self.rows) + 0.5) * self.cell, np.float64)


def grid_on(board: Board, cell: float) -> Grid:
    """The grid of so wide cells on a board; every cell centre lies on the board."""
    cell = float(positive("cell", cell))
    if cell > max(board.width, board.height):
        raise InputError(f"cell={cell:g} is larger than the board, {board.width:g} x {board.height:g} mm.")
    # The allowance takes 101.6 / 0.254 for 400 cells although it comes out as 400.00000000000006.
    across, up = board.width / cell - 1e-9, board.height / cell - 1e-9
    if across * up > _MOST_CELLS:
        raise InputError(f"cell={cell:g} would divide the board into {across * up:.3g} cells; use a larger cell.")
    columns, rows = max(ceil(across), 1), max(ceil(up), 1)
    return Grid(cell, (board.width - columns * cell) / 2, (board.height - rows * cell) / 2, rows, columns)


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class Wood(Value, ShownInNotebooks):
    """The simulated wood: the board as cut so far, as it lies.

    top, bottom : (rows, columns) upper and lower face of the wood at each cell centre, mm from
        the board's own top; row 0 lies at the board's lower edge. Not to be written to.
    turned : "" with the front up, else how it was turned over, as in Fixture
    top_cuts, bottom_cuts : the programs that cut each face, as cases, which tell its heights exactly at
        any place; None where they are not known
    Two are equal whose faces are, whatever cut them. A cell whose top is not above its bottom holds no wood. Where a
    cut went through, top lies below -thickness by as much as the spoilboard was cut.
    """

    board: Board
    grid: Grid
    top: Heights
    bottom: Heights
    turned: Turned = ""
    top_cuts: tuple[Any, ...] | None = field(default=None, compare=False)
    bottom_cuts: tuple[Any, ...] | None = field(default=None, compare=False)

    def __post_init__(self) -> None:
        for name in ("top", "bottom"):
            heights: Heights = getattr(self, name)
            if heights.shape != self.grid.shape:
                raise InputError(f"{name} has shape {heights.shape}, the grid {self.grid.shape}.")
            object.__setattr__(self, name, read_only(heights))

    def __repr__(self) -> str:
        side = "back" if self.turned else "front"
        return f"<Wood: {self.board.name}, {side} up, {self.removed() / 1000:.1f} cm3 removed>"

    @property
    def cell(self) -> float:
        return self.grid.cell

    def turned_over(self, turned: Turned) -> Wood:
        """The same wood after turning the board over; what was cut from below becomes its top.

        turned : "left to right" or "top to bottom"
        """
        one_of("turned", turned, TURNS)
        if self.turned not in ("", turned):
            raise InputError(f"The board was turned over {self.turned}; turn it back the same way.")
        flip = (slice(None), slice(None, None, -1)) if turned == "left to right" else (slice(None, None, -1),)
        thickness = np.float32(self.board.thickness)
        top, bottom = (_seen_from_below(face, thickness)[flip] for face in (self.bottom, self.top))
        turned_now = "" if self.turned else turned
        return Wood(self.board, self.grid, top, bottom, turned_now, self.bottom_cuts, self.top_cuts)

    def thickness(self) -> Heights:
        """(rows, columns) of wood left in each cell; 0 where it is cut through."""
        left = np.subtract(self.top, self.bottom, dtype=np.float32)
        return np.maximum(left, np.float32(0), out=left)

    def volume(self) -> float:
        """Wood left, in mm3."""
        left = self.thickness()
        # Whole cells, less what the outermost rows and columns hang over the board's edge.
        rows = left.sum(axis=1, dtype=np.float64) * self.cell
        rows += (left[:, 0] + left[:, -1]) * self.grid.left
        return float(rows.sum() * self.cell + (rows[0] + rows[-1]) * self.grid.low)

    def removed(self) -> float:
        """Wood removed from the whole board, in mm3; what was cut out of the spoilboard not counted."""
        board = self.board
        return board.width * board.height * board.thickness - self.volume()

    def cell_at(self, x: float, y: float) -> tuple[int, int]:
        """(row, column) of the cell that holds a point of the board."""
        x, y = coordinate("x", x), coordinate("y", y)
        row, column = int((y - self.grid.low) // self.cell), int((x - self.grid.left) // self.cell)
        if not (0 <= row < self.grid.rows and 0 <= column < self.grid.columns):
            raise InputError(f"({x:g}, {y:g}) lies off the board, {self.board.width:g} x {self.board.height:g} mm.")
        return row, column


def whole_board(board: Board, cell: float) -> Wood:
    """A board not cut yet."""
    grid = grid_on(board, cell)
    top, bottom = (np.broadcast_to(np.float32(z), grid.shape) for z in (0.0, -board.thickness))
    return Wood(board, grid, top, bottom, top_cuts=(), bottom_cuts=())


def one_height(heights: Heights) -> bool:
    """Whether a face is held as one number for all its cells, as that of a board not cut yet."""
    return heights.strides == (0, 0)


def heights_at(heights: Heights, cells: NDArray[np.intp]) -> Heights:
    """(k,) heights of cells, given by flat index, without unfolding a face that is one height."""
    if one_height(heights):
        return np.broadcast_to(heights[0, 0], cells.shape)
    return np.asarray(heights[cells // heights.shape[1], cells % heights.shape[1]])


def own_copy(heights: Heights) -> Heights:
    """A copy that may be written to."""
    if one_height(heights) and heights[0, 0] == 0:
        # Memory that is taken as zeros is not touched before it is used.
        return np.zeros(heights.shape, np.float32)
    return np.array(heights)


def _seen_from_below(heights: Heights, thickness: np.float32) -> Heights:
    if one_height(heights):
        return np.broadcast_to(-thickness - heights[0, 0], heights.shape)
    return -thickness - heights
