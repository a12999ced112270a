"""Which pieces are cut free, and by which move.

Looked at backwards, from the last move to the first, wood only ever comes back and pieces only ever
join. Where a piece joins one that is held, it was cut free, by the very move that is being undone.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

import numpy as np

from toolpaths.judging.wood.regions import Regions
from toolpaths.judging.wood.sweep import Ints

Box = tuple[int, int, int, int]


class HeldRegions(NamedTuple):
    """Regions under one hold-down, and the first move for which it is there."""

    since: int
    regions: list[int]


class Freed(NamedTuple):
    """A piece cut free: the move that did it, its cells and box as in Regions, and the regions it is made of."""

    move: int
    area: int
    box: Box
    members: list[int]


def freed(regions: Regions, never: int, held: list[HeldRegions], near: int) -> Iterator[Freed]:
    """The pieces cut free, the last first.

    regions : of equal value, which is the move that takes the wood away; `never` where it stays, -1
        where there never was any
    near : cells by which a piece may miss the rim of the wood and still reach it

    Held are pieces under a hold-down, and the piece that reaches all four sides of the board, for it
    lies around all others. If there is none of these, it is the largest.
    """
    pieces = _Pieces(regions, never, held, near)
    moments, nodes, links = _in_time(regions)
    for move, here, pairs in zip(moments, nodes, links, strict=True):
        if move == never:
            pieces.put_back(here)
            continue
        apart = sorted({pieces.root(node) for pair in pairs for node in pair if pieces.value[node] > move})
        loose = [(root, pieces.area[root], pieces.box[root], len(pieces.members[root]))
                 for root in apart if not pieces.is_held(root, move)]  # fmt: skip
        pieces.put_back(here)
        for one, other in pairs:
            pieces.join(one, other)
        for root, area, box, count in loose:
            if pieces.is_held(pieces.root(root), move):
                yield Freed(move, area, box, pieces.members[root][:count])


class _Pieces:
    """The pieces at one moment, which join while time goes backwards."""

    def __init__(self, regions: Regions, never: int, held: list[HeldRegions], near: int) -> None:
        count = len(regions.value)
        self.value: list[int] = regions.value.tolist()
        self.parent = list(range(count))
        self.area: list[int] = regions.area.tolist()
        self.box: list[Box] = [(a, b, c, d) for a, b, c, d in regions.box.tolist()]
        self.members = [[node] for node in range(count)]
        self.since = [never + 1] * count
        self.held_nodes: list[tuple[int, int]] = []
        for hold in held:
            for node in hold.regions:
                self.since[node] = min(self.since[node], hold.since)
                self.held_nodes.append((hold.since, node))
        whole = regions.box[regions.value >= 0]
        low, high = whole.min(axis=0), whole.max(axis=0)
        self.rim: Box = (int(low[0]) + near, int(high[1]) - near, int(low[2]) + near, int(high[3]) - near)
        self.here = [False] * count
        self.largest = -1
        self.around = -1

    def root(self, node: int) -> int:
        parent = self.parent
        while parent[node] != node:
            parent[node] = parent[parent[node]]
            node = parent[node]
        return node

    def put_back(self, nodes: list[int]) -> None:
        for node in nodes:
            self.here[node] = True
            self._look(node)

    def join(self, one: int, other: int) -> None:
        a, b = self.root(one), self.root(other)
        if a == b:
            return
        if len(self.members[a]) < len(self.members[b]):
            a, b = b, a
        self.parent[b] = a
        self.area[a] += self.area[b]
        # Lists only grow at their ends, so that what a piece was made of is known after it has joined.
        self.members[a] += self.members[b]
        self.since[a] = min(self.since[a], self.since[b])
        (r0, r1, c0, c1), (s0, s1, d0, d1) = self.box[a], self.box[b]
        self.box[a] = min(r0, s0), max(r1, s1), min(c0, d0), max(c1, d1)
        self._look(a)

    def _look(self, root: int) -> None:
        if self.largest < 0 or self.area[root] > self.area[self.root(self.largest)]:
            self.largest = root
        r0, r1, c0, c1 = self.box[root]
        if r0 <= self.rim[0] and r1 >= self.rim[1] and c0 <= self.rim[2] and c1 >= self.rim[3]:
            self.around = root

    def is_held(self, root: int, move: int) -> bool:
        """Whether a piece is held once this move is done."""
        if self.since[root] <= move:
            return True
        if self.around >= 0:
            return self.root(self.around) == root
        if any(since <= move and self.here[node] for since, node in self.held_nodes):
            return False
        return self.root(self.largest) == root


def _in_time(regions: Regions) -> tuple[list[int], list[list[int]], list[list[tuple[int, int]]]]:
    """Moments, the last first; the regions whose wood goes then, and the neighbours parted then."""
    pairs, parted = _neighbours(regions)
    order = np.argsort(-regions.value, kind="stable")
    order = order[regions.value[order] >= 0]
    values = regions.value[order]
    begin = np.flatnonzero(np.diff(values, prepend=-1))
    moments = values[begin]
    nodes = [part.tolist() for part in np.split(order, begin[1:])]
    late = np.argsort(-parted, kind="stable")
    first = np.searchsorted(-parted[late], -moments, "left")
    last = np.searchsorted(-parted[late], -moments, "right")
    all_pairs = [(a, b) for a, b in pairs[:, late].T.tolist()]
    links = [all_pairs[i:j] for i, j in zip(first.tolist(), last.tolist(), strict=True)]
    return moments.tolist(), nodes, links


def _neighbours(regions: Regions) -> tuple[Ints, Ints]:
    """(2, m) pairs of regions of wood that touch, each once, and (m,) when they part."""
    beside = np.flatnonzero(regions.first[1:] % regions.columns != 0)
    rows = np.concatenate([np.stack([beside, beside + 1]), regions.links], axis=1)
    pairs = np.sort(regions.region[rows], axis=0)
    count = len(regions.value)
    pairs = pairs[:, (pairs[0] != pairs[1]) & (regions.value[pairs] >= 0).all(axis=0)]
    key = np.sort(pairs[0] * count + pairs[1])
    key = key[np.diff(key, prepend=-1) != 0]
    pairs = np.stack(np.divmod(key, max(count, 1)))
    return pairs, np.asarray(regions.value[pairs].min(axis=0))
