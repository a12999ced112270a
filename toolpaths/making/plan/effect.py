"""What a piece of work does to the board: where it takes wood, how deep, and what comes loose by it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace

import shapely
from shapely import Point, Polygon, STRtree
from shapely.geometry.base import BaseGeometry

from toolpaths.facts.fixture import Fixture
from toolpaths.making.operations.operation import Operation

# Parts smaller than this, mm2, are slivers between two drawn edges.
_SLIVER = 1.0
# Heights nearer than this, mm, are one; so much may a hole fall short of its dowel.
ONE_HEIGHT = 0.01


@dataclass(frozen=True, slots=True, eq=False)
class Effect:
    """What a piece of work does to the board, areas as seen from the front, heights from the face of its side.

    area : where it takes wood
    top, floor : z at which it begins, and at which it ends at the deepest
    through : where it leaves no wood at all
    freed : what its cut goes round or splits off, the cut included; empty if it parts nothing
    tabs : whether tabs hold that
    waste : whether all that is waste
    hole : whether it is drilled holes only
    clears : whether it clears areas only
    dowels : whether it makes a hole for a dowel
    """

    area: BaseGeometry
    top: float = 0.0
    floor: float = 0.0
    through: BaseGeometry = field(default_factory=Polygon)
    freed: BaseGeometry = field(default_factory=Polygon)
    tabs: bool = False
    waste: bool = False
    hole: bool = False
    clears: bool = False
    dowels: bool = False


def effect_of(operation: Operation, fixture: Fixture, tolerance: float) -> Effect:
    """What an operation does to a board, however that lies."""
    features, thick = operation.features(tolerance), -fixture.underside_z
    radius = max(cutter.radius for cutter in operation.cutters_in_turn)
    depths = [-feature.floor(fixture.underside_z) for feature in features]
    areas = [f.taken(deep + operation.top, radius) for f, deep in zip(features, depths, strict=True)]
    through = shapely.union_all([a for a, deep in zip(areas, depths, strict=True) if deep >= thick - ONE_HEIGHT])
    partings = [feature for feature in features if feature.waste_side]
    return Effect(
        area=shapely.union_all([*areas, *(under.area for feature in features for under in feature.undercuts())]),
        top=operation.top,
        floor=-max(depths, default=0.0),
        through=through,
        freed=_freed(through, fixture),
        tabs=operation.has_tabs,
        waste=bool(partings) and all(parting.waste_side == "inside" for parting in partings),
        hole=bool(features) and all(feature.hole for feature in features),
        clears=all(feature.level for feature in features),
        dowels=not fixture.turned
        and any(
            max(depths, default=0.0) >= thick + dowel.depth - ONE_HEIGHT and through.intersects(Point(dowel.x, dowel.y))
            for dowel in fixture.dowels
        ),
    )


def _freed(through: BaseGeometry, fixture: Fixture) -> BaseGeometry:
    """A cut right through, with what it goes round, and with all but the largest of what it splits the board into."""
    cuts = [part for part in shapely.get_parts(through) if isinstance(part, Polygon)]
    filled = shapely.union_all([Polygon(part.exterior) for part in cuts])
    split_off = [p for p in shapely.get_parts(shapely.difference(fixture.board.outline, filled)) if p.area > _SLIVER]
    split_off.sort(key=lambda part: part.area)
    freed = shapely.union_all([filled, *split_off[:-1]])
    return freed if freed.area > through.area + _SLIVER else Polygon()


def together(known: Sequence[Effect], fixture: Fixture) -> list[Effect]:
    """The effects of a group, where cuts that part nothing alone free a part of the board together: each of those
    without which it stays."""
    found = list(known)
    cuts = {k: one.through for k, one in enumerate(known) if one.freed.is_empty and not one.through.is_empty}
    every = shapely.union_all(list(cuts.values()))
    freed = _freed(every, fixture)
    for k in _parting(cuts, every, fixture) if not freed.is_empty else ():
        others = _freed(shapely.union_all([cut for j, cut in cuts.items() if j != k]), fixture)
        loose = shapely.get_parts(shapely.difference(freed, shapely.union(every, others)))
        if more := [part for part in loose if part.area > _SLIVER]:
            found[k] = replace(known[k], freed=shapely.union_all([known[k].through, *more]))
    return found


def _parting(cuts: Mapping[int, BaseGeometry], every: BaseGeometry, fixture: Fixture) -> Iterable[int]:
    """Those of cuts by their numbers without which the board may come apart otherwise: they belong to what goes round
    something, or to its edge."""
    parts = shapely.get_parts(every)
    inside = shapely.contains_properly(fixture.board.outline, parts)
    rings = STRtree(parts[~inside | (shapely.get_num_interior_rings(parts) > 0)])
    return [k for k, cut in cuts.items() if len(rings.query(cut, predicate="intersects"))]


def is_held(effect: Effect, fixture: Fixture) -> bool:
    """Whether something holds all that is freed: tabs, screws, clamps or what grips it from below."""
    if effect.tabs:
        return True
    holds = [fixture.place(thing.outline) for thing in fixture.standing() if thing.holds]
    freed = shapely.get_parts(shapely.difference(effect.freed, effect.area))
    return all(any(part.intersects(hold) for hold in holds) for part in freed if part.area > _SLIVER)
