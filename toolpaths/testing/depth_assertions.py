"""Assertions about a place of the board: how deep a face is cut there, how much wood is left.

Heights are exact at the place, from the moves of the texts, and not those of cells. What an undercut cutter takes under
shoulders is not seen from above, and does not count.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from toolpaths.base.checks import distance, length, one_of, point
from toolpaths.base.errors import InputError
from toolpaths.facts.turning import SIDES, Side
from toolpaths.job.job import Job
from toolpaths.judging.job_programs import Judged
from toolpaths.judging.trial.exact_heights import cut_at
from toolpaths.testing.failure import failure
from toolpaths.testing.simulated_job import SimulatedJob, as_simulated, place_as_laid


class _Cut(NamedTuple):
    """The lowest cut over a place from one face: mm from the face, and the program and line that made it."""

    depth: float
    program: str
    line: int


def assert_depth_at(
    job: Job | SimulatedJob,
    place: Any,
    *,
    depth: float,
    face: Side = "front",
    within: float = 0.05,
    after: str | None = None,
) -> None:
    """A face of the board is cut just so deep at a place.

    job : or what simulated() made of it
    place : (x, y) mm, seen from the front, whichever face is meant
    depth : mm from the face as it was measured, positive; 0 where nothing is cut
    face : "front" or "back"
    within : mm by which it may be off
    after : the name of the program after which it is so; the last one of that board unless given

    >>> import toolpaths as tp
    >>> from toolpaths.testing import assert_depth_at
    >>> board = tp.Board(width=120, height=80, thickness=18)
    >>> cutter = tp.Cutter(1, tp.flat(6), feed_mm_min=1500, spindle_rpm=18000)
    >>> fixture = tp.Fixture(board=board, grips=[board.outline])
    >>> job = tp.Job("Hole", [tp.Setup(fixture, [tp.bore([(30, 40)], 9, cutter, depth=6)])])
    >>> assert_depth_at(job, (30, 40), depth=6)

    Raises AssertionError where it is otherwise; InputError for a place off the board, a depth of all of the board (see
    assert_wood_left_at), and a name that no program has.
    """
    __tracebackhide__ = True
    tried, (x, y), wanted = as_simulated(job), point("place", place), distance("depth", depth)
    side, most = one_of("face", face, SIDES), length("within", within)
    program = tried.program(after)
    judged = _on_board(tried, program, (x, y))
    thickness = judged.case.fixture.board.thickness
    if wanted >= thickness:
        raise InputError(
            f"depth={wanted:g} is all of the board; assert_wood_left_at(..., thickness=0) says it is open."
        )
    front, back = (_lowest(tried, judged, program, (x, y), each) for each in SIDES)
    cut, other = (front, back) if side == "front" else (back, front)
    if cut.depth + other.depth >= thickness:
        found, off = "the board is open there, cut through", "That is too deep"
    elif abs(cut.depth - wanted) <= most:
        return
    else:
        off = f"That is {abs(cut.depth - wanted):.3f} mm too {'deep' if cut.depth > wanted else 'shallow'}"
        found = f"it is {cut.depth:.3f} mm" if cut.program else "nothing is cut there"
    culprit = cut if cut.program else other if other.depth + cut.depth >= thickness else cut
    said = (
        f"The {side} of {tried.job.title} is to be cut {wanted:g} mm deep at X{x:g} Y{y:g} (seen from the front), and "
        f"{found}. {off}; it may be off by {most:g} mm."
    )
    raise _failed(tried, said, culprit, program, (x, y))


def assert_wood_left_at(
    job: Job | SimulatedJob, place: Any, *, thickness: float, within: float = 0.05, after: str | None = None
) -> None:
    """So much wood is left between both faces at a place; 0 where the board is open.

    job, place, within, after : as for assert_depth_at()
    thickness : mm

    >>> import toolpaths as tp
    >>> from toolpaths.testing import assert_wood_left_at
    >>> board = tp.Board(width=120, height=80, thickness=18)
    >>> cutter = tp.Cutter(1, tp.flat(6), feed_mm_min=1500, spindle_rpm=18000)
    >>> fixture = tp.Fixture(board=board, grips=[board.outline])
    >>> job = tp.Job("Hole", [tp.Setup(fixture, [tp.bore([(30, 40)], 9, cutter, depth=6)])])
    >>> assert_wood_left_at(job, (30, 40), thickness=12)

    Raises AssertionError where it is otherwise, InputError as assert_depth_at() does.
    """
    __tracebackhide__ = True
    tried, (x, y), wanted = as_simulated(job), point("place", place), distance("thickness", thickness)
    most, program = length("within", within), tried.program(after)
    judged = _on_board(tried, program, (x, y))
    front, back = (_lowest(tried, judged, program, (x, y), each) for each in SIDES)
    left = max(judged.case.fixture.board.thickness - front.depth - back.depth, 0.0)
    if abs(left - wanted) <= most:
        return
    said = (
        f"{f'{wanted:g} mm of wood are' if wanted else 'No wood is'} to be left at X{x:g} Y{y:g} (seen from the front) "
        f"of {tried.job.title}, and {left:.3f} mm are: cut {front.depth:.3f} mm deep from the front, {back.depth:.3f} "
        f"mm from the back. It may be off by {most:g} mm."
    )
    raise _failed(tried, said, max(front, back, key=lambda cut: cut.depth), program, (x, y))


def _on_board(tried: SimulatedJob, program: str, place: tuple[float, float]) -> Judged:
    """The program after which the board is looked at. Raises InputError for a place off its board."""
    judged = tried.judged[program]
    board = judged.case.fixture.board
    if not (0 <= place[0] <= board.width and 0 <= place[1] <= board.height):
        raise InputError(
            f"place={place} lies off the board, {board.width:g} x {board.height:g} mm; places are seen from the front, "
            "from its lower-left corner."
        )
    return judged


def _lowest(tried: SimulatedJob, judged: Judged, program: str, place: tuple[float, float], face: Side) -> _Cut:
    """The lowest cut over a place that programs up to one made from a face."""
    found = _Cut(0.0, "", 0)
    for name, each in tried.judged.items():
        if each.case.fixture.board == judged.case.fixture.board and each.case.fixture.side == face:
            low, move = cut_at(each.case, np.array([place_as_laid(each, place)]))
            if -low[0] > found.depth:
                found = _Cut(float(-low[0]), name, int(each.case.moves.line[move[0]]))
        if name == program:
            break
    return found


def _failed(tried: SimulatedJob, said: str, cut: _Cut, program: str, place: tuple[float, float]) -> AssertionError:
    where = cut.program or program
    lines = (cut.line,) if cut.program else ()
    return failure(said, tried, where, lines=lines, place=place_as_laid(tried.judged[where], place))
