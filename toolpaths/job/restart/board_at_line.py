"""The board as the lines of a program before one of them leave it, and the pieces that are cut free of it by then."""

from __future__ import annotations

from toolpaths.job.restart.job_program import JobProgram
from toolpaths.job.wood_left import Sides, wood_left
from toolpaths.judging.checks.holding.free_pieces import FreePiece, free_pieces
from toolpaths.judging.wood.field import Wood
from toolpaths.making.plan.work import Stop


def board_at_line(of: JobProgram, sides: Sides, line: int, cell: float) -> tuple[Wood, tuple[FreePiece, ...]]:
    """All programs before it are run, and of that one the lines before `line`; screws are in whose stop was made.

    sides : the setups of the board, each with the texts of its programs, as the job has them
    """
    left = wood_left(sides, of.name, line, cell)
    steps = of.setup.steps[: of.work_left(line)[0]]
    made = {step.message for step in steps if isinstance(step, Stop)}
    holding = [thing for thing in of.setup.fixture.holding if not thing.driven_at or thing.driven_at in made]
    return left, free_pieces(left, holding)
