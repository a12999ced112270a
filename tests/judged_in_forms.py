"""Judges that see every text in a form of writing, and say what they find by the lines of the text as it was.

`in_form` changes what `simulate` and `verify` are for the tests' modules, so whatever judges a planted fault judges it
in that form: the fault's own text, the front's before it, the other side's beside it.
"""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import replace
from functools import partial
from typing import Any
from unittest import mock

from forms import OTHER_ZERO, Apart, Program, Written, text_of, written_in

import toolpaths as tp
from toolpaths.facts.fixture import Fixture
from toolpaths.judging.job_report import JobReport
from toolpaths.judging.report import Report
from toolpaths.judging.simulate import simulate
from toolpaths.judging.trial.findings import Finding, in_order
from toolpaths.judging.verify import verify

# Findings about wood that a later program may still take.
_UNFINISHED = ("leftover", "not-parted")


def mapped(finding: Finding, program: Program) -> Finding:
    """A finding by the old lines."""
    of = [0, *(line.of for line in program)]
    lines = tuple(dict.fromkeys(of[line] for line in finding.lines))
    return replace(finding, line=of[finding.line], lines=lines)


class FormJudge:
    """simulate() and verify() in one form; `written` counts the texts that it wrote anew."""

    def __init__(self, form: str) -> None:
        self.form = form
        self.written = 0

    def _programs(self, text: str, fixture: Fixture) -> tuple[list[Program], Fixture]:
        try:
            programs, there = written_in(self.form, text, fixture)
        except Apart:
            return _as_it_stands(text), fixture
        self.written += 1
        return programs, there

    def simulate(self, text: str, fixture: Fixture, cutters: Any, **more: Any) -> Report:
        programs, there = self._programs(text, fixture)
        found: list[Finding] = []
        # Coarser than by itself: what is judged does not depend on it, and there are many.
        more = {"cell": 0.5} | more
        for at, program in enumerate(programs):
            report = simulate(text_of(program), there, cutters, **more)
            last = at == len(programs) - 1
            found += [mapped(f, program) for f in report.findings if last or f.code not in _UNFINISHED]
            more = more | {"stock": report.stock}
        return replace(report, findings=in_order(found))

    def verify(self, sides: Any, cutters: Any, **more: Any) -> JobReport:
        every: list[Program] = []
        forms = []
        for texts, fixture in sides:
            names = list(texts.values() if isinstance(texts, Mapping) else [texts] if isinstance(texts, str) else texts)
            written = [self._programs(text, fixture) for text in names]
            if self.form == OTHER_ZERO and any(there is fixture for _, there in written):
                # One zero for the whole job.
                return verify(sides, cutters, **more)
            programs = [program for some, _ in written for program in some]
            every += programs
            there = next((f for _, f in written if f is not fixture), fixture)
            forms.append(([text_of(program) for program in programs], there))
        report = verify(forms, cutters, **more)
        of = {name: program for (name, _), program in zip(report.sides, every, strict=True)}
        found = [f._replace(finding=mapped(f.finding, of[f.side])) if f.side else f for f in report.findings]
        return replace(report, findings=tuple(found))


def _as_it_stands(text: str) -> list[Program]:
    return [[Written(line, at) for at, line in enumerate(text.splitlines(), start=1)]]


def _modules() -> list[Any]:
    return [module for name, module in list(sys.modules.items()) if name.startswith(("planted", "hand_programs"))]


def _forget() -> None:
    """What was judged in one form is not to be taken for another."""
    for module in _modules():
        for value in vars(module).values():
            if hasattr(value, "cache_clear"):
                value.cache_clear()


@contextmanager
def in_form(form: str) -> Iterator[FormJudge]:
    judge = FormJudge(form)
    taken = {simulate: judge.simulate, verify: judge.verify}
    _forget()
    with mock.patch.object(tp, "simulate", judge.simulate), mock.patch.object(tp, "verify", judge.verify):
        patches = [
            mock.patch.object(module, name, taken[value])
            for module in _modules()
            for name, value in vars(module).items()
            if value is simulate or value is verify
        ]
        for patch in patches:
            patch.start()
        try:
            yield judge
        finally:
            for patch in patches:
                patch.stop()
            _forget()


def judge_in(judge: FormJudge, judged: Callable[[str], Any], text: str) -> Any:
    """What a fault's own judge says of a text in the form, under `in_form`."""
    if isinstance(judged, partial) and judged.func in (simulate, verify):
        return getattr(judge, judged.func.__name__)(*judged.args, text, **judged.keywords)
    return judged(text)
