"""What is left of the wood on any board near the nominal one: under level floors, and between the two sides.

Cells are marked once, on the nominal job, far enough from walls that no corner moves one there.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence

import numpy as np

from toolpaths.facts.fixture import Fixture
from toolpaths.facts.part import Part
from toolpaths.judging.checks.between_sides.round_holes import holes_of
from toolpaths.judging.study.requirements import A_CUT, LEVEL, Programs, Question, Tabs, from_to, named
from toolpaths.judging.wood.field import Heights, heights_at
from toolpaths.judging.wood.raster import covered
from toolpaths.judging.wood.sweep import Flags, capsules, cells, running_sums

# mm2; level wood smaller than this is no floor worth naming.
_A_FLOOR = 100.0


def in_wood(programs: Programs, tabs: Sequence[Tabs], part: Part | None, blur: float) -> Iterator[Question]:
    """The requirements that only the wood of a nominal job shows.

    tabs : those that each program leaves standing; their tops are no floors
    blur : mm by which walls may move at any corner; cells so near a wall are left out
    """
    yield from _floors(programs, tabs, part, blur)
    yield from _webs(programs, blur)


def _floors(programs: Programs, tabs: Sequence[Tabs], part: Part | None, blur: float) -> Iterator[Question]:
    stock = programs[-1].report.stock
    level = (stock.top > stock.bottom) & _even(stock.top - stock.bottom)
    for fixture in of_each_side(programs):
        depth = cut_depth(programs, fixture)
        for name, mask in (
            _recesses(programs, fixture, part, depth)
            if part is not None
            else _levels(programs, fixture, depth, _tops(programs, tabs, fixture))
        ):
            floor = _inner(mask & level, blur, stock.cell)
            if floor.any():

                def words(low: float, high: float, name: str = name) -> str:
                    if low <= 0:
                        return f"{name} breaks through by {-low:.2f} mm"
                    return f"{name} leaves {from_to(low, high)} mm"

                yield Question(_left_in(floor), words)


def _left_in(mask: Flags) -> Callable[[Programs], tuple[float, float]]:
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
        if feature.level and not feature.goes_through(part.board):
            mask = covered(lying.place(feature.shape), grid) & (np.abs(depth + feature.floor(part.board)) <= LEVEL)
            name = named(feature.name)
            found[name] = found[name] | mask if name in found else mask
    yield from found.items()


def _tops(programs: Programs, tabs: Sequence[Tabs], fixture: Fixture) -> list[float]:
    """How deep the tops of the tabs lie that are left from one side."""
    return [
        fixture.board.thickness - tab.thickness
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


def _webs(programs: Programs, blur: float) -> Iterator[Question]:
    """What is left between cuts from both faces; and cuts that meet though neither goes through."""
    stock = programs[-1].report.stock
    above = (stock.top < -A_CUT) & (stock.top > -stock.board.thickness)
    both = above & (stock.bottom > np.float32(A_CUT - stock.board.thickness)) & (stock.bottom < 0)
    meet = both & (stock.top <= stock.bottom)
    web = _inner(both & ~meet & ~_in_holes(programs), blur, stock.cell)
    if web.any():
        left = _left_in(web)

        def thinnest(programs: Programs) -> tuple[float, float]:
            low, _ = left(programs)
            return low, low

        def words(low: float, high: float) -> str:
            if low <= 0:
                return f"the thinnest web between the sides is cut away, by {-low:.2f} mm"
            return f"the thinnest web between the sides is {from_to(low, high)} mm"

        yield Question(thinnest, words)
    met = _inner(meet, blur, stock.cell)
    if met.any():
        between = _left_in(met)

        def overlap(programs: Programs) -> tuple[float, float]:
            low, high = between(programs)
            return -high, -low

        def meeting(low: float, high: float) -> str:
            if low < 0:
                return f"cuts from both sides leave a skin of {-low:.2f} mm between them"
            return f"cuts from both sides meet, {low:.2f} mm to spare"

        yield Question(overlap, meeting)


def _in_holes(programs: Programs) -> Flags:
    """Cells in round holes: over their points wood runs out to nothing by itself, and is no web."""
    stock, lying = programs[-1].report.stock, programs[-1].setting.fixture
    mask = np.zeros(stock.grid.shape, bool)
    for program in programs:
        holes = holes_of(program.case)
        places = np.stack([holes.x, holes.y], axis=1)
        if program.setting.fixture.turned != lying.turned:
            places = lying.seen_from_front(program.setting.fixture.seen_from_front(places))
        x, y = places.T
        mask.reshape(-1)[cells(stock.grid, capsules(stock.grid, holes.radius, x, y, x, y))[0]] = True
    return mask


def _even(left: Heights) -> Flags:
    """Cells as thick as their neighbours."""
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
    sums, wide = running_sums(np.pad(mask, reach)), 2 * reach + 1
    count = sums[wide:, wide:] - sums[:-wide, wide:] - sums[wide:, :-wide] + sums[:-wide, :-wide]
    return np.asarray(count == wide * wide)
