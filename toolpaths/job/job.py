"""A job: a title and setups in running order, from which programs, the part meant and the judgement follow."""

from __future__ import annotations

import os
from dataclasses import dataclass
from functools import cached_property, partial
from pathlib import Path
from typing import TYPE_CHECKING, Literal

from toolpaths.base.checks import instance, label, let_in, not_negative, one_of, positive, texts, values
from toolpaths.base.errors import InputError
from toolpaths.base.values import PickledByFields, in_a_line
from toolpaths.facts.board import Board
from toolpaths.facts.contents import PartContent, contents_of_part
from toolpaths.facts.part import Part
from toolpaths.job.accept import Accept
from toolpaths.job.folder import TextsOfJob, differences, paths_of, put_in_folder
from toolpaths.job.go_together import check_accepted, check_boards, check_order
from toolpaths.job.inlay_laid import check_listed, checked_inlay, checked_inlays, fit_of, gaps_of, on_sheet
from toolpaths.job.judged import check_safe, cutters_of, judged, merged, work_in_words
from toolpaths.job.program_set import ProgramSet, program_set, setup_names
from toolpaths.job.proofs import proof_of
from toolpaths.job.wood_left import Sides, sides_on, wood_left
from toolpaths.judging.job_report import JobReport
from toolpaths.judging.wood.field import Wood
from toolpaths.making.inlays.inlay import Inlay
from toolpaths.making.plan.part_meant import intended_part
from toolpaths.making.plan.setup import Setup
from toolpaths.making.writer.number_format import UNITS, Units
from toolpaths.making.writer.program import ProgramText
from toolpaths.making.writer.style import CYCLE_STYLES, TOOL_CHANGES, CycleStyle, ToolChange, style_of
from toolpaths.proving.proof import Proof
from toolpaths.show.lengths import Lengths
from toolpaths.show.markup import joined, tag
from toolpaths.show.sheet.sheet import Sheet, sheet_page
from toolpaths.show.sheet.sheet_side import SheetSide
from toolpaths.show.side_plan import cutter_styles, side_plan

# What most jobs never do is imported by what does it: it takes a seventh of all imports.
if TYPE_CHECKING:
    from concurrent.futures import Executor

    from toolpaths.job.replay import Replay
    from toolpaths.job.restart.job_program import JobProgram
    from toolpaths.job.restart.restart import Restart
    from toolpaths.judging.fit.inlay_fit import InlayFit
    from toolpaths.judging.study.result import Study


@dataclass(frozen=True, repr=False)
class Job(PickledByFields):
    """What is made from one board or several, one side or both: the value to keep, compare, pickle, judge and write.

    title : what is being made
    setups : in the order in which they are run: one side, two, a side in two fixtures, or sides of two boards
    accept : findings that are known and accepted, each with its reason
    units, cycles : of the programs, as for program_text()
    tool_change : likewise, or "files": one program for each time that a cutter is fitted
    within : mm that a wall or floor of the part may be off, as in Part
    thinnest_web : mm, least thickness of wood that may be left between the two faces where both are cut
    contents : what goes into the finished part, as made by goes_in(), screwed_in() and turning_clip(); of a job of
        one board
    inlays : as made by straight_inlay() and tapered_inlay(), whose recesses and inserts its setups cut: each is judged
        to fit the other, within `within`
    afterwards : what is done by hand when the machine is done, for the sheet, a line each

    >>> import toolpaths as tp
    >>> board = tp.Board(width=200, height=140, thickness=18, wood="oak")
    >>> T1 = tp.Cutter(1, tp.flat(6), feed_mm_min=1500, spindle_rpm=18000, step_down=3)
    >>> side = tp.Fixture(board=board, grips=(board.outline,))
    >>> job = tp.Job("Tray", [tp.Setup(side, [tp.pocket(tp.rectangle(80, 60, (100, 70)), T1, depth=7)])])
    >>> job
    <Job: Tray, front>
    >>> list(job.programs()), job.report(cell=1.0).ok
    (['front'], True)

    Raises InputError for setups that do not go together.
    """

    _sent = ("_programs",)

    title: str
    setups: tuple[Setup, ...]
    accept: tuple[Accept, ...] = ()
    units: Units = "mm"
    cycles: CycleStyle = "canned"
    tool_change: ToolChange | Literal["files"] = "M6"
    within: float = 0.03
    thinnest_web: float = 0.0
    afterwards: tuple[str, ...] = ()
    contents: tuple[PartContent, ...] = ()
    inlays: tuple[Inlay, ...] = ()

    def __post_init__(self) -> None:
        let_in(
            self, title=label, setups=partial(values, kind=Setup), accept=partial(values, kind=Accept),
            units=partial(one_of, choices=UNITS), cycles=partial(one_of, choices=CYCLE_STYLES),
            tool_change=partial(one_of, choices=(*TOOL_CHANGES, "files")), within=positive, thinnest_web=not_negative,
            afterwards=texts, contents=contents_of_part, inlays=checked_inlays,
        )  # fmt: skip
        if not self.setups:
            raise InputError("setups lists none; a job has one at least.")
        check_accepted(self.accept, self.setups)
        check_boards(self.boards)
        check_order(self.setups)
        if self.contents and len(self.boards) > 1:
            raise InputError("contents= go into the part of one board; this job works on several.")
        check_listed(self.inlays, self.setups)
        if not self._by_name:  # a code that a controller lacks is an error on the user's line
            raise InputError("The job holds no program.")

    def __repr__(self) -> str:
        return in_a_line(f"<Job: {self.title}, {', '.join(self.names)}>")

    @cached_property
    def boards(self) -> tuple[Board, ...]:
        """Each board, in the order in which they are worked on."""
        return tuple(dict.fromkeys(setup.fixture.board for setup in self.setups))

    @cached_property
    def names(self) -> tuple[str, ...]:
        """What each setup is called, and its program: its own name, or its side, with the board's where there are
        several and a number where that is taken."""
        return setup_names(self.setups)

    @property
    def program_names(self) -> tuple[tuple[str, ...], ...]:
        """The names of the programs of each setup, in running order."""
        return tuple(map(tuple, self._programs.by_setup))

    @cached_property
    def parts(self) -> tuple[Part, ...]:
        """The part meant of each board: what its setups ask for, to judge the programs against."""
        return tuple(
            intended_part(
                *(setup for setup in self.setups if setup.fixture.board == board),
                within=self.within,
                contents=self.contents,
            )
            for board in self.boards
        )

    @property
    def part(self) -> Part:
        """The part meant. Raises InputError where there are several boards: see `parts`."""
        if len(self.parts) > 1:
            raise InputError(f"The job makes parts of {len(self.parts)} boards; take .parts, one for each board.")
        return self.parts[0]

    @property
    def identity(self) -> str:
        """What tells this set of programs from every other: the beginning of the SHA-256 hash of their texts."""
        return self._programs.identity

    def programs(self) -> dict[str, str]:
        """The text of each program by its name, in running order; each head carries the identity of the set."""
        return {name: made.text for name, made in self._by_name.items()}

    def report(self, *, cell: float = 0.25) -> JobReport:
        """The judgement of every program by its text, against the part meant.

        cell : mm, width of the cells of the wood, as for simulate()

        Raises InputError where `accept` names what is not found.
        """
        found = [
            judged(self._sides(board), self._by_name, part, cell, self.thinnest_web)
            for board, part in zip(self.boards, self.parts, strict=True)
        ]
        work = work_in_words(zip(self.names, self.setups, strict=True))
        between = [each for one in self.inlays for each in gaps_of(one, self.setups, self._sides, self.within)]
        return merged(found, list(self._by_name), self.accept, work, between)

    def proofs(self) -> dict[str, Proof]:
        """What is proved of each setup by its name, from the texts of its programs.

        By a checker that shares nothing with the judge, small enough to be read in one sitting: toolpaths/proving. What
        is not proved may still be right; then the judgement is all there is.
        """
        return dict(self._proofs)

    def study(
        self,
        *,
        thickness: float = 0.0,
        flip_line: float = 0.0,
        dowel_clearance: float = 0.0,
        cutter_diameter: float = 0.0,
        zero_z: float = 0.0,
        width: float = 0.0,
        height: float = 0.0,
        flip_angle_deg: float = 0.0,
        cell: float = 0.5,
        executor: Executor | None = None,
    ) -> Study:
        """What a board, cutters and zeros that are off do to the job; arguments as for tolerance_study().

        Raises InputError for ranges that cannot be used, and for a job of several boards.
        """
        from toolpaths.judging.study.study import tolerance_study

        part = self.part
        (board,) = self.boards
        sides = [(programs, setup.fixture) for setup, programs in self._sides(board)]
        return tolerance_study(
            sides, cutters_of(self.setups), part=part, thickness=thickness, flip_line=flip_line,
            dowel_clearance=dowel_clearance, cutter_diameter=cutter_diameter, zero_z=zero_z, width=width,
            height=height, flip_angle_deg=flip_angle_deg, thinnest_web=self.thinnest_web, cell=cell,
            executor=executor,
        )  # fmt: skip

    def _repr_html_(self) -> str:
        styles, lengths = cutter_styles(self.setups), Lengths(self.units)
        return joined([tag("h3", self.title), [side_plan(s, styles, (), lengths) for s in self.setups]])

    def restart(
        self, program: str, *, line: int | None = None, after: str | int | None = None, cell: float = 0.25
    ) -> Restart:
        """A program that goes on where one of the job was stopped, by a broken cutter or by the power.

        program : its name, one of programs()
        line : of its text, from 1: all lines before it are taken to be done, and it is run again from there on
        after : in place of a line the operation, or the stop, that is done last: its name or message, or its number in
            the order of work of the program's head
        cell : mm, as for report()

        The text sets anew all that holds there, goes down where the cutter has cut already, and repeats the program
        from there on. It is judged on the board as the lines before it left it. X0 Y0, Z0 and the length of the cutter
        have to be found again. Its head says which pieces are cut free by then, what holds each of them, and which are
        to be taken out.

        >>> import toolpaths as tp
        >>> board = tp.Board(width=200, height=140, thickness=18)
        >>> T1 = tp.Cutter(1, tp.flat(6), feed_mm_min=1500, spindle_rpm=18000, step_down=3)
        >>> side = tp.Fixture(board=board, grips=(board.outline,))
        >>> holes = [tp.bore([(x, 70)], 12, T1, depth=6, name=f"hole {x}") for x in (60, 140)]
        >>> job = tp.Job("Two holes", [tp.Setup(side, holes)])
        >>> again = job.restart("front", after="hole 60", cell=1.0)
        >>> again.report.ok, again.text.startswith("(Restart of front, set ")
        (True, True)

        Raises InputError for a name that no program has, a line or work that it does not have, and a line at which it
        cannot be begun again, with the nearest lines at which it can.
        """
        from toolpaths.job.restart.board_at_line import board_at_line
        from toolpaths.job.restart.restart import Restart, restart_notes
        from toolpaths.job.restart.restart_line import restart_line
        from toolpaths.job.restart.restart_report import restart_report
        from toolpaths.job.restart.restart_text import restart_text
        from toolpaths.job.restart.safe_lines import SafeLines

        of = self._job_program(program)
        begin = restart_line(of, line, after)
        where = SafeLines(of)
        where.check(begin)
        board, part = next(
            pair for pair in zip(self.boards, self.parts, strict=True) if pair[0] == of.setup.fixture.board
        )
        left, free = board_at_line(of, self._sides(board), begin, cell)
        made = restart_text(of, begin, where.entry(begin), enters_wood=where.enters_wood(begin), free=free)
        report = restart_report(
            self._sides(board), program, begin, made, left, part, self.accept, cell=cell,
            thinnest_web=self.thinnest_web,
        )  # fmt: skip
        notes = restart_notes(of, where, begin, free)
        return Restart(program, begin, where.entry(begin), made.text, report, notes, free)

    def wood_after(self, program: str, after: str | int, *, cell: float = 0.25) -> Wood:
        """The board as a piece of the work leaves it, for relief_png() and section_svg().

        program, after : as for restart()
        cell : mm, as for report()

        >>> import toolpaths as tp
        >>> board = tp.Board(width=200, height=140, thickness=18)
        >>> T1 = tp.Cutter(1, tp.flat(6), feed_mm_min=1500, spindle_rpm=18000, step_down=3)
        >>> holes = [tp.bore([(x, 70)], 12, T1, depth=6, name=f"hole {x}") for x in (60, 140)]
        >>> job = tp.Job("Two holes", [tp.Setup(tp.Fixture(board=board), holes)])
        >>> [round(job.wood_after("front", number, cell=1.0).removed()) for number in (1, 2)]
        [672, 1344]

        Raises InputError for a name that no program has, and for work that it does not have.
        """
        from toolpaths.job.restart.restart_line import restart_line

        of = self._job_program(program)
        line = restart_line(of, None, after)
        return wood_left(self._sides(of.setup.fixture.board), program, line, cell)

    def replay(self, program: str, *, report: JobReport | None = None) -> Replay:
        """A page in which a program is played in the machine's own time, the board cut away as it goes.

        program : its name, one of programs()
        report : the judgement of this job, whose findings are listed; it is judged unless given

        >>> import toolpaths as tp
        >>> board = tp.Board(width=200, height=140, thickness=18)
        >>> T1 = tp.Cutter(1, tp.flat(6), feed_mm_min=1500, spindle_rpm=18000, step_down=3)
        >>> job = tp.Job("Hole", [tp.Setup(tp.Fixture(board=board), [tp.bore([(60, 70)], 12, T1, depth=6)])])
        >>> played = job.replay("front", report=job.report(cell=1.0))
        >>> played.program, "<script" in played.page
        ('front', True)

        Raises InputError for a name that no program has, a program in which nothing moves, and a report of another job.
        """
        from toolpaths.job.replay import replay

        board = self._job_program(program).setup.fixture.board
        judged = self._report_of_this(report)
        known = (*judged.findings, *(each.found for each in judged.accepted))
        # Those of the job as a whole stand with each of its programs.
        findings = [found.finding for found in known if found.side in (program, "")]
        return replay(self._sides(board), program, title=self.title, identity=self.identity, findings=findings)

    def fit(self, inlay: Inlay) -> InlayFit:
        """The simulated insert of an inlay laid into its simulated recess, as their programs cut them.

        inlay : as made by straight_inlay() or tapered_inlay(); its recess and its insert are each listed in a setup

        Heights are exact, from the moves of the texts, and not those of cells.

        >>> import toolpaths as tp
        >>> lid = tp.Board(width=100, height=90, thickness=18, name="lid")
        >>> veneer = tp.Board(width=100, height=90, thickness=4.5, name="veneer")
        >>> T1 = tp.Cutter(1, tp.flat(3), feed_mm_min=900, spindle_rpm=18000)
        >>> leaf = tp.straight_inlay(tp.circle(40, (60, 50)), T1, gap=0.05, depth=4, thickness=4.5, at=(40, 40))
        >>> setups = [tp.Setup(tp.Fixture(board=lid), leaf.recess), tp.Setup(tp.Fixture(board=veneer), leaf.insert)]
        >>> fit = tp.Job("Lid", setups).fit(leaf)
        >>> fit.off < 0.01, round(fit.proud, 3), fit.overlap_mm3
        (True, 0.5, 0.0)

        Raises InputError for an inlay whose recess or insert no setup of the job lists.
        """
        return fit_of(checked_inlay("inlay", inlay), self.setups, self._sides)

    def _report_of_this(self, report: JobReport | None) -> JobReport:
        """A report that was given, or else made. Raises InputError for one of another job."""
        judged = self.report() if report is None else instance("report", report, JobReport)
        if [name for name, _ in judged.sides] != list(self._by_name):
            raise InputError("report is of another job: it has other programs.")
        return judged

    def _job_program(self, name: str) -> JobProgram:
        """A program with all that is known of it. Raises InputError for a name that none has."""
        from toolpaths.job.restart.job_program import JobProgram

        one_of("program", name, self._by_name)
        each = zip(self.setups, self._programs.by_setup, strict=True)
        setup, programs = next((setup, programs) for setup, programs in each if name in programs)
        # A stop goes with the work before it, the first with what follows.
        begins = [0, *(made.sections[0].step for made in list(programs.values())[1:]), len(setup.steps)]
        number = list(programs).index(name)
        tool_change = "" if self.tool_change == "files" else self.tool_change
        return JobProgram(
            name, self.identity, self.title, setup, self._by_name[name], range(*begins[number : number + 2]),
            style_of(setup, self.units, self.cycles, tool_change),
        )  # fmt: skip

    def write(self, folder: str | os.PathLike[str], *, suffix: str = ".nc", cell: float = 0.25) -> JobReport:
        """Judge, then write each program and sheet.html to files of the folder: all of them whole, or none.

        folder : made if it is missing
        suffix : of the files' names

        Raises NotSafeError with the report where danger or damage is found that is not accepted, and InputError where
        the files cannot be written or a program of an earlier form of this job would be left beside them. Nothing is
        written then.
        """
        paths_of(folder, (), suffix)  # a folder and a suffix that cannot be are errors at once
        report = self.report(cell=cell)
        check_safe(self.title, report)
        put_in_folder(
            folder, self.title, TextsOfJob(self.programs(), self.sheet(report, suffix=suffix), self.identity), suffix
        )
        return report

    def sheet(self, report: JobReport | None = None, *, suffix: str = ".nc") -> str:
        """The sheet for the person at the machine, as HTML: one page without script or network, in ASCII.

        report : the judgement of this job; it is judged unless given
        suffix : of the programs' files

        Raises InputError for a report of another job.
        """
        judged = self._report_of_this(report)
        reports = dict(judged.sides)
        files = {name: path.name for name, path in paths_of(".", self._by_name, suffix).items()}
        sides = [
            SheetSide(
                name, setup, {one: files[one] for one in made}, {one: self._by_name[one] for one in made},
                {one: reports[one] for one in made}, Lengths(self.units), self.tool_change,
            )
            for name, setup, made in zip(self.names, self.setups, self._programs.by_setup, strict=True)
        ]  # fmt: skip
        return sheet_page(
            Sheet(
                self.title,
                self.identity,
                Lengths(self.units),
                sides,
                self.parts,
                judged,
                self._proofs,
                [on_sheet(inlay) for inlay in self.inlays],
                self.afterwards,
            )
        )

    def compare(self, folder: str | os.PathLike[str], *, suffix: str = ".nc") -> tuple[str, ...]:
        """What keeps the files of a folder from being this set of programs, a sentence each; nothing where they are."""
        return differences(self._files(folder, suffix), self.identity)

    @cached_property
    def _proofs(self) -> dict[str, Proof]:
        return {
            name: proof_of(programs, setup, self.parts[self.boards.index(setup.fixture.board)])
            for name, setup, programs in zip(self.names, self.setups, self._programs.by_setup, strict=True)
        }

    def _files(self, folder: str | os.PathLike[str], suffix: str) -> dict[Path, str]:
        texts = self.programs()
        return {path: texts[name] for name, path in paths_of(folder, texts, suffix).items()}

    @cached_property
    def _programs(self) -> ProgramSet:
        return program_set(
            self.title, self.setups, self.names, units=self.units, cycles=self.cycles, tool_change=self.tool_change
        )

    @cached_property
    def _by_name(self) -> dict[str, ProgramText]:
        return self._programs.by_name

    def _sides(self, board: Board) -> Sides:
        """The setups of a board, each with the texts of its programs."""
        return sides_on(board, self.setups, self.program_names, self.programs())
