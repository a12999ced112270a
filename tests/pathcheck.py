"""What the tests of paths share: a shop, the shapes that fit its board, and plain measures of a toolpath."""

from __future__ import annotations

from collections.abc import Iterator
from math import atan2, cos, hypot, sin

import catalogue
import numpy as np
import shapely
from catalogue import ON_BOARD
from shapely import LineString, Polygon

import toolpaths as tp
from toolpaths.making.motion.toolpath import CUT, DRILL, RAPID, Move, Toolpath
from toolpaths.shapes.track import Segment

BOARD = tp.Board(width=200, height=140, thickness=18, name="test board")
FRONT = tp.Fixture(board=BOARD)
BACKS = {turned: FRONT.turned_over(turned) for turned in ("left to right", "top to bottom")}
SIDES = {"front": FRONT, **BACKS}

T6 = tp.Cutter(1, tp.flat(6), feed_mm_min=1800, plunge_mm_min=500, spindle_rpm=18000, cutting_length=25)
T3 = tp.Cutter(2, tp.flat(3), feed_mm_min=900, plunge_mm_min=300, spindle_rpm=20000, cutting_length=25)
T2 = tp.Cutter(3, tp.flat(2), feed_mm_min=700, plunge_mm_min=200, spindle_rpm=20000, cutting_length=22)
BALL = tp.Cutter(4, tp.ball(6), feed_mm_min=1200, plunge_mm_min=400, spindle_rpm=18000)
VEE = tp.Cutter(5, tp.v_point(12, 90), feed_mm_min=1200, plunge_mm_min=400, spindle_rpm=16000)
DRILL3 = tp.Cutter(6, tp.drill_point(3), feed_mm_min=600, plunge_mm_min=250, spindle_rpm=8000, cutting_length=40)
# A cutter that is dead at its centre.
INSERT = tp.Cutter(7, tp.flat(8), feed_mm_min=1600, plunge_mm_min=300, spindle_rpm=16000, centre_cutting=False)

MIDDLE = (100.0, 70.0)


SHAPES = ON_BOARD


def star(points: int, outer: float, inner: float) -> Polygon:
    """A star about the middle of the board."""
    return tp.move(catalogue.star(points, outer, inner), *MIDDLE)


def segments(path: Toolpath) -> Iterator[tuple[Segment, Move, float]]:
    """(where, move, z at its start) of each move from the second on."""
    for before, move in zip(path.moves, path.moves[1:]):
        yield Segment((before.x, before.y), (move.x, move.y), move.centre, move.sweep), move, before.z


def axis(path: Toolpath, spacing: float = 0.2) -> np.ndarray:
    """(n, 3) places of the tip while it cuts, so close together."""
    found = []
    for segment, move, z in segments(path):
        if move.kind != CUT:
            continue
        count = max(2, int((hypot(segment.length, move.z - z)) / spacing) + 2)
        shares = np.linspace(0, 1, count)
        found += [(*segment.at(share), z + (move.z - z) * share) for share in shares]
    return np.array(found)


def distances(path: Toolpath, shape: shapely.Geometry, below: float = -1e-6) -> np.ndarray:
    """Distance from a shape of each place of the axis where the tip is below a height."""
    places = axis(path)
    places = places[places[:, 2] < below]
    assert len(places)
    shapely.prepare(shape)
    return shapely.distance(shape, shapely.points(places[:, :2]))


def swept(path: Toolpath, below: float = -1e-6, reversed_: bool = False) -> shapely.Geometry:
    """The area that a straight cutter takes below a height, chords of arcs 0.0005 mm true."""
    lines = []
    for segment, move, z in segments(path):
        if move.kind == CUT and min(z, move.z) < below and segment.length > 1e-6:
            count = max(2, int(abs(segment.sweep) * segment.radius / 0.1) + 2) if segment.sweep else 2
            lines.append(LineString([segment.at(share) for share in np.linspace(0, 1, count)]))
    return shapely.union_all([shapely.buffer(line, path.cutter.radius, quad_segs=64) for line in lines])


def turning(path: Toolpath, z: float) -> float:
    """Signed area, mm2, that the cuts lying wholly at a height go round: positive anticlockwise."""
    area = 0.0
    for segment, move, start in segments(path):
        if move.kind == CUT and abs(move.z - z) < 1e-6 and abs(start - z) < 1e-6:
            area += signed_area([segment])
    return area


def signed_area(run: list[Segment]) -> float:
    area = 0.0
    for segment in run:
        (x0, y0), (x1, y1) = segment.start, segment.end
        area += (x0 * y1 - x1 * y0) / 2
        area += segment.radius**2 * (segment.sweep - sin(segment.sweep)) / 2 if segment.sweep else 0.0
    return area


def falls(path: Toolpath) -> list[tuple[float, float, Move]]:
    """(length seen from above, mm down, move) of each cut that goes down."""
    return [
        (segment.length, z - move.z, move)
        for segment, move, z in segments(path)
        if move.kind == CUT and z - move.z > 1e-9
    ]


def straight_down(path: Toolpath) -> list[tuple[float, Move]]:
    """(z above, move) of each cut that goes straight down."""
    return [(z, m) for p, m, z in segments(path) if m.kind == CUT and p.length < 1e-9 and z - m.z > 1e-9]


def check_motion(
    path: Toolpath, safe: float = FRONT.safe_z, gone: shapely.Geometry | None = None, floor: float = 0.0
) -> None:
    """What holds of every path: rapids never cross the board below the safe height nor end in it, but in what is
    `gone` down to a floor, with room to spare; feeds downwards and ramps stay within the cutter's own."""
    cutter = path.cutter
    free = None if gone is None else shapely.buffer(gone, -cutter.radius - 0.05)
    assert path.moves[0].kind == RAPID and path.moves[0].z == safe
    assert path.moves[-1].z == safe
    for segment, move, z in segments(path):
        if move.kind == RAPID:
            assert move.feed_mm_min == 0
            if free is not None and free.covers(LineString([segment.start, segment.end])):
                assert min(z, move.z) >= floor, "a rapid below what is gone"
                continue
            assert move.z >= 1.0, "a rapid ends in or at the wood"
            assert segment.length == 0 or (z == move.z == safe), "a rapid crosses the board below the safe height"
        elif move.kind == CUT:
            assert 0 < move.feed_mm_min <= cutter.feed_mm_min
        else:
            assert move.kind == DRILL
    for length, down, move in falls(path):
        assert move.feed_mm_min * down / hypot(length, down) <= cutter.running.plunge_mm_min * (1 + 1e-9)


class Wood:
    """Heights over cells of the board, cut by a straight cutter one place of its axis at a time.

    Slow and plain, on purpose: it shares nothing with the simulator.
    """

    def __init__(self, cell: float = 0.5, size: tuple[float, float] = (BOARD.width, BOARD.height)) -> None:
        self.cell = cell
        columns, rows = (round(side / cell) for side in size)
        self.xs, self.ys = (np.arange(columns) + 0.5) * cell, (np.arange(rows) + 0.5) * cell
        self.top = np.zeros((rows, columns))

    def cut(self, path: Toolpath) -> list[tuple[Move, float, float]]:
        """(move, depth, length) of each cut: the most wood it took down from any cell, and how long it is."""
        found = []
        reach = path.cutter.radius - self.cell / 2
        for segment, move, z in segments(path):
            if move.kind != CUT:
                continue
            shares = np.linspace(0, 1, max(2, int(segment.length / self.cell) + 2))
            deepest = 0.0
            for share in shares:
                x, y = segment.at(share)
                deepest = max(deepest, self._stamp(x, y, z + (move.z - z) * share, reach))
            found.append((move, deepest, segment.length))
        return found

    def _stamp(self, x: float, y: float, z: float, reach: float) -> float:
        columns = slice(*np.searchsorted(self.xs, (x - reach, x + reach)))
        rows = slice(*np.searchsorted(self.ys, (y - reach, y + reach)))
        away = np.hypot(self.xs[columns] - x, (self.ys[rows] - y)[:, None])
        under = away <= reach
        window = self.top[rows, columns]
        # At its rim a stamp takes cells that the stamps before it fell a little short of.
        taken = np.where(away <= reach - self.cell / 2, window - z, 0.0)
        np.minimum(window, z, out=window, where=under)
        return max(0.0, float(taken.max(initial=0.0)))


def run_text(work, *, fixture: tp.Fixture = FRONT, cell: float = 0.25, **how):
    """(text, report) of some work, written and simulated."""
    setup = tp.Setup(fixture, work=tuple(work))
    text = tp.program_text(setup, **how)
    return text, tp.simulate(text, fixture, setup.cutters, cell=cell)


def cells(stock, shape: shapely.Geometry) -> np.ndarray:
    """(rows, columns) whether the centre of each cell lies in a shape."""
    x, y = np.meshgrid(stock.grid.xs(), stock.grid.ys())
    shapely.prepare(shape)
    return shapely.contains_xy(shape, x, y)


def angle(a: tuple[float, float], b: tuple[float, float]) -> float:
    return atan2(b[1] - a[1], b[0] - a[0])


def on_circle(centre: tuple[float, float], radius: float, turn: float) -> tuple[float, float]:
    return centre[0] + radius * cos(turn), centre[1] + radius * sin(turn)
