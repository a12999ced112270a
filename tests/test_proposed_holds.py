"""Screws and pins proposed: off every cutter of both sides, as these tests measure it along the moves themselves, in
the waste, so that the board fits one way only; judged as the user's own are. No place is an error with the room."""

from __future__ import annotations

import pickle
import re
from dataclasses import replace

import numpy as np
import pytest
import shapely

import toolpaths as tp
from toolpaths.facts.turning import pins_fit_both_ways

T1 = tp.Cutter(1, tp.flat(6), feed_mm_min=1500, spindle_rpm=18000, step_down=3, cutting_length=26)
T4 = tp.Cutter(4, tp.drill_point(2.5), feed_mm_min=600, spindle_rpm=8000, cutting_length=30)
BOARD = tp.Board(width=240, height=170, thickness=18, wood="oak")
BARE = tp.Fixture(board=BOARD)
OUTLINE = tp.rectangle(170, 100, (120, 85), corner_radius=10)
HOLE = tp.circle(50, (120, 85))
SCREWS = {"head_diameter": 9, "height": 3, "shank_diameter": 4, "length": 35}


def cut_out(shape, **more):
    tabs = tp.Tabs(count=4, width=8, height=4)
    return tp.contour(shape, T1, depth=tp.through(0.3), **{"tabs": tabs, "name": "outline", **more})


OPENING = cut_out(HOLE, side="inside", tabs=None, name="opening")
FRONT = tp.Setup(BARE, [OPENING, cut_out(OUTLINE)])
RECESS = tp.pocket(tp.rectangle(60, 30, (85, 60)), T1, depth=5, name="recess")
BACK = tp.Setup(BARE.turned_over("left to right"), [RECESS], after=FRONT)


def to_cutters(setup, place, height):
    """mm from a place, seen from the front, to the nearest that a cutter's body comes to it below a height: along the
    moves at feed, in steps of a tenth of a mm."""
    x, y = setup.fixture.place(shapely.Point(place)).coords[0]
    nearest = np.inf
    for step in setup.steps:
        if isinstance(step, type(tp.stop("x"))):
            continue
        at = np.array([(step.path.moves[0].x, step.path.moves[0].y, step.path.moves[0].z)])
        for move in step.path.moves:
            end, begin = np.array([move.x, move.y, move.z]), at[-1]
            if move.kind != "rapid":
                way = max(np.hypot(*(end - begin)[:2]), abs(move.sweep) * np.hypot(*(begin[:2] - move.centre)))
                share = np.linspace(0, 1, int(way / 0.1) + 2)[:, None]
                places = begin + (end - begin) * share
                if move.sweep:
                    arm, angle = begin[:2] - move.centre, move.sweep * share[:, 0]
                    cosine, sine = np.cos(angle), np.sin(angle)
                    places[:, 0] = move.centre[0] + arm[0] * cosine - arm[1] * sine
                    places[:, 1] = move.centre[1] + arm[0] * sine + arm[1] * cosine
                if move.hole:
                    places = np.array([[move.x, move.y, move.hole.bottom]])
                low = places[places[:, 2] < height]
                away = np.hypot(low[:, 0] - x, low[:, 1] - y) - step.path.cutter.body_radii(height - low[:, 2])
                nearest = min(nearest, float(away.min(initial=np.inf)))
            at = end[None]
    return nearest


@pytest.mark.long
@pytest.mark.parametrize("nut", [None, 25.0], ids=["slim", "with a nut that comes low"])
def test_screws_stand_off_every_cutter_in_the_waste(nut):
    short = replace(T1, stick_out=19.0, cutting_length=18.9, nut_diameter=nut) if nut else T1
    outline = replace(cut_out(OUTLINE), cutter=short)
    setup = tp.Setup(BARE, [outline])
    held = tp.proposed_screws(setup, clearance=4, count=5, **SCREWS)
    gaps = [to_cutters(setup, place, 3.0) - 4.5 for place in held.places]
    assert min(gaps) >= 4 - 0.06
    (told,) = map(float, re.findall(r"a cutter comes to a head is ([\d.]+) mm", held.reasons[1]))
    # What is taken wider for chords, and by the nut all along a path that dips here and there, is on the safe side.
    assert told - 0.05 <= min(gaps) <= told + (0.2 if nut is None else 10)
    assert all(not OUTLINE.contains(shapely.Point(place)) for place in held.places)
    assert all(9 <= x <= 231 and 9 <= y <= 161 and x == round(x) and y == round(y) for x, y in held.places)
    assert tp.proposed_screws(setup, clearance=4, count=5, **SCREWS) == held == pickle.loads(pickle.dumps(held))


@pytest.mark.long
def test_what_is_cut_free_gets_a_screw_of_its_own_and_all_is_judged_sound():
    """Both sides: pins, pilots, the stop and the screws, planned anew and judged from the text: nothing is found."""
    pins = tp.proposed_dowels([FRONT, BACK], "left to right", diameter=8, depth=6)
    on_pins = pins.setups(T1)
    held = tp.proposed_screws(on_pins, held_meanwhile="two clamps at the edges", **SCREWS)
    # The first lies in what the opening cuts free, near its middle.
    assert np.hypot(held.places[0][0] - 120, held.places[0][1] - 85) < 4
    front, back = held.setups(T4, pilot_depth=10)
    assert [getattr(item, "name", "stop") for item in front.work] == [
        "screw pilots", "stop", "pin holes", "opening", "outline",
    ]  # fmt: skip
    assert back.after == front and not any(screw.driven_at for screw in back.fixture.screws)
    # The slug is held while it is cut free; then the board is turned over, and it falls out.
    assert held.sides == (1, 2, 2, 2, 2) and len(front.fixture.screws) == 5
    assert [(screw.x, screw.y) for screw in back.fixture.screws] == list(held.places[1:])
    report = tp.Job("Plate", [front, back]).report(cell=0.5)
    assert report.findings == ()
    said = [note for _, side in report.sides for note in side.notes if note.startswith("What holds stands")]
    assert len(said) == 2 and sum("What holds stands" in reason for reason in held.reasons) == 2


def test_what_is_cut_free_on_the_back_has_its_screw_on_both_sides_and_of_two_pieces_each_has_one():
    """No part is cut out here: the rest of the board stays, and both openings leave a slug."""
    first = tp.Setup(BARE, [tp.pocket(tp.rectangle(40, 30, (120, 40)), T1, depth=5, name="recess")])
    holes = [cut_out(tp.circle(44, at), side="inside", tabs=None, name="opening") for at in ((70, 100), (170, 100))]
    second = tp.Setup(BARE.turned_over("left to right"), holes, after=first)
    held = tp.proposed_screws([first, second], **SCREWS)
    slugs = held.places[:2]
    assert {round(x / 10) for x, _ in slugs} == {7, 17} and all(abs(y - 100) < 4 for _, y in slugs)
    assert held.sides == (2,) * len(held.screws) and len(held.screws) == 6


@pytest.mark.long
def test_screws_there_from_the_start_have_no_stop():
    held = tp.proposed_screws(FRONT, driven_at="", **SCREWS)
    (front,) = held.setups()
    assert len(front.work) == 2 and front.fixture.holds_board
    with pytest.raises(tp.InputError, match="there from the start"):
        _ = held.stop


@pytest.mark.long
def test_where_something_is_held_too_weakly_more_are_proposed():
    """Screws as thin as 2 mm, in a board that a blunt pass shakes hard: four of them stand less than eight."""
    fast = replace(T1, feed_mm_min=5000, spindle_rpm=8000, step_down=6, deepest_pass=6)
    setup = tp.Setup(BARE, [replace(cut_out(OUTLINE), cutter=fast)])
    thin = {"head_diameter": 5, "height": 2, "shank_diameter": 1.6, "length": 25}
    four, held = tp.proposed_screws(setup, count=4, **thin), tp.proposed_screws(setup, **thin)
    assert any("weak-hold" in reason for reason in four.reasons)
    assert len(held.screws) > 4 and set(four.places) <= set(held.places)


@pytest.mark.long
def test_how_many_find_room_is_said():
    with pytest.raises(tp.DoesNotFitError, match="Ask for") as caught:
        tp.proposed_screws(FRONT, count=200, **SCREWS)
    (most,) = map(int, re.findall(r"Ask for (\d+)", str(caught.value)))
    assert len(tp.proposed_screws(FRONT, count=most + 1, **SCREWS).screws) == most + 1  # and the one in the slug


def test_the_room_that_is_missing_is_said_and_is_what_is_missing():
    """A board with a margin of 13 mm: 7 of it are left beside the cut; heads of 9 want more."""
    board = tp.Board(width=196, height=126, thickness=18)
    setup = tp.Setup(tp.Fixture(board=board), [cut_out(tp.rectangle(170, 100, (98, 63)))])
    with pytest.raises(tp.DoesNotFitError, match="do not find room in the waste, none do") as caught:
        tp.proposed_screws(setup, edge=3.5, **SCREWS)
    (x, y), room = caught.value.point, float(re.findall(r"has ([\d.]+) mm", str(caught.value))[0])
    # The widest place is a corner, where the arc of the cutter leaves most.
    assert room == pytest.approx(min(to_cutters(setup, (x, y), 3.0), x, y, 196 - x, 126 - y), abs=0.2)
    (missing,) = map(float, re.findall(r"([\d.]+) mm are missing", str(caught.value)))
    assert missing == pytest.approx(4.5 + 3 - room, abs=0.06)
    small = SCREWS | {"head_diameter": 2 * (4.5 - missing) - 0.3, "shank_diameter": 1.5}
    assert tp.proposed_screws(setup, edge=2.0, **small).screws


@pytest.mark.long
def test_in_the_part_only_where_asked_and_where_nothing_is_cut_out_anywhere():
    plain = tp.Setup(BARE, [tp.pocket(tp.rectangle(120, 80, (120, 85)), T1, depth=5, name="tray")])
    assert "in wood that stays" in tp.proposed_screws(plain, **SCREWS).reasons[0]
    full = tp.Setup(tp.Fixture(board=BOARD, overhang=9), [cut_out(tp.rectangle(232, 162, (120, 85)))])
    with pytest.raises(tp.DoesNotFitError):
        tp.proposed_screws(full, **SCREWS)
    assert "in wood that stays" in tp.proposed_screws(full, in_part=True, **SCREWS).reasons[0]


@pytest.mark.long
def test_pins_fit_one_way_only_and_lie_off_all_cuts():
    for turned, edges in (("left to right", 240), ("top to bottom", 170)):
        back = replace(BACK, fixture=BARE.turned_over(turned))
        for count in (2, 3):
            pins = tp.proposed_dowels([FRONT, back], turned, diameter=8, depth=6, count=count)
            assert len(pins.dowels) == count and not pins_fit_both_ways(pins.dowels, BOARD)
            # Turned over so, each hole comes over a pin: else the fixture itself refuses.
            replace(BARE, dowels=pins.dowels).turned_over(turned)
            gap = min(
                to_cutters(setup, (pin.x, pin.y), 0.0) - 4 for setup in (FRONT, back) for pin in pins.dowels
            )  # fmt: skip
            assert gap >= 4 - 0.06
            assert all(not OUTLINE.contains(shapely.Point(pin.x, pin.y)) for pin in pins.dowels)
            xy = np.array([(pin.x, pin.y) for pin in pins.dowels])
            assert np.hypot(*(xy[:2] @ [[1, 0], [0, 1]] - xy[:2][::-1]).T).max() > 0.8 * edges
        assert tp.proposed_dowels([FRONT, back], turned, diameter=8, depth=6, count=3) == pins


def test_no_pin_lies_in_what_falls_out():
    """Wide openings have all the room there is beside thin margins."""
    holes = [cut_out(tp.circle(90, (x, 85)), side="inside", tabs=None, name="opening") for x in (65, 175)]
    setup = tp.Setup(BARE, [*holes, cut_out(tp.rectangle(216, 146, (120, 85)))])
    with pytest.raises(tp.DoesNotFitError, match=r"has [\d.]+ mm. Take thinner pins"):
        tp.proposed_dowels(setup, "left to right", diameter=8, depth=6)


def test_pins_are_drilled_by_a_drill_of_their_width_else_bored():
    pins = tp.proposed_dowels(FRONT, "left to right", diameter=8, depth=6)
    drill = tp.Cutter(5, tp.drill_point(8), feed_mm_min=400, spindle_rpm=6000, cutting_length=40)
    assert isinstance(pins.holes(drill), tp.Drill) and isinstance(pins.holes(T1), tp.Bore)
    with pytest.raises(tp.InputError, match="no hole for pins of 8"):
        pins.holes(T4)


@pytest.mark.parametrize(
    ("make", "words"),
    [
        (lambda: tp.proposed_screws([], **SCREWS), "lists no setup"),
        (lambda: tp.proposed_screws([FRONT, OPENING], **SCREWS), "list setups"),
        (lambda: tp.proposed_screws([BACK, FRONT], **SCREWS), "does not come after"),
        (lambda: tp.proposed_screws(FRONT, count=0, **SCREWS), "count=0"),
        (lambda: tp.proposed_screws(FRONT, clearance=-1, **SCREWS), "clearance=-1"),
        (lambda: tp.proposed_dowels(FRONT, "over", diameter=8, depth=6), "turned='over'"),
        (lambda: tp.proposed_dowels([FRONT, BACK], "top to bottom", diameter=8, depth=6), "lies turned left to right"),
        (lambda: tp.proposed_dowels(BACK, "left to right", diameter=8, depth=6), "begin with the front"),
        (lambda: tp.proposed_dowels(FRONT, "left to right", diameter=8, depth=6, count=4), "count=4"),
        (lambda: tp.proposed_dowels(FRONT, "left to right", diameter=60, depth=6), "The largest free place, at"),
    ],
)
def test_bad_input_is_refused_in_words(make, words):
    with pytest.raises((tp.InputError, tp.DoesNotFitError), match=words):
        make()
