"""Crossings through the air, lifted only as high as what lies below them requires.

A toolpath is made with every crossing at the safe height. Here those between its first and its last cut are lowered:
to the link height where nothing stands below, else to the height of the highest hold-down that does, with the same
clearance over it as the safe height has over the highest of all.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
import shapely

from toolpaths.base.checks import Floats
from toolpaths.facts.cutter import Cutter
from toolpaths.facts.fixture import Fixture
from toolpaths.facts.hold_down import HoldDown
from toolpaths.making.motion.toolpath import RAPID, Toolpath
from toolpaths.making.motion.tour import Rise

# mm of clearance that a low crossing leaves beside what stands up, and over what the shank or the nut passes
# (common practice: a screw is never quite where it was drawn; no source).
MARGIN = 2.0


@dataclass(frozen=True)
class Crossings:
    """How high a cutter goes from place to place.

    lowest : z where nothing stands below
    clearance : mm kept over what stands
    standing : what stands above the board; screws that are driven later are there from the start
    """

    cutter: Cutter
    lowest: float
    clearance: float
    standing: tuple[HoldDown, ...]

    @cached_property
    def _circles(self) -> Floats:
        """(n, 5) of each thing the middle and radius of a circle about it, mm to keep beside it, z of the tip over it.

        The body is taken as it is there when the tip is at its lowest; higher up it is no wider.
        """
        found = [
            (thing.x, thing.y, thing.radius, max(thing.height - self.lowest, 0.0), thing.height + self.clearance)
            for thing in self.standing
        ]
        return np.array([
            (x, y, radius, MARGIN + self.cutter.body_radius(up + MARGIN), max(self.lowest, over))
            for x, y, radius, up, over in found
        ]).reshape(-1, 5)  # fmt: skip

    def heights(self, a: Floats, b: Floats) -> Floats:
        """(k,) z of the tip on the straight crossings from places (k, 2) to places (k, 2)."""
        x, y, radius, margin, over = self._circles.T
        along, to = b - a, np.stack([x, y], axis=-1) - a[:, None]
        length = (along**2).sum(axis=1)
        share = (to * along[:, None]).sum(axis=2) / np.where(length > 0, length, 1.0)[:, None]
        away = to - np.clip(share, 0.0, 1.0)[:, :, None] * along[:, None]
        met = np.hypot(away[:, :, 0], away[:, :, 1]) - radius < margin
        for number, thing in enumerate(self.standing):
            if thing.area is not None and (near := np.flatnonzero(met[:, number])).size:
                lines = shapely.linestrings(np.stack([a[near], b[near]], axis=1))
                met[near, number] = shapely.distance(lines, thing.area) < margin[number]
        highest: Floats = np.where(met, over, self.lowest).max(axis=1, initial=self.lowest)
        return highest

    def rise(self, a: Floats, b: Floats) -> Floats:
        """(k,) mm up and down on the crossings, more than on low ones."""
        return 2 * (self.heights(a, b) - self.lowest)


def crossings(fixture: Fixture, cutter: Cutter) -> Crossings:
    """The crossings of a cutter over one side of the board."""
    standing = [thing for thing in fixture.standing() if thing.height > 0]
    return Crossings(cutter, fixture.link_z, fixture.safe_z - fixture.highest, tuple(standing))


def rise(fixture: Fixture, cutter: Cutter) -> Rise | None:
    """What a route has to know of the crossings: mm up and down between two places; None where nothing stands up."""
    over = crossings(fixture, cutter)
    return over.rise if over.standing else None


def lowered(path: Toolpath, fixture: Fixture) -> Toolpath:
    """A toolpath with its crossings lowered to what lies below them; it still begins and ends at the safe height."""
    over, safe, moves = crossings(fixture, path.cutter), fixture.safe_z, list(path.moves)
    # Moves one after the other that end at the safe height, between two cuts, are one crossing at one height.
    places = np.array([(move.x, move.y) for move in moves]).reshape(-1, 2)
    heights = over.heights(np.vstack([places[:1], places[:-1]]), places).tolist()
    crossing, least = list[int](), safe
    for index, move in enumerate(path.moves):
        across = move.hole is not None or (move.kind == RAPID and move.z >= safe)
        if across:
            least = max(least, heights[index])
        if move.hole is not None or not across:
            # A cut that begins at the safe height begins there.
            least = max(least, move.hole.clear if move.hole else move.z if move.kind == RAPID else safe)
            for one in crossing:
                moves[one] = moves[one]._replace(z=min(least, safe))
            crossing, least = [], max(over.lowest, move.hole.clear if move.hole else move.z)
        if across:
            crossing.append(index)
    return replace(path, moves=tuple(moves))
