"""What was found against a whole job, as a value, as a page for the terminal, and as JSON."""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import dataclass
from textwrap import wrap
from typing import Any, NamedTuple

from toolpaths.base.values import Value
from toolpaths.judging.report import WIDTH, Report, counted, finding_as_dict, listed, shortened
from toolpaths.judging.trial.findings import Finding
from toolpaths.judging.wood.field import Wood


class SideFinding(NamedTuple):
    """A finding and the program it belongs to: "front", "back, program 2", or "" for the job as a whole."""

    side: str
    finding: Finding

    def __str__(self) -> str:
        if self.side:
            return f"{self.side}: {self.finding}"
        return f"{self.finding.severity}: {self.finding.code}: {self.finding.message}"


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class JobReport(Value):
    """The judgement of a whole job; iterating over it gives its findings, each with its side.

    sides : (name, report) of each program in the order of the work; the name is "front" or "back", and
        where a side has several programs, "front, program 2"
    findings : (side, finding), gravest first, then in the order of the work; side is such a name, or
        "" where no single program is at fault. `line` and `place` are those of that program; where side
        is "" the place is seen from the front, z from the board's top.
    """

    sides: tuple[tuple[str, Report], ...]
    findings: tuple[SideFinding, ...]

    def __iter__(self) -> Iterator[SideFinding]:
        return iter(self.findings)

    def __len__(self) -> int:
        return len(self.findings)

    def __repr__(self) -> str:
        found = f"{counted(len(self))}: {', '.join(self.codes())}" if self.findings else "nothing found"
        programs = f"{len(self.sides)} program{'s' if len(self.sides) > 1 else ''}"
        return f"<JobReport: {programs}, {shortened(found)}>"

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

    def found_in(self, side: str) -> tuple[Finding, ...]:
        """The findings of one program, by its name; of the job as a whole for ""."""
        return tuple(found.finding for found in self.findings if found.side == side)

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
