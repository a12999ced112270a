"""Hollows: what is cut is the surface meant, by the judge and by formulas of our own, and nothing outside it."""

from __future__ import annotations

from math import pi, radians, sqrt, tan

import numpy as np
import pytest
import shapely

from toolpaths import (
    Board,
    Cutter,
    DoesNotFitError,
    Fixture,
    InputError,
    Section,
    Setup,
    ball,
    bull_nose,
    circle,
    ellipse,
    flat,
    hollow,
    intended_part,
    pocket,
    program_text,
    rectangle,
    ring,
    simulate,
)
from toolpaths.making.operations.hollowing.tip_heights import TipHeights

BOARD = Board(width=120, height=100, thickness=25, wood="beech")
FRONT = Fixture(board=BOARD, grips=(BOARD.outline,))
T1 = Cutter(1, flat(8), feed_mm_min=2500, spindle_rpm=18000, step_down=4)
T2 = Cutter(2, ball(12), feed_mm_min=3000, spindle_rpm=18000, step_down=6)
T3 = Cutter(3, bull_nose(12, 3), feed_mm_min=3000, spindle_rpm=18000, step_down=5)
T4 = Cutter(4, ball(4), feed_mm_min=2000, spindle_rpm=20000, step_down=3)
MIDDLE = (60, 50)


def judged(*operations, side=FRONT, cell=0.25):
    setup = Setup(side, list(operations))
    text = program_text(setup)
    return simulate(text, side, setup.cutters, cell=cell, part=intended_part(setup)), text


def surface_of(wood):
    """x, y from the middle of the round ones, and how deep each cell is."""
    xs, ys = np.meshgrid(wood.grid.xs(), wood.grid.ys())
    return np.hypot(xs - MIDDLE[0], ys - MIDDLE[1]), wood.top.astype(np.float64)


@pytest.mark.parametrize("cutters", [[T1, T2], pytest.param(T2, marks=pytest.mark.long)], ids=["roughed", "alone"])
def test_a_dish_is_the_spherical_cap_of_the_reference(cutters):
    """A dish 60 wide and 8 deep: radius (D^2/4 + d^2)/(2 d), volume pi d (3 D^2/4 + d^2)/6 (reference D.5)."""
    wide, deep = 60, 8
    report, text = judged(hollow(circle(wide, MIDDLE), cutters, depth=deep, name="dish"))
    assert report.ok, str(report)
    r, z = surface_of(report.stock)
    rho = (wide**2 / 4 + deep**2) / (2 * deep)
    meant = rho - deep - np.sqrt(rho**2 - np.minimum(r, wide / 2) ** 2)
    assert z.min() == pytest.approx(-deep, abs=0.01)
    assert -z.sum() * 0.25**2 == pytest.approx(pi * deep * (3 * wide**2 / 4 + deep**2) / 6, rel=0.003)
    # Never below the surface, nor below the face outside it by more than the tolerance.
    assert (z - meant)[r < wide / 2 - 0.5].min() > -0.005
    assert z[r > wide / 2 + 0.01].min() > -0.01
    # Rings are whole circles in two arcs each, links a few short pieces.
    moves = [line for line in text.splitlines() if line and line[0] in "GXYZ"]
    assert len(moves) < 600


@pytest.mark.long
def test_rows_along_the_grain_leave_ridges_no_higher_than_asked_for():
    report, _ = judged(hollow(circle(60, MIDDLE), [T1, T2], depth=6, scallop=0.05, pattern="along the grain"), cell=0.2)
    assert report.ok, str(report)
    r, z = surface_of(report.stock)
    rho = (30**2 + 6**2) / 12
    off = (rho - np.hypot(r, z - (rho - 6)))[r < 29]
    assert off.min() > -0.003 and off.max() < 0.05 * 1.06 and off.max() > 0.02
    with pytest.raises(DoesNotFitError, match="pattern='rings'"):
        Setup(FRONT, [hollow(circle(60, MIDDLE), T2, section=Section.cove(radius=6), pattern="along the grain")])


@pytest.mark.long
def test_ridges_are_as_high_as_asked_for_and_as_the_formula_says():
    """Spacing s leaves h = rho - [(rho-R) cos(s/2rho) + sqrt(R^2 - (rho-R)^2 sin^2(s/2rho))] (reference D.5)."""
    wide, deep, scallop = 80, 6, 0.04
    report, _ = judged(hollow(circle(wide, MIDDLE), [T1, T2], depth=deep, scallop=scallop), cell=0.1)
    r, z = surface_of(report.stock)
    rho = (wide**2 / 4 + deep**2) / (2 * deep)
    off = rho - np.hypot(r, z - (rho - deep))
    inner = r < wide / 2 - 1
    tall = [off[inner & (r >= low) & (r < low + 3)].max() for low in range(0, wide // 2 - 4, 3)]
    assert tall == pytest.approx([scallop] * len(tall), rel=0.06)
    tips = TipHeights(Section.arc(width=wide / 2, depth=deep), ball(12), wide / 2)
    away = tips.passes(scallop)
    # Of an axis on the sphere of radius rho - R, angles from the middle.
    turn = np.arcsin((wide / 2 - away) / (rho - 6))
    s = -np.diff(turn) * rho
    h = rho - ((rho - 6) * np.cos(s / 2 / rho) + np.sqrt(36 - (rho - 6) ** 2 * np.sin(s / 2 / rho) ** 2))
    assert h[:-1] == pytest.approx(scallop, rel=0.05)


@pytest.mark.parametrize(
    ("section", "profile"),
    [
        (Section.arc(width=30, depth=8), ball(12)),
        (Section.cove(radius=6, depth=9), ball(12)),
        (Section.cove(radius=4, depth=9), bull_nose(12, 3)),
        (Section.slope(width=12, depth=5), ball(8)),
        (Section.spline([(0, 0), (6, 4), (20, 9), (30, 10)]), ball(6)),
        (Section.spline([(0, 0), (10, 6), (30, 2)]), ball(6)),
    ],
    ids=str,
)
def test_the_tip_is_as_low_as_it_goes_without_cutting_into_the_section(section, profile):
    """Against each place of the section, by turns: above it everywhere, on it somewhere."""
    tips = TipHeights(section, profile, 30.0)
    away = np.linspace(tips.rim, 30, 23)
    places = np.linspace(-profile.radius, 30, 40_001)
    z = np.where(places < 0, 0.0, section.heights(places))
    for at, tip in zip(away, tips.at(away), strict=True):
        near = np.abs(places - at) < profile.radius - 1e-6
        over = tip + profile.height(np.abs(places[near] - at)) - z[near]
        # Beside an upright wall heights between two places of the grid differ much.
        assert -1e-4 < over.min() < 1e-3 or (section.heights([0.0])[0] < 0 and at < tips.rim + 1e-9)
    # At its rim it touches the very edge of the surface, and cuts nothing of the face beside it.
    assert tips.at(np.array([tips.rim]))[0] <= 0


@pytest.mark.parametrize("side", ["front", pytest.param("back", marks=pytest.mark.long)])
@pytest.mark.parametrize(
    ("shape", "cutters", "more"),
    [
        (rectangle(70, 50, MIDDLE), [T1, T3], {"section": Section.cove(radius=4, depth=9)}),
        pytest.param(ellipse(80, 50, MIDDLE), [T1, T2], {"depth": 7}, marks=pytest.mark.long),
        pytest.param(ring(80, 24, MIDDLE), [T1, T4], {"depth": 5, "scallop": 0.03}, marks=pytest.mark.long),
        pytest.param(
            rectangle(80, 60, (50, 45), corner_radius=10), T2, {"section": Section.ellipse(28, 9, 45)},
            marks=pytest.mark.long,
        ),
        pytest.param(
            shapely.union(circle(40, (35, 50)), circle(50, (75, 50))), [T1, T4],
            {"section": Section.spline([(0, 0), (8, 4), (20, 6)])}, marks=pytest.mark.long,
        ),
    ],
    ids=["coved tray", "oval", "round an island", "alone", "two lobes"],
)  # fmt: skip
def test_hollows_of_many_kinds_are_judged_sound(shape, cutters, more, side):
    fixture = FRONT if side == "front" else FRONT.turned_over("left to right", grips=(BOARD.outline,))
    report, _ = judged(hollow(shape, cutters, **more), side=fixture, cell=0.4)
    assert report.ok, str(report)


@pytest.mark.long
def test_below_a_recess_there_has_to_be_room_for_the_cutter_beside_the_edge():
    """In the floor of a recess a ball that rises over the edge would cut into the recess's wall."""
    tight, wide = (pocket(circle(60 + more, MIDDLE), T1, depth=4, name="recess") for more in (0, 14))
    dish = hollow(circle(60, MIDDLE), T2, section=Section.arc(width=30, depth=5), from_depth=4)
    with pytest.raises(DoesNotFitError, match="beside the edge"):
        Setup(FRONT, [tight, dish])
    assert Setup(FRONT, [wide, dish]).steps


def test_what_does_not_fit_says_what_would():
    for wrong, says in (
        (lambda: hollow(circle(60, MIDDLE), T2, section=Section.arc(width=40, depth=8)), "30 wide or less|29.9"),
        (lambda: hollow(circle(60, MIDDLE), T2, section=Section.cove(radius=4, depth=8)), "8 mm or less across"),
        (
            lambda: hollow(circle(10, MIDDLE), T2, section=Section.slope(width=1, depth=8)),
            "10.00 mm wide; take a smaller",
        ),
        (lambda: hollow(circle(60, MIDDLE), T3, depth=8), "take a ball"),
        (lambda: Setup(FRONT, [hollow(circle(80, MIDDLE), T2, depth=25)]), "through the 25 mm"),
    ):
        with pytest.raises(DoesNotFitError, match=says):
            wrong()
    for wrong in (
        lambda: hollow(circle(60, MIDDLE), T2),
        lambda: hollow(circle(60, MIDDLE), T2, depth=8, section=Section.cove(radius=6)),
        lambda: hollow(circle(60, MIDDLE), [T2, T1], depth=8),
        lambda: hollow(circle(60, MIDDLE), [], depth=8),
        lambda: hollow(circle(60, MIDDLE), T2, depth=8, finish=6),
        lambda: hollow(circle(60, MIDDLE), T2, depth=8, scallop=0),
    ):
        with pytest.raises(InputError):
            wrong()


def test_a_ball_just_less_than_the_section_is_bent_gets_in():
    assert hollow(circle(60, MIDDLE), Cutter(5, ball(11.9), 2000, 16000), section=Section.cove(radius=6, depth=8))


def test_rim_slope_and_tip_of_the_reference():
    """Rim slope 22.619865 degrees (reference D.5): a ball of radius R touches it R sin of that inside the edge."""
    tips = TipHeights(Section.arc(width=50, depth=10), ball(12), 50.0)
    assert tips.rim == pytest.approx(6 * np.sin(radians(22.619865)))
    # Its middle runs on the sphere of radius rho - R.
    x = 50 - tips.rim
    assert tips.at(np.array([tips.rim]))[0] == pytest.approx(120 - sqrt(124**2 - x**2) - 6, abs=1e-4)
    assert tan(radians(22.619865)) == pytest.approx(-Section.arc(width=50, depth=10).slopes([0.0])[0])
