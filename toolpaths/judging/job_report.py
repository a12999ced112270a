"""What was found against a whole job, as a value, as a page for the terminal, and as JSON."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from textwrap import wrap
from typing import Any, NamedTuple

from toolpaths.base.values import in_a_line
from toolpaths.judging.report import WIDTH, Judgement, Report, counted, finding_as_dict, listed, shortened
from toolpaths.judging.trial.findings import Finding, order_of
from toolpaths.judging.wood.field import Wood


class SideFinding(NamedTuple):
    """A finding and the program it belongs to: "front", "back, program 2", or "" for the job as a whole.

    operations : at whose lines it stands, where that is known; "" among them for a line of none
    """

    side: str
    finding: Finding
    operations: tuple[str, ...] = ()

    def __repr__(self) -> str:
        return in_a_line(f"<SideFinding: {self.side or 'the job'}, {self.finding!r}>")

    def __str__(self) -> str:
        if not self.side:
            return f"{self.finding.severity}: {self.finding.code}: {self.finding.message}"
        # A finding says itself what the program's comments tell.
        named = ", ".join(operation for operation in self.operations if operation not in ("", *self.finding.operations))
        return f"{self.side}{f', {named}' if named else ''}: {self.finding}"


class AcceptedFinding(NamedTuple):
    """A finding that the user accepts, and why."""

    found: SideFinding
    reason: str

    def __repr__(self) -> str:
        return in_a_line(f"<AcceptedFinding: {self.found!r}, {self.reason}>")

    def __str__(self) -> str:
        return f"{self.found} Accepted: {self.reason}"


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class JobReport(Judgement):
    """The judgement of a whole job; iterating over it gives its findings, each with its side.

    sides : (name, report) of each program in the order of the work; the name is "front" or "back", and
        where a side has several programs, "front, program 2"
    findings : (side, finding), gravest first, of these causes before what follows from them, then in the order of the
        work; side is such a name, or "" where no single program is at fault. `line` and `place` are those of that
        program; where side is "" the place is seen from the front, z from the board's top.
    accepted : findings that the user accepts, each with the reason; they do not count as found
    work : of each setup its operations, with the depths from which and to which they cut, where a job was judged
    """

    sides: tuple[tuple[str, Report], ...]
    findings: tuple[SideFinding, ...]
    accepted: tuple[AcceptedFinding, ...] = ()
    work: tuple[str, ...] = ()

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

    def as_dict(self) -> dict[str, Any]:
        return {
            "ok": self.ok,
            "findings": [_as_dict(found) for found in self.findings],
            "accepted": [{**_as_dict(each.found), "reason": each.reason} for each in self.accepted],
            "work": list(self.work),
            "sides": [{"side": name, **report.as_dict()} for name, report in self.sides],
        }

    def __str__(self) -> str:
        lines = ["Nothing found against the job."]
        if self.findings:
            lines = [counted(len(self.findings)) + " against the job:", *listed(self.findings)]
        for each in self.accepted:
            lines += wrap(str(each), WIDTH, initial_indent="  ", subsequent_indent="      ")
        lines += [f"{name}: {report.summary()}" for name, report in self.sides]
        lines += [line for words in self.work for line in wrap(words, WIDTH, subsequent_indent="      ")]
        for name, report in self.sides:
            for note in report.notes:
                lines += wrap(f"Note, {name}: {note}", WIDTH, subsequent_indent="      ")
        unknown = dict.fromkeys(what for _, report in self.sides for what in report.not_judged)
        if unknown:
            lines += wrap(f"Not judged: {', '.join(unknown)}.", WIDTH, subsequent_indent="      ")
        return "\n".join(lines)


def gravest_first(found: Iterable[SideFinding], order: Mapping[str, int]) -> tuple[SideFinding, ...]:
    """Findings as a report of the whole job has them.

    order : number of each program in the order of the work, by its name
    """
    return tuple(sorted(
        found, key=lambda f: (*order_of(f.finding), order[f.side], f.finding.first_line, f.finding.code)
    ))  # fmt: skip


def _as_dict(found: SideFinding) -> dict[str, Any]:
    return {"side": found.side, **finding_as_dict(found.finding), "operations": list(found.operations)}
