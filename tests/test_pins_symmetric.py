"""Pins that let the board be turned the wrong way as well: which do is counted out, and the doubt comes once."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

import toolpaths as tp
from samples import examples
from toolpaths.facts.turning import TURNS, pins_fit_both_ways

BOARD = tp.Board(width=240, height=150, thickness=18)
SIX = tp.Cutter(1, tp.flat(6), 1200, 16000, plunge_mm_min=400, cutting_length=30)
CENTRE_LINE = [(12, 75), (228, 75)]


def job(places, turned="left to right", front=((70, 50),), width=8.0, **more) -> tp.Job:
    """A job on such pins, a tray at each of some places of the front, one on the back."""
    pins = tp.dowels(places, diameter=8, depth=6)
    side = tp.Fixture(board=BOARD, dowels=pins, grips=(BOARD.outline,), spoilboard_thickness=18)
    holes = tp.bore(places, width, SIX, depth=tp.through(6))
    trays = [tp.pocket(tp.circle(30, place), SIX, depth=5) for place in front]
    one = tp.Setup(side, [holes, *trays])
    other = side.turned_over(turned, grips=side.grips)
    back = tp.Setup(other, [tp.pocket(tp.rectangle(40, 20, (150, 100)), SIX, depth=4)], after=one)
    return tp.Job("Pinned", [one, back], **more)


def doubts(made: tp.Job) -> list[tp.SideFinding]:
    return [found for found in made.report(cell=1.0) if found.finding.code == "pins-symmetric"]


@pytest.mark.sample(2)
@pytest.mark.parametrize("turned", TURNS)
@pytest.mark.parametrize("places", [CENTRE_LINE, [(120, 14), (120, 136)], [(14, 20), (226, 20), (14, 130), (226, 130)]])
def test_pins_that_fit_both_ways_are_one_doubt_that_says_what_would_work(places, turned):
    (found,) = doubts(job(places, turned))
    assert (found.side, found.finding.severity) == ("", "doubt")
    other = next(each for each in TURNS if each != turned)
    assert f"turned over {other} as well as {turned}" in found.finding.message
    assert "one more pin on the line " + ("X120" if turned == "left to right" else "Y75") in found.finding.message


@pytest.mark.sample(1)
@pytest.mark.parametrize("turned", TURNS)
def test_what_the_doubt_proposes_takes_it_away(turned):
    """A third pin on the line about which the board is turned, or all moved by 10 along it."""
    third, along = ((120, 14), (0, 10)) if turned == "left to right" else ((14, 75), (10, 0))
    lying = CENTRE_LINE if turned == "left to right" else [(120, 14), (120, 136)]
    assert len(doubts(job(lying, turned))) == 1
    assert job([*lying, third], turned).report(cell=1.0).ok
    moved = [(x + along[0], y + along[1]) for x, y in lying]
    assert job(moved, turned).report(cell=1.0).ok


def test_the_doubt_is_accepted_with_its_reason():
    accepted = job(CENTRE_LINE, accept=[tp.Accept("pins-symmetric", "", "the lower left corner is marked")])
    report = accepted.report(cell=1.0)
    assert report.ok and len(report.accepted) == 1


@pytest.mark.long
def test_it_does_not_matter_which_way_a_board_lies_that_is_the_same_both_ways():
    """Nothing but the holes of the pins, or trays that come over each other turned by half a turn; tabs may differ."""
    assert not doubts(job(CENTRE_LINE, front=()))
    assert not doubts(job(CENTRE_LINE, front=((70, 50), (170, 100))))
    assert doubts(job(CENTRE_LINE, front=((70, 50), (170, 99.9))))


def test_a_doubt_comes_once_for_a_job_of_many_programs():
    several = job(CENTRE_LINE, tool_change="files")
    last = tp.Setup(replace(several.setups[0].fixture), [tp.pocket(tp.circle(20, (200, 40)), SIX, depth=3)],
                    after=several.setups[1])  # fmt: skip
    again = tp.Setup(several.setups[1].fixture, [tp.pocket(tp.circle(20, (60, 110)), SIX, depth=3)], after=last)
    assert len(doubts(replace(several, setups=(*several.setups, last, again)))) == 1


def brute(places: np.ndarray, wide: np.ndarray, turned: str) -> bool:
    """Whether every pin finds a hole of its width where the turned board has it."""
    over = places * ([-1, 1] if turned == "left to right" else [1, -1])
    over = over + ([BOARD.width, 0] if turned == "left to right" else [0, BOARD.height])
    return all(
        any(np.hypot(*(hole - pin)) < 1e-6 and a == b for hole, a in zip(over, wide)) for pin, b in zip(places, wide)
    )


@given(
    seeds=st.lists(
        st.tuples(st.integers(1, 11), st.integers(1, 6), st.sampled_from([6.0, 8.0])), min_size=1, max_size=3
    ),
    mirrored=st.sampled_from(["", "left to right", "top to bottom", "both"]),
)  # fmt: skip
@examples(100)
def test_pins_fit_both_ways_just_where_each_turn_maps_them_onto_themselves(seeds, mirrored):
    """Patterns on a grid of 20 that either turn maps onto itself: what does not fit is off by 20 mm at least."""
    pins = {(20.0 * x, 20.0 * y + 5): wide for x, y, wide in seeds}
    for turn in TURNS:
        if mirrored in (turn, "both"):
            for (x, y), wide in tuple(pins.items()):
                over = (BOARD.width - x, y) if turn == "left to right" else (x, BOARD.height - y)
                pins[over] = pins.get(over, wide)
    places, wide = np.array(list(pins)), np.array(list(pins.values()))
    dowels = [tp.Dowel(x=x, y=y, diameter=d, depth=5) for (x, y), d in pins.items()]
    expected = all(brute(places, wide, turn) for turn in TURNS)
    assert pins_fit_both_ways(dowels, BOARD) is expected


@pytest.mark.sample(1)
@pytest.mark.parametrize("off, both", [(0.0, True), (0.2, True), (2.0, True), (3.0, False), (10.0, False)])
def test_a_board_that_would_lie_beside_its_place_by_a_hair_fits_as_well(off, both):
    """Pins off the centre line by so much let the board lie off by twice that, turned the other way; 5 mm are seen."""
    pins = tp.dowels([(12, 75 + off), (228, 75 + off)], diameter=8, depth=6)
    assert pins_fit_both_ways(pins, BOARD) is both


def test_pins_of_two_widths_fit_one_way():
    """Turned top to bottom each pin comes over itself; left to right the thick one over the hole of the thin one."""
    pins = (tp.Dowel(x=12, y=75, diameter=8, depth=6), tp.Dowel(x=228, y=75, diameter=6, depth=6))
    assert not pins_fit_both_ways(pins, BOARD)
    assert pins_fit_both_ways([replace(pin, diameter=8) for pin in pins], BOARD)
    assert not pins_fit_both_ways([], BOARD)
