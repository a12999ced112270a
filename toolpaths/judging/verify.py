"""The whole job judged: every program of every side on one board, and what holds only between the sides."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence

from toolpaths.facts.cutter import Cutter
from toolpaths.facts.part import Part
from toolpaths.judging.checks.between_sides import (
    board_sunk,
    dowel_hole,
    holes_apart,
    nothing_holds,
    pins_symmetric,
    sides_differ,
)
from toolpaths.judging.checks.contents import clip_swing, does_not_go_in, screw_through
from toolpaths.judging.job_consequences import without_consequences_across
from toolpaths.judging.job_programs import Judged, Side, judge_programs, read_sides
from toolpaths.judging.job_report import JobReport, SideFinding, gravest_first
from toolpaths.judging.trial.consequences import without_consequences
from toolpaths.judging.trial.operations_named import with_operations

# Every check that looks at more than one program; a new one is written beside them and listed here.
JOB_CHECKS: tuple[Callable[[tuple[Judged, ...]], Iterator[SideFinding]], ...] = (
    sides_differ.sides_differ,
    pins_symmetric.pins_symmetric,
    nothing_holds.nothing_holds,
    dowel_hole.dowel_holes,
    holes_apart.holes_apart,
    board_sunk.board_sunk,
    does_not_go_in.does_not_go_in,
    screw_through.screw_through,
    clip_swing.clip_swing,
)


def verify(
    sides: Sequence[Side],
    cutters: Iterable[Cutter],
    *,
    cell: float = 0.25,
    part: Part | None = None,
    thinnest_web: float = 0.0,
) -> JobReport:
    """Judge all programs of a job by their texts, in order, on one board, turned over where a fixture is.

    sides : (text, fixture) for each side in the order of the work; in place of the text a list of texts,
        or a mapping from names to texts, that are run one after the other on that side. A text that
        changes no cutter is run with the one that its comments name.
    cutters, cell, part, thinnest_web : as for simulate()

    Beyond what simulate() finds in each program: facts in which the sides differ, dowel holes that do not
    fit their pins, holes from both sides that do not meet, contents of the part that do not go in; and once for each
    side, where nothing was given that holds the board. One side alone is a job as well.

    >>> import toolpaths as tp
    >>> board = tp.Board(width=200, height=140, thickness=18)
    >>> T1 = tp.Cutter(1, tp.flat(6), feed_mm_min=1500, spindle_rpm=18000)
    >>> side = tp.Fixture(board=board, screws=tp.screws([(10, 10), (190, 130)], head_diameter=9, height=3))
    >>> text = tp.program_text(tp.Setup(side, [tp.groove([(60, 70), (140, 70)], T1, depth=4)]))
    >>> tp.verify([(text, side)], [T1], cell=1.0)
    <JobReport: 1 program, nothing found>

    Raises InputError only for arguments that cannot be used.
    """
    programs = judge_programs(read_sides(sides, cutters), cell=cell, part=part, thinnest_web=thinnest_web)
    order = {name: at for at, name in enumerate(("", *(program.setting.name for program in programs)))}
    reports = tuple((program.setting.name, program.report) for program in programs)
    return JobReport(reports, gravest_first(findings_of(programs), order))


def findings_of(programs: tuple[Judged, ...]) -> list[SideFinding]:
    """All that was found in programs that are judged, and between them."""
    between = [found for check in JOB_CHECKS for found in check(programs)]
    every = {program.setting.name: list(program.report) for program in programs} | {"": []}
    for found in between:
        every[found.side].append(found.finding)
    every = without_consequences_across(programs, {name: without_consequences(some) for name, some in every.items()})
    for program in programs:
        name = program.setting.name
        every[name] = with_operations(program.case.program, every[name])
    return [SideFinding(name, one, one.operations) for name, some in every.items() for one in some]
