"""What is to be known of a carving before it is cut: its deepest place, and forks that go deeper than their strokes."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from typing import NamedTuple

import numpy as np

from toolpaths.base.checks import Floats
from toolpaths.base.errors import Point
from toolpaths.making.operations.carving.tip_lines import Node, TipLine

# mm by which a fork is deeper than its strokes to be named.
_DEEPER = 0.1
# A line that comes up to less than this share of its depth runs into a corner and is no stroke.
_CORNER = 0.2


class Fork(NamedTuple):
    """Where lines meet, mm below the surface, and the depth of the deepest stroke that meets there."""

    place: Point
    depth: float
    stroke: float


def deepest(lines: list[TipLine]) -> tuple[float, Point]:
    """mm below the surface, and where."""
    every = np.vstack([line.points for line in lines])
    x, y, depth = every[int(every[:, 2].argmax())].tolist()
    return depth, (x, y)


def deeper_forks(lines: list[TipLine]) -> list[Fork]:
    """Forks that go deeper than every stroke that meets there, the deepest first."""
    at: defaultdict[Node, list[tuple[Floats, TipLine]]] = defaultdict(list)
    for line in lines:
        at[line.start].append((line.points[0], line))
        at[line.end].append((line.points[-1], line))
    found = list(_deeper(at))
    return sorted(found, key=lambda fork: (-fork.depth, fork.place))


def _deeper(at: dict[Node, list[tuple[Floats, TipLine]]]) -> Iterator[Fork]:
    for there in at.values():
        x, y, depth = there[0][0].tolist()
        strokes = [_usual(line) for _, line in there if line.points[:, 2].min() > _CORNER * depth]
        if len(there) > 2 and strokes and depth > max(strokes) + _DEEPER:
            yield Fork((x, y), depth, max(strokes))


def _usual(line: TipLine) -> float:
    """The depth above which half of a line lies."""
    long = np.hypot(*np.diff(line.points[:, :2], axis=0).T)
    if not long.sum():
        return float(line.points[0, 2])
    middle = (line.points[1:, 2] + line.points[:-1, 2]) / 2
    order = np.argsort(middle)
    half = np.searchsorted(np.cumsum(long[order]), long.sum() / 2)
    return float(middle[order][min(int(half), len(order) - 1)])
