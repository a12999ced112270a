"""In which order the lines of a carving are followed: each once, going on from where they meet, the longest last.

Of lines that hang together each is followed to its end and, where there is more to do behind it, back again; what is
long is done last, so that little is gone twice.
"""

from __future__ import annotations

from collections import defaultdict
from heapq import heappop, heappush
from typing import NamedTuple

from toolpaths.making.operations.carving.tip_lines import Node, TipLine

# Of more lines than this that hang together what hangs behind each is not measured.
_MANY = 200


class Leg(NamedTuple):
    """A line by its number, from its start or from its end; and whether it was cut before."""

    line: int
    forward: bool
    again: bool


def joined(lines: list[TipLine]) -> list[list[int]]:
    """The numbers of lines that hang together."""
    at = _lines_at(lines)
    found, seen = [], set[int]()
    for first in range(len(lines)):
        if first in seen:
            continue
        group, stack = list[int](), [first]
        seen.add(first)
        while stack:
            number = stack.pop()
            group.append(number)
            for node in (lines[number].start, lines[number].end):
                more = [other for other in at[node] if other not in seen]
                seen.update(more)
                stack += more
        found.append(sorted(group))
    return found


def walk(lines: list[TipLine], above: float) -> list[Leg]:
    """How lines that hang together are followed.

    above : mm below the surface down to which they are cut already: it begins where one comes up to that, if any does
    """
    at = _lines_at(lines)
    start = _begin(lines, at, above)
    open_lines = set(range(len(lines)))
    legs, nodes, back = list[Leg](), [start], list[Leg]()
    while open_lines:
        node = nodes[-1]
        options = [number for number in dict.fromkeys(at[node]) if number in open_lines]
        if options:
            number = min(options, key=lambda each: (_behind(each, node, lines, at, open_lines), each))
            open_lines.remove(number)
            leg = Leg(number, lines[number].start == node, again=False)
            legs.append(leg)
            back.append(leg)
            nodes.append(lines[number].end if leg.forward else lines[number].start)
        else:
            nodes.pop()
            leg = back.pop()
            legs.append(Leg(leg.line, not leg.forward, again=True))
    return legs


def _lines_at(lines: list[TipLine]) -> defaultdict[Node, list[int]]:
    at: defaultdict[Node, list[int]] = defaultdict(list)
    for number, line in enumerate(lines):
        for node in {line.start, line.end}:
            at[node].append(number)
    return at


def _begin(lines: list[TipLine], at: defaultdict[Node, list[int]], above: float) -> Node:
    """The end from which it is farthest to another, among those that are up already, or else among free ends."""
    up = {
        node
        for line in lines
        for node, depth in ((line.start, line.points[0, 2]), (line.end, line.points[-1, 2]))
        if depth <= above + 1e-6
    }
    free = {node for node, there in at.items() if len(there) == 1}
    choices = (up & free) or up or free or set(at)
    some = min(at)
    away = _away(_farthest(some, lines, at, choices), lines, at)
    return max(choices, key=lambda node: (away[node], node)) if not up else _farthest(some, lines, at, choices)


def _farthest(node: Node, lines: list[TipLine], at: defaultdict[Node, list[int]], choices: set[Node]) -> Node:
    away = _away(node, lines, at)
    return max(choices, key=lambda each: (away[each], each))


def _away(node: Node, lines: list[TipLine], at: defaultdict[Node, list[int]]) -> dict[Node, float]:
    """mm along lines from one node to each."""
    found: dict[Node, float] = {}
    queue = [(0.0, node)]
    while queue:
        far, here = heappop(queue)
        if here in found:
            continue
        found[here] = far
        for number in at[here]:
            line = lines[number]
            heappush(queue, (far + line.length, line.end if line.start == here else line.start))
    return found


def _behind(
    number: int, node: Node, lines: list[TipLine], at: defaultdict[Node, list[int]], open_lines: set[int]
) -> float:
    """mm of lines that are still to be cut and are come to through one, itself among them."""
    if len(lines) > _MANY:
        return lines[number].length
    seen, stack, whole = {number}, [(number, node)], 0.0
    while stack:
        here, came_from = stack.pop()
        line = lines[here]
        whole += line.length
        beyond = line.end if line.start == came_from else line.start
        for other in at[beyond]:
            if other in open_lines and other not in seen:
                seen.add(other)
                stack.append((other, beyond))
    return whole
