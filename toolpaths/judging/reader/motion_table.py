"""Motions as they are found, one by one or many at once, and in the end as columns."""

from __future__ import annotations

from dataclasses import fields
from struct import Struct
from typing import Any

import numpy as np
from numpy.typing import NDArray

from toolpaths.judging.reader.motions import Motions

# One motion is so many float64. Packed bytes cost less than half the time of an array that is appended
# to (0.4 us against 1.0 us a motion), and less memory than Python numbers.
_WIDTH = 19
_ROW = Struct(f"{_WIDTH}d")
_pack = _ROW.pack

_COLUMNS = [field.name for field in fields(Motions)]
_REAL = frozenset({"start", "end", "centre", "sweep", "feed_mm_min", "spindle_rpm", "seconds"})
_PLACES = frozenset({"start", "end", "centre"})

# Motions in a row, by the names of the columns of `Motions`; a number stands for a column of it, and 0 where none is.
Block = dict[str, NDArray[Any] | float]


class Table:
    """Grows at its end only, but for the last single motions, which can be taken back."""

    def __init__(self) -> None:
        self._blocks: list[tuple[int, Block]] = []
        self._in_blocks = 0
        self._rows = bytearray()

    def __len__(self) -> int:
        return self._in_blocks + len(self._rows) // _ROW.size

    def add(self, *numbers: float) -> None:
        """One motion: the numbers of its columns in their order, x, y and z of a place one by one."""
        self._rows += _pack(*numbers)

    def add_many(self, count: int, **block: NDArray[Any] | float) -> None:
        self._close()
        self._blocks.append((count, block))
        self._in_blocks += count

    def cut(self, length: int) -> None:
        """Takes back what was added one by one beyond this length."""
        del self._rows[(length - self._in_blocks) * _ROW.size :]

    def _close(self) -> None:
        """Makes a block of what was added one by one."""
        if not self._rows:
            return
        rows = np.frombuffer(bytes(self._rows), np.float64).reshape(-1, _WIDTH)
        places = rows[:, 1:4], rows[:, 4:7], rows[:, 7:10]
        columns = dict(zip(_COLUMNS, (rows[:, 0], *places, *rows[:, 10:].T), strict=True))
        self._blocks.append((len(rows), columns))
        self._in_blocks += len(rows)
        self._rows.clear()

    def motions(self) -> Motions:
        self._close()
        columns: dict[str, Any] = {}
        for name in _COLUMNS:
            shape = (self._in_blocks, 3) if name in _PLACES else (self._in_blocks,)
            # Of zeros, so that a column of nothing else costs next to no time and memory.
            column = np.zeros(shape, np.float64 if name in _REAL else np.int64)
            at = 0
            for count, block in self._blocks:
                part = block.get(name, 0)
                if not isinstance(part, (int, float)) or part != 0:
                    column[at : at + count] = part
                at += count
            columns[name] = column
        return Motions(**columns)
