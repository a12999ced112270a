"""From setups to the part that they are meant to make."""

from __future__ import annotations

from toolpaths.base.errors import InputError
from toolpaths.facts.part import Part
from toolpaths.making.plan.setup import Setup


def intended_part(*setups: Setup, within: float = 0.03) -> Part:
    """The part that the work of all setups of one board is meant to make, to judge their programs against.

    Only the shapes and depths that were asked for are taken, nothing of the motion made from them.
    within : mm, as in Part
    """
    if not setups or not all(isinstance(setup, Setup) for setup in setups):
        raise InputError("intended_part takes the setups of the board, front and back.")
    board = setups[0].fixture.board
    for setup in setups:
        if setup.fixture.board != board:
            raise InputError(f"The setups are of two boards, {board} and {setup.fixture.board}.")
    sides = {
        side: [
            feature
            for setup in setups
            if setup.fixture.side == side
            for item in setup.operations
            for feature in item.parts(setup.tolerance)
        ]
        for side in ("front", "back")
    }
    return Part(board=board, front=sides["front"], back=sides["back"], within=within)
