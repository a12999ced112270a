"""A window of the board in characters: which place each character stands for, its frame, its scale."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from toolpaths.base.checks import Floats

# Characters across and up; one is about twice as high as wide.
COLUMNS, ROWS = 48, 16
# mm that a character may stand for across: round numbers.
_STEPS = (0.25, 0.5, 1.0, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0, 15.0, 20.0, 25.0, 50.0, 100.0, 250.0)

Letters = NDArray[np.str_]


@dataclass(frozen=True)
class TextWindow:
    """Characters over a rectangle of the board.

    left, low : its lower-left corner, mm; step : mm of a column, a row is two
    """

    left: float
    low: float
    step: float

    def places(self, across: float = 0.5, up: float = 0.5) -> Floats:
        """(ROWS * COLUMNS, 2) a place in each character, the uppermost row first.

        across, up : shares of it, from its lower-left corner; its middle unless given
        """
        xs = self.left + (np.arange(COLUMNS) + across) * self.step
        ys = self.low + (np.arange(ROWS)[::-1] + up) * 2 * self.step
        return np.stack([np.tile(xs, ROWS), np.repeat(ys, COLUMNS)], axis=1)

    def number_of(self, places: Floats) -> NDArray[np.intp]:
        """(k,) which character a place (k, 2) falls on, -1 where it lies outside."""
        column = np.floor((places[:, 0] - self.left) / self.step).astype(np.intp)
        row = ROWS - 1 - np.floor((places[:, 1] - self.low) / (2 * self.step)).astype(np.intp)
        inside = (column >= 0) & (column < COLUMNS) & (row >= 0) & (row < ROWS)
        return np.where(inside, row * COLUMNS + column, -1)

    def drawn(self, letters: Letters, legend: Mapping[str, str]) -> list[str]:
        """The characters (ROWS * COLUMNS,) in a frame, with what those mean that occur."""
        edge = "+" + "-" * COLUMNS + "+"
        rows = ["|" + "".join(row) + "|" for row in letters.reshape(ROWS, COLUMNS).tolist()]
        right, high = self.left + COLUMNS * self.step, self.low + ROWS * 2 * self.step
        named = "   ".join(
            f"{mark.strip() or 'blank'} {words}" for mark, words in legend.items() if mark in set(letters.tolist())
        )
        return [
            f"    Y{high:g}",
            *("    " + row for row in (edge, *rows, edge)),
            f"    Y{self.low:g}, X{self.left:g} to X{right:g}; a column is {self.step:g} mm, a row {2 * self.step:g}",
            f"    {named}",
        ]


def window_about(x: float, y: float, across: float) -> TextWindow:
    """A window of at least so many mm across with a place in its middle."""
    step = _step(across, 0.0)
    left, low = x - COLUMNS / 2 * step, y - ROWS * step
    return TextWindow(round(left / step) * step, round(low / step) * step, step)


def window_over(left: float, low: float, right: float, high: float) -> TextWindow:
    """A window that holds a rectangle."""
    step = _step(right - left, high - low)
    at_left, at_low = (left + right - COLUMNS * step) / 2, (low + high - ROWS * 2 * step) / 2
    return TextWindow(round(at_left / step) * step, round(at_low / step) * step, step)


def _step(across: float, up: float) -> float:
    wanted = max(across / COLUMNS, up / (2 * ROWS))
    return next((step for step in _STEPS if step >= wanted), wanted)
