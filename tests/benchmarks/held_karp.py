"""A length that no closed tour can be shorter than: the one-tree bound with subgradient ascent.

M. Held and R. M. Karp, "The traveling-salesman problem and minimum spanning trees", Operations Research 18
(1970) 1138-1162, and part II, Mathematical Programming 1 (1971) 6-25. Step sizes: M. Held, P. Wolfe and
H. P. Crowder, "Validation of subgradient optimization", Mathematical Programming 6 (1974) 62-88.

A one-tree is a spanning tree over all places but one, and the two shortest edges at that one. Every tour is
a one-tree, so the shortest one-tree is no longer than any tour. A price at each place, paid for each edge that
ends there, adds twice the sum of prices to every tour, so it changes no tour's rank; but it makes one-trees
at places of more than two edges dear. Any prices give a bound; the ascent looks for good ones.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


def one_tree(cost: Floats) -> tuple[float, NDArray[np.intp]]:
    """Length of the shortest one-tree of a symmetric matrix, and how many of its edges end at each place (Prim)."""
    count = len(cost)
    degree = np.zeros(count, np.intp)
    # The tree spans 1, 2, ...; place 0 is joined by two edges afterwards.
    away, via = cost[1].copy(), np.ones(count, np.intp)
    away[[0, 1]] = np.inf
    total = 0.0
    for _ in range(count - 2):
        near = int(away.argmin())
        total += float(away[near])
        degree[[near, via[near]]] += 1
        away[near] = np.inf
        waiting = np.isfinite(away)
        closer = waiting & (cost[near] < away)
        away[closer], via[closer] = cost[near][closer], near
    first = np.argsort(cost[0][1:], kind="stable")[:2] + 1
    degree[0] = 2
    degree[first] += 1
    return total + float(cost[0][first].sum()), degree


def lower_bound(cost: Floats, tour: float, rounds: int = 1500) -> float:
    """mm that no closed tour over a symmetric matrix (n, n) of distances can be shorter than.

    tour : length of any tour, which only sets the size of the steps
    """
    price = np.zeros(len(cost))
    best, scale, since = -np.inf, 2.0, 0
    last = np.zeros(len(cost))
    for _ in range(rounds):
        length, degree = one_tree(cost + price[:, None] + price[None, :])
        bound = length - 2 * price.sum()
        if bound > best + 1e-9:
            best, since = bound, 0
        else:
            since += 1
        slope = (degree - 2).astype(float)
        if not slope.any():
            return float(best)
        if since >= 20:
            scale, since = scale / 1.5, 0
        direction = 0.7 * slope + 0.3 * last
        price = price + scale * max(tour - bound, 1e-6) / float(slope @ slope) * direction
        last = slope
    return float(best)
