"""How near cutters come to what holds the board down."""

from __future__ import annotations

import numpy as np

from toolpaths.judging.checks.meeting.hold_downs import gap, least_distance, obstacles, there_yet
from toolpaths.judging.trial.case import Case

# Numbers of the hold-down and of the move; first those that can come nearest.
Pairs = list[tuple[int, int]]


def nearest_to_hold_downs(case: Case, blur: float, rise: float) -> tuple[float, str, Pairs] | None:
    """The least gap between a cutter's body and a hold-down, the name of that, and what else may come as near.

    blur, rise : mm by which the moves may come to lie elsewhere, sideways and in height
    Negative where they meet. None where no move comes below the top of any hold-down.
    """
    things = obstacles(case)
    found: list[tuple[float, int, int]] = []
    for at, thing in enumerate(things):
        for tool, cutter in case.cutters.items():
            mine = np.flatnonzero((case.moves.tool == tool) & case.moves.below(thing.height + rise))
            mine = mine[there_yet(case, thing, mine)]
            if len(mine):
                bound = least_distance(case, mine, thing) - cutter.body_radii(
                    thing.height + rise - case.moves.low[mine]
                )
                some = np.flatnonzero(bound <= bound.min() + 2 * blur + 2 * cutter.nut_diameter)
                found += [(float(bound[i]), at, int(mine[i])) for i in some]
    if not found:
        return None
    found.sort()
    # The bound is never more than the gap, so the search may end where it passes the least gap found.
    least, name = np.inf, ""
    for bound_of, at, i in found:
        if bound_of > least:
            break
        here = gap(case, i, things[at])
        if here < least:
            least, name = here, things[at].name
    if not np.isfinite(least):
        return None
    return least, name, [(at, i) for bound_of, at, i in found if bound_of <= least + 2 * blur]


def least_gap(case: Case, pairs: Pairs) -> float:
    """The least gap of these hold-downs and moves, of those that come below its top."""
    things = obstacles(case)
    return min((gap(case, i, things[at]) for at, i in pairs), default=np.inf)
