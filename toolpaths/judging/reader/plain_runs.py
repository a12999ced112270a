"""Runs of plain lines: a short way to the motions that the interpreter makes of them, to the last bit.

What it cannot do, or what would break a rule, ends the run before that line: the interpreter alone
defines the language.
"""

from __future__ import annotations

from math import atan2, pi
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from toolpaths.base.checks import Floats
from toolpaths.facts.language import PLANE_AXES
from toolpaths.judging.reader.arc_geometry import TOLERANCE_INCH, TOLERANCE_MM, Point3, arc
from toolpaths.judging.reader.motions import ARC, FEED, RAPID, Ints
from toolpaths.judging.reader.plain_lines import Flags, Lines
from toolpaths.judging.reader.tokens import Fault

# mm; an arc whose radii, or whose chord, come nearer than this to a limit is worked out by itself.
_CLOSE = 1e-6
_KINDS = np.array([RAPID, FEED, ARC, ARC], np.int8)


class State(NamedTuple):
    """What plain lines depend on.

    code : the motion mode, 0 to 3; -1 for any other, while no line has an axis word
    position : of the tip, mm
    feed : as written
    scale : mm of the program's unit
    zero : of the coordinates, mm; None if they count from where the cutter stands (G91)
    plane : 17, 18 or 19
    needs_feed : whether a motion at a feed of 0 is a fault
    """

    code: int
    position: Point3
    feed: float
    scale: float
    zero: Point3 | None
    plane: int
    needs_feed: bool


class Moves(NamedTuple):
    """The m motions of `done` plain lines, and the state after them.

    kind, line, sweep : (m,); start, end, centre : (m, 3) mm; feed : (m,) as written; centre and
        sweep are 0.0 if there is no arc
    named : each of 0 to 3 that a line names, with the line of its first use, in that order
    """

    done: int
    kind: NDArray[np.int8]
    start: Floats
    end: Floats
    centre: Floats | float
    sweep: Floats | float
    feed: Floats
    line: Ints
    named: tuple[tuple[int, int], ...]
    after: State


def moves(lines: Lines, first: int, last: int, before: State) -> Moves | None:
    """The motions of the plain lines from index `first` on, up to `last` at most; None if of not even one."""
    part = slice(first, last)
    given = [column if column is None else column[part] for column in (lines.x, lines.y, lines.z)]
    moving = _any_given(given, last - first)
    which = np.flatnonzero(moving)
    codes = _codes_in_force(lines.codes[part], before.code)
    feeds = np.full(last - first, before.feed) if lines.f is None else _numbers_in_force(lines.f[part], before.feed)
    ends = _ends(given, which, before)
    offsets = [column if column is None else column[part] for column in (lines.i, lines.j)]
    arcs = moving & (codes >= 2)
    fault = arcs != _any_given(offsets, last - first)
    if before.needs_feed:
        fault |= moving & (codes >= 1) & (feeds == 0)
    centre: Floats | float = 0.0
    sweep: Floats | float = 0.0
    if arcs.any() and not fault.any():
        curved = np.flatnonzero(arcs[which])
        toward = [None if column is None else column[which[curved]] * before.scale for column in offsets]
        clockwise = codes[which[curved]] == 2
        named = [np.zeros(len(curved), bool) if c is None else ~np.isnan(c[which[curved]]) for c in given]
        found = _arcs(ends[curved], ends[curved + 1], toward, clockwise, named, before)
        if isinstance(found, int):
            fault[which[curved[found]]] = True
        else:
            centre, sweep = np.zeros((len(which), 3)), np.zeros(len(which))
            centre[curved], sweep[curved] = found
    if fault.any():
        last = first + int(fault.argmax())
        return moves(lines, first, last, before) if last > first else None
    uses = ((value, lines.codes[part] == value) for value in range(4))
    firsts = ((value, lines.first + first + int(used.argmax())) for value, used in uses if used.any())
    x, y, z = ends[-1].tolist()
    return Moves(
        done=last - first,
        kind=_KINDS[codes[which]],
        start=ends[:-1],
        end=ends[1:],
        centre=centre,
        sweep=sweep,
        feed=feeds[which],
        line=which + (lines.first + first),
        named=tuple(sorted(firsts, key=lambda use: use[1])),
        after=before._replace(code=int(codes[-1]), position=(x, y, z), feed=float(feeds[-1])),
    )


def _ends(given: list[Floats | None], which: Ints, before: State) -> Floats:
    """(m + 1, 3) where each motion ends, after the place before the first."""
    ends = np.empty((len(which) + 1, 3))
    ends[0] = before.position
    for axis, column in enumerate(given):
        if column is None:
            ends[1:, axis] = before.position[axis]
        elif before.zero is None:
            # -0.0 is what can be added to any number without a change, to 0.0 and to -0.0.
            ends[1:, axis] = np.where(np.isnan(column[which]), -0.0, column[which] * before.scale)
            np.add.accumulate(ends[:, axis], out=ends[:, axis])
        else:
            ends[1:, axis] = _numbers_in_force(column[which] * before.scale + before.zero[axis], before.position[axis])
    return ends


def _arcs(
    start: Floats, end: Floats, toward: list[Floats | None], clockwise: Flags, named: list[Flags], before: State
) -> tuple[Floats, Floats] | int:
    """Centres (n, 3) and sweeps (n,) of n arcs as `gcode.arcs` has them; or the index of the first that is none.

    toward : (n,) offsets I and J in mm, NaN where a line has none
    named : (n,) whether a line names X, Y and Z
    """
    axes = PLANE_AXES[before.plane]
    if before.plane == 17:
        across = np.zeros(len(start)), np.zeros(len(start))
        for to, column in zip(across, toward):
            if column is not None:
                np.copyto(to, column, where=~np.isnan(column))
        chord = end[:, 0] - start[:, 0], end[:, 1] - start[:, 1]
        begin = -across[0], -across[1]
        finish = chord[0] - across[0], chord[1] - across[1]
        radius, end_radius, length = np.hypot(*begin), np.hypot(*finish), np.hypot(*chord)
        full = length == 0
        clear = (radius > _CLOSE) & (end_radius > _CLOSE) & (full | (length > _CLOSE))
        clear &= np.abs(radius - end_radius) < _tolerance(before) - _CLOSE
        clear &= named[0] | named[1]
        crosses = (begin[0] * finish[1] - begin[1] * finish[0]).tolist()
        dots = (begin[0] * finish[0] + begin[1] * finish[1]).tolist()
        # Python's own atan2, since numpy's may differ in the last bit.
        turned = np.array([atan2(cross, dot) for cross, dot in zip(crosses, dots)])
        turned = np.remainder(np.where(clockwise, -turned, turned), 2 * pi)
        turned[full | (turned == 0)] = 2 * pi
        sweep = np.where(clockwise, -turned, turned)
        centre = start.copy()
        centre[:, 0] += across[0]
        centre[:, 1] += across[1]
    else:
        clear, centre, sweep = np.zeros(len(start), bool), np.empty((len(start), 3)), np.empty(len(start))
    for index in np.flatnonzero(~clear).tolist():
        if not (named[axes[0]][index] or named[axes[1]][index]):
            return int(index)
        offsets = {
            letter: float(column[index])
            for letter, column in zip("IJ", toward)
            if column is not None and not np.isnan(column[index])
        }
        x0, y0, z0 = start[index].tolist()
        x1, y1, z1 = end[index].tolist()
        try:
            found = arc(bool(clockwise[index]), axes, (x0, y0, z0), (x1, y1, z1), offsets, None, _tolerance(before))
        except Fault:
            return int(index)
        centre[index], sweep[index] = found
    return centre, sweep


def _tolerance(before: State) -> float:
    return TOLERANCE_MM if before.scale == 1.0 else TOLERANCE_INCH


def _any_given(columns: list[Floats | None], length: int) -> Flags:
    given = np.zeros(length, bool)
    for column in columns:
        if column is not None:
            given |= ~np.isnan(column)
    return given


def _numbers_in_force(values: Floats, before: float) -> Floats:
    """Each NaN becomes the last number before it, at the beginning `before`."""
    given = ~np.isnan(values)
    if given.all():
        return values
    latest = np.maximum.accumulate(np.where(given, np.arange(len(values)), -1))
    return np.where(latest < 0, before, values[latest])


def _codes_in_force(codes: NDArray[np.int8], before: int) -> NDArray[np.int8]:
    """Each -1 becomes the last code before it, at the beginning `before`."""
    given = codes >= 0
    if given.all():
        return codes
    latest = np.maximum.accumulate(np.where(given, np.arange(len(codes)), -1))
    return np.where(latest < 0, np.int8(before), codes[latest])
