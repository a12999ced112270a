"""A drilled pin hole is as deep as its full width is; a bored one may be as wide as still holds its pin.

Planning, the judge of one text, the judge of both sides and the head of the program say the same of each.
"""

from __future__ import annotations

from dataclasses import replace
from math import radians, tan

import pytest

import toolpaths as tp

BOARD = tp.Board(width=260, height=170, thickness=16, wood="beech")
PLACES = [(18, 85), (242, 85), (130, 14)]
FOUR = tp.Cutter(1, tp.flat(4), 1200, 16000, plunge_mm_min=400, cutting_length=34)


def fixture(diameter: float, depth: float, **more) -> tp.Fixture:
    pins = tp.dowels(PLACES, diameter=diameter, depth=depth)
    return tp.Fixture(board=BOARD, dowels=pins, grips=(BOARD.outline,), **more)


def job(front: tp.Fixture, holes: tp.Operation) -> tp.Job:
    first = tp.Setup(front, [holes])
    back = front.turned_over("left to right", grips=front.grips)
    return tp.Job("Pins", [first, tp.Setup(back, [tp.groove([(60, 60), (90, 60)], FOUR, depth=2)], after=first)])


def drill(diameter: float, angle: float) -> tp.Cutter:
    return tp.Cutter(2, tp.drill_point(diameter, angle), 400, 6500, cutting_length=50)


@pytest.mark.sample(4)
@pytest.mark.parametrize("diameter, depth, angle", [(8, 6, 118), (6, 9, 135), (10, 5.5, 90)])
@pytest.mark.parametrize("short, sound", [(0.0, True), (0.04, True), (0.07, False), (1.1, False)])
def test_a_drilled_hole_is_as_deep_as_its_full_width(diameter, depth, angle, short, sound):
    made = job(
        fixture(diameter, depth),
        tp.drill(PLACES, drill(diameter, angle), depth=tp.through(depth - short), depth_of="full diameter", peck=6),
    )
    report = made.report(cell=1.0)
    assert report.codes() == (() if sound else ("dowel-hole",)), str(report)
    assert made.programs()["front"].count(": hole made here)") == (3 if sound else 0)
    for _, finding, _ in report:
        assert finding.amount == pytest.approx(depth - short, abs=0.03)
        assert f"the dowel is to stand {depth:g} mm deep" in finding.message


@pytest.mark.parametrize("diameter, depth, angle", [(8, 6, 118), (5, 7, 140)])
def test_a_hole_drilled_to_the_pins_depth_with_its_tip_leaves_the_pin_proud(diameter, depth, angle):
    point = diameter / 2 / tan(radians(angle / 2))
    made = job(fixture(diameter, depth), tp.drill(PLACES, drill(diameter, angle), depth=tp.through(depth), peck=6))
    (found, *others) = [finding for _, finding, _ in made.report(cell=1.0)]
    assert {each.code for each in [found, *others]} == {"dowel-hole"} and len(others) == 2
    assert found.amount == pytest.approx(depth - point, abs=0.03)
    assert made.programs()["front"].count(": no hole made here)") == 3


@pytest.mark.parametrize("diameter, depth, angle", [(8, 6, 118), (6, 9, 135)])
def test_no_drill_goes_deeper_than_the_pin_and_its_own_point(diameter, depth, angle):
    point = diameter / 2 / tan(radians(angle / 2))
    front, cutter = fixture(diameter, depth), drill(diameter, angle)
    with pytest.raises(tp.DoesNotFitError, match=f"{depth + point:.4g} is allowed"):
        tp.Setup(front, [tp.drill(PLACES, cutter, depth=tp.through(depth + point + 0.1))])
    for beyond, codes in ((-0.01, ()), (0.05, ("too-deep",))):
        down = -BOARD.thickness - depth - point - beyond
        text = (
            f"G21 G90 G17\nG0 Z30\nT2 M6\nM3 S6500\nG4 P2\nG98 G81 X18 Y85 Z{down:.4f} R2 F400\nG80\nG0 Z30\nM5\nM30\n"
        )
        assert tp.simulate(text, front, [cutter], cell=1.0).codes() == codes


@pytest.mark.parametrize("thick, fits", [(8.5, True), (8.3, False)])
def test_the_spoilboard_is_still_the_end(thick, fits):
    """6 deep and a point of 2.403."""
    front, cutter = fixture(8, 6, spoilboard_thickness=thick), drill(8, 118)
    holes = tp.drill(PLACES, cutter, depth=tp.through(6), depth_of="full diameter")
    if fits:
        assert tp.Setup(front, [holes])
    else:
        with pytest.raises(tp.DoesNotFitError, match=r"into the spoilboard .*, which is 8\.3 mm thick"):
            tp.Setup(front, [holes])
    text = tp.program_text(tp.Setup(replace(front, spoilboard_thickness=None), [holes]))
    found = [f for f in tp.simulate(text, front, [cutter], cell=1.0) if f.code == "too-deep"]
    assert [f.severity for f in found] == ([] if fits else ["danger"])


@pytest.mark.sample(4)
@pytest.mark.parametrize("diameter, clearance", [(6, 0.0), (6, 0.12), (6, 0.25), (7, 0.1), (7.5, 0.2), (5, 0.24)])
@pytest.mark.parametrize("off", [0.0, 0.04])
def test_a_hole_as_wide_as_still_holds_its_pin_is_its_hole(diameter, clearance, off):
    places = [(x + off, y) for x, y in PLACES]
    made = job(fixture(diameter, 7), tp.bore(places, diameter + clearance, FOUR, depth=tp.through(7)))
    assert made.report(cell=1.0).codes() == ()
    assert made.programs()["front"].count(": hole made here)") == 3


def test_a_wider_hole_is_none_of_the_pins():
    with pytest.raises(tp.DoesNotFitError, match=r"would go 7\.00 mm into the spoilboard"):
        tp.Setup(fixture(6, 7), [tp.bore(PLACES, 6.5, FOUR, depth=tp.through(7))])
    deep = fixture(6, 7, spoilboard_depth=7)
    assert job(deep, tp.bore(PLACES, 6.32, FOUR, depth=tp.through(7))).report(cell=1.0).codes() == ("dowel-hole",)
