"""Very many straight moves of one cutter: only those that can still cut lower are worked out.

Cells are held in square tiles, moves in the tile of their middle. Each tile of cells meets the tiles
of moves around it, nearest first. The lowest that a move could come over a tile of cells is known
from a distance; where that is not below the highest of its cells, the move is passed over. In a
relief nineteen cells of twenty under a cutter are cut lower by a neighbouring line.

What a ball leaves beside a straight move is convex, so a plane that touches it over the middle of a tile lies below
it over all of the tile. Where the cells lie below that plane the move is passed over as well: on a slope this is
decided by how much the surfaces bend, not by how much the tile rises from side to side.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

import numpy as np

from toolpaths.base.checks import Floats
from toolpaths.base.progress import step_by_step
from toolpaths.facts.profile import Profile
from toolpaths.judging.wood import heights
from toolpaths.judging.wood.field import Grid, Heights
from toolpaths.judging.wood.paths import inside
from toolpaths.judging.wood.sweep import EDGE, Flags, Ints, spread

# Cells to the side of a tile, as `_over_cells` goes through them. Larger ones are fewer, but more cells are looked
# at in vain.
_SIDE = 3
# Sides of a tile that a segment may be long.
_LONGEST = 1.5
# Of a ball's radius: nearer than that to its equator a plane that touches it is too steep to tell anything.
_STEEP = 0.05
# mm that a move may seem too high by rounding, where it is passed over for a plane.
_ROUNDED = 100 * EDGE
# Pairs (a move and a tile) taken at a time.
_PAIRS = 32_768
# Moves at a time, for the sake of memory.
_MOVES = 1_500_000


class Segments(NamedTuple):
    """n straight moves or parts of them, sorted by tile: where the low end lies, from the grid's corner,
    the direction, length and rise per mm seen from above; (n,) each. tile : (n,) flat index of the tile."""

    x: Floats
    y: Floats
    z: Floats
    ux: Floats
    uy: Floats
    length: Floats
    slope: Floats
    tile: Ints


class Tiles(NamedTuple):
    """Tiles that cover a grid, with `pad` more on each side for moves that pass by outside.

    cell, side : mm
    rows, columns : of tiles over the grid, without the padding
    """

    cell: float
    side: float
    rows: int
    columns: int
    pad: int

    @property
    def width(self) -> int:
        return self.columns + 2 * self.pad

    @property
    def number(self) -> int:
        return (self.rows + 2 * self.pad) * self.width


class Surface(NamedTuple):
    """What no cell of each tile lies above, (n,) each: `highest`; and a plane, `plane` over the tile's middle, that
    rises by `right` and `up` per mm, where it is known."""

    highest: Floats
    plane: Floats
    right: Floats
    up: Floats

    def fit(self, tile: Ints, now: Heights, cell: float) -> None:
        """Lay the planes of these tiles (k,) over the heights (_SIDE * _SIDE, k) that their cells have now."""
        # Tiles that hang over the grid's edge have no slope.
        inside = np.where(np.isfinite(now).all(axis=0), now, 0.0).reshape(_SIDE, _SIDE, -1)
        step = np.arange(_SIDE)[:, None] - (_SIDE - 1) / 2
        share = step / (_SIDE * (step * step).sum())
        right, up = (share * inside.sum(axis=0)).sum(axis=0), (share * inside.sum(axis=1)).sum(axis=0)
        square = now.reshape(_SIDE, _SIDE, -1)
        self.plane[tile] = (square - step * right - step[:, None] * up).max(axis=(0, 1))
        self.right[tile], self.up[tile] = right / cell, up / cell


def lower(top: Heights, grid: Grid, lines: Floats, profile: Profile) -> None:
    """Lower `top` in place to what these straight moves leave.

    lines : (6, n) x, y, z of the low end and of the high end
    """
    for first in range(0, lines.shape[1], _MOVES):
        _lower(top, grid, lines[:, first : first + _MOVES], profile)


def _lower(top: Heights, grid: Grid, lines: Floats, profile: Profile) -> None:
    side = _SIDE * grid.cell
    parts = _parts(lines, _LONGEST * side, grid, profile.radius + _LONGEST * side)
    if not parts.shape[1]:
        return
    half = float(np.hypot(parts[3] - parts[0], parts[4] - parts[1]).max(initial=0.0)) / 2
    reach = float(heights.reach(profile, -parts[2].min(keepdims=True))[0]) + EDGE
    pad = int((reach + half) / side) + 2
    tiles = Tiles(grid.cell, side, -(-grid.rows // _SIDE), -(-grid.columns // _SIDE), pad)
    segments = _segments(grid, tiles, parts)
    count = np.bincount(segments.tile, minlength=tiles.number)
    begin = np.cumsum(count) - count
    lowest = np.full(tiles.number, np.inf)
    np.minimum.at(lowest, segments.tile, segments.z)

    best = _tiled(top, tiles)
    padded = np.full((tiles.rows + 2 * pad, tiles.width), -np.inf)
    padded[pad:-pad, pad:-pad] = best.max(axis=0).reshape(tiles.rows, tiles.columns)
    highest = padded.reshape(-1)
    surface = Surface(highest, np.full(tiles.number, np.inf), np.zeros(tiles.number), np.zeros(tiles.number))
    _bound(highest, tiles, segments, profile)
    inner = slice(pad * tiles.width + pad, tiles.number - pad * tiles.width - pad)
    level = not segments.slope.any()
    for distance, shift in step_by_step("Taking wood away", _around(tiles, half, reach)):
        drop = float(_rise(profile, np.array([distance]))[0])
        other = lowest[inner.start + shift : inner.stop + shift]
        tile = inner.start + np.flatnonzero(other < highest[inner] - drop)
        for first, last in _portions(count[tile + shift]):
            here = tile[first:last]
            each = count[here + shift]
            segment = (begin[here + shift] - (np.cumsum(each) - each)).repeat(each)
            segment += np.arange(len(segment))
            _cut(best, surface, tiles, segments, profile, reach, level, here, each, segment)
    untiled = best.reshape(_SIDE, _SIDE, tiles.rows, tiles.columns).transpose(2, 0, 3, 1)
    top[...] = untiled.reshape(tiles.rows * _SIDE, -1)[: grid.rows, : grid.columns]


def _cut(
    best: Heights, surface: Surface, tiles: Tiles, segments: Segments, profile: Profile, reach: float, level: bool,
    tile: Ints, count: Ints, segment: Ints,
) -> None:  # fmt: skip
    """Lower `best` and `surface` by pairs of a tile and a segment: of each tile (k,) so many (k,), in order."""
    some = np.flatnonzero(segments.z[segment] < surface.highest[tile].repeat(count))
    who, segment = np.arange(len(tile)).repeat(count)[some], segment[some]
    row, column = tile // tiles.width - tiles.pad, tile % tiles.width - tiles.pad
    # From the low end of each move to the middle of its tile, along and beside the move.
    x = ((column + 0.5) * tiles.side)[who] - segments.x[segment]
    y = ((row + 0.5) * tiles.side)[who] - segments.y[segment]
    ux, uy, length, z = segments.ux[segment], segments.uy[segment], segments.length[segment], segments.z[segment]
    along, aside = x * ux + y * uy, y * ux - x * uy
    past = along - np.minimum(np.maximum(along, 0.0), length)
    nearest = np.sqrt(past * past + aside * aside) - (_SIDE - 1) * tiles.cell * 0.5**0.5
    near = nearest <= reach
    if profile.kind != "flat":
        near &= z + _rise(profile, nearest) < surface.highest[tile][who]
    some = np.flatnonzero(near)
    who, slope = who[some], segments.slope[segment[some]]
    ux, uy, length, z, along, aside = (column[some] for column in (ux, uy, length, z, along, aside))
    plane = profile.kind == "ball" and not level
    if plane:
        below = _below_plane(surface, tiles.cell, profile.radius, tile[who], ux, uy, length, z, slope, along, aside)
        some = np.flatnonzero(below)
        columns = (ux, uy, length, z, slope, along, aside)
        who, (ux, uy, length, z, slope, along, aside) = who[some], (column[some] for column in columns)
    if not len(who):
        return
    first = np.flatnonzero(np.diff(who, prepend=-1))
    each, at = (row * tiles.columns + column)[who], (row * tiles.columns + column)[who[first]]
    tile = tile[who[first]]
    now = np.empty((_SIDE * _SIDE, len(at)), np.float32)
    places = _over_cells(along, aside, ux * tiles.cell, uy * tiles.cell)
    for cell, lowered, place in zip(best, now, places, strict=True):
        height = heights.over_line(profile, *place, length, z, None if level else slope)
        # In single precision, as the cells are: many times as fast as a minimum of each group.
        np.minimum.at(cell, each, height.astype(np.float32, copy=False))
        lowered[:] = cell[at]
    surface.highest[tile] = np.minimum(surface.highest[tile], now.max(axis=0))
    if plane:
        surface.fit(tile, now, tiles.cell)


def _below_plane(
    surface: Surface, cell: float, radius: float, tile: Ints, ux: Floats, uy: Floats, length: Floats, z: Floats,
    slope: Floats, along: Floats, aside: Floats,
) -> Flags:  # fmt: skip
    """(n,) whether what a ball leaves may lie below the plane over its tile: by the plane that touches what it leaves
    over the tile's middle, or because there is none.

    tile : of each pair with a move; along, aside : from the low end of the move to the tile's middle
    """
    room = radius**2 - aside * aside
    at = along - np.sqrt(np.maximum(room, 0.0)) * (slope / np.sqrt(1 + slope * slope))
    at = np.minimum(np.maximum(at, 0.0), length)
    past = along - at
    root = np.sqrt(np.maximum(room - past * past, 0.0))
    touched = root > _STEEP * radius
    along_it, across_it = past / np.where(touched, root, np.inf), aside / np.where(touched, root, np.inf)
    right, up = along_it * ux - across_it * uy, along_it * uy + across_it * ux
    lean = np.abs(right - surface.right[tile]) + np.abs(up - surface.up[tile])
    lowest = z + slope * at + (radius - root) - (_SIDE - 1) / 2 * cell * lean
    return ~touched | (lowest < surface.plane[tile] + _ROUNDED)


def _over_cells(along: Floats, aside: Floats, ux: Floats, uy: Floats) -> Iterator[tuple[Floats, Floats]]:
    """Where the cells of a tile lie, row by row, along moves and aside of them, given where its middle does.

    ux, uy : the direction of each move, as long as a cell
    """
    plus, minus = ux + uy, ux - uy
    yield along - plus, aside - minus
    yield along - uy, aside - ux
    yield along + minus, aside - plus
    yield along - ux, aside + uy
    yield along, aside
    yield along + ux, aside - uy
    yield along - minus, aside + plus
    yield along + uy, aside + ux
    yield along + plus, aside + minus


def _bound(highest: Floats, tiles: Tiles, segments: Segments, profile: Profile) -> None:
    """Lower `highest` to what some move around each tile surely leaves of it, to begin with."""
    middle = np.full(tiles.number, np.inf)
    np.minimum.at(middle, segments.tile, segments.z + segments.slope * segments.length / 2)
    inner = slice(tiles.pad * (tiles.width + 1), tiles.number - tiles.pad * (tiles.width + 1))
    steps = range(-tiles.pad, tiles.pad + 1)
    for up in steps:
        for right in steps:
            # From the middle of any move in the one tile to any cell of the other.
            aside, away = ((abs(step) + 1) * tiles.side - tiles.cell / 2 for step in (right, up))
            distance = float(np.hypot(aside, away))
            if distance <= profile.radius:
                shift = up * tiles.width + right
                other = middle[inner.start + shift : inner.stop + shift]
                rise = float(_rise(profile, np.array([distance]))[0])
                # A little above, so that the move that is meant will still be worked out.
                np.minimum(highest[inner], other + (rise + 1e-6), out=highest[inner])


def _parts(lines: Floats, longest: float, grid: Grid, margin: float) -> Floats:
    """(6, m) the same moves in parts no longer than that, without parts farther from the grid than `margin`."""
    count = np.maximum(np.ceil(np.hypot(lines[3] - lines[0], lines[4] - lines[1]) / longest), 1.0)
    if (count == 1).all():
        return lines
    short, long = lines[:, count == 1], lines[:, count > 1]
    start, vector, count = long[:3], long[3:] - long[:3], count[count > 1]
    low = np.array([grid.left - margin, grid.low - margin])
    high = np.array([grid.columns, grid.rows]) * grid.cell + low + 2 * margin
    enter, leave = inside(start[:2], vector[:2], low, high)
    first, last = np.floor(enter * count), np.ceil(leave * count)
    owner, nth = spread(np.maximum(last - first, 0).astype(np.intp))
    start, vector, count, nth = start[:, owner], vector[:, owner], count[owner], first[owner] + nth
    parts = np.concatenate([start + vector * (nth / count), start + vector * ((nth + 1) / count)])
    return np.concatenate([short, parts], axis=1)


def _segments(grid: Grid, tiles: Tiles, parts: Floats) -> Segments:
    """Those that pass near the grid, sorted by the tile of their middle."""
    column = np.floor(((parts[0] + parts[3]) / 2 - grid.left) / tiles.side) + tiles.pad
    row = np.floor(((parts[1] + parts[4]) / 2 - grid.low) / tiles.side) + tiles.pad
    near = (row >= 0) & (row < tiles.rows + 2 * tiles.pad) & (column >= 0) & (column < tiles.width)
    tile = np.where(near, row * tiles.width + column, tiles.number).astype(np.int32)
    order = np.argsort(tile, kind="stable")[: np.count_nonzero(near)]
    x0, y0, z0, x1, y1, z1 = parts[:, order]
    length = np.hypot(x1 - x0, y1 - y0)
    # A move of no length is a line along X of length 0: any direction would do.
    safe = np.where(length > 0, length, 1.0)
    ux, uy = np.where(length > 0, (x1 - x0) / safe, 1.0), (y1 - y0) / safe
    # What goes straight up or down leaves what its low end leaves.
    slope = np.where(length > 0, (z1 - z0) / safe, 0.0)
    return Segments(x0 - grid.left, y0 - grid.low, z0, ux, uy, length, slope, tile[order].astype(np.intp))


def _tiled(top: Heights, tiles: Tiles) -> Heights:
    """(_SIDE * _SIDE, tiles) heights, those cells together that lie alike in their tiles."""
    whole = np.full((tiles.rows * _SIDE, tiles.columns * _SIDE), -np.inf, np.float32)
    whole[: top.shape[0], : top.shape[1]] = top
    split = whole.reshape(tiles.rows, _SIDE, tiles.columns, _SIDE).transpose(1, 3, 0, 2)
    return np.ascontiguousarray(split).reshape(_SIDE * _SIDE, -1)


def _around(tiles: Tiles, half: float, reach: float) -> list[tuple[float, int]]:
    """Steps in flat index to the tiles whose moves may reach a tile's cells, nearest first, each with the least
    distance between a cell of the one and a move, up to `half` long on either side, of the other."""
    found = []
    steps = range(1 - tiles.pad, tiles.pad)
    for up in steps:
        for right in steps:
            aside, away = (
                max(abs(step) - 1, 0) * tiles.side + (tiles.cell / 2 if step else 0.0) for step in (right, up)
            )
            distance = max(float(np.hypot(aside, away)) - half, 0.0)
            if distance <= reach:
                found.append((distance, abs(up) + abs(right), up * tiles.width + right))
    return [(distance, shift) for distance, _, shift in sorted(found)]


def _rise(profile: Profile, distance: Floats) -> Floats:
    return profile.height(np.clip(distance, 0.0, profile.radius))


def _portions(count: Ints) -> Iterator[tuple[int, int]]:
    if len(count):
        edges = [0, *(np.flatnonzero(np.diff(np.cumsum(count) // _PAIRS)) + 1).tolist(), len(count)]
        yield from zip(edges[:-1], edges[1:], strict=True)
