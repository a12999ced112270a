"""A setup checks the work against the facts before anything is written, and says which step is wrong."""

from __future__ import annotations

import pickle
import subprocess
import sys
from dataclasses import FrozenInstanceError, replace
from math import cos, dist, sin

import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from pathcheck import BOARD, DRILL3, FRONT, MIDDLE, SHAPES, SIDES, T3, T6, VEE, cells, run_text, segments

import toolpaths as tp
from samples import examples
from toolpaths.making.plan.steps import Step
from toolpaths.making.plan.work import Stop
from toolpaths.shapes.track import Segment


def two_contours(second: tp.Cutter) -> tp.Setup:
    """One contour with T6, one with another cutter."""
    first = tp.contour(SHAPES["circle"], T6, depth=2)
    return tp.Setup(FRONT, work=(first, tp.contour(SHAPES["square"], second, depth=2)))


def all_sorts(**more) -> tp.Setup:
    """A back with pins, screws driven at a stop, a group, tabs, and a front before it."""
    pins = tuple(tp.Dowel(x=100, y=y, diameter=8, depth=5) for y in (10, 130))
    front = tp.Fixture(board=BOARD, dowels=pins, grips=(BOARD.outline,))
    holes = tp.bore([(100, 10), (100, 130)], 8, T6, depth=tp.through(5))
    when = "Drive it"
    back = front.turned_over("left to right", screws=tp.screws([(20, 20)], head_diameter=8, height=3, driven_at=when))
    work = [
        tp.any_order(tp.drill([(20, 20)], DRILL3, depth=6), tp.pocket(SHAPES["square"], [T6, T3], depth=3)),
        tp.stop(when),
        tp.contour(tp.circle(40, (150, 70)), T6, depth=tp.through(), tabs=tp.Tabs(count=3, width=6, height=3)),
    ]
    before = tp.Setup(front, [holes, tp.contour(SHAPES["circle"], T3, depth=2)], name="with the pins")
    return tp.Setup(**{"fixture": back, "work": work, "after": before, "tolerance": 0.02, "name": "second"} | more)


@pytest.mark.long
def test_setup_is_a_value():
    """Equal when made alike, also by hash; another one where anything that was said is another."""
    one, other = all_sorts(), all_sorts()

    assert one == other and hash(one) == hash(other)
    assert one != all_sorts(name="third") and one != all_sorts(after=None) and one != all_sorts(tolerance=0.03)
    assert one != all_sorts(work=[*one.work, tp.drill([(60, 20)], DRILL3, depth=6)])
    assert repr(one) == "<Setup second: back of test board, 3 operations with T6, T1, T2>"
    with pytest.raises(FrozenInstanceError):
        one.name = "other"


def test_setup_replaced_is_checked_and_planned_anew():
    one = all_sorts()
    again = replace(one, work=one.work[1:])

    assert again == all_sorts(work=one.work[1:])
    assert tp.program_text(again) == tp.program_text(all_sorts(work=one.work[1:])) != tp.program_text(one)
    with pytest.raises(tp.InputError, match="no stop has that message"):
        replace(one, work=one.work[:1])
    with pytest.raises(tp.DoesNotFitError, match="past the edge"):
        replace(one, work=[*one.work, tp.drill([(1, 1)], DRILL3, depth=6)])


def test_setup_comes_back_from_another_process_with_the_same_bytes():
    """As it was planned here, and planned anew there."""
    one = all_sorts()
    code = (
        "import pickle, sys, toolpaths as tp; from dataclasses import replace\n"
        "setup = pickle.load(sys.stdin.buffer); anew = replace(setup, name=setup.name)\n"
        "assert tp.program_text(anew) == tp.program_text(setup) and anew.notes == setup.notes\n"
        "sys.stdout.buffer.write(pickle.dumps((setup, tp.program_text(anew), anew.notes)))"
    )
    found = subprocess.run(
        [sys.executable, "-c", code], input=pickle.dumps(one), capture_output=True, check=True
    ).stdout

    assert pickle.loads(found) == (one, tp.program_text(one), one.notes)


def test_setup_keeps_order_and_lists_cutters_by_first_use():
    setup = tp.Setup(
        FRONT,
        work=[
            tp.pocket(SHAPES["square"], [T6, T3], depth=3, name="tray"),
            tp.stop("Vacuum the tray"),
            tp.drill([(50, 50)], DRILL3, depth=3),
        ],
    )

    assert [step.message if isinstance(step, Stop) else step.path.cutter for step in setup.steps] == [
        T6, T3, "Vacuum the tray", DRILL3,
    ]  # fmt: skip
    assert list(setup.cutters) == [T6, T3, DRILL3]
    assert [step.name for step in setup.steps if isinstance(step, Step)] == ["tray", "tray", "drill"]
    assert tp.program_text(setup).startswith("(test board: front)")


@pytest.mark.parametrize(
    "other",
    [
        replace(T6, profile=tp.flat(6.35)),
        replace(T6, profile=tp.ball(6)),
        replace(T6, cutting_length=15.0),
        replace(T6, stick_out=50.0),
        replace(T6, flutes=3),
        replace(T6, centre_cutting=False),
        replace(T6, shank_diameter=8.0),
    ],
    ids=["diameter", "shape", "length", "stick-out", "flutes", "centre", "shank"],
)
def test_setup_one_number_for_two_cutters_is_refused(other):
    """The body counts as much as the diameter: the first was checked for the second (once a fault)."""
    with pytest.raises(tp.InputError, match=r"T1 .* its own number"):
        two_contours(other)


def test_setup_one_cutter_run_in_two_ways_is_accepted():
    slow = replace(T6, feed_mm_min=900, step_down=1.0, spindle_rpm=12000)

    assert two_contours(slow)


@pytest.mark.parametrize("rpm", [5999, 24001])
def test_setup_speed_out_of_the_spindles_range_is_refused_for_every_use_of_a_cutter(rpm):
    wrong = replace(T6, spindle_rpm=rpm)
    with pytest.raises(tp.InputError, match=rf"T1 flat 6 asks for {rpm} rpm; .* turns 6000 to 24000"):
        two_contours(wrong)


@pytest.mark.parametrize("size", [(16, 12, 3), (16, 12, 0.75), (60, 12, 18), (200, 140, 0.75)])
def test_setup_of_a_board_in_inches_taken_for_mm_asks(size):
    """A board of 16 x 12 with a 6 mm cutter gets a question, not a program."""
    with pytest.raises(tp.UnitsError, match=r"\?.*inch\(\.\.\.\)"):
        board = tp.Board(width=size[0], height=size[1], thickness=size[2])
        tp.Setup(tp.Fixture(board=board), work=(tp.contour(tp.circle(4, (8, 6)), T6, depth=1),))


@pytest.mark.parametrize(
    ("work", "past"),
    [
        (lambda: tp.contour(tp.circle(40, (15, 70)), T6, depth=2), "11"),
        (lambda: tp.groove(shapely.LineString([(100, 70), (205, 70)]), T6, depth=2), "8"),
        (lambda: tp.drill([(199, 70)], DRILL3, depth=5), "0.5"),
        (lambda: tp.pocket(tp.circle(30, (100, 130)), T6, depth=2), "5"),
        (lambda: tp.bore([(100, 3)], 10, T6, depth=2), "2"),
    ],
    ids=["contour", "groove", "drill", "pocket", "bore"],
)
def test_setup_work_off_the_board_names_step_and_side_and_how_far(work, past):
    """Also on arcs, whose bulge reaches farther than their ends."""
    drill = tp.drill([(50, 50)], DRILL3, depth=3)
    with pytest.raises(tp.DoesNotFitError, match=r"Step 2 on the front, .*would reach .* past the edge") as caught:
        tp.Setup(FRONT, work=(drill, work()))
    amount = float(str(caught.value).split("would reach ")[1].split(" mm")[0])
    assert amount <= float(past) + 0.02
    allowed = replace(FRONT, overhang=float(past) + 0.02)
    assert tp.Setup(allowed, work=(drill, work()))


PINS = (tp.Dowel(x=30, y=70, diameter=8, depth=6), tp.Dowel(x=170, y=70, diameter=8, depth=4))
OTHER_HOLES = {
    "drill": lambda at: tp.drill([at], DRILL3, depth=tp.through(5)),
    "bore": lambda at: tp.bore([at], 8, T6, depth=tp.through(5)),
    "pocket": lambda at: tp.pocket(tp.circle(8, at), T3, depth=tp.through(5)),
    "contour": lambda at: tp.contour(tp.circle(8, at), T3, depth=tp.through(5), side="inside"),
}


@pytest.mark.parametrize("cut", OTHER_HOLES.values(), ids=OTHER_HOLES)
@pytest.mark.parametrize("turned", ["", "top to bottom"])
def test_setup_spoilboard_is_cut_as_deep_as_a_dowel_needs_in_its_own_hole_only(cut, turned):
    """A dowel allowed its depth everywhere (once a fault); none of 4 mm lets a cut go 5 deep, nor a hole beside it.

    On the back its pin stands in it.
    """
    fixture = replace(FRONT, dowels=PINS, spoilboard_depth=0.5)
    fixture = fixture.turned_over(turned) if turned else fixture

    if turned:
        with pytest.raises(tp.DoesNotFitError, match=r"Step 1 .* into the dowel pin at X30 Y70"):
            tp.Setup(fixture, [cut((30, 70))])
    else:
        assert tp.Setup(fixture, [cut((30, 70))])
    for place in [(170, 70), (100, 70), (33, 70)]:
        with pytest.raises(
            tp.DoesNotFitError, match=r"Step 1 .*would go 5\.00 mm into .*, (0\.5|4|4\.901) is allowed there"
        ):
            tp.Setup(fixture, [cut(place)])


@examples(60)
@given(
    x=st.floats(60, 140),
    y=st.floats(50, 90),
    radius=st.floats(0.3, 6),
    begin=st.floats(-7, 7),
    turn=st.floats(-6.3, 6.3),
)
def test_farthest_of_an_arc_is_that_of_the_points_along_it(x, y, radius, begin, turn):
    at = [(x + radius * cos(begin + turn * k / 500), y + radius * sin(begin + turn * k / 500)) for k in range(501)]
    arc = Segment(at[0], at[-1], (x, y), turn)

    assert arc.farthest(MIDDLE) == pytest.approx(max(dist(each, MIDDLE) for each in at), abs=1e-3)


DEEP = {
    "contour": lambda cutter, depth: tp.contour(tp.circle(40, MIDDLE), cutter, depth=depth),
    "pocket": lambda cutter, depth: tp.pocket(tp.circle(40, MIDDLE), cutter, depth=depth),
    "groove": lambda cutter, depth: tp.groove([(60, 70), (120, 70)], cutter, depth=depth),
    "bore": lambda cutter, depth: tp.bore([MIDDLE], 9, cutter, depth=depth),
    "drill": lambda cutter, depth: tp.drill([MIDDLE], cutter, depth=depth),
}


@pytest.mark.sample(3)
@pytest.mark.parametrize("work", DEEP)
@pytest.mark.parametrize("shank", [4.0, 5.9, 6.0, 8.0])
def test_setup_a_cutter_works_no_deeper_than_it_is_long(work, shank):
    """A shank as thick as the cutter rubs on the wall above the edges, and the nut meets the wood before it is planned;
    what the simulator calls flutes or nut in wood is refused, and nothing else."""
    cutter = replace(T6, shank_diameter=shank, cutting_length=10, stick_out=14, flutes=2)
    rubs = shank >= cutter.diameter or work == "drill"
    for depth in (9.9, 10.0, 10.5, 13.9, 14.0, 14.6):
        item = DEEP[work](cutter, depth)
        if depth <= (10.0 if rubs else 14.0):
            report = run_text([item])[1]
            assert {"flutes", "nut-in-wood"}.isdisjoint(report.codes()), report
        else:
            with pytest.raises(tp.DoesNotFitError, match="cutting_length" if rubs else "sticks out 14"):
                tp.Setup(FRONT, [item])


def test_setup_a_v_cutter_counts_with_the_radius_it_has_at_the_boards_top():
    edge = tp.rectangle(196, 136, MIDDLE)

    assert tp.Setup(FRONT, work=(tp.chamfer(edge, VEE, width=1),))
    with pytest.raises(tp.DoesNotFitError, match="past the edge"):
        tp.Setup(FRONT, work=(tp.chamfer(BOARD.outline, VEE, width=1),))


def test_setup_error_on_the_back_names_step_side_and_work():
    back = SIDES["left to right"]
    with pytest.raises(tp.DoesNotFitError, match=r"Step 1 on the back, dial: T1 flat 6 fits nowhere") as caught:
        tp.Setup(back, work=(tp.pocket(tp.circle(5, (60, 50)), T6, depth=2, name="dial"),))
    assert isinstance(caught.value.__cause__, tp.DoesNotFitError)


@examples(15)
@given(x=st.floats(45, 150), y=st.floats(40, 100), turned=st.sampled_from(["left to right", "top to bottom"]))
def test_setup_shapes_stay_as_drawn_from_the_front(x, y, turned):
    """A pocket cut on the back, seen from the front again, lies where it was drawn."""
    fixture = FRONT.turned_over(turned)
    shape = tp.rectangle(40, 24, (x, y))
    _, report = run_text([tp.pocket(shape, T6, depth=3)], fixture=fixture, cell=0.5)
    stock = report.stock.turned_over(turned)

    cut = stock.bottom > -BOARD.thickness + 1
    # Corners that the cutter leaves reach 1.25 mm in: 0.41 x 3 mm.
    assert cut[cells(stock, shapely.buffer(shape, -1.3))].all()
    assert not cut[~cells(stock, shapely.buffer(shape, 0.01))].any()


def test_setup_notes_name_the_work_that_leaves_wood():
    tray = tp.pocket(SHAPES["square"], T6, depth=3, name="tray")
    setup = tp.Setup(FRONT, work=(tray, tp.bore([(20, 20)], 10, T6, depth=2)))
    (note,) = setup.notes

    assert note.startswith("tray: T1 flat 6 leaves ") and "in 4 corners" in note


@pytest.mark.parametrize(
    "work",
    [(), (tp.stop("Only a stop"),), ("contour",), (None,), (tp.contour,)],
    ids=["none", "stop", "text", "None", "function"],
)
def test_setup_of_anything_but_work_is_refused(work):
    with pytest.raises(tp.InputError):
        tp.Setup(FRONT, work=work)


@pytest.mark.parametrize("message", ["", "  ", "(x)", "naïve", "x" * 201, "two\nlines"], ids=repr)
def test_stop_message_that_cannot_be_a_comment_is_refused(message):
    """No parentheses inside a comment, nothing but printable ASCII (3.3.4)."""
    with pytest.raises(tp.InputError):
        tp.stop(message)


@pytest.mark.parametrize("tolerance", [0.0, -0.01, float("nan")])
def test_setup_tolerance_that_is_none_is_refused(tolerance):
    with pytest.raises(tp.InputError):
        tp.Setup(FRONT, work=(tp.contour(SHAPES["circle"], T6, depth=2),), tolerance=tolerance)


# After the other side


OPENING, RECESS = tp.rectangle(60, 24, (75, 60), corner_radius=5), tp.rectangle(84, 44, (81, 66))


def mm_at_depth(setup: tp.Setup) -> float:
    """mm of level cuts below the top in all steps."""
    return sum(
        segment.length
        for step in setup.steps
        if isinstance(step, Step)
        for segment, move, z in segments(step.path)
        if move.kind == "cut" and z == move.z < 0
    )


@pytest.mark.parametrize("turned", ["left to right", "top to bottom"])
@pytest.mark.parametrize(
    "opened",
    [
        tp.contour(OPENING, T6, depth=tp.through(), side="inside"),
        tp.pocket(OPENING, T6, depth=tp.through()),
    ],
    ids=["cut out", "cleared"],
)
def test_setup_after_the_other_side_knows_what_is_open(turned, opened):
    """As if the opening had been named as cleared, wherever the board's turning brings it; sound in the simulator."""
    grips = replace(FRONT, board=replace(BOARD, wood="softwood"), grips=(BOARD.outline,))
    front = tp.Setup(grips, [opened])
    side = grips.turned_over(turned, grips=grips.grips)
    unknown = tp.Setup(side, [tp.pocket(RECESS, T6, depth=8)])
    named = tp.Setup(side, [tp.pocket(RECESS, T6, depth=8, cleared=OPENING)])
    after = tp.Setup(side, [tp.pocket(RECESS, T6, depth=8)], after=front)

    assert mm_at_depth(after) == pytest.approx(mm_at_depth(named), rel=0.05)
    assert mm_at_depth(after) < 0.9 * mm_at_depth(unknown)
    report = tp.verify(
        [(tp.program_text(setup), setup.fixture) for setup in (front, after)],
        after.cutters,
        part=tp.intended_part(front, after),
        cell=0.5,
    )
    assert report.ok, report


def test_setup_after_the_other_side_counts_waste_on_tabs_as_wood():
    """Only the kerf is open: what tabs hold is still there."""
    tabs = tp.Tabs(count=2, width=6, height=4)
    front = tp.Setup(FRONT, [tp.contour(OPENING, T6, depth=tp.through(), side="inside", tabs=tabs)])
    free = tp.Setup(FRONT, [tp.contour(OPENING, T6, depth=tp.through(), side="inside")])
    recess = tp.pocket(RECESS, T6, depth=8)
    held, fallen = (tp.Setup(SIDES["left to right"], [recess], after=setup) for setup in (front, free))

    assert mm_at_depth(held) > mm_at_depth(fallen) + 60


@pytest.mark.sample(1)
@pytest.mark.parametrize("side", SIDES)
def test_setup_after_one_of_the_same_side_knows_what_that_took(side):
    """In another fixture, the same side up: as if all had been one list, though clamps and zero are others."""
    here, tray = SIDES[side], tp.pocket(RECESS, T6, depth=4)
    clamp = tp.Clamp(area=tp.rectangle(20, 20, (10, 130)), height=8)
    there = replace(here, clamps=(clamp,), zero_at="centre", safe_height=13.0)
    step = tp.pocket(OPENING, [T6, T3], depth=8, from_depth=4)
    wider = tp.pocket(tp.rectangle(120, 60, (81, 66)), T6, depth=4)
    first = tp.Setup(here, [tray])

    for work in (step, wider):
        after = tp.Setup(there, [work], after=first)
        assert [one.path for one in after.steps] == [one.path for one in tp.Setup(there, [tray, work]).steps[1:]]
    assert mm_at_depth(tp.Setup(there, [wider], after=first)) < 0.8 * mm_at_depth(tp.Setup(there, [wider]))
    with pytest.raises(tp.DoesNotFitError, match="wood stands up to the face"):
        tp.Setup(there, [step])
    with pytest.raises(tp.DoesNotFitError, match="no wood to take"):
        tp.Setup(there, [tray], after=first)


@pytest.mark.sample(1)
@pytest.mark.parametrize("turned", ["left to right", "top to bottom"])
def test_setup_after_several_knows_what_each_of_them_left(turned):
    """Front, front in another fixture, back, front again: judged by the texts as they are run, one after the other."""
    front = replace(FRONT, grips=(BOARD.outline,))
    back = front.turned_over(turned, grips=front.grips)
    slot = tp.rectangle(60, 14, (100, 110), corner_radius=5)
    one = tp.Setup(front, [tp.pocket(RECESS, T6, depth=4)])
    two = tp.Setup(
        replace(front, zero_at="centre"), [tp.pocket(OPENING, T6, depth=tp.through(), from_depth=4)], after=one
    )
    three = tp.Setup(back, [tp.pocket(RECESS, T6, depth=8), tp.pocket(slot, T6, depth=tp.through())], after=two)
    around = tp.pocket(tp.rectangle(160, 120, MIDDLE), T6, depth=4)
    four = tp.Setup(front, [around], after=three)

    assert three.earlier == (two, one) and four.earlier == (three, two, one)
    assert mm_at_depth(three) < 0.9 * mm_at_depth(replace(three, after=one))
    # Less than without the slot by a round of it, less than without the recess by all that is cleared there.
    assert mm_at_depth(four) < mm_at_depth(replace(four, after=two)) < mm_at_depth(replace(four, after=None))
    setups = (one, two, three, four)
    report = tp.verify(
        [(tp.program_text(setup), setup.fixture) for setup in setups],
        four.cutters,
        part=tp.intended_part(*setups),
        cell=0.5,
    )
    assert report.ok, report


@pytest.mark.parametrize(
    ("after", "words"),
    [
        (lambda work: FRONT, "must be the Setup"),
        (lambda work: tp.Setup(SIDES["top to bottom"], work), "turned top to bottom in a setup before"),
        (lambda work: tp.Setup(FRONT, work, after=tp.Setup(SIDES["top to bottom"], work)), "turned top to bottom in a"),
        (lambda work: tp.Setup(tp.Fixture(board=replace(BOARD, thickness=12)), work), "of another board"),
    ],
    ids=["no setup", "turned otherwise", "turned otherwise before", "other board"],
)
def test_setup_after_what_cannot_be_before_it_is_refused(after, words):
    work = [tp.drill([MIDDLE], DRILL3, depth=3)]
    with pytest.raises(tp.InputError, match=words):
        tp.Setup(SIDES["left to right"], work, after=after(work))
