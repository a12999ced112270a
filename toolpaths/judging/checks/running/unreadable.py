"""The checks of lines that are not run: unreadable, unknown to the controller, or after the end."""

from __future__ import annotations

from collections.abc import Iterator

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
_OTHER_CODE = " It is judged as if it moved nothing, which only the maker of the machine knows."


def unreadable(case: Case) -> Iterator[Finding]:
    """A line that breaks a rule of the language: a machine stops there, or does who knows what.

    A doubt where many controllers allow it, all in the same way (common practice, no source): then it is judged as
    they read it.
    """
    for errors, severity in ((case.program.errors, "danger"), (case.program.allowed, "doubt")):
        lines: dict[str, list[int]] = {}
        for error in errors:
            if severity == "doubt":
                after = _OTHER_CODE if error.code == "unknown-code" else _ALLOWED
            else:
                after = _AT_THE_END.get(error.code, _READ_ON)
            lines.setdefault(error.message + after, []).append(error.line)
        for message, where in lines.items():
            yield Finding("unreadable", severity, where[0], NOWHERE, 0.0, 0.0, message, len(where), tuple(where))


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
