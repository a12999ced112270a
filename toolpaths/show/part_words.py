"""Words on the drawing of a part: diameters, widths and depths, once for all that is alike, where they cover least."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import cos, radians, sin

import numpy as np
import shapely
from shapely import Polygon, box
from shapely.geometry.base import BaseGeometry

from toolpaths.show.drawing import SMALL, Frame, letters_wide, line, words
from toolpaths.show.lengths import Lengths
from toolpaths.show.markup import Markup, joined
from toolpaths.show.part_sizes import Measured, round_diameter

# Words on one drawing, and shapes of one kind about which room is looked for; the table of sizes has the rest.
_MOST_WORDS, _MOST_TRIED = 60, 6
# mm on paper between words and what they name, and how many more are tried.
_GAPS = (1.2, 4.0, 8.0)
# Directions about a shape, degrees from X.
_TURNS = (90, 270, 0, 180, 45, 135, 225, 315)


def named(frame: Frame, within: Polygon, drawn: Sequence[Measured], area: BaseGeometry, lengths: Lengths) -> Markup:
    """What is across or along no axis.

    within : of the frame, where words may stand
    area : of the part
    """
    alike: dict[str, list[Measured]] = {}
    for each in drawn:
        if text := _said(each, lengths):
            alike.setdefault(text, []).append(each)
    lines = shapely.STRtree([each.shape.boundary if each.shape.area else each.shape for each in drawn])
    found, taken = list[Markup](), list[Polygon]()
    for text, some in list(alike.items())[:_MOST_WORDS]:
        said = f"{len(some)} \N{MULTIPLICATION SIGN} {text}" if len(some) > 1 else text
        size = letters_wide(said) * frame.scale, 1.2 * SMALL * frame.scale
        places = [
            (len(lines.query(place, "intersects")), number, place, each)
            for each in some[:_MOST_TRIED]
            for number, place in enumerate(_around(frame, each, size, area))
            if within.covers(place) and not any(place.intersects(other) for other in taken)
        ]
        if places:
            _, _, place, each = min(places, key=lambda tried: tried[:2])
            taken.append(place)
            found.append(_word(frame, place, each, said))
    return joined(found)


def _word(frame: Frame, place: Polygon, each: Measured, said: str) -> Markup:
    """The words, and a line to what they name where they stand beside it."""
    middle, low = place.centroid, place.bounds[1]
    text = words(frame, middle.x, low, said, anchor="middle", down=-0.2 * SMALL, halo=True)
    if place.within(each.shape):
        return text
    edge = each.shape.boundary if each.shape.area else each.shape
    (x0, y0), (x1, y1) = shapely.get_coordinates(shapely.shortest_line(place, edge)).tolist()
    return joined([line(frame, (x0, y0), (x1, y1)), text])


def _said(each: Measured, lengths: Lengths) -> str:
    """Sizes along X and Y are measured beside the part, and those of bevels are in the table."""
    deep = "through" if each.depth is None else f"{lengths.of(each.depth)} deep"
    if each.shape.area and not round_diameter(each.shape) and " wide" not in each.size:
        return "" if each.depth is None or each.box is None else deep
    across, _, _ = each.size.partition(" wide,")
    wide = " wide" if across != each.size else ""
    return f"{across}{wide} {deep}" if each.depth is None else f"{across}{wide}, {deep}"


def _around(frame: Frame, each: Measured, size: tuple[float, float], area: BaseGeometry) -> Iterator[Polygon]:
    """Where the words of a shape may stand, the best first: in it, where the part has it, then about it."""
    wide, tall = size
    left, low, right, high = each.shape.bounds
    x, y = (left + right) / 2, (low + high) / 2
    for shift in (0, 1.2, -1.2, 2.4, -2.4):
        place = _box(x, y + shift * tall, size)
        if place.within(each.shape) and (each.depth is None or place.within(area)):
            yield place
    ends = shapely.get_coordinates(each.shape) if len(shapely.get_parts(each.shape)) else np.array([[x, y]])
    for gap in _GAPS:
        for turn in _TURNS:
            dx, dy = cos(radians(turn)), sin(radians(turn))
            # Where the shape reaches farthest that way, and from there as far as the words need.
            at_x, at_y = ends[np.argmax(ends @ (dx, dy))] if turn % 90 else (x + dx * (right - x), y + dy * (high - y))
            room = gap * frame.scale
            yield _box(at_x + dx * (room + wide / 2), at_y + dy * (room + tall / 2), size)


def _box(x: float, y: float, size: tuple[float, float]) -> Polygon:
    wide, tall = size
    return box(x - wide / 2, y - tall / 2, x + wide / 2, y + tall / 2)
