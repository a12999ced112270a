"""The run through time: wood is taken away, and moves that could meet standing wood are asked first."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import NamedTuple

import numpy as np

from toolpaths.judging.checks.meeting.asked import PORTION, Meeting, answers, in_doubt, may_meet, put, split
from toolpaths.judging.checks.meeting.body import rubs, scratches
from toolpaths.judging.reader.motions import RAPID
from toolpaths.judging.trial.case import Case, distinct
from toolpaths.judging.trial.exact_heights import cutting_moves
from toolpaths.judging.trial.findings import SHAVING, Finding, folded
from toolpaths.judging.wood.field import Heights, Wood, own_copy
from toolpaths.judging.wood.moves import SWEEP, X0, X1, Y0, Y1, Z0, Z1, lowest_so_far
from toolpaths.judging.wood.removal import cells_covered, portions, remove
from toolpaths.judging.wood.sweep import Flags, Ints

# Moves that are asked at a time by the tiles.
_AT_A_TIME = 2_000


class Asked(NamedTuple):
    """Which moves have to be asked what they meet, by check; (n,) each."""

    rapid: Flags
    plunge: Flags
    flutes: Flags


def cut(case: Case, stock: Wood) -> tuple[Wood, list[Meeting]]:
    """The wood after the whole program, and what met wood that it should not have met."""
    top = own_copy(stock.top)
    ask = questions(case)
    in_the_way = ask.rapid | ask.plunge
    asked = np.flatnonzero(in_the_way | ask.flutes)
    taking = cutting_moves(case)
    widest = max(cutter.diameter for cutter in case.cutters.values())
    # How many cells the moves before each cut, about.
    work = np.zeros(len(taking) + 1)
    if len(asked):
        np.cumsum(cells_covered(stock.grid, case.table, widest) * taking, out=work[1:])
    number = np.zeros(top.size, np.int32)
    done = 0
    meetings: list[Meeting] = []
    while len(asked):
        some = _first_few(case, stock, asked[:_AT_A_TIME], widest, 10 * PORTION)
        doubtful = some[may_meet(case, stock, top, in_the_way, some)]
        if len(doubtful):
            some = _first_few(case, stock, doubtful, widest, PORTION)
        asked = asked[np.searchsorted(asked, some[-1], side="right") :]
        if not len(doubtful):
            continue
        doubts = put(case, stock, top, some[in_the_way[some]], some[ask.flutes[some]])
        while len(doubts.cell):
            first = int(doubts.question[0]) // 2
            _take(case, stock, top, taking, done, first)
            done = first
            doubts = in_doubt(doubts, top)
            soon = np.searchsorted(work[doubts.question // 2], work[done] + PORTION, side="right")
            now, doubts = split(doubts, int(soon))
            if soon:
                between = done + np.flatnonzero(taking[done : int(now.question[-1]) // 2])
                meetings += answers(case, stock, top, between, now, number)
    _take(case, stock, top, taking, done, len(case.low))
    # What is met between the centres of cells is looked for at closer places.
    unmet = ask.rapid | ask.plunge
    unmet[[meeting.move for meeting in meetings if meeting.code != "flutes"]] = False
    for i, place, amount in scratches(case, stock, np.flatnonzero(unmet)):
        meetings.append(Meeting("rapid-in-wood" if ask.rapid[i] else "plunge", i, place, amount))
    unmet = ask.flutes.copy()
    unmet[[meeting.move for meeting in meetings if meeting.code == "flutes"]] = False
    meetings += [Meeting("flutes", *met) for met in rubs(case, stock, np.flatnonzero(unmet))]
    meetings.sort(key=lambda meeting: meeting.move)
    by = None if stock.top_cuts is None else (*stock.top_cuts, case)
    return replace(stock, top=top, top_cuts=by), meetings


def _first_few(case: Case, stock: Wood, moves: Ints, widest: float, most: int) -> Ints:
    """The first of these moves, at least one, that pass over about so many cells together at most."""
    return moves[slice(*next(portions(stock.grid, case.table[:, moves], widest, most)))]


def questions(case: Case) -> Asked:
    """The moves that need the wood as it stands at that moment; few in a usual program."""
    table, low = case.table, case.low
    below = (low < 0) & case.known()
    fast = case.kind == RAPID
    rapid = below & fast & ~case.leaving
    if rapid.any():
        rapid &= ~_in_own_hole(case)
    # Steeper than 45 degrees is a plunge: no ramp may be (see Cutter.running.ramp_angle_deg).
    plunge = np.zeros(len(low), bool)
    for number, cutter in case.cutters.items():
        if not cutter.centre_cutting:
            some = np.flatnonzero(below & ~fast & (case.tool == number) & (table[SWEEP] == 0))
            across = np.hypot(table[X1, some] - table[X0, some], table[Y1, some] - table[Y0, some])
            plunge[some] = table[Z0, some] - table[Z1, some] > across
    flutes = np.zeros(len(low), bool)
    for number, cutter in case.cutters.items():
        flutes |= below & (case.tool == number) & (low < -cutter.body.cutting_length - SHAVING) & ~case.leaving
    return Asked(rapid, plunge, flutes)


def _in_own_hole(case: Case) -> Flags:
    """Straight moves that end no deeper than the same cutter has just been at the same place.

    This is what every peck of a drill does; it cannot meet anything.
    """
    table = case.table
    chain = np.cumsum(~case.upright | (np.diff(case.tool, prepend=-1) != 0))
    # A move that leads there sideways has only been there at its end, however low it was before. A height
    # cut short only asks a question too many.
    deepest = lowest_so_far(np.where(case.upright, case.low, table[Z1]), chain)
    before = np.concatenate([[np.inf], deepest[:-1]])
    first = np.diff(chain, prepend=-1) != 0
    before = np.where(first, np.inf, before)
    return np.asarray(case.upright & (table[Z1] >= before - 1e-6))


def _take(case: Case, stock: Wood, top: Heights, taking: Flags, first: int, last: int) -> None:
    which = first + np.flatnonzero(taking[first:last])
    for tool in distinct(case.tool[which]):
        remove(top, stock.grid, case.table[:, which[case.tool[which] == tool]], case.cutters[tool].profile)


_WORDS = {
    "rapid-in-wood": "{cutter} goes {amount} mm deep through wood at rapid speed; lift it clear first, or cut with G1.",
    "plunge": "{cutter} does not cut at its centre, but goes down into {amount} mm of wood.",
    "flutes": "{cutter} works {amount} mm below the wood beside it; its flutes (cutting_length) are {length:g} mm.",
}


def meetings_found(case: Case, meetings: list[Meeting]) -> Iterator[Finding]:
    """One finding for each kind of meeting and cutter."""
    for code, words in _WORDS.items():
        for tool, cutter in case.cutters.items():
            some = [m for m in meetings if m.code == code and case.tool[m.move] == tool]
            if some:
                limit = cutter.body.cutting_length if code == "flutes" else 0.0
                text = words.replace("{cutter}", str(cutter)).replace("{length:g}", f"{cutter.body.cutting_length:g}")
                lines = case.line[[m.move for m in some]]
                places = case.work(np.array([m.place for m in some]))
                severity = "damage" if code == "flutes" else "danger"
                yield folded(code, severity, lines, places, np.array([m.amount for m in some]), limit, text)
