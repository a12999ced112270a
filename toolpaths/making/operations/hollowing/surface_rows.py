"""Rows over a surface along the grain, to and fro, each at the heights that the surface has along it; a ring round the
edge comes last."""

from __future__ import annotations

from math import ceil, cos, dist, hypot, radians, sin

import numpy as np
import shapely
from shapely import LineString
from shapely.geometry.base import BaseGeometry

from toolpaths.base.checks import Floats
from toolpaths.base.errors import DoesNotFitError
from toolpaths.making.motion.toolpath import PathBuilder
from toolpaths.making.operations.hollowing.surface_rings import Surface, cut_rings, link_over, rings_inwards
from toolpaths.making.operations.operation import CLEAR
from toolpaths.making.operations.rings import Direction
from toolpaths.shapes import offset

# Degrees from the level beyond which rows leave high ridges, or would lie too close.
_STEEPEST_DEG = 50.0
# mm along a row between two heights that are looked at, and the share of the tolerance by which straight pieces may be
# off; rows whose ends are so many steps apart are linked along the surface.
_CLOSE, _OFF, _NEAR = 0.5, 0.5, 3.0


def row_step(surface: Surface, ridge: float) -> float:
    """mm between two rows seen from above, whose ridges are nowhere higher than this.

    Raises DoesNotFitError for a section that is too steep.
    """
    passes, section = surface.tips.passes(ridge), surface.tips.section
    heights = surface.tips.at(passes)
    steep = np.abs(section.slopes(np.linspace(0.0, min(section.width, surface.tips.farthest), 257))).max()
    if not steep <= np.tan(radians(_STEEPEST_DEG)):
        raise DoesNotFitError(
            f"The section is steeper than {_STEEPEST_DEG:g} degrees, and rows along the grain would leave ridges "
            "there; use pattern='rings'."
        )
    # Rows may run straight down the steepest slope or straight across it.
    along = np.hypot(np.diff(passes), np.diff(heights))
    return float(along.min() / hypot(1.0, steep)) if len(along) else surface.tips.profile.radius


def cut_rows(
    builder: PathBuilder, surface: Surface, ridge: float, grain_deg: float, direction: Direction, wood: float
) -> None:
    """All rows, then a ring round the edge.

    wood : z of the highest wood that stands over them
    """
    rim = surface.tips.rim
    room = offset.wall(surface.drawn.area, -rim, surface.drawn.tolerance, slim=False)
    for n, row in enumerate(_rows(room, row_step(surface, ridge), grain_deg)):
        for part in row if n % 2 == 0 else [piece[::-1] for piece in row[::-1]]:
            _cut_row(builder, part, surface, wood)
    edge = rings_inwards(surface, [rim], direction)
    for ring in edge:
        ring.inner.clear()
    cut_rings(builder, edge, surface, wood)


def _rows(room: BaseGeometry, step: float, grain_deg: float) -> list[list[Floats]]:
    """Of each row across a room the pieces within it, (2, 2) ends each, from one side to the other."""
    ahead = np.array([cos(radians(grain_deg)), sin(radians(grain_deg))])
    aside = np.array([-ahead[1], ahead[0]])
    corners = shapely.get_coordinates(room)
    low, high = (corners @ aside).min(), (corners @ aside).max()
    left, right = (corners @ ahead).min() - 1, (corners @ ahead).max() + 1
    count = max(ceil((high - low) / step), 1)
    found = []
    for n in range(count):
        across = low + (n + 0.5) * (high - low) / count
        line = LineString([left * ahead + across * aside, right * ahead + across * aside])
        inside = shapely.get_parts(shapely.intersection(line, room))
        pieces = [shapely.get_coordinates(part) for part in inside if part.length > 0]
        found.append(sorted((piece[np.argsort(piece @ ahead)] for piece in pieces), key=lambda piece: piece[0] @ ahead))
    return found


def _cut_row(builder: PathBuilder, row: Floats, surface: Surface, wood: float) -> None:
    start = (float(row[0][0]), float(row[0][1]))
    z = float(surface.z_over(row[:1])[0])
    near = builder.moves and builder.z <= surface.top and dist(builder.place, start) <= _NEAR * surface.widest_step
    if near:
        link_over(builder, start, z, surface)
    else:
        builder.go_above(start, max(wood, z) + CLEAR)
        builder.plunge(z)
    count = max(ceil(dist(row[0], row[-1]) / _CLOSE), 1)
    share = np.linspace(0.0, 1.0, count + 1)
    places = row[0] + share[:, None] * (row[-1] - row[0])
    heights = surface.z_over(places)
    length = share * dist(row[0], row[-1])
    chain = shapely.simplify(shapely.linestrings(np.column_stack([length, heights])), _OFF * surface.drawn.tolerance)
    for along, height in shapely.get_coordinates(chain)[1:].tolist():
        x, y = (row[0] + along / max(length[-1], 1e-9) * (row[-1] - row[0])).tolist()
        builder.straight((x, y), height)
