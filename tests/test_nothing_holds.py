"""A side of which nothing was said that holds the board is one doubt, whatever its programs are; anything that holds
ends it."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely import box

import toolpaths as tp
from samples import examples
from toolpaths.facts.turning import TURNS
from toolpaths.testing import assert_job_safe

BOARD = tp.Board(width=220, height=150, thickness=18)
T1 = tp.Cutter(1, tp.flat(6), feed_mm_min=1500, spindle_rpm=18000, step_down=3)
PINS = tp.dowels([(20, 20), (200, 20), (20, 130), (200, 130)], diameter=8, depth=6)
CORNER = tp.screws([(8, 8)], head_diameter=9, height=3)
DRIVEN = tp.screws([(8, 8)], head_diameter=9, height=3, driven_at="Drive the screw")
EDGE = box(90, 0, 110, 10)
# Each holds by itself; the vise stands beside the board and presses on its edge.
HOLDS = {
    "screw": {"screws": CORNER},
    "screw driven at a stop": {"screws": DRIVEN},
    "clamp": {"clamps": (tp.Clamp(area=EDGE, height=12),)},
    "tape": {"grips": (EDGE,)},
    "vacuum": {"grips": (tp.Grip(area=EDGE, by="vacuum"),)},
    "vise": {"grips": (tp.Grip(area=box(0, -20, 220, 0), by="vise"),)},
}
# None of these does.
UNHELD = {
    "bare": {},
    "on pins": {"dowels": PINS},
    "a clamp beside it": {"clamps": (tp.Clamp(area=box(90, -30, 110, -5), height=12),)},
    "tape beside it": {"grips": (box(230, 0, 250, 150),)},
}
SOUND = "G21 G90\nG0 Z30\nT1 M6\nM3 S18000\nG4 P2\nG0 X60 Y40\nG0 Z2\nG1 Z-2 F400\nX90 F1500\nG0 Z30\nM5\nM30\n"
# Sound, in the wrong units, broken off, without a cutter, a rapid into the wood, nothing but air, and nothing.
TEXTS = [
    SOUND, SOUND.replace("G21", "G20"), SOUND.replace("G1 Z-2", "G1 Z-2.."), SOUND.replace("T1", "T7"),
    SOUND.replace("G0 Z2", "G0 Z-4"), SOUND.replace("Z-2 F400", "Z3 F400"), "M30\n",
]  # fmt: skip


def doubts(report: tp.JobReport) -> list[tp.SideFinding]:
    every = [found for found in report if found.finding.code == "nothing-holds"]
    assert all(found.finding.severity == "doubt" for found in every)
    # Nothing in a text is the cause of a fact that was not given.
    assert not any("nothing-holds" in found.finding.consequences for found in report)
    return every


def verified(sides: list[tuple[tp.Fixture, list[str]]], part: tp.Part | None = None) -> tp.JobReport:
    return tp.verify([(texts, fixture) for fixture, texts in sides], [T1], cell=2.0, part=part)


@pytest.mark.long
@given(
    unheld=st.sampled_from(sorted(UNHELD)), front=st.sampled_from(["", *HOLDS]), back=st.sampled_from(["", *HOLDS]),
    turned=st.sampled_from(TURNS), texts=st.lists(st.lists(st.sampled_from(TEXTS), min_size=1, max_size=3), min_size=2,
                                                  max_size=2), count=st.sampled_from([1, 2]),
)  # fmt: skip
@examples(60)
def test_one_doubt_for_each_side_that_nothing_holds_whatever_is_run_on_it(unheld, front, back, turned, texts, count):
    """On either side, by any one thing; pins and what stands beside the board do not count."""
    one, two = (UNHELD[unheld] | HOLDS.get(held, {}) for held in (front, back))
    lying = tp.Fixture(board=BOARD, **one)
    there = lying.turned_over(turned, **{name: value for name, value in two.items() if name != "dowels"})
    sides = [(lying, texts[0]), (there, texts[1])][:count]
    found = doubts(verified(sides))
    names = [name.split(",")[0] for name, held in (("front", front), ("back", back)) if not held]
    assert [each.side.split(",")[0] for each in found] == [name for name in names if count == 2 or name == "front"]
    assert [fixture.holds_board for fixture, _ in sides] == [bool(front), bool(back)][:count]


@pytest.mark.sample(3)
@pytest.mark.parametrize("held", HOLDS)
def test_the_doubt_and_what_is_not_judged_go_together(held):
    unknown = "what holds the board (nothing was declared)"
    for facts in (HOLDS[held], *UNHELD.values()):
        fixture = tp.Fixture(board=BOARD, **facts)
        assert (unknown in tp.simulate(SOUND, fixture, [T1], cell=2.0).not_judged) is (facts is not HOLDS[held])
        assert len(doubts(verified([(fixture, [SOUND])]))) == (facts is not HOLDS[held])


@pytest.mark.long
def test_the_same_side_listed_again_and_other_boards_of_a_job():
    """Two setups in one fixture are one side; each board and each new fixture is looked at by itself."""
    side = tp.Fixture(board=BOARD)
    held = tp.Fixture(board=BOARD, grips=(BOARD.outline,))
    lid = tp.Fixture(board=tp.Board(width=120, height=80, thickness=12, name="lid"))
    hole = [tp.bore([(60, 40)], 9, T1, depth=5)]
    again = [tp.bore([(30, 40)], 9, T1, depth=5)]
    twice = tp.Job("Tray", [tp.Setup(side, hole), tp.Setup(side, again)]).report(cell=2.0)
    assert [found.side for found in doubts(twice)] == ["front"]
    later = tp.Job("Tray", [tp.Setup(held, hole), tp.Setup(side, again)]).report(cell=2.0)
    assert [found.side for found in doubts(later)] == ["front 2"]
    every = tp.Job("Tray", [tp.Setup(side, hole), tp.Setup(lid, hole)]).report(cell=2.0)
    assert len(doubts(every)) == 2


@pytest.mark.long
def test_nothing_that_the_programs_do_wrong_hides_it():
    """A program in the wrong units, or on a board that lies another way, has no part in what was not said."""
    front = tp.Fixture(board=BOARD)
    meant, other = (front.turned_over(turned) for turned in TURNS)
    made = tp.Setup(meant, [tp.pocket(tp.rectangle(60, 30, (60, 110)), T1, depth=4)])
    part = tp.intended_part(made)
    bare = "\n".join(line for line in tp.program_text(made).splitlines() if not line.startswith("(")) + "\n"
    for code, report in (
        ("other-units", verified([(meant, [bare.replace("G21", "G20")])], part)),
        ("laid-wrong", verified([(other, [bare])], part)),
    ):
        assert code in report.codes(), str(report)
        assert len(doubts(report)) == 1, str(report)


@pytest.mark.parametrize("turned", ["", *TURNS])
def test_what_the_message_names_ends_it(turned):
    """Its words are arguments that there are, of the fixture and of turned_over()."""
    front = tp.Fixture(board=BOARD)
    fixture = front.turned_over(turned) if turned else front
    (found,) = doubts(verified([(fixture, [SOUND])]))
    words = found.finding.message
    assert ("turned_over(" in words) is bool(turned)
    for name, call in (("screws", "screws("), ("clamps", "Clamp("), ("grips", "Grip(area=")):
        assert f"{name}=" in words and call in words
    given = {
        "screws": tp.screws([(8, 8), (212, 142)], head_diameter=9, height=3),
        "clamps": [tp.Clamp(area=EDGE, height=12)],
        **{by: [tp.Grip(area=BOARD.outline, by=by)] for by in ("tape", "vacuum", "vise")},
    }
    for name, value in given.items():
        assert name in words
        facts = {name if name in ("screws", "clamps") else "grips": value}
        held = front.turned_over(turned, **facts) if turned else tp.Fixture(board=BOARD, **facts)
        assert verified([(held, [SOUND])]).ok


@pytest.mark.long
def test_it_is_accepted_without_an_operation(tmp_path):
    """It is of no operation; the reason then stands in the report, once for each side."""
    side = tp.Fixture(board=BOARD)
    front = tp.Setup(side, [tp.bore([(60, 40)], 9, T1, depth=5)])
    back = tp.Setup(side.turned_over("left to right"), [tp.bore([(160, 100)], 9, T1, depth=5)], after=front)
    why = tp.Accept("nothing-holds", reason="The board lies in a tight frame.")
    assert why == tp.Accept("nothing-holds", "", "The board lies in a tight frame.")
    for change in ("M6", "files"):
        bare = tp.Job("Holes", [front, back], tool_change=change)
        assert [(found.finding.code, found.operations) for found in bare.report(cell=1.0)] == [
            ("nothing-holds", ("",))
        ] * 2
        with pytest.raises(AssertionError, match="nothing-holds"):
            assert_job_safe(bare, cell=1.0)
        report = assert_job_safe(tp.Job("Holes", [front, back], tool_change=change, accept=[why]), cell=1.0)
        assert [each.reason for each in report.accepted] == [why.reason] * 2
    bare.write(tmp_path / "out", cell=1.0)  # a doubt does not keep a job from being written
    with pytest.raises(tp.InputError, match="reason"):
        tp.Accept("nothing-holds")
    held = tp.Setup(tp.Fixture(board=BOARD, grips=(BOARD.outline,)), front.work)
    with pytest.raises(tp.InputError, match="which is not found; take it out"):
        tp.Job("Holes", [held], accept=[why]).report(cell=1.0)


DRILL = tp.Cutter(4, tp.drill_point(3), 400, 8000, cutting_length=35)
VEE = tp.Cutter(5, tp.v_point(12, 90), 900, 16000, plunge_mm_min=300)
LATE = {
    "groove": tp.groove([(40, 40), (150, 40)], T1, depth=4),
    "short groove": tp.groove([(40, 40), (48, 40)], T1, depth=2),
    "pocket": tp.pocket(tp.circle(26, (110, 75)), T1, depth=5),
    "outline": tp.contour(
        tp.rectangle(150, 90, (110, 75)), T1, depth=tp.through(0.3), tabs=tp.Tabs(count=4, width=8, height=4)
    ),
}  # fmt: skip
STRAIGHT = {
    "pilots": tp.drill([(8, 8), (60, 60)], DRILL, depth=12, peck=4),
    "countersinks": tp.countersink([(8, 8)], VEE, diameter=9),
    "pin holes": tp.bore([(20, 20), (200, 20)], 8.1, T1, depth=12),
}


@pytest.mark.sample(1)
@pytest.mark.parametrize("change", ["M6", "files"])
@pytest.mark.parametrize("early", LATE)
def test_a_board_cut_sideways_before_its_only_screws_are_driven_is_doubted_once(early, change):
    """The board lay loose under a cutter, and a screw that was declared for later silenced it (once a fault)."""
    side = tp.Fixture(board=BOARD, screws=DRIVEN)
    stop = tp.stop("Drive the screw")
    work = [STRAIGHT["pilots"], LATE[early], stop, tp.groove([(60, 120), (90, 120)], T1, depth=2)]
    made = tp.Job("Late", [tp.Setup(side, work)], tool_change=change)
    (found,) = doubts(made.report(cell=1.0))
    text = dict(made.programs())[found.side]
    assert text.splitlines()[found.finding.line - 1].startswith(("G1", "G2", "G3", "X", "Y"))
    assert "'Drive the screw'" in found.finding.message
    side = replace(side, held_meanwhile="a clamp at each end")
    first = tp.Job("First", [tp.Setup(side, [STRAIGHT["pilots"], stop, LATE[early]])], tool_change=change)
    assert not doubts(first.report(cell=1.0))


@pytest.mark.parametrize("held", [each for each in HOLDS if each != "screw driven at a stop"])
def test_what_holds_from_the_start_ends_the_doubt_of_a_late_screw(held):
    facts = {**HOLDS[held], "screws": HOLDS[held].get("screws", ()) + tp.screws(
        [(150, 120)], head_diameter=9, height=3, driven_at="Drive the screw")}  # fmt: skip
    work = [LATE["groove"], tp.drill([(150, 120)], DRILL, depth=9), tp.stop("Drive the screw"), LATE["pocket"]]
    made = tp.Job("Held", [tp.Setup(tp.Fixture(board=BOARD, **facts), work)])
    assert not doubts(made.report(cell=1.0))


@pytest.mark.parametrize("straight", [[each] for each in STRAIGHT] + [[*STRAIGHT]])
@pytest.mark.parametrize("change", ["M6", pytest.param("files", marks=pytest.mark.long)])
def test_holes_made_straight_before_the_screws_go_in_are_what_a_machinist_does_with_clamps_there(straight, change):
    """The job says what holds meanwhile, or else it is doubted, once, at the first hole."""
    work = [*(STRAIGHT[each] for each in straight), tp.stop("Drive the screw"), LATE["pocket"]]
    held = tp.Fixture(board=BOARD, screws=DRIVEN, held_meanwhile="clamps at the left and the right edge")
    assert not doubts(tp.Job("Holes", [tp.Setup(held, work)], tool_change=change).report(cell=1.0))
    made = tp.Job("Holes", [tp.Setup(replace(held, held_meanwhile=""), work)], tool_change=change)
    (found,) = doubts(made.report(cell=1.0))
    assert "drilled while nothing holds it yet" in found.finding.message and "held_meanwhile=" in found.finding.message
    motions = tp.read(made.programs()[found.side]).motions
    first = np.flatnonzero((motions.kind != 0) & (motions.end[:, 2] < -1e-6))[0]
    assert found.finding.line == motions.line[first]


def test_what_is_said_to_hold_meanwhile_does_not_let_it_be_cut_sideways():
    side = tp.Fixture(board=BOARD, screws=DRIVEN, held_meanwhile="clamps at both ends")
    work = [LATE["groove"], tp.stop("Drive the screw"), LATE["pocket"]]
    (found,) = doubts(tp.Job("Late", [tp.Setup(side, work)]).report(cell=2.0))
    assert "cut sideways" in found.finding.message


@pytest.mark.parametrize(
    ("facts", "said"),
    [
        ({"screws": CORNER}, "the screw at X8 Y8 .* holds it from the start"),
        ({"screws": DRIVEN, "grips": (EDGE,)}, "grip 1 holds it from the start"),
        ({}, "no screw is driven at a stop; give clamps or grips"),
    ],
)
def test_what_holds_meanwhile_is_refused_where_there_is_no_meanwhile(facts, said):
    with pytest.raises(tp.InputError, match=said):
        tp.Fixture(board=BOARD, held_meanwhile="a clamp", **facts)
    with pytest.raises(tp.InputError, match="held_meanwhile"):
        tp.Fixture(board=BOARD, screws=DRIVEN, held_meanwhile="a clamp (large)")


def test_the_line_of_the_first_sideways_cut_and_of_the_stop_are_said():
    side = tp.Fixture(board=BOARD, screws=DRIVEN)
    late = SOUND.replace("G0 Z30\nM5\nM30", "G0 Z30\nM5\n(MSG,Drive the screw)\nM0\nM30")
    (found,) = doubts(verified([(side, [late])]))
    assert (found.finding.line, found.finding.place[:2]) == (9, (90.0, 40.0))
    assert "'Drive the screw' on line 13" in found.finding.message
