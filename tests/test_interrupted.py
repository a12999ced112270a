"""Ctrl-C while a job is planned, judged and written: what was in the folder stays, whole, and nothing else is left."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest
from restart_job import job

from toolpaths.making.writer import files

SCRIPT = """
import sys
sys.path.insert(0, {tests!r})
from restart_job import job
made = job("files", "inch")
print("begun", flush=True)
made.write({folder!r}, cell=0.1)
print("written", flush=True)
"""


def _all_of(folder: Path) -> dict[str, bytes]:
    return {str(path.relative_to(folder)): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


@pytest.mark.parametrize("nth", range(4))
@pytest.mark.parametrize("step", ["replace", "fsync"])
def test_an_interruption_at_any_step_of_the_writing_leaves_the_old_set_or_the_new(step, nth, tmp_path, monkeypatch):
    """A fault planted at the n-th file that is put on the disk, or in its place."""
    old, new = {tmp_path / f"{n}.nc": f"old {n}" for n in "ab"}, {tmp_path / f"{n}.nc": f"new {n}" for n in "abc"}
    files.write_whole(old)
    before, real, count = _all_of(tmp_path), getattr(os, step), iter(range(100))

    def interrupted(*arguments):
        if next(count) == nth:
            raise KeyboardInterrupt
        return real(*arguments)

    monkeypatch.setattr(files.os, step, interrupted)
    if nth < 3:
        with pytest.raises(KeyboardInterrupt):
            files.write_whole(new)
        assert _all_of(tmp_path) == before
    else:
        files.write_whole(new)
        assert _all_of(tmp_path) == {f"{n}.nc": f"new {n}".encode() for n in "abc"}


@pytest.mark.sample(0, long=5)
@pytest.mark.parametrize("seconds", [0.05, 0.4, 0.9, 1.6, 2.5])
def test_ctrl_c_in_the_middle_of_a_job_leaves_the_set_that_was_there(seconds, tmp_path):
    folder = tmp_path / "set"
    job("files").write(folder, cell=2.0)
    before, new = _all_of(folder), {text.encode() for text in job("files", "inch").programs().values()}
    script = SCRIPT.format(tests=str(Path(__file__).parent), folder=str(folder))
    run = subprocess.Popen([sys.executable, "-c", script], stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)
    assert run.stdout is not None and run.stdout.readline() == "begun\n"
    time.sleep(seconds)
    run.send_signal(signal.SIGINT)
    said, errors = run.communicate(timeout=120)
    after = _all_of(folder)
    assert after.keys() == before.keys(), "nothing is left beside the set"
    if "KeyboardInterrupt" in errors:
        assert run.returncode != 0
    else:
        assert "written" in said and not errors
    if "written" in said or after != before:  # it was done by then, or all but for saying so
        assert {after[name] for name in after if name.endswith(".nc")} == new
    assert "\r" not in errors, "no line of progress where there is no terminal"
