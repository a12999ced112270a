"""How fast the machine really goes, and so how long it takes: look-ahead over columns of moves.

A controller speeds up and slows down no faster than its axes allow, takes a corner only as fast as it can round it
within `Machine.corner_rounding`, and a curve only as fast as its acceleration can turn it. Within these it goes as
fast as it is asked to, and looks ahead far enough to be slow in time; here, over all moves. The squares of the speeds
at the joints are the greatest that change by no more than 2 a d over each move: a running minimum from the end, and
one from the start, and exact.

Units: mm, mm/s, mm/s2, s. Uniform and centripetal acceleration, as in any textbook of mechanics.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from toolpaths.base.checks import Floats
from toolpaths.facts.machine import Machine

# 1 - cos(half the turn) below which a move goes straight on: 3e-6 rad, more than rounding makes of a straight line.
_STRAIGHT = 1e-12
_ROUNDING = 1e-15
# mm; a shorter move is rounding, and goes nowhere.
_SHORTEST = 1e-9
# The busiest axis of a straight move goes at least 1 / sqrt(3) of its speed; less only where it has no length.
_LEAST_SHARE = 0.5
# Moves at a time: so few numbers stay near the processor, which is several times as fast for long programs.
_PORTION = 16_384


class Pace(NamedTuple):
    """(n,) each: seconds that a move takes; the highest speed in it, mm/s, or the speed that it passes on where it
    does not go; and mm of its way in space."""

    seconds: Floats
    peak: Floats
    length: Floats


class _Geometry(NamedTuple):
    """length (n,) mm; leaving, arriving (3, n) directions at both ends, of length 1; share (n,) of the speed that the
    busiest axis goes; arcs (k,) which ones bend; radius (k,) mm of the bend."""

    length: Floats
    leaving: Floats
    arriving: Floats
    share: Floats
    arcs: NDArray[np.intp]
    radius: Floats


def pace(
    start: Floats,
    end: Floats,
    centre: Floats,
    sweep: Floats,
    speed: Floats,
    halts: NDArray[np.intp],
    machine: Machine,
) -> Pace:
    """How n moves are made one after the other, from rest to rest: lines, and arcs and helices about an axis along Z.

    start, end : (3, n) mm
    centre : (2, n) mm, of an arc
    sweep : (n,) radians, positive anticlockwise, 0 for a line
    speed : (n,) mm/s asked for; infinite for a rapid. No axis goes faster than `machine.rapid_mm_min`, nor speeds up
        faster than `machine.acceleration_mm_s2`: a line askew may do more of either, an arc may not
    halts : numbers of moves before which all comes to rest, in any order

    A move of no length, or at no speed, takes no time and counts as not there.
    """
    fastest, acceleration = machine.rapid_mm_min / 60, machine.acceleration_mm_s2
    length, top, rate = np.empty((3, len(speed)))
    joints = np.full(len(speed) + 1, np.inf)
    before = np.zeros((3, 1))
    for here in _portions(len(speed)):
        shape = _geometry(start[:, here], end[:, here], centre[:, here], sweep[here])
        length[here] = np.where(shape.length > _SHORTEST, shape.length, 0.0)
        rate[here] = acceleration / shape.share
        top[here] = np.minimum(speed[here], fastest / shape.share)
        top[here][shape.arcs] = np.minimum(top[here][shape.arcs], np.sqrt(acceleration * shape.radius))
        goes = (length[here] > 0) & (speed[here] > 0)
        leaving, arriving = shape.leaving, shape.arriving
        if not goes.all():
            # What does not go passes on the speed that it meets, whatever that is.
            top[here][~goes] = fastest / _LEAST_SHARE
            leaving, arriving = leaving[:, goes], arriving[:, goes]
        arrived = np.concatenate([before, arriving], axis=1)
        cosine = (arrived[:, :-1] * leaving).sum(axis=0)
        joints[here][goes] = corner_speed(cosine, acceleration, machine.corner_rounding)
        before = arrived[:, -1:]
    joints[0] = joints[-1] = 0.0
    joints[halts] = 0.0
    going = length if (speed > 0).all() else np.where(speed > 0, length, 0.0)
    return Pace(*planned(going, top, rate, joints), length)


def corner_speed(cosine: Floats, acceleration: float, rounding: float) -> Floats:
    """(n,) mm/s at which a corner can be taken; infinite straight on, 0 straight back.

    cosine : (n,) of the angle by which the way turns

    A round that comes within `rounding` mm of the vertex has R = rounding cos(phi/2) / (1 - cos(phi/2)), and is taken
    at sqrt(a R). Each corner is looked at alone, as if the moves at it were long enough for the round: a curve written
    as short lines is judged by its corners.
    """
    # Less the rounding of the cosine, so that straight back is a stop and not nearly one.
    half = np.sqrt(np.maximum(0.5 * cosine + (0.5 - _ROUNDING), 0.0))
    gap = 1.0 - half
    straight = gap < _STRAIGHT
    speed = np.sqrt(acceleration * rounding * half / np.where(straight, 1.0, gap))
    return np.where(straight, np.inf, speed)


def planned(length: Floats, speed: Floats, acceleration: Floats, joints: Floats) -> tuple[Floats, Floats]:
    """Seconds and peak speed of each of n moves, (n,) each; of one without length, the speed that it passes on.

    length, speed, acceleration : (n,) how far, at most how fast, and how fast speed may change; the latter
        two finite and above 0
    joints : (n + 1,) at most how fast at the start, between any two moves, and at the end; one of them finite at least
    """
    square = joints * joints
    portions = [(here, _change(length[here], speed[here], acceleration[here])) for here in _portions(len(length))]
    for here, change in reversed(portions):
        limit, top = square[here.start : here.stop + 1], speed[here]
        np.minimum(limit[:-1], top * top, out=limit[:-1])
        np.minimum(limit[1:], top * top, out=limit[1:])
        ahead = np.minimum.accumulate((limit + change)[::-1])[::-1] - change
        np.minimum(limit, ahead, out=limit)
    seconds, peak = np.empty((2, len(length)))
    for here, change in portions:
        limit, top = square[here.start : here.stop + 1], speed[here]
        behind = np.minimum.accumulate(limit - change) + change
        np.minimum(limit, behind, out=limit)
        rate, ends, root = acceleration[here], 0.5 * (limit[:-1] + limit[1:]), np.sqrt(limit)
        highest = np.minimum(top * top, rate * length[here] + ends)
        peak[here] = most = np.sqrt(highest)
        level = np.maximum(length[here] - (highest - ends) / rate, 0.0)
        ramps = np.maximum(2 * most - root[:-1] - root[1:], 0.0) / rate
        seconds[here] = ramps + level / np.maximum(most, np.finfo(float).tiny)
    return seconds, peak


def _change(length: Floats, speed: Floats, acceleration: Floats) -> Floats:
    """(k + 1,) by how much the square of the speed may change from the first joint of k moves up to each."""
    # More than all of it is never needed: that keeps the sum small, and exact, where a move is kilometres long.
    return np.concatenate([[0.0], np.cumsum(np.minimum(2 * acceleration * length, speed.max() ** 2))])


def _portions(count: int) -> Iterator[slice]:
    return (slice(begin, min(begin + _PORTION, count)) for begin in range(0, count, _PORTION))


def _geometry(start: Floats, end: Floats, centre: Floats, sweep: Floats) -> _Geometry:
    leaving = end - start
    length = _size(leaving)
    leaving /= np.where(length > 0, length, 1.0)
    share = np.maximum(np.abs(leaving).max(axis=0), _LEAST_SHARE)
    arcs = np.flatnonzero(sweep)
    if not len(arcs):
        return _Geometry(length, leaving, leaving, share, arcs, np.zeros(0))
    turn, hub, rise = sweep[arcs], centre.take(arcs, axis=1), end[2, arcs] - start[2, arcs]
    out, back = start[:2].take(arcs, axis=1) - hub, end[:2].take(arcs, axis=1) - hub
    radius = _size(out)
    flat = np.abs(turn) * radius
    length[arcs] = whole = np.sqrt(flat * flat + rise * rise)
    safe = np.where(whole > 0, whole, 1.0)
    arriving = leaving.copy()
    for direction, spoke in ((leaving, out), (arriving, back)):
        level = np.copysign(flat / safe / np.maximum(_size(spoke), np.finfo(float).tiny), turn)
        for axis, part in enumerate((-spoke[1] * level, spoke[0] * level, rise / safe)):
            direction[axis, arcs] = part
    # Somewhere on its way an arc may run along an axis.
    share[arcs] = 1.0
    # A helix bends less than the circle that it is from above.
    bend = np.where(flat > 0, radius * np.square(whole / np.where(flat > 0, flat, 1.0)), np.inf)
    return _Geometry(length, leaving, arriving, share, arcs, bend)


def _size(vectors: Floats) -> Floats:
    return np.asarray(np.sqrt((vectors * vectors).sum(axis=0)))
