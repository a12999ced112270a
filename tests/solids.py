"""Swept cutters as solids, by manifold3d, a general-purpose library for booleans of triangle meshes.

Nothing here comes from the simulator: cutters are revolved from their own formulas, a straight move is the
hull of the cutter at both ends, an arc many short hulls, and a program the board less all of them.
"""

from __future__ import annotations

from collections.abc import Iterable
from functools import cache
from math import acos, ceil, cos, pi, radians, sin, tan
from typing import NamedTuple

import numpy as np
import pytest
import shapely

from toolpaths.facts.board import Board
from toolpaths.facts.profile import Profile
from toolpaths.judging.reader.motions import ARC
from toolpaths.judging.reader.read import read

manifold3d = pytest.importorskip("manifold3d")
Solid, OpType = manifold3d.Manifold, manifold3d.OpType

# Of a turn of a cutter, and of a rounded corner, in chords that lie to both sides of the true curve. 60 sides
# of the circle's area are nowhere more than 0.1 % of the radius off, 20 chords of a corner 0.04 %.
_SIDES, _CHORDS = 60, 20
# mm, between an arc and the hulls that stand for it; they lie half of it to either side.
_SAGITTA = 0.012
_TALL = 60.0

Point = tuple[float, float, float]


class Shape(NamedTuple):
    """A cutter as its maker draws it: kind, diameter, and corner radius or included angle."""

    kind: str
    diameter: float
    other: float = 0.0

    def section(self) -> list[tuple[float, float]]:
        """Half of its outline from the tip up, (distance from the axis, height)."""
        r = self.diameter / 2
        if self.kind in ("ball", "bull nose"):
            c = r if self.kind == "ball" else self.other
            out = c * (1 + (1 - cos(pi / 4 / _CHORDS)) / 2)
            turns = np.linspace(0, pi / 2, _CHORDS + 1)[1:-1]
            return [(r - c, 0.0), *((r - c + out * sin(t), c - out * cos(t)) for t in turns), (r, c)]
        if self.kind in ("V", "drill"):
            return [(0.0, 0.0), (r, r / tan(radians(self.other / 2)))]
        if self.kind == "rounding":
            hollow = self.other * (1 + (1 - cos(pi / 4 / _CHORDS)) / 2)
            turns = np.linspace(0, pi / 2, _CHORDS + 1)[1:-1]
            return [(r - self.other, 0.0), *((r - hollow * cos(t), hollow * sin(t)) for t in turns), (r, self.other)]
        return [(r, 0.0)]


@cache
def cutter(shape: Shape) -> tuple[Solid, ...]:
    """The cutter, tip at the origin, the axis upright; a hollow one in slices that bulge everywhere."""
    side = shape.section()
    if shape.kind == "rounding":
        # Of each but the last all that is above it is wider, so that it may be as tall as it likes.
        return tuple(_revolved([low, high, (high[0], _TALL)]) for low, high in zip(side, side[1:], strict=False))
    return (_revolved([*side, (side[-1][0], _TALL)]),)


def _revolved(side: list[tuple[float, float]]) -> Solid:
    low, high = side[0][1], side[-1][1]
    rim = [(0.0, low), *[p for p in side if p != (0.0, low)], (0.0, high)]
    fair = (2 * pi / _SIDES / sin(2 * pi / _SIDES)) ** 0.5
    section = manifold3d.CrossSection([rim], manifold3d.FillRule.NonZero)
    return Solid.revolve(section, _SIDES).scale((fair, fair, 1.0))


def along(shape: Shape, path: list[Point]) -> Solid:
    """The cutter swept through points, straight between them."""
    slices = cutter(shape)
    if len(path) == 1:
        return Solid.batch_boolean([each.translate(path[0]) for each in slices], OpType.Add)
    hulls = [
        Solid.batch_hull([each.translate(a), each.translate(b)])
        for each in slices
        for a, b in zip(path, path[1:], strict=False)
        if a != b
    ]
    return Solid.batch_boolean(hulls, OpType.Add)


def swept_undercut(text: str, profile: Profile, sides: int = 240) -> Solid:
    """All that a program of straight moves with one undercut cutter sweeps, from its zero: head and neck, each the hull
    of its disc at both ends of a move, in polygons of the circles' area."""
    fair = (2 * pi / sides / sin(2 * pi / sides)) ** 0.5
    discs = ((profile.radius * fair, profile.head_height), (profile.neck_diameter / 2 * fair, _TALL))
    motions, found = read(text).motions, list[Solid]()
    assert not (motions.kind == ARC).any()
    for radius, tall in discs:
        part = Solid.cylinder(tall, radius, radius, sides)
        for first, last in zip(motions.start.tolist(), motions.end.tolist(), strict=True):
            if min(first[2], last[2]) < 0:
                found.append(Solid.batch_hull([part.translate(first), part.translate(last)]))
    return Solid.batch_boolean(found, OpType.Add)


def turn(
    centre: tuple[float, float], radius: float, start_deg: float, sweep_deg: float, sagitta: float = _SAGITTA
) -> list[tuple[float, float]]:
    """Points round an arc, those between its ends half a sagitta outside."""
    count = max(2, ceil(radians(abs(sweep_deg)) / (2 * acos(1 - sagitta / radius))))
    found = []
    for k in range(count + 1):
        far = radius + (sagitta / 2 if 0 < k < count else 0.0)
        angle = radians(start_deg + sweep_deg * k / count)
        found.append((centre[0] + far * cos(angle), centre[1] + far * sin(angle)))
    return found


def left_of(board: Board, cuts: Iterable[Solid]) -> Solid:
    whole = Solid.cube((board.width, board.height, board.thickness)).translate((0, 0, -board.thickness))
    return whole - Solid.batch_boolean(list(cuts), OpType.Add)


def turned_over(solid: Solid, board: Board) -> Solid:
    """Left to right: x becomes width less x, and height above the table thickness less height."""
    return solid.scale((-1, 1, -1)).translate((board.width, 0, -board.thickness))


def tops(solid: Solid, x: np.ndarray, y: np.ndarray) -> np.ndarray:
    """(n,) height of the highest face of the solid over each place; -inf where there is none."""
    mesh = solid.to_mesh()
    corner = np.asarray(mesh.vert_properties, float)[np.asarray(mesh.tri_verts)]
    double = _cross(corner[:, 1] - corner[:, 0], corner[:, 2] - corner[:, 0])
    corner, double = corner[double > 1e-12], double[double > 1e-12]
    boxes = shapely.box(*corner[:, :, :2].min(axis=1).T, *corner[:, :, :2].max(axis=1).T)
    place, face = shapely.STRtree(boxes).query(shapely.points(x, y))
    at = np.column_stack([x, y])[place]
    a, b, c = (corner[face, k] for k in range(3))
    u, v = _cross(b[:, :2] - at, c[:, :2] - at) / double[face], _cross(c[:, :2] - at, a[:, :2] - at) / double[face]
    inside = (u >= -1e-9) & (v >= -1e-9) & (u + v <= 1 + 1e-9)
    z = u * a[:, 2] + v * b[:, 2] + (1 - u - v) * c[:, 2]
    found = np.full(len(x), -np.inf)
    np.maximum.at(found, place[inside], z[inside])
    return found


def _cross(a: np.ndarray, b: np.ndarray) -> np.ndarray:
    return a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]
