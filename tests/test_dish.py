"""A dish of the part: programs written by hand are judged against it, at any size of the cells."""

from __future__ import annotations

from dataclasses import replace
from math import sqrt

import numpy as np
import pytest
import shapely

from toolpaths import (
    Board,
    Cutter,
    Dish,
    Fixture,
    Part,
    Parting,
    Section,
    ball,
    circle,
    part_svg,
    rectangle,
    ring,
    simulate,
)
from toolpaths.facts.features.slack import Slack
from toolpaths.judging.checks.part.target import highest, lowest

BOARD = Board(width=90, height=80, thickness=18, name="blank")
FRONT = Fixture(board=BOARD, grips=(BOARD.outline,))
T1 = Cutter(1, ball(12), 1500, 12000, step_down=12, plunge_mm_min=300)
MIDDLE, DEEP, RADIUS = (40.0, 42.0), 5.0, 50.0
# Reference: the spherical cap, half as wide as sqrt(d (2 r - d)).
HALF = sqrt(DEEP * (2 * RADIUS - DEEP))
DISH = Dish(
    area=circle(2 * HALF, MIDDLE),
    section=Section.arc(width=HALF, depth=DEEP),
    profile=ball(12),
    ridges=0.02,
    name="seat",
)
PART = Part(board=BOARD, front=[DISH])


def turned(deeper: float = 0.0, ring: int = -1, middle=MIDDLE, wider: float = 0.0) -> str:
    """Rings of a ball whose middle runs on the sphere about the dish's, as far in as the ball's radius.

    ring : the one that is cut deeper
    """
    x0, y0 = middle
    within = RADIUS - T1.radius
    lines = ["G21 G17 G90 G94", "G0 Z20", "T1 M6", "M3 S12000", "G4 P2", f"G0 X{x0:.3f} Y{y0:.3f}", "Z1"]
    for number in range(0, 40):
        r = min(number * 0.72, HALF * within / RADIUS) + wider
        z = RADIUS - DEEP - sqrt(within**2 - (r - wider) ** 2) - T1.radius - (deeper if number == ring else 0.0)
        lines.append(f"G1 X{x0 + r:.4f} Z{z:.4f} F1500")
        if r:
            lines.append(f"G3 X{x0 + r:.4f} Y{y0:.4f} I{-r:.4f} J0")
        if r >= HALF * within / RADIUS:
            break
    return "\n".join([*lines, "G0 Z20", "M5", "M30", ""])


def of_part(text: str, cell: float, part: Part = PART, side: Fixture = FRONT) -> list:
    report = simulate(text, side, [T1], cell=cell, part=part)
    return [f for f in report.findings if f.code in ("gouge", "leftover", "laid-wrong", "thin-web")]


CELLS = [1.1, *(pytest.param(cell, marks=pytest.mark.long) for cell in (0.4, 0.25))]


@pytest.mark.parametrize("cell", CELLS)
def test_a_sound_dish_is_not_blamed(cell):
    assert not of_part(turned(), cell)


@pytest.mark.parametrize("cell", CELLS)
@pytest.mark.parametrize("ring", [0, 12, 25])
def test_a_ring_a_tenth_too_deep_is_a_gouge_on_its_line(cell, ring):
    text = turned(0.1, ring)
    found = of_part(text, cell)
    assert {f.code for f in found} == {"gouge"}
    wrong = [n for n, line in enumerate(text.splitlines(), 1) if line not in turned().splitlines()]
    assert wrong[0] in {line for f in found for line in (f.line, *f.lines)}
    assert max(f.amount for f in found) == pytest.approx(0.1, abs=0.05)


@pytest.mark.parametrize("cell", CELLS)
def test_a_dish_too_shallow_or_forgotten_is_left_over(cell):
    part = replace(PART, front=[replace(DISH, section=Section.arc(width=HALF, depth=DEEP + 0.2))])
    assert {f.code for f in of_part(turned(), cell, part)} == {"leftover"}
    few = "\n".join([*turned().splitlines()[:5], "G0 Z20", "M5", "M30", ""])
    assert {f.code for f in of_part(few, cell)} == {"leftover"}


@pytest.mark.parametrize("cell", CELLS)
def test_a_dish_off_its_place_is_cut_into_and_left_over(cell):
    """Or all of it is said to lie so far to the right."""
    found = of_part(turned(middle=(40.3, 42.0)), cell)
    shifts = [f.amount for f in found if f.code == "laid-wrong"]
    assert shifts == [pytest.approx(0.3, abs=0.03)] if shifts else "gouge" in {f.code for f in found}


def test_the_rim_of_a_dish_that_is_too_wide_is_a_gouge():
    assert "gouge" in {f.code for f in of_part(turned(wider=0.25), 0.4)}


@pytest.mark.parametrize("cell", CELLS[:2])
@pytest.mark.parametrize("turn", ["left to right", "top to bottom"])
def test_a_dish_in_the_back_is_judged_as_the_board_lies(turn, cell):
    back = Fixture(board=BOARD, grips=(BOARD.outline,), turned=turn)
    part = replace(PART, front=[], back=[DISH])
    there = (BOARD.width - MIDDLE[0], MIDDLE[1]) if turn == "left to right" else (MIDDLE[0], BOARD.height - MIDDLE[1])
    assert not of_part(turned(middle=there), cell, part, back)
    assert {f.code for f in of_part(turned(0.1, 12, middle=there), cell, part, back)} == {"gouge"}
    # On the side for which it was not made it fits only mirrored.
    assert of_part(turned(), cell, part, back)


def test_the_band_of_a_dish_is_its_surface_a_little_wider_and_a_little_narrower():
    slack = Slack(BOARD, -BOARD.thickness, 0.03, np.zeros((0, 6)))
    square = Dish(area=rectangle(40, 30, (45, 40)), section=Section.slope(width=10, depth=4), ridges=0.05)
    part = Part(board=BOARD, front=[square])
    away = np.linspace(0.05, 14.9, 60)
    places = np.column_stack([np.full(60, 45.0), 25 + away])
    low, high = lowest(part, FRONT, slack), highest(part, FRONT, slack)
    assert low.at(places) == pytest.approx(-0.4 * np.minimum(away + 0.03, 10))
    assert high.at(places) == pytest.approx(0.05 - 0.4 * np.clip(away - 0.08, 0, 10))
    assert (low.at(np.array([[45.0, 24.9]])), high.at(np.array([[45.0, 24.9]]))) == (0.0, np.inf)


@pytest.mark.parametrize("cell", [1.7, pytest.param(0.9, marks=pytest.mark.long)])
def test_over_cells_the_target_is_what_it_is_at_their_centres(cell):
    from toolpaths.judging.wood.field import Grid
    from toolpaths.judging.wood.patches import centres

    slack = Slack(BOARD, -BOARD.thickness, 0.03, np.zeros((0, 6)))
    shapes = [ring(60, 20, (40, 40)), rectangle(60, 25, (45, 40)), shapely.Polygon([(5, 5), (80, 9), (30, 70)])]
    grid = Grid(cell, 0.0, 0.0, int(BOARD.height / cell), int(BOARD.width / cell))
    for shape in shapes:
        dish = Dish(area=shape, section=Section.spline([(0, 0), (4, 5), (9, 3)]), profile=ball(6), ridges=0.02)
        part = Part(board=BOARD, front=[dish])
        for target in (lowest(part, FRONT, slack), highest(part, FRONT, slack)):
            every = np.arange(grid.rows * grid.columns)
            places = centres(grid, every)
            over, at = target.over(grid).reshape(-1), target.at(places)
            # A centre on the edge itself may count to either side.
            sure = shapely.distance(shape.boundary, shapely.points(places)) > 0.05
            assert over[sure] == pytest.approx(at[sure], abs=1e-4)
            rough = target.roughly_at(places)
            assert (rough >= at - 1e-3).all() if target.untouched == 0 else (rough <= at + 1e-3).all()


def test_a_dish_whose_end_lies_in_the_waste_is_judged_in_the_part_alone():
    outline = rectangle(60, 60, (40, 60))
    part = replace(PART, front=[DISH, Parting(area=outline, waste="outside")])
    assert not [f for f in of_part(turned(), 0.5, part) if "seat" in f.message]
    few = "\n".join([*turned().splitlines()[:5], "G0 Z20", "M5", "M30", ""])
    assert [f for f in of_part(few, 0.5, part) if "seat" in f.message and f.code == "leftover"]


def test_its_drawing_tells_how_wide_and_how_deep_it_is():
    assert f"\N{DIAMETER SIGN}{2 * HALF:.4g}"[:4] in part_svg(PART) and "5 deep" in part_svg(PART)
