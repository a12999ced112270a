"""The cuts that go lower than all before them, over places of which each moment counts."""

from __future__ import annotations

import numpy as np

from toolpaths.base.checks import Floats
from toolpaths.judging.trial.case import Case
from toolpaths.judging.trial.cuts_over_places import Pairs
from toolpaths.judging.trial.exact_heights import cuts_in_order, lowest_over
from toolpaths.judging.wood.moves import lowest_so_far
from toolpaths.judging.wood.sweep import Flags, Ints

# Cuts that are held in all, or at each place: more than a board is cut out in passes. Where there are more, mm by which
# one must be lower to count, to begin with: more than a check takes for one height.
_MOST, _MOST_EACH, _STEP = 1_000_000, 16, 0.02


def lowering_cuts(case: Case, places: Floats) -> Pairs:
    """The cuts that are lower than all before them at their place, (k, 2); by place, then in the order of the program.

    Where these are too many to be held, as where thousands of turns go down by a hair each, only such count as are
    lower by a step than the last that counts, and the last of each place is as low as it is cut in the end.
    """
    limit, step = np.full(len(places), np.inf), 0.0
    kept, count = [Pairs(np.empty(0, np.intp), np.empty(0, np.intp), np.empty(0))], 0
    for pairs in cuts_in_order(case, places, limit):
        lower = _lowering(_some(pairs, pairs.z < limit[pairs.place]), step)
        np.minimum.at(limit, lower.place, lower.z - step)
        kept.append(lower)
        count += len(lower.z)
        while count > max(_MOST, _MOST_EACH * len(places)):
            step = max(2 * step, _STEP)
            kept = [_lowering(_joined(kept), step)]
            count = len(kept[0].z)
            limit[:] = np.inf
            np.minimum.at(limit, kept[0].place, kept[0].z - step)
    found = _joined(kept)
    found = _some(found, np.lexsort([found.move, found.place]))
    if step:
        last = np.flatnonzero(np.diff(found.place, append=len(places)))
        found.z[last] = lowest_over(case, places[found.place[last]])
    return found


def _lowering(pairs: Pairs, step: float) -> Pairs:
    """Those that are lower than all before them, of such within one step the first; by place, then in order."""
    pairs = _some(pairs, np.lexsort([pairs.move, pairs.place]))
    first = np.diff(pairs.place, prepend=-1) != 0
    low = lowest_so_far(np.floor(pairs.z / step) * step if step else pairs.z, pairs.place)
    return _some(pairs, first | (np.diff(low, prepend=np.inf) < -step / 2))


def _joined(several: list[Pairs]) -> Pairs:
    place, move, z = (np.concatenate(columns) for columns in zip(*several, strict=True))
    return Pairs(place, move, z)


def _some(pairs: Pairs, which: Ints | Flags) -> Pairs:
    return Pairs(pairs.place[which], pairs.move[which], pairs.z[which])
