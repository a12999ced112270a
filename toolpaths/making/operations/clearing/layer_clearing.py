"""How the wood of a layer is cleared: by courses of loops or rows, or, in `limited`, with limited engagement."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol

import shapely
from shapely.geometry.base import BaseGeometry

from toolpaths.facts.cutter import Cutter
from toolpaths.making.motion.toolpath import PathBuilder
from toolpaths.making.operations import entries
from toolpaths.making.operations.clearing.course_choice import CourseTerms, soonest_courses
from toolpaths.making.operations.clearing.course_passes import cut_courses
from toolpaths.making.operations.clearing.last_round import finish_walls
from toolpaths.making.operations.clearing.layers import Layer
from toolpaths.making.operations.clearing.loops import Room, polygons_of, standing
from toolpaths.making.operations.operation import AIR
from toolpaths.making.operations.rings import Direction
from toolpaths.shapes import offset
from toolpaths.shapes.drawn_area import DrawnArea


class LayerClearing(Protocol):
    """How one cutter takes wood, pass by pass. Each raises DoesNotFitError where there is no way down."""

    def before_finer(self, centres: BaseGeometry) -> BaseGeometry:
        """Where the axis works of where it may be, for a cutter that finer ones follow."""
        ...

    def clear(self, builder: PathBuilder, centres: BaseGeometry, layer: Layer) -> None:
        """Take the wood of a layer, the axis in `centres`."""
        ...

    def finish(
        self, builder: PathBuilder, centres: BaseGeometry, cleared: BaseGeometry, top: float, passes: list[float]
    ) -> None:
        """Take what was left at the walls of what is `cleared` by now, the axis in `centres`."""
        ...


@dataclass(frozen=True, slots=True)
class ClearingByCourses:
    """Each room of a layer on the course that is done soonest, and the walls in one last round.

    step : mm from loop to loop
    drawn : the area that is cleared
    """

    terms: CourseTerms
    step: float
    direction: Direction
    drawn: DrawnArea

    def before_finer(self, centres: BaseGeometry) -> BaseGeometry:
        return centres

    def clear(self, builder: PathBuilder, centres: BaseGeometry, layer: Layer) -> None:
        courses = [course for room in self._rooms(centres, layer) for course in soonest_courses(room, self.terms)]
        cut_courses(builder, courses, layer, self.terms.entry)

    def finish(
        self, builder: PathBuilder, centres: BaseGeometry, cleared: BaseGeometry, top: float, passes: list[float]
    ) -> None:
        finish_walls(builder, centres, cleared, self.direction, top, passes, self.drawn)

    def _rooms(self, centres: BaseGeometry, layer: Layer) -> list[Room]:
        """The parts of the centres with wood of the layer in reach."""
        cutter, tolerance, climb = self.terms.cutter, self.drawn.tolerance, self.direction == "climb"
        flat = cutter.profile.flat_radius
        # Of the air on the board only what the cutter meets there.
        about = shapely.box(*shapely.bounds(shapely.buffer(shapely.envelope(centres), 2 * cutter.radius + AIR)))
        near, near_known = shapely.intersection([layer.air, layer.known_air], about)
        air, known_air = _axis_in(near, cutter, tolerance), shapely.buffer(near_known, -cutter.radius - AIR)
        found = []
        for part in polygons_of(centres):
            reached = offset.zone(part, cutter.radius + tolerance, tolerance)
            whole = not shapely.intersects(near, reached)
            wood = reached if whole else shapely.intersection(layer.wood, reached)
            if whole or not standing(wood, tolerance).is_empty:
                free, known = shapely.intersection(air, part), shapely.intersection(known_air, part)
                room = Room(part, wood, free, known, cutter.radius, flat, self.step, climb, self.drawn, whole)
                found.append(room)
        return found


def _axis_in(air: BaseGeometry, cutter: Cutter, tolerance: float) -> BaseGeometry:
    """Where the axis may be, in air, for the cutter to go straight down."""
    roomy, *snug = entries.down_through_air(cutter, air, tolerance)
    # There is no room to move over in these.
    only_down = [part for parts in snug for part in polygons_of(parts) if not part.intersects(roomy)]
    return shapely.union_all([roomy, *only_down])
