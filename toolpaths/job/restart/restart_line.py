"""Where the user wants a program to go on: at a line, or after a piece of the work."""

from __future__ import annotations

from toolpaths.base.checks import shown, whole
from toolpaths.base.errors import InputError
from toolpaths.job.restart.job_program import JobProgram, WorkLines


def restart_line(of: JobProgram, line: int | None, after: str | int | None) -> int:
    """The line at which it goes on.

    line : as the user says it
    after : the name of an operation, or its number in the order of work of the program's head

    Raises InputError where neither or both are given, and for work that the program does not do, or does at several
    times.
    """
    if (line is None) == (after is None):
        raise InputError("Give line=, from which on the program is run again, or after=, what is done already.")
    if line is not None:
        return whole("line", line, 1)
    return (_named(of, after) if isinstance(after, str) else _numbered(of, after)).last + 1


def _numbered(of: JobProgram, after: object) -> WorkLines:
    if isinstance(after, bool) or not isinstance(after, int) or not 1 <= after <= len(of.work):
        raise InputError(f"after={shown(after)} is none of the work of {of.name}: {_listed(of)}.")
    return of.work[after - 1]


def _named(of: JobProgram, name: str) -> WorkLines:
    """The last step of that name, of several that follow each other."""
    numbers = [number for number, work in enumerate(of.work, start=1) if work.name == name]
    if not numbers:
        raise InputError(f"after={shown(name)} is none of the work of {of.name}: {_listed(of)}.")
    if numbers[-1] - numbers[0] >= len(numbers):
        raise InputError(
            f"after={shown(name)} is done at several times in {of.name}; give its number, one of "
            f"{', '.join(map(str, numbers))}: {_listed(of)}."
        )
    return of.work[numbers[-1] - 1]


def _listed(of: JobProgram) -> str:
    return ", ".join(f"{number}. {work.name}" for number, work in enumerate(of.work, start=1))
