"""Where a path bends too much for a tab.

A tab on a corner is hard to cut off, and breaks out of it (common practice, no source). A polygon in place of a curve
bends at each of its corners, but little; what counts is how much the path turns over the length of a tab.
"""

from __future__ import annotations

from math import radians

import numpy as np
from numpy.typing import NDArray

from toolpaths.base.checks import Floats
from toolpaths.shapes.track import Track, turn_between

# A bend of more than the second is a corner; tabs stand on bends of up to the first in all, else on as much as a curve
# of the least radius bends over their length.
_SLIGHT, _SHARP = radians(8.0), radians(20.0)
# Turns, in radians, by which a corner counts.
_CORNER = 100.0


def clear_of_corners(track: Track, along: Floats, half: float, least_radius: float) -> NDArray[np.bool_]:
    """(k,) whether a tab at lengths (k,) along a closed track, so long to either side, reaches into no corner."""
    low, high, turn = _bends(track, least_radius)
    total = np.concatenate([[0.0], np.cumsum(np.where(turn > _SHARP, _CORNER, turn))])
    first, beyond = np.searchsorted(high, along - half, "right"), np.searchsorted(low, along + half, "left")
    clear: NDArray[np.bool_] = total[beyond] - total[first] <= max(_SLIGHT, 2 * half / least_radius)
    return clear


def _bends(track: Track, least_radius: float) -> tuple[Floats, Floats, Floats]:
    """Where each bend begins and ends, and by how much it turns: a joint, or arcs tighter than the radius with their
    joints. Over the round before, two rounds, and the one after, so that none is parted where the track begins."""
    segments, length = track.segments, track.length
    found: list[tuple[float, float, float]] = []
    bending = False
    for round_number in (-1, 0, 1, 2):
        for i, (segment, end) in enumerate(zip(segments, track.ends, strict=True)):
            end += round_number * length
            begin, turn = end - segment.length, turn_between(segments[i - 1], segment)
            low, _, before = found.pop() if bending else (begin, begin, 0.0)
            bending = segment.radius < least_radius
            found.append((low, end, before + turn + abs(segment.sweep)) if bending else (low, begin, before + turn))
    lows, highs, turns = np.array(found).T
    return lows, highs, turns
