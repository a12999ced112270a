"""Checks of how the program is run: what could not be read, spindle, feed, tools, the first move."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from toolpaths.errors import ProgramError
from toolpaths.gcode.motion import ARC, FEED
from toolpaths.simulate.case import Case, distinct
from toolpaths.simulate.findings import ROUNDING, Finding, folded
from toolpaths.simulate.moves import SWEEP, X0, X1, Y0, Y1, Z0, Z1

WAITS = {
    "M0": "the program stops",
    "M1": "the program may stop",
    "M60": "the program stops",
    "M6": "the cutter is changed",
    "M2": "the program ends",
    "M30": "the program ends",
}
_NOWHERE = (0.0, 0.0, 0.0)


def unreadable(case: Case) -> Iterator[Finding]:
    """The machine stops at a line that breaks a rule; what comes after it is not judged."""
    for error in case.program.errors:
        line = error.line if isinstance(error, ProgramError) else 0
        text = error.message if isinstance(error, ProgramError) else str(error)
        # Nothing comes after a missing end.
        rest = "" if isinstance(error, ProgramError) and error.code == "program-end" else (
            " The rest of the program is not judged."
        )  # fmt: skip
        yield Finding("unreadable", "danger", line, _NOWHERE, 0.0, 0.0, text + rest, 1, (line,))


def spindle_off(case: Case) -> Iterator[Finding]:
    """A cut at feed with the spindle stopped, or turning the wrong way."""
    spindle = np.where(case.motions.spindle_rpm > 0, case.motions.spindle, 0)[case.motion]
    cutting = (case.low < -ROUNDING) & ~case.leaving & ((case.kind == FEED) | (case.kind == ARC))
    for state, how in ((0, "stopped"), (-1, "turning anticlockwise")):
        for tool in distinct(case.tool[cutting & (spindle == state)]):
            who = np.flatnonzero(cutting & (spindle == state) & (case.tool == tool))
            yield folded(
                "spindle-off", "danger", case.line[who], case.ends(who), -case.low[who], 0.0,
                f"{_cutter(case, int(tool))} is fed {{amount}} mm below the top of the board with the spindle {how}.",
            )  # fmt: skip


def no_feed(case: Case) -> Iterator[Finding]:
    """A move at feed for which no feed was ever set."""
    who = np.flatnonzero((case.motions.feed_mm_min[case.motion] <= 0) & ((case.kind == FEED) | (case.kind == ARC)))
    if len(who):
        yield folded(
            "no-feed", "damage", case.line[who], case.ends(who), np.zeros(len(who)), 0.0,
            "a move at feed without a feed; put an F word before it.",
        )  # fmt: skip


def unknown_tool(case: Case) -> Iterator[Finding]:
    """A cutter that is not among those given: what it does to the wood cannot be told."""
    below = case.low < -ROUNDING
    called = {event.tool: event for event in reversed(case.program.events) if event.code == "M6"}
    for tool in sorted({*distinct(case.tool[below]), *called} - case.cutters.keys()):
        who = np.flatnonzero(below & (case.tool == tool))
        known = ", ".join(f"T{number}" for number in case.cutters)
        if tool in called:
            line, place = called[tool].line, _NOWHERE
            text = f"T{tool} is put in, but the cutters given are {known}; what it cuts is not judged."
        else:
            line = int(case.line[who[0]])
            x, y, z = case.ends(who[:1])[0].tolist()
            place = x, y, z
            text = f"a move below the top of the board before any cutter is called; the cutters given are {known}."
        lines = tuple(dict.fromkeys([line, *case.line[who].tolist()]))
        yield Finding("unknown-tool", "danger", line, place, float(tool), 0.0, text, max(len(who), 1), lines)


def first_move(case: Case) -> Iterator[Finding]:
    """The cutter goes sideways from an unknown place before it is lifted clear, or cuts at one."""
    table, height = case.table, case.fixture.highest
    named = case.named[case.motion]
    # A coordinate named for the first time comes from anywhere.
    fresh = np.diff(named.astype(np.int8), axis=0, prepend=0) != 0
    sideways = (table[SWEEP] != 0) | (table[X0] != table[X1]) | (table[Y0] != table[Y1]) | fresh[:, :2].any(axis=1)
    who = np.flatnonzero(sideways)[:1]
    if len(who) and (fresh[who, 2] | ~named[who, 2] | (table[Z0, who] < height)).any():
        yield folded(
            "first-move", "doubt", case.line[who], case.ends(who), np.minimum(*table[[Z0, Z1]][:, who]), height,
            "the first move goes sideways before the cutter has been lifted clear of whatever stands on the "
            "board; begin with a Z move to the safe height.",
        )  # fmt: skip
    who = np.flatnonzero((case.low < -ROUNDING) & ~named[:, :2].all(axis=1))
    if len(who):
        yield folded(
            "first-move", "doubt", case.line[who], case.ends(who), case.low[who], 0.0,
            "goes into the board before the program has named both X and Y; it cuts wherever the cutter "
            "happens to stand. Judged as if that were over the zero.",
        )  # fmt: skip


def waits_low(case: Case) -> Iterator[Finding]:
    """The program stops, changes the cutter or ends while the cutter stands below the top of the board."""
    for event in case.program.events:
        if event.code not in WAITS or not event.before:
            continue
        x, y, z = case.motions.end[event.before - 1].tolist()
        depth = -(z + case.fixture.zero[2])
        if case.named[event.before - 1, 2] and depth > ROUNDING:
            yield Finding(
                "waits-low", "danger", event.line, (x, y, z), depth, 0.0,
                f"{WAITS[event.code]} with the cutter {depth:.2f} mm below the top of the board; lift it first.",
                1, (event.line,),
            )  # fmt: skip


def _cutter(case: Case, tool: int) -> str:
    return str(case.cutters[tool]) if tool in case.cutters else f"T{tool}"
