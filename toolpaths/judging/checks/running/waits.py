"""The checks of waiting: with the cutter in the wood, or for longer than anybody means."""

from __future__ import annotations

from collections.abc import Iterator
from math import isfinite

import numpy as np

from toolpaths.judging.trial.case import Case
from toolpaths.judging.trial.findings import ROUNDING, Finding, folded

WAITS = {
    "M0": "the program stops",
    "M1": "the program may stop",
    "M60": "the program stops",
    "M6": "the cutter is changed",
    "M2": "the program ends",
    "M30": "the program ends",
}
# mm above the board within which no cutter is changed on purpose: the next one may be longer by that (common
# practice, no source).
_CHANGE_HEIGHT = 2.0
# Seconds of G4 with the cutter in the wood, where it burns, and anywhere, where milliseconds were more
# likely meant (common practice, no source).
_BURNS_S = 5.0
_LONGEST_DWELL_S = 300.0


def waits_low(case: Case) -> Iterator[Finding]:
    """The program stops, changes the cutter or ends while the cutter stands below the top of the board; or changes it
    hardly above that, or lower than the highest hold-down."""
    found: dict[str, list[tuple[int, tuple[float, float, float], float]]] = {}
    for event in case.events:
        if event.code not in WAITS or not event.before or not isfinite(event.place[2]):
            continue
        place = case.place_before(event.before)
        depth = -(place[2] + case.fixture.zero[2])
        if case.moves.named[event.before - 1, 2] and depth > ROUNDING:
            found.setdefault(WAITS[event.code], []).append((event.line, place, depth))
    for what, some in found.items():
        lines, places, depths = zip(*some, strict=True)
        yield folded(
            "waits-low", "danger", np.array(lines), np.array(places), np.array(depths), 0.0,
            f"{what} with the cutter {{amount}} mm below the top of the board; lift it first.",
        )  # fmt: skip
    yield from _changed_low(case)


def _changed_low(case: Case) -> Iterator[Finding]:
    least = max(_CHANGE_HEIGHT, case.fixture.highest)
    low = []
    for event in case.events:
        if event.code == "M6" and event.before and case.moves.named[event.before - 1, 2]:
            place = case.place_before(event.before)
            height = place[2] + case.fixture.zero[2]
            if -ROUNDING <= height < least - ROUNDING:
                low.append((event.line, place, height))
    if low:
        lines, places, heights = zip(*low, strict=True)
        yield folded(
            "waits-low", "doubt", np.array(lines), np.array(places), np.array(heights), least,
            f"the cutter is changed {{amount}} mm above the board, where the next one may be longer; "
                f"lift it to {least:g} mm or more first.",
        )  # fmt: skip


def long_dwell(case: Case) -> Iterator[Finding]:
    """A wait that burns the wood, or so long that its P was more likely in milliseconds."""
    moves = case.moves
    seconds = moves.dwell_s
    long = np.flatnonzero(seconds > _BURNS_S)
    if not len(long):
        return
    in_wood = (moves.spindle[long] != 0) & (moves.low[long] < -ROUNDING)
    for who, limit, where in (
        (long[in_wood], _BURNS_S, " with the cutter turning in the wood, which burns it"),
        (long[~in_wood & (seconds[long] > _LONGEST_DWELL_S)], _LONGEST_DWELL_S, ""),
    ):
        if len(who):
            yield folded(
                "long-dwell", "doubt", moves.line[who], case.ends(who), seconds[who], limit,
                f"waits {{amount}} s{where}; the P of a dwell is in seconds.",
            )  # fmt: skip
