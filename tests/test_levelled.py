"""A face levelled all over: the board then lies so much lower, and cuts from the other side know it."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
import shapely
from planted_levelled import BACK, FACTS, FRONT, RACK, SIDE, back_of

import toolpaths as tp
from toolpaths.making.motion.removed import Removed

BOARD = tp.Board(width=220, height=150, thickness=18, wood="oak")
T7 = tp.Cutter(7, tp.flat(22), feed_mm_min=1800, spindle_rpm=10000, step_down=2)
T1 = tp.Cutter(1, tp.flat(6), feed_mm_min=1500, spindle_rpm=18000, step_down=3)
T5 = tp.Cutter(5, tp.drill_point(5), feed_mm_min=500, spindle_rpm=6000)
T9 = tp.Cutter(9, tp.flat(6), feed_mm_min=1500, spindle_rpm=18000, step_down=3, cutting_length=30)
TURNS = ("left to right", "top to bottom")


def lying(zero_on: str = "top", **facts) -> tp.Fixture:
    return tp.Fixture(board=BOARD, overhang=25, zero_on=zero_on, grips=(BOARD.outline,), spoilboard_depth=1.0, **facts)


def job(by: float, *, zero_on: str = "top", turned: str = "left to right", said: float | None = None, **how) -> tp.Job:
    """The front levelled, and from the back a tray, a hole and an outline through what is left."""
    front = lying(zero_on)
    back = front.turned_over(turned, levelled=by if said is None else said, grips=front.grips)
    level = tp.Setup(front, [tp.face(BOARD.outline, T7, depth=by)])
    work = [
        tp.pocket(tp.rectangle(60, 40, (60, 75)), T1, depth=6),
        tp.drill([(190, 75)], T5, depth=tp.through(0.3)),
        tp.contour(
            tp.rectangle(170, 110, (105, 75)), T1, depth=tp.through(0.3), tabs=tp.Tabs(count=4, width=8, height=4)
        ),
    ]
    return tp.Job("Tray", [level, tp.Setup(back, work, after=level if said is None else None)], **how)


def lowest(text: str) -> float:
    return float(tp.read(text).motions.end[:, 2].min())


@pytest.mark.sample(2)
@pytest.mark.parametrize("turned", TURNS)
@pytest.mark.parametrize("zero_on", ["top", "spoilboard"])
@pytest.mark.parametrize("by", [0.4, 1.0, 3.25])
def test_cuts_through_from_the_back_end_as_deep_in_the_spoilboard_as_they_say(by, zero_on, turned):
    made = job(by, zero_on=zero_on, turned=turned)
    back = made.programs()["back"]
    assert lowest(back) == pytest.approx(-(18 - by) - 0.3 if zero_on == "top" else -0.3, abs=1e-3)
    report = made.report(cell=0.5)
    assert report.ok, str(report)
    assert " 4 mm thick" in str(report), "tabs stand as high as they say"
    assert f"levelled by {by:g} mm: {18 - by:g} thick now" in back
    # What is left of the wood lies right on the spoilboard.
    assert report.stock.bottom.min() == pytest.approx(by - 18, abs=1e-4)


def test_the_fact_and_what_follows_from_it():
    front = lying("spoilboard")
    back = front.turned_over("left to right", levelled=1.5)
    assert (front.underside_z, back.underside_z, back.zero[2]) == (-18, -16.5, -16.5)
    assert front.turned_over("left to right").levelled == 0
    assert replace(back, levelled=0.0).underside_z == -18
    for wrong in (-0.1, 16.6, 18, float("nan")):
        with pytest.raises(tp.InputError, match="levelled"):
            front.turned_over("left to right", levelled=wrong)
    with pytest.raises(tp.InputError, match="not what is left"):
        front.turned_over("left to right", levelled=17)


@pytest.mark.parametrize("said", [0.0, 0.6, 2.0])
def test_a_setup_refuses_another_amount_than_the_one_before_it_levels(said):
    made = job(1.0, said=said)
    level, back = made.setups
    with pytest.raises(tp.InputError, match=r"levels all of it by 1 mm.*levelled=1, as in"):
        replace(back, after=level)
    assert replace(back, fixture=replace(back.fixture, levelled=1.0), after=level)


def test_a_setup_refuses_a_levelled_face_where_some_of_it_stands():
    front = lying()
    # Its rows run past it by 23 mm, and a rim of 7 mm stays.
    inner = tp.Setup(front, [tp.face(tp.rectangle(160, 90, (110, 75)), T7, depth=1)])
    work = [tp.pocket(tp.rectangle(60, 40, (60, 75)), T1, depth=6)]
    assert tp.Setup(front.turned_over("left to right"), work, after=inner)
    with pytest.raises(tp.InputError, match="does not level all of it"):
        tp.Setup(front.turned_over("left to right", levelled=1), work, after=inner)


@pytest.mark.sample(1, long=8)
@pytest.mark.parametrize("zero_on", ["top", "spoilboard"])
@pytest.mark.parametrize(("said", "by"), [(0.0, 1.0), (0.0, 0.2), (2.0, 1.0), (0.7, 1.3), (4.0, 0.5)])
def test_the_wood_says_by_how_much_the_board_lies_lower_or_higher(said, by, zero_on):
    """One cause, one finding, with the amount and what to write; of several programs of a side the first."""
    for tool_change in ("M6", "files"):
        found = list(job(by, said=said, zero_on=zero_on, tool_change=tool_change).report(cell=1.0))
        assert [each.finding.code for each in found] == ["levelled-face"], found
        finding = found[0].finding
        assert (finding.amount, finding.limit) == (pytest.approx(by, abs=1e-3), said)
        assert f"{abs(said - by):.2f} mm {'lower' if by > said else 'higher'}" in finding.message
        assert f"levelled={by:g}" in finding.message
        grave = zero_on == "spoilboard" and said - by > 2
        assert finding.severity == ("danger" if grave else "damage")


@pytest.mark.sample(1)
@pytest.mark.parametrize("tool_change", ["M6", "files"])
@pytest.mark.parametrize(("said", "by"), [(0.0, 1.0), (2.0, 1.0)])
def test_where_nothing_goes_so_deep_a_board_that_lies_lower_is_a_doubt(said, by, tool_change):
    """With Z0 on the top a tray of 6 mm is as deep as meant wherever the underside is; on the spoilboard it is not."""
    front = lying()
    level = tp.Setup(front, [tp.face(BOARD.outline, T7, depth=by)])
    trays = [tp.pocket(tp.rectangle(60, 40, (60, 75)), T1, depth=6), tp.drill([(190, 75)], T5, depth=5)]
    back = tp.Setup(front.turned_over("left to right", levelled=said, grips=front.grips), trays)
    (found,) = tp.Job("Tray", [level, back], tool_change=tool_change).report(cell=1.0)
    assert (found.finding.code, found.finding.severity) == ("levelled-face", "doubt")
    # One program that goes through is enough, whichever it is.
    deep = [trays[0], tp.drill([(190, 75)], T5, depth=tp.through(0.3)), tp.groove([(20, 20), (90, 20)], T1, depth=2)]
    made = tp.Job("Tray", [level, replace(back, work=deep)], tool_change=tool_change)
    graves = [each.finding.severity for each in made.report(cell=1.0) if each.finding.code == "levelled-face"]
    assert graves == ["damage"]
    below = tp.Setup(replace(back.fixture, zero_on="spoilboard"), trays)
    report = tp.Job("Tray", [level, below]).report(cell=1.0)
    assert [each.finding.severity for each in report if each.finding.code == "levelled-face"] == ["damage"]


@pytest.mark.long
def test_a_difference_within_the_part_is_none():
    assert job(1.0, said=1.02).report(cell=1.0).ok
    assert not job(1.0, said=1.05).report(cell=1.0).ok
    assert job(1.0, said=1.05, within=0.06).report(cell=1.0).ok


@pytest.mark.sample(1)
@pytest.mark.parametrize("cell", [0.25, 1.0, 4.0])
@pytest.mark.parametrize("rim", [0.3, 2.0])
def test_a_rim_keeps_the_board_up_however_wide_the_cells(rim, cell):
    """Only the whole face lets it sink: a rim narrower than a cell is seen."""
    sound = FRONT[: FRONT.index("(MSG, Fit T2")] + "M30\n"
    edited = sound.replace("G0 X-20 Y10", f"G0 X-20 Y{12.5 + rim}")
    bare = BACK[BACK.index("G21") :]
    assert tp.verify([(sound, SIDE), (bare, back_of(FACTS))], RACK, cell=cell).ok
    deeper = bare.replace("Z-15.1", "Z-16.3")
    kept_up = tp.verify([(edited, SIDE), (deeper, back_of("levelled 0"))], RACK, cell=cell)
    # Only its rim lies on the tape, which may hold little.
    assert set(kept_up.codes()) <= {"weak-hold"}, str(kept_up)
    found = tp.verify([(edited, SIDE), (bare, back_of(FACTS))], RACK, cell=cell)
    assert set(found.codes()) - {"weak-hold"} == {"levelled-face"}, str(found)


def test_an_island_keeps_the_board_up():
    # Rows run past their areas by 23 mm: what is left stands from X83 to X137, Y51 to Y99.
    front = lying()
    areas = [(0, 0, 60, 150), (160, 0, 220, 150), (60, 0, 160, 40), (60, 110, 160, 150)]
    rows = [tp.face(shapely.box(*area), T7, depth=1) for area in areas]
    level = tp.Setup(front, rows)
    assert level.highest_wood(len(level.steps)) == 0
    text = tp.program_text(level)
    back = front.turned_over("left to right", grips=front.grips)
    hole = tp.Setup(back, [tp.drill([(190, 75)], T5, depth=5)], after=level)
    assert tp.verify([(text, front), (tp.program_text(hole), back)], [T1, T5, T7], cell=1.0).ok


def test_a_dowel_hole_from_a_levelled_side_goes_as_deep_as_its_pin_needs():
    """With the back levelled first, the front lies on it: its dowel holes count from there."""
    pins = tp.dowels([(20, 75), (200, 75)], diameter=8, depth=7)
    bare = lying(dowels=pins)
    back_first = tp.Setup(lying().turned_over("left to right", levelled=0), [tp.face(BOARD.outline, T7, depth=1.2)])
    front = tp.Setup(
        replace(bare, levelled=1.2),
        [tp.bore([(20, 75), (200, 75)], 8.05, T9, depth=tp.through(7))],
        after=back_first,
    )
    assert "hole made here" in tp.program_text(front)
    assert front.steps[0].path.lowest == pytest.approx(-(18 - 1.2) - 7)
    with pytest.raises(tp.InputError, match=r"levelled=1\.2"):
        replace(front, fixture=bare)


def test_the_back_alone_is_judged_on_the_board_that_its_fixture_says():
    """Without the wood of the front the fixture is believed: a through cut parts what is left, and no more."""
    made = job(1.0)
    back = made.setups[1]
    report = tp.simulate(tp.program_text(back), back.fixture, [T1, T5], cell=0.5, part=made.part)
    assert report.ok, str(report)
    assert report.stock.bottom.max() == pytest.approx(-17)


def test_the_front_again_after_the_back_lies_on_a_levelled_back():
    front = lying()
    first = tp.Setup(front, [tp.face(BOARD.outline, T7, depth=1)])
    second = tp.Setup(
        front.turned_over("top to bottom", levelled=1, grips=front.grips),
        [tp.face(BOARD.outline, T7, depth=0.5)],
        after=first,
    )
    third = tp.Setup(
        replace(front, levelled=0.5), [tp.drill([(60, 60)], T5, depth=tp.through(0.3), from_depth=1)], after=second
    )
    made = tp.Job("Slab", [first, second, third])
    text = made.programs()["front 2"]
    assert lowest(text) == pytest.approx(-17.8, abs=1e-3)
    assert "(Z0 is cut away: set Z-1 on the highest face left)" in text
    report = made.report(cell=0.5)
    assert report.ok, str(report)
    assert np.median(report.stock.thickness()) == pytest.approx(16.5)


@pytest.mark.sample(1)
@pytest.mark.parametrize(("units", "written"), [("mm", "Z-1.5"), ("inch", "Z-0.0591")])
def test_stops_and_later_files_say_which_face_is_left(units, written):
    front = lying()
    setup = tp.Setup(
        front,
        [
            tp.face(BOARD.outline, T7, depth=1.5),
            tp.pocket(tp.rectangle(60, 40, (60, 75)), T1, depth=6, from_depth=1.5),
            tp.drill([(190, 75)], T5, depth=6, from_depth=1.5),
        ],
    )
    text = tp.program_text(setup, tool_change="stop", units=units)
    fits = [line for line in text.splitlines() if line.startswith("(MSG, Fit")]
    assert fits[0].endswith("then set its Z zero)")
    assert [line.endswith(f"then set {written} on the highest face left)") for line in fits[1:]] == [True, True]
    # At a change by M6 the same is shown before it, but where the top still stands.
    by_m6 = tp.program_text(setup, units=units)
    shown = [line for line in by_m6.splitlines() if line.startswith("(MSG, Fit")]
    assert shown == fits[1:] and by_m6.count(" M6 (") == 3
    assert all(f"{line}\nT" in by_m6 for line in shown)
    assert tp.verify([(by_m6, front)], [T1, T5, T7], cell=1.0).ok
    files = list(tp.texts_by_cutter(setup, units=units).values())
    assert [f"(Z0 is cut away: set {written} on the highest face left)" in one for one in files] == [False, True, True]
    assert tp.verify([(text, front)], [T1, T5, T7], cell=1.0).ok
    assert tp.verify([(files, front)], [T1, T5, T7], cell=1.0).ok
    # On the spoilboard Z0 is as it was.
    below = replace(setup, fixture=lying("spoilboard"))
    assert "highest face" not in tp.program_text(below, tool_change="stop", units=units)


def test_the_highest_wood_is_that_of_the_face_that_stands_out_farthest():
    front = lying()
    left, right = shapely.box(0, 0, 110, 150), shapely.box(110, 0, 220, 150)
    half = tp.Setup(front, [tp.face(left, T7, depth=2)])
    both = tp.Setup(front, [tp.face(left, T7, depth=2), tp.face(right, T7, depth=0.8)])
    assert [half.highest_wood(n) for n in (0, 1)] == [0, 0]
    assert [both.highest_wood(n) for n in (0, 1, 2)] == [0, 0, -0.8]
    assert Removed().highest_wood(BOARD.outline) == 0


@pytest.mark.parametrize(("zero_on", "lower"), [("top", 1.5), ("spoilboard", 0.0)])
def test_the_zero_in_the_machine_sinks_with_the_board(zero_on, lower):
    front = lying(zero_on, zero_in_machine=(30.0, 40.0, -50.0))
    assert front.turned_over("left to right", levelled=1.5).zero_in_machine == (30, 40, -50 - lower)
    assert front.turned_over("left to right", zero_at="lower right").zero_in_machine == (250, 40, -50)


@pytest.mark.sample(1)
@pytest.mark.parametrize("zero_on", ["top", "spoilboard"])
@pytest.mark.parametrize("ranges", [{"thickness": 0.25}, {"zero_z": 0.1}, {"thickness": 0.1, "zero_z": 0.05}])
def test_what_the_ranges_explain_is_no_fault_of_a_levelled_board(zero_on, ranges):
    """Once gouges and leftovers at the points of drilled through holes, named after the levelled face over them."""
    study = job(1.0, zero_on=zero_on).study(cell=1.0, **ranges)
    assert study.findings == (), str(study)
    assert study.ok, str(study)


@pytest.mark.long
def test_the_study_knows_how_low_a_levelled_board_lies():
    """From the spoilboard a thicker board is levelled by so much more, and all that is cut from the other side is as
    deep as meant; from the top an error of Z0 on the front counts once more on the back, which lies on it."""

    def said(zero_on: str, what: str, **ranges: float) -> tuple[float, float]:
        study = job(1.0, zero_on=zero_on).study(cell=1.0, **ranges)
        (found,) = [each for each in study.requirements if what in each.text]
        return round(found.low, 3), round(found.high, 3)

    parts = "drill still parts the board"
    assert said("spoilboard", "pocket leaves", thickness=0.25) == (11, 11)
    assert said("spoilboard", parts, thickness=0.25)[0] == 0.3
    assert said("top", "pocket leaves", thickness=0.25) == (10.75, 11.25)
    assert said("top", parts, thickness=0.25)[0] == 0.05
    assert said("top", "pocket leaves", zero_z=0.1) == (10.8, 11.2)
    assert said("top", parts, zero_z=0.1)[0] == 0.1
    assert said("top", "tabs are", zero_z=0.1) == (3.8, 4.2)
    assert said("spoilboard", "tabs are", zero_z=0.1) == (3.9, 4.1)


@pytest.mark.sample(1)
@pytest.mark.parametrize("by", [0.1, 0.25])
def test_a_drilled_through_hole_on_a_thicker_or_thinner_board_is_no_fault(by):
    front = lying()
    work = [tp.drill([(60, 60), (160, 60)], T5, depth=tp.through(0.3))]
    study = tp.Job("Holes", [tp.Setup(front, work)]).study(thickness=by, cell=1.0)
    assert study.findings == () and study.ok, str(study)
    # As much too thick as is beyond, and more: it is no longer through, and that is said.
    short = tp.Job("Holes", [tp.Setup(front, work)]).study(thickness=0.5, cell=1.0)
    assert not short.ok and "falls 0.20 mm short" in str(short)


@pytest.mark.long
def test_the_back_may_be_levelled_before_the_holes_of_the_pins_are_made():
    """Once "the front has a dowel, the back has none", of a back that lay on no pins yet."""
    pins = tp.dowels([(15, 60), (205, 60)], diameter=8, depth=7)
    facts = {"spoilboard_thickness": 25.0}
    back = lying(**facts).turned_over("left to right", grips=(BOARD.outline,))
    level = tp.Setup(back, [tp.face(BOARD.outline, T7, depth=1.2)], name="level")
    work = [
        tp.bore([(15, 60), (205, 60)], 8.05, T9, depth=tp.through(7)),
        tp.pocket(tp.rectangle(60, 40, (60, 75)), T1, depth=6),
    ]
    front = tp.Setup(lying(dowels=pins, levelled=1.2, **facts), work, after=level)
    on_pins = front.fixture.turned_over("left to right", grips=(BOARD.outline,))
    tray = tp.Setup(on_pins, [tp.pocket(tp.rectangle(60, 40, (160, 75)), T1, depth=8, from_depth=1.2)], after=front)
    report = tp.Job("Tray", [level, front, tray]).report(cell=0.5)
    assert report.ok, str(report)
    # Pins that the front knows nothing of are found as ever.
    moved = replace(on_pins, dowels=tp.dowels([(15, 62), (205, 62)], diameter=8, depth=7))
    elsewhere = tp.Job("Tray", [level, front, replace(tray, fixture=moved)])
    assert "sides-differ" in elsewhere.report(cell=1.0).codes()
