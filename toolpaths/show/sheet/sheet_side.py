"""What the sheet says of one side: the setup, its programs and what they were judged to be."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Literal

import shapely

from toolpaths.judging.report import Report
from toolpaths.judging.trial.standing_tab import StandingTab
from toolpaths.making.operations.operation import Operation
from toolpaths.making.plan.setup import Setup
from toolpaths.making.writer.program import ProgramText
from toolpaths.making.writer.style import ToolChange
from toolpaths.show.lengths import Lengths
from toolpaths.show.sheet.freed_pieces import Freed, freed_pieces
from toolpaths.show.sheet.wording import counted


@dataclass(frozen=True, eq=False)
class SheetSide:
    """One setup of a job.

    name : what the job calls it
    files : the name of the file of each program, by the program's name, in running order
    programs, reports : likewise
    lengths : how they are read at the machine
    tool_change : how its programs change cutters; "files": each has one alone
    """

    name: str
    setup: Setup
    files: Mapping[str, str]
    programs: Mapping[str, ProgramText]
    reports: Mapping[str, Report]
    lengths: Lengths
    tool_change: ToolChange | Literal["files"] = "M6"

    @property
    def tabs(self) -> tuple[StandingTab, ...]:
        """Those that stand when the side is done, as its programs count."""
        return tuple(tab for report in self.reports.values() for tab in report.tabs)

    def tabs_across(self, operation: Operation) -> tuple[StandingTab, ...]:
        """Those of them that stand across what an operation cuts; a tab stands beside the line by a radius at most."""
        if not operation.has_tabs or not self.tabs:
            return ()
        (zero_x, zero_y, _), drawn = self.setup.fixture.zero, self.setup.fixture.place(operation.drawn)
        line = drawn.boundary if shapely.get_dimensions(drawn) == 2 else drawn
        reach = max(cutter.diameter for cutter in operation.cutters_in_turn)
        places = shapely.points([(tab.x + zero_x, tab.y + zero_y) for tab in self.tabs])
        return tuple(tab for tab, near in zip(self.tabs, shapely.dwithin(places, line, reach), strict=True) if near)

    @cached_property
    def freed(self) -> tuple[Freed, ...]:
        """What it cuts loose, in order: many sections of the sheet ask."""
        return freed_pieces(self.setup, self.tabs_across)

    def tabs_in_words(self, tabs: Sequence[StandingTab]) -> str:
        """How many, how wide and how thick."""
        wide, thick = (_range([tab[at] for tab in tabs], self.lengths) for at in (2, 3))
        return f"{counted(len(tabs), 'tab')}, {wide} wide and {thick} thick"

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


def _range(mm: Sequence[float], lengths: Lengths) -> str:
    """From the least to the most, once where they read alike."""
    return " to ".join(dict.fromkeys([lengths.of(min(mm)), lengths.of(max(mm))]))
