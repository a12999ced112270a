"""The checks of cutters: one that is not known, one called and never put in, one under the length of another."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import zip_longest

import numpy as np

from toolpaths.judging.reader.motions import Change
from toolpaths.judging.trial.case import Case, distinct
from toolpaths.judging.trial.cutter_in_spindle import STOPS
from toolpaths.judging.trial.findings import NOWHERE, ROUNDING, Finding, folded


def unknown_tool(case: Case) -> Iterator[Finding]:
    """A cutter that is not among those given: what it does to the wood is not known."""
    moves = case.moves
    below = moves.low < -ROUNDING
    # T0 M6 empties the spindle.
    called = {event.tool: event.line for event in reversed(case.events) if event.code == "M6" and event.tool}
    calls = {change.number: change.line for change in reversed(case.changes) if change.code == "T"}
    for tool in sorted({*distinct(moves.tool[below]), *called} - case.cutters.keys()):
        who = np.flatnonzero(below & (moves.tool == tool))
        known = ", ".join(f"T{number}" for number in case.cutters)
        if tool:
            line, place = called.get(tool) or calls[tool], NOWHERE
            text = f"T{tool} is put in, but the cutters given are {known}; what it cuts is not judged."
        else:
            line = int(moves.line[who[0]])
            x, y, z = case.ends(who[:1])[0].tolist()
            place = x, y, z
            text = f"a move below the top of the board with no cutter called; the cutters given are {known}."
        lines = tuple(dict.fromkeys([line, *moves.line[who].tolist()]))
        yield Finding("unknown-tool", "danger", line, place, float(tool), 0.0, text, max(len(who), 1), lines)


def never_put_in(case: Case) -> Iterator[Finding]:
    """A T word amid the work whose cutter is never put in, by M6, or by hand at a stop in a program without M6.

    Calling the next cutter early is sound; so is calling the first one again at the end.
    """
    if not len(case.moves):
        return
    put_in = [event for event in case.events if event.code == "M6"]
    begin = 0 if put_in else int(np.argmax(case.moves.feeding()))
    first = put_in[0].tool if put_in else int(case.moves.tool[begin])
    put_in = put_in or [event for event in case.events if event.code in STOPS]
    calls: list[Change] = []
    for change in case.changes:
        if change.code == "T" and change.before >= begin and not (calls and calls[-1].number == change.number):
            calls.append(change)
    at, found = 0, dict[tuple[int, int], list[Change]]()
    for call, next_call in zip_longest(calls, calls[1:]):
        while at < len(put_in) and put_in[at].line < call.line:
            at += 1
        if at < len(put_in) and (next_call is None or put_in[at].line < next_call.line):
            continue
        fitted = int(case.moves.tool[call.before]) if call.before < len(case.moves) else call.number
        if call.number not in (0, fitted, first):
            found.setdefault((call.number, fitted), []).append(call)
    for (number, fitted), some in found.items():
        yield folded(
            "never-put-in", "doubt", np.array([call.line for call in some]),
            case.places_before([call.before for call in some]), np.full(len(some), float(number)), 0.0,
            f"T{number} is called but never put in; {case.name(fitted)} goes on. Put M6 after it, or a stop "
            "to change it by hand.",
        )  # fmt: skip


def other_length(case: Case) -> Iterator[Finding]:
    """The cutter in the spindle works under the length offset of another one.

    That H and T have the same number is common practice, no source: only H numbers that are those of
    other cutters count.
    """
    moves = case.moves
    changes = [change for change in case.changes if change.code in ("G43", "G49")]
    if not changes:
        return
    begins = np.array([change.before for change in changes])
    numbers = np.array([0, *(change.number if change.code == "G43" else 0 for change in changes)])
    length = numbers[np.searchsorted(begins, np.arange(len(case.moves)), side="right")]
    wrong = (length != 0) & (length != moves.tool) & np.isin(length, list(case.cutters)) & (moves.low < -ROUNDING)
    for tool, who in case.by_cutter(np.flatnonzero(wrong)):
        yield folded(
            "other-length", "doubt", moves.line[who], case.ends(who), length[who].astype(float), float(tool),
            f"{case.name(tool)} cuts under the length offset H{length[who[0]]}; put G43 H{tool} after its change.",
        )  # fmt: skip
