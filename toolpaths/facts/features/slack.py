"""How far off a program may be and still make the part: sideways, in height, in corners of the finest cutter."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from toolpaths.base.checks import Floats
from toolpaths.facts.board import Board

# Chords in a quarter of a circle.
ROUND = 16
# A shape may be a curve drawn in chords that turn by less than this at each corner, radians, and be off
# the curve by the height of its chords.
_SMOOTH = np.radians(20)
# Neighbouring chords of a curve are alike: what is more times as long as its neighbour is a straight wall beside it.
_ALIKE = 3.0


@dataclass(frozen=True, slots=True, eq=False)
class Slack:
    """What a feature has to know to say between which heights the wood may end.

    board : the blank
    underside : z of its lower face when this side is cut, which says what is right through
    within : mm by which walls and floors may be off, to either side
    cuts : (m, 6) radius, box (left, low, right, high) seen from the front, and foot of each stretch of sideways
        cutting, from which the corners that a feature may keep follow where it does not say
    forgiven : mm, the most that the chords of a shape are taken to lie off a curve that it is drawn for
    """

    board: Board
    underside: float
    within: float
    cuts: Floats
    forgiven: float = 0.05

    def finest(self, area: BaseGeometry) -> tuple[float, float]:
        """Radius of the finest cutter that moves sideways over the box of an area, and the width of the rounding that
        it leaves at the foot of a wall; 0 where there is none."""
        left, low, right, high = area.bounds
        cuts = self.cuts
        here = (cuts[:, 1] < right) & (cuts[:, 3] > left) & (cuts[:, 2] < high) & (cuts[:, 4] > low)
        return (float(cuts[here, 0].min()), float(cuts[here, 5].min())) if here.any() else (0.0, 0.0)

    def sideways(self, shape: BaseGeometry) -> float:
        """mm by which the walls of a shape may be off: `within`, and how far its chords may lie off a curve.

        A chord of length c after which a curve turns by t is c/2 tan(t/4) high (reference 2.2: sagitta).
        """
        return self.within + min(_height_of_chords(shape), self.forgiven)


# Every check of the part asks it of the same shapes.
@lru_cache(maxsize=4096)
def _height_of_chords(shape: BaseGeometry) -> float:
    """mm that the highest chord of a shape may lie off a curve that it is drawn for."""
    rings = shapely.get_parts(shape) if shape.area == 0 else shapely.get_rings(shapely.get_parts(shape))
    points, ring = shapely.get_coordinates(rings, return_index=True)
    along = ring[1:] == ring[:-1]
    edges, ring = np.diff(points, axis=0)[along], ring[1:][along]
    # After the last of a closed ring comes its first.
    follows, last = np.arange(1, len(ring) + 1), np.diff(ring, append=len(rings)) != 0
    follows[last] = np.searchsorted(ring, ring[last])
    turns = ~last | shapely.is_closed(rings)[ring]
    edges, after = edges[turns], edges[follows[turns]]
    (x0, y0), (x1, y1) = edges.T, after.T
    turn = np.abs(np.arctan2(x0 * y1 - y0 * x1, x0 * x1 + y0 * y1))
    one, other = np.hypot(x0, y0), np.hypot(x1, y1)
    long = np.minimum(np.maximum(one, other), _ALIKE * np.minimum(one, other))
    smooth = turn < _SMOOTH
    return float((long / 2 * np.tan(turn / 4))[smooth].max(initial=0.0))
