"""The checks of modes: what a program never says, and what it leaves switched on.

All of it is legal (NISTIR 6556) and may be meant; each is what an operator would ask about.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from toolpaths.judging.reader.motions import DWELL
from toolpaths.judging.trial.case import Case
from toolpaths.judging.trial.cutter_in_spindle import STOPS
from toolpaths.judging.trial.findings import Finding, folded


def modes(case: Case) -> Iterator[Finding]:
    """Units and distance mode are whatever the machine was left in, unless the program names them."""
    moving = case.moves.kind != DWELL
    moving[[c.before for c in case.changes if c.code in ("G28", "G30", "G53") and c.before < len(moving)]] = False
    if not moving.any() or case.program.incomplete:
        return
    first = int(np.argmax(moving))
    line = int(case.moves.line[first])
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
    if case.program.incomplete:
        return
    left, last = case.program.left, len(case.moves)
    end = [event for event in case.events if event.code in ("M2", "M30")]
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
    mode, changes, found = 0, [change for change in case.changes if change.code in ("G90", "G91")], []
    for event in case.events:
        if event.code not in (*STOPS, "M6") or not 0 < event.before < len(case.moves):
            continue
        while mode < len(changes) and changes[mode].line <= event.line:
            mode += 1
        named_again = mode < len(changes) and changes[mode].before <= event.before
        if mode and changes[mode - 1].code == "G91" and not named_again:
            found.append(event.before)
    if found:
        yield folded(
            "state-left", "doubt", case.moves.line[found], case.places_before(found),
            np.zeros(len(found)), 0.0,
            "after a stop or a change of cutter the program goes on in incremental mode, from wherever the cutter "
            "then stands; put G90 and a place first.",
        )  # fmt: skip


def _last(case: Case, *codes: str) -> int:
    return max((change.line for change in case.changes if change.code in codes), default=0)
