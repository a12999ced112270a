"""What the sheet says of one side: the setup, its programs and what they were judged to be."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import NamedTuple

import shapely

from toolpaths.judging.report import Report
from toolpaths.judging.trial.standing_tab import StandingTab
from toolpaths.making.motion.toolpath import RAPID
from toolpaths.making.operations.operation import Operation
from toolpaths.making.plan.setup import Setup
from toolpaths.making.plan.steps import Step
from toolpaths.making.plan.work import Stop
from toolpaths.making.writer.program import ProgramText
from toolpaths.shapes.track import Segment


@dataclass(frozen=True, eq=False)
class SheetSide:
    """One setup of a job.

    name : what the job calls it
    files : the name of the file of each program, by the program's name, in running order
    programs, reports : likewise
    """

    name: str
    setup: Setup
    files: Mapping[str, str]
    programs: Mapping[str, ProgramText]
    reports: Mapping[str, Report]

    @property
    def tabs(self) -> tuple[StandingTab, ...]:
        """Those that stand when the side is done, as its programs count."""
        return tuple(tab for report in self.reports.values() for tab in report.tabs)

    def tabs_across(self, operation: Operation) -> int:
        """How many of them stand across what an operation cuts; a tab stands beside the line by a radius at most."""
        if not operation.has_tabs or not self.tabs:
            return 0
        (zero_x, zero_y, _), drawn = self.setup.fixture.zero, self.setup.fixture.place(operation.drawn)
        line = drawn.boundary if shapely.get_dimensions(drawn) == 2 else drawn
        reach = max(cutter.diameter for cutter in operation.cutters_in_turn)
        places = shapely.points([(tab.x + zero_x, tab.y + zero_y) for tab in self.tabs])
        return int(shapely.dwithin(places, line, reach).sum())

    @property
    def seconds(self) -> float:
        return sum(report.seconds for report in self.reports.values())

    @property
    def seconds_of_steps(self) -> dict[int, float]:
        """Of each step, by its number from 0."""
        found: dict[int, float] = {}
        for name, program in self.programs.items():
            for time in self.reports[name].times:
                section = program.section_at(time.line)
                if section is not None:
                    found[section.step] = found.get(section.step, 0.0) + time.seconds
        return found


class WorkLine(NamedTuple):
    """Steps one after the other that say the same, as one line of the sheet; or a stop.

    first, last : their numbers, from 1
    step : the first of them
    """

    first: int
    last: int
    step: Step | Stop
    seconds: float

    @property
    def number(self) -> str:
        return str(self.first) if self.first == self.last else f"{self.first} to {self.last}"

    @property
    def times(self) -> int:
        """How many steps it is."""
        return self.last - self.first + 1


def work_lines(side: SheetSide) -> list[WorkLine]:
    """The work in order; what says the same is one line."""
    found: list[WorkLine] = []
    seconds = side.seconds_of_steps
    for number, step in enumerate(side.setup.steps, start=1):
        taken = seconds.get(number - 1, 0.0)
        if found and isinstance(step, Step) and _says(step, side.setup) == _says(found[-1].step, side.setup):
            found[-1] = found[-1]._replace(last=number, seconds=found[-1].seconds + taken)
        else:
            found.append(WorkLine(number, number, step, taken))
    return found


def _says(step: Step | Stop, setup: Setup) -> tuple[object, ...]:
    """What a line of the sheet says of a step."""
    if isinstance(step, Stop):
        return (step.message,)
    return step.name, step.path.cutter, step.operation.depths(setup.fixture), step.operation.has_tabs


def extent(setup: Setup) -> tuple[float, float, float, float, float]:
    """Least and greatest X, least and greatest Y, lowest Z that the cutter's point goes to, as the programs count."""
    (zero_x, zero_y, zero_z), boxes, lowest = setup.fixture.zero, [], 0.0
    for step in setup.steps:
        if isinstance(step, Step):
            lowest = min(lowest, step.path.lowest)
            x, y = step.path.moves[0].x, step.path.moves[0].y
            for move in step.path.moves:
                if move.kind != RAPID:
                    boxes.append(Segment((x, y), (move.x, move.y), move.centre, move.sweep).bounds)
                x, y = move.x, move.y
    left, low, right, high = zip(*boxes)
    return min(left) - zero_x, max(right) - zero_x, min(low) - zero_y, max(high) - zero_y, lowest - zero_z
