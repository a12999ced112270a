"""What is left of the wood on any board near the nominal one: under level floors, and between the two sides.

Cells are marked once, on the nominal job, far enough from walls that no corner moves one there.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence

import numpy as np

from toolpaths.facts.fixture import Fixture
from toolpaths.facts.part import Part
from toolpaths.judging.checks.between_sides.round_holes import holes_of
from toolpaths.judging.study.requirements import A_CUT, LEVEL, Question, Runs, Tabs, from_to, named
from toolpaths.judging.wood.field import Heights, heights_at
from toolpaths.judging.wood.raster import covered
from toolpaths.judging.wood.sweep import Flags, capsules, cells

# mm2; level wood smaller than this is no floor worth naming.
_A_FLOOR = 100.0


def in_wood(runs: Runs, tabs: Sequence[Tabs], part: Part | None, blur: float) -> Iterator[Question]:
    """The requirements that only the wood of a nominal job tells.

    tabs : those that each program leaves standing; their tops are no floors
    blur : mm by which walls may move at any corner; cells so near a wall are left out
    """
    yield from _floors(runs, tabs, part, blur)
    yield from _webs(runs, blur)


def _floors(runs: Runs, tabs: Sequence[Tabs], part: Part | None, blur: float) -> Iterator[Question]:
    stock = runs[-1].report.stock
    level = (stock.top > stock.bottom) & _even(stock.top - stock.bottom)
    for fixture in of_each_side(runs):
        depth = cut_depth(runs, fixture)
        for name, mask in (
            _recesses(runs, fixture, part, depth)
            if part is not None
            else _levels(runs, fixture, depth, _tops(runs, tabs, fixture))
        ):
            floor = _inner(mask & level, blur, stock.cell)
            if floor.any():

                def words(low: float, high: float, name: str = name) -> str:
                    if low <= 0:
                        return f"{name} breaks through by {-low:.2f} mm"
                    return f"{name} leaves {from_to(low, high)} mm"

                yield Question(_left_in(floor), lambda low, high: low, words)


def _left_in(mask: Flags) -> Callable[[Runs], tuple[float, float]]:
    which = np.flatnonzero(mask)

    def measure(runs: Runs) -> tuple[float, float]:
        stock = runs[-1].report.stock
        left = heights_at(stock.top, which) - heights_at(stock.bottom, which)
        return float(left.min()), float(left.max())

    return measure


def of_each_side(runs: Runs) -> list[Fixture]:
    """One fixture for each side that is cut, the first of it."""
    return list({run.setting.fixture.side: run.setting.fixture for run in reversed(runs)}.values())[::-1]


def cut_depth(runs: Runs, fixture: Fixture) -> Heights:
    """How deep the wood is cut from one side, over the cells of the final stock."""
    stock = runs[-1].report.stock
    if bool(fixture.turned) == bool(stock.turned):
        return -stock.top
    return np.asarray(stock.bottom + np.float32(stock.board.thickness))


def _recesses(runs: Runs, fixture: Fixture, part: Part, depth: Heights) -> Iterator[tuple[str, Flags]]:
    lying = runs[-1].setting.fixture
    grid = runs[-1].report.stock.grid
    found: dict[str, Flags] = {}
    for feature in part.cut_from(fixture.side):
        if feature.level and not feature.through:
            mask = covered(lying.place(feature.shape), grid) & (np.abs(depth + feature.floor(part.board)) <= LEVEL)
            name = named(feature.name)
            found[name] = found[name] | mask if name in found else mask
    yield from found.items()


def _tops(runs: Runs, tabs: Sequence[Tabs], fixture: Fixture) -> list[float]:
    """How deep the tops of the tabs lie that are left from one side."""
    of_side = [some for run, some in zip(runs, tabs, strict=True) if run.setting.fixture.side == fixture.side]
    return [fixture.board.thickness - tab.thickness for some in of_side for tab in some]


def _levels(runs: Runs, fixture: Fixture, depth: Heights, tops: list[float]) -> Iterator[tuple[str, Flags]]:
    """Large level areas, by their depth; the tops of tabs are none."""
    stock = runs[-1].report.stock
    thickness = stock.board.thickness
    cut = (depth > A_CUT) & (depth < thickness - A_CUT)
    steps = np.rint(depth[cut] / LEVEL).astype(np.intp)
    count = np.bincount(steps) if len(steps) else np.zeros(0, np.intp)
    for step in np.flatnonzero(count * stock.cell**2 >= _A_FLOOR).tolist():
        level = step * LEVEL
        if all(abs(level - top) > 2 * LEVEL for top in tops):
            yield f"the floor {level:.2f} deep from the {fixture.side}", cut & (np.abs(depth - level) <= LEVEL)


def _webs(runs: Runs, blur: float) -> Iterator[Question]:
    """What is left between cuts from both faces; and cuts that meet though neither goes through."""
    stock = runs[-1].report.stock
    above = (stock.top < -A_CUT) & (stock.top > -stock.board.thickness)
    both = above & (stock.bottom > np.float32(A_CUT - stock.board.thickness)) & (stock.bottom < 0)
    meet = both & (stock.top <= stock.bottom)
    web = _inner(both & ~meet & ~_in_holes(runs), blur, stock.cell)
    if web.any():
        left = _left_in(web)

        def thinnest(runs: Runs) -> tuple[float, float]:
            low, _ = left(runs)
            return low, low

        def words(low: float, high: float) -> str:
            if low <= 0:
                return f"the thinnest web between the sides is gone, by {-low:.2f} mm"
            return f"the thinnest web between the sides is {from_to(low, high)} mm"

        yield Question(thinnest, lambda low, high: low, words)
    met = _inner(meet, blur, stock.cell)
    if met.any():
        between = _left_in(met)

        def overlap(runs: Runs) -> tuple[float, float]:
            low, high = between(runs)
            return -high, -low

        def meeting(low: float, high: float) -> str:
            if low < 0:
                return f"cuts from both sides leave a skin of {-low:.2f} mm between them"
            return f"cuts from both sides meet, {low:.2f} mm to spare"

        yield Question(overlap, lambda low, high: low, meeting)


def _in_holes(runs: Runs) -> Flags:
    """Cells in round holes: over their points wood runs out to nothing by itself, and is no web."""
    stock, lying = runs[-1].report.stock, runs[-1].setting.fixture
    mask = np.zeros(stock.grid.shape, bool)
    for run in runs:
        holes = holes_of(run.case)
        places = np.stack([holes.x, holes.y], axis=1)
        if run.setting.fixture.turned != lying.turned:
            places = lying.seen_from_front(run.setting.fixture.seen_from_front(places))
        x, y = places.T
        mask.reshape(-1)[cells(stock.grid, capsules(stock.grid, holes.radius, x, y, x, y))[0]] = True
    return mask


def _even(left: Heights) -> Flags:
    """Cells as thick as those beside them."""
    even = np.ones(left.shape, bool)
    for axis in (0, 1):
        step = np.abs(np.diff(left, axis=axis)) <= A_CUT
        first, second = np.moveaxis(even, axis, 0)[:-1], np.moveaxis(even, axis, 0)[1:]
        first &= np.moveaxis(step, axis, 0)
        second &= np.moveaxis(step, axis, 0)
    return even


def _inner(mask: Flags, blur: float, cell: float) -> Flags:
    """Cells around which all cells within the blur are in the mask as well."""
    reach = int(np.ceil(blur / cell)) + 1
    rows, columns = mask.shape
    sums = np.zeros((rows + 2 * reach + 1, columns + 2 * reach + 1), np.int32)
    sums[reach + 1 : reach + rows + 1, reach + 1 : reach + columns + 1] = mask
    np.cumsum(sums, axis=0, out=sums)
    np.cumsum(sums, axis=1, out=sums)
    wide = 2 * reach + 1
    count = sums[wide:, wide:] - sums[:-wide, wide:] - sums[wide:, :-wide] + sums[:-wide, :-wide]
    return np.asarray(count == wide * wide)
