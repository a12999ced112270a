"""What holds the board, and the pins on which it lies, are not cut: the maker refuses what the judge would find."""

from __future__ import annotations

from math import cos, radians, sin

import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

import toolpaths as tp
from samples import examples
from toolpaths.making.plan import steps

BOARD = tp.Board(width=70, height=50, thickness=8)
T1 = tp.Cutter(1, tp.flat(6), feed_mm_min=1200, spindle_rpm=16000, plunge_mm_min=400, cutting_length=25)
V2 = tp.Cutter(2, tp.v_point(12, 90), feed_mm_min=1200, spindle_rpm=16000, plunge_mm_min=400)
DRILL = tp.Cutter(3, tp.drill_point(4), feed_mm_min=300, spindle_rpm=8000, cutting_length=30)
RACK = [T1, V2, DRILL]


def back(standing=0.0, diameter=5.0, turned="left to right"):
    pins = tuple(
        tp.Dowel(x=x, y=y, diameter=diameter, depth=4, standing=standing)
        for x, y in ([(35, 5), (35, 45)] if turned == "left to right" else [(5, 25), (65, 25)])
    )
    return tp.Fixture(board=BOARD, dowels=pins, overhang=6).turned_over(turned)


def around(width, height, depth=None):
    tabs = tp.Tabs(count=2, width=6, height=2)
    return tp.contour(tp.rectangle(width, height, (35, 25)), T1, depth=depth or tp.through(0.3), tabs=tabs)


@pytest.mark.sample(3)
@pytest.mark.parametrize("standing", [0.0, 0.5, 3.0])
@pytest.mark.parametrize(("work", "into"), [
    (lambda: around(40, 24), 0.5), (lambda: around(40, 28), 2.5), (lambda: around(40, 23.1), 0.05),
    (lambda: tp.pocket(tp.rectangle(20, 36, (35, 25)), T1, depth=3), 0.5),
    (lambda: tp.groove(tp.Outline((20, 10)).line_to((50, 10)), T1, depth=2), 0.5),
    (lambda: tp.drill([(38, 5)], DRILL, depth=3), 1.5),
    (lambda: tp.face(tp.rectangle(30, 20, (35, 8)), T1, depth=1), None),
])  # fmt: skip
def test_work_into_a_pin_is_refused_and_the_judge_finds_the_same(monkeypatch, standing, work, into):
    fixture = back(standing)
    with pytest.raises(tp.DoesNotFitError, match="into the dowel pin") as refused:
        tp.Setup(fixture, [work()])
    assert into is None or f"{into:.2f} mm into" in str(refused.value)
    monkeypatch.setattr(steps, "check_limits", lambda *given: None)
    text = tp.program_text(tp.Setup(fixture, [work()]))
    assert "hold-down" in tp.simulate(text, fixture, RACK, cell=1.0).codes()


@pytest.mark.sample(3)
@pytest.mark.parametrize("turned", ["left to right", "top to bottom"])
@pytest.mark.parametrize("work", [
    lambda: around(40, 22.98), lambda: tp.pocket(tp.rectangle(20, 34.99, (35, 25)), T1, depth=3),
    lambda: tp.drill([(39.6, 5)], DRILL, depth=3),
    # A point is narrow where it is deep, and the pin ends flush.
    lambda: tp.groove(tp.Outline((20, 9)).line_to((50, 9)), V2, depth=1.4),
])  # fmt: skip
def test_work_beside_a_pin_is_made_and_sound(turned, work):
    fixture = back(turned=turned)
    text = tp.program_text(tp.Setup(fixture, [work()]))
    assert "hold-down" not in tp.simulate(text, fixture, RACK, cell=1.0).codes()


def test_the_front_may_be_cut_where_pins_will_be():
    """Their holes are being made there."""
    front = tp.Fixture(board=BOARD, dowels=(tp.Dowel(x=35, y=25, diameter=8, depth=4),), grips=(BOARD.outline,))
    assert tp.Setup(front, [tp.bore([(35, 25)], 8, T1, depth=tp.through(4))]).steps


WIDE = tp.Board(width=200, height=140, thickness=12)
TRAY, RADIUS = shapely.Point(100, 70), 40.0
SOMETHING = st.builds(
    lambda kind, angle, gap, turned, height: (kind, radians(angle), gap, turned, height),
    st.sampled_from(["screw", "clamp"]), st.floats(0, 360),
    st.one_of(st.floats(-4, -0.02), st.floats(0.06, 4)), st.floats(0, 90), st.floats(0.5, 20),
)  # fmt: skip


def beside(kind, angle, gap, turned, height):
    """A fixture with a screw or a clamp that stands so far outside a round tray."""
    x, y = 100 + cos(angle) * (RADIUS + gap), 70 + sin(angle) * (RADIUS + gap)
    if kind == "screw":
        at = (x + 4.5 * cos(angle), y + 4.5 * sin(angle))
        return tp.Fixture(board=WIDE, screws=tp.screws([at], head_diameter=9, height=height))
    # One corner of the clamp, or one edge, points at the tray.
    corner = shapely.box(0, -10, 20, 10) if turned < 30 else shapely.Polygon([(0, 0), (14, -14), (28, 0), (14, 14)])
    area = shapely.affinity.translate(shapely.affinity.rotate(corner, angle, origin=(0, 0), use_radians=True), x, y)
    return tp.Fixture(board=WIDE, clamps=[tp.Clamp(area=area, height=height)], overhang=40)


@examples(25)
@given(SOMETHING)
def test_a_screw_or_a_clamp_is_cut_by_neither(given):
    """A gap from 0.06 mm on is air, 0.02 mm less than none a cut: on chords of the tray's wall within its tolerance."""
    kind, angle, gap, turned, height = given
    work = [tp.pocket(TRAY.buffer(RADIUS, quad_segs=90), T1, depth=3)]
    fixture = beside(kind, angle, gap, turned, height)
    if gap > 0:
        text = tp.program_text(tp.Setup(fixture, work))
        assert "hold-down" not in tp.simulate(text, fixture, RACK, cell=1.0).codes()
        return
    with pytest.raises(tp.DoesNotFitError, match=rf"into (the )?{kind}"):
        tp.Setup(fixture, work)
    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(steps, "check_limits", lambda *given: None)
        text = tp.program_text(tp.Setup(fixture, work))
    assert "hold-down" in tp.simulate(text, fixture, RACK, cell=1.0).codes()


def test_a_screw_is_in_the_way_from_its_stop_on():
    """Its own countersink is cut before it is driven."""
    screw = tp.screws([(100, 70)], head_diameter=9, height=3, driven_at="Drive the screw")
    fixture = tp.Fixture(board=WIDE, screws=screw, grips=[WIDE.outline])
    tray, stop = tp.pocket(tp.circle(30, (100, 70)), T1, depth=3), tp.stop("Drive the screw")
    assert tp.Setup(fixture, [tray, stop]).steps
    with pytest.raises(tp.DoesNotFitError, match="into the screw"):
        tp.Setup(fixture, [stop, tray])
