"""The checks of lines that are not run: unreadable, unknown to the controller, or after the end."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from toolpaths.base.errors import ProgramError
from toolpaths.judging.trial.case import Case
from toolpaths.judging.trial.findings import NOWHERE, Finding

# Errors after which nothing is read: of two of them there is nothing more to say.
_AT_THE_END = {
    "program-end": "",
    "too-many-errors": "",
    "zero-lost": " The rest of the program is not judged.",
}
_READ_ON = (
    " The rest is judged without this line; moves are left out until the program has named again each of X, Y and Z "
    "that this line would have set."
)
_ALLOWED = " Many controllers allow it, others stop there; it is judged as those read it that do."
_OTHER = {"unknown-code": " It is judged as if it moved nothing, which only the maker of the machine knows."}


def unreadable(case: Case) -> Iterator[Finding]:
    """A line that breaks a rule of the language: a machine stops there, or does who knows what.

    A doubt where many controllers allow it, all in the same way (common practice, no source): then it is judged as
    they read it.
    """
    for message, where in _by_message((e, _AT_THE_END.get(e.code, _READ_ON)) for e in case.program.errors):
        yield Finding("unreadable", "danger", where[0], NOWHERE, 0.0, 0.0, message, len(where), where)
    for message, where in _by_message((e, _OTHER.get(e.code, _ALLOWED)) for e in case.program.allowed):
        yield Finding("unreadable", "doubt", where[0], NOWHERE, 0.0, 0.0, message, len(where), where)


def _by_message(errors: Iterable[tuple[ProgramError, str]]) -> Iterator[tuple[str, tuple[int, ...]]]:
    """Each message, with what is added to it, and the lines of the errors that have it."""
    lines: dict[str, list[int]] = {}
    for error, more in errors:
        lines.setdefault(error.message + more, []).append(error.line)
    for message, where in lines.items():
        yield message, tuple(where)


def unknown_code(case: Case) -> Iterator[Finding]:
    """A word that the controller lacks: it stops there, or skips it without a word."""
    machine = case.fixture.machine
    for code, line in case.program.codes:
        if code not in machine.codes:
            text = f"the controller of the {machine.name} does not understand {code}."
            yield Finding("unknown-code", "damage", line, NOWHERE, 0.0, 0.0, text, 1, (line,))


def after_end(case: Case) -> Iterator[Finding]:
    """Words that are never run."""
    line = case.program.after_end
    if line:
        text = "the program has ended before this line, so it is never run."
        yield Finding("after-end", "doubt", line, NOWHERE, 0.0, 0.0, text, 1, (line,))
