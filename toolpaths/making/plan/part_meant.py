"""From setups to the part that they are meant to make."""

from __future__ import annotations

from collections.abc import Sequence

from toolpaths.base.errors import InputError
from toolpaths.facts.contents import PartContent
from toolpaths.facts.part import Part
from toolpaths.making.plan.setup import Setup


def intended_part(*setups: Setup, within: float = 0.03, contents: Sequence[PartContent] = ()) -> Part:
    """The part that the work of all setups of one board is meant to make, to judge their programs against.

    Only the shapes and depths that were asked for are taken, nothing of the motion made from them.
    within, contents : as in Part

    >>> from toolpaths import Board, Cutter, Fixture, Setup, flat, intended_part, pocket, rectangle
    >>> T1 = Cutter(1, flat(6), feed_mm_min=1500, spindle_rpm=18000)
    >>> side = Fixture(board=Board(width=200, height=140, thickness=18))
    >>> intended_part(Setup(side, [pocket(rectangle(60, 40, (100, 70)), T1, depth=5, name="tray")])).front
    (<Recess: tray, 60 x 40 at (70, 50), 5 deep>,)

    Raises InputError for what is no setup, and for setups of different boards.
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
            for _, features in setup.features
            for feature in features
        ]
        for side in ("front", "back")
    }
    return Part(board=board, front=sides["front"], back=sides["back"], within=within, contents=contents)
