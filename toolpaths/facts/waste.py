"""The waste of a part: the wood that its partings cut off, which may be cut as one likes."""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from toolpaths.facts.features.parting import Parting
from toolpaths.facts.features.slack import ROUND, Slack

_Shapes = NDArray[np.object_]
# Outlines that have less than this share of the smaller one in common lie beside each other.
_NEIGHBOURS = 0.5


class _Areas(NamedTuple):
    """The polygons along which partings of one kind go, seen from the front.

    drawn : as they are drawn; slack : mm by which the wall of each may be off
    """

    drawn: _Shapes
    slack: NDArray[np.float64]

    @property
    def narrow(self) -> _Shapes:
        """What is surely within each, however its wall is off."""
        return np.asarray(shapely.buffer(self.drawn, -self.slack, quad_segs=ROUND))

    @property
    def wide(self) -> _Shapes:
        """What may be within each."""
        return np.asarray(shapely.buffer(self.drawn, self.slack, quad_segs=ROUND))


def waste_of(partings: Iterable[Parting], slack: Slack) -> BaseGeometry:
    """The area in which the wood becomes waste, and the slack at its edge, seen from the front.

    Of a board with several outlines each is kept from the waste of the others. An outline within an opening has its
    waste there and no farther; one that lies within another, or across it, has it there all the same.
    """
    every = tuple(partings)
    kept, openings = (_areas([each for each in every if each.waste == side], slack) for side in ("outside", "inside"))
    narrow, wide = kept.narrow, openings.wide
    tree = shapely.STRtree(kept.drawn)
    around, within = tree.query(openings.drawn, predicate="contains_properly")
    waste = [_less(area, narrow[within[around == number]]) for number, area in enumerate(wide)]
    if len(kept.drawn) > len(set(within.tolist())):
        board = shapely.buffer(slack.board.outline, float(kept.slack.max()), join_style="mitre")
        waste.append(_less(board, narrow))
    for one, other in zip(*tree.query(kept.drawn, predicate="intersects"), strict=True):
        if one != other and _in_common(kept.drawn[one], kept.drawn[other]) > _NEIGHBOURS:
            limits = wide[around[within == one]]
            beside = shapely.difference(kept.wide[other], narrow[one])
            waste.append(shapely.intersection(beside, shapely.union_all(limits)) if len(limits) else beside)
    return shapely.union_all(waste)


def _in_common(one: BaseGeometry, other: BaseGeometry) -> float:
    """The share of the smaller of two areas that lies within the other."""
    return float(shapely.intersection(one, other).area / min(one.area, other.area))


def _areas(partings: list[Parting], slack: Slack) -> _Areas:
    drawn, slacks = list[BaseGeometry](), list[float]()
    for parting in partings:
        polygons = shapely.get_parts(parting.area).tolist()
        drawn += polygons
        slacks += [slack.sideways(parting.area)] * len(polygons)
    return _Areas(np.array(drawn, object), np.array(slacks))


def _less(area: BaseGeometry, kept: _Shapes) -> BaseGeometry:
    return shapely.difference(area, shapely.union_all(kept))
