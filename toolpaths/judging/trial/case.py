"""One program on one board: the facts that every check reads."""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from toolpaths.base.checks import Floats
from toolpaths.base.errors import InputError
from toolpaths.facts.cutter import Cutter, rack
from toolpaths.facts.fixture import Fixture
from toolpaths.facts.part import Part
from toolpaths.judging.reader.motions import ARC, FEED, Motions, Program
from toolpaths.judging.trial.findings import NOWHERE, Meeting
from toolpaths.judging.trial.places import settled
from toolpaths.judging.wood.field import Wood
from toolpaths.judging.wood.moves import SWEEP, X0, X1, Y0, Y1, Z0, Z1, on_board
from toolpaths.judging.wood.paths import extents
from toolpaths.judging.wood.sweep import Flags, Ints

STOPS = ("M0", "M1", "M60")

# A cutter, as comments and messages name it.
TOOL_WORD = re.compile(r"\bT(\d{1,5})\b", re.IGNORECASE)


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

    def low_ends(self, which: Ints) -> Floats:
        """(m, 3) the lower end points of these moves, as the program counts them."""
        table = self.table[:, which]
        rising = table[Z0] < table[Z1]
        return self.work(np.where(rising, table[[X0, Y0, Z0]], table[[X1, Y1, Z1]]).T)

    def feeding(self) -> Flags:
        """(n,) moves at feed, straight or round."""
        return np.asarray((self.kind == FEED) | (self.kind == ARC))

    def known(self) -> Flags:
        """(n,) moves of the cutters that were given."""
        return np.isin(self.tool, np.array(list(self.cutters)))

    def radii(self, which: Ints) -> Floats:
        """(k,) mm, radius of the cutter of each of these moves; 0 if it was not given."""
        tool, radius = self.tool[which], np.zeros(len(which))
        for number in distinct(tool):
            if number in self.cutters:
                radius[tool == number] = self.cutters[number].radius
        return radius

    def point(self, x: float, y: float, z: float) -> tuple[float, float, float]:
        """A point of the board, as the program counts it."""
        x, y, z = self.work(np.array([[x, y, z]]))[0].tolist()
        return x, y, z

    def of_tool(self, wanted: int) -> Ints:
        return np.flatnonzero(self.tool == wanted)

    def name(self, tool: int) -> str:
        return str(self.cutters[tool]) if tool in self.cutters else f"T{tool}"

    def widest(self, tool: int) -> float:
        """mm; largest radius of the cutter, its shank and its nut."""
        cutter = self.cutters.get(tool)
        return max(cutter.radius, cutter.body.shank_diameter / 2, cutter.nut_diameter / 2) if cutter else 0.0

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
    meetings : what watched moves met, in the order of the program
    part : what was meant, if it is known
    thinnest_web : mm, least thickness that may be left anywhere; 0 if no limit was set
    """

    case: Case
    before: Wood
    after: Wood
    part: Part | None
    thinnest_web: float
    meetings: tuple[Meeting, ...]


def make_case(program: Program, fixture: Fixture, cutters: Iterable[Cutter]) -> Case:
    """Motions on the board, each with the cutter that is in the spindle."""
    known = rack(tuple(cutters))
    if not known:
        raise InputError("cutters is empty; give at least one cutter.")
    motions, named, away, fresh = settled(program, fixture)
    fresh[list(program.resumed), :2] = True
    table, motion = on_board(motions, fixture.zero)
    tool = tools(program, motions, tuple(known))
    kind, tool, line = motions.kind, tool, motions.line
    if len(motion) > len(motions):
        kind, tool, line = kind[motion], tool[motion], line[motion]
    upright = (table[X0] == table[X1]) & (table[Y0] == table[Y1]) & (table[SWEEP] == 0)
    leaving = upright & (table[Z1] >= table[Z0]) & (np.diff(tool, prepend=-1) == 0)
    return Case(
        program, fixture, known, motions, named, away, fresh, table, motion, kind, tool, line,
        np.minimum(table[Z0], table[Z1]), extents(table), upright, leaving,
    )  # fmt: skip


def distinct(numbers: NDArray[Any]) -> list[Any]:
    """Each number once, in order; numpy's own way loads a module that takes longer than all checks."""
    return sorted(set(numbers.tolist()))


def tools(program: Program, motions: Motions, numbers: tuple[int, ...]) -> Ints:
    """(n,) tool in the spindle for each motion.

    A program without M6 has its cutters changed by hand: at a stop whose message names one, as in
    "put in T2", or not at all, and then the only cutter given is meant. The one to begin with may be named
    by the comments before the first motion.
    """
    events = program.events
    if any(event.code == "M6" for event in events):
        return motions.tool
    by_hand = [(event.before, TOOL_WORD.search(event.text)) for event in events if event.code in STOPS]
    # "Drive the T25 screws" names no cutter of this rack.
    changes = [(before, int(found[1])) for before, found in by_hand if found and int(found[1]) in numbers]
    tool = motions.tool.copy()
    if len(numbers) == 1 and not changes:
        tool[:] = numbers[0]
    if changes and changes[0][0] > 0:
        head = [text for line, text in program.comments if line < motions.line[0]]
        named = {int(number) for text in head for number in TOOL_WORD.findall(text)} & set(numbers)
        if len(named) == 1:
            tool[:] = named.pop()
    for before, number in changes:
        tool[before:] = number
    return tool
