"""Courses: in which order, and in which way, a cutter follows what clears a region at one level.

A course is a list of strokes. Each is a pure function of the loops; `links` strings any of them together, and the
pocket takes the one that is done soonest.

The loops form a tree by nearness: swaths that touch are neighbours, and of all neighbours the nearest stay (a minimum
spanning tree). A walk over the tree goes from each loop only to one beside it, over wood that one of the two takes, so
that a whole course needs one way in. Begun at the innermost loop, and the wall kept for the end, it is the course from
the inside out; begun at the wall, from the outside in.
"""

from __future__ import annotations

from dataclasses import dataclass

import shapely
from shapely import LineString, Polygon

from toolpaths.making.operations.clearing import Loop, Region
from toolpaths.shapes.track import Track

# Swaths that overlap by less than this share of the flat's diameter may leave a ridge for a link to climb.
_TOUCHING = 0.999


@dataclass(frozen=True, slots=True, eq=False)
class Stroke:
    """A stretch to be followed as it is; a closed one may begin anywhere.

    line : the track as chords
    inside : where a way in may find room beside it
    wall : whether it runs along a wall
    beside : index of an earlier stroke of the course whose swath touches this one's
    """

    track: Track
    line: LineString
    inside: Polygon
    wall: bool
    beside: int | None = None


@dataclass(frozen=True, slots=True, eq=False)
class Group:
    """Loops that hang together, and for each the numbers of its neighbours in the tree."""

    loops: tuple[Loop, ...]
    neighbours: tuple[tuple[int, ...], ...]


def groups(region: Region) -> list[Group]:
    """The loops of a region in groups whose swaths touch, the one with the longest loop first."""
    loops = region.loops
    lines = [loop.line for loop in loops]
    near = _TOUCHING * 2 * region.flat
    a, b = shapely.STRtree(lines).query(lines, predicate="dwithin", distance=near)
    once = a < b
    a, b = a[once], b[once]
    links = shapely.shortest_line([lines[i] for i in a], [lines[i] for i in b])
    lengths = shapely.length(links)
    open_way = shapely.covers(region.room, links)
    leader = list(range(len(loops)))

    def lead(i: int) -> int:
        while leader[i] != i:
            leader[i] = leader[leader[i]]
            i = leader[i]
        return i

    beside: list[list[int]] = [[] for _ in loops]
    for _, i, j in sorted((round(float(lengths[n]), 6), int(a[n]), int(b[n])) for n in range(len(a)) if open_way[n]):
        if lead(i) != lead(j):
            leader[lead(i)] = lead(j)
            beside[i].append(j)
            beside[j].append(i)
    members: dict[int, list[int]] = {}
    for i in range(len(loops)):
        members.setdefault(lead(i), []).append(i)
    found = []
    for numbers in members.values():
        place = {i: n for n, i in enumerate(numbers)}
        found.append(
            Group(tuple(loops[i] for i in numbers), tuple(tuple(place[j] for j in beside[i]) for i in numbers))
        )
    return sorted(found, key=lambda group: -max(loop.line.length for loop in group.loops))


def inside_out(group: Group) -> list[Stroke]:
    """From the innermost loop to the wall; what branches off on the way is cleared from its branching inwards."""
    loops = group.loops
    first = max(range(len(loops)), key=lambda i: (loops[i].depth, loops[i].inside.area))
    return _walk(group, first, _outermost(group))


def outside_in(group: Group) -> list[Stroke]:
    """From the wall inwards; its first loop is a slot, but it needs room for a way in at the wall only."""
    first = _outermost(group)
    return _walk(group, first, first)


def _outermost(group: Group) -> int:
    loops = group.loops
    return max(range(len(loops)), key=lambda i: (-loops[i].depth, loops[i].line.length))


def _walk(group: Group, first: int, last: int) -> list[Stroke]:
    """The loops in the order of a walk over the tree from the first, its branch to the last one kept for the end."""
    loops = group.loops
    parent: dict[int, int] = {first: first}
    waiting = [first]
    for i in waiting:
        for j in group.neighbours[i]:
            if j not in parent:
                parent[j] = i
                waiting.append(j)
    late = {last}
    while last != first:
        last = parent[last]
        late.add(last)
    strokes: list[Stroke] = []
    number: dict[int, int] = {}
    stack = [first]
    while stack:
        i = stack.pop()
        number[i] = len(strokes)
        loop = loops[i]
        beside = None if i == first else number[parent[i]]
        strokes.append(Stroke(loop.track, loop.line, loop.inside, loop.depth == 0, beside))
        after = [j for j in group.neighbours[i] if parent[j] == i and j != first]
        # The last pushed is the next taken: small branches first, the way to the last loop at the end.
        stack += sorted(after, key=lambda j: (j not in late, -loops[j].line.length))
    return strokes
