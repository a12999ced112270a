"""Straight inlays: one shape for recess and insert, corners matched to the cutter, and the gap between both."""

from __future__ import annotations

import pickle
from dataclasses import replace
from math import pi, sqrt

import numpy as np
import pytest
import shapely
from pathcheck import segments
from shapely import Polygon, box

import toolpaths as tp
from toolpaths.facts.inlaid import Inlaid
from toolpaths.job.wood_left import settings_of
from toolpaths.judging.fit.inlay_fit import InlayFit
from toolpaths.judging.fit.laid_in import laid_in
from toolpaths.judging.trial.case import Case, make_case
from toolpaths.making.motion.toolpath import Toolpath
from toolpaths.shapes.matched_corners import matched

LID = tp.Board(width=110, height=100, thickness=18, name="lid")
VENEER = tp.Board(width=110, height=100, thickness=4.5, name="veneer")
T1 = tp.Cutter(1, tp.flat(6), feed_mm_min=1500, spindle_rpm=18000)
T2 = tp.Cutter(2, tp.flat(3), feed_mm_min=900, spindle_rpm=18000)
FRONT, INSERT = (tp.Fixture(board=board, grips=(board.outline,)) for board in (LID, VENEER))
BACK = FRONT.turned_over("left to right", grips=(LID.outline,))


def letter() -> Polygon:
    """An R without curves: like none of its mirror images, with an eye."""
    outline = [(0, 0), (12, 0), (12, 22), (20, 22), (32, 0), (46, 0), (32, 26), (40, 34), (40, 52), (32, 60), (0, 60)]
    return tp.centre_on(Polygon(outline, [[(12, 34), (12, 48), (28, 48), (28, 34)]]), (52, 48))


def inlay(shape: shapely.Geometry | None = None, **changes) -> tp.StraightInlay:
    given = {"cutters": [T1, T2], "gap": 0.05, "depth": 4.0, "thickness": 4.5, "at": (50, 52)} | changes
    return tp.straight_inlay(letter() if shape is None else shape, **given)


def ground(path: Toolpath, below: float) -> shapely.Geometry:
    """What a straight cutter sweeps at feed below a height, arcs however small in 30 chords."""
    lines = [
        shapely.LineString([segment.at(share) for share in np.linspace(0, 1, 31 if segment.sweep else 2)])
        for segment, move, z in segments(path)
        if move.kind == "cut" and max(z, move.z) < below and segment.length > 1e-6
    ]
    return shapely.union_all([line.buffer(path.cutter.radius, quad_segs=64) for line in lines])


def cases(*setups: tp.Setup) -> list[Case]:
    """What the programs of one board do."""
    job = tp.Job("One board", setups)
    sides = [(setup, {name: job.programs()[name]}) for setup, name in zip(setups, job.names)]
    return [make_case(each.program, each.fixture, each.cutters) for each in settings_of(sides)]


def fit_of(laid: Inlaid, recess: list[tp.Operation], insert: list[tp.Operation]) -> InlayFit:
    """The fit of whatever work was done for a recess and its insert."""
    return laid_in(laid, cases(tp.Setup(FRONT, recess)), cases(tp.Setup(INSERT, insert)))


@pytest.mark.parametrize("radius", [0.5, 1.5875, 4.0])
def test_a_square_corner_loses_what_the_cutter_leaves(radius):
    """(1 - pi/4) r2 at each corner, and its tip lies r (sqrt 2 - 1) off: reference D.3, 1.5875 gives 2.163321 in four
    corners and 0.657564."""
    found = matched(tp.rectangle(40, 40), radius, 0.01)
    # What a chord leaves of an arc, of which each corner has a quarter.
    assert found.taken_mm2 == pytest.approx(4 * (1 - pi / 4) * radius**2, abs=4 * radius * pi / 2 * 0.0025)
    assert found.moved == pytest.approx((sqrt(2) - 1) * radius, abs=0.0025)
    assert found.added_mm2 == pytest.approx(0, abs=1e-3)


@pytest.mark.sample(1)
@pytest.mark.parametrize("radius", [1.0, 1.5, 3.0])
def test_the_common_shape_survives_opening_and_closing(radius):
    """So a disc of that radius reaches all of it from inside, and all around it from outside (GEOS buffers)."""
    common = matched(letter(), radius, 0.01).area
    less = radius - 0.01
    opened = common.buffer(-less, quad_segs=64).buffer(less, quad_segs=64)
    closed = common.buffer(less, quad_segs=64).buffer(-less, quad_segs=64)
    for other in (opened, closed):
        left = shapely.difference(common, other.buffer(0.005)), shapely.difference(other, common.buffer(0.005))
        assert [part.area for part in left] == pytest.approx([0, 0], abs=1e-3)


@pytest.mark.long
def test_nothing_is_changed_where_the_cutter_gets_everywhere():
    shape = tp.rectangle(40, 30, (50, 50), corner_radius=5)
    assert matched(shape, 3.0, 0.01).area.equals(shape)
    assert inlay(shape).notes == ()
    assert len(inlay().notes) == 1


@pytest.mark.sample(1)
@pytest.mark.parametrize("gap", [0.0, 0.05, 0.2])
def test_gap_between_toolpaths_is_the_one_asked_for(gap):
    """Ground that discs sweep along both toolpaths, by GEOS; the judge is not asked. 0.02 mm is the goal."""
    one = inlay(cutters=[T2], gap=gap)
    (down,), (round_it,) = (work[0].toolpaths(at) for work, at in ((one.recess, FRONT), (one.insert, INSERT)))
    recess = ground(down, -3.9)
    pieces = shapely.get_parts(VENEER.outline.difference(ground(round_it, -4.4)))
    middle = one.laid.placed(shapely.Point(30.5, 40))
    (insert,) = [piece for piece in pieces if piece.contains(middle)]
    places = shapely.points(shapely.get_coordinates(insert.segmentize(0.5)))
    back = one.laid.placed(recess)
    away = shapely.distance(back.boundary, places) * np.where(shapely.contains(back, places), 1, -1)
    assert np.abs(away - gap).max() < 0.02


@pytest.mark.sample(0, long=2)
@pytest.mark.parametrize("case", [{}, {"turned_deg": 90.0}, {"turned_deg": -20.0, "at": (55, 50)}])
def test_insert_fits_its_recess_as_simulated(case):
    one = inlay(tabs=tp.Tabs(count=3, width=4, height=1), **case)
    fit = tp.Job("Lid", [tp.Setup(FRONT, one.recess), tp.Setup(INSERT, one.insert)]).fit(one)
    assert fit.off < 0.01
    assert (fit.overlap_mm3, fit.floor_room, fit.proud) == pytest.approx((0, 0, 0.5), abs=1e-6)
    assert tp.Job("Lid", [tp.Setup(FRONT, one.recess), tp.Setup(INSERT, one.insert)]).report(cell=1.0).ok


@pytest.mark.long
def test_insert_of_a_recess_in_the_back_is_mirrored():
    """Seen from the back a shape that was drawn from the front is its mirror image."""
    one = inlay(face="back")
    first = tp.Setup(FRONT, [tp.bore([(10, 10)], 8, T1, depth=3)])
    setups = [first, tp.Setup(BACK, one.recess, after=first), tp.Setup(INSERT, one.insert)]
    fit = tp.Job("Lid", setups).fit(one)
    assert (fit.off < 0.01, fit.overlap_mm3) == (True, 0.0)
    assert one.laid.placed(one.shape).symmetric_difference(inlay().laid.placed(one.shape)).area > 300


@pytest.mark.long
def test_faults_of_an_insert_are_measured():
    """One that is larger all round, one moved aside, one mirrored, one too deep, as plain sums have them."""
    one = inlay(cutters=[T2])
    right = fit_of(one.laid, list(one.recess), list(one.insert))
    assert right.off < 0.01
    shape = one.laid.placed(one.shape)
    larger = fit_of(one.laid, list(one.recess), [tp.contour(tp.offset(shape, 0.08), T2, depth=tp.through(0.3))])
    assert (larger.mean, larger.greatest) == pytest.approx((-0.03, -0.03), abs=0.01)
    aside = fit_of(one.laid, list(one.recess), [tp.contour(tp.move(shape, 0.3, 0), T2, depth=tp.through(0.3))])
    assert (aside.least, aside.greatest) == pytest.approx((-0.25, 0.35), abs=0.012)
    # 0.25 wide, as high as the recess is deep, beside the upright walls that face to the right.
    assert aside.overlap_mm3 > 0.25 * 4 * 30
    wrong = replace(one, face="back").laid.placed(one.shape)
    mirrored = fit_of(one.laid, list(one.recess), [tp.contour(wrong, T2, depth=tp.through(0.3))])
    assert mirrored.overlap_mm3 > 200 and mirrored.off > 0.9
    deep = [replace(operation, depth=4.4) for operation in one.recess]
    assert fit_of(one.laid, deep, list(one.insert)).floor_room == pytest.approx(0.4, abs=1e-6)


@pytest.mark.long
def test_a_job_with_inlays_judges_that_they_fit():
    """What widens a recess by 0.2 is all meant, and found where the insert is held against it, no sooner."""
    one = inlay(tp.rectangle(30, 20, (50, 45)))
    insert = tp.Setup(INSERT, one.insert)
    sound = tp.Job("Lid", [tp.Setup(FRONT, one.recess), insert], inlays=[one])
    assert "inlay-gap" not in sound.report(cell=1.0).codes() and pickle.loads(pickle.dumps(sound)) == sound
    wider = tp.pocket(tp.rectangle(30.5, 20.5, (50, 45), corner_radius=1.75), T2, depth=4, name="once more")
    setups = [tp.Setup(FRONT, [*one.recess, wider]), insert]
    assert "inlay-gap" not in tp.Job("Lid", setups).report(cell=1.0).codes()
    found = [each for each in tp.Job("Lid", setups, inlays=[one]).report(cell=1.0) if each.finding.code == "inlay-gap"]
    assert [each.side for each in found] == [""] and found[0].finding.amount == pytest.approx(0.2, abs=0.01)
    with pytest.raises(tp.InputError, match=r"list \*inlay.insert in one"):
        tp.Job("Lid", [tp.Setup(FRONT, one.recess)], inlays=[one])


@pytest.mark.parametrize(
    ("changes", "says"),
    [
        ({"thickness": 3.5}, "depth=3.5 or less, or an insert of 4 mm or more"),
        ({"gap": 1.5}, "less than 1.5"),
        ({"cutters": []}, "at least"),
        ({"cutters": tp.Cutter(3, tp.ball(3), feed_mm_min=900, spindle_rpm=18000)}, "takes flat ones"),
        ({"cutters": T1, "shape": tp.slot((30, 50), (70, 50), 5)}, "Take one of 5 mm or less"),
        ({"cutters": T1, "shape": box(20, 20, 70, 70) - box(42, 0, 46, 60)}, "a gap of it is narrower than the cutter"),
    ],
)
def test_what_cannot_be_is_refused_with_what_would_do(changes, says):
    with pytest.raises((tp.InputError, tp.DoesNotFitError), match=says):
        inlay(**changes)


@pytest.mark.long
def test_an_inlay_that_no_setup_lists_is_refused():
    one = inlay()
    job = tp.Job("Lid", [tp.Setup(FRONT, one.recess)])
    with pytest.raises(tp.InputError, match=r"lists the insert of inlay: list \*inlay.insert"):
        job.fit(one)
    with pytest.raises(tp.InputError, match="recess"):
        job.fit(inlay(gap=0.1))


def test_an_inlay_is_a_value():
    one = inlay()
    again = pickle.loads(pickle.dumps(one))
    assert (again, again.recess, again.insert) == (inlay(), one.recess, one.insert)
    assert "inlay" in repr(one) and "0.5 mm proud" in str(one) and len(repr(one)) < 120
