"""A program that goes on, judged on the board as the lines before it left it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from toolpaths.facts.part import Part
from toolpaths.job.accept import Accept, concerning, split
from toolpaths.job.judged import with_operations_of
from toolpaths.job.wood_left import Sides, number_of, settings_of, text_before
from toolpaths.judging.job_programs import report_of, trial_of
from toolpaths.judging.job_report import JobReport, SideFinding
from toolpaths.judging.report import Report
from toolpaths.judging.wood.field import Wood
from toolpaths.making.writer.program import ProgramText


def restart_report(
    sides: Sides,
    name: str,
    line: int,
    made: ProgramText,
    left: Wood,
    part: Part,
    accept: Sequence[Accept],
    *,
    cell: float,
    thinnest_web: float,
) -> JobReport:
    """The judgement of the text of a restart alone; of what the job accepts what concerns it.

    sides : the setups of the board, each with the texts of its programs, as the job has them
    name, line : the program that was stopped, before this line
    made : the one that goes on
    left : the board as the lines before that one left it
    """
    report = _judged(sides, name, line, made.text, left, part, cell, thinnest_web)
    called = f"{name} from line {line}"
    found = [with_operations_of(called, SideFinding(called, one), {called: made}) for one in report.findings]
    stands, accepted = split(found, concerning(found, accept))
    return JobReport(((called, report),), stands, accepted)


def _judged(
    sides: Sides,
    name: str,
    line: int,
    restart: str,
    left: Wood,
    part: Part,
    cell: float,
    thinnest_web: float,
) -> Report:
    settings = settings_of([(setup, _stopped(texts, name, line, restart)) for setup, texts in sides])
    at = number_of(sides, name) + 1
    trial = trial_of(settings, at, left, cell, part, thinnest_web)
    return report_of(settings[at], trial)


def _stopped(texts: Mapping[str, str], name: str, line: int, restart: str) -> dict[str, str]:
    """The programs of a side, with the one that was stopped cut short, and the one that goes on behind it."""
    found = {}
    for each, text in texts.items():
        if each == name:
            found[f"{each} to line {line - 1}"] = text_before(text, line)
            found[f"{each} from line {line}"] = restart
        else:
            found[each] = text
    return found
