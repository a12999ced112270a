"""The board as the lines of a program before one of them leave it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from toolpaths.job.judged import cutters_of
from toolpaths.judging.job_programs import read_sides, wood_before
from toolpaths.judging.wood.field import Wood
from toolpaths.making.plan.setup import Setup


def wood_left(sides: Sequence[tuple[Setup, Mapping[str, str]]], name: str, line: int, cell: float) -> Wood:
    """All programs before one are run, and that up to the line.

    sides : the setups of the board, each with the texts of its programs, as the job has them
    """
    cut_short = [({each: _before(text, line) if each == name else text for each, text in texts.items()}, setup.fixture)
                 for setup, texts in sides]  # fmt: skip
    settings = read_sides(cut_short, cutters_of(setup for setup, _ in sides))
    at = [each for _, texts in sides for each in texts].index(name)
    left = wood_before(settings, at + 1, cell, None, 0.0)
    assert left is not None, "a program was run"
    return left


def _before(text: str, line: int) -> str:
    return "".join(text.splitlines(keepends=True)[: line - 1])
