"""Crossings through the air, lifted only as high as what lies below them requires.

A toolpath is made with every crossing at the safe height. Here those between its first and its last cut are lowered:
to the link height where nothing stands below, else to the height of the highest hold-down that does, with the same
clearance over it as the safe height has over the highest of all.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property

import shapely

from toolpaths.base.errors import Point
from toolpaths.facts.cutter import Cutter
from toolpaths.facts.fixture import Fixture
from toolpaths.facts.hold_down import HoldDown
from toolpaths.making.motion.toolpath import RAPID, Toolpath
from toolpaths.making.motion.tour import Rise
from toolpaths.shapes.track import Segment

# mm of clearance that a low crossing leaves beside what stands up, and over what the shank or the nut passes
# (common practice: a screw is never quite where it was drawn; no source).
MARGIN = 2.0


@dataclass(frozen=True)
class Crossings:
    """How high a cutter goes from place to place.

    lowest : z where nothing stands below
    clearance : mm kept over what stands
    standing : what stands above the board, the highest first; screws that are driven later are there from the start
    """

    cutter: Cutter
    lowest: float
    clearance: float
    standing: tuple[HoldDown, ...]

    @cached_property
    def _margins(self) -> tuple[float, ...]:
        """mm to keep beside each thing.

        The body is taken as it is there when the tip is at its lowest; higher up it is no wider.
        """
        return tuple(
            MARGIN + self.cutter.body_radius(max(thing.height - self.lowest, 0.0) + MARGIN) for thing in self.standing
        )

    def height(self, a: Point, b: Point) -> float:
        """Z of the tip on the straight crossing between two places."""
        straight = Segment(a, b)
        for thing, margin in zip(self.standing, self._margins, strict=True):
            away = straight.nearest((thing.x, thing.y))[1] - thing.radius
            if away < margin and thing.area is not None:
                away = float(shapely.distance(shapely.LineString([a, b]), thing.area))
            if away < margin:
                return max(self.lowest, thing.height + self.clearance)
        return self.lowest

    def rise(self, a: Point, b: Point) -> float:
        """mm up and down on the crossing, more than on a low one."""
        return 2 * (self.height(a, b) - self.lowest)


def crossings(fixture: Fixture, cutter: Cutter) -> Crossings:
    """The crossings of a cutter over one side of the board."""
    standing = [thing for thing in fixture.standing() if thing.height > 0]
    standing.sort(key=lambda thing: -thing.height)
    return Crossings(cutter, fixture.link_z, fixture.safe_z - fixture.highest, tuple(standing))


def rise(fixture: Fixture, cutter: Cutter) -> Rise | None:
    """What a route has to know of the crossings: mm up and down between two places; None where nothing stands up."""
    over = crossings(fixture, cutter)
    return over.rise if over.standing else None


def lowered(path: Toolpath, fixture: Fixture) -> Toolpath:
    """A toolpath with its crossings lowered to what lies below them; it still begins and ends at the safe height."""
    over, safe, moves = crossings(fixture, path.cutter), fixture.safe_z, list(path.moves)
    # Moves one after the other that end at the safe height, between two cuts, are one crossing at one height.
    crossing, least, x, y = list[int](), safe, 0.0, 0.0
    for index, move in enumerate(path.moves):
        across = move.hole is not None or (move.kind == RAPID and move.z >= safe)
        if across:
            least = max(least, over.height((x, y) if index else (move.x, move.y), (move.x, move.y)))
        if move.hole is not None or not across:
            # A cut that begins at the safe height begins there.
            least = max(least, move.hole.clear if move.hole else move.z if move.kind == RAPID else safe)
            for one in crossing:
                moves[one] = moves[one]._replace(z=min(least, safe))
            crossing, least = [], max(over.lowest, move.hole.clear if move.hole else move.z)
        if across:
            crossing.append(index)
        x, y = move.x, move.y
    return replace(path, moves=tuple(moves))
