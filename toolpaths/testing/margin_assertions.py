"""Assertions about what there is to spare: to the hold-downs, between both faces, of what holds the wood."""

from __future__ import annotations

import numpy as np

from toolpaths.base.checks import distance, length, positive
from toolpaths.job.job import Job
from toolpaths.judging.checks.holding.weak_hold import weakest_holds
from toolpaths.judging.checks.meeting.hold_downs import gap, obstacles
from toolpaths.judging.checks.part.thin_web import of_no_part
from toolpaths.judging.job_programs import Judged
from toolpaths.judging.study.clearance import nearest_to_hold_downs
from toolpaths.judging.wood.moves import X0, X1, Y0, Y1
from toolpaths.judging.wood.patches import centres
from toolpaths.testing.failure import failure
from toolpaths.testing.simulated_job import SimulatedJob, as_simulated, place_as_laid


def assert_clear_of_hold_downs(job: Job | SimulatedJob, *, margin: float, program: str | None = None) -> None:
    """Cutter, shank and collet nut keep so far away from screws, clamps and pins, seen from above.

    job : or what simulated() made of it
    margin : mm; what goes over a hold-down higher than that stands comes never near it
    program : the name of one program; all of them unless given

    >>> import toolpaths as tp
    >>> from toolpaths.testing import assert_clear_of_hold_downs
    >>> board = tp.Board(width=120, height=80, thickness=18)
    >>> cutter = tp.Cutter(1, tp.flat(6), feed_mm_min=1500, spindle_rpm=18000)
    >>> fixture = tp.Fixture(board=board, screws=tp.screws([(8, 8), (112, 72)], head_diameter=9, height=3))
    >>> job = tp.Job("Hole", [tp.Setup(fixture, [tp.bore([(30, 40)], 9, cutter, depth=6)])])
    >>> assert_clear_of_hold_downs(job, margin=10)

    Raises AssertionError where one comes nearer, InputError for numbers and names that cannot be used.
    """
    __tracebackhide__ = True
    tried, least = as_simulated(job), distance("margin", margin)
    for name in tried.named(program):
        judged = tried.judged[name]
        case = judged.case
        found = nearest_to_hold_downs(case, 0.0, 0.0)
        if found is None or found[0] >= least:
            continue
        here, thing, pairs = found
        things = obstacles(case)
        at, move = min(pairs, key=lambda pair: gap(case, pair[1], things[pair[0]]))
        cutter = case.cutters[int(case.moves.tool[move])]
        comes = f"comes within {here:.3f} mm of it" if here > 0 else f"runs {-here:.3f} mm into it"
        said = (
            f"{tried.job.title}, {name}: {least:g} mm are to be clear of {thing}, and {cutter} {comes}. That is "
            f"{least - here:.3f} mm too near; move the hold-down, or go round it."
        )
        raise failure(said, tried, name, lines=(int(case.moves.line[move]),), place=(things[at].x, things[at].y))


def assert_webs_above(job: Job | SimulatedJob, *, thickness: float) -> None:
    """Where the board is cut from both faces, at least so much wood is left between.

    job : or what simulated() made of it
    thickness : mm; what is cut right through, waste and tabs do not count. It is looked at in the cells of the wood,
        whose heights are exact at their centres

    >>> import toolpaths as tp
    >>> from toolpaths.testing import assert_webs_above
    >>> board = tp.Board(width=120, height=80, thickness=18)
    >>> cutter = tp.Cutter(1, tp.flat(6), feed_mm_min=1500, spindle_rpm=18000)
    >>> fixture = tp.Fixture(board=board, grips=[board.outline])
    >>> front = tp.Setup(fixture, [tp.pocket(tp.circle(30, (60, 40)), cutter, depth=6)])
    >>> other = fixture.turned_over("left to right", grips=[board.outline])
    >>> back = tp.Setup(other, [tp.pocket(tp.circle(20, (60, 40)), cutter, depth=8)], after=front)
    >>> assert_webs_above(tp.Job("Two dishes", [front, back]), thickness=3.9)

    Raises AssertionError where less is left, InputError for numbers that cannot be used.
    """
    __tracebackhide__ = True
    tried, least = as_simulated(job), length("thickness", thickness)
    for board in tried.job.boards:
        name = [one for one, each in tried.judged.items() if each.case.fixture.board == board][-1]
        judged = tried.judged[name]
        trial = judged.trial
        wood = trial.after
        left = np.asarray(wood.top - wood.bottom, np.float64)
        cut = (wood.top < 0) & (wood.bottom > judged.case.fixture.underside_z + 0.001) & (left > 0)
        cut &= ~of_no_part(trial)
        if not cut.any():
            continue
        cell = int(np.where(cut, left, np.inf).argmin())
        web = float(left.reshape(-1)[cell])
        if web >= least:
            continue
        x, y = centres(wood.grid, np.array([cell]))[0].tolist()
        seen = place_as_laid(judged, (x, y))
        # The face that lies up then, and the other one.
        depths = (-float(wood.top.reshape(-1)[cell]), float(np.broadcast_to(wood.bottom, left.shape).reshape(-1)[cell]))
        faces = ("front", "back") if judged.case.fixture.side == "front" else ("back", "front")
        above = f"{depths[0]:.3f} mm deep from the {faces[0]}"
        below = f"{depths[1] - judged.case.fixture.underside_z:.3f} mm from the {faces[1]}"
        said = (
            f"{least:g} mm of wood are to be left between the cuts from both faces of {tried.job.title}, and {web:.3f} "
            f"mm are at X{seen[0]:.5g} Y{seen[1]:.5g} (seen from the front): cut {above}, {below}. That is "
            f"{least - web:.3f} mm too thin."
        )
        raise failure(said, tried, name, lines=_lines_over(judged, x, y), place=(x, y))


def assert_held_above(job: Job | SimulatedJob, *, times_force: float, program: str | None = None) -> None:
    """What holds the board and each piece of it stands so many times the force of the cutter, at every moment.

    job : or what simulated() made of it
    times_force : three times is what the judging asks for (common practice, no source); more for knots and short grain
    program : the name of one program; all of them unless given

    >>> import toolpaths as tp
    >>> from toolpaths.testing import assert_held_above
    >>> board = tp.Board(width=120, height=80, thickness=18)
    >>> cutter = tp.Cutter(1, tp.flat(6), feed_mm_min=1500, spindle_rpm=18000)
    >>> fixture = tp.Fixture(board=board, grips=[board.outline])
    >>> job = tp.Job("Hole", [tp.Setup(fixture, [tp.bore([(30, 40)], 9, cutter, depth=6)])])
    >>> assert_held_above(job, times_force=4)

    Raises AssertionError where it stands less, InputError for numbers and names that cannot be used.
    """
    __tracebackhide__ = True
    tried, times = as_simulated(job), positive("times_force", times_force)
    for name in tried.named(program):
        judged = tried.judged[name]
        found = weakest_holds(judged.trial)
        if found is None or not found[2]:
            continue
        _, pushes, each, _ = found
        weakest = min(each, key=lambda one: one.factor)
        if weakest.factor >= times:
            continue
        move = int(pushes.move[weakest.push])
        case = judged.case
        x, y = pushes.tip[weakest.push, :2].tolist()
        said = (
            f"{tried.job.title}, {name}: what holds the wood is to stand {times:g} times the force of the cutter, and "
            f"stands {weakest.factor:.2f} times the {float(pushes.peak[weakest.push]):.0f} N with which "
            f"{case.cutters[int(case.moves.tool[move])]} pushes at X{x:.4g} Y{y:.4g} of the board as it lies. Give it "
            "more or stronger tabs, screws or tape, or cut with less force."
        )
        raise failure(said, tried, name, lines=(int(case.moves.line[move]),), place=(x, y))


def _lines_over(judged: Judged, x: float, y: float) -> tuple[int, ...]:
    """The lines of a program whose moves end nearest to a place, below the face."""
    case = judged.case
    moves = np.flatnonzero(case.cutting)
    if not len(moves):
        return ()
    ends = case.moves.path[[[X1], [Y1]], moves]
    starts = case.moves.path[[[X0], [Y0]], moves]
    away = np.minimum(np.hypot(ends[0] - x, ends[1] - y), np.hypot(starts[0] - x, starts[1] - y))
    return (int(case.moves.line[moves[int(away.argmin())]]),)
