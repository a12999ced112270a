"""The operations of a program as its own comments tell them: listed in the head, and named again where each begins."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable
from dataclasses import replace

from toolpaths.facts.head_lines import WORK
from toolpaths.judging.reader.motions import Program
from toolpaths.judging.trial.findings import Finding

# More than any line.
_NO_LINE = 1 << 62


def with_operations(program: Program, findings: Iterable[Finding]) -> list[Finding]:
    """Findings with the operations at whose lines they stand; "" among them for a line before all of them."""
    begins, names = beginnings(program)
    return [
        replace(one, operations=_at(begins, names, one.lines or (one.line,))) if begins and one.line else one
        for one in findings
    ]


def beginnings(program: Program) -> tuple[list[int], list[str]]:
    """The lines on which operations begin, and their names."""
    listed = {found["name"]: line for line, text in program.comments if (found := WORK.read(text))}
    begins = [(line, text) for line, text in program.comments if listed.get(text, line) < line]
    return [line for line, _ in begins], [text for _, text in begins]


def sections_named(program: Program, name: str) -> list[tuple[int, int]]:
    """The first line, and the line after the last, of each stretch of a program in which this operation works."""
    begins, names = beginnings(program)
    ends = [*begins[1:], _NO_LINE][: len(begins)]
    return [(first, end) for first, end, own in zip(begins, ends, names, strict=True) if name and own == name]


def _at(begins: list[int], names: list[str], lines: Iterable[int]) -> tuple[str, ...]:
    """The names of the operations at these lines, each once."""
    numbers = (bisect_right(begins, line) - 1 for line in lines)
    return tuple(dict.fromkeys(names[number] if number >= 0 else "" for number in numbers))
