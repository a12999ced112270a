"""The lines that the tip of a V follows: places and depths, straight between, from fork to fork."""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple

import numpy as np

from toolpaths.base.checks import Floats

# mm; depths nearer to each other are one.
_ONE_DEPTH = 1e-9

# What tells apart where lines end: those that end at one node meet there.
Node = tuple[float, ...]


class TipLine(NamedTuple):
    """(k, 3) x, y and mm below the surface, straight between, k >= 1; and the nodes at its ends."""

    points: Floats
    start: Node
    end: Node

    @property
    def length(self) -> float:
        return float(np.hypot(*np.diff(self.points[:, :2], axis=0).T).sum())


def tip_line(points: Floats) -> TipLine:
    """A line whose ends are nodes by where they are."""
    return TipLine(points, _node(points[0]), _node(points[-1]))


def _node(point: Floats) -> Node:
    return tuple(point[:2].tolist())


def between(lines: Iterable[TipLine], least: float, most: float) -> list[TipLine]:
    """What of lines is at least and at most so deep. A line that has a single depth is kept whole."""
    found = []
    for line in lines:
        points = _parted(line.points, (least, most))
        depth = points[:, 2]
        if len(points) == 1:
            found += [line] if least - _ONE_DEPTH <= depth[0] <= most + _ONE_DEPTH else []
            continue
        middle = (depth[1:] + depth[:-1]) / 2
        kept = np.concatenate([[False], (middle >= least - _ONE_DEPTH) & (middle <= most + _ONE_DEPTH), [False]])
        begins, ends = np.flatnonzero(kept[1:] & ~kept[:-1]), np.flatnonzero(kept[:-1] & ~kept[1:])
        found += [tip_line(points[a : b + 1]) for a, b in zip(begins.tolist(), ends.tolist())]
    return found


def no_deeper(lines: Iterable[TipLine], most: float) -> list[TipLine]:
    """Lines at most so deep, level where they would be deeper."""
    found = []
    for line in lines:
        points = _parted(line.points, (most,))
        points[:, 2] = np.minimum(points[:, 2], most)
        found.append(TipLine(points, line.start, line.end))
    return found


def _parted(points: Floats, depths: Iterable[float]) -> Floats:
    """Points with one put in wherever the line comes to one of these depths."""
    points = points.copy()
    for depth in depths:
        one, other = points[:-1, 2] - depth, points[1:, 2] - depth
        at = np.flatnonzero(one * other < 0)
        share = (one[at] / (one[at] - other[at]))[:, None]
        new = points[at] + share * (points[at + 1] - points[at])
        new[:, 2] = depth
        points = np.insert(points, at + 1, new, axis=0)
    return points
