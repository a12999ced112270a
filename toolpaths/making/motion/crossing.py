"""Ways through the air, lifted only as high as what lies below them requires.

A toolpath is made with every way across at the safe height. Here those between its first and its last cut are lowered:
to the link height where nothing stands below, else to the height of the highest thing that does, with the same room
over it as the safe height has over the highest of all.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import NamedTuple

import shapely
from shapely import Polygon

from toolpaths.base.errors import Point
from toolpaths.facts.cutter import Cutter
from toolpaths.facts.fixture import Fixture
from toolpaths.making.motion.route import Rise
from toolpaths.making.motion.toolpath import RAPID, Toolpath
from toolpaths.shapes.track import Piece

# mm of room that a low way leaves beside what stands up, and over what the shank or the nut passes
# (common practice: a screw is never quite where it was drawn; no source).
MARGIN = 2.0


class Thing(NamedTuple):
    """What stands on the board as it lies: a disc, or the area of a clamp within that disc."""

    x: float
    y: float
    radius: float
    height: float
    area: Polygon | None = None


@dataclass(frozen=True, slots=True)
class Links:
    """How high a cutter goes from place to place.

    things : what stands on the board, the highest first; screws that are driven later are there from the start
    """

    cutter: Cutter
    low: float
    room: float
    things: tuple[Thing, ...]

    def height(self, a: Point, b: Point) -> float:
        """Z of the tip on the straight way between two places."""
        way = Piece(a, b)
        for thing in self.things:
            # The body as it is beside the thing when the tip is at its lowest; higher up it is no wider.
            room = MARGIN + self.cutter.body_radius(max(thing.height - self.low, 0.0) + MARGIN)
            away = way.nearest((thing.x, thing.y))[1] - thing.radius
            if away < room and thing.area is not None:
                away = float(shapely.distance(shapely.LineString([a, b]), thing.area))
            if away < room:
                return max(self.low, thing.height + self.room)
        return self.low

    def rise(self, a: Point, b: Point) -> float:
        """mm up and down on the way, more than on a low one."""
        return 2 * (self.height(a, b) - self.low)


def links(fixture: Fixture, cutter: Cutter) -> Links:
    """The links of a cutter over one side of the board."""
    found = [_disc(fixture, s.x, s.y, s.head_diameter, s.height) for s in fixture.screws]
    # On the front the dowels are not in yet: their holes are being drilled.
    found += [_disc(fixture, d.x, d.y, d.diameter, d.standing) for d in fixture.dowels if fixture.turned]
    for clamp in fixture.clamps:
        area = fixture.place(clamp.area)
        circle = shapely.minimum_bounding_circle(area)
        found.append(Thing(circle.centroid.x, circle.centroid.y, float(shapely.minimum_bounding_radius(area)),
                           clamp.height, area))  # fmt: skip
    standing = sorted((thing for thing in found if thing.height > 0), key=lambda thing: -thing.height)
    return Links(cutter, fixture.link_z, fixture.safe_z - fixture.highest, tuple(standing))


def rise(fixture: Fixture, cutter: Cutter) -> Rise | None:
    """What a route has to know of the links: mm up and down between two places; None where nothing stands up."""
    over = links(fixture, cutter)
    return over.rise if over.things else None


def _disc(fixture: Fixture, x: float, y: float, diameter: float, height: float) -> Thing:
    at = fixture.place(shapely.Point(x, y))
    return Thing(at.x, at.y, diameter / 2, height)


def lowered(path: Toolpath, fixture: Fixture) -> Toolpath:
    """A toolpath with its ways across lowered to what lies below them; it still begins and ends at the safe height."""
    over, safe, moves = links(fixture, path.cutter), fixture.safe_z, list(path.moves)
    # A stand: moves one after the other that end at the safe height, between two cuts. What they cross decides for all.
    stand, least, x, y = list[int](), safe, 0.0, 0.0
    for index, move in enumerate(path.moves):
        across = move.hole is not None or (move.kind == RAPID and move.z >= safe)
        if across:
            least = max(least, over.height((x, y) if index else (move.x, move.y), (move.x, move.y)))
        if move.hole is not None or not across:
            # A cut that begins at the safe height begins there.
            least = max(least, move.hole.clear if move.hole else move.z if move.kind == RAPID else safe)
            for one in stand:
                moves[one] = moves[one]._replace(z=min(least, safe))
            stand, least = [], max(over.low, move.hole.clear if move.hole else move.z)
        if across:
            stand.append(index)
        x, y = move.x, move.y
    return replace(path, moves=tuple(moves))
