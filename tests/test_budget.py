"""One tolerance, from the user's shape to the written text: programs read back and measured against the shape.

The shape is drawn a second time fifty times finer, and the places of the axis in the text, decimals included, are
measured against that: the distance to its edge is the cutter's radius, to within the tolerance. The other way round,
points of the true offset (a radius off the edge, along its normal, and nearer to no other part of it) lie within the
tolerance of the axis' way. Both are measured with points and segments alone, no offset of anybody's.
"""

from __future__ import annotations

from collections.abc import Callable
from math import pi
from typing import Any

import numpy as np
import pytest
import shapely
from pathcheck import T3, T6
from shapely import LineString, Polygon

import toolpaths as tp
from toolpaths.judging.reader.motions import ARC, FEED
from toolpaths.judging.reader.read import read

BOARD = tp.Board(width=200, height=140, thickness=18)
FRONT = tp.Fixture(board=BOARD)
FIXTURES = {"front": FRONT, "back": FRONT.turned_over("left to right")}
TOLERANCES = (0.002, 0.01, 0.05)
# The reference is drawn finer than the program by this much, and so is itself off by no more than this share.
FINER = 50
MIDDLE = (97.3, 70.1)


def lines_and_arcs(tolerance: float) -> Polygon:
    """A bow: tangent arcs, a corner, a straight side."""
    way = tp.Outline((60, 40), heading_deg=0, tolerance=tolerance).line_to((120, 40)).tangent_arc_to((140, 60))
    way = way.tangent_arc_to((128, 96)).arc_through((95, 84), (62, 97)).line_to((48, 71))
    return way.line_to((60, 40)).close()


def splined(tolerance: float) -> Polygon:
    way = [(135, 65), (125, 95), (100, 88), (80, 105), (55, 90), (62, 65), (50, 45), (85, 35), (110, 46)]
    return tp.Outline((130, 38), tolerance=tolerance).smooth_through([*way, (130, 38)]).close()


def flower(tolerance: float) -> Polygon:
    """What a user may bring: points of a curve of their own, as many as their tolerance asks for."""
    count = int(160 / tolerance**0.5)
    turns = np.arange(count) * 2 * pi / count
    radius = 38 + 4 * np.sin(5 * turns)
    return Polygon(np.column_stack([np.cos(turns), np.sin(turns)]) * radius[:, None] + MIDDLE)


def buffered(tolerance: float) -> Polygon:
    """A rounded shape from shapely itself, chords as drawn: the shape is what the user gave."""
    return shapely.buffer(Polygon([(60, 45), (130, 50), (120, 95), (75, 85)]), 12, quad_segs=24)


def ringed(radius: Callable[[np.ndarray], np.ndarray], count: int, noise: float = 0.0) -> Polygon:
    """A curve in so many chords, whatever the tolerance: the chords are what the user drew."""
    turns = np.arange(count) * 2 * pi / count
    places = np.column_stack([np.cos(turns), np.sin(turns)]) * radius(turns)[:, None] + MIDDLE
    return Polygon(places + np.random.default_rng(count).uniform(-noise, noise, places.shape))


def arm_in_chords(sides: int) -> Polygon:
    """A spiral arm 11 mm wide, each wall in so many chords."""
    turns = np.linspace(0.3, 4.4, sides)
    walls = [
        np.column_stack([np.cos(turns), np.sin(turns)]) * (14 + 7 * turns + off)[:, None] + MIDDLE
        for off in (-5.5, 5.5)
    ]
    return Polygon(np.vstack([walls[1], walls[0][::-1]]))


SHAPES: dict[str, Callable[[float], Polygon]] = {
    "circle": lambda tolerance: tp.circle(61.7, MIDDLE, tolerance=tolerance),
    "ellipse": lambda tolerance: tp.rotate(tp.ellipse(96, 52, MIDDLE, tolerance=tolerance), 23.0),
    "rounded": lambda tolerance: tp.rotate(
        tp.rectangle(90, 55, MIDDLE, corner_radius=7, tolerance=tolerance), 11.0, MIDDLE
    ),
    "slot": lambda tolerance: tp.slot((60, 50), (130, 85), 31, tolerance=tolerance),
    "lines and arcs": lines_and_arcs,
    "spline": splined,
    "flower": flower,
    "buffered": buffered,
    "120 sides": lambda _: ringed(lambda turns: 28.65 + 0 * turns, 120),
    "77 sides": lambda _: ringed(lambda turns: 33.0 + 0 * turns, 77),
    "wave in chords": lambda _: ringed(lambda turns: 35 + 5 * np.sin(3 * turns), 190),
    "rough wave": lambda _: ringed(lambda turns: 35 + 5 * np.sin(3 * turns), 700, 0.003),
    "very rough wave": lambda _: ringed(lambda turns: 35 + 5 * np.sin(3 * turns), 700, 0.008),
    "arm in chords": lambda _: arm_in_chords(140),
    "arm in few chords": lambda _: arm_in_chords(61),
    "L": lambda tolerance: Polygon([(40, 30), (140, 30), (140, 60), (80, 65), (80, 110), (40, 110)]),
}


class Way:
    """Where the axis goes in a program while the tip stays below a height: (n, 2) places close together, as the
    board lies, and the way through them."""

    def __init__(self, text: str, fixture: tp.Fixture, below: float = 1e-6) -> None:
        motions = read(text).motions
        runs = []
        for k in np.flatnonzero((motions.kind == FEED) | (motions.kind == ARC)).tolist():
            (x0, y0, z0), (x1, y1, z1) = motions.start[k].tolist(), motions.end[k].tolist()
            cx, cy, _ = motions.centre[k].tolist()
            if max(z0, z1) + fixture.zero[2] > below:
                continue
            sweep = float(motions.sweep[k])
            radius = np.hypot(x0 - cx, y0 - cy)
            if sweep:
                # Chords between the places lie 0.00001 mm from the arc at most.
                share = np.linspace(0, 1, max(3, int(abs(sweep) * (radius / 8e-5) ** 0.5) + 2))
                turns = np.arctan2(y0 - cy, x0 - cx) + share * sweep
                # The radius runs evenly from that of the start to that of the end, as rounding made them.
                far = radius + share * (np.hypot(x1 - cx, y1 - cy) - radius)
                places = np.column_stack([cx + far * np.cos(turns), cy + far * np.sin(turns)])
            else:
                share = np.linspace(0, 1, max(3, int(np.hypot(x1 - x0, y1 - y0) / 0.4)))
                places = np.array([[x0, y0]]) + share[:, None] * [[x1 - x0, y1 - y0]]
            runs.append(places + fixture.zero[:2])
        assert runs
        self.places = np.vstack(runs)
        self.tree = shapely.STRtree([LineString(run) for run in runs if len(run) > 1])

    def distance(self, points: np.ndarray) -> np.ndarray:
        found = self.tree.query_nearest(shapely.points(points), return_distance=True, all_matches=False)
        return found[1]


class Edge:
    """The edge of a shape, as segments."""

    def __init__(self, shape: Any) -> None:
        lines = shapely.get_parts(shapely.boundary(shape)) if shape.geom_type != "LineString" else [shape]
        rings = [shapely.get_coordinates(line) for line in lines]
        self.a = np.vstack([ring[:-1] for ring in rings])
        self.b = np.vstack([ring[1:] for ring in rings])
        self.tree = shapely.STRtree(shapely.linestrings(np.stack([self.a, self.b], axis=1)))

    def distance(self, points: np.ndarray) -> np.ndarray:
        return self.tree.query_nearest(shapely.points(points), return_distance=True, all_matches=False)[1]

    def offset(self, shape: Polygon, away: float) -> np.ndarray:
        """Points of the true offset, outwards for away > 0: beside segments, where no other part is nearer."""
        step = self.b - self.a
        normal = np.column_stack([step[:, 1], -step[:, 0]]) / np.hypot(*step.T)[:, None]
        middle = (self.a + self.b) / 2
        outside = ~shapely.contains_xy(shape, *(middle + 1e-7 * normal).T)
        points = middle + abs(away) * np.where((outside == (away > 0))[:, None], normal, -normal)
        return points[self.distance(points) >= abs(away) - 1e-7][:: max(1, len(points) // 4000)]


def written(operation: Any, tolerance: float, units: str, side: str, below: float = 1e-6) -> Way:
    fixture = FIXTURES[side]
    setup = tp.Setup(fixture, work=(operation,), tolerance=tolerance)
    return Way(tp.program_text(setup, units=units), fixture, below)


def assert_within(way: Way, placed: Any, away: float, tolerance: float) -> None:
    """The axis runs `away` from the edge of a shape as it lies, outside it for away > 0, all along and all round."""
    edge = Edge(placed)
    assert np.abs(edge.distance(way.places) - abs(away)).max() <= tolerance
    if away:
        assert (shapely.contains_xy(placed, *way.places.T) == (away < 0)).all()
    wanted = edge.offset(placed, away) if away else (edge.a + edge.b) / 2
    assert len(wanted)
    assert way.distance(wanted).max() <= tolerance


@pytest.mark.sample(1, long=30)
@pytest.mark.parametrize("tolerance", TOLERANCES)
@pytest.mark.parametrize("where", ["outside", "inside", "on"])
@pytest.mark.parametrize("name", SHAPES)
def test_contour_keeps_the_budget(name, where, tolerance):
    """Each shape, each side of it, at three tolerances; front and back, both units and two cutters by turns."""
    turn = list(SHAPES).index(name) + TOLERANCES.index(tolerance)
    cutter = (T6, T3)[turn % 2]
    units, side = ("mm", "inch")[turn // 2 % 2], ("front", "back")[turn % 3 % 2]
    way = written(tp.contour(SHAPES[name](tolerance), cutter, depth=2, side=where), tolerance, units, side)
    away = {"outside": cutter.radius, "inside": -cutter.radius, "on": 0.0}[where]

    assert_within(way, FIXTURES[side].place(SHAPES[name](tolerance / FINER)), away, tolerance)


@pytest.mark.sample(4)
@pytest.mark.parametrize("tolerance", TOLERANCES)
@pytest.mark.parametrize("side", FIXTURES)
@pytest.mark.parametrize("units", ["mm", "inch"])
def test_groove_along_an_open_curve_keeps_the_budget(units, side, tolerance):
    def drawn(fine: float) -> LineString:
        way = tp.Outline((30, 60), heading_deg=60, tolerance=fine).tangent_arc_to((60, 90)).line_to((80, 70))
        return way.smooth_through([(110, 95), (130, 60), (165, 80)]).line

    way = written(tp.groove(drawn(tolerance), T3, depth=2), tolerance, units, side)

    assert_within(way, FIXTURES[side].place(drawn(tolerance / FINER)), 0.0, tolerance)


@pytest.mark.sample(1, long=5)
@pytest.mark.parametrize("tolerance", TOLERANCES)
@pytest.mark.parametrize("name", ["circle", "ellipse", "rounded", "spline", "120 sides", "rough wave", "arm in chords"])
def test_pocket_wall_keeps_the_budget(name, tolerance):
    """Nowhere nearer to the edge than the radius, and all along it just that near."""
    shape, side = SHAPES[name], ("front", "back")[TOLERANCES.index(tolerance) % 2]
    way = written(tp.pocket(shape(tolerance), T6, depth=2), tolerance, "inch", side)
    placed = FIXTURES[side].place(shape(tolerance / FINER))
    edge = Edge(placed)

    assert edge.distance(way.places).min() >= T6.radius - tolerance
    assert way.distance(edge.offset(placed, -T6.radius)).max() <= tolerance


@pytest.mark.parametrize("units", ["mm", "inch"])
@pytest.mark.parametrize("diameter", [7.3, 10, 12])
def test_bore_keeps_the_budget(diameter, units):
    """The axis runs on the circle of the hole less the cutter, to the rounding of the text, but for the way off it."""
    way = written(tp.bore([(51.23, 77.77)], diameter, T6, depth=4), 0.002, units, "front")
    off = np.hypot(*(way.places - (51.23, 77.77)).T)
    radius = (diameter - 6) / 2

    assert off.max() <= radius + 0.0002
    turns = np.linspace(0, 2 * pi, 500)
    assert (
        way.distance(np.column_stack([51.23 + radius * np.cos(turns), 77.77 + radius * np.sin(turns)])).max() <= 0.0002
    )


def test_measure_is_sharp():
    """A program written at five times the tolerance does not pass for one that keeps it."""
    shape = SHAPES["ellipse"]
    way = written(tp.contour(shape(0.05), T6, depth=2), 0.05, "mm", "front")

    with pytest.raises(AssertionError):
        assert_within(way, shape(0.01 / FINER), T6.radius, 0.01)


def test_joints_of_the_written_text_have_hardly_a_bend():
    """Decimals included: round an ellipse and a flower no two moves meet at half a degree."""
    for name in ("ellipse", "flower"):
        setup = tp.Setup(FRONT, work=(tp.contour(SHAPES[name](0.01), T6, depth=2, entry="plunge"),))
        motions = read(tp.program_text(setup)).motions
        arcs = np.flatnonzero(motions.kind == ARC)
        assert len(arcs) > 20
        assert (np.diff(arcs) == 1).all()
        rays = [(place - motions.centre)[arcs, :2] for place in (motions.start, motions.end)]
        ahead = [np.arctan2(ray[:, 1], ray[:, 0]) + np.sign(motions.sweep[arcs]) * pi / 2 for ray in rays]
        turn = np.degrees((ahead[0][1:] - ahead[1][:-1] + pi) % (2 * pi) - pi)
        assert np.abs(turn).max() < 0.5
