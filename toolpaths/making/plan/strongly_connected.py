"""Which nodes of a graph lie on rings together.

R. Tarjan, "Depth-first search and linear graph algorithms", SIAM Journal on Computing 1 (1972) 146-160.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence


def strongly_connected(after: Mapping[int, Sequence[int]]) -> dict[int, int]:
    """Of each node the number of its component: two share one if each is reached from the other.

    after : of each node those to which an edge goes

    >>> strongly_connected({5: [6], 6: [5, 7], 7: []})
    {7: 0, 6: 1, 5: 1}
    """
    component: dict[int, int] = {}
    # Of each node met, when it was, and the earliest met that is known to be reached from it.
    met: dict[int, int] = {}
    earliest: dict[int, int] = {}
    unassigned: list[int] = []
    count = 0
    for root in after:
        if root in met:
            continue
        met[root] = earliest[root] = len(met)
        unassigned.append(root)
        following: list[tuple[int, Iterator[int]]] = [(root, iter(after[root]))]
        while following:
            node, others = following[-1]
            for other in others:
                if other not in met:
                    met[other] = earliest[other] = len(met)
                    unassigned.append(other)
                    following.append((other, iter(after[other])))
                    break
                if other not in component:
                    earliest[node] = min(earliest[node], met[other])
            else:
                following.pop()
                if following:
                    parent = following[-1][0]
                    earliest[parent] = min(earliest[parent], earliest[node])
                if earliest[node] == met[node]:
                    while node not in component:
                        component[unassigned.pop()] = count
                    count += 1
    return component
