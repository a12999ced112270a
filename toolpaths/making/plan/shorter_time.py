"""What would shorten the time of a setup, worked out from its own motion."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from itertools import groupby

from toolpaths.facts.cutter import Cutter
from toolpaths.making.motion.seconds import seconds_of
from toolpaths.making.motion.toolpath import RAPID, Toolpath
from toolpaths.making.plan.setup import Setup
from toolpaths.making.plan.steps import Step

# A feed that is so much higher, a fifth, is looked at; less than the second, s, is not worth a line.
_FASTER, _LEAST_SAVED = 1.2, 5.0


def fitted_in_turn(setup: Setup) -> tuple[Cutter, ...]:
    """The cutters as they are fitted, one that is fitted again named again."""
    cutters = (step.path.cutter for step in setup.steps if isinstance(step, Step))
    return tuple(next(same) for _, same in groupby(cutters, key=lambda cutter: cutter.number))


def saved_by_faster_feeds(setup: Setup) -> dict[int, float]:
    """Seconds that a higher feed of each cutter would save, by its number, where that is worth a line.

    What of the time is no feed, but speeding up, slowing down and corners, a higher feed does not save; so its worth is
    worked out, by `seconds_of`, and not guessed.
    """
    machine, found = setup.fixture.machine, dict[int, float]()
    for number in dict.fromkeys(cutter.number for cutter in setup.cutters):
        paths = [s.path for s in setup.steps if isinstance(s, Step) and s.path.cutter.number == number]
        saved = sum(seconds_of(path, machine) - seconds_of(_faster(path), machine) for path in paths)
        if saved >= _LEAST_SAVED:
            found[number] = saved
    return found


def fitted_again(setup: Setup) -> dict[int, int]:
    """How many times each cutter is fitted that is fitted more than once, by its number."""
    times = Counter(cutter.number for cutter in fitted_in_turn(setup))
    return {number: count for number, count in times.items() if count > 1}


def _faster(path: Toolpath) -> Toolpath:
    moves = (
        move if move.kind == RAPID else move._replace(feed_mm_min=_FASTER * move.feed_mm_min) for move in path.moves
    )
    return replace(path, moves=tuple(moves))
