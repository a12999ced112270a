"""Which pieces of a board are cut free from the rest, and what lies on them or below them that holds."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from toolpaths.facts.hold_down import HoldDown
from toolpaths.judging.checks.holding.cut_through import still_holds
from toolpaths.judging.checks.holding.loose_pieces import around_others, is_chip, touched
from toolpaths.judging.wood.field import Wood, one_height
from toolpaths.judging.wood.regions import label


class FreePiece(NamedTuple):
    """A piece of the board that no wood joins to the rest of it; mm of the board as it lies.

    x, y : the middle of the box about it
    width, height : of that box
    area : mm2
    held_by : what holds it by itself; nothing where it lies loose
    """

    x: float
    y: float
    width: float
    height: float
    area: float
    held_by: tuple[HoldDown, ...]


def free_pieces(wood: Wood, holding: Sequence[HoldDown]) -> tuple[FreePiece, ...]:
    """All but the piece that lies around the others, or else the largest.

    holding : what holds wood by then, where it lies
    """
    if one_height(wood.top) and one_height(wood.bottom):
        return ()
    grid, regions = wood.grid, label(still_holds(wood.top, wood.bottom))
    if len(regions.area) < 2:
        return ()
    frame = around_others(regions, grid)
    rest = int(np.flatnonzero(frame)[0]) if frame.any() else int(np.argmax(regions.area))
    under = [(thing, touched(regions, grid, thing.outline)) for thing in holding]
    found = []
    for number in range(len(regions.area)):
        r0, r1, c0, c1 = regions.box[number].tolist()
        area = float(regions.area[number]) * grid.cell**2
        if number == rest or is_chip(regions, grid, area, (r0, r1, c0, c1), [number]):
            continue
        held_by = tuple(thing for thing, which in under if number in which)
        x, y = grid.left + (c0 + c1 + 1) / 2 * grid.cell, grid.low + (r0 + r1 + 1) / 2 * grid.cell
        width, height = (c1 - c0 + 1) * grid.cell, (r1 - r0 + 1) * grid.cell
        found.append(FreePiece(x, y, width, height, area, held_by))
    return tuple(found)
