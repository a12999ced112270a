"""The arcs of a disc's edge that are worth a stroke: where it sticks out of what is cleared."""

from __future__ import annotations

from math import pi

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from toolpaths.base.checks import Floats
from toolpaths.base.errors import Point
from toolpaths.making.operations.clearing.limited.discs import Discs

# Start and end, radians, anticlockwise.
Arc = tuple[float, float]

# Shares of an arc at which it is looked up whether it is worth a stroke.
_LOOKS = np.linspace(0.1, 0.9, 7)


# Discs looked at in one go: so few, one after the other, lie near few others.
_AT_ONCE = 64
# Radians: a whole disc is turned by less.
_APART = 32.0


def arcs_in_turn(cleared: Discs, following: Discs, least: float, thin: float) -> list[list[Arc]]:
    """Of each disc that follows, the parts of its edge that lie outside of what is cleared and those before it.

    least : mm between two parts; what is less is cut with them
    thin : mm; a chip no thicker is none
    """
    every, found = cleared.joined(following), []
    for first in range(0, len(following), _AT_ONCE):
        of = np.arange(first, min(first + _AT_ONCE, len(following)))
        found += _arcs_of(of, len(cleared), every, least, thin)
    return found


def _arcs_of(of: np.ndarray, begun: int, every: Discs, least: float, thin: float) -> list[list[Arc]]:
    """The same of some of the discs that follow those begun with."""
    centres, sizes = every.centres[begun + of], every.radii[begun + of]
    about = every.about((centres - sizes[:, None]).min(axis=0), (centres + sizes[:, None]).max(axis=0))
    before = every.of(about)
    x, y = (before.centres[:, axis] - centres[:, axis, None] for axis in (0, 1))
    away = np.hypot(x, y)
    there = about < begun + of[:, None]
    covered = (there & (away + sizes[:, None] <= before.radii)).any(axis=1)
    near = there & (np.abs(away - before.radii) < sizes[:, None]) & ~covered[:, None]
    near &= away + before.radii > sizes[:, None]
    row, column = np.nonzero(near)
    found: list[list[Arc]] = [[] for _ in of]
    for i in np.setdiff1d(np.flatnonzero(~covered), row).tolist():
        found[i] = [(0.0, 2 * pi)]
    if not len(row):
        return found
    x, y, away, radii, size = x[near], y[near], np.maximum(away[near], 1e-12), before.radii[column], sizes[row]
    half = np.arccos(np.clip((away**2 + size**2 - radii**2) / (2 * away * size), -1, 1))
    begin = (np.arctan2(y, x) - half) % (2 * pi)
    order = np.lexsort((begin, row))
    ends, begins = _gaps(row, begin[order], begin[order] + 2 * half[order])
    gap = np.flatnonzero(begins - ends > 1e-9)
    # How far each sticks out, by all that is near.
    first, count = np.searchsorted(row, row[gap]), np.bincount(row, minlength=len(of))[row[gap]]
    starts = np.cumsum(count) - count
    pair = np.repeat(first - starts, count) + np.arange(int(count.sum()))
    turns = ends[gap, None] + (begins - ends)[gap, None] * _LOOKS
    at_x, at_y = (np.repeat(size[first, None] * turned(turns), count, axis=0) for turned in (np.cos, np.sin))
    out = np.hypot(at_x - x[pair, None], at_y - y[pair, None]) - radii[pair, None]
    worth = gap[np.minimum.reduceat(out, starts, axis=0).max(axis=1) > thin] if len(gap) else gap
    for i, end, next_ in zip(row[worth].tolist(), ends[worth].tolist(), begins[worth].tolist()):
        found[i].append((end, next_))
    return [_merged(arcs, size, least) for arcs, size in zip(found, sizes.tolist())]


def _gaps(row: np.ndarray, begin: Floats, end: Floats) -> tuple[Floats, Floats]:
    """(from, to) of what may lie open after each of the parts that are covered, in the order in which they begin."""
    apart = row * _APART
    reached = np.maximum.accumulate(end + apart) - apart
    firsts = np.flatnonzero(np.diff(row, prepend=-1))
    lasts = np.append(firsts[1:], len(row)) - 1
    # What reaches over the end covers the beginning.
    over = np.repeat(reached[lasts] - 2 * pi, lasts - firsts + 1)
    begins = np.append(begin[1:], 0.0)
    begins[lasts] = begin[firsts] + 2 * pi
    return np.maximum(reached, over), begins


def _merged(arcs: list[Arc], size: float, least: float) -> list[Arc]:
    """Arcs of a circle of that size, with those as one between which there is less."""
    found: list[Arc] = []
    for a, b in arcs:
        if found and (a - found[-1][1]) * size < least:
            found[-1] = (found[-1][0], b)
        else:
            found.append((a, b))
    return found


def trimmed(arc: Arc, centre: Point, size: float, free: BaseGeometry, step: float) -> Arc | None:
    """An arc without what lies in a free room at either end, looked up every step, mm; None where nothing is left."""
    count = 2 + int((arc[1] - arc[0]) * size / step)
    turns = np.linspace(*arc, count)
    x, y = centre
    out = np.flatnonzero(~shapely.contains_xy(free, x + size * np.cos(turns), y + size * np.sin(turns)))
    if not len(out):
        return None
    return float(turns[max(out[0] - 1, 0)]), float(turns[min(out[-1] + 1, count - 1)])
