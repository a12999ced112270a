"""Where the time goes and what would shorten it: what is foretold is what the simulator finds when it is done."""

from __future__ import annotations

from dataclasses import replace

import pytest

import toolpaths as tp
from toolpaths.making.operations.operation import Operation
from toolpaths.making.plan.shorter_time import fitted_again, fitted_in_turn, saved_by_faster_feeds
from toolpaths.making.plan.work import Work

BOARD = tp.Board(width=300, height=200, thickness=18, wood="beech")
COARSE = tp.Cutter(1, tp.flat(8), feed_mm_min=1600, plunge_mm_min=500, spindle_rpm=17000, step_down=3)
FINE = tp.Cutter(2, tp.flat(3), feed_mm_min=700, plunge_mm_min=250, spindle_rpm=20000, step_down=1.5)
MACHINE = tp.Machine(change_s=90, stop_s=45)
SIDE = tp.Fixture(board=BOARD, grips=(BOARD.outline,), machine=MACHINE)


def work(coarse: tp.Cutter, fine: tp.Cutter) -> list[Work]:
    return [
        tp.pocket(tp.rectangle(120, 80, (90, 90)), coarse, depth=8),
        tp.groove(tp.circle(60, (220, 60)).exterior, fine, depth=3),
        tp.stop("Look at the groove"),
        tp.pocket(tp.circle(50, (230, 140)), coarse, depth=4),
    ]


def faster(cutter: tp.Cutter) -> tp.Cutter:
    """All that it is fed at, a fifth more."""
    running = cutter.running
    return replace(
        cutter,
        feed_mm_min=1.2 * cutter.feed_mm_min,
        plunge_mm_min=1.2 * running.plunge_mm_min,
        ramp_mm_min=1.2 * running.ramp_mm_min,
    )


def seconds(coarse: tp.Cutter, fine: tp.Cutter) -> float:
    return tp.simulate(tp.program_text(tp.Setup(SIDE, work(coarse, fine))), SIDE, [coarse, fine], cell=2.0).seconds


def test_a_higher_feed_saves_what_is_foretold():
    foretold = saved_by_faster_feeds(tp.Setup(SIDE, work(COARSE, FINE)))
    now = seconds(COARSE, FINE)
    for number, then in ((1, seconds(faster(COARSE), FINE)), (2, seconds(COARSE, faster(FINE)))):
        saved = foretold[number]
        # The course of a pocket is chosen by the time that it takes, so a faster cutter may take another one.
        assert saved == pytest.approx(now - then, abs=1.5 + 0.05 * saved)


def test_cutters_fitted_again_are_told():
    setup = tp.Setup(SIDE, work(COARSE, FINE))
    assert [cutter.number for cutter in fitted_in_turn(setup)] == [1, 2, 1]
    assert fitted_again(setup) == {1: 2}
    once = tp.Setup(SIDE, [tp.any_order(*(each for each in work(COARSE, FINE) if isinstance(each, Operation)))])
    assert fitted_again(once) == {}


def test_the_sheet_says_what_the_machine_and_the_operator_take():
    job = tp.Job("Times", [tp.Setup(SIDE, work(COARSE, FINE))])
    report = job.report(cell=2.0)
    page = job.sheet(report)
    assert "Cutters fitted: 3" in page and "4 min 30 s" in page
    assert "Stops: 1" in page and ">45 s<" in page
    times = report.sides[0][1].times
    assert sum(time.seconds for time in times) == pytest.approx(report.sides[0][1].seconds)
    unknown = replace(job, setups=[tp.Setup(replace(SIDE, machine=tp.Machine()), work(COARSE, FINE))])
    assert "not counted: nobody said how long one takes" in unknown.sheet(unknown.report(cell=2.0))


def test_the_time_of_each_kind_is_that_of_the_formulas_by_hand():
    """Constant acceleration: T = (v - v0)/a + (v - v1)/a + (d - (v2 - v02)/2a - (v2 - v12)/2a)/v; from rest to rest
    that is d/v + v/a. Straight on there is no stop: the way down at speed is entered at its own."""
    machine = tp.Machine(acceleration_mm_s2=500, rapid_mm_min=3000, corner_rounding=0)
    side = replace(SIDE, machine=machine)
    text = "\n".join([
        "(slot)", "G17 G21 G40 G49 G54 G80 G90 G94", "G0 Z25", "X0 Y0", "T1 M6", "G0 Z25", "M3 S17000", "G4 P3",
        "(slot)", "G0 X20 Y20", "Z2", "G1 Z-3 F600", "X120 F3000", "G0 Z25", "M5", "M30", "",
    ])  # fmt: skip
    report = tp.simulate(text, side, [COARSE], cell=2.0)
    (slot,) = [time for time in report.times if time.cutting_s]
    # Aslant both axes at their limits, 70.71 mm/s and 707.1 mm/s2; 23 mm down at 50 mm/s and slowing to 10; 28 mm up.
    down = 50 / 500 + 40 / 500 + (23 - 50**2 / 1000 - (50**2 - 10**2) / 1000) / 50
    crossings = (0.4 + 0.1) + down + (28 / 50 + 0.1)
    assert slot.cutting_s == pytest.approx(100 / 50 + 50 / 500, abs=1e-6)
    assert slot.entries_s == pytest.approx((5 - 10**2 / 1000) / 10 + 10 / 500, abs=1e-6)
    assert slot.crossings_s == pytest.approx(crossings, abs=1e-6)
    assert slot.waits_s == pytest.approx(3)
