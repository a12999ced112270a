"""What is left between cuts from both faces on any board near the nominal one: the thinnest web, and cuts that meet.

Cells are marked once, on the nominal job. A web is thinnest where one of its faces slopes: at the bottom of a groove,
or at its lip, where it ends at an opening. There its faces are looked at exactly, between the centres of the cells.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

import numpy as np

from toolpaths.base.checks import Floats
from toolpaths.judging.checks.between_sides.round_holes import holes_of
from toolpaths.judging.checks.part.thin_web import of_no_part
from toolpaths.judging.study.requirements import A_CUT, Programs, Question, from_to
from toolpaths.judging.study.thickness import inner, left_in
from toolpaths.judging.trial.exact_heights import face_at, lower_face
from toolpaths.judging.trial.undercuts import lowest_faces
from toolpaths.judging.wood.field import Heights, Wood, heights_at
from toolpaths.judging.wood.patches import centres
from toolpaths.judging.wood.sweep import Flags, Ints, capsules, cells, running_sums

# The thinnest cells in which a web is looked at closer, at so many places each way; and the lips of webs that are
# followed to their ends, thinnest first.
_MOST_CELLS, _CLOSER = 60, 5
_MOST_LIPS = 300
# A lip is followed to its end in so many rounds, each looking at so many places of what is left.
_ROUNDS, _LOOKS = 6, 8


class _Lips(NamedTuple):
    """Ends of webs at openings: from places in the wood (k, 2) to others (k, 2) in the opening, at every corner."""

    inside: Floats
    outside: Floats


def webs(programs: Programs, blur: float, thinnest: float) -> Iterator[Question]:
    """What is left between cuts from both faces; and cuts that meet though neither goes through.

    blur : mm by which walls may move at any corner
    thinnest : mm that the user wants to be left
    """
    stock, underside = _last(programs)
    both = _from_both_faces(underside, stock.top, stock.bottom)
    meet = both & (stock.top <= stock.bottom)
    none = _in_holes(programs) | of_no_part(programs[-1].trial)
    web = both & ~_around(meet, blur, stock.cell) & ~none
    lips = _lips(stock, underside, none, blur)
    if web.any() or len(lips.inside):
        yield _thinnest(stock, web, lips, thinnest)
    below = _below_shoulders(stock, underside, none)
    if below.any():
        yield _under_shoulder(np.flatnonzero(below), thinnest)
    met = inner(meet, blur, stock.cell)
    if met.any():
        yield _meeting(met)


def _thinnest(stock: Wood, web: Flags, lips: _Lips, limit: float) -> Question:
    which = np.flatnonzero(web)
    closer = _closer(stock, which)

    def measure(programs: Programs) -> tuple[float, float]:
        stock, underside = _last(programs)
        top, bottom = heights_at(stock.top, which), heights_at(stock.bottom, which)
        found = [
            (top - bottom)[_from_both_faces(underside, top, bottom)],
            _exact_web(stock, underside, closer),
            _exact_web(stock, underside, _ends(stock, lips)),
        ]
        least = min((float(each.min()) for each in found if each.size), default=stock.board.thickness)
        return least, least

    def words(low: float, high: float) -> str:
        if low <= 0:
            return f"the thinnest web between the sides is cut away, by {-low:.2f} mm"
        wanted = f", {limit:g} is wanted" if limit else ""
        return f"the thinnest web between the sides is {from_to(low, high)} mm{wanted}"

    return Question(measure, words, lambda low, high: low - limit)


def _below_shoulders(stock: Wood, underside: float, none: Flags) -> Flags:
    """Cells in which the way of an undercut cutter's head lies over or under a cut from the other face."""
    top, bottom = lowest_faces(stock)
    if top is stock.top:
        return np.zeros(stock.grid.shape, bool)
    return np.asarray(_from_both_faces(underside, top, bottom) & ((top < stock.top) | (bottom > stock.bottom)) & ~none)


def _under_shoulder(which: Ints, limit: float) -> Question:
    def measure(programs: Programs) -> tuple[float, float]:
        top, bottom = lowest_faces(_last(programs)[0])
        least = float((heights_at(top, which) - heights_at(bottom, which)).min())
        return least, least

    def words(low: float, high: float) -> str:
        wanted = f", {limit:g} is wanted" if limit else ""
        if low <= 0:
            return f"the web below an undercut is cut away, by {-low:.2f} mm"
        return f"the thinnest web below an undercut is {from_to(low, high)} mm{wanted}"

    return Question(measure, words, lambda low, high: low - limit)


def _meeting(met: Flags) -> Question:
    between = left_in(met)

    def overlap(programs: Programs) -> tuple[float, float]:
        low, high = between(programs)
        return -high, -low

    def words(low: float, high: float) -> str:
        if low < 0:
            return f"cuts from both sides leave a skin of {-low:.2f} mm between them"
        return f"cuts from both sides meet, {low:.2f} mm to spare"

    return Question(overlap, words)


def _last(programs: Programs) -> tuple[Wood, float]:
    """The wood in the end, and z of the face on which it then lies: levelled all over, that is no cut."""
    return programs[-1].report.stock, programs[-1].setting.fixture.underside_z


def _from_both_faces(underside: float, top: Floats | Heights, bottom: Floats | Heights) -> Flags:
    """Where both faces are cut, and neither cut goes through by itself."""
    return np.asarray((top < -A_CUT) & (top > underside) & (bottom > np.float32(underside + A_CUT)) & (bottom < 0))


def _faces(stock: Wood, places: Floats) -> tuple[Floats, Floats]:
    """(k,) heights of the upper and the lower face at places (k, 2), from the moves of all programs."""
    bottom = lower_face(stock, places)
    if stock.top_cuts is None or bottom is None:
        raise AssertionError("the programs of a study are known")
    return face_at(stock.top_cuts, places), bottom


def _exact_web(stock: Wood, underside: float, places: Floats) -> Floats:
    """Thickness at those of places (k, 2) that are cut from both faces."""
    if not len(places):
        return np.empty(0)
    top, bottom = _faces(stock, places)
    return np.asarray((top - bottom)[_from_both_faces(underside, top, bottom) & (top > bottom)])


def _closer(stock: Wood, web: Ints) -> Floats:
    """(k, 2) places all over the thinnest cells of a web."""
    left = heights_at(stock.top, web) - heights_at(stock.bottom, web)
    some = web[np.argsort(left, kind="stable")[:_MOST_CELLS]]
    steps = ((np.arange(_CLOSER) + 0.5) / _CLOSER - 0.5) * stock.cell
    within = np.stack(np.meshgrid(steps, steps), axis=-1).reshape(-1, 2)
    return np.asarray((centres(stock.grid, some)[:, None] + within).reshape(-1, 2))


def _lips(stock: Wood, underside: float, none: Flags, blur: float) -> _Lips:
    """Where wood cut from a face ends at an opening with both of its faces cut.

    none : cells in which no web of the part stands
    """
    rows, columns = stock.grid.shape
    wood = stock.top > stock.bottom
    cut = wood & ~none & ((stock.top < -A_CUT) | (stock.bottom > np.float32(underside + A_CUT)))
    inside, outside = [np.empty((0, 2))], [np.empty((0, 2))]
    for down, across in ((0, 1), (0, -1), (1, 0), (-1, 0)):
        row, column = np.nonzero(cut)
        there = (row + down >= 0) & (row + down < rows) & (column + across >= 0) & (column + across < columns)
        row, column = row[there], column[there]
        ends = ~wood[row + down, column + across]
        place = centres(stock.grid, (row * columns + column)[ends])
        out = np.array([across, down])
        inside.append(place - blur * out)
        outside.append(place + (stock.cell + blur) * out)
    lips = _Lips(np.concatenate(inside), np.concatenate(outside))
    if not len(lips.inside):
        return lips
    top, bottom = _faces(stock, _ends(stock, lips))
    both = np.flatnonzero(_from_both_faces(underside, top, bottom) & (top > bottom))
    thinnest = both[np.argsort((top - bottom)[both], kind="stable")[:_MOST_LIPS]]
    return _Lips(lips.inside[thinnest], lips.outside[thinnest])


def _ends(stock: Wood, lips: _Lips) -> Floats:
    """(k, 2) the last places with wood on the way out of each lip; where it has none at all, its beginning."""
    low, high = np.zeros(len(lips.inside)), np.ones(len(lips.inside))
    for _ in range(_ROUNDS if len(low) else 0):
        part = low[:, None] + np.arange(1, _LOOKS + 1) / (_LOOKS + 1) * (high - low)[:, None]
        places = lips.inside[:, None] + (lips.outside - lips.inside)[:, None] * part[:, :, None]
        top, bottom = _faces(stock, places.reshape(-1, 2))
        wood = np.minimum.accumulate((top > bottom).reshape(part.shape), axis=1).sum(axis=1)
        width = (high - low) / (_LOOKS + 1)
        low, high = low + wood * width, low + (wood + 1) * width
    return np.asarray(lips.inside + (lips.outside - lips.inside) * low[:, None])


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


def _around(mask: Flags, blur: float, cell: float) -> Flags:
    """Cells within a cell, and the blur, of those in the mask."""
    reach = int(np.ceil(blur / cell)) + 1
    sums, wide = running_sums(np.pad(mask, reach)), 2 * reach + 1
    return np.asarray(sums[wide:, wide:] - sums[:-wide, wide:] - sums[wide:, :-wide] + sums[:-wide, :-wide] > 0)
