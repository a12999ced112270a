"""Where no toolpath may cut: past the edges of the board, too deep into the spoilboard under it, into what holds the
board, and deeper than its cutter is long.

Asked twice: of work as it is drawn, before anything is planned, since to plan what lies meters off the board takes
minutes; and of each toolpath, exactly.
"""

from __future__ import annotations

from collections.abc import Iterable
from math import ceil
from typing import NamedTuple

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from toolpaths.base.checks import Floats
from toolpaths.base.errors import DoesNotFitError, Point
from toolpaths.facts.board import Board
from toolpaths.facts.cutter import Cutter
from toolpaths.facts.fixture import Fixture
from toolpaths.facts.hold_down import HoldDown
from toolpaths.making.motion.toolpath import RAPID, Toolpath
from toolpaths.making.operations.drill import Drill
from toolpaths.making.operations.operation import Operation
from toolpaths.shapes.curves import steps_for
from toolpaths.shapes.segment_bounds import bounds_of
from toolpaths.shapes.track import Segment

# So much past a limit, mm, is the rounding of floats.
_ROUNDING = 1e-6
# mm by which a cut that goes along what stands may go into it: what rounding a program to three decimals can shift;
# and by which the chords of an arc may be off it.
_INTO, _SAGITTA = 0.002, 0.00002


class _Cuts(NamedTuple):
    """What a toolpath cuts, (n, ...) each: a segment of its axis, a point for a drilled hole, and its heights.

    start, end : x, y, and z of the tip
    centre, sweep : of an arc
    """

    start: Floats
    end: Floats
    centre: Floats
    sweep: Floats

    @property
    def lowest(self) -> Floats:
        return np.minimum(self.start[:, 2], self.end[:, 2])

    def segment(self, number: int) -> Segment:
        (x0, y0, _), (x1, y1, _) = self.start[number].tolist(), self.end[number].tolist()
        cx, cy = self.centre[number].tolist()
        return Segment((x0, y0), (x1, y1), (cx, cy), float(self.sweep[number]))

    def below(self, number: int, z: float) -> Segment | None:
        """That part of a cut on which the tip is lower."""
        first, last = float(self.start[number, 2]), float(self.end[number, 2])
        if min(first, last) >= z:
            return None
        if max(first, last) <= z:
            return self.segment(number)
        share = (z - first) / (last - first)
        return self.segment(number).part(share, 1.0) if last < z else self.segment(number).part(0.0, share)


def check_drawn(item: Operation, fixture: Fixture) -> None:
    """Work that is drawn on the board, no deeper than the spoilboard may be cut anywhere nor than its cutters are long.

    Raises DoesNotFitError with the place, seen from the front.
    """
    board, thinnest = fixture.board, min(cutter.diameter for cutter in item.cutters_in_turn)
    left, low, right, high = item.drawn.bounds
    past = max(-left, -low, right - board.width, high - board.height)
    # Of what is narrower than the cutter, it does not reach the end.
    if past > fixture.overhang + thinnest:
        x, y = _farthest(item.drawn, board)
        raise DoesNotFitError(
            f"It is drawn {past:.3f} mm past the edge of the {board.width:g} x {board.height:g} board, at ({x:.2f}, "
            f"{y:.2f}) seen from the front; move the shape.",
            (x, y),
        )
    below, most = item.depths(fixture)[1] + fixture.underside_z, _deepest_in_spoilboard(item, fixture)
    if below > most + _ROUNDING:
        x, y = shapely.get_coordinates(item.drawn)[0].tolist()
        raise DoesNotFitError(
            f"{item.cutters_in_turn[0]} would go {below:.2f} mm into the spoilboard under the board near ({x:.2f}, "
            f"{y:.2f}) seen from the front, {_allowed(most, 'at most', fixture)}",
            (x, y),
        )
    for cutter in item.cutters_in_turn:
        _check_long_enough(cutter, item, fixture)


def _check_long_enough(cutter: Cutter, item: Operation, fixture: Fixture) -> None:
    """Beside the wall that it leaves a cutter works no deeper than its edges are long, unless its shank is thinner; a
    drill in no case, since its chips rise between the edges. Its nut stays above the wood."""
    above, floor = item.depths(fixture)
    body, deep = cutter.body, floor - above
    tight = body.shank_diameter >= cutter.diameter or isinstance(item, Drill)
    rubs = tight and deep > body.cutting_length + _ROUNDING
    if not rubs and deep <= body.stick_out + _ROUNDING:
        return
    what = f"its edges (cutting_length) are {body.cutting_length:g}" if rubs else f"it sticks out {body.stick_out:g}"
    x, y = shapely.get_coordinates(item.drawn)[0].tolist()
    raise DoesNotFitError(
        f"{cutter} would work {deep:.2f} mm deep near ({x:.2f}, {y:.2f}) seen from the front, and {what} mm"
        f"{' long' if rubs else ''}. Take a longer one, cut less deep, or give from_depth where the wood above is "
        "taken away before.",
        (x, y),
    )


def _farthest(drawn: BaseGeometry, board: Board) -> Point:
    """The place of a drawing that lies farthest off the board."""
    places = shapely.get_coordinates(drawn)
    away = shapely.distance(board.outline, shapely.points(places))
    x, y = places[int(np.argmax(away))].tolist()
    return x, y


def _deepest_in_spoilboard(item: Operation, fixture: Fixture) -> float:
    """mm that the spoilboard may be cut by some cutter where it may be cut deepest: as by cuts without any width."""
    points = np.array([cutter.profile.tip_height for cutter in item.cutters_in_turn])
    return float(fixture.spoilboard_limits(lambda x, y: np.zeros(len(points)), points).max())


def _allowed(most: float, where: str, fixture: Fixture) -> str:
    """How deep the spoilboard may be cut somewhere, and what to do, in words."""
    if most == fixture.spoilboard_thickness:
        return f"which is {most:g} mm thick. Cut less deep."
    return f"{most:.4g} is allowed {where}. Cut less deep, or give the fixture a larger spoilboard_depth."


def check_limits(path: Toolpath, fixture: Fixture, standing: Iterable[HoldDown]) -> None:
    """A toolpath that stays over the board, out of the spoilboard and clear of what stands on the board by then.

    Raises DoesNotFitError with the place.
    """
    cuts = _cuts(path)
    if not len(cuts.sweep):
        return
    boxes = bounds_of(cuts.start[:, :2], cuts.end[:, :2], cuts.centre, cuts.sweep)
    _check_on_board(cuts, boxes, path.cutter, fixture)
    _check_spoilboard(cuts, path.cutter, fixture)
    _check_hold_downs(cuts, boxes, path.cutter, standing)


def _cuts(path: Toolpath) -> _Cuts:
    rows = np.array([(move.x, move.y, move.z, *move.centre, move.sweep) for move in path.moves]).reshape(-1, 6)
    end, start = rows[:, :3], np.vstack([np.zeros(3), rows[:-1, :3]])[: len(rows)]
    holes = [(number, move.hole.bottom) for number, move in enumerate(path.moves) if move.hole]
    if holes:
        start, end = start.copy(), end.copy()
        at, bottoms = map(list, zip(*holes))
        end[at, 2] = bottoms
        start[at] = end[at]
    cut = np.array([move.kind != RAPID for move in path.moves], bool)
    return _Cuts(start[cut], end[cut], rows[cut, 3:5], rows[cut, 5])


def _check_on_board(cuts: _Cuts, boxes: Floats, cutter: Cutter, fixture: Fixture) -> None:
    """Every cut below the top must keep the cutter within the board, plus the fixture's overhang.

    boxes : (n, 4) bounds of the cuts
    """
    board, lowest = fixture.board, cuts.lowest
    over_edge = np.maximum(-boxes[:, :2], boxes[:, 2:] - (board.width, board.height)).max(axis=1)
    past = cutter.profile.radii(-lowest) + over_edge
    for number in np.flatnonzero((lowest < 0) & (past > fixture.overhang + _ROUNDING))[:1].tolist():
        x, y, _ = cuts.end[number].tolist()
        raise DoesNotFitError(
            f"{cutter} would reach {past[number]:.3f} mm past the edge of the {board.width:g} x {board.height:g} board "
            f"near ({x:.2f}, {y:.2f}) as it lies; move the shape, or allow it with "
            f"overhang={ceil(past[number] * 100) / 100:g} if nothing stands there.",
            (x, y),
        )


def _check_spoilboard(cuts: _Cuts, cutter: Cutter, fixture: Fixture) -> None:
    """No cut goes deeper into the spoilboard than it may at its place: in the hole of a dowel deeper than elsewhere."""
    underside, lowest = fixture.underside_z, cuts.lowest
    deep = np.flatnonzero(lowest < underside - fixture.spoilboard_depth - _ROUNDING).tolist()
    if not deep:
        return

    def reach_from(x: float, y: float) -> Floats:
        return np.array([cuts.segment(number).farthest((x, y)) for number in deep]) + cutter.radius

    limits = fixture.spoilboard_limits(reach_from, np.full(len(deep), cutter.profile.tip_height))
    below = underside - lowest[deep]
    worst = int((below - limits).argmax())
    if below[worst] > limits[worst] + _ROUNDING:
        x, y, _ = cuts.end[deep[worst]].tolist()
        raise DoesNotFitError(
            f"{cutter} would go {below[worst]:.2f} mm into the spoilboard under the board near "
            f"({x:.2f}, {y:.2f}) as it lies, {_allowed(limits[worst], 'there', fixture)}",
            (x, y),
        )


def _check_hold_downs(cuts: _Cuts, boxes: Floats, cutter: Cutter, standing: Iterable[HoldDown]) -> None:
    """No cut goes into a screw, a clamp or a pin: each is there from where it ends above the board down."""
    for thing in standing:
        if thing.kind == "grip":
            continue
        clearances = cutter.body_radii(thing.height - cuts.lowest)
        place = np.array([thing.x, thing.y])
        beside = np.maximum(np.maximum(boxes[:, :2] - place, place - boxes[:, 2:]), 0.0)
        near = np.hypot(*beside.T) - thing.radius < clearances
        for number in np.flatnonzero(near).tolist():
            segment, clear = cuts.below(number, thing.height), float(clearances[number])
            if segment is None:
                continue
            share, away = _nearest(segment, thing, clear)
            if clear - away > _INTO:
                x, y = segment.at(share)
                raise DoesNotFitError(
                    f"{cutter} would cut {clear - away:.2f} mm into {thing.name} near ({x:.2f}, {y:.2f}) as it lies; "
                    f"keep its axis {clear:g} mm off, or put the {thing.kind} elsewhere.",
                    (x, y),
                )


def _nearest(segment: Segment, thing: HoldDown, near: float) -> tuple[float, float]:
    """(share of the way, mm away) of the point of a segment nearest to a thing, exactly where it comes so near."""
    share, from_middle = segment.nearest((thing.x, thing.y))
    away = from_middle - thing.radius
    if thing.area is None or away >= near:
        return share, away
    count = steps_for(segment.radius, segment.sweep, _SAGITTA) if segment.sweep else 1
    places = [segment.at(i / count) for i in range(count + 1)]
    line = shapely.LineString(places) if segment.length else shapely.Point(places[0])
    found = shapely.shortest_line(line, thing.area)
    share = segment.nearest(found.coords[0])[0]
    return share, float(found.length)
