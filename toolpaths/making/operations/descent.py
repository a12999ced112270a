"""From a plan as seen from above to motion: the same course on level after level, from each down into the next."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from math import dist

import shapely
from shapely import LineString
from shapely.geometry.base import BaseGeometry

from toolpaths.base.errors import Point
from toolpaths.making.motion.toolpath import RAPID, Move, PathBuilder
from toolpaths.making.operations import entry as entries
from toolpaths.making.operations.links import Chain, Strung
from toolpaths.making.operations.operation import CLEAR

# mm by which a cutter that leaves a wall rises on its way.
_RISE = 0.2
# mm above a level where a rapid down through known air ends.
_ABOVE = 0.5


def descend(
    builder: PathBuilder, courses: Sequence[Strung], top: float, above: float, passes: Sequence[float], entry: str
) -> None:
    """Cut courses that have nothing to do with each other, each on all passes, the nearest next.

    top : z from which the wood stands; above : z down to which all of it is gone
    """
    left = list(courses)
    while left:
        here = (builder.x, builder.y)
        ways = [
            dist(here, strung.chains[0].way_in.start) if builder.moves else float(i) for i, strung in enumerate(left)
        ]
        strung = left.pop(ways.index(min(ways)))
        level = above
        for number, z in enumerate(passes):
            for index, chain in enumerate(strung.chains):
                again = number > 0 or index > 0
                if chain.way_in.kind == "sure":
                    go_in = _through_known(builder, chain, strung.sure if again else None, top, z)
                else:
                    back = strung.back if index == 0 else ()
                    go_in = _through_level(
                        builder, chain, strung.cleared if again else None, back, top, level, z, entry
                    )
                go_in()
                builder.segments(chain.rest, z)
                builder.leave(chain.leave, z, min(z + _RISE, level))
            level = z


def _through_known(
    builder: PathBuilder, chain: Chain, sure: BaseGeometry | None, top: float, z: float
) -> Callable[[], None]:
    """By rapid to just above the level, through known air."""
    start, here = chain.way_in.start, (builder.x, builder.y)
    if sure is not None and shapely.covers(sure, LineString([here, start])):
        builder.add(Move(RAPID, *start, z + _ABOVE))
    else:
        builder.go_above(start, min(z + _ABOVE, top + CLEAR))
    return _entering(builder, chain, z + _ABOVE, z, "")[1]


def _through_level(
    builder: PathBuilder,
    chain: Chain,
    cleared: BaseGeometry | None,
    back: tuple[Point, ...],
    top: float,
    level: float,
    z: float,
    entry: str,
) -> Callable[[], None]:
    """Over the level above, by what is `cleared` there, and no lower than the cutter is; else over the top."""
    if cleared is not None and level < top:
        height = max(level, builder.z)
        start, go_in = _entering(builder, chain, height, z, entry)
        here = (builder.x, builder.y)
        for way in ((here, start), (here, *back, start)):
            if shapely.covers(cleared, LineString(way)):
                for place in way:
                    builder.straight(place, height)
                return go_in
    start, go_in = _entering(builder, chain, level, z, entry)
    builder.go_above(start, top + CLEAR)
    builder.plunge(level)
    return go_in


def _entering(
    builder: PathBuilder, chain: Chain, above: float, z: float, entry: str
) -> tuple[Point, Callable[[], None]]:
    """Where the cutter goes down, and what it does from there to the end of the chain's first stroke."""
    way_in, first = chain.way_in, chain.first

    def along() -> None:
        enter = entries.cut_ring if first.closed else entries.cut_line
        enter(builder, first, above, [z], entry)

    def through_air() -> None:
        builder.plunge(z)
        builder.segments((*way_in.lead, *first.segments), z)

    if way_in.kind == "along":
        if first.closed:
            first = entries.begun_to_end_at_start(builder.cutter, first, above, z, entry)
        return first.start, along
    if way_in.helix is None:
        return way_in.start, through_air
    circle, heights = entries.helix_down(builder.cutter, way_in.helix, above, z)

    def round_down() -> None:
        builder.follow(circle, heights)
        builder.segments((*way_in.lead, *first.segments), z)

    return circle.start, round_down
