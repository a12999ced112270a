"""A program that goes on where another one was stopped, by a broken cutter or by the power."""

from __future__ import annotations

import os
from collections.abc import Sequence
from dataclasses import dataclass

from toolpaths.base.checks import file_path
from toolpaths.base.errors import InputError
from toolpaths.base.values import Value, in_a_line
from toolpaths.job.folder import set_of_file
from toolpaths.job.judged import check_safe
from toolpaths.job.restart.free_in_words import free_in_words
from toolpaths.job.restart.job_program import JobProgram
from toolpaths.job.restart.safe_lines import SafeLines
from toolpaths.judging.checks.holding.free_pieces import FreePiece
from toolpaths.judging.job_report import JobReport
from toolpaths.making.plan.work import Stop
from toolpaths.making.writer.files import write_whole


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class Restart(Value):
    """The text of a program that goes on at a line of a program of a job. Made by Job.restart().

    program : the name of that program
    line : of that program, from 1, from which on it is run again; all before it is taken to be done
    entry : the line with which the text begins to repeat it: a little before `line` where that lies in a cut
    text : of the program that goes on
    report : what was found against the text, on the board as the lines before `line` left it
    notes : what is worth knowing before it is run
    free : the pieces that are cut free by then, and what holds each
    """

    program: str
    line: int
    entry: int
    text: str
    report: JobReport
    notes: tuple[str, ...]
    free: tuple[FreePiece, ...] = ()

    def __repr__(self) -> str:
        return in_a_line(f"<Restart: {self.program} from line {self.line}, {self.report!r}>")

    def __str__(self) -> str:
        return "\n".join([f"{self.program} from line {self.line}", *self.notes, str(self.report)])

    def write(self, path: str | os.PathLike[str]) -> JobReport:
        """Write the text to a file, whole or not at all.

        path : a file of its own, beside the programs of the job or elsewhere

        Raises NotSafeError with the report where danger or damage is found that is not accepted, and InputError where
        the file cannot be written, or holds a program of a set. Nothing is written then.
        """
        file = file_path("path", path)
        check_safe(repr(self), self.report)
        if identity := set_of_file(file):
            raise InputError(
                f"{file} is a program of set {identity}; give the restart a file of its own. Nothing was written."
            )
        write_whole({file: self.text})
        return self.report


def restart_notes(of: JobProgram, where: SafeLines, line: int, free: Sequence[FreePiece]) -> tuple[str, ...]:
    """What whoever stands at the machine should know of a restart at a line."""
    entry = where.entry(line)
    notes = [f"All lines before line {line} are taken to be done. Where that is not sure, take an earlier line."]
    if entry < line:
        notes.append(f"Lines {entry} to {line - 1} are gone over again, so that nothing is left at the joint.")
    if where.enters_wood(line):
        notes.append("The cutter is let down straight at the feed of a plunge, where it has cut already.")
    steps = of.setup.steps
    done = [work for work in of.work if work.step < of.work_left(entry)[0]]
    notes += [f"Taken to be done: {work.name}." for work in done if isinstance(steps[work.step], Stop)]
    return (*notes, *free_in_words(free, of))
