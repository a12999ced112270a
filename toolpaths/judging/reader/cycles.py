"""Canned drilling cycles G81, G82 and G83, spelled out as motions (NISTIR 6556, 3.5.16)."""

from __future__ import annotations

from collections.abc import Iterator
from math import ceil

from toolpaths.judging.reader.arc_geometry import Point3
from toolpaths.judging.reader.motions import DWELL, FEED, RAPID
from toolpaths.judging.reader.tokens import Fault

# Of one program, all its cycles together: L and Q could ask for more than memory holds.
MOST_MOTIONS = 1_000_000
# Where a peck of G83 turns from traverse to feed, above the depth reached before: 0.010 in, per
# NIST's interpreter.
_SHORT_OF_DEPTH = 0.254
# A last peck of less than this part of Q is rounding, not wood.
_EMPTY_PECK = 1e-9


def holes(
    start: Point3,
    axes: tuple[int, int, int],
    place: Point3,
    *,
    step: Point3,
    retract: float,
    bottom: float,
    back: bool,
    repeats: int,
    seconds: float | None,
    peck: float | None,
    most: int,
) -> Iterator[tuple[int, Point3, float]]:
    """The motions of one line, each as kind, end point and seconds of dwell. Lengths in mm.

    axes : first, second and normal axis of the plane
    place : the first hole; `step` leads from each hole to the next
    retract, bottom : the R and Z of the cycle on the normal axis
    back : whether it goes back to where the axis stood before the line (G98), not to R (G99)
    seconds : of dwell at the bottom, None for none
    peck : the Q of G83, None for a single feed
    most : how many motions are still allowed
    """
    if retract < bottom:
        message = f"The cycle's R ({retract:g} mm) is below its Z ({bottom:g} mm); R is where the feed starts."
        raise Fault("cycle-depth", message, "R")
    feeds = 1 if peck is None else max(1, ceil((retract - bottom) / peck - _EMPTY_PECK))
    if 1 + repeats * (3 * feeds + 2) > most:
        message = f"The cycles of the program spell out more than {MOST_MOTIONS} motions; use a smaller L or larger Q."
        raise Fault("too-many-motions", message, "L" if repeats > 1 else "Q")
    first, second, normal = axes
    here = list(start)
    clear = max(here[normal], retract) if back else retract

    def at(height: float) -> Point3:
        here[normal] = height
        return here[0], here[1], here[2]

    if here[normal] < retract:
        yield RAPID, at(retract), 0.0
    for repeat in range(repeats):
        here[first] = place[first] + repeat * step[first]
        here[second] = place[second] + repeat * step[second]
        yield RAPID, at(here[normal]), 0.0
        if here[normal] != retract:
            yield RAPID, at(retract), 0.0
        for done in range(1, feeds):
            depth = retract - done * (peck or 0.0)
            yield FEED, at(depth), 0.0
            yield RAPID, at(clear), 0.0
            yield RAPID, at(depth + _SHORT_OF_DEPTH), 0.0
        yield FEED, at(bottom), 0.0
        if seconds is not None:
            yield DWELL, at(bottom), seconds
        yield RAPID, at(clear), 0.0
