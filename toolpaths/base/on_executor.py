"""Many tasks on any executor of concurrent.futures, or on processes of their own, each result as it comes."""

from __future__ import annotations

import os
from collections import deque
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import (
    FIRST_COMPLETED,
    BrokenExecutor,
    CancelledError,
    Executor,
    Future,
    ProcessPoolExecutor,
    wait,
)
from dataclasses import dataclass
from multiprocessing import current_process, get_context
from typing import Any, Generic, TypeVar

from toolpaths.base.checks import shown
from toolpaths.base.errors import InputError
from toolpaths.base.progress import telling, untold

Item = TypeVar("Item")
Made = TypeVar("Made")
# Tasks that an executor of others holds at a time: enough for a large cluster, and no million of jobs.
_IN_FLIGHT = 512
_NEVER_BEGAN = (
    "The processes ended before they did anything. A script that starts them keeps what it does under "
    "`if __name__ == '__main__':`, since each of them reads the script; or memory ran out: give an executor with fewer."
)


# A tuple with names cannot be generic before Python 3.11.
@dataclass(frozen=True)
class Done(Generic[Made]):
    """One task: its number from 0, and what came of it, or else why nothing did."""

    number: int
    made: Made | None
    error: BaseException | None


_Numbered = deque[tuple[int, Any]]


def checked_executor(name: str, executor: Any) -> Executor | None:
    """What tasks can be submitted to, or None. Raises InputError for anything else."""
    if executor is not None and not isinstance(executor, Executor):
        raise InputError(
            f"{name}={shown(executor)} must be an executor of concurrent.futures, such as ProcessPoolExecutor() or "
            "what a cluster's client gives; or left out, for a pool of processes."
        )
    return executor


def as_they_come(
    task: str, function: Callable[[Item], Made], items: Sequence[Item], executor: Executor | None
) -> Iterator[Done[Made]]:
    """What a function makes of each item, in the order in which they are ready; an error of one stops no other.

    task : what it is called where progress is told
    executor : whose it is keeps it; without one processes are started, as many as there are cores, and ended

    Who stops asking cancels what has not begun. Of tasks during which a process of its own died each is tried again
    alone, so that only the one that kills it is lost.

    Raises InputError where processes of its own end before they do anything.
    """
    waiting: _Numbered = deque(enumerate(items))
    runs = _on_own_processes(function, waiting) if executor is None else _on_given(executor, function, waiting)
    with telling(task) as tell:
        for count, done in enumerate(runs, start=1):
            tell(count, len(items))
            yield done


def _on_own_processes(function: Callable[[Any], Made], waiting: _Numbered) -> Iterator[Done[Made]]:
    if getattr(current_process(), "_inheriting", False):  # what multiprocessing itself goes by, too
        raise InputError(_NEVER_BEGAN)
    workers, known, some_done = min(os.cpu_count() or 1, len(waiting)), dict(waiting), False
    while waiting:
        died = []
        with _processes(workers) as pool:
            for done in _until_broken(pool, function, waiting, 2 * workers):
                if isinstance(done.error, BrokenExecutor):
                    died.append(done.number)
                else:
                    some_done = True
                    yield done
        for number in died:
            with _processes(1) as pool:
                (done,) = _until_broken(pool, function, deque([(number, known[number])]), 1)
            if isinstance(done.error, BrokenExecutor) and not some_done:
                raise InputError(_NEVER_BEGAN) from done.error
            some_done = True
            yield done


def _processes(workers: int) -> ProcessPoolExecutor:
    """Begun anew, so that they hold no lock and no memory of this one."""
    return ProcessPoolExecutor(workers, get_context("spawn"))


def _on_given(executor: Executor, function: Callable[[Any], Made], waiting: _Numbered) -> Iterator[Done[Made]]:
    error = None
    for done in _until_broken(executor, function, waiting, _IN_FLIGHT):
        error = done.error
        yield done
    yield from (Done(number, None, error) for number, _ in waiting)


def _until_broken(
    executor: Executor, function: Callable[[Any], Made], waiting: _Numbered, at_once: int
) -> Iterator[Done[Made]]:
    """What becomes of tasks, which it takes off the list; once the executor takes no more the rest stays there."""
    running: dict[Future[Made], int] = {}
    takes_more = True
    try:
        while running or (waiting and takes_more):
            while waiting and takes_more and len(running) < at_once:
                number, item = waiting.popleft()
                try:
                    running[executor.submit(_untold, function, item)] = number
                except RuntimeError as error:  # it is broken, or was shut down
                    takes_more = False
                    yield Done(number, None, error)
            finished, _ = wait(running, return_when=FIRST_COMPLETED)
            for future in sorted(finished, key=running.__getitem__):
                done = _outcome(running.pop(future), future)
                takes_more = takes_more and not isinstance(done.error, BrokenExecutor)
                yield done
    finally:
        for future in running:
            future.cancel()


def _untold(function: Callable[[Item], Made], item: Item) -> Made:
    """What a function makes of an item. A process that was forked holds the listener of this one, which is none of it;
    and a worker that shares the terminal would write over the line that tells of all."""
    with untold():
        return function(item)


def _outcome(number: int, future: Future[Made]) -> Done[Made]:
    try:
        return Done(number, future.result(), None)
    except (Exception, CancelledError) as error:
        return Done(number, None, error)
