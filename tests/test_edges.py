"""Edges rounded and coved: a quarter circle of the cutter's own radius, by formulas that stand here."""

from __future__ import annotations

import re
from dataclasses import replace
from math import pi

import numpy as np
import pytest
from pathcheck import MIDDLE, SIDES, T6, VEE, check_motion, run_text, segments, turning

import toolpaths as tp
from toolpaths.making.motion.toolpath import CUT

ROUNDER = tp.Cutter(8, tp.rounding(4, 5), feed_mm_min=1500, spindle_rpm=16000, step_down=4, shank_diameter=8)
BALL8 = tp.Cutter(9, tp.ball(8), feed_mm_min=1500, spindle_rpm=16000, step_down=4)
BULL = tp.Cutter(10, tp.bull_nose(12, 4), feed_mm_min=1500, spindle_rpm=16000, step_down=4)
CUTS = {
    "rounded": (tp.round_edge, ROUNDER), "coved by a ball": (tp.cove_edge, BALL8),
    "coved by a bull nose": (tp.cove_edge, BULL),
}  # fmt: skip


def meant(rounded: bool, into: np.ndarray, radius: float) -> np.ndarray:
    """Depth so far inside the wall: the edge's circle about a place as far inside and down as its radius, or about the
    edge itself."""
    from_middle = np.sqrt(np.maximum(radius**2 - (radius - into if rounded else into) ** 2, 0.0))
    return radius - from_middle if rounded else from_middle


@pytest.mark.sample(1)
@pytest.mark.parametrize("kind", CUTS)
@pytest.mark.parametrize("side", ["outside", "inside"])
@pytest.mark.parametrize("face", ["front", "left to right"])
def test_edge_is_a_quarter_circle_all_round(kind, side, face):
    make, cutter = CUTS[kind]
    fixture, shape = SIDES[face], tp.circle(50, (90, 65), tolerance=0.001)
    _, report = run_text([make(shape, cutter, side=side)], fixture=fixture, cell=0.2)
    lay, stock = fixture.place(shape), report.stock
    x, y = np.meshgrid(stock.grid.xs(), stock.grid.ys())
    into = np.hypot(x - lay.centroid.x, y - lay.centroid.y) - 25.0
    into = -into if side == "outside" else into

    assert report.ok, str(report)
    on = (into > 0.02) & (into < 3.98)
    assert on.sum() > 3000
    deep = [meant(kind == "rounded", into[on] + off, 4.0) for off in (-0.01, 0.01)]
    assert (-stock.top[on] >= np.minimum(*deep) - 1e-5).all()
    assert (-stock.top[on] <= np.maximum(*deep) + 1e-5).all()
    assert stock.top[into > 4.02].min() == 0


@pytest.mark.sample(1)
@pytest.mark.parametrize("radius, expected", [(3.175, 2.163321), (6.35, 8.653283), (9.525, 19.469886)])
def test_rounding_takes_what_the_formula_says(radius, expected):
    """(1 - pi/4) R^2 of each mm of edge, reference-2.md D.5."""
    assert (1 - pi / 4) * radius**2 == pytest.approx(expected, abs=1e-6)
    cutter = replace(ROUNDER, profile=tp.rounding(radius, 5), step_down=5)
    fixture = tp.Fixture(board=tp.Board(width=100, height=80, thickness=18), overhang=40)
    edge = tp.round_edge(tp.rectangle(150, 40, (50, 20)), cutter)
    _, report = run_text([edge], fixture=fixture, cell=0.1)
    stock, ys = report.stock, report.stock.grid.ys()
    part = stock.top[np.ix_(np.abs(ys - 30) < 10, np.abs(stock.grid.xs() - 50) < 10)]

    assert -part.sum(axis=0).mean() * 0.1 == pytest.approx(expected, rel=3e-3)


@pytest.mark.parametrize("direction", ["climb", "conventional"])
@pytest.mark.parametrize("side", ["outside", "inside"])
def test_edge_runs_the_way_asked(direction, side):
    for fixture in SIDES.values():
        (path,) = tp.round_edge(tp.circle(50, MIDDLE), ROUNDER, side=side, direction=direction).toolpaths(fixture)
        turn = turning(path, path.lowest)
        assert (turn > 0) == ((direction == "climb") == (side == "inside"))
        check_motion(path)


@pytest.mark.parametrize(
    ("step_down", "finish", "expected"),
    [(4, None, [4]), (2, None, [1.75, 3.5, 4]), (2, 0, [2, 4]), (4, 0.2, [3.8, 4]),
     (1, None, [0.875, 1.75, 2.625, 3.5, 4])],
)  # fmt: skip
def test_last_of_several_passes_is_light(step_down, finish, expected):
    cutter = replace(ROUNDER, step_down=step_down)
    (path,) = tp.round_edge(tp.circle(50, MIDDLE), cutter, finish=finish).toolpaths(SIDES["front"])

    levels = {-move.z for _, move, z in segments(path) if move.kind == CUT and move.z == z}
    assert sorted(levels) == pytest.approx(expected)


# ---- Judged against the part, and cut wrong.

PLATE = tp.rectangle(100, 70, MIDDLE, corner_radius=8)


def job_of(*work) -> tp.Job:
    screws = tp.screws([(8, 8), (192, 8), (8, 132), (192, 132)], head_diameter=9, height=3)
    return tp.Job("Plate", [tp.Setup(replace(SIDES["front"], screws=screws), list(work))])


def found_after(job: tp.Job, pattern: str, by: str) -> list[tp.Finding]:
    (text,) = job.programs().values()
    changed, count = re.subn(pattern, by, text)
    assert count
    cutters = [ROUNDER, BALL8, BULL, T6]
    (setup,) = job.setups
    report = tp.simulate(changed, setup.fixture, cutters, part=job.part)
    return [finding for finding in report.findings if finding.code in ("gouge", "leftover")]


@pytest.mark.sample(0)
@pytest.mark.parametrize("kind", CUTS)
def test_edge_alone_and_with_its_wall_is_as_meant(kind):
    make, cutter = CUTS[kind]
    edge, cut = (
        make(PLATE, cutter),
        tp.contour(PLATE, T6, depth=tp.through(0.3), tabs=tp.Tabs(count=4, width=8, height=4)),
    )
    for work in ([edge], [edge, cut], [cut, edge]):
        report = job_of(*work).report()
        assert report.ok, str(report)


@pytest.mark.sample(2)
@pytest.mark.parametrize("kind", CUTS)
@pytest.mark.parametrize(
    ("by", "code"), [("Z-4.1", "gouge"), ("Z-3.9", "leftover"), ("Z-4.06", "gouge"), ("Z-3.94", "leftover")]
)
def test_edge_cut_too_deep_or_not_deep_enough_is_found(kind, by, code):
    """Too deep the full diameter leaves a step on the face (reference-2.md D.5)."""
    make, cutter = CUTS[kind]
    found = found_after(job_of(make(PLATE, cutter)), r"Z-4\b(?!\.)", by)

    assert code in {finding.code for finding in found}


@pytest.mark.sample(1)
@pytest.mark.parametrize(
    "wrong", [tp.rounding(4.1, 4.8), tp.rounding(3.9, 5.2), tp.rounding(4, 5.2), tp.rounding(4, 4.8)]
)
def test_edge_cut_by_another_cutter_is_found(wrong):
    """Of another radius, or of another small end, and as wide or not."""
    job = job_of(tp.round_edge(PLATE, ROUNDER))
    (text,) = job.programs().values()
    (setup,) = job.setups
    report = tp.simulate(text, setup.fixture, [replace(ROUNDER, profile=wrong)], part=job.part)

    assert {"gouge", "leftover"} & {finding.code for finding in report.findings}


def test_head_names_the_cutter():
    (text,) = job_of(tp.round_edge(PLATE, ROUNDER)).programs().values()
    assert "(T8: rounding 13 radius 4, 2 flutes, 16000 rpm)" in text
    (setup,) = job_of(tp.round_edge(PLATE, ROUNDER)).setups
    report = tp.simulate(text, setup.fixture, [replace(ROUNDER, profile=tp.rounding(3, 7))])
    assert "head-differs" in {finding.code for finding in report.findings}


@pytest.mark.long
def test_edge_of_an_opening_in_the_floor_of_a_pocket_before_and_after_it():
    tray, opening = tp.rectangle(110, 80, MIDDLE, corner_radius=10), tp.rectangle(60, 40, MIDDLE)
    first, edge = tp.pocket(tray, [T6], depth=4), tp.round_edge(opening, ROUNDER, side="inside", from_depth=4)
    last = tp.pocket(opening, [T6], depth=11, from_depth=4)
    for work in ([first, edge, last], [first, last, edge], [tp.any_order(last, edge, first)]):
        job = job_of(*work)
        report = job.report()
        assert report.ok, str(report)
        assert any("of edge less rounded in corners" in note for note in job.setups[0].notes)


# ---- Over tabs, and in which order.


THIN = replace(SIDES["front"].board, thickness=6)


def thin_job(*work) -> tp.Job:
    screws = tp.screws([(8, 8), (192, 8), (8, 132), (192, 132)], head_diameter=9, height=3)
    return tp.Job("Plate", [tp.Setup(tp.Fixture(board=THIN, screws=screws), list(work))])


def test_tabs_higher_than_what_a_rounded_edge_leaves_are_refused_with_the_height_that_fits():
    """Of 6 mm an edge of radius 4 leaves 2 along the wall."""
    edge = tp.round_edge(PLATE, ROUNDER)
    with pytest.raises(tp.DoesNotFitError, match=r"leaves along the cut, 2\.00 mm; take tabs of 2 mm or less"):
        thin_job(edge, tp.contour(PLATE, T6, depth=tp.through(0.3), tabs=tp.Tabs(count=4, width=10, height=3)))
    low = tp.contour(PLATE, T6, depth=tp.through(0.3), tabs=tp.Tabs(count=4, width=10, height=1.5))
    for work in ([edge, low], [low, edge], [tp.any_order(low, edge)]):
        report = thin_job(*work).report()
        assert report.ok, str(report)


@pytest.mark.long
def test_an_edge_over_tabs_that_are_higher_than_its_tip_is_refused_and_found():
    cut = tp.contour(PLATE, T6, depth=tp.through(0.3), tabs=tp.Tabs(count=4, width=10, height=3))
    with pytest.raises(tp.DoesNotFitError, match=r"1\.00 mm into the tabs of the contour outside near .* of 2 mm or"):
        thin_job(cut, tp.round_edge(PLATE, ROUNDER))
    with pytest.raises(tp.DoesNotFitError, match=r"into the tabs of the contour outside near"):
        thin_job(cut, tp.chamfer(PLATE, VEE, width=4))
    # Tabs that were cut off before are none.
    freed = tp.contour(PLATE, T6, depth=tp.through(0.3), from_depth=3)
    assert thin_job(cut, freed, tp.round_edge(PLATE, ROUNDER))
    # What is fastened anew between the two is not looked at when it is planned, but when it is judged.
    first = thin_job(cut).setups[0]
    report = tp.Job("Plate", [first, tp.Setup(first.fixture, [tp.round_edge(PLATE, ROUNDER)], after=first)]).report()
    assert any("a tab across the contour outside is 2.00 mm high, and 3 mm is meant" in str(f) for f in report.findings)


def test_in_any_order_edges_come_before_what_frees_them():
    opening = tp.rectangle(40, 30, MIDDLE)
    tabs = tp.Tabs(count=2, width=8, height=4)
    work = [
        tp.contour(PLATE, T6, depth=tp.through(0.3), tabs=tp.Tabs(count=4, width=8, height=4), name="outline"),
        tp.contour(opening, T6, depth=tp.through(0.3), side="inside", tabs=tabs, name="opening"),
        tp.cove_edge(opening, BULL, side="inside", name="cove"), tp.round_edge(PLATE, ROUNDER, name="round"),
    ]  # fmt: skip
    (setup,) = job_of(tp.any_order(*work)).setups
    names = [step.name for step in setup.steps]

    assert names.index("cove") < names.index("opening") < names.index("outline")
    assert names.index("round") < names.index("outline")


@pytest.mark.long
def test_edge_rounded_from_both_faces_with_tabs_between():
    """18 mm, radius 4 on either face: tabs 7 mm high reach 3 mm past the edge of the far face."""
    dowels = tp.dowels([(12, 70), (188, 70), (100, 14)], diameter=8, depth=5)
    screws = tp.screws([(8, 8), (192, 8), (8, 132), (192, 132)], head_diameter=9, height=3)
    front_side = replace(SIDES["front"], dowels=dowels, screws=screws)
    edge = tp.round_edge(PLATE, ROUNDER)
    holes = tp.bore([(12, 70), (188, 70), (100, 14)], 8, T6, depth=tp.through(5))
    for high, right in ((7, True), (4, False)):
        cut = tp.contour(PLATE, T6, depth=tp.through(0.3), tabs=tp.Tabs(count=4, width=8, height=high))
        front = tp.Setup(front_side, [holes, edge])
        back = tp.Setup(front_side.turned_over("left to right", screws=screws), [edge, cut], after=front)
        report = tp.Job("Both", [front, back]).report()
        assert report.ok == right, str(report)
        if not right:
            assert any(each.finding.code == "loose-piece" for each in report.findings)
        else:
            assert any("4 tabs stand, 8 mm wide and 3 mm thick" in note for _, r in report.sides for note in r.notes)


# ---- What cannot be cut.


def test_edges_take_cutters_of_their_kind():
    for make, wrong in ((tp.round_edge, BALL8), (tp.round_edge, VEE), (tp.cove_edge, ROUNDER), (tp.cove_edge, T6)):
        with pytest.raises(tp.InputError, match=r"An edge is (rounded|coved) by a .* is none"):
            make(tp.circle(50), wrong)


@pytest.mark.parametrize("wrong", [{"side": "on"}, {"direction": "both"}, {"from_depth": -0.1}, {"finish": 4}], ids=str)
def test_edge_wrong_choice_is_refused(wrong):
    with pytest.raises(tp.InputError):
        tp.round_edge(tp.circle(50), ROUNDER, **wrong)


def test_a_rounding_cutter_is_for_edges_and_lines():
    cutter, hole = ROUNDER, [MIDDLE]
    for wrong in (
        lambda: tp.contour(PLATE, cutter, depth=5), lambda: tp.pocket(PLATE, cutter, depth=5),
        lambda: tp.face(PLATE, cutter, depth=1), lambda: tp.bore(hole, 30, cutter, depth=5),
    ):  # fmt: skip
        with pytest.raises(tp.InputError, match="use it with round_edge"):
            wrong()
    report = job_of(tp.groove([(60, 70), (140, 70)], cutter, depth=4)).report()
    assert report.ok, str(report)


def test_a_rounding_cutter_has_a_small_end():
    """Judged as exactly as others down to there."""
    thin = replace(ROUNDER, profile=tp.rounding(4, 0.1), deepest_pass=4.5, cutting_length=5)
    with pytest.raises(tp.InputError, match=r"tip_diameter=0\.09 is below 0\.1 mm"):
        tp.rounding(4, 0.09)
    job = job_of(tp.round_edge(PLATE, thin))
    (text,), (setup,) = job.programs().values(), job.setups
    for z, code in ((4.1, "gouge"), (3.9, "leftover")):
        report = tp.simulate(re.sub(r"Z-4\b(?!\.)", f"Z-{z}", text), setup.fixture, [thin], part=job.part)
        assert code in {finding.code for finding in report.findings}


def test_edge_that_the_tip_cannot_follow_is_refused():
    with pytest.raises(tp.DoesNotFitError, match="finds no room inside the shape near"):
        tp.round_edge(tp.rectangle(4.8, 40, MIDDLE), ROUNDER, side="inside").toolpaths(SIDES["front"])


def test_corner_tighter_than_the_tip_is_noted():
    (path,) = tp.round_edge(tp.rectangle(50, 40, MIDDLE), ROUNDER, side="inside").toolpaths(SIDES["front"])
    assert any("of edge less rounded in corners" in note for note in path.notes)


def test_sheet_asks_for_the_sizes_that_count():
    sheet = job_of(tp.round_edge(PLATE, ROUNDER)).sheet()
    assert "the radius of its edges, 4, and its small end, 5 across, count" in sheet


# ---- Loads.


def test_pass_deeper_than_a_rounding_cutter_bears_is_found():
    """Half-way up its hollow it is 2 (2.5 + 4 (1 - cos 30 deg)) = 6.07 mm thick: so deep a pass it is taken to bear."""
    assert ROUNDER.profile.working_diameter == pytest.approx(5 + 8 * (1 - 3**0.5 / 2))
    assert replace(ROUNDER, step_down=None).running.step_down == pytest.approx(3.036, abs=1e-3)
    assert replace(ROUNDER, step_down=None).bears.deepest_pass == pytest.approx(6.072, abs=1e-3)
    (text,) = job_of(tp.round_edge(PLATE, ROUNDER)).programs().values()
    (setup,) = job_of(tp.round_edge(PLATE, ROUNDER)).setups
    for bears, found in ((3.5, True), (4.0, False)):
        report = tp.simulate(text, setup.fixture, [replace(ROUNDER, deepest_pass=bears)])
        assert ("deep-pass" in {finding.code for finding in report.findings}) == found


def test_advice_for_a_rounding_cutter_goes_by_its_diameter_half_way_up():
    advice = tp.advise(tp.rounding(6, 6), wood="oak", machine=tp.Machine())
    half_way = 6 + 12 * (1 - 3**0.5 / 2)

    assert advice.step_down.value == pytest.approx(0.3 * half_way)
    assert "half-way up its hollow" in advice.chip_mm.source
    # Its rim is what goes fastest.
    assert advice.surface_speed_m_s.value == pytest.approx(pi * 0.018 * advice.spindle_rpm.value / 60)
    assert any("thicker than any chart's" in note for note in advice.notes)
    careless = tp.Cutter(7, tp.rounding(6, 6), 1500, 18000, step_down=6)
    assert any(note.startswith("step_down=6 is 0.79 of the diameter") for note in tp.check_cutter(
        careless, wood="oak", machine=tp.Machine()))  # fmt: skip


FLAT6 = tp.Cutter(1, tp.flat(6), feed_mm_min=1500, spindle_rpm=18000, cutting_length=25)
WIDE_ROUND = tp.Cutter(3, tp.rounding(8, 6), feed_mm_min=1200, spindle_rpm=16000)
WIDE_VEE = tp.Cutter(4, tp.v_point(12, 90), feed_mm_min=1200, spindle_rpm=16000)
WIDE_BALL = tp.Cutter(5, tp.ball(16), feed_mm_min=1200, spindle_rpm=16000, step_down=8)
ONE = tp.rectangle(60, 60, (70, 100))


def beside(gap: float) -> tp.Contour:
    """Two parts so far apart."""
    return tp.contour(
        [ONE, tp.rectangle(60, 60, (130 + gap, 100))],
        FLAT6,
        depth=tp.through(0.3),
        tabs=tp.Tabs(count=4, width=8, height=4),
    )


def judged_beside(*work) -> tp.Job:
    board = tp.Board(width=300, height=200, thickness=18, wood="oak")
    return tp.Job("Two plates", [tp.Setup(tp.Fixture(board=board, grips=(board.outline,)), work)])


@pytest.mark.sample(1)
@pytest.mark.parametrize(
    ("edge", "near", "far"),
    [
        (tp.round_edge(ONE, WIDE_ROUND), 6.5, 40),
        (tp.round_edge(ONE, WIDE_ROUND), 10, 40),
        (tp.cove_edge(ONE, WIDE_BALL), 6.5, 40),
    ],
)
def test_the_far_flank_of_an_edge_takes_nothing_of_the_part_beside_it(edge, near, far):
    """Only the near flank is meant: beyond it lies waste, or another part that is to stay."""
    assert judged_beside(edge, beside(far)).report(cell=0.5).ok
    job = judged_beside(edge, beside(near))
    assert "gouge" in {found.finding.code for found in job.report(cell=0.5).findings}
    assert not job.proofs()["front"].holds and judged_beside(edge, beside(far)).proofs()["front"].holds


@pytest.mark.long
def test_the_far_flank_of_an_edge_takes_nothing_of_an_island():
    hole, island = tp.circle(73, (150, 100)), tp.circle(60, (150, 100))
    edge = tp.round_edge(hole, WIDE_ROUND, side="inside")
    assert judged_beside(tp.pocket(hole, FLAT6, depth=9), edge).report(cell=0.5).ok
    job = judged_beside(tp.pocket(hole, FLAT6, depth=9, islands=island), edge)
    assert "gouge" in {found.finding.code for found in job.report(cell=0.5).findings}
    assert not job.proofs()["front"].holds


@pytest.mark.parametrize("edge", [tp.round_edge(ONE, WIDE_ROUND), tp.chamfer(ONE, WIDE_VEE, width=4)])
def test_of_an_edge_without_a_wall_both_flanks_are_meant(edge):
    job = judged_beside(edge)
    assert job.report(cell=0.5).ok and job.proofs()["front"].holds
