"""What must hold of every job: each property takes a seed, and raises AssertionError where it does not hold.

    python tests/random_jobs/properties.py COUNT [FIRST SEED [PROPERTY ...]]

tries so many seeds and prints how often each property was tried, and every seed at which it failed. Unless properties
are named, every job is judged, proved and read again, and asked one of the others, by lot. Two boards are the
same if at no place of a grid the one is higher than the other is anywhere within NEAR of it, by more than NEAR: walls
may lie so far apart, and floors. Where a property tells larger from smaller, only what is cut too much counts.
"""

from __future__ import annotations

import sys
import time
from collections import Counter
from collections.abc import Callable
from dataclasses import replace
from functools import lru_cache
from pathlib import Path
from random import Random
from typing import NamedTuple

import numpy as np

import toolpaths as tp
from toolpaths.judging.trial.exact_heights import face_at
from toolpaths.judging.wood.field import Wood

sys.path.insert(0, str(Path(__file__).resolve().parent))
import small_jobs
from small_jobs import AS_DRAWN, HEIGHT, T1, T2, WIDTH, Change

# The first seed that is tried, in a file of its own: another number is another sample.
SEED = int((Path(__file__).resolve().parent / "first_seed.txt").read_text())
# mm: two paths may lie beside the shape by the tolerance of 0.01 each, and text is rounded.
NEAR = 0.03
CELL = 1.0
AROUND = np.array([(0.0, 0.0), *((np.cos(a), np.sin(a)) for a in np.arange(8) * np.pi / 4)]) * NEAR


class NotMade(Exception):
    """A job that the library refuses in words, so that there is nothing to hold a property against."""


def made(seed: int, change: Change = AS_DRAWN) -> tp.Job:
    try:
        return small_jobs.job(seed, change)
    except tp.ToolpathsError as error:
        raise NotMade(str(error)) from error


@lru_cache(maxsize=1)
def as_drawn(seed: int) -> tuple[tp.Job, tp.JobReport]:
    """A job as it is drawn, and what is found in it: kept, since most properties begin with it."""
    job = made(seed)
    return job, job.report(cell=CELL)


def drawn(seed: int) -> Wood:
    """The board of a job as it is drawn, front up."""
    return front_up(as_drawn(seed)[1].stock)


def finished(job: tp.Job) -> Wood:
    """The board as simulated from the texts alone, front up."""
    return front_up(job.report(cell=CELL).stock)


def front_up(wood: Wood) -> Wood:
    return wood.turned_over(wood.turned) if wood.turned else wood


def places(mirrored: bool = False) -> tuple[np.ndarray, np.ndarray]:
    """(n, 2) on one board, and the same on another, or on its mirror image; off the border, where there is no wood."""
    x, y = np.meshgrid(np.arange(0.53, WIDTH - 0.5, 0.97), np.arange(0.41, HEIGHT - 0.4, 0.93))
    here = np.column_stack([x.ravel(), y.ravel()])
    return here, np.column_stack([WIDTH - here[:, 0], here[:, 1]]) if mirrored else here


def heights(wood: Wood, at: np.ndarray, face: str) -> np.ndarray:
    """(n,) mm below the face of the board on that side, exact, from the moves that cut it."""
    if face == "front":
        return np.minimum(np.asarray(face_at(wood.top_cuts, at)), 0.0)
    over = wood.turned_over("left to right")
    return np.minimum(np.asarray(face_at(over.top_cuts, _seen_from_behind(at))), 0.0)


def _seen_from_behind(at: np.ndarray) -> np.ndarray:
    return np.column_stack([WIDTH - at[:, 0], at[:, 1]])


def too_deep(one: Wood, other: Wood, mirrored: bool = False) -> list[str]:
    """Where the one is cut deeper than the other is anywhere within NEAR, by more than NEAR; both faces."""
    here, there = places(mirrored)
    found = []
    for face in ("front", "back"):
        low = heights(one, here, face)
        some = np.flatnonzero(low < heights(other, there, face) - NEAR)
        if not len(some):
            continue
        about = np.min([heights(other, there[some] + step, face) for step in AROUND], axis=0)
        wrong = some[low[some] < about - NEAR]
        found += [f"{face} ({here[n, 0]:.2f}, {here[n, 1]:.2f}): {low[n]:.3f}" for n in wrong[:3]]
    return found


def assert_same(one: Wood, other: Wood, mirrored: bool = False) -> None:
    for found in (too_deep(one, other, mirrored), too_deep(other, one, mirrored)):
        assert not found, f"cut deeper than the other at {found}"


# The properties, each with the name under which it is counted.


def no_danger_and_no_damage(seed: int) -> None:
    """Never a gouge, never a rapid in wood: nothing that throws wood, breaks a cutter or spoils the board."""
    _, report = as_drawn(seed)
    assert [str(each) for each in report.findings if each.finding.severity != "doubt"] == []


def proved(seed: int) -> None:
    """The small checker proves its four sentences."""
    for name, proof in as_drawn(seed)[0].proofs().items():
        assert proof.holds, f"{name}: {proof}"


def read_is_what_was_written(seed: int) -> None:
    """Every end of a move of the plan is an end of a motion of the text, in order, and the text is as long."""
    # Of the same setups, which are planned already.
    job = replace(as_drawn(seed)[0], cycles="spelled out")
    for setup, text in zip(job.setups, job.programs().values(), strict=True):
        zero = np.array(setup.fixture.zero)
        planned = [np.array([move.x, move.y, move.z]) - zero for step in setup.steps if hasattr(step, "path")
                   for move in step.path.moves]  # fmt: skip
        ends = tp.read(text).motions.end
        at = 0
        for place in planned:
            near = np.flatnonzero(np.abs(ends[at:] - place).max(axis=1) < 0.002)
            assert len(near), f"{place} is not reached after motion {at}"
            at += int(near[0])


def mirrored_makes_the_mirrored_part(seed: int) -> None:
    assert_same(drawn(seed), finished(made(seed, Change(mirrored=True))), mirrored=True)


def inches_are_millimetres(seed: int) -> None:
    assert_same(drawn(seed), finished(replace(as_drawn(seed)[0], units="inch")))


def first_vertex_and_winding_do_not_matter(seed: int) -> None:
    assert_same(drawn(seed), finished(made(seed, Change(redrawn=True))))


def any_order_makes_the_same_part(seed: int) -> None:
    assert_same(drawn(seed), finished(made(seed, Change(any_order=True))))


def drills_spelled_out_make_the_same_part(seed: int) -> None:
    assert_same(drawn(seed), finished(replace(as_drawn(seed)[0], cycles="spelled out")))


def a_larger_cutter_reaches_no_more(seed: int) -> None:
    found = too_deep(_pocketed(seed, [T1]), _pocketed(seed, [T2]))
    assert not found, f"cut deeper than by the smaller at {found}"


def rest_and_coarse_are_fine_alone(seed: int) -> None:
    assert_same(_pocketed(seed, [T1, T2]), _pocketed(seed, [T2]))


def _pocketed(seed: int, cutters: list[tp.Cutter]) -> Wood:
    area = small_jobs.area_in(Random(seed), (WIDTH / 2, HEIGHT / 2), Random(-seed - 1).uniform(0.5, 2))
    board = tp.Board(width=WIDTH, height=HEIGHT, thickness=small_jobs.THICKNESS)
    try:
        setup = tp.Setup(tp.Fixture(board=board, grips=(board.outline,)), [tp.pocket(area, cutters, depth=3)])
        return finished(tp.Job("Pocket", [setup]))
    except tp.ToolpathsError as error:
        raise NotMade(str(error)) from error


def restart_makes_the_same_part(seed: int) -> None:
    """From a line by lot at which it can be begun again."""
    job, _ = as_drawn(seed)
    name = Random(seed).choice(list(job.programs()))
    if name != list(job.programs())[-1]:
        raise NotMade("restarted is the last program, whose board is the part")
    text = job.programs()[name]
    line = Random(seed).randrange(len(text.splitlines()) // 3, len(text.splitlines()))
    try:
        again = job.restart(name, line=line, cell=CELL)
    except tp.InputError as error:
        raise NotMade(str(error)) from error
    assert_same(drawn(seed), front_up(again.report.stock))


PROPERTIES: tuple[Callable[[int], None], ...] = (
    no_danger_and_no_damage, proved, read_is_what_was_written, mirrored_makes_the_mirrored_part, inches_are_millimetres,
    first_vertex_and_winding_do_not_matter, any_order_makes_the_same_part, drills_spelled_out_make_the_same_part,
    a_larger_cutter_reaches_no_more, rest_and_coarse_are_fine_alone, restart_makes_the_same_part,
)  # fmt: skip
OF_EVERY_JOB = PROPERTIES[:3]


def by_lot(seed: int) -> tuple[Callable[[int], None], ...]:
    """What holds of every job, and one of the properties for which another is made."""
    return *OF_EVERY_JOB, Random(f"asked of {seed}").choice(PROPERTIES[len(OF_EVERY_JOB) :])


class Count(NamedTuple):
    """held, refused : how often a property was held, or not made, by its name; failed : what to run again, and why"""

    held: Counter[str]
    refused: Counter[str]
    failed: list[str]


def counted(seeds: range, properties: tuple[Callable[[int], None], ...] = ()) -> Count:
    """Those properties, or else what by_lot() says."""
    found = Count(Counter(), Counter(), [])
    for seed in seeds:
        for each in properties or by_lot(seed):
            try:
                each(seed)
                found.held[each.__name__] += 1
            except NotMade:
                found.refused[each.__name__] += 1
            except Exception as error:
                found.failed.append(f"{each.__name__}({seed}): {type(error).__name__}: {str(error)[:300]}")
    return found


if __name__ == "__main__":
    count, first = int(sys.argv[1]), int(sys.argv[2]) if len(sys.argv) > 2 else SEED
    some = tuple(each for each in PROPERTIES if each.__name__ in sys.argv[3:])
    begun = time.process_time()
    found = counted(range(first, first + count), some)
    print(f"seeds {first} to {first + count - 1}, {time.process_time() - begun:.0f} s of CPU")
    for each in some or PROPERTIES:
        print(
            f"  {each.__name__}: {found.held[each.__name__]} held, {found.refused[each.__name__]} not made", flush=True
        )
    print(*found.failed, sep="\n")
    sys.exit(1 if found.failed else 0)
