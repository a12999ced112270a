"""Wood cleared pass by pass with limited engagement: down in free room or by a helix, then the strokes.

A helix goes down in solid wood, as any way in does; its last round falls by a hair only, and so leaves nothing for a
level round to take at full width. From there on every cut keeps the limit.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil

import shapely
from shapely import Polygon
from shapely.geometry.base import BaseGeometry

from toolpaths.base.errors import Point
from toolpaths.facts.cutter import Cutter
from toolpaths.facts.way_down import fall
from toolpaths.making.motion.toolpath import RAPID, Move, PathBuilder
from toolpaths.making.operations import entries
from toolpaths.making.operations.clearing.last_round import check_open
from toolpaths.making.operations.clearing.layers import Layer
from toolpaths.making.operations.clearing.limited.approach import Stroke
from toolpaths.making.operations.clearing.limited.areas import area_of, polygons
from toolpaths.making.operations.clearing.limited.narrow import SPARE, check_width, roomy, too_slim
from toolpaths.making.operations.clearing.limited.strokes import strokes
from toolpaths.making.operations.clearing.loops import standing
from toolpaths.making.operations.clearing.shortest_path import shortest_path
from toolpaths.making.operations.entries import AreaEntry
from toolpaths.making.operations.operation import AIR, CLEAR
from toolpaths.shapes import offset
from toolpaths.shapes.track import Track, circle_track

# Radius of a helix as a share of the cutter's flat (common practice, no source).
_HELIX = 0.9
# Fall of its last round, and so the height of what it leaves, as a share of the tolerance.
_HAIR = 0.4
# A path along the level above that is longer than so many diameters is lifted over instead.
_LONGEST_PATH = 10.0
# mm above the floor at which the cutter goes back by rapid.
_RISE = 0.5


@dataclass(frozen=True, slots=True)
class LimitedClearing:
    """Clearing with so much of the rim in wood at most.

    engagement_deg : degrees of the rim
    step : mm from stroke to stroke at most
    entry : "auto" or "helix"
    """

    cutter: Cutter
    engagement_deg: float
    step: float
    climb: bool
    entry: AreaEntry
    tolerance: float

    def before_finer(self, centres: BaseGeometry) -> BaseGeometry:
        return roomy(centres, self.cutter.radius, self.tolerance)

    def clear(self, builder: PathBuilder, centres: BaseGeometry, layer: Layer) -> None:
        """Take the wood of a layer. Raises DoesNotFitError where the limit cannot be kept, or there is no way in."""
        around = offset.wall(area_of(layer.wood), self.cutter.radius, self.tolerance)
        for room in polygons(centres):
            if not shapely.intersects(room, around):
                continue
            free = area_of(shapely.difference(room, around))
            check_width(room, free, self.cutter, self.engagement_deg, self.tolerance)
            self._clear_room(builder, room, free, layer)

    def finish(
        self, builder: PathBuilder, centres: BaseGeometry, cleared: BaseGeometry, top: float, passes: list[float]
    ) -> None:
        """Take what was left at the walls, as any other wood."""
        check_open(centres, cleared, self.cutter, self.tolerance)
        left = shapely.difference(offset.wall(centres, self.cutter.radius, self.tolerance), cleared)
        wood = standing(left, self.tolerance)
        self.clear(builder, centres, Layer(top, top, passes, wood, cleared, cleared))

    def _clear_room(self, builder: PathBuilder, room: Polygon, free: BaseGeometry, layer: Layer) -> None:
        down = _free_place(room, free) if self.entry == "auto" else None
        helix = None
        if down is None:
            helix = self._helix(room)
            down, radius = helix.start, helix.segments[0].radius
            disc = shapely.buffer(shapely.Point(helix.segments[0].centre), 0.999 * radius, quad_segs=32)
            free = shapely.union(free, disc)
        found = strokes(
            room, free, down,
            radius=self.cutter.radius, limit_deg=self.engagement_deg, widest=self.step, climb=self.climb,
            tolerance=self.tolerance,
        )  # fmt: skip
        above = layer.above
        for z in layer.passes:
            if helix is None:
                # To a first stroke that is lifted to it is gone at once.
                if found and found[0].kind != "lifted":
                    _over(builder, down, layer.top, z)
            else:
                _go(builder, room, down, layer.top, above, self.tolerance)
                builder.follow(helix, self._heights_down(helix, above, z))
            for stroke in found:
                _follow(builder, stroke, layer.top, z)
            above = z

    def _heights_down(self, helix: Track, above: float, z: float) -> list[tuple[float, float]]:
        """Down a helix, its last round by a hair only, which leaves nothing for a level round."""
        turns = max(1, ceil((above - z) / fall(self.cutter) / helix.length))
        hair = _HAIR * self.tolerance
        return [(0.0, above), (turns * helix.length, z + hair), ((turns + 1) * helix.length, z)]

    def _helix(self, room: Polygon) -> Track:
        """A circle for a helix in the widest place of a room."""
        cutter = self.cutter
        circle = shapely.maximum_inscribed_circle(room, cutter.radius / 50)
        x, y = shapely.get_coordinates(circle)[0].tolist()
        spare = float(shapely.distance(shapely.Point(x, y), room.boundary))
        radius = min(_HELIX * cutter.profile.flat_radius, 0.99 * spare)
        if radius < SPARE * cutter.radius / 2:
            raise too_slim(room, cutter, self.engagement_deg, self.tolerance)
        helix = circle_track((x, y), radius, clockwise=not self.climb)
        entries.check_room_along(cutter, helix)
        return helix


def _follow(builder: PathBuilder, stroke: Stroke, top: float, z: float) -> None:
    if stroke.kind == "rapid":
        off, *path, _ = stroke.approach
        builder.straight(off, z + _RISE)
        for place in path:
            builder.add(Move(RAPID, *place, z + _RISE))
    elif stroke.kind == "lifted":
        _over(builder, stroke.approach[0], top, z)
    for place in stroke.approach[0 if stroke.kind == "level" else -1 :]:
        builder.straight(place, z)
    builder.follow(stroke.track, [(0.0, z), (stroke.track.length, z)])


def _over(builder: PathBuilder, place: Point, top: float, z: float) -> None:
    builder.go_above(place, top + CLEAR)
    builder.plunge(z)


def _go(builder: PathBuilder, room: Polygon, place: Point, top: float, above: float, tolerance: float) -> None:
    """To a place on the level above: along what is cleared there if that is near, else over the top."""
    if builder.moves and builder.z == above and above < top:
        longest = _LONGEST_PATH * builder.cutter.diameter
        found = shortest_path(room, builder.place, place, longest, tolerance)
        if found is not None:
            for corner in found:
                builder.straight(corner, above)
            return
    _over(builder, place, top, above)


def _free_place(room: Polygon, free: BaseGeometry) -> Point | None:
    """A place to go straight down without meeting wood, near wood that stands."""
    roomy = shapely.buffer(free, -AIR, quad_segs=4)
    if roomy.is_empty:
        return None
    x, y = shapely.get_coordinates(shapely.shortest_line(roomy, shapely.difference(room, free)))[0].tolist()
    return x, y
