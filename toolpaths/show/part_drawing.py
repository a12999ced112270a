"""A drawing of the part meant, seen from the front, with its measures: what is cut from the back is dashed."""

from __future__ import annotations

from collections.abc import Sequence

import shapely
from shapely import box
from shapely.geometry.base import BaseGeometry

from toolpaths.base.checks import instance
from toolpaths.facts.part import Part
from toolpaths.show import ordinates
from toolpaths.show.drawing import PAPER_TALL, PLAIN, SMALL, THICK, THIN, Frame, area, disc, line, scale_text, words
from toolpaths.show.lengths import MM, Lengths
from toolpaths.show.markup import Markup, joined
from toolpaths.show.palette import INK, PALE, PAPER, LineStyle
from toolpaths.show.part_sizes import Bounds, Measured, measured, part_area, round_diameter, thickness
from toolpaths.show.part_words import named

_BACK, _MIDDLE = LineStyle(INK, (1.5, 0.8)), LineStyle(INK, (5.0, 0.8, 0.5, 0.8))
# mm on paper above the part, for the title.
_TITLE = 9.0
# mm on paper, the least radius with which a hole is drawn.
_POINT = 0.3


def part_svg(part: Part) -> Markup:
    r"""An SVG drawing of a part.

    >>> import toolpaths as tp
    >>> board = tp.Board(width=100, height=60, thickness=18)
    >>> drawing = tp.part_svg(tp.Part(board=board, front=[tp.Recess(area=tp.circle(30, (50, 30)), depth=5)]))
    >>> ">50<" in drawing and ">\N{DIAMETER SIGN}30, 5 deep<" in drawing
    True

    Raises InputError for what is no Part.
    """
    instance("part", part, Part)
    return part_picture(part, MM)


def part_picture(part: Part, lengths: Lengths, *, tall: float = PAPER_TALL) -> Markup:
    """The same, its measures as they are read at the machine.

    tall : mm on paper that it may take up the page
    """
    shape = part_area(part)
    left, low, right, high = shape.bounds
    drawn = measured(part, lengths)
    xs, ys = _places(drawn, shape.bounds)
    room_below, room_beside = ordinates.room_for(xs, left, lengths), ordinates.room_for(ys, low, lengths)
    frame = ordinates.frame_around(
        left, low, right, high, above=_TITLE, tall=tall, room_below=room_below, room_beside=room_beside
    )
    room = box(left, low, frame.right, frame.high - _TITLE * frame.scale)
    dashed = " Dashed: cut into the back, not through." if any(each.side == "back" for each in drawn) else ""
    thick = f"{lengths.of(thickness(part))} thick"
    title = f"Seen from the front, {scale_text(frame.scale)}, {lengths.units}; {thick}.{dashed}"
    return frame.svg(
        [
            area(frame, shape, fill=PALE, style=PLAIN, width=THICK),
            [_outline(frame, each) for each in drawn],
            area(frame, shape, style=PLAIN, width=THICK),
            ordinates.below(frame, low, xs, left, lengths),
            ordinates.beside(frame, left, ys, low, lengths),
            named(frame, room, drawn, shape, lengths),
            words(frame, frame.left, frame.high, title, down=SMALL),
        ],
        title,
    )


def _outline(frame: Frame, each: Measured) -> Markup:
    if each.shape.geom_type == "Point":
        fill = INK if each.side == "front" else PAPER
        return disc(frame, each.shape.x, each.shape.y, max(each.radius, _POINT * frame.scale), fill=fill)
    style = _BACK if each.side == "back" else PLAIN
    rows = [row for row in shapely.get_parts(each.shape) if row.geom_type in ("LineString", "LinearRing")]
    return joined([
        area(frame, each.shape, style=style, width=2 * THIN),
        [_line(frame, row, style, 2 * THIN) for row in rows],
        [] if rows or each.middle_line is None else _line(frame, each.middle_line, _MIDDLE, THIN),
    ])  # fmt: skip


def _line(frame: Frame, row: BaseGeometry, style: LineStyle, width: float) -> Markup:
    return line(frame, *map(tuple, shapely.get_coordinates(row).tolist()), style=style, width=width)


def _places(drawn: Sequence[Measured], bounds: Bounds) -> tuple[list[float], list[float]]:
    """Places along X and Y that are measured, within the part: its edges, middles of round things and of holes, walls
    of others."""
    part_left, part_low, part_right, part_high = bounds
    xs, ys = [part_left, part_right], [part_low, part_high]
    for each in drawn:
        if each.box is None:
            continue
        left, low, right, high = each.box
        if right == left or round_diameter(each.shape):
            left = right = (left + right) / 2
            low = high = (low + high) / 2
        xs += [x for x in (left, right) if part_left <= x <= part_right]
        ys += [y for y in (low, high) if part_low <= y <= part_high]
    return xs, ys
