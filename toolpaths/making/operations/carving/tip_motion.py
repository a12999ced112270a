"""The motion of a V along tip lines: where it goes down, in how many passes, how it gets from one line to the next."""

from __future__ import annotations

from collections.abc import Iterator
from math import ceil, inf, radians, tan

import numpy as np

from toolpaths.base.checks import Floats
from toolpaths.base.errors import Point
from toolpaths.facts.cutter import Cutter
from toolpaths.facts.machine import Machine
from toolpaths.facts.way_down import fall
from toolpaths.making.motion.toolpath import PathBuilder
from toolpaths.making.operations.carving.stroke_walk import Leg, joined, walk
from toolpaths.making.operations.carving.tip_lines import TipLine, between, no_deeper
from toolpaths.making.operations.operation import CLEAR, levels
from toolpaths.shapes import arc_fit

# mm: no wood worth speaking of stands above what is cut to so much less.
_CUT = 0.01
# A ramp over a stretch goes down so much of what it has to at least, and a stretch is so many mm long at least.
_SHARE, _SHORTEST = 0.8, 1.0
# Fewest moves that are looked at as arcs, and by how much their slopes may differ.
_FEWEST, _EVEN = 4, 1e-6


class TipMotion:
    """What cuts tip lines.

    top : z of the surface; fit : mm by which arcs at one height may be off their chords
    """

    def __init__(self, builder: PathBuilder, machine: Machine, top: float, fit: float) -> None:
        self.builder, self.machine, self.top, self.fit = builder, machine, top, fit
        cutter = builder.cutter
        self.ramp = fall(cutter)
        steepest = cutter.bears.ramp_angle_deg
        # What may be sent straight down goes down along a line as that falls.
        self.steepest = inf if steepest >= 90 else tan(radians(steepest))

    def cut(self, lines: list[TipLine], depths: list[float]) -> None:
        """Lines that hang together, in passes down to these depths."""
        above = 0.0
        for depth in depths:
            deeper = no_deeper(between(lines, above, inf) if above else lines, depth)
            for group in joined(deeper):
                self._follow([deeper[number] for number in group], above)
            above = depth

    def _follow(self, lines: list[TipLine], above: float) -> None:
        """Lines that hang together, cut down to `above` already."""
        legs = walk(lines, above)
        first = _along(lines, legs[0])
        self._go_above(first[0])
        if first[0, 2] > above + _CUT and len(first) > 1:
            for sweep in _ramped(first, above, self.ramp):
                self._through(sweep)
        again: list[Floats] = []
        for leg in legs:
            points = _along(lines, leg)
            if leg.again:
                again.append(points)
                continue
            if again:
                self._get_to(points[0], again)
                again = []
            for sweep in self._no_steeper(points, above):
                self._through(sweep)

    def _go_above(self, point: Floats) -> None:
        self.builder.go_above(_place(point), self.top + CLEAR)

    def _get_to(self, point: Floats, again: list[Floats]) -> None:
        """Back along lines that are cut, or up and over, whichever is sooner."""
        along = sum(float(np.sqrt((np.diff(points, axis=0) ** 2).sum(axis=1)).sum()) for points in again)
        across = float(np.hypot(self.builder.x - point[0], self.builder.y - point[1]))
        lift = self.top + CLEAR - self.builder.z
        running, rapid = self.builder.cutter.running, self.machine.rapid_mm_min
        over = (across + lift) / rapid + (CLEAR + float(point[2])) / running.plunge_mm_min
        if over < along / self.builder.cutter.feed_mm_min:
            self._go_above(point)
            self._straight(point)
            return
        for points in again:
            self._through(points)

    def _no_steeper(self, points: Floats, above: float) -> Iterator[Floats]:
        """Along a line; where it goes down in wood more steeply than the cutter may, from its deep end."""
        drop, step = np.diff(points[:, 2]), np.hypot(*np.diff(points[:, :2], axis=0).T)
        if self.steepest < inf and (drop > self.steepest * step + 1e-9).any():
            yield np.column_stack([points[:, :2], np.minimum(points[:, 2], above)])
            yield from _ramped(points[::-1], above, self.ramp)
            yield points[::-1]
        yield points

    def _through(self, points: Floats) -> None:
        """Along points from the first, where the cutter is or above which it is; in arcs where they are round and fall
        or rise evenly."""
        self._straight(points[0])
        done = 0
        for a, b in _even(points):
            self._each(points[done + 1 : a + 1])
            track = arc_fit.fit(points[a : b + 1, :2], False, self.fit)
            first, last = (self.top - float(points[number, 2]) for number in (a, b))
            self.builder.follow(track, [(0.0, first), (track.length, last)])
            done = b
        self._each(points[done + 1 :])

    def _each(self, points: Floats) -> None:
        for point in points:
            self._straight(point)

    def _straight(self, point: Floats) -> None:
        self.builder.straight(_place(point), self.top - float(point[2]))


def passes(deepest: float, cutter: Cutter) -> list[float]:
    """mm below the surface of each pass, as deep as each other."""
    return [-z for z in levels(0.0, -deepest, cutter.running.step_down)]


def _place(point: Floats) -> Point:
    return float(point[0]), float(point[1])


def _even(points: Floats) -> list[tuple[int, int]]:
    """First and last of each run of points, long enough to be looked at as arcs, over which depths change evenly."""
    step = np.diff(points, axis=0)
    long = np.hypot(step[:, 0], step[:, 1])
    slope = np.divide(step[:, 2], long, out=np.full(len(long), np.nan), where=long > 1e-9)
    same = np.abs(np.diff(slope)) < _EVEN
    edges = np.flatnonzero(np.diff(np.concatenate([[False], same, [False]]).astype(int))).reshape(-1, 2)
    return [(a, b + 1) for a, b in edges.tolist() if b + 1 - a >= _FEWEST]


def _along(lines: list[TipLine], leg: Leg) -> Floats:
    points = lines[leg.line].points
    return points if leg.forward else points[::-1]


def _ramped(points: Floats, above: float, steepest: float) -> Iterator[Floats]:
    """To and fro over the first stretch of a line, down to the least depth of it; each from where the last one ended.

    Where the line soon comes up again there is little of that, and the rest of the way is straight down.
    """
    along = np.append(0.0, np.cumsum(np.hypot(*np.diff(points[:, :2], axis=0).T)))
    wanted = float(points[0, 2]) - above
    long = min(float(along[-1]), wanted / steepest / 2)
    while True:
        end = [float(np.interp(long, along, points[:, column])) for column in range(3)]
        stretch = np.vstack([points[along < long - 1e-9], end])
        lowest = float(stretch[:, 2].min())
        if lowest >= above + _SHARE * wanted:
            break
        long /= 2
        if long < _SHORTEST:
            return
    strokes = max(1, ceil((lowest - above) / steepest / (2 * long) - 1e-9))
    share = np.append(along[along < long - 1e-9], long)[:, None] / long
    for number in range(2 * strokes):
        way, done = (stretch, share) if number % 2 == 0 else (stretch[::-1], 1 - share[::-1])
        depth = above + (lowest - above) * (number + done) / (2 * strokes)
        yield np.column_stack([way[:, :2], depth])
