"""Which edges of the finished part are sharp, and which a program has bevelled already."""

from __future__ import annotations

from collections.abc import Collection, Iterator

import shapely
from shapely.geometry.base import BaseGeometry

from toolpaths.facts.features.carving import Carving
from toolpaths.facts.part import Part
from toolpaths.facts.turning import SIDES
from toolpaths.show.lengths import MM
from toolpaths.show.part_sizes import Measured, measured

# mm within which a bevel runs along an edge, and by how much of it to be its bevel.
_ALONG, _MOST = 0.1, 0.9
_BOARD = "the board's own edges"


def edges_to_break(part: Part, stay_sharp: Collection[str] = ()) -> Iterator[str]:
    """A line for each face: names of what has sharp edges there, and of what has none any more.

    stay_sharp : names of what is left as it was cut, since something is let into it, or it into something; carvings are
        too
    """
    found = measured(part, MM)
    carved = {each.name for side in SIDES for each in part.cut_from(side) if isinstance(each, Carving)}
    underside = -part.board.thickness
    through = {each.name for side in SIDES for each in part.cut_from(side) if each.goes_through(underside)}
    parted = any(parting.waste == "outside" for parting in part.partings())
    for side in SIDES:
        here = [each for each in found if each.shape.area and (each.side == side or each.name in through)]
        bevels = [each for each in here if each.box is None and each.side == side]
        edges = [each for each in here if each.box is not None]
        bevelled = shapely.buffer(shapely.union_all([each.shape for each in bevels]), _ALONG)
        sharp = dict.fromkeys(each.name for each in edges if not _stays(each, bevelled, {*stay_sharp, *carved}))
        names = ", ".join([*sharp, *([] if parted else [_BOARD])])
        done = ", ".join(dict.fromkeys(each.name for each in bevels))
        if names:
            yield f"On the {side} break lightly by hand: {names}{_done(done)}."
        elif done:
            yield f"On the {side} no edge is left to break{_done(done)}."


def _done(names: str) -> str:
    return f"; bevelled already: {names}" if names else ""


def _stays(edge: Measured, bevelled: BaseGeometry, stay_sharp: Collection[str]) -> bool:
    return edge.name in stay_sharp or _is_bevelled(edge, bevelled)


def _is_bevelled(edge: Measured, bevelled: BaseGeometry) -> bool:
    """Whether bevels of the same face run along nearly all of its edge."""
    ring = shapely.boundary(edge.shape)
    return bool(shapely.intersection(ring, bevelled).length > _MOST * ring.length)
