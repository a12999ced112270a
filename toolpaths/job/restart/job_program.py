"""A program of a job: its text as the machine reads it, and on which of its lines each step of the work is done."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import NamedTuple

import numpy as np

from toolpaths.base.errors import InputError
from toolpaths.facts.head_lines import FIT, FIT_BELOW
from toolpaths.judging.reader.controller import Controller
from toolpaths.judging.reader.modes_at_line import modes_before
from toolpaths.judging.reader.motions import ARC, DWELL, FEED, Ints, Modes, Motions, Program
from toolpaths.judging.reader.read import read
from toolpaths.making.plan.setup import Setup
from toolpaths.making.plan.steps import Step
from toolpaths.making.writer.program import ProgramText, Section
from toolpaths.making.writer.style import Style


class WorkLines(NamedTuple):
    """The lines on which a step is done, from 1; of a stop that at which the machine waits.

    step : its number in the steps of the setup, from 0
    name : of the operation; of a stop its message
    """

    step: int
    name: str
    first: int
    last: int


@dataclass(frozen=True, eq=False)
class JobProgram:
    """One program of a job.

    name, identity : of the program, and of the set that it belongs to
    title : of the job
    steps : which of the setup's it does, as numbers from 0
    """

    name: str
    identity: str
    title: str
    setup: Setup
    made: ProgramText
    steps: range
    style: Style

    @cached_property
    def lines(self) -> tuple[str, ...]:
        return tuple(self.made.text.splitlines())

    @cached_property
    def program(self) -> Program:
        return read(self.made.text, controller=_CONTROLLER)

    @property
    def motions(self) -> Motions:
        return self.program.motions

    def modes_before(self, line: int) -> Modes:
        """What the controller holds when it comes to a line."""
        return modes_before(self.made.text, line, controller=_CONTROLLER)

    def first_motion(self, line: int) -> int:
        """Index of the first motion of this line or of those after it; beyond all where there is none."""
        return int(np.searchsorted(self.motions.line, line))

    def first_move(self, line: int) -> int:
        """As `first_motion`, but no dwell, which names neither a motion nor a place."""
        first = self.first_motion(line)
        return first + int(np.argmax(self.motions.kind[first:] != DWELL))

    @cached_property
    def cuts(self) -> Ints:
        """Indices of the motions at feed."""
        return np.flatnonzero((self.motions.kind == FEED) | (self.motions.kind == ARC))

    def next_cut_line(self, line: int) -> int:
        """Line of the first motion at feed on this line or after it; 0 where there is none."""
        at = int(np.searchsorted(self.cuts, self.first_motion(line)))
        return int(self.motions.line[self.cuts[at]]) if at < len(self.cuts) else 0

    def section_at(self, line: int) -> Section:
        """The lines of the step that a cut belongs to."""
        section = self.made.section_at(line)
        if section is None:
            raise InputError(f"Line {line} of {self.name} belongs to no operation.")
        return section

    @cached_property
    def work(self) -> tuple[WorkLines, ...]:
        """Each step in order."""
        sections = {section.step: section for section in self.made.sections}
        stops = iter([event for event in self.program.events if event.code == "M0" and not _fits_cutter(event.text)])
        found = []
        for number in self.steps:
            step = self.setup.steps[number]
            if isinstance(step, Step):
                lines = sections[number]
                found.append(WorkLines(number, step.name, lines.first_line, lines.last_line))
            else:
                line = next(stops).line
                found.append(WorkLines(number, step.message, line, line))
        return tuple(found)

    def work_left(self, line: int) -> range:
        """The numbers of the steps that are not done before a line: from the first of which something is left."""
        return range(next(each.step for each in self.work if self._is_left(each, line)), self.steps.stop)

    def _is_left(self, work: WorkLines, line: int) -> bool:
        if isinstance(self.setup.steps[work.step], Step):
            return 0 < self.next_cut_line(max(line, work.first)) <= work.last
        return line <= work.last

    def starts_spindle(self, first: int, last: int) -> bool:
        """Whether the program itself starts the spindle on one of some lines."""
        return any(change.code in ("M3", "M4") and first <= change.line <= last for change in self.program.changes)

    def cutter_change_before(self, line: int) -> int:
        """The last line before another on which a cutter is put in; 0 where the program itself puts in none."""
        events = self.program.events
        changes = [e.line for e in events if e.code == "M6" or (e.code == "M0" and _fits_cutter(e.text))]
        return max((change for change in changes if change < line), default=0)


# The work of this library's own programs counts from G54 alone, wherever that is.
_CONTROLLER = Controller()


def _fits_cutter(message: str) -> bool:
    return bool(FIT.read(message) or FIT_BELOW.read(message))
