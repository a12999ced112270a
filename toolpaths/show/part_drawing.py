"""A drawing of the part meant, seen from the front, with its measures: what is cut from the back is dashed."""

from __future__ import annotations

from collections.abc import Sequence
from math import pi

import shapely
from shapely import Polygon
from shapely.geometry.base import BaseGeometry

from toolpaths.base.checks import instance
from toolpaths.facts.part import Part
from toolpaths.facts.turning import SIDES
from toolpaths.show import ordinates
from toolpaths.show.drawing import PLAIN, SMALL, THICK, THIN, Frame, area, disc, line, scale_text, words
from toolpaths.show.lengths import MM, Lengths
from toolpaths.show.markup import Markup, joined
from toolpaths.show.palette import INK, PALE, PAPER, LineStyle

_BACK = LineStyle(INK, (1.5, 0.8))
# mm on paper above the part, for the title.
_TITLE = 9.0
# Features whose measures are drawn; what comes beyond is in the table of sizes.
_MOST_MEASURED = 40
# By which share a disc may seem to be none.
_ROUND = 0.005


def part_area(part: Part) -> BaseGeometry:
    """What of the board is the part, seen from the front: within its outline, and not in its openings."""
    outlines = [parting.area for parting in part.partings() if parting.waste == "outside"]
    openings = [parting.area for parting in part.partings() if parting.waste == "inside"]
    whole = shapely.union_all(outlines) if outlines else part.board.outline
    return shapely.difference(whole, shapely.union_all(openings))


def part_svg(part: Part) -> Markup:
    r"""An SVG drawing of a part.

    >>> import toolpaths as tp
    >>> board = tp.Board(width=100, height=60, thickness=18)
    >>> drawing = tp.part_svg(tp.Part(board=board, front=[tp.Recess(area=tp.circle(30, (50, 30)), depth=5)]))
    >>> ">50<" in drawing and ">\N{DIAMETER SIGN}30<" in drawing
    True

    Raises InputError for what is no Part.
    """
    instance("part", part, Part)
    return part_picture(part, MM)


def part_picture(part: Part, lengths: Lengths) -> Markup:
    """The same, its measures as they are read at the machine."""
    shape = part_area(part)
    left, low, right, high = shape.bounds
    frame = ordinates.frame_around(left, low, right, high, above=_TITLE)
    drawn = [
        (each, side)
        for side in SIDES
        for feature in part.cut_from(side)
        for each in shapely.get_parts(feature.shape)
        if shapely.intersects(each, shape)
    ]
    xs, ys = _measured([each for each, _ in drawn])
    title = f"The part, seen from the front, {scale_text(frame.scale)}, {lengths.units}. Dashed: cut from the back."
    return frame.svg(
        [
            area(frame, shape, fill=PALE, style=PLAIN, width=THICK),
            [_feature(frame, each, side, lengths) for each, side in drawn],
            area(frame, shape, style=PLAIN, width=THICK),
            ordinates.below(frame, low, [x for x in [left, right, *xs] if left <= x <= right], left, lengths),
            ordinates.beside(frame, left, [y for y in [low, high, *ys] if low <= y <= high], low, lengths),
            words(frame, frame.left, frame.high, title, down=SMALL),
        ],
        title,
    )


def round_diameter(shape: BaseGeometry) -> float | None:
    """mm across a polygon that is a disc but for its chords; None for any other shape."""
    if not isinstance(shape, Polygon):
        return None
    left, low, right, high = shape.bounds
    across, disc_area = right - left, pi / 4 * (right - left) * (high - low)
    outline = shapely.area(Polygon(shape.exterior))
    is_round = abs(across - (high - low)) < _ROUND * across and abs(outline - disc_area) < _ROUND * disc_area
    return across if is_round else None


def _feature(frame: Frame, shape: BaseGeometry, side: str, lengths: Lengths) -> Markup:
    style = _BACK if side == "back" else PLAIN
    if isinstance(shape, Polygon):
        outline = area(frame, shape, style=style, width=2 * THIN)
        if across := round_diameter(shape):
            label = f"\N{DIAMETER SIGN}{lengths.of(across)}"
            up = across / 2 * (0.72 if side == "front" else 0.86)
            middle = shape.centroid
            return joined([outline, words(frame, middle.x, middle.y + up, label, anchor="middle", down=SMALL)])
        return outline
    if shape.geom_type == "Point":
        return disc(frame, shape.x, shape.y, 0.8 * frame.scale, fill=INK if side == "front" else PAPER)
    points = [(x, y) for x, y in shapely.get_coordinates(shape).tolist()]
    return line(frame, *points, style=style, width=2 * THIN)


def _measured(shapes: Sequence[BaseGeometry]) -> tuple[list[float], list[float]]:
    """Places that are measured: middles of round things and of holes, edges of others."""
    xs, ys = list[float](), list[float]()
    for shape in shapes[:_MOST_MEASURED]:
        left, low, right, high = shape.bounds
        if right == left or round_diameter(shape):
            left = right = (left + right) / 2
            low = high = (low + high) / 2
        xs += [left, right]
        ys += [low, high]
    return xs, ys
