"""A drawing to scale, as SVG: everything is placed in mm of what is drawn, and lines and letters are mm on paper."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal, TypeVar

import numpy as np
import shapely
from shapely import LineString, Polygon
from shapely.geometry.base import BaseGeometry

from toolpaths.base.checks import Floats
from toolpaths.base.errors import Point
from toolpaths.shapes.track import Segment
from toolpaths.show.markup import Content, Markup, joined, tag
from toolpaths.show.palette import INK, PAPER, LineStyle

# A coordinate, or those of many places.
_One = TypeVar("_One", float, Floats)
# A line without gaps.
PLAIN = LineStyle(INK, ())
# Enlargements and reductions of workshop drawings: those of ISO 5455 and, as is common practice, halves and thirds
# between them.
SCALES = (0.2, 0.5, 1.0, 2.0, 2.5, 3.0, 4.0, 5.0, 7.5, 10.0, 15.0, 20.0, 30.0, 50.0)
# mm on paper: letters, whose capitals and figures are seven tenths of that high and not to be less than 2 mm, and thin
# and thick lines of ISO 128 (from memory).
SMALL, LETTERS = 2.8, 3.5
THIN, THICK = 0.18, 0.5
# Of the height of letters how wide they are on the whole, and mm of paper left about them where lines run below.
_LETTER_WIDE, _HALO = 0.6, 0.7
# Points of one shape that a drawing has at most, and mm on paper that its lines may be off where there are more.
_MOST_POINTS, _FINEST = 8000, 0.05
# mm that a drawing may take on a page, its dimensions and all.
PAPER_WIDE, PAPER_TALL = 184.0, 150.0


@dataclass(frozen=True)
class Frame:
    """The part of the plane that is drawn, y up, and how much smaller it comes on paper.

    left, low, right, high : mm of what is drawn
    scale : mm of what is drawn for each mm on paper
    """

    left: float
    low: float
    right: float
    high: float
    scale: float = 1.0

    @property
    def wide(self) -> float:
        """mm on paper."""
        return (self.right - self.left) / self.scale

    @property
    def tall(self) -> float:
        """mm on paper."""
        return (self.high - self.low) / self.scale

    def at(self, x: _One, y: _One) -> tuple[_One, _One]:
        """mm on paper, from the upper left corner, y down."""
        return (x - self.left) / self.scale, (self.high - y) / self.scale

    def svg(self, contents: Content, what: str) -> Markup:
        """The picture. what : what it shows, in words, for those who do not see it"""
        wide, tall = self.wide, self.tall
        return tag(
            "svg", tag("title", what), joined(contents), xmlns="http://www.w3.org/2000/svg", role="img",
            width=f"{wide:.2f}mm", height=f"{tall:.2f}mm", viewBox=f"0 0 {wide:.2f} {tall:.2f}",
        )  # fmt: skip


def scale_for(wide: float, tall: float, paper_wide: float, paper_tall: float) -> float:
    """The least reduction at which something fits on so much paper, all mm; beyond the usual ones as it comes."""
    least = max(wide / paper_wide, tall / paper_tall)
    return next((scale for scale in SCALES if scale >= least), least)


def scale_text(scale: float) -> str:
    """As drawings say it: "1:2.5", and "2:1" where they are larger."""
    if scale < 1:
        return f"{1 / scale:g}:1"
    return f"1:{scale:g}" if scale in SCALES else f"1:{scale:.1f}"


def letters_wide(text: str, size: float = SMALL) -> float:
    """mm on paper that a text takes at most: of plain letters, an m is the widest that is common."""
    return _LETTER_WIDE * size * len(text)


def line(frame: Frame, *points: Point, style: LineStyle = PLAIN, width: float = THIN) -> Markup:
    """A line through points."""
    if len(points) > _MOST_POINTS:
        points = tuple(map(tuple, shapely.get_coordinates(_thinned(frame, LineString(points))).tolist()))
    return stroked("M" + _through(frame, np.array(points)), style, width)


def segments(frame: Frame, rows: Iterable[Iterable[Segment]], style: LineStyle, width: float = THIN) -> Markup:
    """Rows of lines and arcs end to end, as one element."""
    return stroked(course_of(frame, rows), style, width)


def course_of(frame: Frame, rows: Iterable[Iterable[Segment]]) -> str:
    """The same, to be drawn in several styles."""
    return "".join(_course(frame, row) for row in rows)


def area(
    frame: Frame, shape: BaseGeometry, *, fill: str = "none", style: LineStyle | None = None, width: float = THIN
) -> Markup:
    """The polygons of a shape, with their holes."""
    rings = [
        ring
        for part in shapely.get_parts(_thinned(frame, shape))
        if isinstance(part, Polygon)
        for ring in (part.exterior, *part.interiors)
    ]
    course = "".join("M" + _through(frame, shapely.get_coordinates(ring)) + "Z" for ring in rings)
    if style is None:
        return tag("path", d=course, fill=fill, fill_rule="evenodd", stroke="none") if course else Markup("")
    return stroked(course, style, width, fill)


def disc(
    frame: Frame, x: float, y: float, radius: float, *, fill: str = "none", style: LineStyle = PLAIN,
    width: float = THIN,
) -> Markup:  # fmt: skip
    """A circle; radius in mm of what is drawn."""
    cx, cy = frame.at(x, y)
    return tag(
        "circle", cx=_number(cx), cy=_number(cy), r=_number(radius / frame.scale), fill=fill, stroke=style.colour,
        stroke_width=width, stroke_dasharray=_dashes(style),
    )  # fmt: skip


def words(
    frame: Frame, x: float, y: float, text: str, *, size: float = SMALL, right: float = 0.0, down: float = 0.0,
    anchor: Literal["start", "middle", "end"] = "start", upright: bool = False, colour: str = INK, halo: bool = False,
) -> Markup:  # fmt: skip
    """A text at a place; right, down: mm on paper away from it; upright: read from the right, as on drawings; halo:
    with paper about its letters, so that it can be read over lines."""
    at_x, at_y = frame.at(x, y)
    at_x, at_y = at_x + right, at_y + down
    turn = f"rotate(-90 {_number(at_x)} {_number(at_y)})" if upright else None
    return tag(
        "text", text, x=_number(at_x), y=_number(at_y), font_size=size, text_anchor=anchor, fill=colour, transform=turn,
        stroke=PAPER if halo else None, stroke_width=_HALO if halo else None, paint_order="stroke" if halo else None,
    )  # fmt: skip


def _thinned(frame: Frame, shape: BaseGeometry) -> BaseGeometry:
    """The same, of very many points only what the eye can tell apart."""
    finest = _FINEST * frame.scale
    while shapely.get_num_coordinates(shape) > _MOST_POINTS and finest < frame.wide:
        shape = shapely.simplify(shape, finest)
        finest *= 2
    return shape


def stroked(course: str, style: LineStyle, width: float, fill: str = "none") -> Markup:
    """A course of lines and arcs as one element."""
    if not course:
        return Markup("")
    return tag(
        "path", d=course, fill=fill, fill_rule="evenodd", stroke=style.colour, stroke_width=width,
        stroke_dasharray=_dashes(style), stroke_linejoin="round",
    )  # fmt: skip


def _dashes(style: LineStyle) -> str | None:
    return " ".join(f"{part:g}" for part in style.dash) or None


def _course(frame: Frame, row: Iterable[Segment]) -> str:
    said, last = [], None
    for segment in row:
        if segment.start != last:
            said.append(f"M{_pair(frame, segment.start)}")
        if segment.sweep == 0:
            said.append(f"L{_pair(frame, segment.end)}")
        else:
            # SVG tells no arc whose ends meet: each is drawn as two.
            radius, turn = _number(segment.radius / frame.scale), "0" if segment.sweep > 0 else "1"
            for end in (segment.at(0.5), segment.end):
                said.append(f"A{radius} {radius} 0 0 {turn} {_pair(frame, end)}")
        last = segment.end
    return "".join(said)


def _through(frame: Frame, points: Floats) -> str:
    """A course from one to the next of (n, 2) points."""
    said = "L".join(["%.2f %.2f"] * len(points)) % tuple(np.column_stack(frame.at(*points.T)).ravel().tolist())
    for digit in "123456789":
        said = said.replace(f".{digit}0", f".{digit}")
    return said.replace(".00", "")


def _pair(frame: Frame, point: Point) -> str:
    x, y = frame.at(*point)
    return f"{_number(x)} {_number(y)}"


def _number(value: float) -> str:
    """mm on paper to 0.01; finer than any printer."""
    return f"{round(value, 2):g}"
