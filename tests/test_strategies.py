"""Random cases for users' property tests: of the difficulty that they are named for, sound, readable when shrunk."""

from __future__ import annotations

import re
import sys
from dataclasses import replace
from math import radians
from random import Random

import numpy as np
import pytest
import shapely
from hypothesis import HealthCheck, Phase, find, given, settings
from hypothesis import strategies as st

import toolpaths as tp
from samples import examples
from toolpaths.judging.reader.motions import RAPID
from toolpaths.testing import assert_job_safe, assert_same_motion, strategies

# What of a failing example is for the reader.
NAMES = {name: getattr(tp, name) for name in tp.__all__}
NAMES |= {name: getattr(strategies, name) for name in (
    "back_of", "comb", "corner_clamps", "corner_screws", "grips_by", "many_chords", "pilots_first", "side_pins",
)}  # fmt: skip
NAMES |= {"two_rooms": strategies.two_rooms}
BOARD = tp.Board(width=200, height=180, thickness=18)
SHRUNK = settings(
    max_examples=60, derandomize=True, database=None, deadline=None, phases=[Phase.generate, Phase.shrink],
    suppress_health_check=list(HealthCheck),
)  # fmt: skip


def printed(strategy: st.SearchStrategy, fails: object, many: settings = SHRUNK) -> str:
    """The least example that fails as hypothesis prints it, without its own remarks."""

    @many
    @given(strategy)
    def holds(value: object) -> None:
        assert not fails(value)

    with pytest.raises(AssertionError) as caught:
        holds()
    notes = "\n".join(caught.value.__notes__)
    code = re.search(r"value=(.*),\n\)", notes, re.S)
    assert code, notes
    return re.sub(r"#.*", "", code[1])


@examples(40)
@given(st.sampled_from(strategies.DIFFICULTIES).flatmap(lambda kind: st.tuples(st.just(kind), strategies.shapes(kind))))
def test_shapes_are_of_the_difficulty_that_they_are_named_for(drawn: tuple[str, shapely.Polygon]) -> None:
    kind, shape = drawn
    assert shape.is_valid and shape.geom_type == "Polygon"
    left, low, right, high = shape.bounds
    assert max(right - left, high - low) <= 80 * 1.1 + 0.01
    across = shape.intersection(shapely.LineString([(0, low), (0, high)])).length
    convex = abs(shape.convex_hull.area - shape.area) < 1e-6
    assert {
        "convex": convex,
        "rounded": convex and len(shape.exterior.coords) > 20,
        "islands": len(shape.interiors) == 1,
        "narrow necks": 2 <= across <= min(12, high - low),
        "short chords": 41 <= len(shape.exterior.coords) <= 401,
        "comb": len(shapely.get_parts(shapely.intersection(shape, shapely.box(-99, low, 99, low + 0.1)))) >= 2,
    }[kind], (kind, shape.wkt)


@pytest.mark.long
def test_what_is_found_is_small_and_round() -> None:
    """The least example of a simple condition has the least numbers that meet it."""
    board = find(strategies.fixtures(), lambda each: each.board.width > 200, random=Random(1)).board
    assert (board.width, board.height, board.thickness) == (210, 130, 12)
    cutter = find(strategies.cutters("v"), lambda each: each.diameter >= 5, random=Random(1))
    assert cutter.profile == tp.v_point(5, 90)
    neck = find(strategies.shapes("narrow necks"), lambda each: each.area >= 400, random=Random(1))
    assert neck.area < 440


@pytest.mark.parametrize(
    ("strategy", "fails"),
    [
        (strategies.shapes("comb"), lambda shape: shape.area > 500),
        (strategies.cutters("ball"), lambda cutter: cutter.diameter > 4),
        pytest.param(
            strategies.fixtures(two_sided=True), lambda each: each.board.thickness > 20, marks=pytest.mark.long
        ),
    ],
    ids=["shape", "cutter", "fixture"],
)
def test_a_failing_example_can_be_pasted(strategy: st.SearchStrategy, fails: object) -> None:
    """What hypothesis prints is a call that makes a value for which it fails, too."""
    code = printed(strategy, fails)
    assert len(code) < 600
    assert fails(eval(code, dict(NAMES)))


@pytest.mark.long
def test_a_failing_job_can_be_pasted_and_has_little_in_it() -> None:
    few = settings(SHRUNK, max_examples=6)
    code = printed(strategies.jobs(most_work=2), lambda job: len(job.setups[0].operations) > 1, few)
    job = eval(code, dict(NAMES))
    assert len(job.setups[0].operations) == 2 and len(code.splitlines()) < 100


@pytest.mark.long
@settings(max_examples=8, suppress_health_check=list(HealthCheck))
@given(strategies.jobs())
def test_jobs_are_sound(job: tp.Job) -> None:
    """The judge finds nothing, the small checker proves it, and in inches the motion is the same."""
    assert_job_safe(job, cell=1.0)
    assert [str(proof) for proof in job.proofs().values() if not proof.holds] == []
    for text, in_inches in zip(job.programs().values(), replace(job, units="inch").programs().values(), strict=True):
        assert_same_motion(text, in_inches)


@examples(24)
@given(st.sampled_from(strategies.HOLD_DOWNS).flatmap(
    lambda way: st.tuples(st.just(way), strategies.fixtures(held=[way], two_sided=True))
))  # fmt: skip
def test_boards_are_held_in_the_way_that_is_asked_for(drawn: tuple[str, tp.Fixture]) -> None:
    """Front and back alike; of jobs the ways are all tried where their soundness is."""
    way, front = drawn
    for side in (front, strategies.back_of(front, held=way)):
        there = {"screws": side.screws, "clamps": side.clamps}.get(way.split()[0], side.grips)
        assert there and len(side.holding) == len(there)
        assert all(bool(screw.driven_at) == (way == "screws at a stop") for screw in side.screws)
        assert {thing.by for thing in side.holding if thing.kind == "grip"} <= {way}
        # Nothing that stands covers a pin.
        areas = [thing.outline for thing in side.standing() if thing.kind in ("screw", "clamp")]
        assert not any(area.distance(shapely.Point(pin.x, pin.y)) < 5 for area in areas for pin in side.dowels)


def ways_in_wood(text: str) -> list[shapely.LineString]:
    """The way of each motion at feed below the face, arcs in chords of 2 degrees."""
    found, motions = [], tp.read(text).motions
    for kind, start, end, centre, sweep in zip(
        motions.kind, motions.start, motions.end, motions.centre, motions.sweep, strict=True
    ):
        if kind == RAPID or max(start[2], end[2]) >= 0:
            continue
        steps = np.linspace(0, 1, 2 + int(abs(sweep) / radians(2)))[:, None]
        if sweep:
            (x, y), turns = start[:2] - centre[:2], steps[:, 0] * sweep
            round_it = np.column_stack([x * np.cos(turns) - y * np.sin(turns), x * np.sin(turns) + y * np.cos(turns)])
            found.append(shapely.LineString(centre[:2] + round_it))
        else:
            found.append(shapely.LineString(start[:2] + steps * (end - start)[:2]))
    return found


@examples(24)
@given(st.sampled_from(strategies.DIFFICULTIES).flatmap(strategies.shapes), st.sampled_from([3, 6]))
def test_a_pocket_of_any_difficulty_lies_in_its_shape(shape: shapely.Polygon, diameter: int) -> None:
    """What the cutter sweeps lies in the shape, and of it all that a disc of its size reaches."""
    cutter = tp.Cutter(1, tp.flat(diameter), feed_mm_min=900, spindle_rpm=18000, step_down=3, cutting_length=15)
    shape = shapely.affinity.translate(shape, 100, 100)
    board = tp.Board(width=200, height=200, thickness=18)
    try:
        setup = tp.Setup(tp.Fixture(board=board, grips=(board.outline,)), [tp.pocket(shape, cutter, depth=2)])
    except tp.InputError as error:
        assert "narrow" in str(error) or "fit" in str(error), error
        return
    radius = diameter / 2
    swept = shapely.union_all([way.buffer(radius, quad_segs=64) for way in ways_in_wood(tp.program_text(setup))])
    assert swept.difference(shape.buffer(0.012)).area == 0
    reached = shape.buffer(-radius - 0.02, quad_segs=64).buffer(radius, quad_segs=64)
    assert reached.difference(swept).area < 1e-6


def test_a_missing_hypothesis_is_said_with_its_extra(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "hypothesis.strategies", None)
    with pytest.raises(tp.InputError, match=r"pip install 'toolpaths\[testing\]'"):
        strategies.shapes()


def test_what_makes_no_shape_is_refused() -> None:
    for call in (
        lambda: strategies.shapes("hard"), lambda: strategies.shapes(least=40, most=20),
        lambda: strategies.cutters("saw"),
        lambda: strategies.fixtures(least=131, most=139), lambda: strategies.jobs(difficulties=()),
        lambda: strategies.two_rooms(50, 20, 20), lambda: strategies.comb(50, 20, 1),
        lambda: strategies.many_chords(40, 2),
        lambda: strategies.jobs(held=()), lambda: strategies.jobs(held=["nails"]),
        lambda: strategies.grips_by("hope", BOARD), lambda: strategies.corner_clamps(18),
        lambda: strategies.pilots_first(tp.Fixture(board=BOARD), tp.Cutter(1, tp.drill_point(3), 600, 8000)),
        lambda: strategies.back_of(tp.Fixture(board=BOARD), held="nails"),
    ):  # fmt: skip
        with pytest.raises(tp.InputError):
            call()
