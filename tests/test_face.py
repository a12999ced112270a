"""Levelling: the whole area down to one height, nothing far outside it, and down in air only."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from pathcheck import BOARD, FRONT, INSERT, MIDDLE, SHAPES, T6, VEE, Wood, cells, check_motion, run_text, segments
from shapely import affinity, box

import toolpaths as tp

WIDE = tp.Fixture(board=BOARD, overhang=25.0)
SURFACER = tp.Cutter(8, tp.flat(20), feed_mm_min=2000, spindle_rpm=12000, step_down=1)
BULL = tp.Cutter(9, tp.bull_nose(16, 3), feed_mm_min=2000, spindle_rpm=12000)


@pytest.mark.parametrize("direction", ["both", "climb", "conventional"])
@pytest.mark.parametrize("angle", [0.0, 90.0, 30.0])
@pytest.mark.parametrize("cutter", [SURFACER, BULL], ids=str)
def test_face_levels_the_whole_board_to_one_height(direction, angle, cutter):
    """Board area x depth, exactly: every cell at one height."""
    fixture = tp.Fixture(board=BOARD, overhang=60.0)
    op = tp.face(BOARD.outline, cutter, depth=1.5, angle_deg=angle, direction=direction)
    _, report = run_text([op], fixture=fixture, cell=0.5)

    assert report.ok, str(report)
    assert np.abs(report.stock.top + 1.5).max() < 1e-5


@pytest.mark.parametrize("direction", ["climb", "conventional"])
def test_face_passes_have_the_wood_on_the_side_asked(direction):
    """Climb: wood not yet cut lies on the right of the travel (reference 3.7, derived)."""
    (path,) = tp.face(BOARD.outline, SURFACER, depth=1, direction=direction).toolpaths(WIDE)
    rows = [(segment, move) for segment, move, z in segments(path) if move.kind == "cut" and segment.length > 100]

    assert len(rows) > 10
    for (segment, _), (after, _) in zip(rows, rows[1:]):
        uncut_above = after.start[1] > segment.start[1]
        to_right = (segment.end[0] < segment.start[0]) == uncut_above
        assert to_right == (direction == "climb")


@pytest.mark.long
def test_face_bites_no_deeper_than_a_pass_and_its_rows_no_wider_than_the_stepover():
    (path,) = tp.face(BOARD.outline, SURFACER, depth=2.5, stepover=0.3).toolpaths(WIDE)
    check_motion(path)

    assert max(depth for _, depth, _ in Wood(1.0).cut(path)) <= 1 + 1e-9
    rows = sorted({round(move.y, 6) for segment, move, _ in segments(path) if move.kind == "cut"})
    assert np.diff(rows).max() <= 0.3 * 20 + 1e-6


@pytest.mark.parametrize(
    "shape", [tp.circle(80, MIDDLE), affinity.rotate(box(60, 40, 140, 100), 25)], ids=["circle", "turned"]
)
def test_face_of_an_area_keeps_near_it(shape):
    """Rows as long as the area is there; they were those of its whole box (once a fault)."""
    _, report = run_text([tp.face(shape, SURFACER, depth=1)], cell=0.5)
    cut = report.stock.top < 0
    # The run-out is a radius and a millimetre, and the cutter's radius round it.
    near = shapely.buffer(shape, 10 + 1 + 10 + 12)

    assert report.stock.top[cells(report.stock, shape)].max() == -1
    assert not (cut & ~cells(report.stock, near)).any()


@pytest.mark.parametrize("name", ["L", "ring", "two pieces"])
def test_face_of_a_hollow_area_is_refused(name):
    """Passes over a hollow would level it too (once a fault)."""
    with pytest.raises(tp.ShapeError, match=r"lies outside the shape at .* use pocket\(\)") as caught:
        tp.face(SHAPES[name], SURFACER, depth=1)
    assert not SHAPES[name].contains(shapely.Point(caught.value.point))


@pytest.mark.long
def test_face_with_a_cutter_dead_at_its_centre_comes_down_beside_the_board_only():
    """Within the board it went straight down into wood (once a fault)."""
    (path,) = tp.face(BOARD.outline, INSERT, depth=1).toolpaths(WIDE)
    found = Wood().cut(path)
    assert max(depth for _, depth, length in found if length < 1e-9) == 0
    with pytest.raises(tp.DoesNotFitError, match="cannot go straight down"):
        tp.face(box(60, 40, 140, 100), INSERT, depth=1).toolpaths(WIDE)


def test_face_off_the_board_needs_overhang():
    with pytest.raises(tp.DoesNotFitError, match=r"Step 1 on the front, level the face: .*overhang=21 "):
        tp.Setup(FRONT, work=(tp.face(BOARD.outline, SURFACER, depth=1),))


def test_face_takes_a_flat_cutter():
    with pytest.raises(tp.InputError, match="takes a flat cutter"):
        tp.face(BOARD.outline, VEE, depth=1)


@pytest.mark.parametrize(
    "wrong",
    [{"depth": 0}, {"stepover": 0.95}, {"stepover": 0}, {"angle_deg": float("nan")}, {"direction": "up"}],
    ids=str,
)
def test_face_wrong_number_is_refused(wrong):
    with pytest.raises(tp.InputError):
        tp.face(BOARD.outline, T6, **{"depth": 1, **wrong})
