"""Random jobs as a careful person would set them up; a finding against any of them is a false alarm.

    python tests/sound_jobs.py 200 [FIRST SEED [CELL [any]]]

makes jobs until the library has accepted 200, writes their programs as text, judges the text and prints what was found.
With `any` the work of each side is listed out of order, as a group whose order the library finds.
Jobs that the library refuses in words are counted, and their words are kept.
"""

from __future__ import annotations

import sys
import time
from collections import Counter
from collections.abc import Iterator
from random import Random
from typing import NamedTuple

from shapely import box
from sound_features import (
    CHAMFERED,
    DOWELS,
    DRILLED,
    FACE,
    FREED,
    Plan,
    Shop,
    broken_edge,
    facing_pockets,
    feature,
    rooms,
    shop,
)

import toolpaths as tp
from toolpaths.facts.machine import ALL_CODES, ARCS, CYCLES

# mm that every job leaves between its two faces, where both are cut.
THINNEST_WEB = 2.5
PILOTS = "Drive the screws in the slugs"


class Side(NamedTuple):
    """One side as it is judged: its setup, and the texts of its programs by name, run in that order."""

    setup: tp.Setup
    texts: dict[str, str]


class Job(NamedTuple):
    seed: int
    sides: list[Side]


def job(seed: int, grouped: bool = False) -> Job:
    """The job of a seed, its work in order, or shuffled and grouped. Raises an error of the library where that
    refuses it."""
    rng = Random(seed)
    inches = rng.random() < 0.3
    tools = shop(rng, inches)
    thick = [rng.uniform(9, 21)] * 5
    board = tp.Board(
        width=tp.inch(rng.randint(7, 13)) if inches else rng.randint(170, 340),
        height=tp.inch(rng.randint(5, 9)) if inches else rng.randint(130, 230),
        thickness=tp.inch(rng.choice(["1/2", "3/4"])) if inches else round(rng.choice([6, *thick]), 1),
    )
    taped = rng.random() < 0.3
    both = rng.random() < 0.55
    faced = taped and board.thickness > 8 and rng.random() < 0.6
    turn = rng.choice(["left to right", "top to bottom"])
    clamped = not taped and rng.random() < 0.4
    border = 36.0 if clamped else 24.0

    front, back = Plan(), Plan()
    outlined = rng.random() < 0.7
    radius = rng.choice([0.0, 8.0, 15.0])
    inset = border + (tools.main.diameter + 2 + 6 + 0.3 * radius if outlined else 0.0)
    top = -1.0 if faced else 0.0
    if faced:
        front.add(FACE, tp.face(board.outline, tools.facing, depth=1.0, angle_deg=rng.choice([0, 90])))
    for room in rooms(rng, inset, inset, board.width - inset, board.height - inset):
        plan = back if both and rng.random() < 0.4 else front
        if both and rng.random() < 0.2:
            facing_pockets(rng, front, back, room, board, tools, top)
        else:
            feature(rng, plan, room, board, tools, 0.0 if plan is back else top, taped)
    if outlined:
        edge = border + tools.main.diameter + 2
        part = tp.rectangle(board.width - 2 * edge, board.height - 2 * edge, (board.width / 2, board.height / 2),
                            corner_radius=radius)  # fmt: skip
        tabs = tp.Tabs(count=rng.randint(3, 6), width=rng.uniform(5, 9), height=round(board.thickness / 4, 1),
                       slope_deg=rng.choice([90, 40]))  # fmt: skip
        on_back = both and rng.random() < 0.7
        if rng.random() < 0.3:
            plan = back if on_back else front
            plan.add(
                CHAMFERED,
                broken_edge(tools, part, rng.uniform(0.5, 1.5), from_depth=0.0 if on_back else 0.0 - top),
            )
        held = {"skin": rng.choice([0.3, 0.4, 0.8])} if rng.random() < 0.2 else {"tabs": tabs}
        (back if on_back else front).add(FREED, tp.contour(
            part, tools.main, depth=tp.through(0.3), **held, from_depth=0.0 if on_back else 0.0 - top,
            direction=rng.choice(["climb", "conventional"]), finish=rng.choice([0, 0.25]),
        ))  # fmt: skip
    dowels = pins(rng, front, board, tools, border, turn, top) if both else ()
    fixtures = hold(rng, board, front, back, dowels, taped, faced, clamped, border, turn if both else "")
    return Job(
        seed, [written(rng, fixture, plan, seed if grouped else None) for fixture, plan in fixtures if plan.work]
    )


def pins(
    rng: Random, front: Plan, board: tp.Board, tools: Shop, border: float, turn: str, top: float
) -> tuple[tp.Dowel, ...]:
    """Two dowels that mirror each other when the board is turned, off the other centre line so that one way alone fits;
    their holes are bored into the spoilboard."""
    w, h, m = board.width, board.height, border / 2
    x, y = w / 2 + 10, h / 2 + 10
    places = [(m, y), (w - m, y)] if turn == "left to right" else [(x, m), (x, h - m)]
    diameter = round(tools.main.diameter * 1.4, 1)
    deep, proud = rng.choice([4.0, 6.0]), 0.5 if rng.random() < 0.3 else 0.0
    found = tuple(tp.Dowel(x=x, y=y, diameter=diameter, depth=deep, standing=proud) for x, y in places)
    front.add(DOWELS, tp.bore(places, diameter, tools.main, depth=tp.through(deep), from_depth=0.0 - top))
    return found


def hold(
    rng: Random, board: tp.Board, front: Plan, back: Plan, dowels: tuple[tp.Dowel, ...], taped: bool, faced: bool,
    clamped: bool, border: float, turn: str,
) -> Iterator[tuple[tp.Fixture, Plan]]:  # fmt: skip
    """The fixture of each side, with its plan."""
    w, h, m = board.width, board.height, border / 2
    corners = [] if taped else [(m, m), (w - m, m), (m, h - m), (w - m, h - m)]
    head, height = rng.choice([8.0, 10.0]), rng.choice([1.5, 3.0, 5.0])

    def screwed(plan: Plan) -> tuple[tp.Screw, ...]:
        later = plan.slugs and rng.random() < 0.5
        if later:
            plan.add(DRILLED, tp.stop(PILOTS))
        here = [(x, y, head, height, "") for x, y in corners]
        here += [(x, y, 8.0, 2.0, PILOTS if later else "") for x, y in plan.slugs]
        return tuple(tp.Screw(x=x, y=y, head_diameter=wide, height=up, driven_at=when) for x, y, wide, up, when in here)

    clamps: tuple[tp.Clamp, ...] = ()
    if clamped:
        # Beside the dowels, whichever way these lie.
        high = rng.choice([6.0, 10.0])
        clamps = (
            tp.Clamp(area=box(w * 0.25 - 10, 0, w * 0.25 + 10, 18), height=high),
            tp.Clamp(area=box(w * 0.7 - 10, h - 18, w * 0.7 + 10, h), height=high),
        )
    codes = rng.choice([ALL_CODES, ALL_CODES, ALL_CODES, ALL_CODES - CYCLES, ALL_CODES - ARCS])
    fixture = tp.Fixture(
        board=board, machine=tp.Machine(codes=codes), dowels=dowels, screws=screwed(front), clamps=clamps,
        grips=(board.outline,) if taped else (),
        zero_at=rng.choice(["lower left", "lower left", "upper left", "lower right", "centre"]),
        zero_on=rng.choice(["top", "top", "spoilboard"]),
        overhang=24.0 if faced else 0.0,
        wait_at=rng.choice([(0.0, 0.0), (w / 2, h)]),
    )  # fmt: skip
    yield fixture, front
    if turn:
        levelled = 1.0 if faced else 0.0
        yield (
            fixture.turned_over(turn, levelled=levelled, screws=screwed(back), clamps=clamps, grips=fixture.grips),
            back,
        )


def written(rng: Random, fixture: tp.Fixture, plan: Plan, shuffle: int | None = None) -> Side:
    """The text of one side: one program, or one for each run of work with a cutter.

    shuffle : the seed by which the work is shuffled and then grouped; in order unless given
    """
    plan.work.sort(key=lambda item: item[0])
    work = [work for _, work in plan.work]
    if shuffle is not None:
        work = [tp.any_order(*Random(shuffle).sample(work, len(work)))]
    setup = tp.Setup(fixture, work)
    cycles = rng.choice(["canned", "spelled out"]) if fixture.machine.codes >= CYCLES else "spelled out"
    units = rng.choice(["mm", "mm", "inch"])
    change = rng.choice(["M6", "M6", "stop", "files"])
    if change == "files":
        return Side(setup, tp.texts_by_cutter(setup, units=units, cycles=cycles))
    return Side(setup, {"all": tp.program_text(setup, units=units, cycles=cycles, tool_change=change)})


def judged(made: Job, cell: float) -> tp.JobReport:
    """All programs, on the wood that those before them left, against the part that the setups mean."""
    setups = [side.setup for side in made.sides]
    cutters = {cutter.number: cutter for setup in setups for cutter in setup.cutters}
    sides = [(side.texts, side.setup.fixture) for side in made.sides]
    part = tp.intended_part(*setups)
    return tp.verify(sides, cutters.values(), cell=cell, part=part, thinnest_web=THINNEST_WEB)


def jobs(count: int, first: int = 0, grouped: bool = False) -> tuple[list[Job], list[tuple[int, str]]]:
    """So many jobs, of the first seed on, and the seeds refused on the way with the library's words."""
    made: list[Job] = []
    refused: list[tuple[int, str]] = []
    for seed in range(first, first + 3 * count):
        if len(made) == count:
            break
        try:
            made.append(job(seed, grouped))
        except tp.ToolpathsError as error:
            refused.append((seed, str(error)))
    return made, refused


def texts_of(made: Job) -> list[str]:
    return [text for side in made.sides for text in side.texts.values()]


def found_in(made: list[Job], cell: float) -> list[tuple[int, str]]:
    """Seed and finding of all that is found in jobs."""
    return [(each.seed, str(finding)) for each in made for finding in judged(each, cell).findings]


def false_alarms(made: list[Job], cell: float) -> list[tuple[int, str]]:
    """What is found in jobs that should not be. That a piece held by few small tabs or one screw gets a doubt is none:
    their number and size are drawn by lot."""
    return [(seed, words) for seed, words in found_in(made, cell) if "doubt: weak-hold" not in words]


if __name__ == "__main__":
    count, first = (int(sys.argv[k]) if len(sys.argv) > k else default for k, default in ((1, 200), (2, 0)))
    began = time.perf_counter()
    made, refused = jobs(count, first, sys.argv[4:] == ["any"])
    found = found_in(made, float(sys.argv[3]) if len(sys.argv) > 3 else 0.25)
    texts = [text for each in made for text in texts_of(each)]
    print(
        f"{len(made)} jobs accepted, {len(refused)} refused, {len(found)} findings in {len(texts)} programs of "
        f"{sum(text.count(chr(10)) for text in texts)} lines, {time.perf_counter() - began:.0f} s"
    )
    for words, times in Counter(text.split(": ")[-1][:70] for _, text in refused).most_common(12):
        print(f"  refused {times} times: {words}")
    for seed, finding in found:
        print(f"  seed {seed}: {finding}")
    sys.exit(1 if found else 0)
