"""The order of work in lines: steps one after the other that say the same are one line."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from toolpaths.facts.cutter import Cutter
from toolpaths.making.motion.toolpath import RAPID
from toolpaths.making.plan.setup import Setup
from toolpaths.making.plan.steps import Step
from toolpaths.making.plan.work import Stop

# mm; depths nearer than this are one.
_ONE_DEPTH = 0.005


class StepFacts(NamedTuple):
    """What a line says of a step.

    first, last : depths from and to, mm below the face before any work
    feed_mm_min : the highest of it
    tabs : how many it leaves; 0 where the operation does not say how many
    part_name, own_title : the part to which it belongs, of several, and what it is called without that
    """

    name: str
    cutter: Cutter
    first: float
    last: float
    feed_mm_min: float
    tabs: int
    part_name: str
    own_title: str


class WorkLine(NamedTuple):
    """Steps that say the same, or a stop.

    first, last : their numbers in the order of work, from 1
    says : the facts of each of them, or the message of the stop
    part_names : the parts to which they belong, where lines_over_parts() made them one
    """

    first: int
    last: int
    says: StepFacts | Stop
    part_names: tuple[str, ...] = ()

    @property
    def numbers(self) -> str:
        """As a line begins with it."""
        return str(self.first) if self.first == self.last else f"{self.first} to {self.last}"

    @property
    def times(self) -> int:
        """How many steps it is."""
        return self.last - self.first + 1


def work_lines(setup: Setup, steps: Sequence[Step | Stop]) -> list[WorkLine]:
    """Of these steps of a setup, in order."""
    found: list[WorkLine] = []
    for number, step in enumerate(steps, start=1):
        says = step if isinstance(step, Stop) else _facts(setup, step)
        if found and isinstance(step, Step) and says == found[-1].says:
            found[-1] = found[-1]._replace(last=number)
        else:
            found.append(WorkLine(number, number, says))
    return found


def lines_over_parts(lines: Sequence[WorkLine]) -> list[WorkLine]:
    """Lines one after the other that say the same but for the part to which it is done, as one."""
    found: list[WorkLine] = []
    for line in lines:
        says, last = line.says, found[-1] if found else None
        if isinstance(says, Stop) or not says.part_name:
            found.append(line)
            continue
        general = says._replace(name=says.own_title, part_name="", tabs=0)
        if last and last.part_names and last.says == general:
            found[-1] = last._replace(last=line.last, part_names=(*last.part_names, says.part_name))
        else:
            found.append(WorkLine(line.first, line.last, general, (says.part_name,)))
    return found


def _facts(setup: Setup, step: Step) -> StepFacts:
    first, last = step.operation.depths(setup.fixture)
    # A cutter that others follow may leave wood on the floor.
    last = -step.path.lowest if -step.path.lowest < last - _ONE_DEPTH else last
    feed_mm_min = max(move.feed_mm_min for move in step.path.moves if move.kind != RAPID)
    tabs = sum(feature.tab_count for feature in step.operation.features(setup.tolerance))
    of = step.operation
    return StepFacts(step.name, step.path.cutter, first, last, feed_mm_min, tabs, of.part_name, of.own_title)
