"""Checks of the form of a program: what it never says, what it leaves behind, what it calls and does not use.

All of it is legal (NISTIR 6556) and may be meant; each is what an operator would ask about.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import zip_longest

import numpy as np

from toolpaths.judging.reader.motions import DWELL, Change
from toolpaths.judging.trial.case import STOPS, Case
from toolpaths.judging.trial.findings import NOWHERE, ROUNDING, Finding, folded

# Seconds of G4 with the cutter in the wood, where it burns, and anywhere, where milliseconds were more
# likely meant (common practice, no source).
_BURNS_S = 5.0
_LONGEST_DWELL_S = 300.0


def modes(case: Case) -> Iterator[Finding]:
    """Units and distance mode are whatever the machine was left in, unless the program names them."""
    moving = case.motions.kind != DWELL
    moving[[c.before for c in case.program.changes if c.code in ("G28", "G30", "G53") and c.before < len(moving)]] = (
        False
    )
    if not moving.any() or _unread(case):
        return
    first = int(np.argmax(moving))
    line = int(case.motions.line[first])
    named = dict(case.program.codes)
    for one, other, what in (("G21", "G20", "mm or inches"), ("G90", "G91", "places or distances")):
        if min(named.get(one, line + 1), named.get(other, line + 1)) > line:
            yield Finding(
                "modes", "doubt", line, case.place_before(first + 1), 0.0, 0.0,
                f"the first motion comes before the program says whether its numbers are {what}; put {one} at its "
                f"head, or {other}. Judged as {one}.",
                1, (line,),
            )  # fmt: skip


def state_left(case: Case) -> Iterator[Finding]:
    """What the program leaves switched on. M2 and M30 put most of it back (3.6.1), not on every controller."""
    if _unread(case):
        return
    left, last = case.program.left, len(case.motions)
    end = [event for event in case.program.events if event.code in ("M2", "M30")]
    at_end = tuple(event.line for event in end)
    found = []
    if left.distance == "G91":
        found.append((left.distance_line, "still in incremental mode; put G90 before its end."))
    if left.length_code == "G43":
        found.append((_last(case, "G43"), "with a tool length offset on; put G49 before its end."))
    if any(left.offset):
        found.append((_last(case, "G92"), "with the zero moved by G92; put G92.1 before its end."))
    if end and end[-1].spindle:
        found.append((_last(case, "M3", "M4"), "with the spindle turning; put M5 before its end."))
    for line, text in found:
        lines = tuple(dict.fromkeys((line, *at_end)))
        yield Finding(
            "state-left", "doubt", lines[-1], case.place_before(last), 0.0, 0.0, f"the program ends {text}", 1, lines
        )


def goes_on_incremental(case: Case) -> Iterator[Finding]:
    """After a stop or a change of cutter the first move counts from where the operator left the machine."""
    mode, changes, found = 0, [change for change in case.program.changes if change.code in ("G90", "G91")], []
    for event in case.program.events:
        if event.code not in (*STOPS, "M6") or not 0 < event.before < len(case.motions):
            continue
        while mode < len(changes) and changes[mode].line <= event.line:
            mode += 1
        named_again = mode < len(changes) and changes[mode].before <= event.before
        if mode and changes[mode - 1].code == "G91" and not named_again:
            found.append(event.before)
    if found:
        yield folded(
            "state-left", "doubt", case.motions.line[found], case.motions.start[found], np.zeros(len(found)), 0.0,
            "after a stop or a change of cutter the program goes on in incremental mode, from wherever the cutter "
            "then stands; put G90 and a place first.",
        )  # fmt: skip


def after_end(case: Case) -> Iterator[Finding]:
    """Words that are never run."""
    line = case.program.after_end
    if line:
        text = "the program has ended before this line, so it is never run."
        yield Finding("after-end", "doubt", line, NOWHERE, 0.0, 0.0, text, 1, (line,))


def cuts_nothing(case: Case) -> Iterator[Finding]:
    """Fed with the spindle turning, but nowhere below the top of the board."""
    feeding = case.feeding()
    if _unread(case) or (feeding & (case.low < -ROUNDING)).any():
        return
    turning = ((case.motions.spindle != 0) & (case.motions.spindle_rpm > 0))[case.motion]
    who = np.flatnonzero(feeding & turning)
    if len(who):
        who = who[[np.argmin(case.low[who])]]
        yield folded(
            "cuts-nothing", "doubt", case.line[who], case.ends(who), case.low[who], 0.0,
            "the program never goes below the top of the board; at its lowest it is {amount} mm above.",
        )  # fmt: skip


def never_put_in(case: Case) -> Iterator[Finding]:
    """A T word whose cutter is never put in, in a program that puts others in with M6.

    Calling the next cutter early is sound; so is calling the first one again at the end.
    """
    put_in = [event for event in case.program.events if event.code == "M6"]
    if not put_in:
        return
    calls: list[Change] = []
    for change in case.program.changes:
        if change.code == "T" and not (calls and calls[-1].number == change.number):
            calls.append(change)
    at, found = 0, dict[tuple[int, int], list[Change]]()
    for call, next_call in zip_longest(calls, calls[1:]):
        while at < len(put_in) and put_in[at].line < call.line:
            at += 1
        if at < len(put_in) and (next_call is None or put_in[at].line < next_call.line):
            continue
        fitted = int(case.motions.tool[call.before]) if call.before < len(case.motions) else call.number
        if call.number not in (0, fitted, put_in[0].tool):
            found.setdefault((call.number, fitted), []).append(call)
    for (number, fitted), some in found.items():
        yield folded(
            "never-put-in", "doubt", np.array([call.line for call in some]),
            np.array([case.place_before(call.before) for call in some]), np.full(len(some), float(number)), 0.0,
            f"T{number} is called but never put in; {case.name(fitted)} goes on. Put M6 after it.",
        )  # fmt: skip


def other_length(case: Case) -> Iterator[Finding]:
    """The cutter in the spindle works under the length offset of another one.

    That H and T have the same number is common practice, no source: only H numbers that are those of
    other cutters count.
    """
    changes = [change for change in case.program.changes if change.code in ("G43", "G49")]
    if not changes:
        return
    begins = np.array([change.before for change in changes])
    numbers = np.array([0, *(change.number if change.code == "G43" else 0 for change in changes)])
    length = numbers[np.searchsorted(begins, case.motion, side="right")]
    wrong = (length != 0) & (length != case.tool) & np.isin(length, list(case.cutters)) & (case.low < -ROUNDING)
    for tool in sorted(set(case.tool[wrong].tolist())):
        who = np.flatnonzero(wrong & (case.tool == tool))
        yield folded(
            "other-length", "doubt", case.line[who], case.ends(who), length[who].astype(float), float(tool),
            f"{case.name(tool)} cuts under the length offset H{length[who[0]]}; put G43 H{tool} after its change.",
        )  # fmt: skip


def long_dwell(case: Case) -> Iterator[Finding]:
    """A wait that burns the wood, or so long that its P was more likely in milliseconds."""
    seconds = case.motions.seconds
    long = np.flatnonzero(seconds > _BURNS_S)
    if not len(long):
        return
    turning = (case.motions.spindle != 0) & (case.motions.spindle_rpm > 0)
    low = case.motions.end[long, 2] + case.fixture.zero[2] < -ROUNDING
    in_wood = turning[long] & low
    for who, limit, where in (
        (long[in_wood], _BURNS_S, " with the cutter turning in the wood, which burns it"),
        (long[~in_wood & (seconds[long] > _LONGEST_DWELL_S)], _LONGEST_DWELL_S, ""),
    ):
        if len(who):
            yield folded(
                "long-dwell", "doubt", case.motions.line[who], case.motions.end[who], seconds[who], limit,
                f"waits {{amount}} s{where}; the P of a dwell is in seconds.",
            )  # fmt: skip


def _unread(case: Case) -> bool:
    """Whether some line could not be read, so that something is missing."""
    return any(error.code != "program-end" for error in case.program.errors)


def _last(case: Case, *codes: str) -> int:
    return max((change.line for change in case.program.changes if change.code in codes), default=0)
