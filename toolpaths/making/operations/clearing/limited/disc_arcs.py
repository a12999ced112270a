"""The arcs of a disc's edge that are worth a stroke: where it sticks out of what is cleared."""

from __future__ import annotations

from math import pi

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from toolpaths.base.checks import Floats
from toolpaths.base.errors import Point
from toolpaths.making.operations.clearing.limited.disc_order import Discs

# Start and end, radians, anticlockwise.
Arc = tuple[float, float]

# Shares of an arc at which it is looked up whether it is worth a stroke.
_LOOKS = np.linspace(0.1, 0.9, 7)


def arcs_outside(cleared: Discs, centre: Floats, size: float, least: float, thin: float) -> list[Arc]:
    """The parts of a circle that lie outside of what is cleared.

    least : mm between two of them; what is less is cut with them
    thin : mm; a chip no thicker is none
    """
    to = cleared.centres - centre
    away = np.hypot(*to.T)
    near = (away < size + cleared.radii) & (away > size - cleared.radii)
    to, away, radii = to[near], np.maximum(away[near], 1e-12), cleared.radii[near]
    if (away + size <= radii).any():
        return []
    half = np.arccos(np.clip((away**2 + size**2 - radii**2) / (2 * away * size), -1, 1))
    middle = np.arctan2(to[:, 1], to[:, 0])
    first = (middle - half) % (2 * pi)
    order = np.argsort(first)
    first, last = first[order], (first + 2 * half)[order]
    if not len(first):
        return [(0.0, 2 * pi)]
    reached = np.maximum.accumulate(last)
    # What reaches over the end covers the beginning.
    over = reached[-1] - 2 * pi
    begins = np.append(first[1:], first[0] + 2 * pi)
    ends = np.maximum(reached, over)
    found = [(a, b) for a, b in zip(ends.tolist(), begins.tolist()) if b - a > 1e-9]
    return _merged([arc for arc in found if _depth(size, arc, to, radii) > thin], size, least)


def _merged(arcs: list[Arc], size: float, least: float) -> list[Arc]:
    """Arcs of a circle of that size, with those as one between which there is less."""
    found: list[Arc] = []
    for a, b in arcs:
        if found and (a - found[-1][1]) * size < least:
            found[-1] = (found[-1][0], b)
        else:
            found.append((a, b))
    return found


def _depth(size: float, arc: Arc, to: Floats, radii: Floats) -> float:
    """How far an arc sticks out of discs about places seen from its centre."""
    turns = arc[0] + (arc[1] - arc[0]) * _LOOKS
    x, y = size * np.cos(turns)[:, None] - to[:, 0], size * np.sin(turns)[:, None] - to[:, 1]
    return float((np.sqrt(x * x + y * y) - radii).min(axis=1).max())


def trimmed(arc: Arc, centre: Point, size: float, free: BaseGeometry, step: float) -> Arc | None:
    """An arc without what lies in a free room at either end, looked up every step, mm; None where nothing is left."""
    count = 2 + int((arc[1] - arc[0]) * size / step)
    turns = np.linspace(*arc, count)
    x, y = centre
    out = np.flatnonzero(~shapely.contains_xy(free, x + size * np.cos(turns), y + size * np.sin(turns)))
    if not len(out):
        return None
    return float(turns[max(out[0] - 1, 0)]), float(turns[min(out[-1] + 1, count - 1)])
