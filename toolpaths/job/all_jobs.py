"""Many jobs judged and written at a time, on the cores of this machine or on others."""

from __future__ import annotations

import os
from collections.abc import Iterable, Iterator, Sequence
from concurrent.futures import Executor
from dataclasses import replace
from functools import partial
from pathlib import Path
from typing import NamedTuple

from toolpaths.base.checks import file_path, positive, values
from toolpaths.base.errors import InputError, NotSafeError
from toolpaths.base.on_executor import as_they_come, checked_executor
from toolpaths.job.folder import TextsOfJob, file_name, paths_of, put_in_folder, same_file
from toolpaths.job.job import Job
from toolpaths.job.judged import check_safe
from toolpaths.job.outcome import Outcome, outcome_of


def judge_all(jobs: Iterable[Job], *, executor: Executor | None = None, cell: float = 0.25) -> Iterator[Outcome]:
    """Judge many jobs, each as its report() does; the outcome of each as soon as it is there, in no order.

    executor : of concurrent.futures: threads, processes, or those of other machines, whose Python has this library. It
        is not shut down. Unless given processes are started, as many as there are cores: a script then keeps what it
        does under `if __name__ == "__main__":`
    cell : mm, as for Job.report()

    A job that cannot be judged, whatever the reason, has an outcome with an error, and stops no other. Who stops asking
    cancels what has not begun. progress() tells how far it is.

    >>> import toolpaths as tp
    >>> from concurrent.futures import ThreadPoolExecutor
    >>> T1 = tp.Cutter(1, tp.flat(6), feed_mm_min=1500, spindle_rpm=18000)
    >>> def block(width):
    ...     board = tp.Board(width=width, height=80, thickness=18)
    ...     return tp.Job(f"Block {width}", [tp.Setup(tp.Fixture(board=board, grips=(board.outline,)),
    ...                                               [tp.bore([(width / 2, 40)], 12, T1, depth=6)])])
    >>> with ThreadPoolExecutor(2) as pool:
    ...     found = sorted(tp.judge_all(map(block, (90, 100)), executor=pool, cell=1.0), key=lambda one: one.number)
    >>> [(one.title, one.ok) for one in found]
    [('Block 90', True), ('Block 100', True)]

    Raises InputError for what is no job and no executor; and where processes of its own end before they do anything.
    """
    listed, given, width = values("jobs", jobs, Job), checked_executor("executor", executor), positive("cell", cell)
    return _judgements(listed, given, width)


def write_all(
    jobs: Iterable[Job],
    folder: str | os.PathLike[str],
    *,
    executor: Executor | None = None,
    suffix: str = ".nc",
    cell: float = 0.25,
) -> Iterator[Outcome]:
    """Judge and write many jobs, each as its write() does, into a folder of its own that is called after its title.

    folder : in which those folders are
    executor : as for judge_all(); programs are made there, and written here
    suffix, cell : as for Job.write()

    What is written is the same, byte for byte, as write() gives, whatever the executor. A job that is not safe has an
    outcome with a NotSafeError, and nothing of it is written; the others are.

    >>> import tempfile
    >>> import toolpaths as tp
    >>> from concurrent.futures import ThreadPoolExecutor
    >>> board = tp.Board(width=90, height=80, thickness=18)
    >>> T1 = tp.Cutter(1, tp.flat(6), feed_mm_min=1500, spindle_rpm=18000)
    >>> work = [tp.bore([(45, 40)], 12, T1, depth=6)]
    >>> job = tp.Job("Block 90", [tp.Setup(tp.Fixture(board=board, grips=(board.outline,)), work)])
    >>> with ThreadPoolExecutor(2) as pool, tempfile.TemporaryDirectory() as folder:
    ...     for one in tp.write_all([job], folder, executor=pool, cell=1.0):
    ...         print(one.ok, *(path.relative_to(folder).as_posix() for path in one.files))
    True Block-90/front.nc Block-90/sheet.html

    Raises InputError for two jobs of one title, before anything is written, and as judge_all() does.
    """
    listed, given, width = values("jobs", jobs, Job), checked_executor("executor", executor), positive("cell", cell)
    base = file_path("folder", folder)
    paths_of(base, (), suffix)
    _check_apart(listed)
    return _written(listed, given, base, suffix, width)


def _check_apart(jobs: Sequence[Job]) -> None:
    """Raises InputError for two jobs whose folders would be one."""
    first: dict[str, Job] = {}
    for job in jobs:
        other = first.setdefault(same_file(job.title), job)
        if other is not job:
            raise InputError(
                f"Two jobs would be written to one folder: {other.title!r} and {job.title!r}. Give each a title of "
                "its own, such as its size. Nothing was written."
            )


def _judgements(jobs: Sequence[Job], executor: Executor | None, cell: float) -> Iterator[Outcome]:
    for done in as_they_come("Judging jobs", partial(_judged, cell=cell), jobs, executor):
        yield _outcome_of_done(jobs, done.number, done.made, done.error)


def _written(
    jobs: Sequence[Job], executor: Executor | None, folder: Path, suffix: str, cell: float
) -> Iterator[Outcome]:
    for done in as_they_come("Writing jobs", partial(_made, suffix=suffix, cell=cell), jobs, executor):
        outcome, error = None, done.error
        if done.made is not None:
            title = jobs[done.number].title
            try:
                files = put_in_folder(folder / file_name(title), title, done.made.texts, suffix)
                outcome = replace(done.made.outcome, files=files)
            except InputError as why_not:
                error = why_not
        yield _outcome_of_done(jobs, done.number, outcome, error)


def _outcome_of_done(jobs: Sequence[Job], number: int, outcome: Outcome | None, error: BaseException | None) -> Outcome:
    if outcome is None:
        return Outcome(number=number, title=jobs[number].title, error=error)
    return replace(outcome, number=number)


class _Made(NamedTuple):
    """A job that is sound, ready to be written where that was asked for."""

    outcome: Outcome
    texts: TextsOfJob


def _judged(job: Job, cell: float) -> Outcome:
    return outcome_of(job.title, job.report(cell=cell))


def _made(job: Job, suffix: str, cell: float) -> _Made:
    report = job.report(cell=cell)
    try:
        check_safe(job.title, report)
    except NotSafeError as error:
        # The report holds all of the wood, which is much to send.
        raise NotSafeError(error.message) from None
    texts = TextsOfJob(job.programs(), job.sheet(report, suffix=suffix), job.identity)
    return _Made(outcome_of(job.title, report), texts)
