"""An inlay of a job: which of its setups cut the recess and the insert, and how both fit as simulated."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, Any

from toolpaths.base.checks import sequence, shown
from toolpaths.base.errors import InputError
from toolpaths.facts.board import Board
from toolpaths.facts.turning import Side
from toolpaths.job.wood_left import Sides, settings_of
from toolpaths.judging.trial.case import Case, make_case
from toolpaths.making.inlays.inlay import Inlay
from toolpaths.making.operations.operation import Operation
from toolpaths.making.plan.setup import Setup
from toolpaths.show.sheet.inlays_by_hand import InlayOnSheet

# What judges a fit is imported where there is an inlay.
if TYPE_CHECKING:
    from toolpaths.judging.fit.inlay_fit import InlayFit
    from toolpaths.judging.job_report import SideFinding


def checked_inlay(name: str, inlay: Any) -> Inlay:
    """An inlay of either kind."""
    if not isinstance(inlay, Inlay):
        raise InputError(f"{name}={shown(inlay)} must be an inlay: straight_inlay(...) or tapered_inlay(...).")
    return inlay


def checked_inlays(name: str, given: Any) -> tuple[Inlay, ...]:
    """Several inlays, as a tuple."""
    return tuple(checked_inlay(f"each of {name}", each) for each in sequence(name, given, "a list of inlays"))


def check_listed(inlays: Sequence[Inlay], setups: Sequence[Setup]) -> None:
    """Raises InputError for an inlay whose recess or insert no setup lists."""
    for inlay in inlays:
        _boards_of(inlay, setups)


def on_sheet(inlay: Inlay) -> InlayOnSheet:
    """What the sheet says of an inlay."""
    return InlayOnSheet(inlay.laid, tuple(operation.title for operation in (*inlay.recess, *inlay.insert)))


def fit_of(inlay: Inlay, setups: Sequence[Setup], sides_of: Callable[[Board], Sides]) -> InlayFit:
    """How the insert of an inlay fits its recess.

    sides_of : the setups of a board, each with the texts of its programs
    """
    from toolpaths.judging.fit.laid_in import laid_in

    recess, insert = _boards_of(inlay, setups)
    return laid_in(inlay.laid, _cases(sides_of(recess)), _cases(sides_of(insert)))


def gaps_of(
    inlay: Inlay, setups: Sequence[Setup], sides_of: Callable[[Board], Sides], within: float
) -> list[SideFinding]:
    """What is wrong with how the insert of an inlay fits. within : mm that a wall or a floor may be off"""
    from toolpaths.judging.checks.between_boards.inlay_gap import inlay_gap

    return list(inlay_gap(fit_of(inlay, setups, sides_of), within))


def _boards_of(inlay: Inlay, setups: Sequence[Setup]) -> tuple[Board, Board]:
    """The board of the recess, and that of the insert."""
    recess = _board_with(inlay.recess, "recess", inlay.name, inlay.face, setups)
    return recess, _board_with(inlay.insert, "insert", inlay.name, "front", setups)


def _board_with(work: Sequence[Operation], what: str, name: str, face: Side, setups: Sequence[Setup]) -> Board:
    """The board on which some work is done."""
    boards = {
        setup.fixture.board
        for setup in setups
        if setup.fixture.side == face and all(operation in setup.operations for operation in work)
    }
    if len(boards) != 1:
        found = "no setup" if not boards else f"setups of {len(boards)} boards"
        raise InputError(
            f"{found.capitalize()} of the job's {face} lists the {what} of {name}: list *inlay.{what} in one."
        )
    return boards.pop()


def _cases(sides: Sides) -> list[Case]:
    """What each program of a board does."""
    return [make_case(each.program, each.fixture, each.cutters) for each in settings_of(sides)]
