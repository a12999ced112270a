"""The plan of one side as a workshop drawing: the board as it lies, what is cut and by which cutter, what stands there,
and everything that has to be found at the machine, measured from zero."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from itertools import pairwise

import numpy as np
import shapely

from toolpaths.base.errors import Point
from toolpaths.facts.fixture import Fixture
from toolpaths.making.motion.toolpath import CUT, DRILL, RAPID, Toolpath
from toolpaths.making.plan.extent import extent
from toolpaths.making.plan.setup import Setup
from toolpaths.making.plan.steps import Step
from toolpaths.making.plan.work_lines import lines_over_parts, work_lines
from toolpaths.shapes.segment_bounds import segment_bounds
from toolpaths.shapes.track import Segment
from toolpaths.show import ordinates
from toolpaths.show.balloons import Taken, balloons
from toolpaths.show.drawing import (
    PAPER_TALL,
    PAPER_WIDE,
    PLAIN,
    SMALL,
    THICK,
    THIN,
    Frame,
    area,
    course_of,
    disc,
    line,
    scale_for,
    scale_text,
    segments,
    stroked,
    words,
)
from toolpaths.show.lengths import MM, Lengths
from toolpaths.show.markup import Markup, joined, tag
from toolpaths.show.palette import GREY, PALE, PAPER, LineStyle, line_style
from toolpaths.show.part_labels import labels_of_parts, part_labels, taken_by
from toolpaths.show.plan_signs import NAME, ZERO, dowel_holes, grain_arrow, hold_down_sign, tab_sign, zero_sign

# Of what was cut before from the other side.
_HIDDEN = LineStyle(GREY, (2.0, 1.0))
_CROSSING = LineStyle(GREY, (0.3, 1.2))
# Lines and arcs of one step that a drawing has at most, and mm on paper that they may be off where there are more.
_MOST_SEGMENTS, _FINEST = 4000, 0.05
# mm on paper above what is drawn, for the title and the arrow of the grain.
_TITLE = 9.0
# Of more steps than this, or of many parts, only the first of each line of the order of work has its number.
_MOST_NUMBERS = 40


def side_plan(
    setup: Setup, styles: Mapping[int, LineStyle], tabs: Sequence[Point] = (), lengths: Lengths = MM
) -> Markup:
    """The drawing of a side.

    styles : how the lines of each cutter are drawn, by its number
    tabs : where they stand, on the board as it lies
    """
    fixture = setup.fixture
    around = _drawn_bounds(setup)
    xs, ys = _measured_places(fixture)
    zero_x, zero_y, _ = fixture.zero
    room_below = ordinates.room_for(xs, zero_x, lengths) + NAME
    frame = ordinates.frame_around(
        *around, above=_TITLE, room_below=room_below, room_beside=ordinates.room_for(ys, zero_y, lengths)
    )
    left, low, _, _ = around
    steps = [step for step in setup.steps if isinstance(step, Step)]
    labels = labels_of_parts(frame, setup)
    scale = f"Seen from above, the {fixture.side} up. {scale_text(frame.scale)}, {lengths.units}."
    return frame.svg(
        [
            area(frame, fixture.board.outline, fill=PALE),
            _opened_before(frame, setup),
            [_cut(frame, step.path, styles[step.path.cutter.number]) for step in steps],
            [_crossings(frame, step.path) for step in steps],
            area(frame, fixture.board.outline, style=PLAIN, width=THICK),
            grain_arrow(frame, fixture),
            [hold_down_sign(frame, thing) for thing in fixture.standing()],
            dowel_holes(frame, fixture),
            [tab_sign(frame, tab) for tab in tabs],
            part_labels(frame, labels),
            balloons(frame, _numbered(setup), [*_signs(fixture, tabs), *taken_by(frame, labels)]),
            zero_sign(frame, fixture),
            # Below the name of zero, where that is at the board's lower edge.
            ordinates.below(frame, min(low, zero_y - NAME * frame.scale), xs, zero_x, lengths),
            ordinates.beside(frame, left, ys, zero_y, lengths),
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
    course = course_of(frame, rows)
    swath = stroked(course, LineStyle(style.colour, ()), wide)
    return joined([
        tag("g", swath, opacity=0.16, stroke_linecap="round"),
        [disc(frame, hole.x, hole.y, path.cutter.radius, style=style, width=2 * THIN) for hole in holes],
        stroked(course, style, 2 * THIN),
    ])  # fmt: skip


def _drawn_rows(path: Toolpath, finest: float) -> list[list[Segment]]:
    """The same rows, of very many only what the eye can tell apart.

    finest : mm that a line may be off at first
    """
    rows = _rows(path)
    while (count := sum(map(len, rows))) > _MOST_SEGMENTS:
        drawn = [shapely.LineString([row[0].start, *(end for s in row for end in _ends(s))]) for row in rows]
        coarse = [shapely.get_coordinates(shapely.simplify(each, finest)).tolist() for each in drawn]
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


def _drawn_bounds(setup: Setup) -> tuple[float, float, float, float]:
    """About the board, what stands on it, and all that cutters sweep, which may be beyond its edges."""
    boxes = [setup.fixture.board.outline.bounds, *(thing.outline.bounds for thing in setup.fixture.standing())]
    for step in setup.steps:
        if isinstance(step, Step):
            left, right, low, high, _ = extent([step], (0.0, 0.0, 0.0))
            radius = step.path.cutter.radius
            boxes.append((left - radius, low - radius, right + radius, high + radius))
    corners = np.array(boxes)
    (left, low), (right, high) = corners[:, :2].min(axis=0).tolist(), corners[:, 2:].max(axis=0).tolist()
    return left, low, right, high


def _numbered(setup: Setup) -> list[tuple[int, Point]]:
    """Steps by their numbers, and where they begin to cut."""
    lines = lines_over_parts(work_lines(setup, setup.steps))
    few = len(setup.steps) <= _MOST_NUMBERS and not any(line.part_names for line in lines)
    numbers = range(1, len(setup.steps) + 1) if few else [line.first for line in lines]
    found = []
    for number in numbers:
        step = setup.steps[number - 1]
        if isinstance(step, Step):
            begins = next((move for move in step.path.moves if move.kind != RAPID), None)
            found += [(number, (begins.x, begins.y))] if begins else []
    return found


def _signs(fixture: Fixture, tabs: Sequence[Point]) -> list[Taken]:
    """Where signs stand, and how large they are on paper, but for those as large as they are."""
    small = [thing for thing in fixture.standing() if thing.area is None]
    found = [Taken((thing.x, thing.y), 1.5) for thing in small] + [Taken(tab, 1.0) for tab in tabs]
    x, y, _ = fixture.zero
    return [*found, Taken((x, y), 2 * ZERO)]


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
                found += [
                    line(frame, *map(tuple, shapely.get_coordinates(each).tolist()), style=_HIDDEN)
                    for each in shapely.get_parts(shape)
                    if each.geom_type in ("LineString", "LinearRing")
                ]
    return joined(found)


def _measured_places(fixture: Fixture) -> tuple[list[float], list[float]]:
    """Along X and along Y: zero, the board's edges, and every hold-down and dowel."""
    board, (zero_x, zero_y, _) = fixture.board, fixture.zero
    dowels = shapely.get_coordinates([fixture.place(shapely.Point(d.x, d.y)) for d in fixture.dowels]).tolist()
    points = [(thing.x, thing.y) for thing in fixture.standing() if thing.area is None]
    points += [(x, y) for x, y in dowels] if not fixture.turned else []
    boxes = [thing.area.bounds for thing in fixture.standing() if thing.area is not None and thing.kind == "clamp"]
    xs = [0.0, board.width, zero_x, *(x for x, _ in points), *(b[at] for b in boxes for at in (0, 2))]
    ys = [0.0, board.height, zero_y, *(y for _, y in points), *(b[at] for b in boxes for at in (1, 3))]
    return xs, ys
