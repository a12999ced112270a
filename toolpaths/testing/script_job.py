"""The job that a script makes."""

from __future__ import annotations

import runpy
import sys
from pathlib import Path

from toolpaths.base.errors import InputError
from toolpaths.job.job import Job


def script_job(script: Path, name: str = "") -> Job:
    """The job that a script makes when it is run, though not as the main program.

    name : of the variable that holds it; may be left out where the script makes one job alone

    Raises InputError where there is no such script or no such job.
    """
    if not script.is_file():
        raise InputError(f"There is no script {script}.")
    # It may import what lies beside it, as it can when it is run.
    beside = str(script.parent)
    sys.path.insert(0, beside)
    try:
        made = runpy.run_path(str(script), run_name="job_of_script")
    finally:
        sys.path.remove(beside)
    jobs = {key: value for key, value in made.items() if isinstance(value, Job)}
    if name:
        if name not in jobs:
            raise InputError(f"{script} makes no job called {name}; it makes {', '.join(jobs) or 'none'}.")
        return jobs[name]
    different = list({id(job): job for job in jobs.values()}.values())
    if len(different) != 1:
        raise InputError(
            f"{script} makes {len(different) or 'no'} jobs; " + (f"name one of {', '.join(jobs)}." if jobs else "")
        )
    return different[0]
