"""Which places of a program are known, and what is taken for those that no text gives.

A program does not say where the cutter is when it starts, where the machine has its home or its zero, nor
where it stood when a G92 called that place by a name. What is done in this file is to keep such places from
being judged as if they were known; the check `other_zero` says which those were.
"""

from __future__ import annotations

from dataclasses import replace
from itertools import zip_longest
from typing import NamedTuple

import numpy as np

from toolpaths.base.checks import Floats
from toolpaths.facts.fixture import Fixture
from toolpaths.judging.reader.motions import ARC, Change, Motions, Program
from toolpaths.judging.wood.sweep import Flags, Ints

# mm; added to where the cutter is taken to be before the program, so that any coordinate a program
# names shows as motion, even 0. No program names a place to a ten-millionth.
_ODD = 0.1234567
# Machine coordinates of the zero where they are not given: odd, so that every word of a G53 shows as motion.
UNKNOWN_ZERO = (987.6543217, 876.5432179, 765.4321793)


def waiting_place(fixture: Fixture) -> tuple[float, float, float]:
    """Where the cutter is taken to be before the program starts, which no text says: over the zero,
    at the safe height, in work coordinates."""
    return _ODD, _ODD, fixture.safe_z - fixture.zero[2] + _ODD


class Places(NamedTuple):
    """Motions with all places as they are judged, and what is known of x, y, z at the end of each; (m, 3).

    named : named by the program
    away : named once, but since left to a place that only the machine knows
    fresh : named here, after it was not known
    """

    motions: Motions
    named: Flags
    away: Flags
    fresh: Flags


def settled(program: Program, fixture: Fixture) -> Places:
    """Motions in which a coordinate counts from where the program first names it.

    A first G0 X50 comes from an unknown place: it is taken to begin where it ends. So does the first
    after a move to a place that only the machine knows, which is taken to be above all that stands on
    the board. A place that a G92 calls by a name, when none was known, is taken to be the one so named.
    """
    motions = program.motions
    changed, lost = motions.end != motions.start, _lost(program, fixture)
    # What differs from where the cutter waits was named, if not by a motion, then while its place was not known.
    resumed = list(program.resumed)
    changed[resumed] |= motions.end[resumed] != waiting_place(fixture)
    calls = [change for change in program.changes if change.code.startswith("G92") and change.before < len(motions)]
    if lost is None and not calls:
        return _named_for_good(motions, changed)
    lost = np.zeros_like(changed) if lost is None else lost
    by_call, excess = _named_by_g92(calls, np.logical_or.accumulate(changed, axis=0))
    last_named, last_lost = _latest((changed & ~lost) | by_call), _latest(lost)
    named, away = last_named > last_lost, last_lost > last_named
    fresh = named & ~_before(named) & ~by_call
    # What is never named stays where the cutter is taken to wait, in round numbers.
    shift = np.where(np.logical_or.accumulate(named, axis=0), excess, _ODD)
    start, end, centre = motions.start - shift, motions.end - shift, motions.centre - shift
    # Held where it was last known, Z at the safe height at least.
    since = _latest(away & ~_before(away))
    held = np.take_along_axis(start, np.maximum(since, 0), axis=0)
    held[:, 2] = np.maximum(held[:, 2], fixture.safe_z - fixture.zero[2])
    end = np.where(away, held, end)
    start[1:] = np.where(away[:-1], end[:-1], start[1:])
    from_nowhere = fresh & (motions.kind != ARC)[:, None]
    return Places(
        replace(motions, start=np.where(from_nowhere, end, start), end=end, centre=centre), named, away, fresh
    )


def _named_for_good(motions: Motions, changed: Flags) -> Places:
    """As `settled`, where nothing is lost again: all depends on the first motion along each axis."""
    named, fresh = np.zeros_like(changed), np.zeros_like(changed)
    first = [int(column.argmax()) if column.any() else len(changed) for column in changed.T]
    for axis, begin in enumerate(first):
        named[begin:, axis] = True
        fresh[begin : begin + 1, axis] = True
    if len(changed) == 0 or not any(first):
        return Places(motions, named, np.zeros_like(named), fresh)
    start, end, centre = motions.start.copy(), motions.end.copy(), motions.centre
    columns = [start, end]
    if (motions.kind[: max(first)] == ARC).any():
        centre = centre.copy()
        columns.append(centre)
    for axis, begin in enumerate(first):
        for column in columns:
            column[:begin, axis] -= _ODD
        if begin < len(changed) and motions.kind[begin] != ARC:
            start[begin, axis] = end[begin, axis]
    return Places(replace(motions, start=start, end=end, centre=centre), named, np.zeros_like(named), fresh)


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


def _named_by_g92(calls: list[Change], named: Flags) -> tuple[Flags, Floats]:
    """For each motion, the coordinates to which a G92 before it gave a name when they had none; and how far
    the offset then in force puts them off what was so named. Both (m, 3)."""
    by_call, excess = np.zeros_like(named), np.zeros(named.shape)
    before, own, has_name = (0.0, 0.0, 0.0), np.zeros(3), np.zeros(3, bool)
    for call, following in zip_longest(calls, calls[1:]):
        known = has_name | named[call.before - 1] if call.before else has_name
        moved = np.array(call.offset) != before
        if call.code == "G92":
            names = moved & ~known
            by_call[call.before] |= names
            has_name, own = has_name | names, np.where(names, call.offset, own)
        elif call.code != "G92.3":
            own = np.zeros(3)
        before = call.offset
        excess[call.before : following.before if following else None] = own
    return by_call, excess


def _before(flags: Flags) -> Flags:
    """Each row as it was one motion earlier."""
    return np.vstack([np.zeros((1, 3), bool), flags[:-1]])


def _latest(flags: Flags) -> Ints:
    """Of each column, the index of the latest that is set up to each row; -1 if there is none."""
    rows = np.arange(len(flags))[:, None]
    return np.maximum.accumulate(np.where(flags, rows, -1), axis=0)
