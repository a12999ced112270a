"""Drawings written and read again: the same shapes at the same places, arcs as arcs, the same bytes each time."""

from __future__ import annotations

import re

import pytest
import shapely
from shapely import LineString, MultiPolygon, Point

import toolpaths as tp

PLATE = tp.rectangle(80, 50, (50, 35), corner_radius=8).difference(tp.circle(20, (40, 30)))
SHAPES = {
    "plate": PLATE,
    "away": tp.move(PLATE, -200, -90),
    "ellipse": tp.ellipse(60, 30, (10, 20)),
    "ring": tp.ring(40, 20, (0, 0)),
    "slot": tp.arc_slot((60, 40), 20, 6, start_deg=10, sweep_deg=300),
    "two": MultiPolygon([tp.circle(10), tp.slot((20, 0), (60, 0), 7.5)]),
    "small": tp.rectangle(3, 2, (5, 5), corner_radius=0.5),
    "large": tp.circle(1800, (900, 900)),
}
BOARD = tp.Board(width=120, height=80, thickness=18)
CUTTER = tp.Cutter(1, tp.flat(6), feed_mm_min=1500, spindle_rpm=18000)


def written(kind, drawn, folder):
    path = folder / f"drawn.{kind}"
    {"svg": tp.write_svg, "dxf": tp.write_dxf}[kind](path, drawn)
    return path, {"svg": tp.read_svg, "dxf": tp.read_dxf}[kind](path)


@pytest.mark.sample(4)
@pytest.mark.parametrize("kind", ["svg", "dxf"])
@pytest.mark.parametrize("name", SHAPES)
def test_shapes_come_back_where_they_were(kind, name, tmp_path):
    shape = SHAPES[name]
    _, drawing = written(kind, {name: shape}, tmp_path)
    again = shapely.union_all(drawing.areas(layer=name))
    assert shapely.hausdorff_distance(again.boundary, shape.boundary) <= 0.01
    assert again.area == pytest.approx(shape.area, abs=0.01 * shape.length)
    assert [note.text for note in drawing.notes] == []


@pytest.mark.parametrize("kind", ["svg", "dxf"])
def test_lines_layers_and_bytes(kind, tmp_path):
    drawn = {
        "engrave": [LineString([(0, 0), (30, 10), (50, 0)])],
        "holes": [tp.circle(5, (9, 9)), tp.circle(8, (30, 9))],
    }
    path, drawing = written(kind, drawn, tmp_path)
    first = path.read_bytes()
    assert drawing.layers == ("engrave", "holes")
    assert list(drawing.lines(layer="engrave")[0].coords) == [(0, 0), (30, 10), (50, 0)]
    assert [round(circle.diameter, 4) for circle in drawing.circles()] == [5, 8]
    assert written(kind, drawn, tmp_path)[0].read_bytes() == first
    again = {"svg": tp.write_svg, "dxf": tp.write_dxf}[kind]
    again(tmp_path / f"again.{kind}", drawing)
    reader = {"svg": tp.read_svg, "dxf": tp.read_dxf}[kind]
    assert [curve.bounds for curve in reader(tmp_path / f"again.{kind}").curves] == [
        pytest.approx(curve.bounds, abs=1e-3) for curve in drawing.curves
    ]


def test_arcs_are_written_as_arcs(tmp_path):
    """A rounded rectangle is four lines and four arcs; no chords."""
    shape = tp.rectangle(80, 50, (50, 35), corner_radius=8)
    path, _ = written("svg", shape, tmp_path)
    (data,) = re.findall(r' d="([^"]*)"', path.read_text())
    assert (data.count("L"), data.count("A8 8 "), data.count("A")) == (4, 8, 8)
    path, _ = written("dxf", shape, tmp_path)
    bulges = [float(b) for b in re.findall(r"\n 42\n([-.0-9e]+)", path.read_text())]
    assert sum(abs(abs(b) - 0.4142135623730951) < 1e-6 for b in bulges) == 4


@pytest.mark.parametrize("kind", ["svg", "dxf"])
def test_toolpaths_and_the_part(kind, tmp_path):
    setup = tp.Setup(tp.Fixture(board=BOARD, overhang=10), [
        tp.pocket(tp.rectangle(40, 24, (60, 40)), CUTTER, depth=4, name="tray"),
        tp.contour(tp.rectangle(100, 60, (60, 40)), CUTTER, depth=tp.through(0.3), name="outline"),
    ])  # fmt: skip
    (toolpath,) = setup.work[1].toolpaths(setup.fixture)
    _, drawing = written(kind, toolpath, tmp_path)
    assert {"cut"} <= set(drawing.layers) <= {"cut", "rapid"}
    # The axis goes round the part, half a cutter off its walls.
    cut = shapely.union_all(drawing.lines(layer="cut"))
    assert cut.bounds == pytest.approx((7, 7, 113, 73), abs=0.01)
    _, drawing = written(kind, tp.intended_part(setup), tmp_path)
    assert drawing.areas(layer="part")[0].area == pytest.approx(100 * 60, abs=1)
    assert drawing.areas(layer="front")[0].area >= 40 * 24 - 1
    assert "has no outline" in str(drawing)  # the sizes


@pytest.mark.parametrize("drawn", [Point(1, 2), [], {}, {"": PLATE}, 5, "plate", {"a": None}])
def test_what_cannot_be_drawn_is_refused(drawn, tmp_path):
    for write in (tp.write_svg, tp.write_dxf):
        with pytest.raises(tp.ToolpathsError):
            write(tmp_path / "drawn", drawn)
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("kind", ["svg", "dxf"])
def test_a_drawing_is_written_whole_or_not_at_all(kind, tmp_path, monkeypatch):
    """A disk that is full half-way leaves the drawing that was there, and nothing beside it."""
    write, path = {"svg": tp.write_svg, "dxf": tp.write_dxf}[kind], tmp_path / "plate"
    write(path, PLATE)
    before = path.read_bytes()

    def full(_: int) -> None:
        raise OSError(28, "No space left on device")

    with monkeypatch.context() as patched:
        patched.setattr("os.fsync", full)
        with pytest.raises(tp.InputError, match=r"cannot be written: .*No space left"):
            write(path, {"other": PLATE})
    assert path.read_bytes() == before
    assert list(tmp_path.iterdir()) == [path]
    with pytest.raises(tp.InputError, match="is a folder"):
        write(tmp_path, PLATE)
