"""Slots of the cutter's own width that hang together: in which order, and which way along each.

Along a slot both walls are cut at once, one climbing and one not, whichever way it is followed. But past the mouth of
another slot, and outside a bend, only one wall is there, and then the way along it matters.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from math import dist, pi, tan

import shapely

from toolpaths.base.errors import Point
from toolpaths.making.operations.clearing.loop_order import Leg, LoopTree, walk
from toolpaths.shapes.track import Track, wrapped

# mm within which ends of slots meet.
_MEETING = 1e-3
# Radians; a smaller turn is a step of a curve, and slots that meet at a smaller angle are taken to meet at this one.
_BEND = 0.15
# Of the radius; less of a wall cut the other way makes no difference.
_LITTLE = 0.05


def along_slots(tree: LoopTree, radius: float, climb: bool) -> tuple[list[Leg], list[Leg] | None]:
    """Slots from one end to another that lies far off, and how they are followed from there back again on the next
    pass: None where that would cut more of the walls the other way than wanted."""
    walls = _single_walls(tree, radius, climb)
    found = [_turned(walk(tree, *ends), walls) for ends in _first_and_last(tree)]
    if len(tree.loops) == 1:
        ((leg,),) = found
        found.append([replace(leg, track=leg.track.reversed())])
    wrong = [round(sum(walls.other_way(leg) for leg in legs) / (_LITTLE * radius)) for legs in found]
    best = wrong.index(min(wrong))
    first, last = (walls.number(found[best][i]) for i in (0, -1))
    back = found[1 - best] if first == last else _turned(walk(tree, last, first), walls)
    worse = sum(walls.other_way(leg) for leg in back) > (wrong[best] + 1) * _LITTLE * radius
    return found[best], None if worse else back


def _first_and_last(tree: LoopTree) -> list[tuple[int, int]]:
    """Slots to begin with and those to end with: from each end, and to the farthest from it."""
    numbers = range(len(tree.loops))
    if len(numbers) == 1:
        return [(0, 0)]
    tips = [(i, tip) for i in numbers for tip in _tips(tree, i)]
    if len({i for i, _ in tips}) < 2:
        longest = sorted(numbers, key=lambda i: -tree.loops[i].line.length)
        firsts = [tips[0][0]] if tips else longest
        return [(i, next(j for j in longest if j != i)) for i in firsts]
    pairs = []
    for i, here in tips:
        far, j = max((round(dist(here, tip), 6), j) for j, tip in tips if j != i)
        pairs.append((-far, i, j))
    return [(i, j) for _, i, j in sorted(pairs)]


def _tips(tree: LoopTree, i: int) -> list[Point]:
    """The ends of a slot at which it meets no other."""
    line = tree.loops[i].line
    if line.is_closed:
        return []
    others = [loop.line for j, loop in enumerate(tree.loops) if j != i]
    ends: list[Point] = [line.coords[0], line.coords[-1]]
    return [end for end in ends if not shapely.dwithin(others, shapely.Point(end), _MEETING).any()]


def _turned(legs: Sequence[Leg], walls: _SingleWalls) -> list[Leg]:
    """The legs, those reversed that can be begun at their other end, at a leg done before, and had better be."""
    found: list[Leg] = []
    for leg in legs:
        other = replace(leg, track=leg.track.reversed())
        if found and not leg.track.closed and walls.other_way(other) < walls.other_way(leg):
            start = shapely.Point(other.track.start)
            near = shapely.dwithin([each.line for each in found], start, _MEETING).tolist()
            if True in near:
                leg = replace(other, neighbour=near.index(True))
        found.append(leg)
    return found


class _SingleWalls:
    """The walls of slots that have no other opposite.

    lengths : for each slot, mm of them, positive where they are cut as wanted along its track as it is, else negative
    """

    def __init__(self, tree: LoopTree, lengths: Sequence[Sequence[float]]) -> None:
        self._tracks = [loop.track for loop in tree.loops]
        self._numbers = {id(loop.line): i for i, loop in enumerate(tree.loops)}
        self._lengths = lengths

    def number(self, leg: Leg) -> int:
        """Which slot a leg follows."""
        return self._numbers[id(leg.line)]

    def other_way(self, leg: Leg) -> float:
        """mm that a leg cuts the other way than wanted."""
        i = self.number(leg)
        track = self._tracks[i]
        sign = 1 if leg.track.segments[0] == track.segments[0] else -1
        return sum(max(0.0, -sign * length) for length in self._lengths[i])


def _single_walls(tree: LoopTree, radius: float, climb: bool) -> _SingleWalls:
    tracks = [loop.track for loop in tree.loops]
    # Ends of slots, and the directions away from them.
    starts = [(track.start, track.segments[0].heading(0.0)) for track in tracks]
    ends = [(track.segments[-1].end, track.segments[-1].heading(1.0) + pi) for track in tracks]
    wanted = 1 if climb else -1
    found = []
    for i, track in enumerate(tracks):
        lengths = [wanted * length for length in _outside_bends(track, radius)]
        for away, sign in ((starts[i], wanted), (ends[i], -wanted)):
            lengths.append(sign * _past_mouths(away, [end for end in (*starts, *ends) if end is not away], radius))
        found.append(lengths)
    return _SingleWalls(tree, found)


def _outside_bends(track: Track, radius: float) -> list[float]:
    """mm of wall along the outside of each bend; positive where it is on the right of the track, and so climbing."""
    turns = [wrapped(b.heading(0.0) - a.heading(1.0)) for a, b in zip(track.segments, track.segments[1:])]
    bends = [max(-pi / 2, min(turn, pi / 2)) for turn in turns if abs(turn) > _BEND]
    return [2 * radius * tan(turn / 2) for turn in bends]


def _past_mouths(away: tuple[Point, float], others: Sequence[tuple[Point, float]], radius: float) -> float:
    """mm of wall past the mouths of slots that meet one at its end; positive where it is on the right as seen going
    away from there."""
    (end, heading) = away
    turns = [(other - heading) % (2 * pi) for place, other in others if dist(place, end) < _MEETING]
    return _mouth(min(turns), radius) - _mouth(2 * pi - max(turns), radius) if turns else 0.0


def _mouth(angle: float, radius: float) -> float:
    """mm from where two slots meet to the corner between them."""
    return radius / tan(max(angle, _BEND) / 2) if angle < pi else 0.0
