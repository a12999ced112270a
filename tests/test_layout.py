"""Parts laid out: their work under numbered names, on both sides at the same places, in an order that changes cutters
least; in rows with as much wood between them as was asked for."""

from __future__ import annotations

import pickle
import re
from itertools import groupby

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

import toolpaths as tp
from samples import examples

T1 = tp.Cutter(1, tp.flat(6), feed_mm_min=1500, spindle_rpm=18000, step_down=3, cutting_length=26)
T4 = tp.Cutter(4, tp.drill_point(4), feed_mm_min=600, spindle_rpm=8000, cutting_length=30)
T6 = tp.Cutter(6, tp.v_point(12, 90), feed_mm_min=1200, plunge_mm_min=400, spindle_rpm=16000)
TABS = tp.Tabs(count=3, width=8, height=4)
BOARD = tp.Board(width=420, height=300, thickness=18, wood="oak")


def cut_out(shape):
    return tp.contour(shape, T1, depth=tp.through(0.3), tabs=TABS, name="outline")


def template(shape, name="plate"):
    return tp.Template(name, [cut_out(shape)])


HOLES = tp.drill([(-30, 0), (30, 0)], T4, depth=tp.through(0.3), depth_of="full diameter", name="holes")
HEADS = tp.countersink([(-30, 0), (30, 0)], T6, diameter=8, name="heads")
RECESS = tp.pocket(tp.rectangle(30, 20), T1, depth=4, name="recess")
PLATE = tp.Template("plate", [HOLES, HEADS, cut_out(tp.rectangle(90, 60))], back=[RECESS])


def side(board=BOARD, **more):
    return tp.Fixture(board=board, spoilboard_depth=2, **more)


def test_each_part_has_its_work_under_its_number():
    layout = tp.repeat_at(PLATE, [(60, 50), (180, 50)], turned_deg=[0, 90])
    assert [item.title for item in layout.front.work] == [
        "plate 1: holes", "plate 1: heads", "plate 1: outline", "plate 2: holes", "plate 2: heads", "plate 2: outline",
    ]  # fmt: skip
    assert layout.front.work[0].places == ((30.0, 50.0), (90.0, 50.0))
    assert layout.front.work[3].places == ((180.0, 20.0), (180.0, 80.0))
    # The back is drawn from the front too: the same value gives both sides.
    (one, two) = layout.back.work
    assert one.shape.centroid.coords[0] == pytest.approx((60, 50)) and two.title == "plate 2: recess"
    assert two.shape.bounds == pytest.approx((170, 35, 190, 65))
    assert pickle.loads(pickle.dumps(layout)) == layout and hash(layout) == hash(
        tp.repeat_at(PLATE, [(60, 50), (180, 50)], turned_deg=[0, 90])
    )


def test_cutters_change_least_and_each_part_keeps_its_order():
    layout = tp.repeat_at(PLATE, tp.grid(3, 3, (112, 84), (60, 50)))
    steps = tp.Setup(side(), [layout.front]).steps
    assert [number for number, _ in groupby(step.path.cutter.number for step in steps)] == [4, 6, 1]
    for part in layout.parts:
        mine = [step.operation.own_title for step in steps if step.operation.part_name == part.name]
        assert mine == ["holes", "heads", "outline"]
    # From part to part on a short way: no longer than twice the least tree over their middles allows (a tour is at
    # most that, for nine places of a grid 112 x 84 apart eight such steps at least).
    middles = [step.path.moves[0] for step in steps if step.path.cutter.number == 4]
    way = sum(np.hypot(a.x - b.x, a.y - b.y) for a, b in zip(middles, middles[1:]))
    assert way < 2 * (6 * 112 + 2 * 84)


def test_what_the_user_keeps_in_a_group_holds_on_every_part():
    """A list keeps its order; any_order() within it is sorted; its keeping goes along."""
    pocket = tp.pocket(tp.rectangle(20, 10), T1, depth=3, name="pocket")
    mixed = tp.Template("p", [tp.any_order(pocket, HOLES, keeping=[(pocket, HOLES)]), cut_out(tp.rectangle(90, 60))])
    group = tp.repeat_at(mixed, [(60, 50), (180, 50)]).front
    assert group.keeping == ((0, 1), (0, 2), (1, 2), (3, 4), (3, 5), (4, 5))


def test_layouts_are_joined_and_numbered_through():
    rail = template(tp.rectangle(200, 20), "rail")
    both = tp.repeat_at(PLATE, [(60, 50)]) + tp.repeat_at(rail, [(150, 150), (150, 190)])
    assert [part.name for part in both.parts] == ["plate 1", "rail 2", "rail 3"]
    assert repr(both) == "<Layout: 1 plate, 2 rail>"
    assert str(both).splitlines()[1:] == [
        "plate 1  X60.00 Y50.00",
        "rail 2   X150.00 Y150.00",
        "rail 3   X150.00 Y190.00",
    ]
    with pytest.raises(TypeError):
        both + rail


@pytest.mark.parametrize(
    ("make", "words"),
    [
        (lambda: tp.Template("plate", []), "holds no work"),
        (lambda: tp.Template("plate", HOLES), "must be a list"),
        (lambda: tp.Template("plate", [HOLES, "x"]), "front holds 'x'"),
        (lambda: tp.Template("plate", [HOLES, tp.stop("Look")]), "stop 'Look', which would come once for every part"),
        (lambda: tp.Template("p" * 70, [HOLES]), "longer than 60 letters"),
        (lambda: tp.Template("plate", tp.repeat_at(PLATE, [(60, 50)]).front.work), "belongs to plate 1 already"),
        (lambda: tp.repeat_at(HOLES, [(60, 50)]), "must be a Template"),
        (lambda: tp.repeat_at(PLATE, [(60, 50), (200, 50)], turned_deg=[90]), "1 numbers for 2 places"),
        (lambda: tp.repeat_at(PLATE, [(60, 50), (60, 50)]), r"plate 1 and plate 2 lie at one place, \(60, 50\)"),
        (lambda: tp.repeat_at(PLATE, [(60, 50), (149, 50)]), "over each other, by 1 x 60 mm around .104.5, 50.0"),
        (lambda: tp.repeat_at(template(tp.circle(20)), [(60, 50)]).back, "No template of this layout has work"),
        (lambda: tp.in_rows([], side()), "lists no template"),
        (lambda: tp.in_rows([(PLATE, 0)], side()), "how many=0"),
        (lambda: tp.in_rows([PLATE, 3], side()), "wanted holds 3"),
        (lambda: tp.in_rows([(PLATE, 3000)], side()), "2000 at most"),
        (lambda: tp.in_rows(PLATE, []), "sides lists no Fixture"),
        (lambda: tp.in_rows(PLATE, [side(), side(tp.Board(width=99, height=99, thickness=18))]), "two boards"),
        (lambda: tp.in_rows(PLATE, side(), web=-1), "web=-1"),
    ],
)  # fmt: skip
def test_bad_input_is_refused_in_words(make, words):
    with pytest.raises((tp.InputError, tp.DoesNotFitError), match=words):
        make()


def kerf(part):
    """What a part and the cut round it take up, its outline and a cutter's width beside it."""
    return shapely.buffer(part.kept, 6.0)


SIZES = st.tuples(st.floats(20, 120), st.floats(20, 120))
SHAPES = st.one_of(
    SIZES.map(lambda size: tp.rectangle(*size)),
    SIZES.map(lambda size: shapely.Polygon([(0, 0), (size[0], 0), (0, size[1])])),
    SIZES.map(lambda size: tp.ellipse(*size)),
    SIZES.map(lambda s: shapely.union(shapely.box(0, 0, s[0], s[1] / 3), shapely.box(0, 0, s[0] / 3, s[1]))),
)


@given(
    st.lists(st.tuples(SHAPES, st.integers(1, 4)), min_size=1, max_size=3),
    st.floats(0, 15), st.floats(0, 20),
    st.lists(st.tuples(st.floats(5, 895), st.floats(5, 695)), max_size=4),
)  # fmt: skip
@examples(25)
def test_parts_in_rows_lie_as_far_apart_as_asked_clear_of_everything(wanted, web, margin, at):
    board = tp.Board(width=900, height=700, thickness=18)
    fixture = side(board, screws=tp.screws(at, head_diameter=10, height=3) if at else ())
    templates = [(template(shape, f"p{number}"), count) for number, (shape, count) in enumerate(wanted)]
    layout = tp.in_rows(templates, fixture, web=web, margin=margin)
    taken = [kerf(part) for part in layout.parts]
    assert [part.number for part in layout.parts] == list(range(1, sum(count for _, count in wanted) + 1))
    for made, count in templates:
        assert sum(part.template == made for part in layout.parts) == count
    for i, one in enumerate(taken):
        left, low, right, high = one.bounds
        assert min(left, low, 900 - right, 700 - high) >= margin - 0.01
        assert all(one.distance(other) >= web - 0.01 for other in taken[:i])
        assert all(one.distance(shapely.Point(place)) >= 5 + 2 - 0.05 for place in at)
    # Rows along Y are turned by a quarter as wholes, parts are not: only by half turns.
    assert {part.place.turned_deg for part in layout.parts} <= {0.0, 180.0}
    assert tp.in_rows(templates, fixture, web=web, margin=margin) == layout


def test_a_board_that_is_filled_to_the_last_and_one_that_is_too_small_by_a_hair():
    """3 x 2 plates of 90 x 60, cuts of 6 about each, 8 between them and at the edges."""
    wide, high = 3 * 102 + 4 * 8, 2 * 72 + 3 * 8
    plate = [(template(tp.rectangle(90, 60)), 6)]
    exact = tp.in_rows(plate, side(tp.Board(width=wide, height=high, thickness=18)))
    assert exact.size_needed == pytest.approx((wide, high), abs=1e-3)
    with pytest.raises(tp.DoesNotFitError, match="4 of 6 plate do") as caught:
        tp.in_rows(plate, side(tp.Board(width=wide - 0.02, height=high, thickness=18)))
    (would,) = re.findall(r"A board of ([\d.]+) x ([\d.]+) mm would do", str(caught.value))
    again = tp.in_rows(plate, side(tp.Board(width=float(would[0]), height=float(would[1]), thickness=18)))
    assert len(again.parts) == 6
    assert len(tp.in_rows([(plate[0][0], 4)], side(tp.Board(width=wide - 0.02, height=high, thickness=18))).parts) == 4


def test_what_is_too_wide_for_any_longer_board_is_said():
    with pytest.raises(
        tp.DoesNotFitError, match=r"0 of 1 plate do\. One of them is wider than the room within margins of 8"
    ):
        tp.in_rows(template(shapely.box(0, 0, 500, 400)), side())


def test_slanting_outlines_are_pushed_together_half_of_them_turned():
    """Ten triangles in a row: two of them, one turned, make a rectangle but for the cut between."""
    triangle = shapely.Polygon([(0, 0), (80, 0), (0, 60)])
    board = tp.Board(width=900, height=110, thickness=18)
    layout = tp.in_rows([(template(triangle), 10)], side(board))
    boxes = 10 * (80 + 12 + 8) + 8
    assert layout.size_needed[0] < 0.75 * boxes
    assert {part.place.turned_deg for part in layout.parts} == {0.0, 180.0}


def test_across_the_grain_only_where_asked():
    strip = [(template(tp.rectangle(30, 250)), 3)]
    low = side(tp.Board(width=420, height=200, thickness=18))
    with pytest.raises(tp.DoesNotFitError, match="0 of 3"):
        tp.in_rows(strip, low)
    turned = tp.in_rows(strip, low, across_grain=True)
    assert {part.place.turned_deg % 180 for part in turned.parts} == {90.0}


def test_a_clamp_across_the_board_has_rows_on_both_its_sides():
    across = tp.Clamp(area=shapely.box(0, 130, 420, 150), height=12)
    layout = tp.in_rows([(template(tp.rectangle(90, 60)), 6)], side(clamps=(across,)))
    rows = sorted({part.kept.bounds[1] for part in layout.parts})
    assert rows[0] < 130 - 66 and rows[-1] > 150 and len(layout.parts) == 6


def test_areas_of_the_user_and_holes_for_pins_are_kept_free():
    pins = tp.dowels([(60, 150), (360, 150), (210, 9)], diameter=8, depth=6)
    free = shapely.box(0, 0, 200, 120)
    layout = tp.in_rows([(template(tp.rectangle(90, 60)), 4)], side(dowels=pins), keep_out=[free])
    for part in layout.parts:
        assert not kerf(part).intersects(free)
        assert all(kerf(part).distance(shapely.Point(pin.x, pin.y)) > 4 + 1.9 for pin in pins)


@pytest.mark.long
def test_a_sheet_of_parts_on_both_sides_is_judged_sound():
    """Pins and screws stand, plates are laid between them, each with work on both sides."""
    pins = tp.dowels([(9, 150), (411, 150), (210, 9)], diameter=8, depth=6)
    held = tp.screws([(14, 14), (406, 14), (14, 286), (406, 286)], head_diameter=9, height=3)
    front_side = side(screws=held, dowels=pins)
    back_side = front_side.turned_over("left to right", screws=held)
    plate = tp.Template("plate", [HOLES, HEADS, cut_out(tp.rectangle(90, 60, corner_radius=8))], back=[RECESS])
    layout = tp.in_rows([(plate, 6)], [front_side, back_side])
    bored = tp.bore([(pin.x, pin.y) for pin in pins], 8, T1, depth=tp.through(6), name="pin holes")
    front = tp.Setup(front_side, [bored, layout.front])
    back = tp.Setup(back_side, [layout.back], after=front)
    report = tp.Job("Plates", [front, back]).report(cell=0.5)
    assert report.findings == ()
