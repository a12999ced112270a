"""How wide the way down of a cutter that does not cut at its centre has to be, to the judge."""

from __future__ import annotations

from math import cos, pi, sin

import pytest

from toolpaths.facts.board import Board
from toolpaths.facts.cutter import Cutter
from toolpaths.facts.fixture import Fixture
from toolpaths.facts.profile import bull_nose, drill_point, flat
from toolpaths.judging.simulate import simulate

FIXTURE = Fixture(board=Board(width=100, height=80, thickness=18, wood="softwood"))
DRILL = Cutter(2, drill_point(4), 400, 9000, plunge_mm_min=300)
# mm down for each mm of the way: 3 degrees and a little.
SLOPE = 0.055


def mill(profile) -> Cutter:
    return Cutter(1, profile, 1500, 16000, centre_cutting=False, cutting_length=20)


def found(way: list[str], start: float, profile, before: str = "") -> tuple[str, ...]:
    text = f"G21 G90 G17 G94\nG0 Z20\n{before}T1 M6\nM3 S16000\nG4 P3\nG0 X{start:.4f} Y40\nG0 Z1\nG1 Z0 F500\nF1500\n"
    return simulate(text + "\n".join(way) + "\nG0 Z20\nM5\nM30\n", FIXTURE, [mill(profile), DRILL], cell=0.5).codes()


def helix(wide: float) -> list[str]:
    """Turns about (50, 40), down by 2 mm."""
    turns = int(2 / (pi * wide * SLOPE)) + 1
    depths = [-2 * (turn + 1) / turns for turn in range(turns)] + [-2.0]
    return [f"G3 X{50 + wide / 2:.4f} Y40 Z{z:.5f} I-{wide / 2:.4f} J0" for z in depths]


def chords(wide: float) -> list[str]:
    """The same in chords, 24 a turn."""
    count = int(2 / (pi * wide * SLOPE) * 24) + 25
    angles = [2 * pi * (k + 1) / 24 for k in range(count)]
    return [
        f"G1 X{50 + wide / 2 * cos(a):.4f} Y{40 + wide / 2 * sin(a):.4f} Z{max(-2.0, -2 * (k + 1) / (count - 24)):.5f}"
        for k, a in enumerate(angles)
    ]


def zigzag(wide: float) -> list[str]:
    """To and fro along a slanting line, about (50, 40) or from there."""
    strokes = int(2 / (wide * SLOPE)) + 1
    lines = []
    for k in range(strokes + 1):
        away, z = wide * (k % 2 == 0), -2 * min(k + 1, strokes) / strokes
        lines.append(f"G1 X{50 + wide / 2 - 0.8 * away:.4f} Y{40 + 0.6 * away:.4f} Z{z:.5f}")
    return lines


@pytest.mark.sample(6)
@pytest.mark.parametrize("profile", [flat(6), bull_nose(8, 1)], ids=str)
@pytest.mark.parametrize("way", [helix, chords, zigzag])
@pytest.mark.parametrize(("share", "codes"), [(1.8, ()), (1.03, ()), (0.95, ("plunge",)), (0.3, ("plunge",))])
def test_a_way_as_wide_as_the_dead_middle_is_sound_and_a_narrower_one_is_found(profile, way, share, codes):
    wide = share * mill(profile).dead_centre
    assert [code for code in found(way(wide), 50 + wide / 2, profile) if code == "plunge"] == list(codes)


@pytest.mark.long
def test_a_helix_of_hundredths_is_found_though_each_turn_goes_down_by_next_to_nothing():
    assert "plunge" in found(helix(0.007), 50.0035, flat(6))


@pytest.mark.parametrize(("wide", "codes"), [(1.2, ()), (0.8, ("plunge",))])
def test_a_drilled_hole_as_wide_as_what_no_edge_passes_will_do(wide, codes):
    """The dead middle is 3 across; round a circle of 1.2 the edges leave 1.8 uncut, less than the drill of 4 took."""
    drilled = "T2 M6\nM3 S9000\nG4 P3\nG0 X50 Y40\nG0 Z1\nG1 Z-8 F300\nG0 Z20\n"
    if codes:  # beside the hole
        drilled = drilled.replace("X50", "X70")
    assert [code for code in found(helix(wide), 50 + wide / 2, flat(6), drilled) if code == "plunge"] == list(codes)


def test_a_cutter_that_cuts_at_its_centre_may_go_down_on_any_way():
    text = "G21 G90 G17 G94\nG0 Z20\nT1 M6\nM3 S16000\nG4 P3\nG0 X50.5 Y40\nG0 Z1\nG1 Z0 F500\n"
    cutter = Cutter(1, flat(6), 1500, 16000, cutting_length=20)
    text += "\n".join(helix(1.0)) + "\nG0 Z20\nM5\nM30\n"
    assert "plunge" not in simulate(text, FIXTURE, [cutter], cell=0.5).codes()


def then_on(narrow: list[str], z: float) -> list[str]:
    """A narrow way down, between a long cut that leads there and one that goes on from there."""
    return [*narrow, f"G1 X85 Y40 Z{z:.5f}", "G1 X20 Y40"]


@pytest.mark.parametrize("profile", [flat(6), bull_nose(8, 1)], ids=str)
@pytest.mark.parametrize("strokes", [(0.3, 8), (0.6, 4)], ids=str)
def test_a_short_narrow_way_that_goes_on_into_a_long_cut_is_found(profile, strokes):
    """Strokes of a third or two of the dead middle, together 2.4 times as long as it is."""
    share, count = strokes
    long = share * mill(profile).dead_centre
    down = [f"G1 X{50 + long * (k % 2 == 0):.4f} Z{-SLOPE * long * (k + 1):.5f}" for k in range(count)]
    assert "plunge" in found(then_on(down, -SLOPE * long * count), 50, profile)


@pytest.mark.parametrize("profile", [flat(6), bull_nose(8, 1)], ids=str)
def test_a_wide_enough_way_that_goes_on_into_a_long_cut_is_sound(profile):
    dead = mill(profile).dead_centre
    for long in (1.03 * dead, 1.5 * dead):
        for count in (1, 2, 3, 8):
            down = [f"G1 X{50 + long * (k % 2 == 0):.4f} Z{-SLOPE * long * (k + 1):.5f}" for k in range(count)]
            assert "plunge" not in found(then_on(down, -SLOPE * long * count), 50, profile)
    # A slope of next to no depth, and one turn of the narrowest circle.
    assert "plunge" not in found(then_on(["G1 X52 Z-0.15"], -0.15), 50, profile)
    wide = 1.03 * dead
    turn = f"G3 X{50 + wide / 2:.4f} Y40 Z{-SLOPE * pi * wide:.5f} I-{wide / 2:.4f} J0"
    assert "plunge" not in found(then_on([turn], -SLOPE * pi * wide), 50 + wide / 2, profile)
