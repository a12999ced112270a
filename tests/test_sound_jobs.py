"""Random jobs of a careful person: the library's own programs for them give no finding."""

from __future__ import annotations

from collections import Counter

from sound_jobs import job, tally

import toolpaths as tp


def test_no_finding_against_sound_jobs():
    """A sample in coarse cells; `python tests/sound_jobs.py 200` judges more of them, finely."""
    result = tally(40, cell=1.0)

    assert result.found == []
    assert result.accepted == 40
    assert len(result.refused) < 20, "most jobs are to be judged, not refused"
    assert result.lines > 20_000


def test_a_job_is_the_same_every_time():
    one, two = ([side.texts for side in job(2).sides] for _ in range(2))
    assert one
    assert one == two


def test_jobs_are_of_every_kind():
    """Both sides, both units, every zero, every way to change cutters, hold-downs of every kind, all operations."""
    seen: Counter[str] = Counter()
    for seed in range(50):
        try:
            made = job(seed)
        except tp.ToolpathsError:
            continue
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
