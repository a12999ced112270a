"""The run through time: wood is taken away, and moves that could meet standing wood are asked first."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import NamedTuple

import numpy as np

from toolpaths.checks import Floats
from toolpaths.cutters import flat
from toolpaths.gcode.motion import RAPID
from toolpaths.simulate.body import scratches
from toolpaths.simulate.case import Case, distinct
from toolpaths.simulate.field import Heights, Stock, own_copy
from toolpaths.simulate.findings import Finding, folded
from toolpaths.simulate.moves import SWEEP, X0, X1, Y0, Y1, Z0, Z1
from toolpaths.simulate.removal import Cut, cuts, remove
from toolpaths.simulate.sweep import Flags, Ints

# mm, in height and sideways: a rapid that shaves less meets only what rounding and the cells' own
# height leave of a floor or wall cut before; it is also the library's usual tolerance.
_SHAVING = 0.01
_METRE = 1000.0


class Meeting(NamedTuple):
    """A move that met standing wood: what was wrong, where on the board, and how much."""

    code: str
    move: int
    place: tuple[float, float, float]
    amount: float


class Questions(NamedTuple):
    """Which moves have to be asked what they meet, by check; (n,) each."""

    rapid: Flags
    plunge: Flags
    flutes: Flags


def cut(case: Case, stock: Stock) -> tuple[Stock, list[Meeting]]:
    """The wood after the whole program, and what met wood that it should not have met."""
    top = own_copy(stock.top)
    ask = questions(case)
    asked = np.flatnonzero(ask.rapid | ask.plunge | ask.flutes)
    known = np.isin(case.tool, np.array(list(case.cutters)))
    taking = (case.low < 0) & known & ~case.leaving
    done = 0
    meetings: list[Meeting] = []
    for i in asked.tolist():
        # Wood only ever goes away: who meets none in the wood of a while ago meets none now.
        if any(_met(case, stock, top, ask, i)):
            _take(case, stock, top, taking, done, i)
            done = i
            meetings += _met(case, stock, top, ask, i)
    _take(case, stock, top, taking, done, len(case.low))
    # What a thin tip meets between the centres of cells is looked for at closer places.
    unmet = ask.rapid | ask.plunge
    unmet[[meeting.move for meeting in meetings if meeting.code != "flutes"]] = False
    for i, place, amount in scratches(case, stock, np.flatnonzero(unmet)):
        meetings.append(Meeting("rapid-in-wood" if ask.rapid[i] else "plunge", i, place, amount))
    meetings.sort(key=lambda meeting: meeting.move)
    by = None if stock.top_cuts is None else (*stock.top_cuts, case)
    return replace(stock, top=top, top_cuts=by), meetings


def questions(case: Case) -> Questions:
    """The moves that need the wood as it stands at that moment; few in a usual program."""
    table, low = case.table, case.low
    known = np.isin(case.tool, np.array(list(case.cutters)))
    below = (low < 0) & known
    fast = case.kind == RAPID
    rapid = below & fast & ~case.leaving
    if rapid.any():
        rapid &= ~_in_own_hole(case)
    # Steeper than 45 degrees is a plunge: no ramp may be (see Cutter.ramp_angle_deg).
    plunge = np.zeros(len(low), bool)
    for number, cutter in case.cutters.items():
        if not cutter.centre_cutting:
            some = np.flatnonzero(below & ~fast & (case.tool == number) & (table[SWEEP] == 0))
            across = np.hypot(table[X1, some] - table[X0, some], table[Y1, some] - table[Y0, some])
            plunge[some] = table[Z0, some] - table[Z1, some] > across
    flutes = np.zeros(len(low), bool)
    for number, cutter in case.cutters.items():
        flutes |= below & (case.tool == number) & (low < -cutter.cutting_length - _SHAVING) & ~case.leaving
    return Questions(rapid, plunge, flutes)


def _in_own_hole(case: Case) -> Flags:
    """Straight moves that end no deeper than the same cutter has just been at the same place.

    This is what every peck of a drill does; it cannot meet anything.
    """
    table = case.table
    chain = np.cumsum(~case.upright | (np.diff(case.tool, prepend=-1) != 0))
    # Subtracting more than any height for each chain lets one running minimum serve for all of them.
    # Heights beyond a metre are cut short for that, which only asks a question too many.
    low = np.clip(case.low, -_METRE, _METRE)
    deepest = np.minimum.accumulate(low - chain * 2 * _METRE) + chain * 2 * _METRE
    before = np.concatenate([[np.inf], deepest[:-1]])
    first = np.diff(chain, prepend=-1) != 0
    before = np.where(first, np.inf, before)
    return np.asarray(case.upright & (table[Z1] >= before - 1e-6))


def _take(case: Case, stock: Stock, top: Heights, taking: Flags, first: int, last: int) -> None:
    which = first + np.flatnonzero(taking[first:last])
    for tool in distinct(case.tool[which]):
        remove(top, stock.grid, case.table[:, which[case.tool[which] == tool]], case.cutters[tool].profile)


def _met(case: Case, stock: Stock, top: Heights, ask: Questions, i: int) -> Iterator[Meeting]:
    """What one move meets in the wood as it stands, at most one meeting of each kind."""
    cutter = case.cutters[int(case.tool[i])]
    move = case.table[:, i : i + 1]
    if ask.rapid[i] or ask.plunge[i]:
        found = [_shaved(stock, top, cut) for cut in cuts(stock.grid, move, cutter.profile, _SHAVING)]
        yield from _worst("rapid-in-wood" if ask.rapid[i] else "plunge", i, found, _SHAVING)
    if ask.flutes[i]:
        # Beside means under the cutter or its shank, and within one cell of them when the shank is as
        # thick as the cutter, since then it rubs on the wall just cut.
        shank, radius = cutter.shank_diameter / 2, cutter.radius
        reach = max(radius, shank) + (stock.cell if shank >= radius else 0.0)
        found = [_buried(stock, top, cut) for cut in cuts(stock.grid, move, flat(2 * reach))]
        yield from _worst("flutes", i, found, cutter.cutting_length + _SHAVING)


Place = tuple[float, float, float]


def _shaved(stock: Stock, top: Heights, cut: Cut) -> tuple[float, Place]:
    """Greatest height of wood that a cut takes away, and where."""
    standing = top.reshape(-1)[cut.cell].astype(np.float64)
    return _greatest(stock, cut, standing - np.maximum(cut.z, _at(stock.bottom, cut.cell)))


def _buried(stock: Stock, top: Heights, cut: Cut) -> tuple[float, Place]:
    """How far the tip is at most below wood that stands near it, and where."""
    standing = top.reshape(-1)[cut.cell].astype(np.float64)
    return _greatest(stock, cut, np.where(standing > _at(stock.bottom, cut.cell), standing - cut.z, 0.0))


def _greatest(stock: Stock, cut: Cut, amounts: Floats) -> tuple[float, Place]:
    if not len(cut.cell):
        return 0.0, (0.0, 0.0, 0.0)
    most, grid = int(np.argmax(amounts)), stock.grid
    row, column = divmod(int(cut.cell[most]), grid.columns)
    x, y = grid.left + (column + 0.5) * grid.cell, grid.low + (row + 0.5) * grid.cell
    return float(amounts[most]), (x, y, float(cut.z[most]))


def _worst(code: str, move: int, found: list[tuple[float, Place]], limit: float) -> Iterator[Meeting]:
    amount, place = max(found, default=(0.0, (0.0, 0.0, 0.0)))
    if amount > limit:
        yield Meeting(code, move, place, amount)


def _at(heights: Heights, cell: Ints) -> Heights:
    """Heights of cells, without unfolding a face that is the same everywhere."""
    if heights.strides == (0, 0):
        return np.broadcast_to(heights[0, 0], cell.shape)
    return np.asarray(heights[cell // heights.shape[1], cell % heights.shape[1]])


_WORDS = {
    "rapid-in-wood": "{cutter} goes at rapid speed through wood standing {amount} mm high.",
    "plunge": "{cutter} does not cut at its centre, but goes down into {amount} mm of wood.",
    "flutes": "{cutter} works {amount} mm below the wood beside it; its flutes are {length:g} mm long.",
}


def meetings_found(case: Case, meetings: list[Meeting]) -> Iterator[Finding]:
    """One finding for each kind of meeting and cutter."""
    for code, words in _WORDS.items():
        for tool, cutter in case.cutters.items():
            some = [m for m in meetings if m.code == code and case.tool[m.move] == tool]
            if some:
                limit = cutter.cutting_length if code == "flutes" else 0.0
                text = words.replace("{cutter}", str(cutter)).replace("{length:g}", f"{cutter.cutting_length:g}")
                lines = case.line[[m.move for m in some]]
                places = case.work(np.array([m.place for m in some]))
                severity = "damage" if code == "flutes" else "danger"
                yield folded(code, severity, lines, places, np.array([m.amount for m in some]), limit, text)
