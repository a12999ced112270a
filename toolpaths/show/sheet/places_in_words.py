"""Many places in few words: rows and columns that are evenly apart are said as such."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from toolpaths.base.checks import Floats
from toolpaths.base.errors import Point
from toolpaths.show.lengths import Lengths

# Fewer are listed one by one; and mm by which places may be off a grid and still read as on it.
_FEWEST, _OFF = 8, 0.005


def places_in_words(places: Sequence[Point], lengths: Lengths) -> str:
    """Each place, or the grid that they fill.

    >>> places_in_words([(5.0, 7.0), (20.0, 7.0)], Lengths())
    'X5 Y7; X20 Y7'
    >>> places_in_words([(10.0 + 8 * i, 20.0 + 15 * j) for j in range(3) for i in range(4)], Lengths())
    '3 rows of 4 from X10 Y20: 8 apart along X, rows 15 apart'
    """
    grid = _grid(places)
    if grid is None:
        return "; ".join(lengths.place(x, y) for x, y in places)
    xs, ys = grid
    across = f"{lengths.of(float(xs[1] - xs[0]))} apart along X" if len(xs) > 1 else ""
    up = f"rows {lengths.of(float(ys[1] - ys[0]))} apart" if len(ys) > 1 else ""
    rows = f"{len(ys)} rows of {len(xs)}" if len(ys) > 1 else f"a row of {len(xs)}"
    return f"{rows} from {lengths.place(float(xs[0]), float(ys[0]))}: {', '.join(filter(None, (across, up)))}"


def _grid(places: Sequence[Point]) -> tuple[Floats, Floats] | None:
    """X of the columns and Y of the rows that the places fill, each place once; None where they are no such grid."""
    if len(places) < _FEWEST:
        return None
    rounded = np.round(np.array(places) / _OFF).astype(np.int64)
    xs, ys = np.unique(rounded[:, 0]), np.unique(rounded[:, 1])
    even = all(len(steps) < 2 or np.ptp(np.diff(steps)) <= 1 for steps in (xs, ys))
    if not even or len(xs) * len(ys) != len(np.unique(rounded, axis=0)) or len(places) != len(xs) * len(ys):
        return None
    at = np.array(places)
    columns, rows = (
        np.array([at[rounded[:, axis] == each, axis].mean() for each in steps]) for axis, steps in ((0, xs), (1, ys))
    )
    return columns, rows
