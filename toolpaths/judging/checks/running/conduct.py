"""Checks of how the program is run: what could not be read, spindle, feed, tools, the first move."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import zip_longest
from math import isfinite

import numpy as np

from toolpaths.facts.language import WORK_SYSTEMS
from toolpaths.judging.checks.meeting.hold_downs import obstacles, there_yet
from toolpaths.judging.reader.motions import RAPID, Change
from toolpaths.judging.trial.case import Case, distinct
from toolpaths.judging.trial.findings import NOWHERE, ROUNDING, Finding, folded
from toolpaths.judging.wood.moves import X0, X1, Y0, Y1, Z0, Z1

WAITS = {
    "M0": "the program stops",
    "M1": "the program may stop",
    "M60": "the program stops",
    "M6": "the cutter is changed",
    "M2": "the program ends",
    "M30": "the program ends",
}


# Errors after which nothing is read: of the first two there is nothing more to say.
_AT_THE_END = {
    "semicolon": " Many controllers take it for one, and so it is judged.",
    "program-end": "",
    "too-many-errors": "",
    "zero-lost": " The rest of the program is not judged.",
}
_READ_ON = (
    " The rest is judged without this line; moves are left out until the program has named again each of X, Y and Z "
    "that this line would have set."
)


def unreadable(case: Case) -> Iterator[Finding]:
    """A line that breaks a rule of the language: a machine stops there, or does who knows what."""
    lines: dict[tuple[str, str], list[int]] = {}
    for error in case.program.errors:
        lines.setdefault((error.code, error.message), []).append(error.line)
    for (code, message), where in lines.items():
        text = message + _AT_THE_END.get(code, _READ_ON)
        yield Finding(
            "unreadable", "doubt" if code == "semicolon" else "danger", where[0], NOWHERE, 0.0, 0.0, text,
            len(where), tuple(where),
        )  # fmt: skip


def spindle_off(case: Case) -> Iterator[Finding]:
    """A cut at feed with the spindle stopped, or turning the wrong way."""
    spindle = np.where(case.motions.spindle_rpm > 0, case.motions.spindle, 0)[case.motion]
    cutting = (case.low < -ROUNDING) & ~case.leaving & case.feeding()
    for state, how in ((0, "stopped"), (-1, "turning anticlockwise")):
        for tool in distinct(case.tool[cutting & (spindle == state)]):
            who = np.flatnonzero(cutting & (spindle == state) & (case.tool == tool))
            yield folded(
                "spindle-off", "danger", case.line[who], case.ends(who), -case.low[who], 0.0,
                f"{case.name(tool)} is fed {{amount}} mm below the top of the board with the spindle {how}.",
            )  # fmt: skip


def no_feed(case: Case) -> Iterator[Finding]:
    """A move at feed for which no feed was ever set."""
    who = np.flatnonzero((case.motions.feed_mm_min[case.motion] <= 0) & case.feeding())
    if len(who):
        yield folded(
            "no-feed", "damage", case.line[who], case.ends(who), np.zeros(len(who)), 0.0,
            "a move at feed without a feed; put an F word before it.",
        )  # fmt: skip


def unknown_tool(case: Case) -> Iterator[Finding]:
    """A cutter that is not among those given: what it does to the wood cannot be told."""
    below = case.low < -ROUNDING
    # T0 M6 empties the spindle.
    called = {event.tool: event for event in reversed(case.program.events) if event.code == "M6" and event.tool}
    for tool in sorted({*distinct(case.tool[below]), *called} - case.cutters.keys()):
        who = np.flatnonzero(below & (case.tool == tool))
        known = ", ".join(f"T{number}" for number in case.cutters)
        if tool in called:
            line, place = called[tool].line, NOWHERE
            text = f"T{tool} is put in, but the cutters given are {known}; what it cuts is not judged."
        else:
            line = int(case.line[who[0]])
            x, y, z = case.ends(who[:1])[0].tolist()
            place = x, y, z
            text = f"a move below the top of the board with no cutter called; the cutters given are {known}."
        lines = tuple(dict.fromkeys([line, *case.line[who].tolist()]))
        yield Finding("unknown-tool", "danger", line, place, float(tool), 0.0, text, max(len(who), 1), lines)


def first_move(case: Case) -> Iterator[Finding]:
    """The cutter goes sideways from an unknown place before it is lifted clear, or cuts at one."""
    table, height = case.table, case.fixture.highest
    # A coordinate named for the first time comes from anywhere; one left to the machine, by G28, is no fault here.
    fresh, named = case.fresh[case.motion], (case.named | case.away)[case.motion]
    sideways = [int(flags.argmax()) for flags in (~case.upright, fresh[:, 0], fresh[:, 1]) if flags.any()]
    who = np.array([min(sideways)] if sideways else [], np.intp)
    # What came before could not be read.
    resumed = len(who) and int(case.motion[who[0]]) in case.program.resumed
    if len(who) and not resumed and (fresh[who, 2] | ~named[who, 2] | (table[Z0, who] < height)).any():
        yield folded(
            "first-move", "doubt", case.line[who], case.ends(who), np.minimum(*table[[Z0, Z1]][:, who]), height,
            "the first move goes sideways before the cutter has been lifted clear of whatever stands on the "
            "board; begin with a Z move to the safe height.",
        )  # fmt: skip
    who = np.flatnonzero((case.low < -ROUNDING) & ~(named[:, 0] & named[:, 1]))
    if len(who):
        yield folded(
            "first-move", "doubt", case.line[who], case.ends(who), case.low[who], 0.0,
            "goes into the board before the program has named both X and Y; it cuts wherever the cutter "
            "happens to stand. Judged as if that were over the zero.",
        )  # fmt: skip


def waits_low(case: Case) -> Iterator[Finding]:
    """The program stops, changes the cutter or ends while the cutter stands below the top of the board."""
    found: dict[str, list[tuple[int, tuple[float, float, float], float]]] = {}
    for event in case.program.events:
        if event.code not in WAITS or not event.before or not isfinite(event.place[2]):
            continue
        place = case.place_before(event.before)
        depth = -(place[2] + case.fixture.zero[2])
        if case.named[event.before - 1, 2] and depth > ROUNDING:
            found.setdefault(WAITS[event.code], []).append((event.line, place, depth))
    for what, some in found.items():
        lines, places, depths = zip(*some, strict=True)
        yield folded(
            "waits-low", "danger", np.array(lines), np.array(places), np.array(depths), 0.0,
            f"{what} with the cutter {{amount}} mm below the top of the board; lift it first.",
        )  # fmt: skip


def sideways_lift(case: Case) -> Iterator[Finding]:
    """A rapid that leaves the wood, or the side of something that stands on the board, upwards and across at once.

    The axes of some controllers do not finish together in a rapid, so the way is not the straight line.
    """
    table, height = case.table, case.fixture.highest
    low = (case.kind == RAPID) & (table[Z0] < max(height, 0.0) - ROUNDING)
    who = np.flatnonzero(low & (table[Z1] > table[Z0] + ROUNDING))
    moved = np.abs(table[[X1, Y1]][:, who] - table[[X0, Y0]][:, who]).max(axis=0, initial=0.0)
    who = who[(moved > ROUNDING) & (table[Z0, who] < table[Z1, who])]
    in_wood = table[Z0, who] < -ROUNDING
    beside = np.zeros(len(who), bool)
    things = obstacles(case) if len(who) and not in_wood.all() else []
    for thing in things:
        reach = thing.radius + np.array([case.widest(tool) for tool in case.tool[who].tolist()])
        across = case.box[:2, who], case.box[2:, who]
        near = [(low - reach < at) & (at < high + reach) for (low, high), at in zip(across, (thing.x, thing.y))]
        beside |= near[0] & near[1] & (table[Z0, who] < thing.height - ROUNDING) & there_yet(case, thing, who)
    for which, what in ((in_wood, "out of the board"), (beside & ~in_wood, "from beside what stands on the board")):
        some = who[which]
        if len(some):
            yield folded(
                "sideways-lift", "doubt", case.line[some], case.ends(some), table[Z0, some], 0.0,
                f"a rapid rises {what} and goes across at once; not every machine does that in a straight line. "
                "Lift first.",
            )  # fmt: skip


def other_zero(case: Case) -> Iterator[Finding]:
    """Places that the text alone does not give: what was taken for them."""
    motions, changes = case.motions, [c for c in case.program.changes if c.code not in ("M3", "M4", "M5", "T")]
    found: dict[str, list[tuple[int, int]]] = {}

    def doubt(change: Change, text: str) -> None:
        found.setdefault(text, []).append((change.line, change.before))

    systems = [change for change in changes if change.code in WORK_SYSTEMS]
    for change, following in zip_longest(systems, systems[1:]):
        if change.code != "G54" and change.before < (following.before if following else len(motions)):
            doubt(change, f"the zero of {change.code} is not known here; judged as if it were that of the board.")
    offset, stored = (0.0, 0.0, 0.0), False
    for change in changes:
        known = case.named[change.before - 1].tolist() if change.before else [False] * 3
        moved = [a != b for a, b in zip(offset, change.offset, strict=True)]
        offset, unheard, stored = change.offset, not stored, stored or change.code.startswith("G92")
        if change.before >= len(motions):
            continue
        if change.code in ("G28", "G30") or (change.code == "G53" and not case.fixture.zero_in_machine):
            doubt(
                change,
                f"{change.code} goes to a place of the machine that is not known here; the way there and back is not "
                "judged, and taken to be above all that stands on the board."
                + (" Give the fixture its zero_in_machine to have it judged." if change.code == "G53" else ""),
            )
        elif change.code == "G92" and any(m and not k for m, k in zip(moved, known, strict=True)):
            doubt(
                change,
                "G92 sets the zero where the cutter happens to stand; judged as if that were the place on the board "
                "that it names.",
            )
        elif change.code == "G92.3" and unheard:
            doubt(
                change,
                "G92.3 takes up an offset from before the program, not known here; judged as if there were none.",
            )
    for text, where in found.items():
        lines, places = np.array([line for line, _ in where]), [case.place_before(motion) for _, motion in where]
        yield folded("other-zero", "doubt", lines, np.array(places), np.zeros(len(lines)), 0.0, text)
