"""How the cutter comes from the end of a stroke to the start of the next, over what is cleared.

Where there is room it rises a little and goes by rapid; a short return it makes at feed.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import cos, dist, sin

import numpy as np
import shapely
from shapely import Polygon
from shapely.geometry.base import BaseGeometry

from toolpaths.base.checks import Floats
from toolpaths.base.errors import Point
from toolpaths.making.operations.clearing.limited.cleared_cells import ClearedCells, Numbers, cleared_cells
from toolpaths.making.operations.clearing.limited.growth import Growth
from toolpaths.making.operations.operation import AIR
from toolpaths.shapes.track import Track

# Radii: a return no longer than the first is made at feed; one round corners longer than the second is lifted over.
_SHORT, _LONGEST = 1.0, 18.0
# Of the radius: the cells over which returns are looked for.
_CELL = 1 / 10
# The cutter leaves wood and walls for a rapid by so many times the room that it must have,
_OFF = 2.0
# or goes to one of so many cells that are no farther than so many radii.
_TRIED, _AWAY = 16, 1.5
# mm from where the cutter stands within which wood is none, but what the areas of wood are drawn too large there.
_DRAWN = 0.02
# Radii from what closed up by which fronts can have closed it.
_NEAR = 2.0


@dataclass(frozen=True, slots=True)
class Stroke:
    """One track of the cutter, and the places on the way to its start, through room without wood.

    kind : "level" at feed; "rapid" by a rise to the first place, by rapid to the last but one, and down to the last;
        "lifted" by a lift to above the first place, where the cutter meets no wood on its way down
    """

    track: Track
    approach: tuple[Point, ...]
    kind: str


class Returns:
    """Returns over a room in which wood stands until so many cuts are done."""

    def __init__(self, centres: Polygon, grown: Growth, order: Sequence[int], radius: float, tolerance: float) -> None:
        """order : for each cut the number of its front"""
        self.radius = radius
        self.whole = shapely.buffer(centres, tolerance / 2, quad_segs=2)
        self.quiet = shapely.buffer(centres, -AIR, quad_segs=4)
        shapely.prepare(self.whole)
        shapely.prepare(self.quiet)
        self.wood, self.cuts = _wood(grown, order, radius)
        self.tree = shapely.STRtree(self.wood)
        self.cells: ClearedCells | None = None
        if not self.quiet.is_empty:
            self.cells = cleared_cells(self.quiet, self.wood, self.cuts, max(_CELL * radius, AIR))

    def stroke(self, before: Track | None, here: Point, track: Track, aside: float, cuts: int) -> Stroke:
        """A stroke, and how to come to it after so many cuts."""
        start = track.start
        free = self._free(here, start, cuts)
        if free and dist(here, start) <= _SHORT * self.radius:
            return Stroke(track, (start,), "level")
        heading = before.segments[-1].heading(1.0) if before else None
        off = self._place_off(here, heading, aside, cuts)
        on = self._place_off(start, track.segments[0].heading(0.0), aside, cuts)
        if off and on and (path := self._path(off, on, cuts)):
            return Stroke(track, (off, *path, start), "rapid")
        if free:
            return Stroke(track, (start,), "level")
        return Stroke(track, (on or start, start), "lifted")

    def _free(self, here: Point, there: Point, cuts: int) -> bool:
        """Whether the cutter may go straight at feed."""
        line = shapely.linestrings([here, there])
        return bool(shapely.covers(self.whole, line)) and not self._stands(line, 0.0, cuts)

    def _is_quiet(self, line: BaseGeometry, cuts: int) -> bool:
        """Whether it may go straight by rapid."""
        return bool(shapely.covers(self.quiet, line)) and not self._stands(line, AIR, cuts)

    def _stands(self, about: BaseGeometry, apart: float, cuts: int) -> bool:
        """Whether wood stands nearer than so much."""
        near = self.tree.query(about, "dwithin", apart) if apart else self.tree.query(about, "intersects")
        return bool((self.cuts[near] > cuts).any())

    def _place_off(self, place: Point, heading: float | None, aside: float, cuts: int) -> Point | None:
        """A place from where rapids may go and which may be reached at feed: aside of the heading, else near by."""
        if heading is not None:
            off = _aside(place, heading, aside)
            if self._leads_off(place, off, cuts):
                return off
        for x, y in self._cells_near(place, cuts):
            if self._leads_off(place, (x, y), cuts):
                return x, y
        return None

    def _leads_off(self, place: Point, off: Point, cuts: int) -> bool:
        """Whether rapids may go from there, and the cutter there at feed from a place where it stands."""
        share = min(_DRAWN / dist(place, off), 1.0) if place != off else 0.0
        begin = (place[0] + (off[0] - place[0]) * share, place[1] + (off[1] - place[1]) * share)
        return self._is_quiet(shapely.points(off), cuts) and self._free(begin, off, cuts)

    def _path(self, off: Point, on: Point, cuts: int) -> tuple[Point, ...]:
        """Places of a path that keeps off walls and wood; none where there is none so short."""
        longest = _LONGEST * self.radius
        if self._is_quiet(shapely.linestrings([off, on]), cuts):
            return (on,)
        if self.cells is None or dist(off, on) > longest:
            return ()
        begin, end = self._cell_seen(off, cuts), self._cell_seen(on, cuts)
        if begin is None or end is None:
            return ()
        middles = self.cells.path(begin, end, longest, cuts)
        return () if middles is None else self._pulled(np.vstack([[off], middles, [on]]), cuts)

    def _cell_seen(self, place: Point, cuts: int) -> Point | None:
        """The middle of a cell near a place to which a rapid may go straight."""
        for x, y in self._cells_near(place, cuts):
            if self._is_quiet(shapely.linestrings([place, (x, y)]), cuts):
                return x, y
        return None

    def _cells_near(self, place: Point, cuts: int) -> list[list[float]]:
        """The middles of a few cells that are clear."""
        if self.cells is None:
            return []
        found: list[list[float]] = self.cells.near(place, _AWAY * self.radius, cuts)[:_TRIED].tolist()
        return found

    def _pulled(self, places: Floats, cuts: int) -> tuple[Point, ...]:
        """Those places of a path that it needs, without the first; none where it would come too near to something."""
        found: list[Point] = []
        here = 0
        while here < len(places) - 1:
            good, bad = here, len(places)
            there = len(places) - 1
            while bad - good > 1:
                if self._is_quiet(shapely.linestrings(places[[here, there]]), cuts):
                    good = there
                else:
                    bad = there
                there = (good + bad) // 2
            if good == here:
                return ()
            here = good
            found.append((float(places[here, 0]), float(places[here, 1])))
        return tuple(found)


def _aside(place: Point, heading: float, aside: float) -> Point:
    """A place off the wood."""
    off = aside * _OFF * AIR
    return place[0] - off * sin(heading), place[1] + off * cos(heading)


def _wood(grown: Growth, order: Sequence[int], radius: float) -> tuple[np.ndarray, Numbers]:
    """All the wood of a growth, (n,) areas, and the number of cuts after which each stands no more."""
    rooms = np.array([front.room for front in grown.fronts])
    cuts = np.zeros(len(rooms), np.int64)
    np.maximum.at(cuts, order, np.arange(1, len(order) + 1))
    # Rooms reach a few hairs into what was free before them.
    hairs = np.array([front.discs.hair for front in grown.fronts])
    wood = shapely.buffer(rooms, -4 * hairs, quad_segs=2)
    slim = shapely.simplify(wood, hairs)
    wood = np.where(shapely.is_valid(slim), slim, wood)
    closed = np.array(grown.closed, dtype=object)
    closed_cuts = np.zeros(len(closed), np.int64)
    if len(closed):
        by, number = shapely.STRtree(closed).query(rooms, "dwithin", _NEAR * radius)
        np.maximum.at(closed_cuts, number, cuts[by])
    wood, cuts = np.concatenate([wood, closed]), np.concatenate([cuts, closed_cuts])
    stands = ~shapely.is_empty(wood)
    return wood[stands], cuts[stands]
