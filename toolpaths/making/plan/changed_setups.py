"""The setups of a board once more, with other facts or more work: each after the new form of the one before it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import Any

from toolpaths.base.checks import sequence, shown
from toolpaths.base.errors import InputError
from toolpaths.facts.fixture import Fixture
from toolpaths.making.plan.setup import Setup
from toolpaths.making.plan.work import Work

# What becomes of a setup: its fixture and its work.
Change = Callable[[Setup], tuple[Fixture, Sequence[Work]]]


def changed_setups(setups: Sequence[Setup], change: Change) -> tuple[Setup, ...]:
    """Each of setups_of_one_board() with another fixture and other work, planned anew."""
    made = list[Setup]()
    for setup in setups:
        fixture, work = change(setup)
        made.append(replace(setup, fixture=fixture, work=work, after=made[-1] if made else setup.after))
    return tuple(made)


def setups_of_one_board(name: str, given: Any) -> tuple[Setup, ...]:
    """One setup, or several of one board in running order, each after the one before it."""
    found = [given] if isinstance(given, Setup) else sequence(name, given, "a Setup, or a list of them")
    for each in found:
        if not isinstance(each, Setup):
            raise InputError(f"{name} holds {shown(each)}; list setups.")
        if each.fixture.board != found[0].fixture.board:
            raise InputError(f"{name} holds setups of two boards, {found[0].fixture.board} and {each.fixture.board}.")
    if not found:
        raise InputError(f"{name} lists no setup.")
    for before, each in zip(found, found[1:]):
        if each.after != before:
            raise InputError(
                f"{name}: {each} does not come after {before}; give it after=, and list them in that order."
            )
    return tuple(found)
