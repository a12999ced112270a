"""The checks of the spindle: off or the wrong way round in the wood, at a speed it has not, turning at a stop."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from toolpaths.judging.reader.motions import RAPID
from toolpaths.judging.trial.case import Case
from toolpaths.judging.trial.cutter_in_spindle import STOPS
from toolpaths.judging.trial.findings import ROUNDING, Finding, folded
from toolpaths.judging.wood.moves import Z0, Z1
from toolpaths.judging.wood.sweep import Flags

_START, _SPEED = "Put M3 and its S before.", "S is missing, or 0: put the speed beside the M3."


def spindle_off(case: Case) -> Iterator[Finding]:
    """A cut at feed with the spindle stopped, or turning the wrong way; or a rapid down with it stopped, where the
    cutter would have to start between walls. (Rapids through wood are a finding of their own.)"""
    moves = case.moves
    spindle = moves.spindle
    cutting = moves.below(-ROUNDING) & moves.feeding()
    no_speed = (spindle == 0) & _started(case)
    for which, how in (
        ((spindle == 0) & ~no_speed, f"stopped. {_START}"),
        (no_speed, f"started but at no speed. {_SPEED}"),
        (spindle == -1, f"turning anticlockwise. {_START}"),
    ):
        for tool, who in case.by_cutter(np.flatnonzero(cutting & which)):
            yield folded(
                "spindle-off", "danger", moves.line[who], case.ends(who), -moves.low[who], 0.0,
                f"{case.name(tool)} is fed {{amount}} mm below the top of the board with the spindle {how}",
            )  # fmt: skip
    lowered = (moves.kind == RAPID) & (spindle == 0) & (moves.path[Z1] < np.minimum(moves.path[Z0], 0.0) - ROUNDING)
    fed = set(moves.tool[cutting & (spindle == 0)].tolist())
    for tool, who in case.by_cutter(np.flatnonzero(lowered & ~np.isin(moves.tool, list(fed)))):
        yield folded(
            "spindle-off", "doubt", moves.line[who], case.ends(who), -moves.low[who], 0.0,
            f"{case.name(tool)} goes down to {{amount}} mm below the top of the board before the spindle turns. "
                + (_SPEED if no_speed[who].all() else _START),
        )  # fmt: skip


def _started(case: Case) -> Flags:
    """(n,) whether M3 or M4 is in force for each move, at whatever speed."""
    return np.asarray(case.program.motions.spindle[case.moves.motion] != 0)


def spindle_speed(case: Case) -> Iterator[Finding]:
    """A cut at a speed for which the spindle is not made."""
    moves = case.moves
    slowest, fastest = case.fixture.machine.spindle_rpm
    rpm = moves.rpm
    if not len(rpm) or (rpm.max() <= fastest and rpm.min() >= slowest):
        return
    odd = (moves.spindle != 0) & ((rpm < slowest) | (rpm > fastest))
    cutting = odd & moves.below(-ROUNDING) & moves.feeding()
    for tool, mine in case.by_cutter(np.flatnonzero(cutting)):
        for limit, beyond in ((slowest, rpm < slowest), (fastest, rpm > fastest)):
            who = mine[beyond[mine]]
            if len(who):
                speeds = rpm[who]
                worst = float(speeds[np.argmax(np.abs(speeds - limit))])
                yield folded(
                    "spindle-speed", "damage", moves.line[who], case.ends(who), speeds, limit,
                    f"{case.name(tool)} cuts at S{worst:g}; the spindle of the {case.fixture.machine.name} turns at "
                    f"{slowest:g} to {fastest:g} rpm. Take a speed within that, or enter your own machine.",
                )  # fmt: skip


def stop_turning(case: Case) -> Iterator[Finding]:
    """The program stops for the operator, whose hands come near, with the spindle turning."""
    for code in STOPS:
        stops = [event for event in case.events if event.code == code and event.spindle]
        if stops:
            lines = np.array([event.line for event in stops])
            places = case.places_before([event.before for event in stops])
            may = "may stop" if code == "M1" else "stops"
            yield folded(
                "stop-turning", "danger", lines, places, np.zeros(len(lines)), 0.0,
                f"the program {may} for the operator with the spindle turning; put M5 before {code}.",
            )  # fmt: skip


def stops_low(case: Case) -> Iterator[Finding]:
    """The spindle is switched off while the cutter still stands in the wood.

    An M5 on the line of the lift acts before it, but the spindle runs on for as long as that takes.
    """
    moves, found = case.moves, []
    for change in case.changes:
        at = change.before
        if change.code != "M5" or not 0 < at < len(moves) or moves.spindle[at]:
            continue
        place = case.place_before(at)
        lifts = moves.line[at] == change.line and moves.path[Z1, at] > moves.path[Z0, at]
        if place[2] + case.fixture.zero[2] < -ROUNDING and moves.spindle[at - 1] and not lifts:
            found.append((change.line, place))
    if found:
        places = np.array([place for _, place in found])
        yield folded(
            "stops-low", "doubt", np.array([line for line, _ in found]), places,
            -places[:, 2] - case.fixture.zero[2], 0.0,
            "the spindle stops while the cutter stands {amount} mm below the top of the board; lift it first.",
        )  # fmt: skip
