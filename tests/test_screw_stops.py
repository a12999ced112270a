"""The stops at which screws are driven: heads stand and hold from there on, or nothing may count on them."""

from __future__ import annotations

from dataclasses import replace

import pytest
from planted_pieces import BARE, RACK, ROUND, SCREWED, judge

from toolpaths.facts.board import screws
from toolpaths.judging.verify import verify

MESSAGE, STOP = "(MSG, drive the middle screw)", "N55 M0"


def said(text: str, fixture=SCREWED) -> list[tuple[str, str]]:
    return [(finding.severity, finding.code) for finding in judge(text, fixture).findings]


NOT_HELD = [("danger", "screw-stop"), ("danger", "loose-piece"), ("danger", "weak-hold")]


@pytest.mark.sample(3)
@pytest.mark.parametrize(
    "stop",
    [
        "N55 M1", "N55 M01", "/N55 M0", " / M00", "/M1", "N55 (M0)", "N55 T1 M6", "N55 M5", "", "/M0 (once)\nM1",
        "M1\n/M0",
    ],
)  # fmt: skip
def test_nothing_is_held_by_screws_whose_stop_may_not_happen(stop):
    """An optional stop is passed where its switch is off, a line that begins with / where block delete is on."""
    assert said(ROUND.replace(STOP, stop)) == NOT_HELD


@pytest.mark.parametrize("stop", ["M00", "N55 M60", "N55 m0 (now)", "M1\nM0", "/M0\nM0"])
def test_a_stop_that_happens_holds_as_well_behind_one_that_may_not(stop):
    assert said(ROUND.replace(STOP, stop)) == []


def test_a_stop_behind_the_end_never_comes():
    late = ROUND.replace(f"{MESSAGE}\n{STOP}\n", "").replace("M30", f"M30\n{MESSAGE}\n{STOP}")
    assert ("danger", "screw-stop") in said(late.replace("%\n", "", 1))


@pytest.mark.parametrize("stop", ["M1", "/M0"])
def test_heads_that_may_stand_are_in_the_way(stop):
    """The operator may have the switch on: then the screws are in, and the cutter meets them."""
    over = ROUND.replace("N80 G0 Z1\n", "N75 G0 Z1\nN77 G0 X121 Y70\nN78 G0 X147 Y70\n").replace(STOP, stop)
    assert ("danger", "hold-down") in said(over)
    assert ("danger", "hold-down") not in said(over.replace(stop, "", 1).replace(MESSAGE, "", 1))


@pytest.mark.parametrize(
    "words",
    [
        "(MSG,drive the middle screw)", "(msg, Drive the Middle Screw.)", "(MSG, DRIVE   THE MIDDLE SCREW!)",
        "(MSG, MSG, drive the middle screw)", "(MSG, drive-the-middle-screw)", "(drive the middle screw)",
    ],
)  # fmt: skip
def test_capitals_blanks_and_points_make_no_other_stop(words):
    assert said(ROUND.replace(MESSAGE, words)) == []


@pytest.mark.parametrize("words", ["(MSG, screw down the slug)", "(MSG, brush the dust off)", "(MSG, )", "", "(dust)"])
def test_a_stop_of_other_words_is_one_doubt_and_judged_as_if_it_were_the_one(words):
    (finding,) = judge(ROUND.replace(MESSAGE, words), SCREWED).findings
    assert (finding.severity, finding.code, finding.line) == ("doubt", "screw-stop", 10)
    assert "is this the one" in finding.message and "'drive the middle screw'" in finding.message


def test_of_several_stops_the_one_that_reads_most_like_it_is_meant():
    first = "(MSG, brush the dust off)\nM0\n"
    (finding,) = judge(ROUND.replace(MESSAGE, first + "(MSG, drive middle screw)"), SCREWED).findings
    assert (finding.severity, finding.line) == ("doubt", 12)
    assert said(ROUND.replace(MESSAGE, first + "(MSG, check the depth)")) == NOT_HELD


def test_a_stop_that_asks_for_a_cutter_is_no_stop_for_screws():
    by_hand = ROUND.replace("N20 T1 M6\n", "").replace(MESSAGE, "(MSG, Fit T1 flat 6)")
    assert said(by_hand) == NOT_HELD


def test_two_messages_each_have_their_own_stop():
    both = replace(
        SCREWED, screws=(*SCREWED.screws, *screws([(20, 20)], head_diameter=8, height=2, driven_at="corner"))
    )
    assert said(ROUND.replace(MESSAGE, f"(MSG, Corner)\nM0\n{MESSAGE}"), both) == []
    (finding,) = judge(ROUND.replace(MESSAGE, f"(MSG, at the edge)\nM0\n{MESSAGE}"), both).findings
    assert (finding.code, finding.line) == ("screw-stop", 10)
    assert "'at the edge'" in finding.message and "'corner'" in finding.message


def in_two(text: str) -> tuple[str, str]:
    """A program in two: up to the stop, and from there on."""
    head, stop, tail = text.strip("%\n").partition("N60 ")
    return f"{head}M30\n", f"G21 G90 G17 G94\nG0 Z10\nT1 M6\n{stop}{tail}\n"


@pytest.mark.parametrize("gone", [False, True])
def test_screws_stand_in_the_files_after_their_stop_and_nowhere_else(gone):
    """The first file makes the stop, the second cuts: alone it has nothing that holds, behind the first it has."""
    first, second = in_two(ROUND.replace(f"{MESSAGE}\n{STOP}\n", "") if gone else ROUND)
    found = [(f.side, f.finding.code) for f in verify([([first, second], SCREWED)], RACK, cell=0.5).findings]
    assert found == ([("front, program 2", code) for _, code in NOT_HELD] if gone else [])
    assert said(second) == NOT_HELD
    stock = judge(first, SCREWED).stock
    kept = [(f.severity, f.code) for f in judge(second, SCREWED, stock).findings]
    assert kept == (NOT_HELD if gone else [])


def test_heads_are_not_in_the_way_before_the_file_that_has_their_stop():
    over = "G21 G90 G17 G94\nG0 Z10\nT1 M6\nM3 S16000\nG0 X20 Y70\nG0 Z1\nG0 X160\nG1 Z-1 F400\nG0 Z10\nM5\nM30\n"
    stop = f"G21 G90\nG0 Z10\n{MESSAGE}\n{STOP}\nT1 M6\nM3 S16000\nG0 X30 Y30\nG0 Z1\nG1 Z-1 F400\nG0 Z10\nM5\nM30\n"

    def codes(*texts: str) -> set[str]:
        held = replace(SCREWED, held_meanwhile="clamps at both ends")
        return {f.finding.code for f in verify([(list(texts), held)], RACK, cell=0.5).findings}

    assert codes(over, stop) == set()
    assert codes(stop, over) == {"hold-down"}


def test_bare_boards_have_no_stops_to_look_for():
    assert said(ROUND.replace(STOP, "M1"), BARE) == [("danger", "loose-piece")]


LOOSE_IN_2 = [("front, program 2", "loose-piece"), ("front, program 2", "weak-hold")]


@pytest.mark.parametrize(
    ("old", "new", "expected"),
    [
        (STOP, "M1", [("front, program 1", "screw-stop"), *LOOSE_IN_2]),
        (MESSAGE, "(MSG, drive screw)", [("front, program 1", "screw-stop")]),
        (MESSAGE, "(MSG, brush)", [("front, program 1", "screw-stop")]),
        (STOP, "", [("front, program 2", "screw-stop"), *LOOSE_IN_2]),
    ],
)
def test_what_is_wrong_with_a_stop_is_said_once_for_all_files_of_a_side(old, new, expected):
    first, second = in_two(ROUND.replace(old, new))
    found = verify([([first, second], SCREWED)], RACK, cell=0.5).findings
    assert sorted((f.side, f.finding.code) for f in found) == sorted(expected)


def test_a_stop_of_another_fixture_is_none_of_this_one():
    """The board was taken up in between: screws that were in are not in again."""
    first, second = in_two(ROUND)
    again = replace(SCREWED, overhang=1)
    found = verify([(first, SCREWED), (second, again)], RACK, cell=0.5).findings
    assert {(f.side, f.finding.code) for f in found} >= {("front, program 2", "loose-piece"),
                                                         ("front, program 2", "screw-stop")}  # fmt: skip


@pytest.mark.parametrize("stop", ["M1", "/M0", "/M00 (now)"])
def test_a_cutter_that_may_not_be_put_in_is_danger_but_for_the_first(stop):
    """Passed, the program would go on with the cutter before."""
    cut = "S16000 M3\nG4 P2\nG0 X20 Y20\nG0 Z1\nG1 Z-1 F300\nG0 Z10\nM5\n"
    change = "(MSG, put in T1)\nM0\n"
    by_hand = f"G21 G90\nG0 Z10\n(MSG, put in T2)\nM0\n{cut}{change}{cut.replace('X20', 'X40')}M30\n"
    assert said(by_hand, BARE) == []
    assert said(by_hand.replace(change, f"(MSG, put in T1)\n{stop}\n"), BARE) == [("danger", "optional-stop")]
    assert said(by_hand.replace("(MSG, put in T2)\nM0", f"(MSG, put in T2)\n{stop}"), BARE) == []
