"""Programs that are kept: the present code writes the same bytes, with any version of what it stands on."""

from __future__ import annotations

import inspect
import re
import sys
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parent / "golden"))

from golden_jobs import JOBS
from kept_programs import PROGRAMS, SUMS, difference, kept, kept_sums, made, sample_names, sample_sums

import toolpaths as tp


@pytest.mark.sample(1)
@pytest.mark.parametrize("name", JOBS)
def test_job_makes_the_bytes_that_were_kept(name: str) -> None:
    before, now = kept(name), made(name)
    assert before.keys() == now.keys()
    apart = [difference(file, before[file], now[file]) for file in before if before[file] != now[file]]
    assert not apart, "\n".join(apart)


@pytest.mark.long
@pytest.mark.parametrize("sample", sample_names())
def test_sample_makes_the_bytes_that_were_kept(sample: str) -> None:
    before = kept_sums(sample)
    assert before and sample_sums(sample) == before


def test_what_is_kept_is_whole() -> None:
    """Each file belongs to a job, each operation stands in one, and all of it stays small enough to be read."""
    files = list(PROGRAMS.glob("*.nc"))
    assert {path.name.partition(".")[0] for path in files} == set(JOBS)
    assert sum(path.stat().st_size for path in files) < 500_000
    assert all(re.fullmatch("[0-9a-f]{64}  .*", line) for line in SUMS.read_text().splitlines())
    sources = Path(inspect.getfile(JOBS["skin"])).read_text()
    functions = {name: thing for name in tp.__all__ if inspect.isfunction(thing := getattr(tp, name))}
    rooms = ("toolpaths.making.operations", "toolpaths.making.inlays")
    operations = {name for name, thing in functions.items() if thing.__module__.startswith(rooms)}
    assert len(operations) > 15
    assert {name for name in operations if f"tp.{name}(" not in sources} == set()


def test_a_difference_is_told_by_line() -> None:
    text = "G0 X1\nG1 Y2\nM2\n"
    assert difference("a.nc", text, "G0 X1\nG1 Y2.0001\n") == (
        "a.nc: 2 of 3 lines differ\nline 2: G1 Y2 -> G1 Y2.0001\nline 3: M2 -> (no line)"
    )
