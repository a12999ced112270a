"""How far a task is that takes longer than a second: shown on a terminal, else told to whom asks for it."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager, nullcontext
from contextvars import ContextVar
from time import monotonic
from typing import NamedTuple, TypeVar

from toolpaths.base.checks import shown
from toolpaths.base.errors import InputError

# s; what is done sooner is not worth a word.
_SOON = 1.0

Item = TypeVar("Item")


class Progress(NamedTuple):
    """A task, and how many of its steps are done, and how many there are."""

    task: str
    done: int
    steps: int


Listener = Callable[[Progress], object]
# Whom the tasks of this thread tell; it decides nothing that is made or found.
_LISTENER: ContextVar[Listener | None] = ContextVar("listener", default=None)


@contextmanager
def progress(listener: Listener) -> Iterator[None]:
    """Tell a function how far planning, reading, judging and studies are, within a with block: for notebooks, windows.

    listener : called with a Progress(task, done, steps) after each step of a task that takes longer than a second; what
        it raises ends the task, and nothing is written then

    Unless it is used a terminal shows it in one line, which it wipes again, and anything else nothing.

    >>> import toolpaths as tp
    >>> seen = []
    >>> with tp.progress(seen.append):
    ...     board = tp.Board(width=200, height=140, thickness=18)
    >>> seen
    []

    Raises InputError for what cannot be called.
    """
    if not callable(listener):
        raise InputError(f"listener must be a function of one argument, not {shown(listener)}.")
    before = _LISTENER.set(listener)
    try:
        yield
    finally:
        _LISTENER.reset(before)


@contextmanager
def untold() -> Iterator[None]:
    """Tell nobody within a with block, nor show a line on the terminal: for one of many tasks of a task that tells."""
    before = _LISTENER.set(lambda _: None)
    try:
        yield
    finally:
        _LISTENER.reset(before)


def step_by_step(task: str, items: Sequence[Item]) -> Iterator[Item]:
    """The items of a task, one after the other; after each it is told how far that is."""
    with telling(task) as tell:
        for number, item in enumerate(items, start=1):
            yield item
            tell(number, len(items))


@contextmanager
def telling(task: str) -> Iterator[Callable[[int, int], None]]:
    """A function to be called with how many steps of a task are done, and how many there are, after each."""
    listener = _LISTENER.get()
    with _line_on_terminal() if listener is None and sys.stderr.isatty() else nullcontext(listener) as hear:
        begun = monotonic()

        def tell(done: int, steps: int) -> None:
            if hear is not None and monotonic() - begun > _SOON:
                hear(Progress(task, done, steps))

        yield tell


@contextmanager
def _line_on_terminal() -> Iterator[Listener]:
    """One line, written over itself, and wiped in the end."""
    written = list[str]()

    def write(step: Progress) -> None:
        written.append(f"{step.task}: {step.done} of {step.steps}")
        print(f"\r\x1b[K{written[-1]}", end="", file=sys.stderr, flush=True)

    try:
        yield write
    finally:
        if written:
            print("\r\x1b[K", end="", file=sys.stderr, flush=True)
