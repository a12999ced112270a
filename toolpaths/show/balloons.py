"""Numbers in circles, each with a line to where a step begins to cut; none over another, nor over a sign."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from math import cos, dist, radians, sin
from typing import NamedTuple

from toolpaths.base.errors import Point
from toolpaths.show.drawing import SMALL, THIN, Frame, disc, line, words
from toolpaths.show.markup import Markup, joined
from toolpaths.show.palette import PAPER

# mm on paper, of the circle.
_RADIUS = 2.4
# Rings of places that are tried about where a step begins, and places on each.
_RINGS, _AROUND = 8, 12


class Taken(NamedTuple):
    """A place where no balloon goes, and mm on paper about it."""

    place: Point
    radius: float


def balloons(frame: Frame, numbered: Iterable[tuple[int, Point]], signs: Iterable[Taken]) -> Markup:
    """The number of each step, and where it begins."""
    taken, found = list(signs), []
    for number, begins in numbered:
        at = _free_place(frame, begins, taken)
        taken.append(Taken(at, _RADIUS))
        found += [
            line(frame, begins, at),
            disc(frame, *at, _RADIUS * frame.scale, fill=PAPER, width=2 * THIN),
            words(frame, *at, str(number), down=0.35 * SMALL, anchor="middle"),
        ]
    return joined(found)


def _free_place(frame: Frame, place: Point, taken: Sequence[Taken]) -> Point:
    """The nearest of places around one that is free; the nearest of all where none is."""
    room = 1.05 * _RADIUS * frame.scale
    for ring in range(_RINGS):
        reach = room * (2.2 + ring)
        for turn in range(_AROUND):
            angle = radians(360 / _AROUND * turn + 45)
            x, y = place[0] + reach * cos(angle), place[1] + reach * sin(angle)
            inside = frame.left + room < x < frame.right - room and frame.low + room < y < frame.high - room
            if inside and all(dist((x, y), each.place) >= room + each.radius * frame.scale for each in taken):
                return x, y
    return place
