"""What would shorten the time of a setup, worked out from its own motion."""

from __future__ import annotations

from dataclasses import replace
from itertools import groupby

from toolpaths.facts.cutter import Cutter
from toolpaths.making.motion.seconds import seconds_of
from toolpaths.making.motion.toolpath import RAPID, Toolpath
from toolpaths.making.plan.setup import Setup
from toolpaths.making.plan.steps import Step

# A feed that is so much higher is looked at; less than the second, s, is not worth a line.
_FASTER, _LEAST_SAVED = 1.2, 5.0


def shorter_time(setup: Setup) -> tuple[str, ...]:
    """A sentence for each change that saves time: a higher feed of a cutter, fewer changes of cutters.

    What of the time is no feed, but speeding up, slowing down and corners, a higher feed does not save; so its worth is
    worked out, by `seconds_of`, and not guessed.
    """
    return (*_faster_feeds(setup), *_fewer_changes(setup))


def fitted_in_turn(setup: Setup) -> tuple[Cutter, ...]:
    """The cutters as they are fitted, one that is fitted again named again."""
    cutters = (step.path.cutter for step in setup.steps if isinstance(step, Step))
    return tuple(next(same) for _, same in groupby(cutters, key=lambda cutter: cutter.number))


def _faster_feeds(setup: Setup) -> list[str]:
    machine, said = setup.fixture.machine, []
    for number in dict.fromkeys(cutter.number for cutter in setup.cutters):
        paths = [s.path for s in setup.steps if isinstance(s, Step) and s.path.cutter.number == number]
        taken = sum(seconds_of(path, machine) for path in paths)
        saved = taken - sum(seconds_of(_faster(path), machine) for path in paths)
        if saved >= _LEAST_SAVED:
            said.append(
                f"T{number} a fifth faster at feed, if wood, cutter and machine bear it: "
                f"{saved:.0f} of its {taken:.0f} s saved."
            )
    return said


def _faster(path: Toolpath) -> Toolpath:
    moves = (
        move if move.kind == RAPID else move._replace(feed_mm_min=_FASTER * move.feed_mm_min) for move in path.moves
    )
    return replace(path, moves=tuple(moves))


def _fewer_changes(setup: Setup) -> list[str]:
    fitted = [cutter.number for cutter in fitted_in_turn(setup)]
    return [
        f"T{number} is fitted {fitted.count(number)} times: were the order of its work free, once might "
        "do; whoever wrote the job can say so."
        for number in dict.fromkeys(fitted)
        if fitted.count(number) > 1
    ]
