"""Tapered inlays: a recess and a mirrored insert whose walls are one inset of the outline at every level."""

from __future__ import annotations

import pickle
from dataclasses import replace
from math import radians, tan

import numpy as np
import pytest
import shapely
from shapely import Polygon

import toolpaths as tp
from toolpaths.facts.features.slack import Slack
from toolpaths.facts.features.surfaces import Surfaces
from toolpaths.shapes.largest_discs import largest_discs

LID = tp.Board(width=100, height=90, thickness=18, name="lid")
VENEER = tp.Board(width=100, height=90, thickness=10, name="veneer")
T1 = tp.Cutter(1, tp.flat(3), feed_mm_min=900, spindle_rpm=18000, step_down=3)
T6 = tp.Cutter(6, tp.v_point(12, 60), feed_mm_min=1200, spindle_rpm=16000, step_down=3)
FRONT, INSERT = (tp.Fixture(board=board, grips=(board.outline,)) for board in (LID, VENEER))
BACK = FRONT.turned_over("top to bottom", grips=(LID.outline,))
SLOPE = tan(radians(30))
TABS = tp.Tabs(count=3, width=4, height=1)


def letter() -> Polygon:
    """An R without curves, with an eye, notches and a corner between bow and leg: like none of its mirror images."""
    outline = [(0, 0), (12, 0), (12, 22), (17, 22), (28, 0), (42, 0), (30, 26), (38, 34), (38, 48), (30, 56), (0, 56)]
    return tp.centre_on(Polygon(outline, [[(12, 33), (12, 44), (24, 44), (24, 33)]]), (52, 45))


def inlay(shape: shapely.Geometry | None = None, **changes) -> tp.TaperedInlay:
    given = {"cutters": [T1, T6], "start_depth": 3.0, "glue": 0.5, "proud": 1.5, "at": (48, 44), "tabs": TABS} | changes
    return tp.tapered_inlay(letter() if shape is None else shape, **given)


def job_of(one: tp.TaperedInlay, fixture: tp.Fixture = FRONT) -> tp.Job:
    return tp.Job("Lid", [tp.Setup(fixture, one.recess), tp.Setup(INSERT, one.insert)])


def top_of(setup: tp.Setup, cell: float = 0.25) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """x and y of the cells of a simulated board, and the heights of its upper face."""
    stock = tp.simulate(tp.program_text(setup), setup.fixture, setup.cutters, cell=cell).stock
    x, y = np.meshgrid(stock.grid.xs(), stock.grid.ys())
    return x, y, np.broadcast_to(stock.top, x.shape).astype(float)


@pytest.mark.long
def test_volumes_of_a_square_are_those_of_the_formula():
    """Reference D.3, square 40 with 60 degrees, face at 4, 0.5 of room: the recess holds 6305.192564 mm3, and
    615.756464 are left for glue. Heights of the insert are those of the formula at every cell."""
    one = inlay(tp.rectangle(40, 40, (50, 45)), start_depth=4, glue=0.5, proud=2, at=(50, 45), tabs=None)
    x, y, recess = top_of(tp.Setup(FRONT, one.recess), 0.2)
    taken = -recess.sum() * 0.2**2
    assert taken == pytest.approx(6305.192564, rel=5e-5)
    insert = top_of(tp.Setup(INSERT, one.insert), 0.2)[2]
    let_in, inside = np.maximum(insert + 4, 0.0), (np.abs(x - 50) < 20) & (np.abs(y - 45) < 20)
    away = np.minimum.reduce([x - 30, 70 - x, y - 25, 65 - y])[inside]
    formula = np.minimum(away / SLOPE, 4)
    assert np.abs(let_in[inside] - formula).max() < 1e-5
    # What the formula sums up to over cells is by so much more than its integral, 6305.192564 - 615.756464.
    coarse = formula.sum() * 0.2**2 - 5689.4361
    assert taken - let_in[inside].sum() * 0.2**2 + coarse == pytest.approx(615.756464, rel=5e-4)


@pytest.mark.long
def test_an_insert_turned_over_as_a_solid_goes_in_and_one_that_is_not_mirrored_does_not():
    """Heights of the simulated insert, turned by half a turn about Y as a solid is (x, y, z to -x, y, -z), lowered
    until its face is at its depth; nothing of the library says where its places come to lie."""
    one = inlay(tabs=None)
    x, y, recess = top_of(tp.Setup(FRONT, one.recess))

    def in_the_way(work: list[tp.Operation]) -> float:
        """mm3 of wood of both, where the middles of both boxes meet."""
        at_x, at_y, insert = top_of(tp.Setup(INSERT, work))
        turned = insert[:, ::-1]
        moved_x, moved_y = 52 + 48 - at_x[:, ::-1], at_y - 44 + 45
        lies = -3.0 - turned
        columns, rows = np.rint((moved_x - x[0, 0]) / 0.25), np.rint((moved_y - y[0, 0]) / 0.25)
        known = (columns >= 0) & (columns < x.shape[1]) & (rows >= 0) & (rows < x.shape[0])
        known &= shapely.contains_xy(shapely.buffer(shapely.convex_hull(one.shape), 1.0), moved_x, moved_y)
        face = recess[rows[known].astype(int), columns[known].astype(int)]
        return float(np.maximum(face - lies[known], 0.0).sum() / 16)

    wall, *_ = one.insert
    right = in_the_way([wall])
    wrong = in_the_way([replace(wall, shape=tp.mirror(wall.shape, "vertical", 48))])
    # Of cells a quarter of a mm wide on slopes of 60 degrees some are off by half a cell.
    assert right < 40 and wrong > 800


@pytest.mark.parametrize(
    ("shape", "changes"),
    [
        pytest.param(tp.rectangle(24, 16, (50, 45)), {}, id="rectangle", marks=pytest.mark.long),
        pytest.param(letter(), {}, id="letter", marks=pytest.mark.long),
        pytest.param(letter(), {"turned_deg": 20.0}, id="letter turned", marks=pytest.mark.long),
        pytest.param(tp.ring(50, 30, (52, 45)), {"glue": 0.0}, id="ring", marks=pytest.mark.long),
    ],
)
def test_insert_fits_its_recess_as_simulated(shape, changes):
    one = inlay(shape, **changes)
    job = job_of(one)
    fit = job.fit(one)
    assert fit.off < 0.01 and fit.sits_high < 0.02
    assert fit.overlap_mm3 < 0.3
    assert fit.proud == pytest.approx(1.5, abs=1e-6)
    # The point of the V leaves ridges of 0.05 mm in the corners of the floor.
    assert one.glue - 0.055 < fit.floor_room <= one.glue + 1e-6
    assert job.report(cell=0.5).ok


@pytest.mark.long
def test_insert_of_a_recess_in_the_back_is_mirrored_twice():
    one = inlay(face="back")
    fit = job_of(one, BACK).fit(one)
    assert (fit.off < 0.01, fit.overlap_mm3 < 0.3) == (True, True)
    turned = tp.move(letter(), -4, -1)
    assert one.insert[0].shape.symmetric_difference(turned).area < 1e-6


@pytest.mark.long
def test_sheet_tells_to_leave_edges_of_inlays_sharp_and_how_they_are_put_in():
    one = inlay(tp.rectangle(30, 20, (50, 45)), name="leaf")
    setups = job_of(one).setups
    for inlays, said in (((), True), ((one,), False)):
        sheet = tp.Job("Lid", setups, inlays=inlays).sheet()
        assert ("break lightly by hand: leaf insert, leaf parting" in sheet) is said
        assert ("leaf: break none of its edges. Turn the insert over" in sheet) is not said


@pytest.mark.long
def test_a_fit_that_is_off_is_measured():
    """A recess 0.2 deeper moves no wall; an insert drawn 0.05 larger all round is 0.05 too tight, and sits so much over
    the slope higher (reference D.3: 0.05 / tan of half the angle)."""
    one = inlay(tp.rectangle(30, 20, (50, 45)), tabs=None)
    wall, parting = one.insert
    larger = replace(wall, shape=tp.rectangle(30.1, 20.1, (48, 44)))

    class Larger(tp.TaperedInlay):
        insert = (larger, parting)

    given = {name: getattr(one, name) for name in one.__dataclass_fields__}
    off = Larger(**given)
    fit = job_of(off).fit(off)
    assert (fit.least, fit.mean) == pytest.approx((-0.05, -0.05), abs=0.003)
    assert fit.sits_high == pytest.approx(0.086603, abs=0.005)


def test_band_of_heights_of_an_insert_is_its_inset_at_every_level():
    """Inside the outline z = -(start - d / tan b), outside -(start + d / tan b), by plain sums."""
    area = tp.rectangle(30, 20, (50, 45))
    insert = tp.TaperedInsert(area=area, start_depth=3, depth=4.5, angle_deg=60, around=8)
    slack = Slack(VENEER, -10.0, 0.03, np.zeros((0, 6)))
    places = np.array([(50.0, 45), (36.0, 45), (35.2, 45), (34.8, 45), (34.5, 45), (30.0, 45)])
    meant = np.array([0, -3 + 1 / SLOPE, -3 + 0.2 / SLOPE, -3 - 0.2 / SLOPE, -3 - 0.5 / SLOPE, -4.5])

    def heights(surfaces: Surfaces, nowhere: float) -> np.ndarray:
        """The lowest of the surfaces over each place."""
        found = np.full(len(places), nowhere)
        for each in surfaces.sloped:
            here = shapely.contains_xy(each.area, *places.T)
            found[here] = np.minimum(found[here], each.at(places[here]))
        return found

    low, high = heights(insert.lowest(slack), 0.0), heights(insert.highest(slack), 0.0)
    # Within 0.03 sideways walls are off by so much over the slope in height.
    assert (low <= meant + 1e-9).all() and (low >= meant - 0.03 / SLOPE - 1e-9).all()
    assert (meant <= high + 1e-9).all() and (high <= meant + 0.03 / SLOPE + 1e-9).all()


@pytest.mark.long
@pytest.mark.parametrize(("deeper", "code"), [(0.4, "gouge"), (-0.4, "leftover")])
def test_a_wall_that_is_cut_too_deep_or_not_deep_enough_is_found(deeper, code):
    setup = tp.Setup(INSERT, inlay(tp.rectangle(30, 20, (50, 45))).insert)
    text = tp.program_text(setup)
    head, mark, wall = text.partition("T6 M6")
    wall, next_cutter, rest = wall.partition("T1 M6")
    assert "Z-4.5" in wall and next_cutter
    planted = head + mark + wall.replace("Z-4.5", f"Z-{4.5 + deeper:g}") + next_cutter + rest
    found = [
        tp.simulate(each, INSERT, setup.cutters, part=tp.intended_part(setup), cell=0.5).codes()
        for each in (text, planted)
    ]
    assert found[0] == () and code in found[1]


@pytest.mark.parametrize(
    ("changes", "says"),
    [
        ({"start_depth": 9.5}, "take a V of 12.8 mm or more, or start_depth=8.89 or less"),
        ({"shape": tp.rectangle(40, 3, (50, 45))}, "take start_depth=2.59 or less"),
        ({"shape": tp.rectangle(40, 6.9, (50, 45))}, "of 2.8 mm or less, or glue=2.98"),
        ({"cutters": [T1]}, "and then one V"),
        ({"cutters": [T6]}, "flat cutters"),
        ({"proud": 0.0}, "proud"),
    ],
)
def test_what_cannot_be_is_refused_with_what_would_do(changes, says):
    with pytest.raises((tp.InputError, tp.DoesNotFitError), match=says):
        inlay(**changes)


def test_a_board_that_is_too_thin_is_refused():
    one = inlay(tp.rectangle(30, 20, (50, 45)))
    for thickness, work in ((3.4, one.recess), (4.4, one.insert)):
        board = tp.Board(width=100, height=90, thickness=thickness)
        with pytest.raises(tp.DoesNotFitError, match=r"board|from_depth|spoilboard"):
            tp.Setup(tp.Fixture(board=board), work)


def test_an_inlay_is_a_value():
    one = inlay(tp.rectangle(30, 20, (50, 45)))
    again = pickle.loads(pickle.dumps(one))
    assert (again, again.insert) == (inlay(tp.rectangle(30, 20, (50, 45))), one.insert)
    assert "narrower than 4.04 mm" in one.notes[0] and "1.5 mm stand proud" in str(one) and len(repr(one)) < 120


def test_corners_at_the_end_of_a_wall_in_several_pieces_have_their_branch():
    """A wall with vertices on it is one wall: the axis runs into all four corners of a rectangle (they lie on it)."""
    shape = Polygon([(0, 0), (0, 3.3), (0, 14.7), (0, 18), (7, 18), (16, 18), (16, 0), (9, 0)]).normalize()
    for turned in (shape, shapely.affinity.rotate(shape, 90), shapely.affinity.scale(shape, -1)):
        ends = [line[end] for line in largest_discs(shapely.orient_polygons(turned), 0.01).lines for end in (0, -1)]
        corners = shapely.get_coordinates(turned.minimum_rotated_rectangle)[:4]
        for corner in corners:
            assert min(np.hypot(*(end[:2] - corner)) for end in ends) < 0.02
