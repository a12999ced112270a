"""The samples: their names, and the job that each makes."""

from __future__ import annotations

import inspect
import runpy
from pathlib import Path
from typing import NamedTuple

import toolpaths as tp

SAMPLES = Path(__file__).resolve().parents[1] / "samples"


class SampleScript(NamedTuple):
    """What a sample says of itself, and its job."""

    about: str
    job: tp.Job


def sample_names() -> list[str]:
    """All samples; a test of one beside it is none."""
    return sorted(path.stem for path in SAMPLES.glob("*.py") if not path.stem.startswith("test_"))


def sample_script(name: str) -> SampleScript:
    """A sample, run anew; of one that makes many sizes the job of the first."""
    script = runpy.run_path(str(SAMPLES / f"{name}.py"))
    job = script["job"] if "job" in script else script["front"](*script["sizes"]()[0])
    return SampleScript(inspect.cleandoc(script["__doc__"]), job)
