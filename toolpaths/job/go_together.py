"""Whether setups, their boards and the findings that are accepted go together in one job."""

from __future__ import annotations

from collections.abc import Sequence

from toolpaths.base.errors import InputError
from toolpaths.facts.board import Board
from toolpaths.job.accept import Accept
from toolpaths.making.plan.setup import Setup


def check_accepted(accept: Sequence[Accept], setups: Sequence[Setup]) -> None:
    """Raises InputError for a finding named twice, and an operation that several are called."""
    if len({(each.code, each.operation) for each in accept}) < len(accept):
        raise InputError("accept= names one finding twice; name it once.")
    titles = [operation.title for setup in setups for operation in setup.operations]
    for each in accept:
        if each.operation and titles.count(each.operation) > 1:
            raise InputError(
                f"accept= names {each.operation!r}, and {titles.count(each.operation)} operations are called that; "
                "give each a name= of its own."
            )


def check_boards(boards: Sequence[Board]) -> None:
    """Raises InputError for boards that differ and have one name."""
    names = [board.name for board in boards]
    if len(set(names)) < len(names):
        twice = next(name for name in names if names.count(name) > 1)
        sizes = [f"{b.width:g} x {b.height:g} x {b.thickness:g}" for b in boards if b.name == twice]
        raise InputError(
            f"Two boards of the job are called {twice!r}, {' and '.join(sizes)} mm. If they are one board, give "
            "all its setups the same Board; else give each Board(name=...) of its own."
        )


def check_order(setups: Sequence[Setup]) -> None:
    """Raises InputError for a setup that is planned after one which does not come before it."""
    for setup in setups:
        if setup.after is not None and setup.after not in setups[: setups.index(setup)]:
            raise InputError(
                f"The setup of the {setup.fixture.side} is planned after= a setup that does not come before it in the "
                "job. List both in the order in which they are run; where the earlier one was made anew, make this "
                "one anew as well: replace(setup, after=...)."
            )
