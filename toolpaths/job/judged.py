"""The programs of a job judged by their texts; each finding is named with the operation at whose lines it stands."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from itertools import groupby

from toolpaths.base.errors import NotSafeError
from toolpaths.facts.cutter import Cutter, rack
from toolpaths.facts.part import Part
from toolpaths.job.accept import Accept, split
from toolpaths.judging.job_programs import Judged, judge_programs, read_sides
from toolpaths.judging.job_report import JobReport, SideFinding, gravest_first
from toolpaths.judging.verify import findings_of
from toolpaths.making.plan.part_names import parts_in_words
from toolpaths.making.plan.setup import Setup
from toolpaths.making.writer.program import ProgramText

# A finding as grave as these keeps programs from being written.
_GRAVE = ("danger", "damage")


def check_safe(what: str, report: JobReport) -> None:
    """Raises NotSafeError where danger or damage is found that is not accepted. what : what is not written then"""
    if any(found.finding.severity in _GRAVE for found in report.findings):
        raise NotSafeError(f"{what} is not written: it is not safe.\n{report}", report)


def cutters_of(setups: Iterable[Setup]) -> tuple[Cutter, ...]:
    """Each cutter of some setups once, however it is run."""
    return tuple(rack(tuple(cutter for setup in setups for cutter in setup.cutters)).values())


def judged(
    sides: Sequence[tuple[Setup, Mapping[str, str]]],
    programs: Mapping[str, ProgramText],
    part: Part,
    cell: float,
    thinnest_web: float,
) -> JobReport:
    """The judgement of the programs of one board as they were written, which knows the operation of each line.

    sides : the setups of the board, each with the texts of its programs
    programs : by name, those of these setups among them
    """
    report = board_report(board_judged(sides, part, cell, thinnest_web))
    found = (with_operations_of(each.side, each, programs) for each in report.findings)
    return replace(report, findings=tuple(found))


def board_judged(
    sides: Sequence[tuple[Setup, Mapping[str, str]]], part: Part, cell: float, thinnest_web: float
) -> dict[str, Judged]:
    """What each program of one board does, by its name.

    sides : the setups of the board, each with the texts of its programs
    """
    settings = read_sides([(texts, setup.fixture) for setup, texts in sides], cutters_of(setup for setup, _ in sides))
    names = (name for _, texts in sides for name in texts)
    return dict(zip(names, judge_programs(settings, cell=cell, part=part, thinnest_web=thinnest_web), strict=True))


def board_report(programs: Mapping[str, Judged]) -> JobReport:
    """The judgement of the programs of one board, findings under the names of the programs."""
    names = {each.setting.name: name for name, each in programs.items()} | {"": ""}
    found = findings_of(tuple(programs.values()))
    return JobReport(
        tuple((name, each.report) for name, each in programs.items()),
        tuple(each._replace(side=names[each.side]) for each in found),
    )


def with_operations_of(name: str, found: SideFinding, programs: Mapping[str, ProgramText]) -> SideFinding:
    """A finding under the name of its program, with the operations to which its lines belong."""
    lines = found.finding.lines or (found.finding.line,)
    sections = [programs[name].section_at(line) for line in lines] if name else []
    operations = tuple(dict.fromkeys(section.operation if section else "" for section in sections))
    return found._replace(side=name, operations=operations)


def merged(
    reports: Sequence[JobReport],
    names: Sequence[str],
    accept: Sequence[Accept],
    work: Sequence[str],
    between: Sequence[SideFinding] = (),
) -> JobReport:
    """The judgement of all boards in running order, what is accepted apart.

    names : of all programs; work : the operations in words; between : what was found between boards
    """
    order = {name: number for number, name in enumerate(("", *names))}
    sides = sorted((side for report in reports for side in report.sides), key=lambda side: order[side[0]])
    found = gravest_first([*(found for report in reports for found in report.findings), *between], order)
    stands, accepted = split(found, accept)
    return JobReport(tuple(sides), stands, accepted, tuple(work))


def work_in_words(setups: Iterable[tuple[str, Setup]]) -> list[str]:
    """Of each setup its operations, with the depths from which and to which they cut; those that say the same once,
    with the parts to which they belong."""
    lines = []
    for name, setup in setups:
        parts: dict[str, list[str]] = {}
        for operation in setup.operations:
            first, last = operation.depths(setup.fixture)
            said = f"{operation.own_title} {first:.4g} to {last:.4g}"
            parts.setdefault(said, []).extend([operation.part_name] if operation.part_name else [])
        work = [
            f"{words}: {', '.join(said)}" if words else "; ".join(said)
            for words, said in _by_parts((parts_in_words(some), said) for said, some in parts.items())
        ]
        lines.append(f"{name}, mm below the face before any work: {'; '.join(work)}.")
    return lines


def _by_parts(said: Iterable[tuple[str, str]]) -> list[tuple[str, list[str]]]:
    """What is said of the same parts one after the other, together."""
    return [(words, [each for _, each in some]) for words, some in groupby(said, key=lambda pair: pair[0])]
