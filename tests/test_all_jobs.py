"""Many jobs at a time: the same bytes on any executor, no job stops another, and who stops asking cancels the rest."""

from __future__ import annotations

import os
import pickle
import subprocess
import sys
from concurrent.futures import Executor, Future, ProcessPoolExecutor, ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path
from threading import Event

import pytest

import toolpaths as tp
from toolpaths.base.on_executor import as_they_come

T1 = tp.Cutter(1, tp.flat(6), feed_mm_min=1500, spindle_rpm=18000)
ROOT = Path(__file__).parent.parent


def block(width: float, depth: float = 6, **more: object) -> tp.Job:
    board = tp.Board(width=width, height=80, thickness=18)
    work = [tp.bore([(width / 2, 40)], 12, T1, depth=depth)]
    return tp.Job(f"Block {width:g}", [tp.Setup(tp.Fixture(board=board, grips=(board.outline,), **more), work)])


def unsafe(width: float) -> tp.Job:
    """A disc is cut free, and nothing holds it."""
    screws = tp.screws([(8, 8), (width - 8, 72)], head_diameter=9, height=3)
    board = tp.Board(width=width, height=80, thickness=18)
    work = [tp.contour(tp.circle(30, (width / 2, 40)), T1, depth=tp.through(0.3), side="inside")]
    return tp.Job(f"Disc {width:g}", [tp.Setup(tp.Fixture(board=board, screws=screws), work)])


@dataclass(frozen=True)
class Broken(tp.Job):
    """A job that cannot be judged: whatever it raises stays its own."""

    def report(self, *, cell: float = 0.25) -> tp.JobReport:
        raise OSError("the disk is full")


@dataclass(frozen=True)
class Fatal(tp.Job):
    """A job that takes its process with it, as one does that takes all memory."""

    def report(self, *, cell: float = 0.25) -> tp.JobReport:
        os._exit(1)


def as_kind(kind: type[tp.Job], job: tp.Job) -> tp.Job:
    return kind(f"{job.title} {kind.__name__}", job.setups)


def bytes_under(folder: Path) -> dict[str, bytes]:
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


def test_outcomes_are_those_of_the_reports_and_one_bad_job_stops_no_other():
    jobs = [block(90), as_kind(Broken, block(95)), block(100, depth=9), unsafe(110)]
    with ThreadPoolExecutor(2) as pool:
        found = {one.number: one for one in tp.judge_all(iter(jobs), executor=pool, cell=1.0)}
    assert sorted(found) == [0, 1, 2, 3]
    for number in (0, 2, 3):
        report, one = jobs[number].report(cell=1.0), found[number]
        assert (one.title, one.findings, one.ok) == (jobs[number].title, report.findings, report.ok)
        assert (one.seconds, one.removed_mm3) == (report.sides[0][1].seconds, report.stock.removed())
    assert not found[1].ok and str(found[1]) == "Block 95 Broken: not done: the disk is full"
    assert [found[number].ok for number in range(4)] == [True, False, True, False]


@pytest.mark.parametrize("executor", ["threads", pytest.param("processes", marks=pytest.mark.long)])
def test_what_is_written_is_the_same_on_any_executor(tmp_path, executor):
    jobs = [block(90), unsafe(100), block(110)]
    for job in (jobs[0], jobs[2]):
        job.write(tmp_path / "alone" / job.title.replace(" ", "-"), cell=1.0)
    kind = ThreadPoolExecutor if executor == "threads" else ProcessPoolExecutor
    with kind(2) as pool:
        found = sorted(tp.write_all(jobs, tmp_path / "all", executor=pool, cell=1.0), key=lambda one: one.number)
    assert bytes_under(tmp_path / "all") == bytes_under(tmp_path / "alone")
    assert [isinstance(one.error, tp.NotSafeError) for one in found] == [False, True, False]
    assert "not safe" in str(found[1].error) and found[1].files == ()
    assert {path for one in found for path in one.files} == {*(tmp_path / "all").glob("*/*")}
    assert pickle.loads(pickle.dumps(found[0])) == found[0]


def test_a_process_that_is_sent_a_job_does_not_plan_it_again(monkeypatch):
    job = block(90)
    monkeypatch.setattr("toolpaths.making.plan.setup.planned", None)
    monkeypatch.setattr("toolpaths.job.program_set.program", None)
    sent = pickle.loads(pickle.dumps(job))
    assert sent == job and sent.programs() == job.programs()
    with pytest.raises(TypeError):
        block(90)


def test_jobs_that_would_share_a_folder_are_refused_before_anything_is_written(tmp_path):
    with pytest.raises(tp.InputError, match="one folder: 'Block 90' and 'Block 90'"):
        tp.write_all([block(90), block(100), block(90, depth=9)], tmp_path / "all")
    with pytest.raises(tp.InputError, match="executor=3 must be an executor"):
        tp.judge_all([block(90)], executor=3)
    with pytest.raises(tp.InputError, match="jobs"):
        tp.judge_all(block(90))
    with pytest.raises(tp.InputError, match="cell"):
        tp.write_all([block(90)], tmp_path / "all", cell=0)
    assert not (tmp_path / "all").exists()


def test_a_folder_that_holds_another_job_is_the_error_of_one_outcome(tmp_path):
    block(95).write(tmp_path / "Block-90", cell=1.0)
    before = bytes_under(tmp_path)
    with ThreadPoolExecutor(2) as pool:
        found = {one.title: one for one in tp.write_all([block(90), block(100)], tmp_path, executor=pool, cell=1.0)}
    assert "another job" in str(found["Block 90"].error) and found["Block 100"].ok
    assert {name: bytes for name, bytes in bytes_under(tmp_path).items() if "100" not in name} == before


class ByHand(Executor):
    """Runs a task when it is told to; what is cancelled before is never run."""

    def __init__(self) -> None:
        self.futures: list[Future[int]] = []

    def submit(self, function, /, *args, **kwargs):
        future: Future[int] = Future()
        self.futures.append(future)
        if len(self.futures) == 1:
            future.set_running_or_notify_cancel()
            future.set_result(function(*args, **kwargs))
        return future


def test_who_stops_asking_cancels_what_has_not_begun():
    by_hand, seen = ByHand(), []
    results = as_they_come("Doubling", lambda number: seen.append(number) or 2 * number, range(5), by_hand)
    assert next(results).made == 0
    results.close()
    assert seen == [0] and all(future.cancelled() for future in by_hand.futures[1:])


def test_no_more_tasks_than_some_hundred_wait_at_a_time():
    """So that a list of very many jobs is not sent all at once."""
    most, begun, go_on = [0], [], Event()

    class Counting(ThreadPoolExecutor):
        def submit(self, function, /, *args, **kwargs):
            begun.append(1)
            most[0] = max(most[0], len(begun) - done[0])
            return super().submit(function, *args, **kwargs)

    done = [0]
    go_on.set()
    with Counting(2) as pool:
        for one in as_they_come("Waiting", lambda number: go_on.wait() and number, range(2_000), pool):
            assert one.error is None
            done[0] += 1
    assert done == [2_000] and most[0] <= 512


def test_an_executor_that_was_shut_down_is_said_for_each_job():
    pool = ThreadPoolExecutor(1)
    pool.shutdown()
    found = list(tp.judge_all([block(90), block(100)], executor=pool, cell=1.0))
    assert [one.number for one in found] == [0, 1]
    assert all("after shutdown" in str(one) for one in found)


def test_progress_tells_how_far_it_is(monkeypatch):
    monkeypatch.setattr("toolpaths.base.progress._SOON", -1.0)
    told = []
    with ThreadPoolExecutor(1) as pool, tp.progress(told.append):
        assert all(one.ok for one in tp.judge_all([block(90), block(100)], executor=pool, cell=1.0))
    assert [step[1:] for step in told if step.task == "Judging jobs"] == [(1, 2), (2, 2)]


@pytest.mark.long
def test_a_job_that_kills_its_process_is_lost_alone():
    jobs = [block(90), as_kind(Fatal, block(95)), *(block(width) for width in (100, 105, 110, 115, 120))]
    found = sorted(tp.judge_all(jobs, cell=1.0), key=lambda one: one.number)
    assert [one.ok for one in found] == [True, False, *[True] * 5]
    assert "terminated abruptly" in str(found[1])


@pytest.mark.long
def test_a_script_without_a_guard_is_told_to_have_one(tmp_path):
    script = tmp_path / "script.py"
    script.write_text(
        "import toolpaths as tp\nboard = tp.Board(width=90, height=80, thickness=18)\n"
        "T1 = tp.Cutter(1, tp.flat(6), feed_mm_min=1500, spindle_rpm=18000)\n"
        "job = tp.Job('Hole', [tp.Setup(tp.Fixture(board=board), [tp.bore([(45, 40)], 12, T1, depth=6)])])\n"
        "print(list(tp.judge_all([job])))\n"
    )
    run = subprocess.run(
        [sys.executable, str(script)], capture_output=True, text=True, timeout=120,
        env=os.environ | {"PYTHONPATH": str(ROOT)},
    )  # fmt: skip
    assert run.returncode and "if __name__ == '__main__':" in run.stderr.splitlines()[-1]


@pytest.mark.parametrize("on", ["threads", pytest.param("processes", marks=pytest.mark.long)])
def test_a_study_is_the_same_on_any_executor(on):
    job = block(90, depth=tp.through(0.5), spoilboard_depth=1.5)
    off = {"thickness": 0.3, "zero_z": 0.2, "cell": 2.0}
    kind = ThreadPoolExecutor if on == "threads" else ProcessPoolExecutor
    with kind(2) as pool:
        there = job.study(**off, executor=pool)
    assert there.as_dict() == job.study(**off).as_dict()
    assert there.corners == 4


@pytest.mark.long
def test_sizes_of_the_sample_are_the_same_on_a_cluster_of_two_processes(tmp_path):
    distributed = pytest.importorskip("distributed", reason="the extra 'cluster' is not installed")
    sys.path.insert(0, str(ROOT / "samples"))
    try:
        import size_range
    finally:
        sys.path.pop(0)
    for one in size_range.run(tmp_path / "pool", 6, None):
        assert one.ok, str(one)
    with (
        distributed.LocalCluster(
            n_workers=2, threads_per_worker=1, processes=True, host="127.0.0.1", dashboard_address=None
        ) as cluster,
        distributed.Client(cluster) as client,
    ):
        cluster_made = list(size_range.run(tmp_path / "cluster", 6, client.get_executor()))
        assert len(client.scheduler_info()["workers"]) == 2
    assert sorted(one.number for one in cluster_made) == list(range(6)) and all(one.ok for one in cluster_made)
    assert bytes_under(tmp_path / "cluster") == bytes_under(tmp_path / "pool") != {}
