"""One program on one board: the facts that every check reads."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import replace
from typing import NamedTuple

import numpy as np

from toolpaths.checks import Floats
from toolpaths.cutters import Cutter, rack
from toolpaths.errors import InputError
from toolpaths.fixture import Fixture
from toolpaths.gcode.motion import ARC, Event, Motions, Program
from toolpaths.part import Part
from toolpaths.simulate.field import Stock
from toolpaths.simulate.findings import NOWHERE
from toolpaths.simulate.moves import SWEEP, X0, X1, Y0, Y1, Z0, Z1, on_board
from toolpaths.simulate.paths import extents
from toolpaths.simulate.sweep import Flags, Ints

STOPS = ("M0", "M1", "M60")

# mm; added to where the cutter is taken to be before the program, so that any coordinate a program
# names shows as motion, even 0. No program names a place to a ten-millionth.
_ODD = 0.1234567
# Machine coordinates of the zero where they are not given: odd, so that every word of a G53 shows as motion.
UNKNOWN_ZERO = (987.6543217, 876.5432179, 765.4321793)
_TOOL_WORD = re.compile(r"\bT(\d{1,5})\b", re.IGNORECASE)


class Case(NamedTuple):
    """n moves, one or several for each of m motions, in board coordinates.

    motions : as read, but for places not known yet
    named : (m, 3) whether x, y, z at the end of each motion have been named by the program
    away : (m, 3) whether they were, but have since been left to a place that only the machine knows
    fresh : (m, 3) whether they are named here, after they were not known
    table : (11, n), see moves.py
    kind, tool, line, spindle, feed, rpm : (n,)
    low : (n,) lowest z of the move
    box : (4, n) least and greatest x, least and greatest y of the tip along the move
    upright : (n,) whether it goes straight up or down, or nowhere
    leaving : (n,) whether it goes straight up from where the same cutter already is: it does nothing that
        the move before has not done
    cutters : by number
    """

    program: Program
    fixture: Fixture
    cutters: dict[int, Cutter]
    motions: Motions
    named: Flags
    away: Flags
    fresh: Flags
    table: Floats
    motion: Ints
    kind: Ints
    tool: Ints
    line: Ints
    low: Floats
    box: Floats
    upright: Flags
    leaving: Flags

    def work(self, points: Floats) -> Floats:
        """Points (n, 3) of the board, as the program counts them."""
        return np.asarray(points - np.array(self.fixture.zero), np.float64)

    def ends(self, which: Ints) -> Floats:
        """(m, 3) end points of these moves, as the program counts them."""
        return self.work(self.table[[X1, Y1, Z1]][:, which].T)

    def of_tool(self, wanted: int) -> Ints:
        return np.flatnonzero(self.tool == wanted)

    def name(self, tool: int) -> str:
        return str(self.cutters[tool]) if tool in self.cutters else f"T{tool}"

    def widest(self, tool: int) -> float:
        """mm; largest radius of the cutter, its shank and its nut."""
        cutter = self.cutters.get(tool)
        return max(cutter.radius, cutter.shank_diameter / 2, cutter.nut_diameter / 2) if cutter else 0.0

    def place_before(self, motion: int) -> tuple[float, float, float]:
        """Where the cutter stands before a motion, as the program counts."""
        x, y, z = self.motions.end[motion - 1].tolist() if motion else NOWHERE
        return x, y, z

    def from_stop(self, message: str) -> int:
        """First motion after the operator stop with this message; 0 if there is no such stop."""
        for event in self.program.events:
            if event.code in STOPS and event.text.strip() == message.strip():
                return event.before
        return 0


class Trial(NamedTuple):
    """A program and what it did to the wood: what the checks read that need the wood.

    before, after : the wood before and after the program, on one grid
    part : what was meant, if it is known
    thinnest_web : mm, least thickness that may be left anywhere; 0 if no limit was set
    """

    case: Case
    before: Stock
    after: Stock
    part: Part | None
    thinnest_web: float


def make_case(program: Program, fixture: Fixture, cutters: Iterable[Cutter]) -> Case:
    """Motions on the board, each with the cutter that is in the spindle."""
    known = rack(tuple(cutters))
    if not known:
        raise InputError("cutters is empty; give at least one cutter.")
    motions, named, away, fresh = _settled(program, fixture)
    fresh[list(program.resumed), :2] = True
    table, motion = on_board(motions, fixture.zero)
    tool = tools(motions, program.events, tuple(known))
    kind, tool, line = motions.kind, tool, motions.line
    if len(motion) > len(motions):
        kind, tool, line = kind[motion], tool[motion], line[motion]
    upright = (table[X0] == table[X1]) & (table[Y0] == table[Y1]) & (table[SWEEP] == 0)
    leaving = upright & (table[Z1] >= table[Z0]) & (np.diff(tool, prepend=-1) == 0)
    return Case(
        program, fixture, known, motions, named, away, fresh, table, motion, kind, tool, line,
        np.minimum(table[Z0], table[Z1]), extents(table), upright, leaving,
    )  # fmt: skip


def distinct(numbers: Ints) -> list[int]:
    """Each number once, in order; numpy's own way loads a module that takes longer than all checks."""
    return sorted(set(numbers.tolist()))


def waiting_place(fixture: Fixture) -> tuple[float, float, float]:
    """Where the cutter is taken to be before the program starts, which no text says: over the zero,
    at the safe height, in work coordinates."""
    return _ODD, _ODD, fixture.safe_height - fixture.zero[2] + _ODD


def _settled(program: Program, fixture: Fixture) -> tuple[Motions, Flags, Flags, Flags]:
    """Motions in which a coordinate counts from where the program first names it; and named, away, fresh.

    A first G0 X50 comes from an unknown place: it is taken to begin where it ends. So does the first
    after a move to a place that only the machine knows, which is taken to be above all that stands on
    the board.
    """
    motions = program.motions
    changed, lost = motions.end != motions.start, _lost(program, fixture)
    # What differs from where the cutter waits was named, if not by a motion, then while its place was not known.
    resumed = list(program.resumed)
    changed[resumed] |= motions.end[resumed] != waiting_place(fixture)
    if lost is None:
        return _named_for_good(motions, changed)
    last_named, last_lost = _latest(changed & ~lost), _latest(lost)
    named, away = last_named > last_lost, last_lost > last_named
    fresh = named & ~np.vstack([np.zeros((1, 3), bool), named[:-1]])
    # What is never named stays where the cutter is taken to wait, in round numbers.
    odd = np.where(np.logical_or.accumulate(named, axis=0), 0.0, _ODD)
    start, end, centre = motions.start - odd, motions.end - odd, motions.centre - odd
    # Held from where it was last known, Z at the safe height at least.
    since = _latest(away & ~np.vstack([np.zeros((1, 3), bool), away[:-1]]))
    held = np.take_along_axis(start, np.maximum(since, 0), axis=0)
    held[:, 2] = np.maximum(held[:, 2], fixture.safe_height - fixture.zero[2])
    end = np.where(away, held, end)
    start[1:] = np.where(away[:-1], end[:-1], start[1:])
    from_nowhere = fresh & (motions.kind != ARC)[:, None]
    return replace(motions, start=np.where(from_nowhere, end, start), end=end, centre=centre), named, away, fresh


def _named_for_good(motions: Motions, changed: Flags) -> tuple[Motions, Flags, Flags, Flags]:
    """As _settled, where nothing is lost again: all depends on the first motion along each axis."""
    named, fresh = np.zeros_like(changed), np.zeros_like(changed)
    first = [int(column.argmax()) if column.any() else len(changed) for column in changed.T]
    for axis, begin in enumerate(first):
        named[begin:, axis] = True
        fresh[begin : begin + 1, axis] = True
    if len(changed) == 0 or not any(first):
        return motions, named, np.zeros_like(named), fresh
    start, end, centre = columns = motions.start.copy(), motions.end.copy(), motions.centre.copy()
    for axis, begin in enumerate(first):
        for column in columns:
            column[:begin, axis] -= _ODD
        if begin < len(changed) and motions.kind[begin] != ARC:
            start[begin, axis] = end[begin, axis]
    return replace(motions, start=start, end=end, centre=centre), named, np.zeros_like(named), fresh


def _lost(program: Program, fixture: Fixture) -> Flags | None:
    """(m, 3) coordinates that a motion takes to a place that only the machine knows: home, or one of G53
    where the zero in the machine is not given. None if there are none."""
    unknown = ("G28", "G30") if fixture.zero_in_machine else ("G28", "G30", "G53")
    which = [change.before for change in program.changes if change.code in unknown]
    which = [motion for motion in which if motion < len(program.motions)]
    if not which:
        return None
    motions = program.motions
    lost = np.zeros((len(motions), 3), bool)
    lost[which] = motions.end[which] != motions.start[which]
    return lost


def _latest(flags: Flags) -> Ints:
    """Of each column, the index of the latest that is set up to each row; -1 if there is none."""
    rows = np.arange(len(flags))[:, None]
    return np.maximum.accumulate(np.where(flags, rows, -1), axis=0)


def tools(motions: Motions, events: tuple[Event, ...], numbers: tuple[int, ...]) -> Ints:
    """(n,) tool in the spindle for each motion.

    A program without M6 has its cutters changed by hand: at a stop whose message names one, as in
    "put in T2", or not at all, and then the only cutter given is meant.
    """
    if any(event.code == "M6" for event in events):
        return motions.tool
    by_hand = [(event.before, _TOOL_WORD.search(event.text)) for event in events if event.code in STOPS]
    # "Drive the T25 screws" names no cutter of this rack.
    changes = [(before, int(found[1])) for before, found in by_hand if found and int(found[1]) in numbers]
    tool = motions.tool.copy()
    if len(numbers) == 1 and not changes:
        tool[:] = numbers[0]
    for before, number in changes:
        tool[before:] = number
    return tool
