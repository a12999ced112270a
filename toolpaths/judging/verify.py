"""The whole job: every program of every side on one board, and what holds only between the sides."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from textwrap import wrap
from typing import Any

from toolpaths.facts.cutter import Cutter
from toolpaths.facts.part import Part
from toolpaths.judging.checks.sides import dowels, holes, sides
from toolpaths.judging.checks.sides.sides import SideFinding
from toolpaths.judging.report import WIDTH, Report, counted, finding_as_dict, listed
from toolpaths.judging.runs import Run, Side, read_sides, run_all
from toolpaths.judging.trial.findings import SEVERITIES
from toolpaths.judging.wood.field import Wood

# Every check that looks at more than one program; a new one is written beside them and listed here.
JOB_CHECKS: tuple[Callable[[tuple[Run, ...]], Iterator[SideFinding]], ...] = (
    sides.sides_differ,
    dowels.dowel_holes,
    holes.holes_apart,
)


@dataclass(frozen=True, slots=True, eq=False)
class JobReport:
    """The judgement of a whole job.

    sides : (name, report) of each program in the order of the work; the name is "front" or "back", and
        where a side has several programs, "front, program 2"
    findings : (side, finding), gravest first, then in the order of the work; side is such a name, or
        "" where no single program is at fault. `line` and `place` are those of that program; where side
        is "" the place is seen from the front, z from the board's top.
    """

    sides: tuple[tuple[str, Report], ...]
    findings: tuple[SideFinding, ...]

    @property
    def ok(self) -> bool:
        """Whether nothing at all was found."""
        return not self.findings

    @property
    def stock(self) -> Wood:
        """The wood after the last program, as it then lies."""
        return self.sides[-1][1].stock

    def codes(self) -> tuple[str, ...]:
        """The codes found, each once, gravest first."""
        return tuple(dict.fromkeys(found.finding.code for found in self.findings))

    def as_dict(self) -> dict[str, Any]:
        """Plain values, as JSON has them; see Report.as_dict."""
        return {
            "ok": self.ok,
            "findings": [{"side": found.side, **finding_as_dict(found.finding)} for found in self.findings],
            "sides": [{"side": name, **report.as_dict()} for name, report in self.sides],
        }

    def json(self) -> str:
        """The report as JSON text; the wood is not in it."""
        return json.dumps(self.as_dict(), indent=2)

    def __str__(self) -> str:
        lines = ["Nothing found against the job."]
        if self.findings:
            lines = [counted(len(self.findings)) + " against the job:", *listed(self.findings)]
        lines += [f"{name}: {report.summary()}" for name, report in self.sides]
        for name, report in self.sides:
            for note in report.notes:
                lines += wrap(f"Note, {name}: {note}", WIDTH, subsequent_indent="      ")
        unknown = dict.fromkeys(what for _, report in self.sides for what in report.not_judged)
        if unknown:
            lines += wrap(f"Not judged: {', '.join(unknown)}.", WIDTH, subsequent_indent="      ")
        return "\n".join(lines)


def verify(
    sides: Sequence[Side],
    cutters: Iterable[Cutter],
    *,
    cell: float = 0.25,
    part: Part | None = None,
    thinnest_web: float = 0.0,
) -> JobReport:
    """Judge all programs of a job by their texts, in order, on one board, turned over where a fixture is.

    sides : (text, fixture) for each side in the order of the work; in place of the text a list of texts,
        or a mapping from names to texts, that are run one after the other on that side. A text that
        changes no cutter is run with the one that its comments name.
    cutters, cell, part, thinnest_web : as for simulate()

    Beyond what simulate() finds in each program: facts in which the sides differ, dowel holes that do not
    fit their pins, holes from both sides that do not meet. One side alone is a job as well.

    Raises InputError only for arguments that cannot be used.
    """
    settings = read_sides(sides, cutters)
    runs = run_all(settings, cell=cell, part=part, thinnest_web=thinnest_web)
    found = [SideFinding(run.setting.name, finding) for run in runs for finding in run.report.findings]
    found += [finding for check in JOB_CHECKS for finding in check(runs)]
    order = {run.setting.name: at for at, run in enumerate(runs, start=1)}
    found.sort(
        key=lambda f: (SEVERITIES.index(f.finding.severity), order.get(f.side, 0), f.finding.line, f.finding.code)
    )
    return JobReport(tuple((run.setting.name, run.report) for run in runs), tuple(found))
