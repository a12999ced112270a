"""For users' own tests: assertions about programs that print what a reader needs when they fail."""

from __future__ import annotations

from collections.abc import Iterable

from toolpaths.base.checks import instance
from toolpaths.facts.cutter import Cutter
from toolpaths.facts.fixture import Fixture
from toolpaths.facts.part import Part
from toolpaths.job.job import Job
from toolpaths.judging.job_report import JobReport
from toolpaths.judging.report import Report
from toolpaths.judging.simulate import simulate
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
        raise AssertionError(f"The {fixture.side} program is not safe.\n{report}")
    return report


def assert_job_safe(job: Job, *, cell: float = 0.25) -> JobReport:
    """The report of a job; an AssertionError that prints it if there is any finding that the job does not accept.

    cell : mm, width of the cells of the wood

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
    report = instance("job", job, Job).report(cell=cell)
    if not report.ok:
        raise AssertionError(f"The job {job.title} is not safe.\n{report}")
    return report
