"""A medial axis as branches from fork to fork, without those that reach into the corners of chords of a curve.

Each corner of an outline has its branch, and a curve drawn in chords has one at every vertex. A branch is left out
where all that its discs cover lies within a length of a disc at its root: measured so, and not by how long it is, what
is left out for it is known. (How far a branch reaches beyond its root is the "erosion thickness" of the literature,
from memory.)
"""

from __future__ import annotations

from collections import defaultdict
from heapq import heapify, heappop, heappush

import numpy as np

from toolpaths.base.checks import Floats
from toolpaths.shapes.border import Ints
from toolpaths.shapes.corner_branches import Axis


class Branches:
    """A graph of branches; nodes by their number in `places`.

    places, radius : (n, 2), (n,) mm
    nodes : of each branch by its number its nodes from end to end, two or more
    at : of each node where branches end their numbers; a loop stands twice
    reach : of ends of branches how far their discs and those of branches left out there cover, where more than radius
    """

    def __init__(self, places: Floats, radius: Floats, pieces: Ints, reach: dict[int, float]) -> None:
        self.places, self.radius = places, radius
        self.nodes: dict[int, list[int]] = {}
        self.at: defaultdict[int, list[int]] = defaultdict(list)
        self._long: dict[int, float] = {}
        self._number = 0
        self.reach = dict(reach)
        ends = places[pieces]
        long = np.hypot(*(ends[:, 0] - ends[:, 1]).T)
        long_of = {(a, b): each for (a, b), each in zip(np.sort(pieces, axis=1).tolist(), long.tolist())}
        for nodes in _runs(pieces.tolist()):
            self._add(nodes, sum(long_of[min(pair), max(pair)] for pair in zip(nodes, nodes[1:])))

    def _add(self, nodes: list[int], long: float) -> int:
        number, self._number = self._number, self._number + 1
        self.nodes[number] = nodes
        self._long[number] = long
        self.at[nodes[0]].append(number)
        self.at[nodes[-1]].append(number)
        return number

    def _drop(self, number: int) -> list[int]:
        nodes = self.nodes.pop(number)
        for end in (nodes[0], nodes[-1]):
            self.at[end].remove(number)
        return nodes

    def _beyond(self, number: int) -> tuple[float, int, int]:
        """By how much a branch with a free end reaches beyond the disc at its root, and its free end and root."""
        a, b = self.nodes[number][0], self.nodes[number][-1]
        free = [(x, y) for x, y in ((a, b), (b, a)) if len(self.at[x]) == 1 and x != y]
        if not free:
            return np.inf, a, b
        leaf, root = min(free, key=lambda ends: self.radius[ends[0]])
        return self._reach(leaf) + self._long[number] - float(self.radius[root]), leaf, root

    def _reach(self, node: int) -> float:
        return self.reach.get(node, float(self.radius[node]))

    def prune(self, least: float) -> None:
        """Leave out branches that reach no more than `least` mm beyond their root; of all that is joined a place
        stays at least."""
        queue = [(self._beyond(number)[0], number) for number in self.nodes]
        heapify(queue)
        while queue and queue[0][0] <= least:
            beyond, number = heappop(queue)
            if number not in self.nodes:
                continue
            now, leaf, root = self._beyond(number)
            if now != beyond:
                if now <= least:
                    heappush(queue, (now, number))
                continue
            reach = self._reach(leaf) + self._long[number]
            self._drop(number)
            self.reach[root] = max(self._reach(root), reach)
            del self.at[leaf]
            others = self.at[root]
            if len(others) == 2 and others[0] != others[1]:
                # Of two that are left out in their turn neither is what the other goes on as.
                if min(self._beyond(each)[0] for each in others) <= least:
                    continue
                first_number, then_number = others
                one, other = self._drop(first_number), self._drop(then_number)
                first = one if one[-1] == root else one[::-1]
                then = other if other[0] == root else other[::-1]
                long = sum(self._long[each] for each in (first_number, then_number))
                heappush(queue, (self._beyond(self._add(first + then[1:], long))[0], self._number - 1))
            elif len(others) == 1:
                heappush(queue, (self._beyond(others[0])[0], others[0]))


def without_short_tips(axis: Axis, least: float) -> tuple[Ints, dict[int, float]]:
    """The pieces of an axis without those into corners that reach no more than `least` mm beyond their root, as most
    vertices of curves have them; and how far each root reaches for it. Branches.prune would leave them out one by one.
    """
    one, other = axis.pieces.T
    tip, root = np.where(axis.radius[one] < axis.radius[other], (one, other), (other, one))
    long = np.hypot(*(axis.places[one] - axis.places[other]).T)
    out = (axis.radius[tip] == 0) & (long - axis.radius[root] <= least)
    reach = axis.radius.copy()
    np.maximum.at(reach, root[out], long[out])
    roots = np.unique(root[out])
    return axis.pieces[~out], dict(zip(roots.tolist(), reach[roots].tolist()))


def _runs(pieces: list[list[int]]) -> list[list[int]]:
    """Nodes in rows from one that does not join two pieces to the next; a ring begins anywhere and ends there."""
    near: defaultdict[int, list[int]] = defaultdict(list)
    for a, b in pieces:
        near[a].append(b)
        near[b].append(a)
    found: list[list[int]] = []
    done: set[tuple[int, int]] = set()
    starts = [node for node, others in near.items() if len(others) != 2]
    for start in (*starts, *near):
        for then in near[start]:
            if (start, then) in done:
                continue
            run = [start, then]
            while len(near[run[-1]]) == 2 and run[-1] != start:
                one, other = near[run[-1]]
                run.append(one if other == run[-2] else other)
            done.update(zip(run, run[1:]))
            done.update(zip(run[1:], run))
            found.append(run)
    return found
