"""Places in a program that are worth going to: where work begins, where the operator is called, and what was found."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from toolpaths.judging.trial.case import Case
from toolpaths.judging.trial.cutter_in_spindle import STOPS
from toolpaths.judging.trial.findings import Finding
from toolpaths.judging.trial.operations_named import beginnings

# Findings listed at most: the gravest of a program that is wrong throughout say enough.
MOST_FINDINGS = 200


class Mark(NamedTuple):
    """line : of the text, 0 for the whole of it; kind : "work", "stop", "cutter" or "finding"; what : in words"""

    line: int
    kind: str
    what: str


def marks_of(case: Case, findings: Sequence[Finding]) -> list[Mark]:
    """In the order of the lines."""
    found = [Mark(line, "work", name) for line, name in zip(*beginnings(case.program), strict=True)]
    found += _calls(case)
    some = findings[:MOST_FINDINGS]
    found += [Mark(each.line, "finding", f"{each.severity}, {each.code}: {each.message}") for each in some]
    return sorted(found, key=lambda mark: (mark.line, mark.kind != "work"))


def _calls(case: Case) -> Iterator[Mark]:
    for event in case.events:
        if event.code in STOPS:
            yield Mark(event.line, "stop", event.text or event.code)
        elif event.code == "M6":
            yield Mark(event.line, "cutter", case.name(event.tool))
