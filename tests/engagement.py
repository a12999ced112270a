"""A plain measure of engagement: how much of the front half of a cutter's rim is in standing wood.

Written for the tests and sharing nothing with what makes the paths. Wood is a raster; wherever that finds more than a
limit, the angle is worked out again from the distances between the rim and all of the path that came before.
"""

from __future__ import annotations

from math import ceil, sqrt
from typing import NamedTuple

import numpy as np
import shapely

from toolpaths.shapes.track import Segment

# Chips thinner than this are no engagement, mm; the raster adds half a cell. The error of arcs sampled as chords.
CHIP, CHORD = 0.002, 0.001
TURNS = np.radians(np.arange(-89.5, 90, 1.0))


class Step(NamedTuple):
    """A segment of path from one height to another."""

    segment: Segment
    z0: float
    z1: float


class Measured(NamedTuple):
    """Length, mm, of level cutting with the rim in wood, and how much of it was beyond the limit and 1.2 times it;
    the widest angle, degrees; the places beyond the limit, (x, y, degrees)."""

    length: float
    over: float
    far_over: float
    widest: float
    places: np.ndarray

    def keeps_the_limit(self) -> bool:
        """At least 99 % of the length within the limit, and the rest within 1.2 times."""
        return self.length > 0 and self.over <= 0.01 * self.length and self.far_over == 0


def measured(steps: list[Step], z: float, radius: float, reach: shapely.Geometry, limit: float) -> Measured:
    """The engagement of all level cuts at height z; what moves down to there takes wood, but is not measured.

    reach : all that the cutter may take; wood outside is never counted, as it is beside the rim along every wall
    """
    cell = radius / 40
    rows, places = [], []
    for step in steps:
        count = max(1, ceil(step.segment.length / (radius / 20)), _chords(step.segment))
        for i in range(count + 1):
            share = i / count
            height = step.z0 + (step.z1 - step.z0) * share
            if height > z + 1e-6 and not (step.z0 - step.z1 > 0 and height < z + 0.01):
                continue
            x, y = step.segment.at(share)
            level = step.z0 == step.z1 and i < count and step.segment.length > 1e-9
            rows.append((x, y, step.segment.heading(share), step.segment.length / count if level else 0.0))
            places.append(i)
    path = np.array(rows)
    apart = np.array(places) == 0
    inner = shapely.buffer(reach, -CHIP, quad_segs=32)
    shapely.prepare(inner)
    angles = _raster(path, radius, inner, cell)
    for index in np.flatnonzero((angles > limit) & (path[:, 3] > 0)):
        angles[index] = _exact(path, apart, int(index), radius, inner)
    cutting = (angles > 0) & (path[:, 3] > 0)
    over = cutting & (angles > limit)
    return Measured(
        length=float(path[cutting, 3].sum()),
        over=float(path[over, 3].sum()),
        far_over=float(path[cutting & (angles > 1.2 * limit), 3].sum()),
        widest=float(angles[cutting].max(initial=0.0)),
        places=np.column_stack([path[over, :2], angles[over]]),
    )


def _chords(segment: Segment) -> int:
    """How many chords a segment needs to lie within CHORD of them."""
    return ceil(sqrt(segment.length * abs(segment.sweep) / (8 * CHORD)))


def _raster(path: np.ndarray, radius: float, inner: shapely.Geometry, cell: float) -> np.ndarray:
    """Degrees at each place of the path, (n,): cells just outside the rim that stand when the cutter is there."""
    x0, y0, x1, y1 = shapely.bounds(inner) + np.array([-1, -1, 1, 1]) * (radius + 1)
    xs, ys = np.arange(x0, x1, cell), np.arange(y0, y1, cell)
    wood = shapely.contains_xy(inner, *np.meshgrid(xs, ys))
    out = radius + CHIP + cell / 2
    beside = np.abs(out * np.sin(TURNS)) < radius - CHIP
    angles = np.zeros(len(path))
    for index, (x, y, heading, length) in enumerate(path):
        columns = slice(*np.searchsorted(xs, (x - radius, x + radius)))
        rows = slice(*np.searchsorted(ys, (y - radius, y + radius)))
        wood[rows, columns] &= (xs[columns] - x) ** 2 + (ys[rows] - y)[:, None] ** 2 > radius * radius
        if length:
            across = np.rint((x + out * np.cos(heading + TURNS) - x0) / cell).astype(int)
            up = np.rint((y + out * np.sin(heading + TURNS) - y0) / cell).astype(int)
            angles[index] = (wood[up, across] & beside).sum()
    return angles


def _exact(path: np.ndarray, apart: np.ndarray, index: int, radius: float, inner: shapely.Geometry) -> float:
    """Degrees at one place: points just outside the rim that lie farther than the radius from all the path before."""
    x, y, heading, _ = path[index]
    out = radius + CHIP
    rim = np.column_stack([x + out * np.cos(heading + TURNS), y + out * np.sin(heading + TURNS)])
    near = np.flatnonzero(np.hypot(*(path[:index, :2] - (x, y)).T) < 2 * radius + 1)
    ends = np.where(apart[near + 1], near, near + 1)
    start, along = path[near, :2], path[ends, :2] - path[near, :2]
    share = ((rim[:, None] - start) * along).sum(axis=2) / np.maximum((along**2).sum(axis=1), 1e-18)
    foot = start + along * np.clip(share, 0, 1)[..., None]
    away = np.hypot(*np.moveaxis(rim[:, None] - foot, 2, 0)).min(axis=1, initial=np.inf)
    beside = np.abs(out * np.sin(TURNS)) < radius - CHIP
    return float((beside & (away > radius + CHORD) & shapely.contains_xy(inner, *rim.T)).sum())
