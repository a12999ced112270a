"""What is left of the wood under level floors on any board near the nominal one.

Cells are marked once, on the nominal job, far enough from walls that no corner moves one there.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence

import numpy as np

from toolpaths.facts.fixture import Fixture
from toolpaths.facts.part import Part
from toolpaths.judging.study.requirements import A_CUT, LEVEL, Programs, Question, Tabs, from_to, named
from toolpaths.judging.wood.field import Heights, heights_at
from toolpaths.judging.wood.raster import covered
from toolpaths.judging.wood.sweep import Flags, running_sums

# mm2; level wood smaller than this is no floor worth naming.
_A_FLOOR = 100.0


def floors(programs: Programs, tabs: Sequence[Tabs], part: Part | None, blur: float) -> Iterator[Question]:
    """How thick the wood is that every level floor leaves.

    tabs : those that each program leaves standing; their tops are no floors
    blur : mm by which walls may move at any corner; cells so near a wall are left out
    """
    stock = programs[-1].report.stock
    level = (stock.top > stock.bottom) & _even(stock.top - stock.bottom)
    for fixture in of_each_side(programs):
        depth = cut_depth(programs, fixture)
        for name, mask in (
            _recesses(programs, fixture, part, depth)
            if part is not None
            else _levels(programs, fixture, depth, _tops(programs, tabs, fixture))
        ):
            floor = inner(mask & level, blur, stock.cell)
            if floor.any():

                def words(low: float, high: float, name: str = name) -> str:
                    if low <= 0:
                        return f"{name} breaks through by {-low:.2f} mm"
                    return f"{name} leaves {from_to(low, high)} mm"

                yield Question(left_in(floor), words)


def left_in(mask: Flags) -> Callable[[Programs], tuple[float, float]]:
    """Least and greatest thickness of the wood in these cells."""
    which = np.flatnonzero(mask)

    def measure(programs: Programs) -> tuple[float, float]:
        stock = programs[-1].report.stock
        left = heights_at(stock.top, which) - heights_at(stock.bottom, which)
        return float(left.min()), float(left.max())

    return measure


def of_each_side(programs: Programs) -> list[Fixture]:
    """One fixture for each side that is cut, the first of it."""
    first: dict[str, Fixture] = {}
    for program in programs:
        first.setdefault(program.setting.fixture.side, program.setting.fixture)
    return list(first.values())


def cut_depth(programs: Programs, fixture: Fixture) -> Heights:
    """How deep the wood is cut from one side, over the cells of the final stock."""
    stock = programs[-1].report.stock
    if bool(fixture.turned) == bool(stock.turned):
        return -stock.top
    return np.asarray(stock.bottom + np.float32(stock.board.thickness))


def _recesses(programs: Programs, fixture: Fixture, part: Part, depth: Heights) -> Iterator[tuple[str, Flags]]:
    lying = programs[-1].setting.fixture
    grid = programs[-1].report.stock.grid
    found: dict[str, Flags] = {}
    for feature in part.cut_from(fixture.side):
        if feature.level and not feature.goes_through(fixture.underside_z):
            mask = covered(lying.place(feature.shape), grid) & (
                np.abs(depth + feature.floor(fixture.underside_z)) <= LEVEL
            )
            name = named(feature.name)
            found[name] = found[name] | mask if name in found else mask
    yield from found.items()


def _tops(programs: Programs, tabs: Sequence[Tabs], fixture: Fixture) -> list[float]:
    """How deep the tops of the tabs lie that are left from one side."""
    return [
        -fixture.underside_z - tab.thickness
        for program, standing in zip(programs, tabs, strict=True)
        if program.setting.fixture.side == fixture.side
        for tab in standing
    ]


def _levels(programs: Programs, fixture: Fixture, depth: Heights, tops: list[float]) -> Iterator[tuple[str, Flags]]:
    """Large level areas, by their depth; the tops of tabs are none."""
    stock = programs[-1].report.stock
    thickness = stock.board.thickness
    cut = (depth > A_CUT) & (depth < thickness - A_CUT)
    steps = np.rint(depth[cut] / LEVEL).astype(np.intp)
    count = np.bincount(steps) if len(steps) else np.zeros(0, np.intp)
    for step in np.flatnonzero(count * stock.cell**2 >= _A_FLOOR).tolist():
        level = step * LEVEL
        if all(abs(level - top) > 2 * LEVEL for top in tops):
            yield f"the floor {level:.2f} deep from the {fixture.side}", cut & (np.abs(depth - level) <= LEVEL)


def _even(left: Heights) -> Flags:
    """Cells as thick as their neighbours."""
    even = np.ones(left.shape, bool)
    for axis in (0, 1):
        step = np.abs(np.diff(left, axis=axis)) <= A_CUT
        first, second = np.moveaxis(even, axis, 0)[:-1], np.moveaxis(even, axis, 0)[1:]
        first &= np.moveaxis(step, axis, 0)
        second &= np.moveaxis(step, axis, 0)
    return even


def inner(mask: Flags, blur: float, cell: float) -> Flags:
    """Cells around which all cells within the blur are in the mask as well."""
    reach = int(np.ceil(blur / cell)) + 1
    sums, wide = running_sums(np.pad(mask, reach)), 2 * reach + 1
    count = sums[wide:, wide:] - sums[:-wide, wide:] - sums[wide:, :-wide] + sums[:-wide, :-wide]
    return np.asarray(count == wide * wide)
