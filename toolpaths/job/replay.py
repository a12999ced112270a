"""A program of a job, played in a browser."""

from __future__ import annotations

import os
from collections.abc import Sequence
from dataclasses import dataclass
from math import sqrt

from toolpaths.base.checks import file_path
from toolpaths.base.errors import InputError
from toolpaths.base.values import Value, in_a_line
from toolpaths.facts.board import Board
from toolpaths.job.folder import set_of_file
from toolpaths.job.wood_left import Sides, number_of, settings_of
from toolpaths.judging.job_programs import trial_of, wood_before
from toolpaths.judging.trial.case import Trial
from toolpaths.judging.trial.findings import Finding
from toolpaths.making.writer.files import write_whole
from toolpaths.show.replay.page import ReplayPage

# Squares in which the board is drawn: fewer, down to the least, where the page would grow beyond so many characters.
_SQUARES, _LEAST = 120_000, 5_000
_MOST_PAGE = 6_000_000
_FINEST = 0.25


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class Replay(Value):
    """A page in which a program is played. Made by Job.replay().

    program : the name of the program
    page : HTML in ASCII, one page without network
    notes : how finely it shows the board, and what it leaves out of a long program
    """

    program: str
    page: str
    notes: tuple[str, ...]

    def __repr__(self) -> str:
        return in_a_line(f"<Replay: {self.program}, {len(self.page) / 1e6:.1f} MB>")

    def write(self, path: str | os.PathLike[str]) -> None:
        """Write the page to a file, whole or not at all.

        path : a file of its own, such as "front.html"

        Raises InputError where the file cannot be written, or holds a program of a set. Nothing is written then.
        """
        file = file_path("path", path)
        if identity := set_of_file(file):
            raise InputError(
                f"{file} is a program of set {identity}; give the replay a file of its own. Nothing was written."
            )
        write_whole({file: self.page})


def replay(
    sides: Sides,
    name: str,
    *,
    title: str,
    identity: str,
    findings: Sequence[Finding],
) -> Replay:
    """The page of one program, on the board as the programs before it leave it.

    sides : the setups of the board, each with the texts of its programs, as the job has them
    title, identity : of the job
    findings : against the program
    """
    text = next(texts[name] for _, texts in sides if name in texts)
    board, squares = sides[0][0].fixture.board, _SQUARES
    while True:
        trial = _trial(sides, name, max(_FINEST, _step(board, squares)))
        page, notes = ReplayPage(title, identity, name, text, trial, findings).html()
        if len(page) <= _MOST_PAGE or squares <= _LEAST:
            return Replay(name, page, notes)
        # Only a share of the page is the wood: so few that the next one surely is small enough, or nearly so.
        squares = max(squares * _MOST_PAGE // (2 * len(page)), _LEAST)


def _step(board: Board, squares: int) -> float:
    """mm, to two digits, so that it can be said."""
    return float(f"{sqrt(board.width * board.height / squares):.2g}")


def _trial(sides: Sides, name: str, cell: float) -> Trial:
    settings, at = settings_of(sides), number_of(sides, name)
    return trial_of(settings, at, wood_before(settings, at, cell, None, 0.0), cell, None, 0.0)
