"""Figures that the README names and that no other test holds."""

from __future__ import annotations

import pytest
from shapely import Point

import toolpaths as tp


def test_the_default_machine_is_the_one_that_the_readme_names():
    machine = tp.Machine()
    assert machine.spindle_rpm == (6000, 24000)
    assert machine.rapid_mm_min == 5000


BOARD = tp.Board(width=120, height=60, thickness=18)
FRONT = tp.Fixture(board=BOARD, grips=(tp.Grip(area=BOARD.outline),))


@pytest.mark.parametrize(("off", "found"), [(-0.05, set()), (0.05, set()), (0.06, {"gouge"}), (0.1, {"gouge"})])
def test_a_cone_of_90_degrees_over_a_hole_is_found_from_six_hundredths_too_deep_on(off, found):
    """Sideways 0.03 mm are within the part, on its slope as much in height, and 0.03 in height."""
    sinker = tp.Cutter(2, tp.v_point(12, 90), 900, 12000, step_down=12, plunge_mm_min=300)
    mill = tp.Cutter(1, tp.flat(4), 300, 12000, step_down=12, plunge_mm_min=300)
    hole = "T1 M6\nM3 S12000\nG4 P2\nG0 Z20\nX60 Y30\nZ2\nG1 Z-10 F300\nG0 Z20\nM5\n"
    sunk = f"T2 M6\nM3 S12000\nG4 P2\nG0 Z20\nX60 Y30\nZ2\nG1 Z{-4.5 - off:.3f} F300\nG0 Z20\nM5\nM30\n"
    cone = tp.Cone(places=Point(60, 30), diameter=9, angle_deg=90)
    part = tp.Part(board=BOARD, front=[cone, tp.Recess(area=tp.circle(4, (60, 30)), depth=10)])
    report = tp.simulate("G21 G90 G17 G94\n" + hole + sunk, FRONT, [sinker, mill], cell=0.2, part=part)
    assert {"gouge", "leftover"} & set(report.codes()) == found, str(report)


@pytest.mark.parametrize(("fall", "found"), [(0.0015, False), (0.005, True)])
def test_a_ramp_in_finer_steps_than_the_readme_says_is_level(fall, found):
    """Level ways with a step down after each, of a cutter that bears no more than two degrees: 14 degrees."""
    mill = tp.Cutter(1, tp.flat(6), 600, 12000, step_down=6, plunge_mm_min=60, ramp_angle_deg=2)
    steps, x, z = [], 20.0, 0.0
    while z > -1.0 and len(steps) < 3000:
        x, z = x + 4 * fall, z - fall
        steps.append(f"G1 X{x:.4f} Z{z:.4f}")
    head = "G21 G90 G17 G94\nT1 M6\nM3 S12000\nG4 P2\nG0 Z20\nX20 Y30\nZ2\nG1 Z0 F60\nF600\n"
    text = head + "\n".join(steps) + "\nG0 Z20\nM5\nM30\n"
    codes = tp.simulate(text, FRONT, [mill], cell=0.5).codes()
    assert ("steep-ramp" in codes) is found, codes
