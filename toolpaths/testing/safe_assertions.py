"""Assertions that programs are sound: nothing is found against them."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from math import isfinite

from toolpaths.base.checks import instance
from toolpaths.facts.cutter import Cutter
from toolpaths.facts.fixture import Fixture
from toolpaths.facts.part import Part
from toolpaths.job.job import Job
from toolpaths.judging.job_report import JobReport
from toolpaths.judging.report import Report
from toolpaths.judging.simulate import simulate
from toolpaths.judging.trial.findings import Finding
from toolpaths.judging.wood.field import Wood
from toolpaths.testing.failure import picture, shown_lines
from toolpaths.testing.program_lines import lines_around
from toolpaths.testing.simulated_job import SimulatedJob, on_board, simulated

# Findings of which lines and place are shown, each of another code; the report has all.
_SHOWN = 3


def assert_safe(
    text: str,
    fixture: Fixture,
    cutters: Iterable[Cutter],
    *,
    cell: float = 0.25,
    stock: Wood | None = None,
    part: Part | None = None,
    thinnest_web: float = 0.0,
) -> Report:
    """The report of simulate(); an AssertionError that prints it if there is any finding.

    text, fixture, cutters, cell, stock, part, thinnest_web : as for simulate()

    >>> import toolpaths as tp
    >>> from toolpaths.testing import assert_safe
    >>> fixture = tp.Fixture(board=tp.Board(width=120, height=80, thickness=18))
    >>> cutter = tp.Cutter(1, tp.flat(6), feed_mm_min=1500, spindle_rpm=18000)
    >>> setup = tp.Setup(fixture, [tp.bore([(30, 40)], 9, cutter, depth=6)])
    >>> assert_safe(tp.program_text(setup), fixture, [cutter], cell=1.0).ok
    True

    Raises AssertionError where something is found, InputError for arguments that cannot be used.
    """
    __tracebackhide__ = True  # pytest then shows the test's own line and the report.
    report = simulate(text, fixture, cutters, cell=cell, stock=stock, part=part, thinnest_web=thinnest_web)
    if not report.ok:
        lines = [
            line
            for finding in _telling(report.findings)
            if finding.line
            for line in (f"{finding.code}, line {finding.line}:", *lines_around(text, _some(finding)))
        ]
        raise AssertionError("\n".join([f"The {fixture.side} program is not safe.", str(report), *lines]))
    return report


def assert_job_safe(job: Job | SimulatedJob, *, cell: float = 0.25) -> JobReport:
    """The report of a job; an AssertionError that prints it if there is any finding that the job does not accept.

    job : or what simulated() made of it, with other texts perhaps
    cell : mm, width of the cells of the wood, for a job that is not simulated yet

    >>> import toolpaths as tp
    >>> from toolpaths.testing import assert_job_safe
    >>> board = tp.Board(width=120, height=80, thickness=18)
    >>> cutter = tp.Cutter(1, tp.flat(6), feed_mm_min=1500, spindle_rpm=18000)
    >>> fixture = tp.Fixture(board=board, grips=[board.outline])
    >>> setup = tp.Setup(fixture, [tp.bore([(30, 40)], 9, cutter, depth=6)])
    >>> assert_job_safe(tp.Job("Hole", [setup]), cell=1.0).ok
    True

    Raises AssertionError where something is found, InputError where the job accepts what is not found.
    """
    __tracebackhide__ = True
    tried = job if isinstance(job, SimulatedJob) else simulated(instance("job", job, Job), cell=cell)
    report = tried.report
    if not report.ok:
        side_of = {id(found.finding): found.side for found in report.findings}
        shown = _telling([found.finding for found in report.findings])
        lines = [line for finding in shown for line in _culprit(tried, side_of[id(finding)], finding)]
        raise AssertionError("\n".join([f"The job {tried.job.title} is not safe.", str(report), *lines]))
    return report


def _telling(findings: Sequence[Finding]) -> list[Finding]:
    """The first finding of each code, such as know a line of the program before those that know none."""
    first: dict[str, Finding] = {}
    for finding in findings:
        if finding.code not in first or (finding.line and not first[finding.code].line):
            first[finding.code] = finding
    return sorted(first.values(), key=lambda finding: not finding.line)[:_SHOWN]


def _culprit(tried: SimulatedJob, side: str, finding: Finding) -> Sequence[str]:
    """Lines and place of a finding, where it has any."""
    if side not in tried.judged:
        return ()
    judged = tried.judged[side]
    known = isfinite(finding.place[0]) and isfinite(finding.place[1])
    shown = picture(judged, on_board(judged, finding.place)) if known else []
    return ("", f"{finding.code}:", *shown_lines(tried, side, _some(finding)), *shown)


def _some(finding: Finding) -> list[int]:
    """The line at which a finding is worst, and the first one."""
    return list(dict.fromkeys(line for line in (finding.line, finding.first_line) if line))
