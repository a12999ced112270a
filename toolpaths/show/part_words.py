"""Words on the drawing of a part: diameters, widths and depths, once for all that is alike, where they cover least."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import cos, radians, sin
from typing import NamedTuple

import numpy as np
import shapely
from shapely import Polygon
from shapely.geometry.base import BaseGeometry

from toolpaths.base.errors import Point
from toolpaths.show.drawing import SMALL, Frame, letters_wide, line, words
from toolpaths.show.lengths import Lengths
from toolpaths.show.markup import Markup, joined
from toolpaths.show.part_sizes import Measured, round_diameter

# Words on one drawing, and shapes of one kind about which room is looked for; the table of sizes has the rest.
_MOST_WORDS, _MOST_TRIED = 60, 4
# mm on paper between words and what they name, and how many more are tried.
_GAPS = (1.8, 4.0, 8.0, 14.0)
# mm by which two outlines are one, and the least share of a rectangle that a shape fills to be one.
_SAME, _FULL = 0.01, 0.9
# mm on paper between places that are tried, up the page and half as many across, and how far they are from the shape;
# of letters at their widest how wide they are on the whole.
_STEP, _FAR, _SLIM = 2.0, 20.0, 0.9
# mm on paper by which lines may be off where words are kept off them.
_FINE = 0.1
# mm on paper that a line to what is named is long at best: a shorter one is not seen.
_LED = 2.5
# What is the worse by so many mm of a line to what is named: words over a line, in another's opening, and that line
# over another one, of which its own shape's is one.
_CROSSED, _IN_OPENING, _LED_OVER = 150.0, 1000.0, 3.0
# Directions about a shape, degrees from X.
_TURNS = (90, 270, 0, 180, 45, 135, 225, 315)


def named(frame: Frame, within: Polygon, drawn: Sequence[Measured], area: BaseGeometry, lengths: Lengths) -> Markup:
    """What is across or along no axis.

    within : of the frame, where words may stand
    area : of the part
    """
    edges = [shapely.simplify(_edge(each), _FINE * frame.scale) for each in drawn]
    alike: dict[str, list[tuple[Measured, BaseGeometry]]] = {}
    for each, edge in zip(drawn, edges, strict=True):
        if text := _said(each, area, lengths):
            alike.setdefault(text, []).append((each, edge))
    lines, grid = _Lines.of(edges), _grid(frame, within)
    openings = shapely.difference(_filled(area), area)
    shapely.prepare([within, openings])
    choices = []
    for text, some in list(alike.items())[:_MOST_WORDS]:
        said = f"{len(some)} \N{MULTIPLICATION SIGN} {text}" if len(some) > 1 else text
        size = _SLIM * letters_wide(said) * frame.scale, 1.2 * SMALL * frame.scale
        choices.append(
            (said, [_choice(frame, within, grid, *one, size, lines, openings) for one in some[:_MOST_TRIED]])
        )
    # Words with the fewest good places choose first.
    choices.sort(key=lambda choice: sum(np.count_nonzero(each.cost < _CROSSED) for each in choice[1]))
    found, taken = list[Markup](), list[BaseGeometry]()
    for said, some_choices in choices:
        free = [each for each in (choice.clear_of(taken) for choice in some_choices) if len(each.places)]
        if free:
            best = min(free, key=lambda choice: float(choice.cost.min()))
            at = int(best.cost.argmin())
            place, leader = best.places[at], best.leaders[at]
            taken += [place, leader]
            found.append(_word(frame, place, leader, said))
    return joined(found)


class _Lines(NamedTuple):
    """Lines and points of a drawing: pieces of them, each of two points at most, and the number of each one's line."""

    pieces: shapely.STRtree
    line: np.ndarray

    @classmethod
    def of(cls, lines: Sequence[BaseGeometry]) -> _Lines:
        parts, line = shapely.get_parts(lines, return_index=True)
        points, part = shapely.get_coordinates(parts, return_index=True)
        along = np.flatnonzero(part[1:] == part[:-1])
        alone = np.flatnonzero(shapely.get_num_coordinates(parts) == 1)
        pieces = shapely.linestrings(np.stack([points[along], points[along + 1]], axis=1))
        return cls(
            shapely.STRtree(np.concatenate([pieces, parts[alone]])), np.concatenate([line[part[along]], line[alone]])
        )

    def met_by(self, some: np.ndarray) -> np.ndarray:
        """(n,) how many of the lines each of some shapes (n,) meets."""
        of, piece = self.pieces.query(some, "intersects")
        met = np.zeros((len(some), self.line.max(initial=0) + 1), bool)
        met[of, self.line[piece]] = True
        return np.asarray(met.sum(axis=1))


class _Choice(NamedTuple):
    """Where the words of a shape may stand, (n,) each.

    places, leaders : boxes of the words, and lines from them to what they name
    cost : how little each is liked
    """

    places: np.ndarray
    leaders: np.ndarray
    cost: np.ndarray

    def clear_of(self, taken: Sequence[BaseGeometry]) -> _Choice:
        """Those that meet no words or leaders that stand already."""
        others = np.array(taken, object)
        met = shapely.intersects(self.places[:, None], others) | shapely.intersects(self.leaders[:, None], others)
        clear = ~met.any(axis=1)
        return _Choice(self.places[clear], self.leaders[clear], self.cost[clear])


def _choice(
    frame: Frame, within: Polygon, grid: np.ndarray, each: Measured, edge: BaseGeometry, size: tuple[float, float],
    lines: _Lines, openings: BaseGeometry,
) -> _Choice:  # fmt: skip
    """Over as few lines as can be, near what is named, and in an opening only what that is called.

    edge : of what is named, simplified
    """
    shapely.prepare([edge, each.shape])
    far, box = _FAR * frame.scale, np.reshape(edge.bounds, (2, 2))
    near = grid[((grid >= box[0] - far) & (grid <= box[1] + far)).all(axis=1)]
    near = near[shapely.dwithin(edge, shapely.points(near), far)]
    places = _boxes(np.concatenate([np.array([*_around(frame, each, size)]), near]), size)
    places = places[shapely.covers(within, places)]
    inside = shapely.contains(each.shape, places)
    leaders = np.full(len(places), shapely.LineString(), object)
    leaders[~inside] = shapely.shortest_line(places[~inside], edge)
    over, led_over = lines.met_by(places), lines.met_by(leaders)
    its_own = inside & (each.depth is None)
    led = np.where(inside, 0.0, np.abs(shapely.length(leaders) / frame.scale - _LED))
    cost = _CROSSED * over + _LED_OVER * led_over + led
    return _Choice(places, leaders, cost + _IN_OPENING * (shapely.intersects(openings, places) & ~its_own))


def _edge(each: Measured) -> BaseGeometry:
    return each.shape.boundary if each.shape.area else each.shape


def _filled(area: BaseGeometry) -> BaseGeometry:
    """The same without its openings."""
    return shapely.union_all([Polygon(each.exterior) for each in shapely.get_parts(area)])


def _boxes(middles: np.ndarray, size: tuple[float, float]) -> np.ndarray:
    """(n,) boxes of one size about places (n, 2)."""
    (wide, tall), (x, y) = size, middles.T
    return np.asarray(shapely.box(x - wide / 2, y - tall / 2, x + wide / 2, y + tall / 2))


def _word(frame: Frame, place: Polygon, leader: BaseGeometry, said: str) -> Markup:
    """The words, and a line to what they name where they stand beside it."""
    text = words(frame, place.centroid.x, place.bounds[1], said, anchor="middle", down=-0.2 * SMALL, halo=True)
    if leader.is_empty:
        return text
    (x0, y0), (x1, y1) = shapely.get_coordinates(leader).tolist()
    return joined([line(frame, (x0, y0), (x1, y1)), text])


def _said(each: Measured, area: BaseGeometry, lengths: Lengths) -> str:
    """Across and how deep. Of a shape that no two lengths tell only how deep; of the part's own outline nothing: it is
    measured beside the drawing."""
    deep = "through" if each.depth is None else f"{lengths.of(each.depth)} deep"
    across, is_groove, _ = each.size.partition(" wide,")
    if is_groove:
        return f"{across} wide, {deep}"
    if each.shape.area and not round_diameter(each.shape) and each.box is not None:
        if max(map(abs, np.subtract(each.shape.bounds, area.bounds))) < _SAME:
            return ""
        if not _is_rectangle(each):
            return "" if each.depth is None else deep
    return f"{across} {deep}" if each.depth is None else f"{across}, {deep}"


def _is_rectangle(each: Measured) -> bool:
    """Whether it lies between walls of which its size tells both lengths, corners rounded or not."""
    rectangle = shapely.oriented_envelope(each.shape)
    return bool(each.shape.area > _FULL * rectangle.area)


def _around(frame: Frame, each: Measured, size: tuple[float, float]) -> Iterator[Point]:
    """Middles of places where the words of a shape may stand, the best first: in it, then about it."""
    wide, tall = size
    shape = shapely.simplify(each.shape, _FINE * frame.scale)
    left, low, right, high = shape.bounds
    x, y = (left + right) / 2, (low + high) / 2
    inner = shapely.buffer(shape, -tall / 2)
    for shift in (0, 1.2, -1.2, 2.4, -2.4):
        if shapely.intersects_xy(inner, x, y + shift * tall):
            yield x, y + shift * tall
    ends = shapely.get_coordinates(shape)
    for gap in _GAPS:
        for turn in _TURNS:
            dx, dy = cos(radians(turn)), sin(radians(turn))
            # Where the shape reaches farthest that way, and from there as far as the words need.
            at_x, at_y = ends[np.argmax(ends @ (dx, dy))] if turn % 90 else (x + dx * (right - x), y + dy * (high - y))
            room = gap * frame.scale
            yield at_x + dx * (room + wide / 2), at_y + dy * (room + tall / 2)


def _grid(frame: Frame, within: Polygon) -> np.ndarray:
    """(n, 2) places all over a drawing."""
    left, low, right, high = within.bounds
    step = _STEP * frame.scale
    xs, ys = np.meshgrid(np.arange(left + step, right, 2 * step), np.arange(low + step, high, step))
    return np.column_stack([xs.ravel(), ys.ravel()])
