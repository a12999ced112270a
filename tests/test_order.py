"""Groups of work come out with as few cutter changes as can be, and lists exactly as they were given."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import cache
from itertools import pairwise, permutations
from math import dist
from random import Random
from typing import NamedTuple

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pathcheck import DRILL3, FRONT, T2, T3, T6, VEE
from sound_jobs import Job, false_alarms, job, jobs

import toolpaths as tp
from samples import examples
from toolpaths.making.motion.before import Before
from toolpaths.making.operations.operation import Operation
from toolpaths.making.plan.cutter_turn import Turn
from toolpaths.making.plan.effect import Effect, effect_of
from toolpaths.making.plan.fewest_changes import fewest_changes
from toolpaths.making.plan.order import on_short_route, ordered
from toolpaths.making.plan.steps import Step
from toolpaths.making.plan.work import Stop, Work


def changes(cutters: Sequence[int | None]) -> int:
    """How often the cutter is another one; stops leave it in."""
    fitted = [number for number in cutters if number is not None]
    return sum(a != b for a, b in pairwise(fitted))


class Puzzle(NamedTuple):
    """Turns, and of each entry what comes before what in it."""

    turns: list[Turn]
    before: dict[int, list[Before]]

    def sound(self, order: Sequence[Turn]) -> bool:
        place = {each.number: k for k, each in enumerate(order)}
        rows = [row for rows in self.before.values() for row in rows]
        return all(place[a] < place[b] for row in rows for a in row.first for b in row.then)


RACK = {n: tp.Cutter(n, tp.flat(6), feed_mm_min=900, spindle_rpm=16000) for n in range(1, 9)}


def turn(number: int, cutter: int | None, entry: int = 0) -> Turn:
    """A turn of which nothing counts but its cutter."""
    return Turn(number, number, entry, tp.stop("Wait"), RACK.get(cutter))


@st.composite
def puzzles(draw: st.DrawFn, most: int = 7) -> Puzzle:
    """Turns in entries, each with a cutter or none, some before others."""
    count = draw(st.integers(1, most))
    cutters = draw(st.lists(st.sampled_from([1, 2, 3, 4, None]), min_size=count, max_size=count))
    cuts = sorted({0, *draw(st.lists(st.integers(1, most), max_size=2)), count})
    entries = [[t for t in range(a, b) if t < count] for a, b in pairwise(cuts) if a < count]
    rank = draw(st.permutations(range(count)))
    before: dict[int, list[Before]] = {}
    for k, entry in enumerate(entries):
        pairs = [(a, b) for a in entry for b in entry if rank[a] < rank[b]]
        before[k] = [Before([a], [b]) for a, b in pairs if draw(st.integers(0, 3)) == 0]
        if draw(st.booleans()):
            # All those up to some rank before all above it, as one row.
            border = draw(st.sampled_from(entry))
            sides = [a for a in entry if rank[a] <= rank[border]], [b for b in entry if rank[b] > rank[border]]
            before[k].append(Before(*sides))
    return Puzzle([turn(t, cutters[t], k) for k, entry in enumerate(entries) for t in entry], before)


@examples(300)
@given(puzzles())
def test_changes_are_the_fewest_of_all_orders(puzzle):
    """Against every order that keeps entries and what comes first, tried one by one."""
    turns = puzzle.turns
    runs = fewest_changes(*puzzle)
    least = min(
        changes([t.cutter_number for t in order])
        for order in permutations(turns)
        if all(a.entry <= b.entry for a, b in pairwise(order)) and puzzle.sound(order)
    )

    assert sorted(t.number for run in runs for t in run) == list(range(len(turns)))
    assert all(len({t.cutter_number for t in run} - {None}) <= 1 for run in runs)
    assert changes([next((t.cutter_number for t in run if t.cutter), None) for run in runs]) == least


@examples(100)
@given(puzzles(9), st.randoms(use_true_random=False))
def test_order_of_a_run_keeps_what_comes_first_and_is_no_longer_than_listed(puzzle, rng):
    turns, rows = puzzle.turns, [row for rows in puzzle.before.values() for row in rows]
    places = [(rng.uniform(0, 100), rng.uniform(0, 100)) for _ in turns]

    def length(order: Sequence[Turn]) -> float:
        return sum(dist(a, b) for a, b in pairwise([(0, 0), *(places[t.number] for t in order), (0, 0)]))

    order = on_short_route(turns, rows, lambda one: places[one.number], (0, 0), (0, 0))

    assert sorted(t.number for t in order) == list(range(len(turns))) and puzzle.sound(order)
    if puzzle.sound(turns):
        assert length(order) <= length(turns) + 1e-6


def test_turns_at_one_place_stay_as_listed():
    turns, rows = [turn(number, 1) for number in range(4)], [Before([3], [0])]

    assert [t.number for t in on_short_route(turns, rows, lambda _: (5, 5), (0, 0), None)] == [1, 2, 3, 0]


@pytest.mark.long
def test_sixty_pieces_of_work_in_any_order_are_ordered_soundly():
    """Too many to be certain of the fewest, but an order all the same, and the same one again."""
    rng = Random(3)
    cutters = [rng.randint(1, 8) for _ in range(120)]
    turns = [turn(number, cutters[number]) for number in range(120)]
    rows = [Before([a for a in range(b) if rng.random() < 0.02], [b]) for b in range(120)]
    one, two = (fewest_changes(turns, {0: rows}) for _ in range(2))

    assert one == two
    assert sorted(t.number for run in one for t in run) == list(range(120))
    done: set[int] = set()
    for run in one:
        done |= {t.number for t in run}
        assert all(done.issuperset(row.first) for row in rows if done.intersection(row.then))


# From work to turns


def room(column: int, row: int) -> tuple[float, float]:
    return 30.0 + 35 * column, 25.0 + 30 * row


def piece(rng: Random, name: str) -> Operation:
    """A piece of work in a room of the test board, or one that goes round several rooms."""
    at = room(rng.randrange(5), rng.randrange(4))
    if rng.random() < 0.4:
        return tp.pocket(tp.rectangle(24, 18, at), rng.choice([T6, T3, [T6, T3]]), depth=4, name=name)
    through = tp.through()
    return rng.choice(
        [
            tp.drill([at], DRILL3, depth=8, name=name),
            tp.bore([at], 8, T6, depth=through, name=name),
            tp.pocket(tp.circle(8, at), T2, depth=7, from_depth=4, name=name),
            tp.chamfer(tp.circle(20, at), VEE, width=1, side="inside", name=name),
            tp.contour(tp.circle(22, at), T6, depth=through, side="inside", name=name),
            tp.contour(tp.rectangle(60, 50, at), T3, depth=through, name=name),
            tp.face(tp.rectangle(30, 26, at), T6, depth=1, name=name),
        ]
    )


def random_work(rng: Random, count: int) -> list[Operation]:
    return [piece(rng, f"work {number}") for number in range(count)]


def turns_of(work: Sequence[Work], fixture: tp.Fixture = FRONT):
    def effect(_: int, operation) -> Effect:
        return effect_of(operation, fixture, 0.01)

    return ordered(work, fixture, effect)[0]


def order_of(work: Sequence[Work], fixture: tp.Fixture = FRONT) -> list[str]:
    """Names and cutters in the order in which they are done, no motion made."""
    return [
        f"stop {turn.item.message}" if isinstance(turn.item, Stop) else f"{turn.item.title} T{turn.cutter_number}"
        for turn in turns_of(work, fixture)
    ]


def changes_of(work: Sequence[Work]) -> int:
    return changes([turn.cutter_number for turn in turns_of(work)])


@examples(60)
@given(st.randoms(use_true_random=False), st.integers(1, 9))
def test_listing_a_group_otherwise_changes_no_cutter_more(rng, count):
    """Reasons come from the work, never from where it stands in the list."""
    work = random_work(rng, count)
    again = rng.sample(work, count)

    assert changes_of([tp.any_order(*work)]) == changes_of([tp.any_order(*again)])


@examples(40)
@given(st.randoms(use_true_random=False), st.integers(1, 9))
def test_a_list_stays_as_it_was_given_and_a_group_of_one_is_no_group(rng, count):
    work = random_work(rng, count)
    named = [f"{item.title} T{cutter.number}" for item in work for cutter in item.cutters_in_turn]

    assert order_of(work) == named
    assert order_of([tp.any_order(item) for item in work]) == named


@examples(40)
@given(st.randoms(use_true_random=False), st.integers(2, 9))
def test_a_row_of_all_work_is_kept_whatever_else_speaks_for_another_order(rng, count):
    """The explicit order wins."""
    work = random_work(rng, count)
    named = [f"{item.title} T{cutter.number}" for item in work for cutter in item.cutters_in_turn]

    assert order_of([tp.any_order(*rng.sample(work, count), keeping=[work])]) == named


def test_groups_fit_what_stands_around_them():
    """The cutter in the spindle goes first, that of the work which follows last: the whole list counts."""
    first = tp.pocket(tp.circle(20, room(0, 0)), T3, depth=2, name="first")
    last = tp.pocket(tp.circle(20, room(4, 3)), T6, depth=2, name="last")
    a = tp.pocket(tp.circle(20, room(1, 0)), T6, depth=2, name="a")
    b = tp.pocket(tp.circle(20, room(2, 0)), T3, depth=2, name="b")
    c = tp.pocket(tp.circle(20, room(3, 0)), T2, depth=2, name="c")

    assert order_of([first, tp.any_order(a, b, c), last]) == ["first T2", "b T2", "c T3", "a T1", "last T1"]
    assert order_of([tp.any_order(a, b), tp.any_order(c, tp.drill([room(0, 3)], T3, depth=2, name="d"))]) == [
        "a T1", "b T2", "d T2", "c T3",
    ]  # fmt: skip


def test_one_number_at_two_feeds_is_no_change():
    slow = replace(T6, feed_mm_min=900)
    work = [tp.pocket(tp.circle(20, room(k, 0)), cutter, depth=2) for k, cutter in enumerate([T6, T3, slow, T3])]

    assert changes_of([tp.any_order(*work)]) == 1


def test_turns_of_a_run_are_visited_along_a_short_route():
    """Ten holes along a line, listed out of order: there and back, twice the way to the last."""
    rng = Random(4)
    work = [tp.drill([(20 + 17 * k, 70)], DRILL3, depth=3, name=f"hole {k}") for k in range(10)]
    fixture = replace(FRONT, wait_at=(0, 70))
    found = order_of([tp.any_order(*rng.sample(work, 10))], fixture)
    places = [0, *(20 + 17 * int(name.split()[1]) for name in found), 0]

    assert sum(abs(b - a) for a, b in pairwise(places)) == 2 * (20 + 17 * 9)


# Through the simulator


PORTIONS = range(5)


@cache
def grouped(portion: int) -> list[Job]:
    """Random jobs of a careful person, the work of each side shuffled and left to the library to order."""
    made, refused = jobs(5, 40 * portion, grouped=True)
    assert len(made) == 5 and len(refused) < 8, "most jobs are to be judged, not refused"
    return made


def saved(made: Job) -> int:
    """How many changes fewer than in a careful person's order, which keeps the same reasons; never more on a side."""
    total = 0
    for side, listed in zip(made.sides, job(made.seed).sides, strict=True):
        now, then = (
            changes([step.path.cutter.number if isinstance(step, Step) else None for step in each.setup.steps])
            for each in (side, listed)
        )
        assert now <= then, f"seed {made.seed}"
        total += then - now
    return total


@pytest.mark.sample(0, long=1)
@pytest.mark.parametrize("portion", PORTIONS)
def test_sound_jobs_in_any_order_are_sound_and_change_cutters_no_more_than_in_a_careful_persons(portion):
    """The same part as in the order of a careful person: that which their setups mean, held and cut as soundly."""
    assert all(saved(made) >= 0 for made in grouped(portion))
    assert false_alarms(grouped(portion), cell=1.0) == []


@pytest.mark.long
def test_over_many_jobs_cutters_are_changed_clearly_less():
    assert sum(saved(made) for portion in PORTIONS for made in grouped(portion)) > 10


def test_a_list_writes_the_same_text_whether_or_not_its_entries_are_groups():
    """Groups of one, and a group whose whole order is asked for, to the byte."""
    when = "Drive the screw"
    side = replace(FRONT, screws=tp.screws([(60, 70)], head_diameter=8, height=3, driven_at=when), safe_height=20)
    work = [
        tp.drill([(60, 70)], DRILL3, depth=12),
        tp.stop(when),
        tp.pocket(tp.rectangle(40, 30, (140, 70)), [T6, T3], depth=4),
        tp.contour(tp.circle(60, (60, 70)), T6, depth=tp.through(), side="inside"),
        tp.pocket(tp.circle(20, (140, 110)), T3, depth=2),
    ]
    text = tp.program_text(tp.Setup(side, work))

    assert tp.program_text(tp.Setup(side, [tp.any_order(item) for item in work])) == text
    group = tp.any_order(*reversed(work), keeping=[work])
    assert tp.program_text(tp.Setup(side, [group])) == text
