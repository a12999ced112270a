"""A job with its programs, simulated once: what the assertions are asked of.

The texts are the job's own, or those that are really on the way to the machine, changed by hand or not.
"""

from __future__ import annotations

import os
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from toolpaths.base.checks import file_path, instance, one_of, positive, shown, text
from toolpaths.base.errors import InputError
from toolpaths.base.values import PickledByFields, in_a_line
from toolpaths.facts.board import Board
from toolpaths.job.folder import paths_of
from toolpaths.job.inlay_laid import fit_of
from toolpaths.job.job import Job
from toolpaths.job.judged import board_judged, board_report, merged, work_in_words
from toolpaths.job.wood_left import Sides, sides_on
from toolpaths.judging.checks.between_boards.inlay_gap import inlay_gap
from toolpaths.judging.job_programs import Judged
from toolpaths.judging.job_report import JobReport


@dataclass(frozen=True, repr=False)
class SimulatedJob(PickledByFields):
    """A job whose programs are run on simulated boards; made by simulated().

    texts : of the programs by name, in running order, as they are judged
    cell : mm, width of the cells of the wood
    """

    job: Job
    texts: Mapping[str, str]
    cell: float

    def __hash__(self) -> int:
        return hash(tuple(self.texts.items()))

    @property
    def report(self) -> JobReport:
        """The judgement, as of Job.report()."""
        return self._run[0]

    @property
    def judged(self) -> Mapping[str, Judged]:
        """What each program does, by name."""
        return self._run[1]

    @cached_property
    def _run(self) -> tuple[JobReport, dict[str, Judged]]:
        return _run(self.job, self.texts, self.cell)

    def __repr__(self) -> str:
        return in_a_line(f"<SimulatedJob: {self.job.title}, {', '.join(self.texts)}>")

    def program(self, name: str | None) -> str:
        """A program by its name, the last one for None. Raises InputError for a name that none has."""
        return list(self.texts)[-1] if name is None else one_of("program", name, self.texts)

    def named(self, name: str | None) -> list[str]:
        """One program, or all of them for None, likewise."""
        return list(self.texts) if name is None else [self.program(name)]


def simulated(job: Job, *, texts: Mapping[str, str] | None = None, cell: float = 0.25) -> SimulatedJob:
    """The programs of a job run on simulated boards, to be asked by as many assertions as wanted.

    texts : the text of each program by its name, for programs that were changed by hand or lie in files (see
        programs_in()); those that the job makes unless given
    cell : mm, width of the cells of the wood, as for Job.report()

    >>> import toolpaths as tp
    >>> from toolpaths.testing import assert_depth_at, simulated
    >>> board = tp.Board(width=120, height=80, thickness=18)
    >>> cutter = tp.Cutter(1, tp.flat(6), feed_mm_min=1500, spindle_rpm=18000)
    >>> fixture = tp.Fixture(board=board, grips=[board.outline])
    >>> hole = simulated(tp.Job("Hole", [tp.Setup(fixture, [tp.bore([(30, 40)], 9, cutter, depth=6)])]), cell=1.0)
    >>> hole, hole.report.ok
    (<SimulatedJob: Hole, front>, True)
    >>> assert_depth_at(hole, (30, 40), depth=6)

    Raises InputError for texts of other programs than the job has, and as Job.report() does.
    """
    instance("job", job, Job)
    found = SimulatedJob(job, job.programs() if texts is None else _checked(job, texts), positive("cell", cell))
    _ = found.report  # what cannot be judged is an error here
    return found


def programs_in(folder: str | os.PathLike[str], job: Job, *, suffix: str = ".nc") -> dict[str, str]:
    """The programs of a job as they lie in a folder, by name, for simulated(texts=...).

    suffix : of the files' names, as for Job.write()

    Raises InputError where one of them is missing or is no text.
    """
    place = file_path("folder", folder)
    found = {}
    for name, path in paths_of(place, instance("job", job, Job).programs(), suffix).items():
        try:
            found[name] = path.read_text()
        except (OSError, UnicodeDecodeError) as error:
            raise InputError(f"The program {name} of {job.title} cannot be read from {path}: {error}") from None
    return found


def as_simulated(job: Job | SimulatedJob) -> SimulatedJob:
    """What an assertion is asked of: a job is simulated for it. Raises InputError for anything else."""
    return job if isinstance(job, SimulatedJob) else simulated(instance("job", job, Job))


def _run(job: Job, texts: Mapping[str, str], cell: float) -> tuple[JobReport, dict[str, Judged]]:
    """The judgement of texts, and what each program does."""

    def sides_of(board: Board) -> Sides:
        return sides_on(board, job.setups, job.program_names, texts)

    judged: dict[str, Judged] = {}
    reports = []
    for board, part in zip(job.boards, job.parts, strict=True):
        programs = board_judged(sides_of(board), part, cell, job.thinnest_web)
        reports.append(board_report(programs))
        judged |= programs
    between = [found for inlay in job.inlays for found in inlay_gap(fit_of(inlay, job.setups, sides_of), job.within)]
    work = work_in_words(zip(job.names, job.setups, strict=True))
    return merged(reports, list(texts), job.accept, work, between), judged


def _checked(job: Job, texts: Mapping[str, str]) -> dict[str, str]:
    wanted = list(job.programs())
    if not isinstance(texts, Mapping) or set(texts) != set(wanted):
        there = ", ".join(map(str, texts)) if isinstance(texts, Mapping) else shown(texts)
        raise InputError(f"texts= must be the text of each program by its name, {', '.join(wanted)}; it has {there}.")
    return {name: text(f"the text of {name}", texts[name]) for name in wanted}


def on_board(judged: Judged, place: tuple[float, ...]) -> tuple[float, float]:
    """A place as the program counts, as (x, y) from the lower-left corner of the board as it lies."""
    zero = judged.setting.fixture.zero
    return place[0] + zero[0], place[1] + zero[1]


def place_as_laid(judged: Judged, place: tuple[float, float]) -> tuple[float, float]:
    """A place seen from the front, where it comes to lie; and the other way round."""
    x, y = judged.setting.fixture.seen_from_front(np.array([place]))[0].tolist()
    return x, y
