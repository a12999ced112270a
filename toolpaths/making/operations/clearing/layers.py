"""Layers of a pocket: passes at several heights that find the same wood."""

from __future__ import annotations

from typing import NamedTuple

import shapely
from shapely.geometry.base import BaseGeometry

from toolpaths.making.operations.clearing.loops import standing
from toolpaths.making.operations.operation import Site


class Layer(NamedTuple):
    """Passes at several heights over the same wood.

    top : z from which wood stands
    above : z down to which the layers above took it
    passes : z of each pass, downwards
    wood : what there is to take
    air : where no wood stands above it
    known_air : where of that earlier toolpaths took it, not only the user's word
    """

    top: float
    above: float
    passes: list[float]
    wood: BaseGeometry
    air: BaseGeometry
    known_air: BaseGeometry


def layers(top: float, passes: list[float], reached: BaseGeometry, open_area: BaseGeometry, site: Site) -> list[Layer]:
    """The passes in layers, from the top down.

    reached : all that the cutter can take
    open_area : where the user says that there is no wood to begin with
    """
    found: list[Layer] = []
    above = top
    for layer in _grouped(top, passes, reached, open_area, site):
        found.append(layer._replace(above=above))
        above = layer.passes[-1]
    return found


def _grouped(
    top: float, passes: list[float], reached: BaseGeometry, open_area: BaseGeometry, site: Site
) -> list[Layer]:
    """The passes in groups that find the same wood.

    What is open to a depth is open above it as well. So where the first and the last of some passes find the same
    wood, those between do too, and the passes are halved only where they do not.
    """
    last = _at(passes[-1], top, passes, reached, open_area, site)
    if len(passes) == 1:
        return [last]
    if shapely.equals_exact(site.removed.cut_down_to(passes[0], reached), last.known_air):
        # The same air, to the bit.
        return [last]
    first = _at(passes[0], top, passes, reached, open_area, site)
    if _same_wood(first, last, site.tolerance):
        return [last]
    half = (len(passes) + 1) // 2
    upper, lower = (_grouped(top, some, reached, open_area, site) for some in (passes[:half], passes[half:]))
    if _same_wood(upper[-1], lower[0], site.tolerance):
        return [*upper[:-1], lower[0]._replace(passes=upper[-1].passes + lower[0].passes), *lower[1:]]
    return [*upper, *lower]


def _at(z: float, top: float, passes: list[float], reached: BaseGeometry, open_area: BaseGeometry, site: Site) -> Layer:
    """Passes as they find the wood at the height z."""
    # Of an opening from the other side the core may still lie there.
    known_air = site.removed.cut_down_to(z, reached)
    air = shapely.union_all([open_area, site.removed.through, known_air])
    wood = standing(shapely.difference(reached, air), site.tolerance) if shapely.intersects(reached, air) else reached
    return Layer(top, top, passes, wood, air, known_air)


def _same_wood(one: Layer, other: Layer, tolerance: float) -> bool:
    differ = one.wood is not other.wood
    return not differ or bool(standing(shapely.symmetric_difference(one.wood, other.wood), tolerance).is_empty)
