"""Random jobs of a careful person: the library's own programs for them give no finding."""

from __future__ import annotations

from collections import Counter

import pytest
from sound_jobs import found_in, job, jobs, texts_of


@pytest.fixture(scope="module")
def sample():
    """Forty jobs; `python tests/sound_jobs.py 200` judges more of them, and finely."""
    made, refused = jobs(40)
    assert len(refused) < 20, "most jobs are to be judged, not refused"
    return made


def test_no_finding_against_sound_jobs(sample):
    assert sum(text.count("\n") for made in sample for text in texts_of(made)) > 20_000
    assert found_in(sample, cell=1.0) == []


def test_a_job_is_the_same_every_time(sample):
    assert texts_of(job(sample[1].seed)) == texts_of(sample[1])


def test_jobs_are_of_every_kind(sample):
    """Both sides, both units, every zero, every way to change cutters, hold-downs of every kind, all operations."""
    seen: Counter[str] = Counter()
    for made in sample:
        seen[f"{len(made.sides)} sides"] += 1
        for side in made.sides:
            fixture, text = side.setup.fixture, "".join(side.texts.values())
            seen.update([fixture.zero_at, fixture.zero_on, fixture.turned, "G20" if "G20" in text else "G21"])
            seen.update(code for code in ("G81", "G82", "G83", "G2 ", "M6", "(MSG, Fit", "(MSG, Drive") if code in text)
            seen.update(name for name in ("screws", "clamps", "dowels", "grips") if getattr(fixture, name))
            seen["files"] += "all" not in side.texts
            seen.update({step.name.split()[0] for step in side.setup.steps if hasattr(step, "name")})
    wanted = [
        "1 sides", "2 sides", "lower left", "lower right", "upper left", "centre", "top", "spoilboard", "left to right",
        "top to bottom", "G20", "G21", "G81", "G82", "G83", "G2 ", "M6", "(MSG, Fit", "(MSG, Drive", "screws", "clamps",
        "dowels", "grips", "files", "level", "bore", "drill", "pocket", "groove", "chamfer", "contour",
    ]  # fmt: skip
    assert [name for name in wanted if not seen[name]] == []
