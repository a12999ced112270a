"""The plan of one side as a workshop drawing: the board as it lies, what is cut and by which cutter, what stands there,
and everything that has to be found at the machine, measured from zero."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from itertools import pairwise
from math import cos, radians, sin

import shapely

from toolpaths.base.errors import Point
from toolpaths.facts.fixture import Fixture
from toolpaths.facts.hold_down import HoldDown
from toolpaths.making.motion.toolpath import CUT, DRILL, RAPID, Toolpath
from toolpaths.making.plan.setup import Setup
from toolpaths.making.plan.steps import Step
from toolpaths.shapes.segment_bounds import segment_bounds
from toolpaths.shapes.track import Segment
from toolpaths.show import ordinates
from toolpaths.show.drawing import (
    PAPER_TALL,
    PAPER_WIDE,
    PLAIN,
    SMALL,
    THICK,
    THIN,
    Frame,
    area,
    disc,
    line,
    scale_for,
    scale_text,
    segments,
    words,
)
from toolpaths.show.lengths import MM, Lengths
from toolpaths.show.markup import Markup, joined, tag
from toolpaths.show.palette import GREY, INK, PALE, PAPER, LineStyle, line_style

# Of what was cut before from the other side.
_HIDDEN = LineStyle(GREY, (2.0, 1.0))
_CROSSING = LineStyle(GREY, (0.3, 1.2))
# Lines and arcs of one step that a drawing has at most, and mm on paper that they may be off where there are more.
_MOST_SEGMENTS, _FINEST = 4000, 0.05
# mm on paper: from the edge of the drawing to the arrow of the grain.
_MARGIN = 6.0
# mm on paper: radius of the numbers in circles, half the length of the grain's arrow, the mark of zero.
_BALLOON, _GRAIN, _ZERO = 2.4, 9.0, 2.2


def side_plan(
    setup: Setup, styles: Mapping[int, LineStyle], tabs: Sequence[Point] = (), lengths: Lengths = MM
) -> Markup:
    """The drawing of a side.

    styles : how the lines of each cutter are drawn, by its number
    tabs : where they stand, on the board as it lies
    """
    fixture = setup.fixture
    frame = ordinates.frame_around(*fixture.board.outline.bounds)
    steps = [(number, step) for number, step in enumerate(setup.steps, start=1) if isinstance(step, Step)]
    scale = f"Seen from above, the {fixture.side} up. {scale_text(frame.scale)}, {lengths.units}."
    return frame.svg(
        [
            area(frame, fixture.board.outline, fill=PALE),
            _opened_before(frame, setup),
            [_cut(frame, step.path, styles[step.path.cutter.number]) for _, step in steps],
            [_crossings(frame, step.path) for _, step in steps],
            area(frame, fixture.board.outline, style=PLAIN, width=THICK),
            _grain(frame, fixture),
            [_hold_down(frame, thing) for thing in fixture.standing()],
            _dowel_holes(frame, fixture),
            [_tab(frame, tab) for tab in tabs],
            _balloons(frame, steps),
            _zero(frame, fixture),
            _dimensions(frame, fixture, lengths),
            words(frame, frame.left, frame.high, scale, down=SMALL),
        ],
        f"Plan of the {fixture.side}",
    )


def toolpath_svg(path: Toolpath) -> Markup:
    """The drawing of one toolpath: its cuts, and its crossings, dotted."""
    areas = segment_bounds([segment for row in _rows(path) for segment in row]).tolist()
    areas += [[move.x, move.y, move.x, move.y] for move in path.moves]
    if not areas:
        return tag("p", "This toolpath has no moves.")
    left, low, right, high = (choose(side) for choose, side in zip((min, min, max, max), zip(*areas, strict=True)))
    room = path.cutter.radius
    scale = scale_for(right - left + 2 * room, high - low + 2 * room, PAPER_WIDE, PAPER_TALL)
    frame = Frame(left - room, low - room, right + room, high + room, scale)
    return frame.svg([_cut(frame, path, line_style(0)), _crossings(frame, path)], f"Toolpath of {path.cutter}")


def cutter_styles(setups: Iterable[Setup]) -> dict[int, LineStyle]:
    """How the lines of each cutter of a job are drawn, the same on all its sides."""
    numbers = dict.fromkeys(cutter.number for setup in setups for cutter in setup.cutters)
    return {number: line_style(nth) for nth, number in enumerate(numbers)}


def _cut(frame: Frame, path: Toolpath, style: LineStyle) -> Markup:
    """What a cutter sweeps, pale, and the way of its axis."""
    rows, holes = _drawn_rows(path, _FINEST * frame.scale), [move for move in path.moves if move.kind == DRILL]
    # As wide as it cuts at its deepest: a V cutter is wider above the wood.
    wide = 2 * path.cutter.profile.radius_at(-path.lowest) / frame.scale
    swath = segments(frame, rows, LineStyle(style.colour, ()), wide)
    return joined([
        tag("g", swath, opacity=0.16, stroke_linecap="round"),
        [disc(frame, hole.x, hole.y, path.cutter.radius, style=style, width=2 * THIN) for hole in holes],
        segments(frame, rows, style, 2 * THIN),
    ])  # fmt: skip


def _drawn_rows(path: Toolpath, finest: float) -> list[list[Segment]]:
    """The same rows, of very many only what the eye can tell apart.

    finest : mm that a line may be off at first
    """
    rows = _rows(path)
    while (count := sum(map(len, rows))) > _MOST_SEGMENTS:
        lines = [shapely.LineString([row[0].start, *(end for s in row for end in _ends(s))]) for row in rows]
        coarse = [shapely.get_coordinates(line.simplify(finest)).tolist() for line in lines]
        rows = [[Segment(tuple(a), tuple(b)) for a, b in pairwise(points)] for points in coarse]
        if sum(map(len, rows)) > count / 2:  # nothing to be had by that: every other row
            rows = rows[::2] if len(rows) > 1 else [rows[0][: len(rows[0]) // 2]]
        finest *= 2
    return rows


def _ends(segment: Segment) -> tuple[Point, ...]:
    """Where a segment ends, an arc with points on its way."""
    return tuple(segment.at(share) for share in (0.25, 0.5, 0.75, 1.0)) if segment.sweep else (segment.end,)


def _rows(path: Toolpath) -> list[list[Segment]]:
    """Where the axis goes at feed, each stretch once however often it is gone along, straight plunges left out."""
    rows: list[list[Segment]] = []
    seen: set[tuple[float, ...]] = set()
    x = y = 0.0
    for move in path.moves:
        if move.kind == CUT and (move.sweep or (x, y) != (move.x, move.y)):
            key = tuple(round(value, 2) for value in (x, y, move.x, move.y, *move.centre, move.sweep))
            segment = Segment((x, y), (move.x, move.y), move.centre, move.sweep)
            if key not in seen:
                if rows and rows[-1][-1].end == segment.start:
                    rows[-1].append(segment)
                else:
                    rows.append([segment])
                seen.add(key)
        x, y = move.x, move.y
    return rows


def _crossings(frame: Frame, path: Toolpath) -> Markup:
    rows, x, y = list[list[Segment]](), float("nan"), float("nan")
    for number, move in enumerate(path.moves):
        if number and move.kind in (RAPID, DRILL) and (x, y) != (move.x, move.y):
            rows.append([Segment((x, y), (move.x, move.y))])
        x, y = move.x, move.y
    return segments(frame, rows[:: len(rows) // _MOST_SEGMENTS + 1], _CROSSING)


def _opened_before(frame: Frame, setup: Setup) -> Markup:
    """Where the setups before this one went right through, and what they cut into the other face, dashed."""
    fixture, found = setup.fixture, []
    for earlier in setup.earlier:
        for _, features in earlier.features:
            for feature in features:
                shape = fixture.place(feature.shape)
                if feature.goes_through(earlier.fixture.underside_z) and feature.waste_side == "inside":
                    found.append(area(frame, shape, fill=PAPER))
                found.append(area(frame, shape, style=_HIDDEN))
    return joined(found)


def _grain(frame: Frame, fixture: Fixture) -> Markup:
    """An arrow with two heads along the grain, beside the drawing's title."""
    if fixture.grain_deg is None:
        return Markup("")
    half, turn = _GRAIN * frame.scale, radians(fixture.grain_deg)
    middle = (frame.right - half - _MARGIN * frame.scale, frame.high - _MARGIN * frame.scale / 2)
    dx, dy = half * cos(turn), half * sin(turn)
    found = [line(frame, (middle[0] - dx, middle[1] - dy), (middle[0] + dx, middle[1] + dy), width=2 * THIN)]
    for sign in (-1, 1):
        tip = (middle[0] + sign * dx, middle[1] + sign * dy)
        for lean in (-0.4, 0.4):
            back = 0.3 * half
            way = turn + lean
            barb = (tip[0] - sign * back * cos(way), tip[1] - sign * back * sin(way))
            found.append(line(frame, tip, barb, width=2 * THIN))
    found.append(words(frame, *middle, "grain", right=-_GRAIN - 1.5, down=0.3 * SMALL, anchor="end"))
    return joined(found)


def _hold_down(frame: Frame, thing: HoldDown) -> Markup:
    """A screw with its slot crossed, a pin filled, a clamp or a grip as its area."""
    if thing.area is not None:
        name = "clamp" if thing.kind == "clamp" else f"held by {thing.by}" if thing.by else "held"
        dash = PLAIN if thing.kind == "clamp" else LineStyle(INK, (4.0, 1.5, 0.5, 1.5))
        return joined([
            area(frame, thing.area, fill=PAPER if thing.kind == "clamp" else "none", style=dash, width=2 * THIN),
            words(frame, thing.x, thing.y, name, anchor="middle"),
        ])  # fmt: skip
    if thing.kind == "pin":
        return disc(frame, thing.x, thing.y, thing.radius, fill=INK)
    arm, (x, y) = 0.6 * thing.radius, (thing.x, thing.y)
    style = LineStyle(INK, (1.0, 0.6)) if thing.driven_at else PLAIN
    return joined([
        disc(frame, x, y, thing.radius, fill=PAPER, style=style, width=2 * THIN),
        line(frame, (x - arm, y - arm), (x + arm, y + arm), width=2 * THIN),
        line(frame, (x - arm, y + arm), (x + arm, y - arm), width=2 * THIN),
    ])  # fmt: skip


def _dowel_holes(frame: Frame, fixture: Fixture) -> Markup:
    """On the front, where their holes are made: a ring in a square, unlike any screw."""
    if fixture.turned:
        return Markup("")
    found = []
    for dowel in fixture.dowels:
        half = dowel.diameter / 2 + 0.8 * frame.scale
        square = shapely.box(dowel.x - half, dowel.y - half, dowel.x + half, dowel.y + half)
        found += [
            area(frame, square, style=PLAIN, width=2 * THIN),
            disc(frame, dowel.x, dowel.y, dowel.diameter / 2, width=2 * THIN),
        ]
    return joined(found)


def _tab(frame: Frame, tab: Point) -> Markup:
    """A square stood on its corner."""
    (x, y), half = tab, 1.3 * frame.scale
    diamond = shapely.Polygon([(x - half, y), (x, y - half), (x + half, y), (x, y + half)])
    return area(frame, diamond, fill=INK, style=LineStyle(PAPER, ()))


def _balloons(frame: Frame, steps: Iterable[tuple[int, Step]]) -> Markup:
    """The number of each step in a circle, with a leader to where it begins to cut; none over another."""
    taken: list[Point] = []
    found = []
    for number, step in steps:
        begins = next((move for move in step.path.moves if move.kind != RAPID), None)
        if begins is None:
            continue
        at = _free_place(frame, (begins.x, begins.y), taken)
        taken.append(at)
        found += [
            line(frame, (begins.x, begins.y), at),
            disc(frame, *at, _BALLOON * frame.scale, fill=PAPER, width=2 * THIN),
            words(frame, *at, str(number), down=0.35 * SMALL, anchor="middle"),
        ]
    return joined(found)


def _free_place(frame: Frame, place: Point, taken: Sequence[Point]) -> Point:
    """The nearest of places around one at which no balloon is yet."""
    apart = 2.1 * _BALLOON * frame.scale
    for ring in range(1, 8):
        for turn in range(12):
            reach = apart * (0.6 + 0.5 * ring)
            x = place[0] + reach * cos(radians(30 * turn + 45))
            y = place[1] + reach * sin(radians(30 * turn + 45))
            inside = frame.left + apart < x < frame.right - apart and frame.low + apart < y < frame.high - apart
            if inside and all((x - a) ** 2 + (y - b) ** 2 >= apart * apart for a, b in taken):
                return x, y
    return place


def _zero(frame: Frame, fixture: Fixture) -> Markup:
    """X0 Y0: a circle with two quarters filled, and the directions of X and Y."""
    x, y, _ = fixture.zero
    cx, cy = frame.at(x, y)
    r = _ZERO
    quarters = f"M{cx:.2f} {cy:.2f}h{r}a{r} {r} 0 0 0 {-r} {-r}zM{cx:.2f} {cy:.2f}h{-r}a{r} {r} 0 0 0 {r} {r}z"
    reach = 9.0 * frame.scale
    return joined([
        disc(frame, x, y, r * frame.scale, fill=PAPER, width=2 * THIN),
        tag("path", d=quarters, fill=INK),
        line(frame, (x, y), (x + reach, y), width=THICK),
        line(frame, (x, y), (x, y + reach), width=THICK),
        words(frame, x + reach, y, "X", right=0.6, down=-0.5),
        words(frame, x, y + reach, "Y", right=0.6, down=-0.4),
        words(frame, x, y, "X0 Y0", right=r + 0.4, down=-1.2),
    ])  # fmt: skip


def _dimensions(frame: Frame, fixture: Fixture, lengths: Lengths) -> Markup:
    """The board's edges, and every hold-down and dowel, from zero."""
    board, (zero_x, zero_y, _) = fixture.board, fixture.zero
    dowels = shapely.get_coordinates([fixture.place(shapely.Point(d.x, d.y)) for d in fixture.dowels]).tolist()
    points = [(thing.x, thing.y) for thing in fixture.standing() if thing.area is None]
    points += [(x, y) for x, y in dowels] if not fixture.turned else []
    boxes = [thing.area.bounds for thing in fixture.standing() if thing.area is not None and thing.kind == "clamp"]
    xs = [0.0, board.width, zero_x, *(x for x, _ in points), *(b[at] for b in boxes for at in (0, 2))]
    ys = [0.0, board.height, zero_y, *(y for _, y in points), *(b[at] for b in boxes for at in (1, 3))]
    return joined([ordinates.below(frame, 0.0, xs, zero_x, lengths), ordinates.beside(frame, 0.0, ys, zero_y, lengths)])
