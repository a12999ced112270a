"""What the sheet has the person at the machine do: the numbers follow from the job, whatever its zero and its sizes."""

from __future__ import annotations

import re
from dataclasses import replace
from html import unescape

import pytest

import toolpaths as tp

BOARD = tp.Board(width=240, height=150, thickness=16)
T1 = tp.Cutter(1, tp.flat(6), feed_mm_min=1500, spindle_rpm=18000, cutting_length=22)
T2 = tp.Cutter(2, tp.flat(25), feed_mm_min=1500, spindle_rpm=12000, cutting_length=20)
TABS = tp.Tabs(count=4, width=8, height=4)
T3 = tp.Cutter(3, tp.drill_point(3), feed_mm_min=300, spindle_rpm=9000, cutting_length=20)


def page(*setups: tp.Setup) -> str:
    """The sheet as text."""
    job = tp.Job("Tray", list(setups))
    return " ".join(unescape(re.sub(r"<[^>]*>", " ", job.sheet(job.report(cell=2.0)))).split())


@pytest.mark.parametrize("levelled", [0.8, 1.3])
def test_after_levelling_each_cutter_is_touched_off_on_the_face_that_is_left(levelled):
    side = tp.Fixture(board=BOARD, overhang=30, grips=[BOARD.outline])
    said = page(tp.Setup(side, [
        tp.face(BOARD.outline, T2, depth=levelled), tp.drill([(50, 50)], T3, depth=8, from_depth=levelled),
    ]))  # fmt: skip
    assert f"Fit T3, drill 3 118 deg, 30 out, and tight. The top is cut away: touch off on the levelled face, not at " \
           f"a hole or a lower cut, and enter Z-{levelled} (in the air Z-13, as said)." in said  # fmt: skip
    assert "Touch off on the top of the board: Z0; with paper" in said
    assert "In place before the start, as in the table: double-sided tape." in said
    assert f"No. 1 cuts away all of the face on which Z0 is found: from then on it is Z-{levelled} that is set" in said
    # The lowest cut goes to 8; it stays 5 over the board.
    assert "touch off every cutter on the top of the board, not yet cut, the first and those at changes, and enter " \
           "Z-13 for each, not what is said elsewhere." in said  # fmt: skip


@pytest.mark.sample(1)
@pytest.mark.parametrize(
    ("by", "where", "undone"),
    [("vise", "at its edges", "Take out or off: the jaws of the vise. Lift the board off."),
     ("vacuum", "from below", "Take out or off: the vacuum. Lift the board off."),
     ("tape", "from below", "Spindle off and still. Lift the board off its tape evenly")],
)  # fmt: skip
def test_each_grip_is_called_by_its_name_and_undone_as_it_is(by, where, undone):
    side = tp.Fixture(board=BOARD, grips=[tp.Grip(area=tp.rectangle(240, 12, (120, 6)), by=by)])
    said = page(tp.Setup(side, [tp.drill([(50, 50)], T3, depth=8)]))
    name = "double-sided tape" if by == "tape" else by
    assert f"{name} X0 to X240 and Y0 to Y12 {where} before the start" in said
    assert (
        undone in said
        and ("Then peel the tape off both." in said) == (by == "tape")
        and "put there by hand" not in said
    )
    assert f"edge of where it is gripped: {name}." in said and "pins" not in said


@pytest.mark.long
def test_of_several_boards_each_is_named():
    """Two parts on one sheet, each with its drawing, its faces and its edges."""
    other = tp.Board(width=120, height=90, thickness=9, name="lid", wood="MDF")
    setups = []
    for board, name in ((BOARD, "tray"), (other, "cover")):
        dish = tp.pocket(tp.circle(20, (40, 40)), T1, depth=3, name=name)
        setups.append(tp.Setup(tp.Fixture(board=board, grips=[board.outline]), [dish], name=name))
    said = page(*setups)
    edges = "lid: On the front break lightly by hand: cover, the board's own edges."
    for each in ("The part, board", "The part, lid", "Faces, lid", edges, "2 programs, about"):
        assert each in said, each
    assert "120 \N{MULTIPLICATION SIGN} 90 \N{MULTIPLICATION SIGN} 9, flat" in said


@pytest.mark.parametrize(("wait", "away"), [((0, 0), 42.43), ((120, 150), 150)])
def test_at_a_stop_it_says_where_the_spindle_is_and_how_near_the_screws_are(wait, away):
    drive = "Drive two"
    screws = tp.screws([(30, 30), (210, 30)], head_diameter=8, height=3, driven_at=drive)
    side = tp.Fixture(board=BOARD, screws=screws, wait_at=wait)
    cut = tp.pocket(tp.rectangle(60, 40, (120, 80)), T1, depth=5)
    said = page(tp.Setup(side, [tp.drill([(30, 30), (210, 30)], T3, depth=8), tp.stop(drive), cut]))
    assert f"is off and waits at X{wait[0]} Y{wait[1]} Z25, 25 over the board" in said
    # A drill's 3 mm hole ends in the board: the screw would jack it up.
    assert "The holes for them end 8 deep in 16 of wood: drill on by hand through the board" in said
    assert "head to \N{DIAMETER SIGN}8, standing 3, shank not given; longer than the 16" in said
    # 8 deep, and clamps put there by hand are lower than 8: they stay where they are.
    assert "At stops drive no screw and take no clamp off. Then the lowest cut" in said
    assert said.count("enter Z-16 for each") == 1 and said.count("(in the air Z-16, as said)") == 1
    assert said.index("In the air drive none, take nothing off") < said.index("the nearest of these")
    assert f"is {away:g} from it" in said and "Each head at most 3 over the board" in said
    assert "No screw holds the board before the stop, no. 2: until then clamp it at its edges, all outside " \
           "X28.5 to X211.5 and Y28.5 to Y31.5: " in said  # fmt: skip
    # One box before the stop, and one from then on, said at the stop.
    assert said.count("pindle's nut counted") == said.count("from now on nothing else within") == 1
    assert "Nothing else within" not in said and "clamps lower than 8 over the board; front: hold it until" in said
    held = replace(side, held_meanwhile="<two> clamps at the ends")
    said = page(tp.Setup(held, [tp.drill([(30, 30), (210, 30)], T3, depth=8), tp.stop(drive), cut]))
    assert "until then hold it by <two> clamps at the ends, all outside X28.5 to X211.5" in said
    # Sideways the pocket goes to 30 of its middle; the nut, 32 up at the end of the cut, stays over it all.
    assert (
        "off with what was put there by hand: from now on nothing else within X90 to X150 and Y60 to Y100, and all "
        "outside lower than 8 over the board."
    ) in said
    assert "<two> clamps at the ends lower than 8 over the board; front: hold it until its screws are driven" in said


@pytest.mark.long
def test_a_board_whose_own_edges_count_is_laid_as_true_as_its_walls():
    side = tp.Fixture(board=BOARD, grips=[BOARD.outline])
    dish = tp.pocket(tp.circle(20, (40, 40)), T1, depth=3)
    said = page(tp.Setup(side, [dish]))
    assert "along X, by the axis: from end to end it may run off by 0.03, as far as walls may be off." in said
    parted = tp.contour(tp.rectangle(160, 90, (120, 75)), T1, depth=tp.through(0.3), tabs=TABS)
    said = page(tp.Setup(side, [parted]))
    assert "what it runs off from end to end, and X0 Y0 from its corner, is together less than 30" in said
    # Turned without pins the back is found at the board's edges.
    front = tp.Setup(side, [parted])
    said = page(front, tp.Setup(side.turned_over("left to right", grips=[BOARD.outline]), [dish], after=front))
    assert said.count("it may run off by 0.03") == 2


@pytest.mark.sample(1)
@pytest.mark.parametrize("tool_change", ["M6", "stop", "files"])
def test_the_sheet_says_what_the_programs_do_about_lengths_and_changes(tool_change):
    """An operator who takes a table of lengths to be called plunges by the difference of two cutters."""
    side = tp.Fixture(board=BOARD, safe_height=9, grips=[BOARD.outline])
    work = [tp.drill([(30, 30)], T3, depth=8), tp.pocket(tp.rectangle(60, 40, (120, 80)), T1, depth=5)]
    job = tp.Job("Tray", [tp.Setup(side, work)], tool_change=tool_change)
    said = " ".join(unescape(re.sub(r"<[^>]*>", " ", job.sheet(job.report(cell=2.0)))).split())
    for text in job.programs().values():
        codes = re.sub(r"\([^)]*\)", "", text)
        assert "G49" in codes and "G43" not in codes and "G54" in codes
        head = " ".join(re.findall(r"\(([^)]*)\)", text.split("\nG17")[0]))
        assert "Zero in G54. No length offset, G49: touch off each cutter." in head
        assert ("At M6 the control must halt" in head) == ("M6" in codes) == (tool_change == "M6")
    assert "The programs call no length from a table (G49, no G43): touch off every cutter" in said
    assert ("unless your machine measures it at M6" in said) == (tool_change == "M6")
    assert ("At each M6 the control must halt, spindle off" in said) == (tool_change == "M6")
    assert "Z0 is the top of the board. All three are set in work offset G54" in said
    # All there may stand up to the safe height of 9; the lowest cut is 8 deep.
    assert "enter Z-17 for each" in said and "(in the air Z-17, as said)" in said


def test_tape_is_laid_anew_before_the_board_is_turned_down_and_never_over_the_holes_of_pins():
    front = tp.Fixture(board=BOARD, grips=[BOARD.outline],
                       dowels=tp.dowels([(10, 75), (230, 75), (120, 12)], diameter=6, depth=6))  # fmt: skip
    bore = tp.bore([(10, 75), (230, 75), (120, 12)], 6, tp.Cutter(4, tp.flat(4), 900, 18000, cutting_length=24),
                   depth=tp.through(6))  # fmt: skip
    one = tp.Setup(front, [bore])
    back = front.turned_over("left to right", grips=[BOARD.outline])
    part = tp.contour(tp.rectangle(160, 90, (120, 75)), T1, depth=tp.through(0.3), tabs=TABS)
    said = page(one, tp.Setup(back, [part], after=one))
    assert "at most 0.3 thick, thicker it is not cut through; holes of pins are less deep by it" in said
    assert "No tape where the holes of the pins come: cut it out there." in said[: said.index("Turn the board over")]
    turning = said[said.index("Turn the board over") :]
    order = ["Lift the board off its tape evenly", "peel the tape off both", "Lay fresh tape on the spoilboard, where "
             "the table below says, cut out at the pins", "First the 3 pins", "Turn it left to right, down over the "
             "pins"]  # fmt: skip
    assert sorted(order, key=turning.index) == order
    assert said.count("Gripped all over: double-sided tape.") == 2 and "dashes and dots" not in said
    # What the back cuts through counts too, though the board is measured before the front.
    assert "at most 16.3: thicker it is not cut through; at least 15.8: thinner the spoilboard" in said


@pytest.mark.sample(1)
@pytest.mark.parametrize(
    ("allowed", "below", "said"),
    [
        (0.3, None, "thinner than 16, by 0.3 for instance, is for you to decide: by as much the spoilboard is cut "
                    "deeper than 0.3. Below the cuts less is left by as much."),
        (0.3, 12, "more than 4.3: thinner the spoilboard is cut through. Below the cuts less is left by as much."),
        (1, None, "at least 15.3: thinner the spoilboard is cut deeper than 1"),
    ],
)  # fmt: skip
def test_a_board_may_be_thinner_as_far_as_the_spoilboard_bears(allowed, below, said):
    """Never thinner than just what was written for: no board is."""
    side = tp.Fixture(board=BOARD, grips=[BOARD.outline], spoilboard_depth=allowed, spoilboard_thickness=below)
    work = [tp.contour(tp.rectangle(160, 90, (120, 75)), T1, depth=tp.through(0.3), tabs=TABS)]
    assert f"at most 16.3: thicker it is not cut through; {said}" in page(tp.Setup(side, work))


def test_a_board_that_is_turned_is_marked_and_taken_off_in_order():
    front = tp.Fixture(
        board=BOARD, zero_at="centre", screws=tp.screws([(15, 15), (225, 15)], head_diameter=8, height=3),
        dowels=tp.dowels([(10, 75), (230, 75), (120, 12)], diameter=6, depth=6),
    )  # fmt: skip
    back = front.turned_over("left to right", screws=tp.screws([(15, 15), (225, 15)], head_diameter=8, height=3))
    one = tp.Setup(front, [
        tp.bore([(10, 75), (230, 75), (120, 12)], 6, tp.Cutter(4, tp.flat(4), 900, 18000, cutting_length=24),
                depth=tp.through(6)),
        tp.contour(tp.rectangle(160, 90, (120, 75)), T1, depth=tp.through(0.3), tabs=TABS),
    ])  # fmt: skip
    two = tp.Setup(back, [tp.pocket(tp.rectangle(60, 40, (120, 80)), T1, depth=5)], after=one)
    said = page(one, two)
    assert "X0 Y0 is where the centre of a board just as entered would be: this one's may lie elsewhere." in said
    assert said.count("X0 Y0 is the centre of the board as it lies") == 1
    assert said.index("An A in pencil") < said.index("Turn the board over")
    assert "1 spoilboard cut 6 deep, so thicker than that" in said
    pins = "6, at most 22 long, to stand 6 in the spoilboard"
    assert said.count("3 dowel pins") == said.count(f"\N{DIAMETER SIGN}{pins}") == 1
    assert "under all of the board, level, fixed till the last side is done" in said
    assert "edge finder or pin, dial gauge or pointed rod, callipers, pencil, drill and driver, saw or chisel" in said
    # The pins of 6 stand 10 from an edge.
    assert (
        "Lay the board's lower edge along X, by the axis: what it runs off from end to end, and X0 Y0 from its "
        "corner, is together less than 7, by which part, screws and pins clear the edges."
    ) in said
    order = ["Take out or off: 2 screws", "hangs in it by 4 tabs", "blow out the holes", "First the 3 pins", "A now "
             "lies underneath, lower right", "2 screws of this side go where a hole is already"]  # fmt: skip
    places = [said.index(words) for words in order]
    assert places == sorted(places)
    assert "left edge the axis is at X-120 less r, at the lower edge at Y-75 less r" in said
    assert (
        "a dial gauge or a pointed rod in the collet: well above the board to X110 Y0, then down by hand. It has to "
        "meet the pin's middle to within 0.05"
    ) in said
    assert "If not: over its middle enter X110 Y0, and check another pin." in said
    assert (
        "at most 16.3: thicker it is not cut through; at least 15.8: thinner the spoilboard is cut deeper than 0.5"
        in said
    )
