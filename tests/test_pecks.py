"""How far a cutter may go straight down until its chips are cleared: to the judge, and as drill() makes it."""

from __future__ import annotations

from dataclasses import replace

import pytest

import toolpaths as tp
from toolpaths import Board, Cutter, Fixture, drill_point, flat, simulate

BOARD = Board(width=200, height=120, thickness=40)
FIXTURE = Fixture(board=BOARD, grips=(BOARD.outline,), spoilboard_depth=0.5)
HEAD = "G21 G90 G17 G94\nG0 Z20\nT1 M6\nM3 S9000\nG4 P2\nG0 X30 Y30\nG0 Z1\n"
TAIL = "\nG0 Z20\nM5\nM30\n"


def found(body: str, cutter: Cutter) -> list[tuple[str, int, float]]:
    report = simulate(HEAD + body + TAIL, FIXTURE, [cutter], cell=0.5)
    return [(finding.code, finding.line, pytest.approx(finding.amount)) for finding in report.findings]


def bit(diameter: float, **more: float) -> Cutter:
    return Cutter(1, drill_point(diameter), 400, 9000, cutting_length=45, **more)


@pytest.mark.sample(4)
@pytest.mark.parametrize("diameter", [1.5, 2.0, 3.0, 5.0])
@pytest.mark.parametrize(
    "drilled", ["G1 Z-{z} F300", "G81 X30 Y30 Z-{z} R1 F300\nG80", "G83 X30 Y30 Z-{z} R1 Q45 F300\nG80"]
)
def test_a_drill_goes_four_diameters_at_once(diameter, drilled):
    assert found(drilled.format(z=4 * diameter), bit(diameter)) == []
    assert found(drilled.format(z=4 * diameter + 0.1), bit(diameter)) == [("deep-peck", 8, 4 * diameter + 0.1)]
    assert found(drilled.format(z=20.5), bit(diameter)) == [("deep-peck", 8, 20.5)]


@pytest.mark.parametrize("back", ["G98", "G99"])
@pytest.mark.parametrize("diameter", [2.0, 3.0])
def test_a_peck_of_a_deep_hole_takes_two_diameters(back, diameter):
    cycle = f"{back} G83 X30 Y30 Z-24 R1 Q{{q}} F300\nG80"
    assert found(cycle.format(q=2 * diameter), bit(diameter)) == []
    assert found(cycle.format(q=2 * diameter + 0.1), bit(diameter)) == [("deep-peck", 8, 2 * diameter + 0.1)]


def test_the_finding_says_that_a_cycle_makes_no_peck():
    text = HEAD + "G99 G83 X30 Y30 Z-{z} R1 Q{q} F300\nG80" + TAIL
    (finding,) = simulate(text.format(z=12, q=20), FIXTURE, [bit(2)], cell=0.5).findings
    assert "no peck is made" in finding.message
    (finding,) = simulate(text.format(z=12, q=8), FIXTURE, [bit(2)], cell=0.5).findings[:1]
    assert "no peck is made" not in finding.message


@pytest.mark.parametrize("retract", [0.5, 0.0, -0.1, -2.0])
def test_chips_are_cleared_only_out_of_the_wood(retract):
    pecks = "\n".join(f"G1 Z-{z} F300\nG0 Z{retract}\nG0 Z-{z - 0.2:.1f}" for z in range(4, 29, 4))
    codes = [code for code, _, _ in found(pecks, bit(2))]
    assert codes == ([] if retract >= 0 else ["deep-peck"])


def test_pecks_of_holes_in_turn_count_from_where_each_was_left():
    holes = "\n".join(f"G0 X{x}\nG1 Z-{z} F300\nG0 Z1" for z in range(4, 25, 4) for x in (30, 40, 50))
    assert found(holes, bit(2)) == []


def test_in_a_recess_chips_are_cleared_above_its_floor():
    recess = "G1 Z-4 F300\nG1 X60 F900\nG1 Y40\nG1 X30\nG1 Y30\nG0 Z20\nM5\nT2 M6\nM3 S9000\nG4 P2\nG0 X30 Y30\nG0 Z-3"
    pecks = "\n".join(f"G1 Z-{z} F300\nG0 Z{{}}\nG0 Z-{z - 0.2:.1f}" for z in range(8, 25, 4))
    rack = [Cutter(1, flat(8), 1200, 9000), replace(bit(2), number=2)]
    for out, codes in ((-3.5, ()), (-4.5, ("deep-peck",))):
        report = simulate(HEAD + recess + "\n" + pecks.format(*[out] * 5) + TAIL, FIXTURE, rack, cell=0.5)
        assert report.codes() == codes, str(report)


def test_a_mill_goes_two_diameters_into_solid_wood_and_any_depth_where_its_chips_fall_out():
    mill = Cutter(1, flat(6), 1200, 9000, cutting_length=30)
    assert found("G1 Z-12 F300", mill) == []
    assert found("G1 Z-12.1 F300", mill) == [("deep-peck", 8, 12.1)]
    across = "G1 Z-14 F300\nG1 X60 F900"
    assert [code for code, _, _ in found(across, mill)] == ["deep-pass"], "one cause, one finding"
    assert [code for code, _, _ in found("G1 Z-14 F300\nG1 Z5\nG1 X60 F900", mill)] == ["deep-peck"]
    down = "\n".join(f"G1 Z-{z} F300\nG1 X60 F900\nG1 X30" for z in (6, 12, 18, 24))
    assert found(down, mill) == []


MILL = Cutter(1, flat(6), 1200, 9000, cutting_length=30)
OWN = [(bit(3), "deepest_peck"), (bit(3), "deepest_pass"), (bit(3), "step_down"), (MILL, "deepest_peck")]


@pytest.mark.parametrize(("cutter", "given"), OWN, ids=str)
def test_the_users_own_limit_holds(cutter, given):
    for own in (2.0, 15.0):
        mine = replace(cutter, **{given: own})
        assert found(f"G1 Z-{own} F300", mine) == []
        assert found(f"G1 Z-{own + 0.1} F300", mine) == [("deep-peck", 8, own + 0.1)]


def test_a_mill_that_bears_a_deeper_pass_bears_it_straight_down():
    deep = replace(MILL, deepest_pass=18)
    assert found("G1 Z-18 F300", deep) == []
    assert found("G1 Z-18.1 F300", deep) == [("deep-peck", 8, 18.1)]


def test_the_users_own_limit_for_the_first_stretch_holds():
    mine = bit(3, deepest_peck=5, deepest_hole=9)
    assert found("G83 X30 Y30 Z-20 R1 Q5 F300\nG80", mine) == []
    assert found("G1 Z-9 F300", mine) == []
    assert found("G1 Z-9.1 F300", mine) == [("deep-peck", 8, 9.1)]


@pytest.mark.parametrize(("depth", "pecks"), [(12, 1), (12.5, 3), (tp.through(0.3), 8)])
def test_drill_makes_pecks_where_the_hole_is_deeper_than_the_drill_bears(depth, pecks):
    cutter = Cutter(1, drill_point(3), 400, 9000, cutting_length=45)
    setup = tp.Setup(FIXTURE, work=(tp.drill([(40, 40)], cutter, depth=depth),))
    job = tp.Job("holes", [setup])
    (text,) = job.programs().values()
    motions = tp.read(text).motions
    assert ((motions.kind == 1) & (motions.end[:, 2] < motions.start[:, 2])).sum() == pecks
    assert not job.report(cell=0.5).findings


def test_no_peck_but_that_of_the_user():
    cutter = Cutter(1, drill_point(3), 400, 9000, cutting_length=45)
    setup = tp.Setup(FIXTURE, work=(tp.drill([(40, 40)], cutter, depth=30, peck=0),))
    assert [found.finding.code for found in tp.Job("holes", [setup]).report(cell=0.5).findings] == ["deep-peck"]
