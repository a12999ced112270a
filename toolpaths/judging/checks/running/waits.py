"""The checks of waiting: with the cutter in the wood, or for longer than anybody means."""

from __future__ import annotations

from collections.abc import Iterator
from math import isfinite

import numpy as np

from toolpaths.base.checks import Floats
from toolpaths.judging.reader.motions import Event
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
    waits = [event for event in case.events if event.code in WAITS and isfinite(event.place[2])]
    waits, places, heights = _standing(case, waits)
    for what in dict.fromkeys(WAITS[event.code] for event in waits):
        low = [n for n, event in enumerate(waits) if heights[n] < -ROUNDING and WAITS[event.code] == what]
        if low:
            yield folded(
                "waits-low", "danger", np.array([waits[n].line for n in low]), places[low], -heights[low], 0.0,
                f"{what} with the cutter {{amount}} mm below the top of the board; lift it first.",
            )  # fmt: skip
    yield from _changed_low(case)


def _changed_low(case: Case) -> Iterator[Finding]:
    least = max(_CHANGE_HEIGHT, case.fixture.highest)
    changes, places, heights = _standing(case, [event for event in case.events if event.code == "M6"])
    low = np.flatnonzero((heights >= -ROUNDING) & (heights < least - ROUNDING))
    if len(low):
        yield folded(
            "waits-low", "doubt", np.array([changes[n].line for n in low]), places[low], heights[low], least,
            f"the cutter is changed {{amount}} mm above the board, where the next one may be longer; "
            f"lift it to {least:g} mm or more first.",
        )  # fmt: skip


def _standing(case: Case, events: list[Event]) -> tuple[list[Event], Floats, Floats]:
    """Those of the events at which Z is known, (k, 3) where the cutter stands then, and (k,) mm above the board."""
    known = [event for event in events if event.before and case.moves.named[event.before - 1, 2]]
    places = case.places_before([event.before for event in known])
    return known, places, places[:, 2] + case.fixture.zero[2]


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
