"""How far the cells beside lines lie from them: each cell is looked at from the segments that may be the nearest.

A place nearest to the inside of a segment lies straight beside it. One nearest to a joint of two lies in the wedge
between what is beside the one and the other, and so beyond the end of the nearer by no more than the sine of half the
turn. Rectangles as much longer than the segments cover all of it, and lie over each other but little.
"""

from __future__ import annotations

import numpy as np

from toolpaths.base.checks import Floats
from toolpaths.judging.wood.field import Grid
from toolpaths.judging.wood.raster import strips_between
from toolpaths.judging.wood.removal import along_and_aside
from toolpaths.judging.wood.sweep import EDGE, Ints


def cells_beside(grid: Grid, first: Floats, last: Floats, reach: float) -> tuple[Ints, Floats]:
    """Cells (c,) whose centres lie within `reach` of segments, and how far from one of them, the nearest among these.

    first, last : (n, 2) ends of each; those that begin where the one before ends are joined to it, and one may be a
        point. Cells are flat indices; one may come several times.
    """
    along = last - first
    length = np.hypot(*along.T)
    # Of a point any direction would do.
    ahead = np.where(length[:, None] > 0, along / np.where(length > 0, length, 1.0)[:, None], [1.0, 0.0])
    joined = np.zeros(len(first), bool)
    joined[1:] = (first[1:] == last[:-1]).all(axis=1) & (length[1:] > 0) & (length[:-1] > 0)
    cosine = np.clip((ahead[1:] * ahead[:-1]).sum(axis=1), -1.0, 1.0)
    beyond = np.full(len(first) + 1, 1.0)
    beyond[1:-1] = np.where(joined[1:], np.sqrt((1 - cosine) / 2), 1.0)
    out = (reach + EDGE) * np.stack([-ahead[:, 1], ahead[:, 0]], axis=1)
    back, on = (((reach + EDGE) * share + EDGE)[:, None] * ahead for share in (beyond[:-1], beyond[1:]))
    corners = np.stack([first - back - out, last + on - out, last + on + out, first - back + out], axis=1)
    following = np.roll(corners, -1, axis=1)
    owner = np.repeat(np.arange(len(first)), 4)
    strips = strips_between(owner, corners.reshape(-1, 2), following.reshape(-1, 2), grid)
    some = strips.owner
    along_it, aside, whole, cell, _ = along_and_aside(grid, strips, *first[some].T, *last[some].T)
    past = along_it - np.clip(along_it, 0.0, whole)
    distance = np.sqrt(aside * aside + past * past)
    near = distance <= reach + EDGE
    return cell[near], distance[near]
