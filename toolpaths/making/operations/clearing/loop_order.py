"""Courses: in which order, and which way round, a cutter follows what clears a room at one level.

A course is a list of legs. Each is a pure function of the loops; `linked_course` links any of them, and the
pocket takes the one that is done soonest.

The loops form a tree by nearness: swaths that touch are neighbours, and of all neighbours the nearest stay (a minimum
spanning tree). A walk over the tree goes from each loop only to a neighbour, over wood that one of the two takes, so
that a whole course needs one entry. Begun at the innermost loop, and the wall kept for the end, it is the course from
the inside out; begun at the wall, from the outside in.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely
from shapely import LineString, Polygon

from toolpaths.making.operations.clearing.loops import Loop, Room
from toolpaths.shapes.track import Track

# Swaths that overlap by less than this share of the flat's diameter may leave a ridge for a link to climb.
_TOUCHING = 0.999
# Loops no farther apart than so many steps are cut one after the other as loops of one ring are.
_CLOSE = 1.05
# Loops are followed in another order where that makes links shorter than this share.
_SHORTER = 0.75


@dataclass(frozen=True, slots=True, eq=False)
class Leg:
    """A stretch to be followed as it is; a closed one may begin anywhere.

    line : the track as chords
    inside : where an entry may find room
    wall : whether it runs along a wall
    neighbour : index of an earlier leg of the course whose swath touches this one's
    slot : whether it cuts both walls of a slot at once
    """

    track: Track
    line: LineString
    inside: Polygon
    wall: bool
    neighbour: int | None = None
    slot: bool = False


@dataclass(frozen=True, slots=True, eq=False)
class LoopTree:
    """Loops that hang together.

    neighbours : for each loop the numbers of its neighbours in the tree
    close : for each loop those no farther off than from loop to loop, and its neighbours, the nearest first
    """

    loops: tuple[Loop, ...]
    neighbours: tuple[tuple[int, ...], ...]
    close: tuple[tuple[int, ...], ...]

    @property
    def is_slots(self) -> bool:
        """Whether there is nothing but slots of the cutter's width."""
        return all(loop.slot for loop in self.loops)


def loop_trees(room: Room) -> list[LoopTree]:
    """The loops of a room in trees whose swaths touch, the one with the longest loop first."""
    loops = room.loops
    if not loops:
        return []
    lines = shapely.simplify([loop.line for loop in loops], room.tolerance / 4, preserve_topology=False)
    depths, near = np.array([loop.depth for loop in loops]), _TOUCHING * 2 * room.flat
    left, low, right, high = shapely.bounds(lines).T
    a, b = shapely.STRtree(lines).query(shapely.box(left - near, low - near, right + near, high + near))
    once = a < b
    if all(loop.track.closed for loop in loops):
        # A whole loop has that outside it, from which it was moved, nearer than any that is farther out.
        once &= np.abs(depths[a] - depths[b]) <= 1
    a, b = a[once], b[once]
    links = shapely.shortest_line(lines[a], lines[b])
    lengths = shapely.length(links)
    is_open = (lengths <= near) & shapely.covers(room.allowed, links)
    leader = list(range(len(loops)))
    # An area is not entered by a slot that comes from another one.
    has_area = [loop.track.closed and not loop.slot for loop in loops]
    neighbours: list[list[int]] = [[] for _ in loops]
    close: list[list[int]] = [[] for _ in loops]
    for length, i, j in sorted(
        (round(float(lengths[n]), 6), int(a[n]), int(b[n])) for n in range(len(a)) if is_open[n]
    ):
        one, other = _first_of(leader, i), _first_of(leader, j)
        apart = (loops[i].slot or loops[j].slot) and has_area[one] and has_area[other]
        if one != other and not apart:
            leader[one] = other
            has_area[other] |= has_area[one]
            neighbours[i].append(j)
            neighbours[j].append(i)
        if (length <= _CLOSE * room.step or j in neighbours[i]) and not apart:
            close[i].append(j)
            close[j].append(i)
    members: dict[int, list[int]] = {}
    for i in range(len(loops)):
        members.setdefault(_first_of(leader, i), []).append(i)
    found = []
    for numbers in members.values():
        place = {i: n for n, i in enumerate(numbers)}
        trees = (tuple(tuple(place[j] for j in each[i]) for i in numbers) for each in (neighbours, close))
        found.append(LoopTree(tuple(loops[i] for i in numbers), *trees))
    return sorted(found, key=lambda tree: -max(loop.line.length for loop in tree.loops))


def _first_of(leader: list[int], i: int) -> int:
    """The one that leads all that hang together with i."""
    while leader[i] != i:
        leader[i] = leader[leader[i]]
        i = leader[i]
    return i


def inside_out(tree: LoopTree) -> list[Leg]:
    """From the innermost loop to the wall. What branches off on the way is cleared from its branching inwards; or the
    nearest loop is always the next one, where that makes links much shorter."""
    first, last = _innermost(tree), _outermost(tree)
    legs = walk(tree, first, last)
    branches = first != last and max(map(len, tree.neighbours)) > 2
    if not branches or not all(loop.track.closed for loop in tree.loops):
        return legs
    nearest = _nearest_next(tree, first, last)
    return nearest if nearest and _straight_links(nearest) < _SHORTER * _straight_links(legs) else legs


def _nearest_next(tree: LoopTree, first: int, last: int) -> list[Leg] | None:
    """The loops from the first to the last, the next one always the nearest of those close to one that is done; None
    where some are reached only over the last one."""
    loops, lines = tree.loops, np.array([loop.line for loop in tree.loops])
    number: dict[int, int] = {}
    legs: list[Leg] = []
    waiting, i, place = dict[int, None](), first, shapely.Point(loops[first].line.coords[0])
    while True:
        loop = loops[i]
        before = [number[j] for j in tree.close[i] if j in number]
        legs.append(Leg(loop.track, loop.line, loop.inside, loop.depth == 0, before[0] if before else None, loop.slot))
        number[i] = len(legs) - 1
        waiting.update((j, None) for j in tree.close[i] if j not in number)
        waiting.pop(i, None)
        place = _nearest_on(loop.line, place)
        open_ = [j for j in waiting if j != last]
        if not open_:
            break
        away = shapely.distance(lines[open_], place).round(3).tolist()
        i = min(zip(away, (-loops[j].depth for j in open_), open_))[2]
    if len(legs) < len(loops) - 1:
        return None
    loop = loops[last]
    before = [number[j] for j in tree.close[last]]
    legs.append(Leg(loop.track, loop.line, loop.inside, loop.depth == 0, before[0], loop.slot))
    return legs


def _straight_links(legs: Sequence[Leg]) -> float:
    """mm of straight links between closed legs, each begun at the place nearest to that where the one before was."""
    place, length = shapely.Point(legs[0].line.coords[0]), 0.0
    for leg in legs[1:]:
        begun = _nearest_on(leg.line, place)
        length += float(shapely.distance(place, begun))
        place = begun
    return length


def _nearest_on(line: LineString, place: shapely.Point) -> shapely.Point:
    return shapely.line_interpolate_point(line, shapely.line_locate_point(line, place))


def outside_in(tree: LoopTree) -> list[Leg]:
    """From the wall inwards; its first loop is a slot, but it needs room for an entry at the wall only."""
    first = _outermost(tree)
    return walk(tree, first, first)


def without_first(legs: Sequence[Leg], count: int) -> list[Leg]:
    """A course without its first legs; what was a neighbour of theirs is one of the first that is left."""
    numbers = [None if leg.neighbour is None else max(leg.neighbour - count, 0) for leg in legs]
    first, *rest = (replace(leg, neighbour=number) for leg, number in zip(legs[count:], numbers[count:]))
    return [replace(first, neighbour=None), *rest]


def _innermost(tree: LoopTree) -> int:
    loops = tree.loops
    return max(range(len(loops)), key=lambda i: (loops[i].depth, loops[i].inside.area))


def _outermost(tree: LoopTree) -> int:
    loops = tree.loops
    return max(range(len(loops)), key=lambda i: (-loops[i].depth, loops[i].line.length))


def walk(tree: LoopTree, first: int, last: int) -> list[Leg]:
    """The loops in the order of a walk over the tree from the first, its branch to the last one kept for the end."""
    loops = tree.loops
    parent: dict[int, int] = {first: first}
    waiting = [first]
    for i in waiting:
        for j in tree.neighbours[i]:
            if j not in parent:
                parent[j] = i
                waiting.append(j)
    late = {last}
    while last != first:
        last = parent[last]
        late.add(last)
    legs: list[Leg] = []
    number: dict[int, int] = {}
    stack = [first]
    while stack:
        i = stack.pop()
        number[i] = len(legs)
        loop = loops[i]
        neighbour = None if i == first else number[parent[i]]
        track = _from_neighbour(tree, i, None if i == first else parent[i]) if loop.slot else loop.track
        legs.append(Leg(track, loop.line, loop.inside, loop.depth == 0, neighbour, loop.slot))
        after = [j for j in tree.neighbours[i] if parent[j] == i and j != first]
        # The last pushed is the next taken: small branches first, that to the last loop at the end.
        stack += sorted(after, key=lambda j: (j not in late, -loops[j].line.length))
    return legs


def _from_neighbour(tree: LoopTree, i: int, neighbour: int | None) -> Track:
    """A slot followed from where it meets a neighbour; the first one towards where it meets any."""
    track = tree.loops[i].track
    if track.closed or (neighbour is None and not tree.neighbours[i]):
        return track
    meets = tree.loops[tree.neighbours[i][0] if neighbour is None else neighbour].line
    start, end = shapely.distance(shapely.points([track.start, track.segments[-1].end]), meets).tolist()
    backwards = start < end if neighbour is None else end < start
    return track.reversed() if backwards else track
