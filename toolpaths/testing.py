"""For users' own tests: assertions about programs that print what a reader needs when they fail."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from toolpaths.facts.cutter import Cutter
from toolpaths.facts.fixture import Fixture
from toolpaths.facts.part import Part
from toolpaths.judging.job_programs import Side
from toolpaths.judging.job_report import JobReport
from toolpaths.judging.report import Report
from toolpaths.judging.simulate import simulate
from toolpaths.judging.verify import verify
from toolpaths.judging.wood.field import Wood


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
    """The report of simulate(); an AssertionError that prints it if there is any finding."""
    __tracebackhide__ = True  # pytest then shows the test's own line and the report.
    report = simulate(text, fixture, cutters, cell=cell, stock=stock, part=part, thinnest_web=thinnest_web)
    if not report.ok:
        raise AssertionError(f"The {fixture.side} program is not safe.\n{report}")
    return report


def assert_job_safe(
    sides: Sequence[Side],
    cutters: Iterable[Cutter],
    *,
    cell: float = 0.25,
    part: Part | None = None,
    thinnest_web: float = 0.0,
) -> JobReport:
    """The report of verify(); an AssertionError that prints it if there is any finding."""
    __tracebackhide__ = True
    report = verify(sides, cutters, cell=cell, part=part, thinnest_web=thinnest_web)
    if not report.ok:
        raise AssertionError(f"The job is not safe.\n{report}")
    return report
