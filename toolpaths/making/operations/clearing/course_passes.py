"""The passes of a course: the same on level after level, from each down into the next."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import dist

import shapely
from shapely import LineString, Polygon
from shapely.geometry.base import BaseGeometry

from toolpaths.base.errors import Point
from toolpaths.facts.cutter import Cutter
from toolpaths.facts.way_down import fall
from toolpaths.making.motion.toolpath import RAPID, Move, PathBuilder
from toolpaths.making.operations import entries
from toolpaths.making.operations.clearing.layers import Layer
from toolpaths.making.operations.clearing.linked_course import Course, CourseSection
from toolpaths.making.operations.entries import AreaEntry
from toolpaths.making.operations.operation import CLEAR
from toolpaths.shapes.track import Track

# mm by which a cutter that leaves a wall rises on its way.
_RISE = 0.2
# mm above a level where a rapid down through known air ends.
_ABOVE = 0.5


def cut_courses(builder: PathBuilder, courses: Sequence[Course], layer: Layer, entry: AreaEntry) -> None:
    """Cut courses that have nothing to do with each other, each on all passes of a layer, the nearest next."""
    left = list(courses)
    while left:
        nearest = 0
        if builder.moves:
            away = [dist(builder.place, course.sections[0].entry.start) for course in left]
            nearest = away.index(min(away))
        _cut(builder, left.pop(nearest), layer, entry)


def _cut(builder: PathBuilder, course: Course, layer: Layer, entry: AreaEntry) -> None:
    above = layer.above
    if course.back is not None and entry == "ramp":
        # Forth along a slot, and back to take what the ramp left, is what a zigzag does in half as far.
        entry = "zigzag"
    for number, z in enumerate(layer.passes):
        for index, section in enumerate(course.on_pass(number).sections):
            first_of_all = number == index == 0
            if section.entry.kind == "known air":
                deep_enough = builder.moves and builder.z >= layer.passes[-1]
                known_air = course.known_air if deep_enough or not first_of_all else Polygon()
                down = _through_known_air(builder, section, known_air, layer.top, z)
            else:
                down = _over_level(builder, section, None if first_of_all else course, above, layer.top, z, entry)
            down.cut(builder)
            builder.segments(section.rest, z)
            builder.leave(section.leave, z, min(z + _RISE, above))
        above = z


@dataclass(frozen=True, slots=True, eq=False)
class _Down:
    """How a section is entered, from one height to another, and cut to the end of its first track.

    start : where the cutter goes down
    track : what it goes down along, at these heights, or as the entry has it along the first track itself; None where
        it goes straight down
    """

    section: CourseSection
    above: float
    z: float
    entry: AreaEntry
    start: Point
    track: Track | None = None
    heights: tuple[tuple[float, float], ...] = ()

    def cut(self, builder: PathBuilder) -> None:
        if self.track is not None and not self.heights:
            enter = entries.cut_ring if self.track.closed else entries.cut_line
            enter(builder, self.track, self.above, [self.z], self.entry)
            return
        lead, first = Track(self.section.entry.lead, False), self.section.first
        if self.track is not None:
            builder.follow(self.track, self.heights)
        elif lead.segments and not first.closed:
            # An open track begins where wood does: down on to the floor on the way there, lest the cutter stand on it.
            steep = min(fall(builder.cutter) * lead.length, self.above - self.z)
            builder.plunge(self.z + steep)
            builder.follow(lead, ((0.0, self.z + steep), (lead.length, self.z)))
            builder.segments(first.segments, self.z)
            return
        else:
            builder.plunge(self.z)
        builder.segments((*lead.segments, *first.segments), self.z)


def _down(cutter: Cutter, section: CourseSection, above: float, z: float, entry: AreaEntry) -> _Down:
    into, first = section.entry, section.first
    if into.kind == "along":
        if first.closed:
            first = entries.begun_to_end_at_start(cutter, first, above, z, entry)
        return _Down(section, above, z, entry, first.start, first)
    if into.stroke is not None:
        track, heights = entries.to_and_fro(cutter, into.stroke, above, z)
        return _Down(section, above, z, entry, into.start, track, tuple(heights))
    if into.helix is None:
        return _Down(section, above, z, entry, into.start)
    circle, heights = entries.helix_down(cutter, into.helix, above, z)
    return _Down(section, above, z, entry, circle.start, circle, tuple(heights))


def _through_known_air(
    builder: PathBuilder, section: CourseSection, known_air: BaseGeometry, top: float, z: float
) -> _Down:
    """By rapid to just above the pass, across through known air, else over the top."""
    start = section.entry.start
    if not known_air.is_empty and shapely.covers(known_air, LineString([builder.place, start])):
        builder.add(Move(RAPID, *start, z + _ABOVE))
    else:
        builder.go_above(start, min(z + _ABOVE, top + CLEAR))
    return _down(builder.cutter, section, z + _ABOVE, z, "plunge")


def _over_level(
    builder: PathBuilder,
    section: CourseSection,
    done: Course | None,
    above: float,
    top: float,
    z: float,
    entry: AreaEntry,
) -> _Down:
    """Over the pass before, where it is cleared and no lower than the cutter is; else over the top.

    done : the course of that pass, None where there was none
    above : z of that pass
    """
    if done is not None and above < top:
        height = max(above, builder.z)
        down = _down(builder.cutter, section, height, z, entry)
        if places := done.link_over(builder.place, down.start):
            for place in places:
                builder.straight(place, height)
            return down
    down = _down(builder.cutter, section, above, z, entry)
    builder.go_above(down.start, top + CLEAR)
    builder.plunge(above)
    return down
