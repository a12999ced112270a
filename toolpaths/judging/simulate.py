"""From text to report."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace

import numpy as np

from toolpaths.base.checks import Floats, between, instance
from toolpaths.base.errors import InputError
from toolpaths.base.progress import step_by_step
from toolpaths.facts.board import Board
from toolpaths.facts.cutter import Cutter
from toolpaths.facts.fixture import Fixture
from toolpaths.facts.language import WORK_SYSTEMS
from toolpaths.facts.part import Part
from toolpaths.judging.checks.all_checks import CHECKS, WATCHES, WOOD_CHECKS
from toolpaths.judging.checks.meeting import wood_in_time
from toolpaths.judging.checks.part import laid_wrong
from toolpaths.judging.reader.controller import Controller
from toolpaths.judging.reader.motions import RAPID, Program
from toolpaths.judging.reader.read import read_all
from toolpaths.judging.report import Report
from toolpaths.judging.trial.case import Case, Trial, make_case, programs_before
from toolpaths.judging.trial.consequences import without_consequences
from toolpaths.judging.trial.duration import durations
from toolpaths.judging.trial.findings import Finding, in_order
from toolpaths.judging.trial.known_places import UNKNOWN_ZERO, waiting_place
from toolpaths.judging.trial.operations_named import with_operations
from toolpaths.judging.trial.standing_tab import StandingTab
from toolpaths.judging.trial.work_times import work_times
from toolpaths.judging.wood.field import Wood, whole_board

_NEVER_JUDGED = ("lifting and shaking of what is held", "the edge of the cutter", "the grain")


def simulate(
    text: str,
    fixture: Fixture,
    cutters: Iterable[Cutter],
    *,
    cell: float = 0.25,
    stock: Wood | None = None,
    part: Part | None = None,
    thinnest_web: float = 0.0,
) -> Report:
    """Judge a program by its text: what it does to the board, and everything that is wrong with it.

    cutters : those in the rack; a program may use fewer
    cell : mm, width of the cells of the wood; heights are exact at their centres
    stock : the wood to start from, for the back `front.stock.turned_over("left to right")`; a whole
        board unless given. Its own cell size is then used.
    part : what is meant to come out, to find gouges and leftovers
    thinnest_web : mm, least thickness of wood that may be left between the two faces where both were cut

    >>> import toolpaths as tp
    >>> board = tp.Board(width=200, height=140, thickness=18)
    >>> T1 = tp.Cutter(1, tp.flat(6), feed_mm_min=1500, spindle_rpm=18000)
    >>> side = tp.Fixture(board=board)
    >>> text = tp.program_text(tp.Setup(side, [tp.groove([(60, 70), (140, 70)], T1, depth=4)]))
    >>> tp.simulate(text, side, [T1], cell=1.0)
    <Report: nothing found>
    >>> tp.simulate(text.replace("M3 ", "M5 "), side, [T1], cell=1.0).codes()
    ('spindle-off',)

    Raises InputError only for arguments that cannot be used; a program that cannot be read is a finding.
    """
    instance("fixture", fixture, Fixture)
    before = uncut(fixture, cell) if stock is None else instance("stock", stock, Wood)
    case = make_case(read_for(text, fixture), fixture, cutters, programs_before(before, fixture))
    return judge(run_on(before, case, part, thinnest_web))


def uncut(fixture: Fixture, cell: float) -> Wood:
    """A whole board as it lies on this side, but for what its fixture says of the face below."""
    board = replace(whole_board(fixture.board, cell), turned=fixture.turned)
    if not fixture.levelled:
        return board
    return replace(board, bottom=np.broadcast_to(np.float32(fixture.underside_z), board.grid.shape), bottom_cuts=None)


def read_for(text: str, fixture: Fixture) -> Program:
    """The program as the machine reads it that holds this fixture, without the lines that cannot be read."""
    # Where the other work systems lie is not known: all are taken for the board's zero, and the check
    # `other_zero` says so.
    zero = fixture.zero_in_machine or UNKNOWN_ZERO
    controller = Controller(work_origins=dict.fromkeys(WORK_SYSTEMS, zero))
    return read_all(text, start=waiting_place(fixture), controller=controller)


def run_on(stock: Wood, case: Case, part: Part | None, thinnest_web: float) -> Trial:
    """Runs a program, read and laid on its board, on the wood before it; the arguments are those of simulate()."""
    fixture = case.fixture
    _check_same_board("stock", stock.board, fixture.board)
    if part is not None:
        _check_same_board("part", instance("part", part, Part).board, fixture.board)
    between("thinnest_web", thinnest_web, 0.0, fixture.board.thickness)
    if stock.turned != fixture.turned:
        raise InputError(
            f"The stock lies {_side_up(stock.turned)}, the fixture's board {_side_up(fixture.turned)}; "
            'give stock.turned_over("left to right") or the like.'
        )
    after, meetings = wood_in_time.run(case, stock, [watch(case) for watch in WATCHES])
    return Trial(case, stock, after, part, thinnest_web, meetings)


def judge(trial: Trial) -> Report:
    """All checks of a program that was run."""
    side = trial.case.fixture.side
    findings: list[Finding] = [
        finding for check in step_by_step(f"Judging the {side}, moves", CHECKS) for finding in check(trial.case)
    ]
    found = [each for check in step_by_step(f"Judging the {side}, wood", WOOD_CHECKS) for each in check(trial)]
    findings += [each for each in found if isinstance(each, Finding)]
    if any(each.code in ("gouge", "leftover") for each in findings) and (cause := laid_wrong.laid_wrong(trial)):
        findings.append(cause)
    notes = tuple(each for each in found if isinstance(each, str))
    not_judged = (*_unknown(trial), *_NEVER_JUDGED)
    kept = in_order(with_operations(trial.case.program, without_consequences(findings)))
    tabs = tuple(each for each in found if isinstance(each, StandingTab))
    seconds, length = durations(trial.case)
    return Report(
        kept, trial.after, float(seconds.sum()), *_lengths(trial.case, length), notes, not_judged,
        work_times(trial.case, seconds), tabs,
    )  # fmt: skip


def _unknown(trial: Trial) -> Iterator[str]:
    """What is not judged because a fact for it was not given."""
    if trial.part is None:
        yield "the part meant (none was given)"
    case = trial.case
    if case.fixture.spoilboard_thickness is None and case.moves.below(case.fixture.underside_z).any():
        yield "whether a cut goes through the spoilboard (its thickness was not given)"
    if not case.fixture.holds_board:
        yield "what holds the board (nothing was declared)"


def _check_same_board(what: str, board: Board, held: Board) -> None:
    if (board.width, board.height, board.thickness) != (held.width, held.height, held.thickness):
        raise InputError(f"{what} is of another board, {board}, than the fixture holds, {held}.")


def _side_up(turned: str) -> str:
    return f"turned over {turned}" if turned else "with its front up"


def _lengths(case: Case, length: Floats) -> tuple[float, float]:
    """mm at feed, mm at rapid."""
    return float(length[case.moves.feeding()].sum()), float(length[case.moves.kind == RAPID].sum())
