"""The pytest plug-in: three fixtures and a switch. It imports what it needs when a fixture is asked for.

job_of_script : the job that a script makes, by the path of the script from the test file: job_of_script("tray.py")
simulate_job : as toolpaths.testing.simulated(), each job once for all tests; folder= takes the programs that lie there
golden_programs : golden_programs(job) holds its programs against those in the folder `golden` beside the test file

    pytest --renew-golden

keeps the programs at hand as golden ones, and says which files it wrote.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest

from toolpaths.testing.renew_option import RENEW_OPTION

if TYPE_CHECKING:
    from toolpaths.job.job import Job
    from toolpaths.testing.simulated_job import SimulatedJob

_RENEWED = "renewed golden program"
FOLDER = "golden"


def pytest_addoption(parser: pytest.Parser) -> None:
    """The switch with which golden programs are kept."""
    parser.getgroup("toolpaths", "toolpaths: tests of programs for a router").addoption(
        RENEW_OPTION,
        action="store_true",
        help="keep the programs at hand as golden ones, in place of comparing them; look at them first",
    )


@pytest.fixture(scope="session")
def _jobs_by_script() -> dict[tuple[Path, str], Job]:
    return {}


@pytest.fixture(scope="session")
def _simulated_jobs() -> dict[tuple[Any, ...], SimulatedJob]:
    return {}


@pytest.fixture
def job_of_script(request: pytest.FixtureRequest, _jobs_by_script: dict[tuple[Path, str], Job]) -> Callable[..., Job]:
    """The job that a script makes when it is run, though not as the main program.

    job_of_script(path, name="") : path from the test file; name of the variable that holds the job, which may be left
    out where the script makes one job alone. Each script is run once for all tests.
    """
    from toolpaths.testing.script_job import script_job

    def job(path: str, name: str = "") -> Job:
        script = (request.path.parent / path).resolve()
        if (script, name) not in _jobs_by_script:
            _jobs_by_script[script, name] = script_job(script, name)
        return _jobs_by_script[script, name]

    return job


@pytest.fixture
def simulate_job(
    request: pytest.FixtureRequest, _simulated_jobs: dict[tuple[Any, ...], SimulatedJob]
) -> Callable[..., SimulatedJob]:
    """simulate_job(job, folder=None, cell=0.25) : the programs of a job on simulated boards, once for all tests.

    folder : in which the programs lie that are to be judged, from the test file; those that the job makes unless given
    """
    from toolpaths.testing.simulated_job import programs_in, simulated

    def simulate(job: Job, folder: str | Path | None = None, cell: float = 0.25) -> SimulatedJob:
        texts = job.programs() if folder is None else programs_in(request.path.parent / folder, job)
        # A job may hold shapes, which have no hash: it is known by what it writes, and what it means by its repr.
        key = (id(job), tuple(texts.items()), cell)
        if key not in _simulated_jobs:
            _simulated_jobs[key] = simulated(job, texts=texts, cell=cell)
        return _simulated_jobs[key]

    return simulate


@pytest.fixture
def golden_programs(request: pytest.FixtureRequest) -> Callable[..., None]:
    """golden_programs(job, name="", within=0.001, feed_within_share=0.001) : as toolpaths.testing.assert_golden(), with
    the folder `golden` beside the test file, and renewed with --renew-golden."""
    from toolpaths.testing.golden import assert_golden

    def golden(job: Job | SimulatedJob, **options: Any) -> None:
        __tracebackhide__ = True
        renew = bool(request.config.getoption(RENEW_OPTION))
        for path in assert_golden(job, request.path.parent / FOLDER, renew=renew, **options):
            request.node.user_properties.append((_RENEWED, str(path)))

    return golden


def pytest_terminal_summary(terminalreporter: Any) -> None:
    """What was kept as golden, so that nobody renews without seeing it."""
    paths = [
        path
        for reports in terminalreporter.stats.values()
        for report in reports
        if getattr(report, "when", "") == "call"
        for name, path in report.user_properties
        if name == _RENEWED
    ]
    if paths:
        terminalreporter.section("golden programs renewed")
        for path in paths:
            terminalreporter.write_line(f"{path} is now golden: look at it before you trust it")
