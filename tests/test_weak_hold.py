"""How firmly pieces are held: the closed formulas, what each fact changes and which way, and what must be said."""

from __future__ import annotations

import re
from dataclasses import replace
from math import acos, pi

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely import box

import toolpaths as tp
from samples import examples
from toolpaths.facts.cutting_energy import cutting_energy, cutting_power, mean_force, tooth_force
from toolpaths.facts.hold_down import HoldDown
from toolpaths.facts.hold_strength import screw_sideways, screw_withdrawal, sideways_hold
from toolpaths.facts.wood_strength import solid_wood, wood_strength
from toolpaths.facts.woods import SPECIES
from toolpaths.judging.checks.holding.group_load import Group, load, worst_share, yielding_share
from toolpaths.judging.trial.cutting_force import edge_at_once

BOARD = tp.Board(width=200, height=140, thickness=18, wood="ponderosa pine")
BARE = tp.Fixture(board=BOARD)
T1 = tp.Cutter(1, tp.flat(6), feed_mm_min=1500, spindle_rpm=18000)
PART = tp.rectangle(100, 60, (100, 70))


def report(fixture=BARE, cutter=T1, cell=0.5, **contour):
    cut = tp.contour(contour.pop("shape", PART), cutter, **{"depth": tp.through(0.3), **contour})
    setup = tp.Setup(fixture, [cut])
    return tp.simulate(tp.program_text(setup), fixture, [cutter], cell=cell)


def tabs(count, width=8.0, height=4.0):
    return tp.Tabs(count=count, width=width, height=height)


def factor(made) -> float:
    """Times the force that the weakest hold stands, from the note or the finding."""
    found = [finding.amount for finding in made if finding.code == "weak-hold"]
    for note in made.notes:
        found += [float(number) for number in re.findall(r"What holds stands (?:over )?([0-9.]+) times", note)]
    assert found, str(made)
    return min(found)


def weak(made) -> list[tuple[str, str]]:
    return [(finding.code, finding.severity) for finding in made]


# Force and power.


def test_power_and_force_of_the_reference():
    """86.4 cm3/min at 25 N/mm2: 36 W, 6.366 N at the edges of a 6 mm cutter at 18,000 rpm."""
    assert 6 * 6 * 2400 / 1000 == 86.4
    assert cutting_power(25, 6, 6, 2400) == pytest.approx(36.0)
    assert mean_force(25, 6, 6, 2400, 6, 18_000) == pytest.approx(6.366, abs=5e-4)


@given(st.floats(0.5, 20), st.floats(0.05, 1.0), st.floats(0.01, 0.3), st.integers(1, 6))
@examples(100)
def test_mean_over_the_turn_is_power_over_speed(depth, share, chip, flutes):
    """The chip over the angle, h = f sin, summed over a turn, is what P / v says: 2 f q / acos(1 - 2 q) on average."""
    rpm, diameter, energy = 15_000, 8.0, 30.0
    feed = chip * flutes * rpm
    angle = np.linspace(0, acos(1 - 2 * share), 20_001)
    turn = np.trapezoid(energy * depth * chip * np.sin(angle), angle) * flutes / (2 * pi)
    assert turn == pytest.approx(mean_force(energy, depth, share * diameter, feed, diameter, rpm), rel=1e-6)


@given(st.floats(10, 90), st.floats(0.1, 20), st.floats(0.005, 0.3), st.floats(1.1, 4))
@examples(100)
def test_force_of_a_tooth_is_in_proportion_to_energy_and_depth_and_grows_with_the_chip(energy, depth, chip, more):
    force = float(tooth_force(energy, np.array(depth), np.array(chip)))
    assert tooth_force(more * energy, np.array(depth), np.array(chip)) == pytest.approx(more * force)
    assert tooth_force(energy, np.array(more * depth), np.array(chip)) == pytest.approx(more * force)
    assert force < tooth_force(energy, np.array(depth), np.array(more * chip)) < more * force
    assert tooth_force(energy, np.array(depth), np.array(0.0)) == 0


def test_planning_value_holds_at_a_tenth_of_a_millimetre():
    along = float(tooth_force(40.0, np.array(3.0), np.array(0.1))) / (1 + 0.5**2) ** 0.5
    assert along == pytest.approx(40 * 3 * 0.1)


def test_unnamed_wood_is_as_hard_to_cut_as_any():
    assert cutting_energy("") == max(cutting_energy(each.name) for each in SPECIES) == cutting_energy("hardwood")
    assert cutting_energy("softwood") < cutting_energy("MDF") < cutting_energy("")


def test_edges_that_cut_at_once():
    """A slot by two flutes: one at each height. A light cut: no more depth than an edge climbs within its arc."""
    two, four = (tp.Cutter(1, tp.flat(6), 1500, 18000, flutes=flutes) for flutes in (2, 4))
    slot, light = np.ones((1, 64), bool), np.arange(64)[None] < 2
    deep = np.array([3.0])
    assert edge_at_once(two, slot, deep) == 3 and edge_at_once(four, slot, deep) == 6
    arc = acos(1 - 2 * 2 / 64)
    for depth, edges in ((12.0, 1), (24.0, 2)):
        climbs = edges * arc * 3 / np.tan(np.radians(30))
        assert edge_at_once(two, light, np.array([depth])) == pytest.approx(climbs)


# Strength.


def test_strength_by_specific_gravity():
    pine, oak = wood_strength("ponderosa pine"), wood_strength("red oak")
    assert pine == solid_wood(0.40, conifer=True) and oak == solid_wood(0.63, conifer=False)
    assert pine.across < pine.shear < pine.along and pine.across < oak.across and pine.shear < oak.shear
    ends = pine.tension(np.array([1.0, 0.0, -1.0]))
    assert ends == pytest.approx([pine.along, pine.across, pine.along])
    assert (np.diff(pine.tension(np.linspace(0, 1, 50))) > 0).all()


@pytest.mark.parametrize(
    ("gravity", "conifer", "measured"),
    [
        (0.63, False, (12.3, 99.0, 5.5)),  # northern red oak
        (0.55, False, (9.4, 101.0, 4.8)),  # black walnut
        (0.42, False, (8.2, 70.0, 3.7)),  # yellow-poplar
        (0.48, True, (7.8, 85.0, 2.3)),  # Douglas-fir, coast
        (0.40, True, (7.8, 65.0, 2.9)),  # ponderosa pine
    ],
)
def test_the_functions_of_gravity_come_near_to_what_was_measured(gravity, conifer, measured):
    """Shear, modulus of rupture, tension across, N/mm2: FPL-GTR-190 (2010), Table 5-3a, 12 % moisture, from memory."""
    assert np.allclose(solid_wood(gravity, conifer), measured, rtol=0.3)


def test_screw_by_shank_length_and_head():
    screw = HoldDown("screw", "screw", 0, 0, 4.5, 2.0)
    long = replace(screw, shank_diameter=4.5, length=38.0)
    assert screw_withdrawal(replace(long, length=58.0), 18) == pytest.approx(2 * screw_withdrawal(long, 18))
    assert screw_sideways(replace(screw, shank_diameter=6.0)) == pytest.approx(screw_sideways(long) * (6 / 4.5) ** 2)
    assert screw_sideways(screw) == screw_sideways(long), "a head is about twice the shank"
    assert sideways_hold(replace(long, length=17.0), 18) == 0, "it does not reach the spoilboard"
    thin, thick = (sideways_hold(HoldDown("pin", "pin", 0, 0, radius, 0.0), 18) for radius in (3, 6))
    assert 0 < 2 * thin == thick, "a pin is held by its hole"


# What is shared out.


def _bar(count: int, length: float, across: bool = True) -> Group:
    """A tab along X: so many parts of one length, 1 N/mm each."""
    at = (np.arange(count) + 0.5) / count * length - length / 2
    force = np.full((count, 1), length / count)
    return Group(np.ones(count, bool), np.stack([at, 0 * at], 1), np.tile([0.0, 1.0], (count, 1)), force, force, force)


def test_one_tab_is_bent_as_a_beam_is():
    """A push of 1 N along the tab's own line of push, and one at an arm: 1/A, and 6 M / (t L^2) at its ends."""
    bar = _bar(2000, 8.0)
    assert worst_share(bar, np.array([[0.0, 0.0]])) == pytest.approx(1 / 8, rel=1e-3)
    far = worst_share(bar, np.array([[0.0, 100.0]]))
    assert far == pytest.approx(6 * 100 / 8**2, rel=0.02)


@given(st.floats(0, 2 * pi), st.floats(-50, 50), st.floats(-50, 50), st.integers(0, 10_000))
@examples(100)
def test_worst_direction_is_no_better_than_any_other(turned, x, y, seed):
    """Against the plain sum of shifts and turns for pushes in every direction."""
    rng = np.random.default_rng(seed)
    place, angle = rng.uniform(-40, 40, (7, 2)), rng.uniform(0, 2 * pi, 7)
    normal = np.stack([np.cos(angle), np.sin(angle)], 1)
    stiff, pull, shear = rng.uniform(0.5, 5, (3, 7, 1))
    group = Group(np.ones(7, bool), place, normal, stiff, pull, shear)
    found = float(worst_share(group, np.array([[x, y]]))[0])
    middle = (stiff * place).sum(0) / stiff.sum()
    out, arm = place - middle, np.array([x, y]) - middle
    shares = []
    for direction in np.linspace(0, 2 * pi, 721) + turned:
        push = np.array([np.cos(direction), np.sin(direction)])
        moment = arm[0] * push[1] - arm[1] * push[0]
        turn = moment / (stiff[:, 0] * (out**2).sum(1)).sum() * np.stack([-out[:, 1], out[:, 0]], 1)
        each = stiff * (push / stiff.sum() + turn)
        square = (each * normal).sum(1) ** 2 / pull[:, 0] ** 2
        square += (each[:, 0] * normal[:, 1] - each[:, 1] * normal[:, 0]) ** 2 / shear[:, 0] ** 2
        shares.append(square.max() ** 0.5)
    assert max(shares) <= found * (1 + 1e-9) and found <= max(shares) * 1.001


def test_a_sliver_of_wood_beside_a_screw_takes_nothing_from_it():
    sliver = _bar(1, 0.1)
    screw = Group(np.zeros(6, bool), np.array([[20 + np.cos(a), np.sin(a)] for a in np.arange(6.0)]),
                  np.tile([1.0, 0.0], (6, 1)), *[np.full((6, 1), 60.0)] * 3)  # fmt: skip
    both = Group(*(np.concatenate(each) for each in zip(sliver, screw, strict=True)))
    at, one = np.array([[30.0, 5.0]]), np.ones(1)
    assert load(both, at, one, one) == load(screw, at, one, one) == yielding_share(screw, at)


# What is said of programs.


@pytest.mark.sample(3)
@pytest.mark.parametrize(("part", "wide", "high"), [((100, 60), 8, 4), ((80, 80), 6, 3), ((140, 40), 10, 5)])
@pytest.mark.parametrize("wood", ["", "ponderosa pine", "hard maple", "plywood", "MDF"])
def test_one_tab_is_danger_for_a_whole_part(part, wide, high, wood):
    fixture = replace(BARE, board=replace(BOARD, wood=wood))
    made = report(fixture, shape=tp.rectangle(*part, (100, 70)), tabs=tabs(1, wide, high))
    assert weak(made) == [("weak-hold", "danger")], str(made)


def test_four_tabs_hold_it():
    made = report(tabs=tabs(4))
    assert made.ok and factor(made) > 3
    assert any("128 mm2 of wood in 4 places" in note for note in made.notes), made.notes


@pytest.mark.parametrize("shape", [tp.circle(40, (100, 70)), tp.rectangle(50, 30, (100, 70))])
def test_a_grip_of_a_square_millimetre_is_none(shape):
    small, all_of_it = (replace(BARE, grips=(area,)) for area in (box(100, 70, 101, 71), BOARD.outline))
    assert ("weak-hold", "danger") in weak(report(small, shape=shape, side="inside"))
    assert report(all_of_it, shape=shape, side="inside").ok


def test_a_whole_part_cut_free_is_danger():
    assert ("loose-piece", "danger") in weak(report(shape=tp.rectangle(150, 100, (100, 70))))


def test_thicker_and_wider_tabs_hold_more():
    thin, thick = (factor(report(tabs=tabs(3, 8, high))) for high in (2, 4))
    assert thick == pytest.approx(2 * thin, rel=0.03)
    narrow, wide = (factor(report(tabs=tabs(3, across, 4))) for across in (6, 12))
    assert 1.8 * narrow < wide < 2.6 * narrow


def test_more_feed_pushes_harder_and_harder_wood_too():
    slow, fast = (factor(report(cutter=replace(T1, feed_mm_min=feed), tabs=tabs(3))) for feed in (1000, 2000))
    assert fast < slow < 2 * fast
    deep = factor(report(cutter=replace(T1, step_down=6), tabs=tabs(3)))
    assert deep < factor(report(tabs=tabs(3)))


def test_across_the_grain_a_tab_is_weaker():
    """Two tabs, above and below: across the grain if that runs along X."""
    both = [factor(report(replace(BARE, board=replace(BOARD, grain_deg=turned)), tabs=tabs(2))) for turned in (0, 90)]
    assert both[0] < both[1]


@pytest.mark.parametrize("cell", [0.25, 1.0])
def test_cells_make_no_difference(cell):
    for more in ({"tabs": tabs(3)}, {"skin": 0.5}, {"tabs": tabs(5, 7, 3), "shape": tp.circle(90, (100, 70))}):
        assert factor(report(cell=cell, **more)) == pytest.approx(factor(report(cell=0.5, **more)), rel=0.1)


def test_what_holds_the_board_is_judged_once_two_things_do():
    """Two clamps at one end bear less than one at each; of one alone not all was declared; two small heads: a doubt."""
    ends = (box(0, 60, 20, 80), box(0, 100, 20, 120), box(180, 60, 200, 80))
    one, close, apart = (
        replace(BARE, clamps=tuple(tp.Clamp(area=ends[nth], height=8) for nth in some))
        for some in ((0,), (0, 1), (0, 2))
    )
    slot = {"shape": tp.rectangle(60, 60, (130, 70)), "depth": 5, "side": "inside"}
    assert factor(report(close, **slot)) < factor(report(apart, **slot))
    assert not [note for note in report(one, **slot).notes if "What holds" in note]
    tiny = tp.screws([(8, 8), (8, 132)], head_diameter=2, height=1, length=19)
    assert weak(report(replace(BARE, screws=tiny), **slot)) == [("weak-hold", "doubt")]


def test_pins_help_where_something_holds():
    pins = tp.dowels([(10, 70), (190, 70)], diameter=8, depth=6)
    held = tp.screws([(20, 64), (20, 76)], head_diameter=8, height=2)
    back = replace(BARE, dowels=pins).turned_over("left to right", screws=held)
    bare = replace(BARE, turned="left to right", screws=held)
    slot = {"shape": tp.rectangle(60, 60, (70, 70)), "depth": 5, "side": "inside"}
    assert factor(report(back, **slot)) > 2 * factor(report(bare, **slot))
    only = replace(BARE, dowels=pins).turned_over("left to right")
    assert not [note for note in report(only, **slot).notes if "What holds" in note], "pins alone hold nothing"


def test_vacuum_holds_less_than_tape_and_a_vise_more():
    def by(word):
        fixture = replace(BARE, grips=(tp.Grip(area=PART.buffer(-10), by=word),))
        return factor(report(fixture))

    assert by("vacuum") < by("tape") < by("vise")
    assert by("tape") == factor(report(replace(BARE, grips=(PART.buffer(-10),)))), "an area alone is tape"


def test_what_is_taken_for_granted_is_said():
    made = report(replace(BARE, grips=(box(99, 69, 101, 71),)))
    (finding,) = [each for each in made if each.code == "weak-hold"]
    assert "1 hold-down (taken for granted: tape that stands 0.2 N/mm2)" in finding.message
    assert finding.severity == "danger" and 0 <= finding.amount < 1 == finding.limit


# Which piece a push bears on.

SLUG_AT = (100.0, 70.0)
TAPED = replace(BARE, grips=(BOARD.outline,))


def ring(off: float, z: float) -> str:
    """Once round a square at so much from its middle, on from its lower left corner."""
    (x, y), around = SLUG_AT, [(1, -1), (1, 1), (-1, 1), (-1, -1)]
    return f"G1 Z{z} F300\n" + "".join(f"G1 X{x + off * i:g} Y{y + off * j:g} F1500\n" for i, j in around)


def slotted(last: float, wide: float, step: float = 1.15):
    """A square slug of that size cut free in many passes, then once round at full depth, `last` mm farther out."""
    (x, y), off = SLUG_AT, wide / 2 + 3
    passes = "".join(ring(off, round(-step * (nth + 1), 3)) for nth in range(16))
    out = off + last
    over = f"G0 Z5\nG0 X{x - out:g} Y{y - out:g}\n"
    text = (
        f"G21 G90 G17\nG0 Z20\nT1 M6\nM3 S18000\nG4 P3\nG0 X{x - off:g} Y{y - off:g}\nG0 Z2\nG1 Z0 F300\n{passes}{over}"
    )
    return tp.simulate(text + ring(out, -18.4) + "G0 Z20\nM5\nM30\n", TAPED, [T1], cell=0.5)


@pytest.mark.parametrize(("wide", "last"), [(22.0, 0.6), (26.0, 0.4), (22.0, 1.0)])
def test_a_last_pass_that_stays_off_a_slug_does_not_push_it(wide, last):
    """The same pass as far inside, against the slug, pushes it hard."""
    without, outside, inside = slotted(0.0, wide), slotted(last, wide), slotted(-last, wide)
    assert factor(outside) == pytest.approx(factor(without), rel=0.02), (str(outside), str(without))
    assert factor(inside) < 0.8 * factor(outside)
