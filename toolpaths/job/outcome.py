"""What became of one job of many."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from toolpaths.base.values import Value, in_a_line
from toolpaths.judging.job_report import AcceptedFinding, JobReport, SideFinding
from toolpaths.judging.report import counted, in_minutes


@dataclass(frozen=True, slots=True, eq=False, kw_only=True, repr=False)
class Outcome(Value):
    """What became of one of several jobs: how it is judged, or why it could not be.

    number : which of the jobs, from 0; title : its title
    findings, accepted : as in JobReport
    seconds : of the machine, as in Report; removed_mm3 : of wood, from all its boards
    files : that were written
    error : why there is nothing of all that; None where there is
    """

    number: int
    title: str
    findings: tuple[SideFinding, ...] = ()
    accepted: tuple[AcceptedFinding, ...] = ()
    seconds: float = 0.0
    removed_mm3: float = 0.0
    files: tuple[Path, ...] = ()
    error: BaseException | None = None

    @property
    def ok(self) -> bool:
        """Whether it was judged, and nothing at all was found."""
        return self.error is None and not self.findings

    def __repr__(self) -> str:
        return in_a_line(f"<Outcome: {self}>")

    def __str__(self) -> str:
        if self.error is not None:
            first = (str(self.error) or type(self.error).__name__).splitlines()[0]
            return f"{self.title}: not done: {first}"
        codes = dict.fromkeys(found.finding.code for found in self.findings)
        found = f"{counted(len(self.findings))}: {', '.join(codes)}" if codes else "nothing found"
        return f"{self.title}: {found}; about {in_minutes(self.seconds)}, {self.removed_mm3 / 1000:.1f} cm3 removed"


def outcome_of(title: str, report: JobReport) -> Outcome:
    """The outcome of a job that was judged, as the first of the jobs."""
    reports = [report for _, report in report.sides]
    boards = {report.stock.board: report.stock.removed() for report in reports}
    return Outcome(
        number=0, title=title, findings=report.findings, accepted=report.accepted,
        seconds=sum(report.seconds for report in reports), removed_mm3=sum(boards.values()),
    )  # fmt: skip
