"""How long a program takes: the tables of the reference, a plan made step by step, and what must always hold.

Tables: worked from uniform and centripetal acceleration by hand.
"""

from __future__ import annotations

from math import cos, inf, pi, sin, sqrt

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from toolpaths.facts import pace as module
from toolpaths.facts.board import Board
from toolpaths.facts.cutter import Cutter
from toolpaths.facts.fixture import Fixture
from toolpaths.facts.machine import Machine
from toolpaths.facts.pace import Pace, corner_speed, pace, planned
from toolpaths.facts.profile import flat
from toolpaths.judging.simulate import simulate

NEVER = np.zeros(0, np.intp)


def run(points, speed=50.0, *, halts=(), arcs=None, **facts) -> Pace:
    """Along the points (x, y, z); arcs : {move: (centre x, centre y, sweep)}."""
    points = np.array(points, float).T
    count = points.shape[1] - 1
    centre, sweep = np.zeros((2, count)), np.zeros(count)
    for move, (x, y, turn) in (arcs or {}).items():
        centre[:, move], sweep[move] = (x, y), turn
    speeds = np.broadcast_to(np.asarray(speed, float), count)
    return pace(points[:, :-1], points[:, 1:], centre, sweep, speeds, np.array(halts, np.intp), Machine(**facts))


def total(*arguments, **facts) -> float:
    return float(run(*arguments, **facts).seconds.sum())


@pytest.mark.parametrize(
    "length, speed, acceleration, first, last, seconds, peak",
    [
        (100, 50, 500, 0, 0, 2.1, 50),
        (5, 50, 500, 0, 0, 0.2, 50),
        (4, 50, 500, 0, 0, 0.178885, 44.7214),
        (1, 50, 500, 0, 0, 0.089443, 22.3607),
        (20, 50, 500, 20, 0, 0.468, 50),
        (50, 40, 300, 0, 40, 1.316667, 40),
    ],
)
def test_one_move(length, speed, acceleration, first, last, seconds, peak):
    columns = (np.array([float(value)]) for value in (length, speed, acceleration))
    found = planned(*columns, np.array([first, last], float))
    assert [float(column[0]) for column in found] == pytest.approx([seconds, peak], abs=5e-5)


def test_a_square_with_a_stop_at_every_corner():
    corners = [(0, 0, 0), (50, 0, 0), (50, 50, 0), (0, 50, 0), (0, 0, 0)]
    assert total(corners, halts=[1, 2, 3]) == pytest.approx(4.4)
    assert total(corners, corner_rounding=0.0) == pytest.approx(4.4)


@pytest.mark.parametrize(
    "degrees, radius, speed",
    [
        (10, 13.089562, 80.8998),
        (30, 1.417387, 26.6213),
        (45, 0.606854, 17.4191),
        (90, 0.120711, 7.7689),
        (135, 0.030996, 3.9367),
        (180, 0, 0),
    ],
)
def test_corners(degrees, radius, speed):
    found = corner_speed(np.cos(np.radians([float(degrees)])), 500.0, 0.05)
    assert found == pytest.approx(speed, abs=5e-5)
    assert found**2 / 500 == pytest.approx(radius, abs=5e-7)


def test_straight_on_is_no_corner_and_straight_back_a_stop():
    assert corner_speed(np.array([1.0, 1.0 - 2e-16, -1.0, -1.0 - 2e-16]), 500.0, 0.0).tolist() == [inf, inf, 0, 0]
    assert total([(0, 0, 0), (4, 0, 0), (0, 0, 0)]) == pytest.approx(2 * 0.178885, abs=1e-6)


@pytest.mark.parametrize("radius, fastest", [(1, 22.3607), (5, 50)])
def test_a_circle_is_taken_as_fast_as_it_can_be_turned(radius, fastest):
    found = run([(radius, 0, 0), (radius, 0, 0)], 200.0, arcs={0: (0, 0, 2 * pi)}, rapid_mm_min=60000)
    assert found.length == pytest.approx(2 * pi * radius)
    assert found.peak == pytest.approx(fastest, abs=5e-5)


def test_a_helix_bends_less_than_the_circle():
    """Its radius of curvature is (r2 + c2) / r, c being the rise per radian."""
    found = run([(1, 0, 0), (1, 0, 2 * pi)], 200.0, arcs={0: (0, 0, 2 * pi)}, rapid_mm_min=60000)
    assert found.length == pytest.approx(2 * pi * sqrt(2))
    assert found.peak == pytest.approx(sqrt(500 * 2))


def test_each_axis_has_its_own_limits():
    """At 45 degrees both axes share the work: 707.107 mm/s2, and sqrt 2 of the rapid of an axis."""
    askew = run([(0, 0, 0), (300, 300, 0)], inf, rapid_mm_min=6000)
    assert askew.peak == pytest.approx(100 * sqrt(2))
    assert askew.seconds == pytest.approx(total([(0, 0, 0), (300, 0, 0)], inf, rapid_mm_min=6000))
    assert total([(0, 0, 0), (3, 3, 0)], 50.0) == pytest.approx(sqrt(18) / 50 + 50 / (500 * sqrt(2)))


def test_a_line_into_an_arc_that_it_touches_does_not_slow_down():
    way = [(-100, -30, 0), (0, -30, 0), (30, 0, 0), (30, 100, 0)]
    found = run(way, 50.0, arcs={1: (0, 0, pi / 2)})
    assert found.seconds.sum() == pytest.approx((200 + 15 * pi) / 50 + 50 / 500)
    # An arc that leaves by a right angle is a corner as any other.
    turned = run([*way[:3], (130, 0, 0)], 50.0, arcs={1: (0, 0, pi / 2)})
    cornered = run([(-15 * pi - 100, 0, 0), (0, 0, 0), (0, 100, 0)], 50.0)
    assert turned.seconds.sum() == pytest.approx(cornered.seconds.sum())


def test_what_does_not_move_counts_as_not_there():
    points = [(0, 0, 0), (0, 0, 0), (10, 0, 0), (10, 0, 0), (20, 0, 0), (20, 30, 0)]
    found = run(points, 50.0)
    assert found.seconds.sum() == pytest.approx(total([(0, 0, 0), (20, 0, 0), (20, 30, 0)]))
    assert found.seconds[[0, 2]].tolist() == [0, 0]
    stuck = run([(0, 0, 0), (10, 0, 0), (90, 0, 0), (170, 0, 0)], [50.0, 0.0, 50.0])
    assert stuck.seconds.sum() == pytest.approx(total([(0, 0, 0), (90, 0, 0)]))
    assert stuck.length.tolist() == [10, 80, 80]
    assert run([(0, 0, 0)]).seconds.tolist() == []


# Ways of whole hundredths, as programs have them.
places = st.lists(st.tuples(*[st.integers(-3000, 3000).map(lambda value: value / 100)] * 3), min_size=2, max_size=30)
speeds = st.floats(0.5, 200)


@st.composite
def trips(draw):
    """Points, speeds, and which moves are half or more of a circle."""
    points = draw(places)
    speed = draw(st.lists(speeds, min_size=len(points) - 1, max_size=len(points) - 1))
    arcs = {}
    for move in draw(st.sets(st.integers(0, len(points) - 2), max_size=5)):
        (x0, y0, _), (x1, y1, _) = points[move], points[move + 1]
        turn = draw(st.sampled_from([pi, -pi, 2 * pi / 3]))
        # The centre lies on the bisector, at the right distance for that sweep.
        lift = 0.5 / np.tan(turn / 2) if abs(turn) != pi else 0.0
        arcs[move] = ((x0 + x1) / 2 - (y1 - y0) * lift, (y0 + y1) / 2 + (x1 - x0) * lift, turn)
    return points, speed, arcs


def step_by_step(found: Pace, speed, acceleration, corners) -> float:
    """Seconds by the usual two passes over single moves, in plain Python."""
    length = found.length.tolist()
    fast = [0.0, *(min(*corners[i - 1 : i], speed[i - 1], speed[i]) for i in range(1, len(length))), 0.0]
    for i in range(len(length) - 1, -1, -1):
        fast[i] = min(fast[i], sqrt(fast[i + 1] ** 2 + 2 * acceleration[i] * length[i]))
    for i in range(len(length)):
        fast[i + 1] = min(fast[i + 1], sqrt(fast[i] ** 2 + 2 * acceleration[i] * length[i]))
    seconds = 0.0
    for d, v, a, first, last in zip(length, speed, acceleration, fast, fast[1:]):
        top = min(v, sqrt((2 * a * d + first**2 + last**2) / 2))
        level = d - (top**2 - first**2) / (2 * a) - (top**2 - last**2) / (2 * a)
        seconds += (top - first) / a + (top - last) / a + level / top
    return seconds


@given(st.lists(st.tuples(st.floats(1, 50), st.floats(-pi, pi), speeds), min_size=1, max_size=40), st.integers(1, 50))
def test_as_one_move_after_the_other_works_it_out(steps, portion):
    """However many moves are taken at a time."""
    x = y = angle = 0.0
    points, corners, rates, asked = [(0.0, 0.0, 0.0)], [], [], []
    for length, turn, speed in steps:
        angle += turn
        x, y = x + length * cos(angle), y + length * sin(angle)
        points.append((x, y, 0.0))
        half = abs(turn) / 2
        corners.append(sqrt(500 * 0.05 * cos(half) / (1 - cos(half))) if half > 1e-4 else inf)
        busiest = max(abs(cos(angle)), abs(sin(angle)))
        rates.append(500 / busiest)
        asked.append(min(speed, 5000 / 60 / busiest))
    before, module._PORTION = module._PORTION, portion
    try:
        found = run(points, [speed for _, _, speed in steps])
    finally:
        module._PORTION = before
    assert found.seconds.sum() == pytest.approx(step_by_step(found, asked, rates, corners[1:]), rel=1e-6)


def test_as_looking_at_every_place_works_it_out():
    """At any place the speed is the most from which every slower place, before and behind, can be reached in time;
    the way is gone in steps of a tenth of a millimetre, in which it changes evenly."""
    points = [(0, 0, 0), (40, 0, 0), (40, 6, 0), (45, 6, 0), (5, 6, 0)]
    speed = [30.0, 60.0, 10.0, 80.0]
    at = np.arange(911) / 10
    asked = [speed[0], *np.repeat(speed, [400, 60, 50, 400])]
    limit = np.minimum(asked, [*asked[1:], speed[-1]])
    for place, corner in ((0, 0), (400, 7.76887), (460, 7.76887), (510, 0), (910, 0)):
        limit[place] = min(limit[place], corner)
    fast = np.sqrt((limit[None, :] ** 2 + 2 * 500 * np.abs(at[:, None] - at[None, :])).min(axis=1))
    assert total(points, speed) == pytest.approx(float((0.2 / (fast[:-1] + fast[1:])).sum()), rel=1e-3)


@given(trips())
def test_no_faster_than_asked_and_the_same_backwards(trip):
    points, speed, arcs = trip
    found = run(points, speed, arcs=arcs)
    goes = found.length > 0
    assert (found.peak[goes] <= np.array(speed)[goes] * (1 + 1e-9)).all()
    assert (found.seconds >= found.length / speed - 1e-9).all()
    last = len(speed) - 1
    back = run(points[::-1], speed[::-1], arcs={last - move: (x, y, -turn) for move, (x, y, turn) in arcs.items()})
    assert back.seconds[::-1] == pytest.approx(found.seconds, rel=1e-6, abs=1e-9)
    assert back.peak[::-1][goes] == pytest.approx(found.peak[goes], rel=1e-6, abs=1e-6)


def test_a_move_shorter_than_rounding_is_as_none():
    """An arc of no radius whose end is a rounding off its start once was a stop on the way (found by the next test)."""
    points = [(0.0, 0.0, 0.0), (1.0, 0.0, 0.0), (1.0, 1e-17, 0.0), (2.0, 0.0, 0.0)]
    assert total(points, [10.0] * 3) == pytest.approx(total([points[0], points[3]], [10.0]), rel=1e-9)


@given(trips(), st.lists(st.integers(1, 40), min_size=30, max_size=30), st.sampled_from([0.0, 0.05, 1.0]))
def test_a_move_in_pieces_takes_as_long_as_whole(trip, counts, rounding):
    """Lines and arcs alike."""
    points, speed, arcs = trip
    finer, speeds, bends = [points[0]], [], {}
    for move, (end, count) in enumerate(zip(points[1:], counts)):
        start = np.array(points[move])
        way = np.array(end) - start
        for piece in range(1, count + 1):
            place = start + way * (piece / count)
            if move in arcs:
                x, y, turn = arcs[move]
                (dx, dy), angle = start[:2] - (x, y), turn * piece / count
                place[:2] = x + dx * cos(angle) - dy * sin(angle), y + dx * sin(angle) + dy * cos(angle)
                bends[len(speeds)] = (x, y, turn / count)
            finer.append(tuple(place))
            speeds.append(speed[move])
    whole = total(points, speed, arcs=arcs, corner_rounding=rounding)
    assert total(finer, speeds, arcs=bends, corner_rounding=rounding) == pytest.approx(whole, rel=1e-6)


@given(trips(), st.floats(1, 3))
def test_a_better_machine_or_more_speed_never_takes_longer(trip, factor):
    points, speed, arcs = trip
    own = total(points, speed, arcs=arcs) * (1 + 1e-9)
    for fact in ("acceleration_mm_s2", "corner_rounding", "rapid_mm_min"):
        assert total(points, speed, arcs=arcs, **{fact: getattr(Machine(), fact) * factor}) <= own
    assert total(points, np.array(speed) * factor, arcs=arcs) <= own
    assert total(points, speed, arcs=arcs, halts=[len(speed) // 2]) >= own / (1 + 1e-8)


def test_kilometres_do_not_blur_what_is_short():
    points = [(0, 0, 0), (4, 0, 0), (4, 4, 0), (1e9, 4, 0), (1e9, 8, 0)]
    found = run(points, halts=[1, 2, 3])
    assert found.seconds[[0, 1, 3]] == pytest.approx(0.178885, abs=1e-6)


# The same on programs.

FRONT = Fixture(board=Board(width=120, height=80, thickness=18))
T1 = Cutter(1, flat(6), 1200, 16000, cutting_length=25)
HEAD = "G21 G90 G17 G94\nG0 Z10\nT1 M6\nM3 S16000\nG0 X20 Y40\nG1 Z-2 F300\n"
TAIL = "G0 Z10\nM5\nM30\n"


def seconds(body: str) -> float:
    return simulate(HEAD + body + TAIL, FRONT, [T1], cell=1.0).seconds


def rest(length: float, speed: float) -> float:
    return length / speed + speed / 500


EDGES = seconds("")


def test_program_without_work():
    """12 mm down at 5 mm/s and back up at 83 mm/s, from rest to rest: the cutter turns straight back."""
    assert seconds("") == pytest.approx(rest(12, 5) + 2 * sqrt(12 / 500))


@pytest.mark.parametrize("stop", ["G4 P0", "M5\nM3", "M0", "M1", "M5\nM0\nM3", "T1 M6\nM3", "M3 S12000"])
def test_what_is_done_standing_still_takes_a_stop(stop):
    corner = seconds("G4 P0\nG1 X60 F3000\nG4 P0\n") - EDGES
    assert corner == pytest.approx(rest(40, 50))
    stopped = seconds(f"G4 P0\nG1 X40 F3000\n{stop}\nX60\nG4 P0\n") - EDGES
    assert stopped == pytest.approx(2 * rest(20, 50))


def test_dwells_are_added():
    assert seconds("G4 P1.5\n") == pytest.approx(EDGES + 1.5)


@pytest.mark.parametrize("word", ["S12000", "F3000", "M8", "(on)", "G54"])
def test_what_is_done_going_takes_none(word):
    assert seconds(f"G4 P0\nG1 X40 F3000\n{word}\nX60\nG4 P0\n") - EDGES == pytest.approx(rest(40, 50))


def test_arcs_of_every_plane_are_as_fast_as_their_bend():
    """Half a turn of 1 mm, entered and left at right angles: 22.36 mm/s in any plane."""
    level = seconds("G4 P0\nG2 X22 I1 F3000\nG4 P0\n") - EDGES
    assert level == pytest.approx(rest(pi, sqrt(500)))
    upright = seconds("G4 P0\nG18 G3 X22 I1 F3000\nG17\nG4 P0\n") - EDGES
    across = seconds("G4 P0\nG19 G2 Y42 J1 F3000\nG17\nG4 P0\n") - EDGES
    # The lines that stand for these may speed up a little faster where they run askew.
    assert upright == pytest.approx(level, rel=0.02)
    assert across == pytest.approx(level, rel=0.02)


def test_page_says_about():
    report = simulate(HEAD + TAIL, FRONT, [T1], cell=1.0)
    assert f"about 0 min {round(report.seconds):02d} s" in str(report)
