"""The programs of a board, read one after the other, and the board as one of them leaves it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from toolpaths.facts.board import Board
from toolpaths.job.judged import cutters_of
from toolpaths.judging.job_programs import Setting, read_sides, wood_before
from toolpaths.judging.wood.field import Wood
from toolpaths.making.plan.setup import Setup

# The setups of a board in running order, each with the texts of its programs by their names.
Sides = Sequence[tuple[Setup, Mapping[str, str]]]


def sides_on(board: Board, setups: Sequence[Setup], names: Sequence[Sequence[str]], texts: Mapping[str, str]) -> Sides:
    """The setups of a board, each with the texts of its programs.

    names : of the programs of each of the setups; texts : by those names
    """
    return [
        (setup, {name: texts[name] for name in some})
        for setup, some in zip(setups, names, strict=True)
        if setup.fixture.board == board
    ]


def settings_of(sides: Sides) -> tuple[Setting, ...]:
    """Every program, read, with the cutters of all setups."""
    cutters = cutters_of(setup for setup, _ in sides)
    return read_sides([(texts, setup.fixture) for setup, texts in sides], cutters)


def number_of(sides: Sides, name: str) -> int:
    """Which of the programs one is, from 0."""
    return [each for _, texts in sides for each in texts].index(name)


def text_before(text: str, line: int) -> str:
    """The lines of a program before one of them."""
    return "".join(text.splitlines(keepends=True)[: line - 1])


def wood_left(sides: Sides, name: str, line: int, cell: float) -> Wood:
    """The board once all programs before one are run, and that up to a line."""
    cut_short = [
        (setup, {each: text_before(text, line) if each == name else text for each, text in texts.items()})
        for setup, texts in sides
    ]
    left = wood_before(settings_of(cut_short), number_of(sides, name) + 1, cell, None, 0.0)
    assert left is not None, "a program was run"
    return left
