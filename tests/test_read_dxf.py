"""DXF files: units, bulges, inserts, object coordinates, layers, splines, and what is refused. Files made by ezdxf."""

from __future__ import annotations

import io
from math import cos, hypot, pi, radians, sin

import ezdxf
import numpy as np
import pytest
import shapely
from ezdxf.math import BSpline, rational_bspline_from_arc

import toolpaths as tp
from toolpaths.drawings.dxf_units import MM_BY_CODE


def new(units: int = 4, version: str = "R2010"):
    document = ezdxf.new(version, units=units)
    return document, document.modelspace()


def text(document) -> bytes:
    stream = io.StringIO()
    document.write(stream)
    return stream.getvalue().encode()


def read(document, *args, **more) -> tp.Drawing:
    return tp.read_dxf(text(document), *args, **more)


FACTORS = {
    1: 25.4, 2: 304.8, 3: 1609344, 4: 1, 5: 10, 6: 1000, 7: 1e6, 8: 2.54e-5, 9: 0.0254, 10: 914.4, 11: 1e-7, 12: 1e-6,
    13: 0.001, 14: 100, 15: 1e4, 16: 1e5, 17: 1e12, 18: 1.495978707e14, 19: 9.4607304725808e18, 20: 3.0856775815e19,
    21: 304.80061, 22: 25.4000508, 23: 914.4018288, 24: 1609347.219,
}  # fmt: skip


def test_factors_of_units():
    assert {code: pytest.approx(mm, rel=2e-9) for code, mm in FACTORS.items()} == MM_BY_CODE


@pytest.mark.parametrize("code", [1, 2, 5, 6, 9, 13, 14, 21])
def test_units_of_the_file(code):
    document, space = new(code)
    size = 30 / FACTORS[code]
    space.add_lwpolyline([(0, 0), (size, 0), (size, size)], close=True)
    assert read(document).bounds == pytest.approx((0, 0, 30, 30), rel=3e-9)


def test_units_are_never_guessed():
    document, space = new(0)
    space.add_circle((10, 20), 2)
    data = text(document)
    bare = b"0\nSECTION\n2\nENTITIES\n0\nCIRCLE\n8\n0\n10\n10\n20\n20\n40\n2\n0\nENDSEC\n0\nEOF\n"
    old, old_space = new(4, "R12")
    old_space.add_circle((10, 20), 2)
    for each in (data, bare, text(old)):
        with pytest.raises(tp.InputError, match="unit="):
            tp.read_dxf(each)
        for unit, mm in (("inch", 25.4), ("mm", 1), (2, 2), ("m", 1000)):
            ((centre, diameter),) = tp.read_dxf(each, unit).circles()
            assert (*centre, diameter) == pytest.approx((10 * mm, 20 * mm, 4 * mm))
        ((centre, diameter),) = tp.read_dxf(each, width=50).circles()
        assert diameter == pytest.approx(50)
    known, space = new(1)
    space.add_circle((10, 20), 2)
    assert read(known, "mm").circles()[0].diameter == 4 and "its unit is 25.4 mm" in str(read(known, "mm"))


BULGES = {
    1: (5, 15.707963, 39.269908), 0.414213562: (7.071068, 11.107207, 14.269908), 0.5: (6.25, 11.591190, 17.472469),
    0.1: (25.25, 10.066534, 3.339991), -0.25: (10.625, 10.411593, 8.436589), 2: (6.25, 27.678718, 105.245994),
    22.903765548: (None, None, None),
}  # fmt: skip


@pytest.mark.parametrize("bulge", BULGES)
def test_bulges(bulge):
    """R = c (1 + b^2) / 4 |b|, on the right of the chord for b > 0; more than half a turn for |b| > 1."""
    document, space = new()
    space.add_lwpolyline([(0, 0, bulge), (10, 0, 0)], format="xyb")
    (curve,) = read(document, tolerance=1e-6).curves
    radius, length, area = BULGES[bulge]
    radius = radius or 10 * (1 + bulge**2) / (4 * bulge)
    assert curve.circle.diameter / 2 == pytest.approx(radius, abs=1e-6)
    if length is not None:
        assert shapely.LineString(curve.points).length == pytest.approx(length, rel=1e-6)
        assert shapely.Polygon(curve.points).area == pytest.approx(area, rel=1e-6)
    away = curve.points[:, 1][np.abs(curve.points[:, 1]).argmax()]
    assert away * bulge < 0  # anticlockwise from left to right is below the chord


def test_a_rounded_rectangle_of_bulges():
    document, space = new()
    b = 0.4142135623730951
    corners = [(5, 0, 0), (35, 0, b), (40, 5, 0), (40, 15, b), (35, 20, 0), (5, 20, b), (0, 15, 0), (0, 5, b)]
    space.add_lwpolyline(corners, format="xyb", close=True)
    (area,) = read(document, tolerance=1e-5).areas()
    assert area.area == pytest.approx(778.539816, rel=1e-7) and area.length == pytest.approx(111.415927, rel=1e-7)


def test_a_first_point_repeated_without_the_flag_is_joined():
    document, space = new()
    space.add_lwpolyline([(0, 0), (10, 0), (10, 10), (0, 0)])
    assert read(document).areas()[0].area == pytest.approx(50)


def test_lines_and_arcs_end_to_end_are_one_outline():
    document, space = new()
    space.add_line((5, 0), (35, 0))
    space.add_arc((35, 5), 5, -90, 90)
    space.add_line((35, 10), (5, 10.004))
    space.add_arc((5, 5), 5, 90, 270)
    drawing = read(document, tolerance=1e-4)
    assert drawing.areas()[0].area == pytest.approx(300 + 25 * pi, abs=0.1)
    assert "closed a gap of 0.0040 mm, at (5.000, 10.002)" in str(drawing)
    opened = read(document, gap=0.001)
    assert [curve.closed for curve in opened.curves] == [False] and "open on layer '0'" in str(opened)


def test_worked_inserts():
    document, space = new()
    block = document.blocks.new("B", base_point=(1, 2))
    block.add_line((1, 2), (2, 2))
    space.add_blockref("B", (5, 5), dxfattribs={"xscale": 2, "yscale": 2, "rotation": 90})
    (line,) = read(document).lines(name="B")
    assert list(line.coords) == [pytest.approx((5, 5)), pytest.approx((5, 7))]


def test_an_array_of_mirrored_inserts():
    """Spacing is turned with the rotation and not scaled."""
    document, space = new()
    block = document.blocks.new("B")
    block.add_circle((1, 0), 0.25)
    block.add_lwpolyline([(0, 0, 1), (1, 0, 0), (1, 1, 0)], format="xyb", close=True)
    space.add_blockref(
        "B", (5, 5), dxfattribs={
            "xscale": 2, "yscale": -2, "rotation": 90, "column_count": 3, "column_spacing": 10, "row_count": 2,
            "row_spacing": 20,
        },
    )  # fmt: skip
    drawing = read(document)
    origins = [(5, 5), (5, 15), (5, 25), (-15, 5), (-15, 15), (-15, 25)]
    assert [circle.centre for circle in drawing.circles()] == [pytest.approx((x, y + 2)) for x, y in origins]
    assert {round(circle.diameter, 9) for circle in drawing.circles()} == {1}
    # (1, 1) of the block: scaled to (2, -2), turned to (2, 2). The bulge stays a semicircle, on the mirrored side.
    assert drawing.curves[1].bounds == pytest.approx((4, 5, 7, 7))
    assert drawing.curves[1].polygon.area == pytest.approx(0.5 * 4 + pi / 2, rel=1e-3)


def test_unequal_scales_make_ellipses_of_circles_and_bulges():
    document, space = new()
    block = document.blocks.new("B")
    block.add_lwpolyline([(0, 0, 1), (2, 0, 1)], format="xyb", close=True)
    space.add_blockref("B", (0, 0), dxfattribs={"xscale": 3, "yscale": 5, "rotation": 30})
    drawing = read(document, tolerance=1e-4)
    assert drawing.circles() == () and drawing.areas()[0].area == pytest.approx(15 * pi, rel=1e-4)


def test_object_coordinates_seen_from_behind():
    document, space = new()
    behind = {"extrusion": (0, 0, -1)}
    space.add_arc((10, 5), 2, 0, 90, dxfattribs=behind)
    space.add_lwpolyline([(0, 0, 1), (10, 0)], format="xyb", dxfattribs=behind)
    arc, half = read(document).curves
    assert (arc.start, arc.end) == (pytest.approx((-12, 5)), pytest.approx((-10, 7)))
    assert arc.circle.centre == pytest.approx((-10, 5))
    assert half.end == pytest.approx((-10, 0)) and half.bounds == pytest.approx((-10, -5, 0, 0), abs=1e-9)


def test_a_mirrored_block_with_a_polyline_in_object_coordinates():
    document, space = new()
    block = document.blocks.new("M")
    block.add_lwpolyline([(1, 1), (4, 1), (4, 2)], close=True)
    block.add_arc((2, 0), 1, 0, 90)
    space.add_blockref("M", (0, 0), dxfattribs={"xscale": -1})
    space.add_blockref("M", (10, 0), dxfattribs={"extrusion": (0, 0, -1)})
    drawing = read(document)
    assert [curve.bounds[::2] for curve in drawing.curves if curve.closed] == [
        pytest.approx((-4, -1)), pytest.approx((-14, -11))
    ]  # fmt: skip
    assert [curve.bounds for curve in drawing.curves if not curve.closed] == [
        pytest.approx((-3, 0, -2, 1)), pytest.approx((-13, 0, -12, 1))
    ]  # fmt: skip


def test_ellipses_by_parameter_not_by_angle():
    document, space = new()
    space.add_ellipse((0, 0), (10, 0), 0.5, 0, radians(45))
    (curve,) = read(document).curves
    assert curve.start == pytest.approx((10, 0)) and curve.end == pytest.approx((7.0710678, 3.5355339))
    document, space = new()
    space.add_ellipse((3, 4), (6, 8), 0.3)
    assert read(document, tolerance=1e-4).areas()[0].area == pytest.approx(pi * 10 * 3, rel=1e-4)


@pytest.mark.parametrize("kind", ["clamped", "rational", "closed", "fit points", "degree 2", "linear"])
def test_splines(kind):
    """Against the library's own evaluation, at a thousand places."""
    points = [(0, 0), (10, 30), (30, -20), (50, 10), (60, 0), (80, 25)]
    document, space = new()
    if kind == "rational":
        tool = rational_bspline_from_arc((5, 5), 20, 10, 200)
        space.add_spline(dxfattribs={"degree": tool.degree}).apply_construction_tool(tool)
    elif kind == "closed":
        space.add_spline().set_closed([(x, y, 0) for x, y in points])
        tool = None
    elif kind == "fit points":
        tool = space.add_spline(fit_points=points).construction_tool()
    else:
        degree = {"degree 2": 2, "linear": 1}.get(kind, 3)
        tool = BSpline(points, order=degree + 1)
        space.add_spline().apply_construction_tool(tool)
    drawing = read(document)
    (curve,) = drawing.curves
    if kind == "closed":
        assert curve.closed and drawing.areas()[0].area > 100
        return
    true = np.array([place.xyz[:2] for place in tool.approximate(1000)])
    assert shapely.distance(shapely.points(true), shapely.LineString(curve.points)).max() <= 0.01 / 8
    assert ("its course is ours" in str(drawing)) == (kind == "fit points")
    if kind == "rational":
        assert np.hypot(*(curve.points - [5, 5]).T) == pytest.approx(20, abs=1e-9)


def test_old_polylines():
    document, space = new()
    space.add_polyline2d([(0, 0, 1), (10, 0, 0), (10, 10, 0)], format="xyb", close=True)
    space.add_polyline3d([(20, 0, 0), (30, 0, 0), (30, 10, 0)], close=True)
    space.add_polyline3d([(40, 0, 0), (50, 0, 5)])
    drawing = read(document, tolerance=1e-4)
    assert [area.area for area in drawing.areas()] == pytest.approx([50 + 12.5 * pi, 50], rel=1e-4)
    assert "POLYLINE on layer '0' does not lie flat and is left out" in str(drawing)


def test_layers_off_frozen_and_invisible_things_are_not_cut_and_said_to_be_there():
    document, space = new()
    for name, how in (("off", "off"), ("frozen", "freeze"), ("locked", "lock")):
        getattr(document.layers.add(name), how)()
    space.add_circle((1, 2), 1, dxfattribs={"layer": "off"})
    space.add_circle((3, 2), 1, dxfattribs={"layer": "frozen"})
    space.add_circle((5, 2), 1, dxfattribs={"layer": "locked"})
    space.add_circle((7, 2), 1, dxfattribs={"invisible": 1})
    block = document.blocks.new("B")
    block.add_circle((0, 0), 1)  # on layer 0: as the insert
    block.add_circle((0, 0), 2, dxfattribs={"layer": "locked"})
    space.add_blockref("B", (20, 0), dxfattribs={"layer": "off"})
    space.add_blockref("B", (30, 0), dxfattribs={"layer": "frozen"})
    drawing = read(document)
    assert [circle.centre for circle in drawing.circles()] == [(5, 2), (20, 0)]
    said = "\n".join(map(str, drawing.hidden))
    assert len(drawing.hidden) == 6 and said.count("the layer is off") == 2 and said.count("frozen") >= 3
    assert "invisible, at (8.000, 2.000)" in said


def test_layers_colours_and_blocks_select():
    document, space = new()
    document.layers.add("cut", color=1)
    space.add_circle((0, 0), 1, dxfattribs={"layer": "cut"})
    space.add_circle((9, 0), 2, dxfattribs={"layer": "cut", "color": 5})
    space.add_circle((18, 0), 3, dxfattribs={"true_color": 0x123456})
    block = document.blocks.new("HINGE")
    block.add_circle((0, 0), 4, dxfattribs={"color": 0})
    space.add_blockref("HINGE", (40, 0), dxfattribs={"layer": "cut", "color": 3})
    drawing = read(document)
    assert drawing.layers == ("cut", "0")
    assert drawing.colours == ("#ff0000", "#0000ff", "#123456", "#00ff00")
    assert [circle.diameter for circle in drawing.circles(layer="cut")] == [2, 4, 8]
    assert [circle.diameter for circle in drawing.circles(name="HINGE", colour="lime")] == [8]


def test_what_has_no_outline_is_said():
    document, space = new()
    space.add_circle((0, 0), 1)
    space.add_text("word", dxfattribs={"layer": "words"}).set_placement((3, 4))
    space.add_text("word", dxfattribs={"layer": "words"}).set_placement((5, 4))
    space.add_point((7, 8))
    document.layout("Layout1").add_circle((0, 0), 9)
    drawing = read(document)
    assert len(drawing.curves) == 1
    said = str(drawing)
    assert "TEXT on layer 'words' has no outline and is left out: 2 of them, the first, at (3.000, 4.000)" in said
    assert "POINT on layer '0' has no outline and is left out: it, at (7.000, 8.000)" in said
    assert "1 things on paper layouts" in said


def test_nested_closed_curves_are_shapes_with_holes():
    document, space = new()
    for size in (10, 8, 6, 4):
        space.add_circle((0, 0), size)
    found = read(document, tolerance=1e-4).areas()
    assert [len(area.interiors) for area in found] == [1, 1]
    assert sum(area.area for area in found) == pytest.approx(pi * (100 - 64 + 36 - 16), rel=1e-4)


def doubled(levels: int) -> bytes:
    document, space = new()
    document.blocks.new("L0").add_circle((0, 0), 1)
    for n in range(1, levels):
        block = document.blocks.new(f"L{n}")
        for k in range(10):
            block.add_blockref(f"L{n - 1}", (k, 0))
    space.add_blockref(f"L{levels - 1}", (0, 0))
    return text(document)


def array() -> bytes:
    document, space = new()
    document.blocks.new("B").add_circle((0, 0), 1)
    space.add_blockref("B", (0, 0)).grid((32000, 32000), (5, 5))
    return text(document)


def ring() -> bytes:
    document, space = new()
    document.blocks.new("A").add_blockref("B", (0, 0))
    document.blocks.new("B").add_blockref("A", (0, 0))
    space.add_blockref("A", (0, 0))
    return text(document)


def missing() -> bytes:
    document, space = new()
    space.add_blockref("nobody", (0, 0))
    return text(document)


def with_circle(radius: str) -> bytes:
    document, space = new()
    space.add_circle((0, 0), 123.25)
    return text(document).replace(b"123.25", radius.encode())


@pytest.mark.parametrize(
    "data",
    [
        lambda: doubled(12), array, ring, missing, lambda: with_circle("nan"), lambda: with_circle("1e400"),
        lambda: with_circle("1e200"), lambda: with_circle("word"), lambda: text(new()[0]),
        lambda: with_circle("5")[:-7], lambda: with_circle("5")[:-200], lambda: with_circle("5")[:900], lambda: b"",
        lambda: b"0\nSECTION\n2\nENTITIES\n0\nEOF\n", lambda: b"solid", lambda: b"AutoCAD Binary DXF\r\n\x1a\x00abc",
    ],
)  # fmt: skip
def test_what_is_hostile_or_broken_ends_in_an_error(data):
    with pytest.raises(tp.ToolpathsError):
        tp.read_dxf(data(), "mm")


def test_binary_files_and_paths(tmp_path):
    document, space = new()
    space.add_arc((3, 4), 5, 10, 100)
    path = tmp_path / "a.dxf"
    document.saveas(path)
    again = tmp_path / "b.dxf"
    document.saveas(again, fmt="bin")
    assert tp.read_dxf(path).curves[0].start == pytest.approx((3 + 5 * cos(radians(10)), 4 + 5 * sin(radians(10))))
    (one,), (other,) = tp.read_dxf(path).curves, tp.read_dxf(again).curves
    assert np.abs(one.points - other.points).max() < 1e-12 and hypot(*one.start) > 0


def test_a_polyline_without_a_vertex_is_said_and_left_out():
    """It has no place, and nothing of it could be made: it was an error of no kind."""
    document = ezdxf.new("R2000", units=4)
    document.modelspace().add_circle((5, 5), 3)
    document.modelspace().add_polyline2d([])
    written = io.StringIO()
    document.write(written)
    drawing = tp.read_dxf(written.getvalue().encode())
    assert len(drawing.circles()) == 1
    assert "POLYLINE on layer '0' has no vertex and is left out" in [note.text for note in drawing.notes]
