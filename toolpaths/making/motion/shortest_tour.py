"""The shortest tour of all, for few things: the best way over each set of them, from the best ways over smaller ones.

R. Bellman, "Dynamic programming treatment of the travelling salesman problem", Journal of the ACM 9 (1962) 61-63;
M. Held and R. M. Karp, "A dynamic programming approach to sequencing problems", Journal of the SIAM 10 (1962) 196-210.
"""

from __future__ import annotations

import numpy as np

from toolpaths.making.motion.tour import Tour

# Lengths compared: so many are done in a few milliseconds, those of eleven places.
_MOST_COMPARED = 2**18


def is_small(tour: Tour) -> bool:
    """Whether so few things can be tried in every order."""
    return tour.count <= 16 and 2**tour.count * (len(tour.thing) - 2) ** 2 <= _MOST_COMPARED


def make_shortest(tour: Tour) -> None:
    """Make a small tour as short as any that keeps what comes before what."""
    ends = range(1, len(tour.thing) - 1)
    own = np.array([1 << (tour.thing[v] - 1) for v in ends])
    first = np.zeros(len(ends), int)
    for row in tour.before:
        first[np.isin(own, [1 << (b - 1) for b in row.then])] |= sum(1 << (a - 1) for a in set(row.first))
    far = np.array([[tour.far[a][b] for a in ends] for b in ends])
    every = np.arange(2**tour.count)
    size = sum((every >> bit) & 1 for bit in range(tour.count))
    # Of each set of things, as bits, the shortest way from the start over all of it to each of the ends in it.
    best = np.full((len(every), len(ends)), np.inf)
    ready = np.flatnonzero(first == 0)
    best[own[ready], ready] = [tour.far[0][ends[k]] for k in ready.tolist()]
    for count in range(2, tour.count + 1):
        sets = every[size == count, None]
        ways = (best[sets ^ own] + far).min(axis=2)
        best[sets[:, 0]] = np.where((sets & own > 0) & (sets & first == first), ways, np.inf)
    left, order = len(every) - 1, list[int]()
    onward = np.array([tour.far[v][len(tour.thing) - 1] for v in ends])
    while left:
        last = int((best[left] + onward).argmin())
        order.insert(0, ends[last])
        onward, left = far[last], left ^ int(own[last])
    tour.put(1, order)
