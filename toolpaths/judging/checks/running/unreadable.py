"""The checks of lines that are not run: unreadable, unknown to the controller, or after the end."""

from __future__ import annotations

from collections.abc import Iterator

from toolpaths.judging.trial.case import Case
from toolpaths.judging.trial.findings import NOWHERE, Finding

# Errors after which nothing is read: of the first two there is nothing more to say.
_AT_THE_END = {
    "semicolon": " Many controllers take it for one, and so it is judged.",
    "program-end": "",
    "too-many-errors": "",
    "zero-lost": " The rest of the program is not judged.",
}
_READ_ON = (
    " The rest is judged without this line; moves are left out until the program has named again each of X, Y and Z "
    "that this line would have set."
)


def unreadable(case: Case) -> Iterator[Finding]:
    """A line that breaks a rule of the language: a machine stops there, or does who knows what."""
    lines: dict[tuple[str, str], list[int]] = {}
    for error in case.program.errors:
        lines.setdefault((error.code, error.message), []).append(error.line)
    for (code, message), where in lines.items():
        text = message + _AT_THE_END.get(code, _READ_ON)
        yield Finding(
            "unreadable", "doubt" if code == "semicolon" else "danger", where[0], NOWHERE, 0.0, 0.0, text,
            len(where), tuple(where),
        )  # fmt: skip


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
