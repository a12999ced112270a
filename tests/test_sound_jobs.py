"""Random jobs of a careful person: the library's own programs for them give no finding."""

from __future__ import annotations

from collections import Counter
from functools import cache
from random import Random

import pytest
from sound_features import Plan, Room, grooves, shop
from sound_jobs import Job, false_alarms, job, jobs, texts_of

import toolpaths as tp

PORTIONS = range(5)


@cache
def portion_of(number: int) -> list[Job]:
    """Eight jobs; `python tests/sound_jobs.py 200` judges more of them, and finely."""
    made, refused = jobs(8, 14 * number)
    assert len(made) == 8 and len(refused) < 8, "most jobs are to be judged, not refused"
    return made


@pytest.mark.sample(1, long=1)
@pytest.mark.parametrize("number", PORTIONS)
def test_no_finding_against_sound_jobs(number):
    made = portion_of(number)
    assert sum(text.count("\n") for each in made for text in texts_of(each)) > 3_000
    assert false_alarms(made, cell=1.0) == []
    assert texts_of(job(made[1].seed)) == texts_of(made[1]), "a job is the same every time"


@pytest.mark.parametrize(("width", "height"), [(43.0, 74.0), (60.0, 40.0), (41.0, 41.0)])
def test_a_groove_stays_in_its_room(width, height):
    """So that one from the other face in the next room leaves the wall between them whole."""
    room, board = Room(100.0, 90.0, width, height), tp.Board(width=200, height=180, thickness=18)
    within = tp.rectangle(width, height, (100.0, 90.0)).buffer(0.01, join_style="mitre")
    for seed in range(60):
        rng, plan = Random(seed), Plan()
        grooves(rng, plan, room, board, shop(rng, inches=False), 0.0, False)
        ((_, groove),) = plan.work
        assert within.contains(groove.drawn.buffer(groove.cutter.radius)), (seed, groove)


@pytest.mark.long
def test_jobs_are_of_every_kind():
    """Both sides, both units, every zero, every way to change cutters, hold-downs of every kind, all operations."""
    sample = [made for number in PORTIONS for made in portion_of(number)]
    assert sum(text.count("\n") for made in sample for text in texts_of(made)) > 20_000
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
