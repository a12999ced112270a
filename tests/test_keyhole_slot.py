"""Hanger slots: the wood that an undercut cutter takes, as solids; its way out; what is refused, with the number that
would do; and what the judge makes of shoulders."""

from __future__ import annotations

import pickle
from dataclasses import replace
from math import pi

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from solids import left_of, swept_undercut, tops

import toolpaths as tp
from samples import examples
from toolpaths.judging.reader.motions import RAPID
from toolpaths.judging.trial.undercuts import lowest_faces, volume_below_shoulders

# Head 3/8 in, neck 3/16 in, head layer 1/8 in, shoulder 3/16 in, slot 20 mm; volume and bearing by hand.
HEAD, NECK, TALL, SHOULDER, LONG = 9.525, 4.7625, 3.175, 4.7625, 20.0
VOLUME, BEARING = 1563.144, 2.38125
BOARD = tp.Board(width=120, height=80, thickness=18)
FRONT = tp.Fixture(board=BOARD, grips=(BOARD.outline,))
BACK = FRONT.turned_over("left to right", grips=(BOARD.outline,))
T1 = tp.Cutter(1, tp.flat(6), feed_mm_min=1500, spindle_rpm=16000)
T8 = tp.Cutter(8, tp.undercut(HEAD, TALL, NECK), feed_mm_min=800, spindle_rpm=16000)


def slot(**changes) -> tp.KeyholeSlot:
    return tp.keyhole_slot(**{"places": [(40, 30)], "cutter": T8, "depth": TALL + SHOULDER, "length": LONG, **changes})


def test_the_reference_keyhole_has_its_volume_and_its_bearing():
    """Source: closed form, (L H + pi H^2 / 4) h + s |disc and slot|; the solid is swept from the text by manifold3d."""
    text = tp.program_text(tp.Setup(FRONT, [slot()]))
    left = left_of(BOARD, [swept_undercut(text, T8.profile)])
    assert 120 * 80 * 18 - left.volume() == pytest.approx(VOLUME, abs=0.15)
    (feature,) = slot().features(0.01)
    assert (feature.bearing, feature.shoulder) == pytest.approx((BEARING, SHOULDER), abs=1e-12)
    union = feature.shape.area
    assert union == pytest.approx(153.715413, abs=0.15)
    (under,) = feature.undercuts()
    assert under.area.area == pytest.approx(261.755739, abs=0.15)


@pytest.mark.long
def test_the_wood_below_shoulders_is_counted_besides_what_the_faces_show():
    # Aslant, so that cells whose centres lie on either side of a wall make up for each other.
    setup = tp.Setup(FRONT, [slot(heading_deg=37)])
    report = tp.simulate(tp.program_text(setup), FRONT, [T8], cell=0.1, part=tp.intended_part(setup))
    assert report.ok, str(report)
    below = volume_below_shoulders(report.stock)
    assert report.stock.removed() == pytest.approx(153.715413 * (TALL + SHOULDER), rel=0.002)
    assert report.stock.removed() + below == pytest.approx(VOLUME, rel=0.002)
    (said,) = [note for note in report.notes if "below shoulders" in note]
    assert float(said.split()[0]) == pytest.approx(below / 1000, abs=0.006)


@pytest.mark.long
@given(st.data())
@examples(6)
def test_shoulders_stand_as_in_the_swept_solid(data):
    """Upper faces of the wood are those of the board less head and neck, at any heading, and so are the lowest: the
    head's own, looked at from below through a board turned upside down."""
    number = st.floats(0, 360)
    places = [(30, 25), (85, 50)]
    heading, long = data.draw(number), data.draw(st.floats(10, 18))
    setup = tp.Setup(FRONT, [slot(places=places, heading_deg=heading, length=long)])
    text = tp.program_text(setup)
    report = tp.simulate(text, FRONT, [T8], cell=1.0, part=tp.intended_part(setup))
    assert report.ok, str(report)
    stock, solid = report.stock, left_of(BOARD, [swept_undercut(text, T8.profile)])
    x, y = np.meshgrid(
        stock.grid.left + (np.arange(stock.grid.columns) + 0.5) * stock.cell,
        stock.grid.low + (np.arange(stock.grid.rows) + 0.5) * stock.cell,
    )
    near = np.minimum(*(np.hypot(x - a, y - b) for a, b in places)).reshape(-1) < 40
    x, y = x.reshape(-1)[near], y.reshape(-1)[near]
    inside = (x > 0) & (x < 120) & (y > 0) & (y < 80)
    expected, found = tops(solid, x, y), stock.top.reshape(-1)[near].astype(float)
    off = np.abs(expected - found) > 1e-3
    # Cells whose centres lie within the chords of a circle of a wall.
    assert np.count_nonzero(off & inside) <= 3
    assert np.count_nonzero(found[inside] < -1) > 100


def test_it_goes_in_and_out_at_the_hole_and_never_by_rapid_below_the_face():
    text = tp.program_text(tp.Setup(FRONT, [slot(places=[(40, 30), (80, 30)])]))
    motions = tp.read(text).motions
    low = np.minimum(motions.start[:, 2], motions.end[:, 2]) < 0
    assert not (low & (motions.kind == RAPID)).any()
    upright = low & (motions.start[:, :2] == motions.end[:, :2]).all(axis=1)
    assert {tuple(place) for place in motions.end[upright, :2].tolist()} == {(40.0, 30.0), (80.0, 30.0)}
    along = motions.end[low & ~upright]
    assert np.unique(along[:, 2]).tolist() == [-7.9375], "at full depth, and back the same way"
    assert along[:, :2].tolist().count([40.0, 50.0]) == along[:, :2].tolist().count([40.0, 30.0]) == 1


@pytest.mark.sample(1)
@pytest.mark.parametrize("turned", ["left to right", "top to bottom"])
def test_on_the_back_slots_point_as_drawn_from_the_front(turned):
    back = FRONT.turned_over(turned, grips=(BOARD.outline,))
    setup = tp.Setup(back, [slot(heading_deg=30.0)])
    report = tp.simulate(tp.program_text(setup), back, [T8], cell=0.5, part=tp.intended_part(setup))
    assert report.ok, str(report)
    wood = report.stock.turned_over(turned)
    row, column = wood.cell_at(40 + 18 * np.cos(pi / 6), 30 + 18 * np.sin(pi / 6))
    assert wood.bottom[row, column] == pytest.approx(-18 + 7.9375, abs=1e-3)


def test_two_slots_at_one_level_are_exactly_as_far_apart_as_their_screws():
    both = slot(places=[(30, 40), (30 + 50.8, 40)])
    motions = tp.read(tp.program_text(tp.Setup(BACK, [both]))).motions
    ends = np.unique(motions.end[motions.end[:, 2] < 0][:, :2], axis=0)
    assert np.diff(np.unique(ends[:, 0])).tolist() == [50.8]
    assert sorted({y for _, y in ends.tolist()}) == [40.0, 60.0]


@pytest.mark.parametrize(
    ("changes", "error", "said"),
    [
        ({"length": 5}, tp.InputError, "9.525 or more"),
        ({"depth": 3}, tp.InputError, "must be more than 3.175, and 7.94 leaves"),
        ({"depth": 10}, tp.DoesNotFitError, "Give a depth of 9.525 or less"),
        ({"depth": 12, "from_depth": 2}, tp.DoesNotFitError, "Give a depth of 11.525 or less"),
        ({"cutter": replace(T8, step_down=3)}, tp.DoesNotFitError, "Give a depth of 3 or less"),
        ({"cutter": T1}, tp.InputError, "T1 flat 6|flat 6 is none"),
        ({"places": [(40, 30), (49, 30)]}, tp.DoesNotFitError, "more than 9.525 apart"),
        ({"depth": tp.through(0.3)}, tp.InputError, "depth"),
    ],
)
def test_what_cannot_be_cut_is_refused_with_what_would_do(changes, error, said):
    with pytest.raises(error, match=said):
        slot(**changes)


def test_a_board_as_thin_as_the_slot_is_deep_is_refused():
    thin = replace(FRONT, board=tp.Board(width=120, height=80, thickness=7.9), grips=())
    with pytest.raises(tp.DoesNotFitError, match=r"7\.9"):
        tp.Setup(thin, [slot()])


@pytest.mark.parametrize(
    "make",
    [
        lambda: tp.groove([(20, 40), (60, 40)], T8, depth=4),
        lambda: tp.pocket(tp.circle(40, (60, 40)), T8, depth=4),
        lambda: tp.pocket(tp.circle(40, (60, 40)), [T1, T8], depth=4),
        lambda: tp.contour(tp.circle(40, (60, 40)), T8, depth=4),
        lambda: tp.bore([(60, 40)], 12, T8, depth=4),
        lambda: tp.drill([(60, 40)], T8, depth=4),
        lambda: tp.face(tp.rectangle(60, 40, (60, 40)), T8, depth=0.5),
        lambda: tp.chamfer(tp.circle(40, (60, 40)), T8, width=1),
        lambda: tp.countersink([(60, 40)], T8, screw=4),
        lambda: tp.test_cut(T8, FRONT),
        lambda: tp.CutAlong(line=[(20, 40), (60, 40)], profile=T8.profile, depth=4),
        lambda: tp.advise(T8.profile, wood="oak", machine=tp.Machine()),
    ],
)
def test_no_other_work_takes_an_undercut_cutter(make):
    with pytest.raises(tp.InputError):
        make()


def test_a_thin_shoulder_is_noted():
    setup = tp.Setup(FRONT, [slot(depth=5.0)])
    assert any("shoulders of the keyhole slot are 1.83 mm thick" in note for note in setup.notes), setup.notes
    assert not tp.Setup(FRONT, [slot()]).notes


@pytest.mark.long
def test_one_that_does_not_cut_at_its_centre_takes_holes_bored_before():
    dead = replace(T8, centre_cutting=False)
    with pytest.raises(tp.DoesNotFitError, match=r"bore a hole 9\.725 mm wide and 7\.9375 deep"):
        tp.Setup(FRONT, [slot(cutter=dead)])
    holes = tp.bore([(40, 30)], 10, T1, depth=TALL + SHOULDER)
    setup = tp.Setup(FRONT, [tp.any_order(slot(cutter=dead), holes)])
    assert [step.path.cutter.number for step in setup.steps] == [1, 8], "the hole first"
    # A file for each cutter: the first leaves what the second is to undercut.
    by_cutter = tp.texts_by_cutter(setup)
    found = tp.verify([(by_cutter, FRONT)], setup.cutters, cell=0.5, part=tp.intended_part(setup))
    assert found.ok, str(found)
    found = tp.verify([(list(by_cutter.values())[:1], FRONT)], setup.cutters, cell=0.5, part=tp.intended_part(setup))
    assert "not-undercut" in {each.finding.code for each in found.findings}, str(found)
    report = tp.simulate(tp.program_text(setup), FRONT, setup.cutters, cell=0.5, part=tp.intended_part(setup))
    assert report.ok, str(report)


@pytest.mark.long
def test_in_the_floor_of_a_recess():
    recess = tp.pocket(tp.rectangle(60, 50, (60, 40)), T1, depth=3, name="recess")
    setup = tp.Setup(FRONT, [recess, slot(places=[(60, 25)], depth=3 + TALL + SHOULDER, from_depth=3, name="hanger")])
    report = tp.simulate(tp.program_text(setup), FRONT, setup.cutters, cell=0.5, part=tp.intended_part(setup))
    assert report.ok, str(report)


# Written by hand: one slot along an arc with a branch, in and out at one hole.
_CURVED = """(a hanger slot that hooks)
G21 G17 G90 G94
G0 Z20
T8 M6
M3 S16000
G4 P3
G0 X40 Y30
Z2
G1 Z-7.5 F260
Y40 F800
G2 X50 Y50 I10 J0
G1 X60
X50
G3 X40 Y40 I0 J-10
G1 Y30
Y20
Y30
Z2
G0 Z20
M5
M30
"""


def test_a_hooked_slot_by_hand_is_sound():
    report = tp.simulate(_CURVED, FRONT, [T8], cell=0.5)
    assert report.ok, str(report)
    wrong = tp.simulate(_CURVED.replace("Y20\nY30\nZ2", "Y20\nZ2"), FRONT, [T8], cell=0.5)
    assert wrong.codes() == ("trapped",)
    assert wrong.findings[0].amount == pytest.approx(7.5 - TALL, abs=1e-6)


# In the floor of a recess 4 deep, over which the cutter goes low from slot to slot.
_LOW = """(two hanger slots in the floor of a recess)
G21 G17 G90 G94
G0 Z20
T1 M6
M3 S16000
G4 P3
G0 X30 Y30
G0 Z2
G1 Z-2 F400
G1 X90 F1500
G1 Y36
G1 X30
G1 Y42
G1 X90
G1 Y48
G1 X30
G1 Z-4 F400
G1 X90 F1500
G1 Y42
G1 X30
G1 Y36
G1 X90
G1 Y30
G1 X30
G1 Y48
G1 X90
G1 Y30
G0 Z20
T8 M6
M3 S16000
G4 P3
G0 X40 Y34
G0 Z-3
G1 Z-11.5 F250
G1 Y46 F800
G1 Y34
G1 Z-3
G0 X80
G1 Z-11.5 F250
G1 Y46 F800
G1 Y34
G1 Z-3
G0 Z20
M5
M30
"""


def test_slots_in_a_recess_with_low_ways_between_are_sound():
    part = tp.Part(
        board=BOARD,
        front=[
            tp.Recess(area=tp.rectangle(66, 24, (60, 39), corner_radius=3), depth=4),
            tp.Keyhole(
                line=shapely.MultiLineString([[(x, 34), (x, 46)] for x in (40, 80)]), profile=T8.profile, depth=11.5,
                from_depth=4,
            ),
        ],
    )  # fmt: skip
    report = tp.simulate(_LOW, FRONT, [T1, T8], cell=0.5, part=part)
    assert report.ok, str(report)


@pytest.mark.parametrize(("off", "caught"), [(0.0, False), (0.005, False), (0.04, True), (1.0, True), (9.0, True)])
def test_lifted_so_far_from_the_hole(off, caught):
    """The head is as wide as the hole: what it meets is a crescent as wide as it is off."""
    found = tp.simulate(_CURVED.replace("Y20\nY30\nZ2", f"Y{30 + off}\nZ2"), FRONT, [T8], cell=1.0)
    assert found.codes() == (("trapped",) if caught else ())


def test_a_rapid_along_the_slot_meets_its_shoulders():
    report = tp.simulate(_CURVED.replace("G1 Y30\nY20\nY30", "G0 Y30"), FRONT, [T8], cell=0.5)
    assert report.codes()[0] == "rapid-in-wood"
    assert "lift it at its entry hole alone" in report.findings[0].message, "never to lift it where it is"


# Behind the slot a tray of the other side: between them the head leaves 18 - 8 - 9 = 1 mm, beside its neck.
_TRAY = tp.pocket(tp.rectangle(4, 40, (44.7, 40)), replace(T1, profile=tp.flat(3)), depth=9, name="tray behind")


@pytest.mark.sample(1)
@pytest.mark.parametrize("first", ["front", "back"])
def test_webs_count_from_under_the_shoulder(first):
    hanger = slot(depth=8.0, name="hanger")
    setups = [tp.Setup(FRONT, [hanger]), tp.Setup(BACK, [_TRAY])][:: 1 if first == "front" else -1]
    programs = [(tp.program_text(setup), setup.fixture) for setup in setups]
    cutters = [cutter for setup in setups for cutter in setup.cutters]
    part = tp.intended_part(*setups)
    found = tp.verify(programs, cutters, part=part, cell=0.5, thinnest_web=2.0)
    webs = [each.finding for each in found.findings if each.finding.code == "thin-web"]
    assert [round(web.amount, 2) for web in webs] == [1.0], str(found)
    assert tp.verify(programs, cutters, part=part, cell=0.5, thinnest_web=0.9).ok


@pytest.mark.long
def test_a_slot_that_opens_into_the_tray_behind_it_is_found():
    setups = [tp.Setup(FRONT, [slot(depth=8.0, name="hanger")]), tp.Setup(BACK, [replace(_TRAY, depth=11)])]
    found = tp.verify(
        [(tp.program_text(setup), setup.fixture) for setup in setups], [T8, *setups[1].cutters],
        part=tp.intended_part(*setups), cell=0.5,
    )  # fmt: skip
    assert "recesses-meet" in {each.finding.code for each in found.findings}, str(found)


@pytest.mark.long
def test_study_and_screws_count_the_wood_below_the_undercut():
    """Of 18 mm the slot takes 8 and the tray 9: 1 mm; and a screw from behind finds 10 beside the neck."""
    setups = [tp.Setup(FRONT, [slot(depth=8.0, name="hanger")]), tp.Setup(BACK, [_TRAY])]
    job = tp.Job("Plaque", setups)
    found = [str(each) for each in job.study(thickness=0.2, cell=0.5)]
    assert any("below an undercut is 0.80 to 1.20" in each for each in found), found
    for length, sound in ((8, True), (9, False)):
        screw = tp.screwed_in([(40, 47)], length, face="back")
        contents = tp.Job("Plaque", setups[:1], contents=[screw]).report()
        assert ("screw-through" not in str(contents)) == sound, str(contents)


def test_lowest_faces_hold_the_heads_way_from_both_sides():
    setup = tp.Setup(FRONT, [slot()])
    stock = tp.simulate(tp.program_text(setup), FRONT, [T8], cell=0.5).stock
    at, beside = stock.cell_at(40, 45), stock.cell_at(40 + 3.5, 45)
    top, bottom = lowest_faces(stock)
    assert (stock.top[at], stock.top[beside]) == pytest.approx((-7.9375, 0.0))
    assert (top[at], top[beside], bottom[beside]) == pytest.approx((-7.9375, -7.9375, -18.0))
    over = stock.turned_over("left to right")
    top, bottom = lowest_faces(over)
    beside = over.cell_at(120 - 43.5, 45)
    assert (top[beside], bottom[beside], over.bottom[beside]) == pytest.approx((0.0, -18 + 7.9375, -18.0))
    assert volume_below_shoulders(over) == pytest.approx(volume_below_shoulders(stock), rel=1e-6)


def test_the_head_names_the_cutter_and_is_compared():
    setup = tp.Setup(FRONT, [slot()])
    text = tp.program_text(setup, units="inch")
    assert "(T8: undercut 0.375 head 0.125 neck 0.1875, 2 flutes" in text.replace("\n(  ", " ").replace(")", "")
    assert tp.simulate(text, FRONT, [T8], cell=1.0).ok
    for profile in (tp.undercut(HEAD, TALL, 4.0), tp.undercut(HEAD, 3.0, NECK), tp.flat(HEAD)):
        other = tp.simulate(text, FRONT, [replace(T8, profile=profile)], cell=1.0)
        assert "head-differs" in other.codes(), str(other)


def test_program_and_sheet_tell_whoever_halts_it_not_to_lift_it():
    job = tp.Job("Plaque", [tp.Setup(FRONT, [tp.bore([(80, 60)], 10, T1, depth=4), slot()], name="front")])
    said = "T8: its head is under the wood in its slots. After a halt never lift it there: back along the slot"
    in_one_line = job.programs()["front"].replace(")\n(  ", " ")
    assert said in in_one_line and said in job.sheet()
    assert "never lift it" not in tp.program_text(tp.Setup(FRONT, [tp.bore([(80, 60)], 10, T1, depth=4)]))


@pytest.mark.long
def test_section_and_restart_know_of_the_shoulder():
    setup = tp.Setup(FRONT, [slot()], name="front")
    job = tp.Job("Plaque", [setup])
    drawn = tp.section_svg(job.report().sides[0][1].stock, (20, 45), (60, 45))
    assert ">-4.76<" in drawn and ">-7.94<" in drawn
    lines = job.programs()["front"].splitlines()
    with pytest.raises(tp.InputError, match="head of its cutter is under the wood"):
        job.restart("front", line=lines.index("Y50 F800") + 2)
    assert job.study(thickness=0.2) is not None
    assert "4.76 wide, 9.53 at its hole and below shoulders 4.76 thick" in job.sheet()
    assert "4.76 wide, 7.94 deep" in tp.part_svg(job.part)


@pytest.mark.parametrize(("edges", "shank", "found"), [(6, 6.35, True), (6, 4.0, True), (8, 6.35, False)])
def test_wood_above_its_edges_is_found(edges, shank, found):
    """A slot 7.94 deep: nothing cuts the wood that stands in front of what is above the edges, however thin that is."""
    short = replace(T8, cutting_length=edges, shank_diameter=shank, stick_out=30)
    report = tp.simulate(tp.program_text(tp.Setup(FRONT, [slot()])), FRONT, [short], cell=0.5)
    assert ("flutes" in report.codes()) == found, str(report)


def test_it_takes_all_its_depth_at_once():
    assert T8.running.step_down == T8.body.cutting_length == HEAD
    assert replace(T8, step_down=8.5).bears.deepest_pass == 8.5


@pytest.mark.long
def test_in_a_hollow_of_the_part_the_head_takes_nothing():
    """Over a dish 10 deep in its middle, the head at 6 deep within 20 mm of that; and at 6 deep by its rim."""
    hollow = tp.Section.arc(width=35, depth=10)
    dish = tp.Dish(area=tp.circle(70, (60, 40)), section=hollow, profile=tp.ball(12), name="dish")
    part = tp.Part(board=BOARD, front=[dish])
    text = _CURVED.splitlines()
    text = "\n".join([*text[:6], "G0 X55 Y40", "Z2", "G1 Z-6 F260", "X{0} F800", "X55", "Z2", *text[-3:], ""])
    assert "undercut" not in tp.simulate(text.format(65), FRONT, [T8], cell=1.0, part=part).codes()
    assert "undercut" in tp.simulate(text.format(85), FRONT, [T8], cell=1.0, part=part).codes()


def test_values():
    one, other = slot(), slot()
    assert one == other == pickle.loads(pickle.dumps(one))
    assert one.moved(0, 0, turned_deg=90).heading_deg == 180.0
    assert T8.profile.opens_sideways == tp.flat(NECK) and T1.profile.opens_sideways == T1.profile
    for numbers in ((9.5, 3.2, 9.5), (9.5, 0, 4.8), (0, 3.2, 4.8)):
        with pytest.raises(tp.InputError):
            tp.undercut(*numbers)
    with pytest.raises(tp.InputError):
        replace(tp.flat(6), neck_diameter=3)
