"""Checks of what the machine can do: speeds of spindle and axes, the way up to speed, the controller's codes."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

import numpy as np

from toolpaths.base.checks import Floats
from toolpaths.facts.pace import pace
from toolpaths.judging.reader.motions import DWELL, RAPID
from toolpaths.judging.trial.case import STOPS, Case, distinct
from toolpaths.judging.trial.findings import NOWHERE, ROUNDING, Finding, folded
from toolpaths.judging.wood.moves import CX, RADIUS, START, SWEEP, X0, X1, Y0, Y1, Z0, Z1
from toolpaths.judging.wood.paths import lengths
from toolpaths.judging.wood.sweep import Flags, Ints, spread

_QUARTER = np.pi / 2
# s and mm/min; what rounding can shift.
_HAIR = 1e-6


def unknown_code(case: Case) -> Iterator[Finding]:
    """A word that the controller lacks: it stops there, or skips it without a word."""
    machine = case.fixture.machine
    for code, line in case.program.codes:
        if code not in machine.codes:
            text = f"the controller of the {machine.name} does not understand {code}."
            yield Finding("unknown-code", "damage", line, NOWHERE, 0.0, 0.0, text, 1, (line,))


def spindle_speed(case: Case) -> Iterator[Finding]:
    """A cut at a speed for which the spindle is not made."""
    slowest, fastest = case.fixture.machine.spindle_rpm
    rpm = case.motions.spindle_rpm
    if not len(rpm) or (rpm.max() <= fastest and rpm.min() >= slowest):
        return
    turning = (case.motions.spindle != 0) & (rpm > 0)
    odd = (turning & ((rpm < slowest) | (rpm > fastest)))[case.motion]
    cutting = odd & (case.low < -ROUNDING) & ~case.leaving & case.feeding()
    for tool in distinct(case.tool[cutting]):
        for limit, beyond in ((slowest, rpm < slowest), (fastest, rpm > fastest)):
            who = np.flatnonzero(cutting & (case.tool == tool) & beyond[case.motion])
            if len(who):
                speeds = rpm[case.motion[who]]
                worst = float(speeds[np.argmax(np.abs(speeds - limit))])
                yield folded(
                    "spindle-speed", "damage", case.line[who], case.ends(who), speeds, limit,
                    f"{case.name(tool)} cuts at S{worst:g}; the spindle of the {case.fixture.machine.name} turns at "
                    f"{slowest:g} to {fastest:g} rpm.",
                )  # fmt: skip


def fast_feed(case: Case) -> Iterator[Finding]:
    """A feed faster than an axis goes at rapid: it is not reached, and the chips are not those meant."""
    fastest = case.fixture.machine.rapid_mm_min
    fed = case.feeding()
    who = np.flatnonzero(fed & (case.motions.feed_mm_min > fastest + _HAIR)[case.motion])
    if not len(who):
        return
    speed = case.motions.feed_mm_min[case.motion[who]] * _axis_share(case.table[:, who])
    over = speed > fastest + _HAIR * fastest
    if over.any():
        who, speed = who[over], speed[over]
        yield folded(
            "fast-feed", "doubt", case.line[who], case.ends(who), speed, fastest,
            f"the feed asks an axis for {speed.max():.0f} mm/min; the {case.fixture.machine.name} does {fastest:g} at "
            "most.",
        )  # fmt: skip


def _axis_share(table: Floats) -> Floats:
    """Part of the speed along each move that its fastest axis has to go, at most 1."""
    length = lengths(table)
    along = np.abs(table[[X1, Y1, Z1]] - table[[X0, Y0, Z0]])
    # In an arc the fastest moment is where it runs along an axis, or else one of its ends.
    first, last = np.sort([table[START], table[START] + table[SWEEP]], axis=0) / _QUARTER
    ends = np.stack(
        [np.cos(first * _QUARTER), np.sin(first * _QUARTER), np.cos(last * _QUARTER), np.sin(last * _QUARTER)]
    )
    steepest = np.where(np.floor(last) >= np.ceil(first), 1.0, np.abs(ends).max(axis=0))
    around = np.abs(table[SWEEP]) * table[RADIUS]
    most = np.where(table[SWEEP] != 0, np.maximum(around * steepest, along[2]), along.max(axis=0))
    return np.asarray(np.divide(most, length, out=np.zeros_like(length), where=length > 0))


class Starts(NamedTuple):
    """The starts of the spindle after which it meets the wood, (s,) each: in move `meets`.

    seconds : from the start until then, each move from rest to rest
    dwell : of that by G4
    known : whether the way in between is known
    """

    meets: Ints
    seconds: Floats
    dwell: Floats
    known: Flags


def spin_up(case: Case) -> Iterator[Finding]:
    """The cutter meets the wood before the spindle can have come to its speed.

    Where most starts of a program are given a G4, one that is not is measured by the shortest of those.
    """
    own = case.fixture.machine.spin_up_s
    meets, seconds, dwell, known = starts(case)
    given = dwell > 0
    usual = float(dwell[given].min()) if max(2, (~given).sum() + 1) <= given.sum() else 0.0
    for asked, limit, why in (
        (np.ones(len(meets), bool), own, f"the {case.fixture.machine.name} takes {own:g} s to its speed"),
        (~given & (seconds >= own - _HAIR), usual, f"the other starts of this program wait {usual:g} s or more"),
    ):
        early = known & asked & (seconds < limit - _HAIR)
        for tool in distinct(case.tool[meets[early]]):
            who = early & (case.tool[meets] == tool)
            yield folded(
                "spin-up", "doubt", case.line[meets[who]], case.ends(meets[who]), seconds[who], limit,
                f"{case.name(tool)} meets the wood {{amount}} s after the spindle starts; {why}. Put a G4 after "
                "the M3.",
            )  # fmt: skip


def starts(case: Case) -> Starts:
    """Every start of the spindle after which it meets the wood."""
    motions = case.motions
    turning = (motions.spindle != 0) & (motions.spindle_rpm > 0)
    begins = turning & ~np.concatenate([[False], turning[:-1]])
    for event in case.program.events:
        # Stopped for the operator or for a change, and started again before the next motion.
        if event.code in (*STOPS, "M6") and not event.spindle and event.before < len(turning):
            begins[event.before] = turning[event.before]
    first = np.searchsorted(case.motion, np.flatnonzero(begins))
    meeting = np.flatnonzero((case.low < -ROUNDING) & ~case.leaving & turning[case.motion] & (case.kind != DWELL))
    # The first meeting after each start, if it comes before the next start.
    meeting = np.append(meeting, len(case.low))
    meets = meeting[np.searchsorted(meeting[:-1], first)]
    some = meets < np.append(first[1:], len(case.low))
    first, meets = first[some], meets[some]
    start, nth = spread(meets - first + 1)
    which = first[start] + nth
    seconds = _seconds(case, which)
    # Of the last move only what comes before it is level with the board's top.
    top, fall = case.table[Z0, meets], case.table[Z0, meets] - case.table[Z1, meets]
    last = np.cumsum(meets - first + 1) - 1
    seconds[last] *= np.clip(np.divide(top, fall, out=np.zeros_like(top), where=fall > 0), 0.0, 1.0)
    motion = case.motion[which]
    dwell, way, unknown = (
        np.asarray(np.bincount(start, weights, len(first)), np.float64)
        for weights in (motions.seconds[motion], seconds, case.fresh[motion].any(axis=1))
    )
    return Starts(meets, way + dwell, dwell, unknown == 0)


def _seconds(case: Case, which: Ints) -> Floats:
    """Time of these moves, each from rest to rest."""
    table, feed = case.table[:, which], case.motions.feed_mm_min[case.motion[which]]
    speed = np.where(case.kind[which] == RAPID, np.inf, feed / 60)
    start, end, centre = table[X0 : X0 + 3], table[X1 : X1 + 3], table[CX : CX + 2]
    return pace(start, end, centre, table[SWEEP], speed, np.arange(len(which)), case.fixture.machine).seconds


def stop_turning(case: Case) -> Iterator[Finding]:
    """The program stops for the operator, whose hands come near, with the spindle turning."""
    for code in STOPS:
        stops = [event for event in case.program.events if event.code == code and event.spindle]
        if stops:
            lines = np.array([event.line for event in stops])
            places = np.array([case.place_before(event.before) for event in stops])
            may = "may stop" if code == "M1" else "stops"
            yield folded(
                "stop-turning", "danger", lines, places, np.zeros(len(lines)), 0.0,
                f"the program {may} for the operator with the spindle turning; put M5 before {code}.",
            )  # fmt: skip


def stops_low(case: Case) -> Iterator[Finding]:
    """The spindle is switched off while the cutter still stands in the wood.

    An M5 on the line of the lift acts before it, but the spindle runs on for as long as that takes.
    """
    motions, found = case.motions, []
    for change in case.program.changes:
        at = change.before
        if change.code != "M5" or not 0 < at < len(motions) or motions.spindle[at]:
            continue
        place = case.place_before(at)
        was_turning = motions.spindle[at - 1] and motions.spindle_rpm[at - 1] > 0
        lifts = motions.line[at] == change.line and motions.end[at, 2] > place[2]
        if place[2] + case.fixture.zero[2] < -ROUNDING and was_turning and not lifts:
            found.append((change.line, place))
    if found:
        places = np.array([place for _, place in found])
        yield folded(
            "stops-low", "doubt", np.array([line for line, _ in found]), places,
            -places[:, 2] - case.fixture.zero[2], 0.0,
            "the spindle stops while the cutter stands {amount} mm below the top of the board; lift it first.",
        )  # fmt: skip
