"""SVG files: size and units, transforms, reuse, what is hidden, fill rules, and what is refused. Numbers of SVG 2."""

from __future__ import annotations

from math import pi

import numpy as np
import pytest
import shapely

import toolpaths as tp

NS = 'xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink"'


def svg(content: str, size: str = 'width="100mm" height="100mm" viewBox="0 0 100 100"') -> str:
    return f"<svg {NS} {size}>{content}</svg>"


def read(content: str, size: str = 'width="100mm" height="100mm" viewBox="0 0 100 100"', **more) -> tp.Drawing:
    return tp.read_svg(svg(content, size), **more)


def box(content: str, high: float = 100.0, **more) -> list[float]:
    """[left, right, top, low] of what is drawn, y down from the top of the sheet."""
    left, low, right, up = read(content, **more).bounds
    return [round(each, 6) + 0.0 for each in (left, right, high - up, high - low)]


def test_a_physical_size_is_millimetres():
    for size, mm in (
        ('width="100mm" height="50mm" viewBox="0 0 100 50"', 10),
        ('width="10cm" height="5cm" viewBox="0 0 100 50"', 10),
        ('width="4in" height="2in" viewBox="0 0 100 50"', 10.16),
        ('width="288pt" height="144pt" viewBox="0 0 100 50"', 10.16),
        ('width="24pc" height="12pc" viewBox="0 0 100 50"', 10.16),
        ('width="400Q" height="200Q" viewBox="0 0 100 50"', 10),
        ('width="100" height="100"', 10 * 25.4 / 96),
        ('width="100mm" viewBox="0 0 200 100"', 5),
    ):
        left, low, right, high = read('<rect x="10" y="10" width="10" height="10"/>', size).bounds
        assert (right - left, high - low) == pytest.approx((mm, mm), abs=1e-9), size


def test_a_size_in_px_is_read_as_the_standard_says_and_said():
    assert "96 to the inch" in str(read("<rect width='9' height='9'/>", 'width="100px" height="100px"'))
    assert "inch" not in str(read("<rect width='9' height='9'/>"))


def test_units_are_never_guessed():
    shape = '<rect x="10" y="20" width="30" height="10"/>'
    for size in ('viewBox="0 0 100 60"', "", 'width="100%" height="100%" viewBox="0 0 100 60"'):
        with pytest.raises(tp.InputError, match="unit="):
            read(shape, size)
    for unit, mm in (("mm", 1), ("inch", 25.4), ("cm", 10), (0.5, 0.5)):
        drawing = read(shape, 'viewBox="0 0 100 60"', unit=unit)
        assert drawing.bounds == pytest.approx((10 * mm, 30 * mm, 40 * mm, 40 * mm), abs=1e-9)
    assert read(shape, 'viewBox="0 0 100 60"', width=60).bounds == pytest.approx((20, 60, 80, 80), abs=1e-9)
    given = read(shape, unit="inch")
    assert given.bounds[2] - given.bounds[0] == pytest.approx(762) and "is not used" in str(given)
    with pytest.raises(tp.InputError, match="not both"):
        read(shape, unit="mm", width=60)


def test_a_known_width_holds_for_curves():
    drawing = read('<circle cx="5" cy="5" r="3"/><path d="M0 0C10 20 30 -20 47 5"/>', "", width=123.4)
    assert drawing.bounds[2] - drawing.bounds[0] == pytest.approx(123.4, abs=1e-4)
    assert drawing.circles()[0].diameter == pytest.approx(6 * 123.4 / 47, abs=1e-3)


def test_a_unit_on_an_inner_length_goes_through_px():
    """SVG 2: 10mm are 37.795 user units, which the view box then scales."""
    assert box('<rect width="10mm" height="10"/>')[:2] == pytest.approx([0, 37.795276], abs=1e-6)


@pytest.mark.parametrize(
    ("how", "found"),
    [
        ("", [50, 60, 0, 10]),
        ('preserveAspectRatio="none"', [0, 20, 0, 10]),
        ('preserveAspectRatio="xMidYMid slice"', [0, 20, -50, -30]),
        ('preserveAspectRatio="xMinYMin meet"', [0, 10, 0, 10]),
    ],
)
def test_view_boxes(how, found):
    square = '<rect width="10" height="10"/>'
    assert box(square, size=f'width="200mm" height="100mm" viewBox="0 0 100 100" {how}') == found


@pytest.mark.parametrize(
    ("shape", "found"),
    [
        ('<path transform="translate(10,0) scale(2)" d="M1 0h1v1h-1z"/>', [12, 14, 0, 2]),
        ('<path transform="scale(2) translate(10,0)" d="M1 0h1v1h-1z"/>', [22, 24, 0, 2]),
        ('<rect transform="rotate(90 5 5)" width="2" height="1"/>', [9, 10, 0, 2]),
        ('<rect transform="matrix(2 0 0 3 5 7)" width="2" height="1"/>', [5, 9, 7, 10]),
        ('<rect transform="skewX(45)" width="2" height="1"/>', [0, 3, 0, 1]),
        ('<g transform="translate(10 20)"><rect transform="scale(-1,1)" width="2" height="1"/></g>', [8, 10, 20, 21]),
        ('<rect style="transform: translate(10px, 20px)" width="2" height="1"/>', [10, 12, 20, 21]),
        ('<svg x="10" y="5" width="30" height="30" viewBox="0 0 10 10"><rect width="1" height="1"/></svg>',
         [10, 13, 5, 8]),
        ('<defs><rect id="a" width="2" height="1"/></defs><use href="#a" x="5" y="7"/>', [5, 7, 7, 8]),
        ('<defs><rect id="a" width="2" height="1"/></defs><use xlink:href="#a" transform="scale(2)" x="5"/>',
         [10, 14, 0, 2]),
        ('<symbol id="s" viewBox="0 0 10 10"><rect width="1" height="1"/></symbol>'
         '<use href="#s" x="10" y="5" width="30" height="30"/>', [10, 13, 5, 8]),
        ('<svg width="50%" height="50%" x="10%"><rect width="100%" height="10%"/></svg>', [10, 60, 0, 5]),
        ('<rect x="10" y="10" width="10" height="20" rx="50"/>', [10, 20, 10, 30]),
        ('<line x1="1" y1="2" x2="3" y2="5"/>', [1, 3, 2, 5]),
        ('<polygon points="1,1 5,1 5,4"/>', [1, 5, 1, 4]),
        ('<ellipse cx="20" cy="10" rx="5"/>', [15, 25, 5, 15]),
        ('<switch><rect systemLanguage="xx" width="90"/><rect width="2" height="1"/><circle r="9"/></switch>',
         [0, 2, 0, 1]),
        ('<a><rect width="2" height="1"/></a>', [0, 2, 0, 1]),
    ],
)  # fmt: skip
def test_where_things_come_to_lie(shape, found):
    assert box(shape) == found


def test_a_rounded_rectangle_whose_radii_do_not_fit_has_elliptic_ends():
    (area,) = read('<rect width="10" height="20" rx="50"/>', tolerance=1e-4).areas()
    assert area.area == pytest.approx(pi * 5 * 10, rel=1e-4)


def test_circles_stay_circles_through_what_keeps_them_round():
    """Moved, turned, mirrored and scaled evenly; not by unequal scales."""
    round_ones = read(
        '<g transform="translate(50 50) rotate(33) scale(-2 2)"><circle id="a" r="3" cx="4"/></g>'
        '<path id="b" d="M20 20a4 4 0 0 1 8 0a4 4 0 0 1 -8 0z"/>'
        '<path id="c" d="M40 20a4 4 0 0 1 8 0"/><path id="d" d="M48 20a4 4 0 0 1 -8 0"/>'
        '<circle id="e" transform="scale(1 1.1)" r="3" cx="80" cy="80"/>'
    )
    assert [round(circle.diameter, 9) for circle in round_ones.circles()] == [12, 8, 8]
    assert round_ones.circles(name="b")[0].centre == pytest.approx((24, 80))
    assert len(round_ones.circles(diameter=8)) == 2 and round_ones.circles(diameter=9) == ()


def ring(inner: str) -> str:
    """Two circles about one centre, radii 10 and 5, in one path."""
    outer = "M40 50a10 10 0 0 1 20 0a10 10 0 0 1 -20 0z"
    other = "0" if inner == "opposite" else "1"
    return f"{outer}M45 50a5 5 0 0 {other} 10 0a5 5 0 0 {other} -10 0z"


@pytest.mark.parametrize(
    ("rule", "inner", "area"),
    [
        ("evenodd", "same", 235.619449), ("evenodd", "opposite", 235.619449), ("nonzero", "same", 314.159265),
        ("nonzero", "opposite", 235.619449),
    ],
)  # fmt: skip
@pytest.mark.parametrize("mirror", ["", 'transform="translate(100) scale(-1 1)"'])
def test_the_files_own_fill_rule(rule, inner, area, mirror):
    for how in (f'fill-rule="{rule}"', f'style="fill-rule:{rule}"'):
        found = read(f'<path {mirror} {how} d="{ring(inner)}"/>', tolerance=1e-4).areas()
        assert sum(each.area for each in found) == pytest.approx(area, rel=1e-5)


def test_nested_outlines_that_nothing_fills_are_shapes_with_holes():
    shapes = '<g fill="none" stroke="black"><rect width="60" height="40"/><rect x="10" y="10" width="40" height="20"/>'
    shapes += '<circle cx="30" cy="20" r="5"/></g>'
    found = read(shapes, tolerance=1e-4).areas()
    assert sorted(round(each.area, 1) for each in found) == [78.5, 1600.0]
    assert [len(each.interiors) for each in found] == [1, 0]
    # Filled ones are painted one over the other, unless even-odd is given.
    filled = read(shapes.replace('"none"', '"grey"'))
    assert len(filled.areas()) == 3 and len(filled.areas(fill_rule="evenodd")) == 2


def test_a_path_that_crosses_itself_is_filled_by_its_rule_and_said():
    """A five-pointed star drawn in one go: its middle is filled by nonzero, not by evenodd."""
    angles = pi / 2 + np.arange(5) * 4 * pi / 5
    points = " ".join(f"{50 + 40 * np.cos(a):.9f},{50 - 40 * np.sin(a):.9f}" for a in angles)
    whole = read(f'<polygon points="{points}"/>')
    open_ = read(f'<polygon fill-rule="evenodd" points="{points}"/>')
    # Of a pentagram in a circle of radius 1: 1.122570 in all, its pentagon has circumradius 0.381966.
    pentagon = 5 / 2 * (40 * 0.3819660113) ** 2 * np.sin(2 * pi / 5)
    assert sum(each.area for each in whole.areas()) == pytest.approx(40**2 * 1.122569941, rel=1e-6)
    assert sum(each.area for each in open_.areas()) == pytest.approx(40**2 * 1.122569941 - pentagon, rel=1e-6)
    assert "crosses" in str(whole)


def test_ends_that_meet_are_joined_and_open_ones_are_said_with_their_places():
    shapes = (
        '<g fill="none" stroke="black"><path d="M10 10h20"/><path d="M30.004 10v20"/><path d="M10 10v20h20.004"/></g>'
    )
    closed = read(shapes)
    assert len(closed.areas()) == 1 and "closed a gap of 0.0040 mm, at (30.002, 90.000)" in str(closed)
    opened = read(shapes, gap=0.001)
    assert [curve.closed for curve in opened.curves] == [False]
    assert "open, to (30.004, 90.000), 0.004 mm apart, at (30.000, 90.000)" in str(opened)
    with pytest.raises(tp.ShapeError, match="None of the curves is closed") as refused:
        opened.areas()
    assert refused.value.point is not None
    # An end that merely meets the start is open by the grammar, and is joined.
    assert len(read('<path d="M0 0h5v5h-5v-5" fill="none"/>').areas()) == 1


def test_a_filled_curve_is_an_area_from_end_to_end_and_a_stroked_one_is_none():
    """SVG 2, painting: filling closes open subpaths, a stroke does not."""
    plate = '<path d="M20 20H80V70H20" {}/><circle cx="50" cy="45" r="5" fill="none" stroke="red"/>'
    for paint, expected in (("", [3000.0, pi * 25]), ('fill="none" stroke="red"', [pi * 25])):
        assert [area.area for area in read(plate.format(paint)).areas()] == pytest.approx(expected, rel=1e-3)


def test_what_is_asked_for_and_hidden_is_said_to_be():
    drawing = read('<g id="off" style="display:none"><circle id="hole" r="5"/></g><circle id="rim" r="9"/>')
    with pytest.raises(tp.InputError, match="is hidden"):
        drawing.areas(name="off")


def test_layers_colours_and_names_select():
    drawing = tp.read_svg(
        svg(
            "<style>.cut {stroke: #f00; fill: none} #hole {stroke: blue}</style>"
            '<g inkscape:groupmode="layer" inkscape:label="outside" id="layer1">'
            '<rect class="cut" width="60" height="40"/></g>'
            '<g id="holes"><circle class="cut" id="hole" cx="20" cy="20" r="5"/><g id="small">'
            '<circle cx="40" cy="20" r="2" style="fill:none;stroke:rgb(0,128,0)"/></g></g>'
        ).replace("<svg ", '<svg xmlns:inkscape="http://www.inkscape.org/namespaces/inkscape" ')
    )
    assert drawing.layers == ("outside", "holes", "small")
    assert drawing.colours == ("#ff0000", "#0000ff", "#008000")
    assert [len(drawing.areas(layer=layer)) for layer in drawing.layers] == [1, 1, 1]
    assert drawing.circles(colour="blue") == drawing.circles(name="hole")
    assert len(drawing.circles(name="holes")) == 2 and len(drawing.circles(name="small")) == 1
    for wrong in ({"layer": "inside"}, {"colour": "pink"}, {"name": "x"}, {"layer": "outside", "colour": "blue"}):
        with pytest.raises(tp.InputError, match=r"layer|colour|name"):
            drawing.areas(**wrong)


@pytest.mark.parametrize(
    "hidden",
    [
        '<rect id="x" display="none" x="7" y="10" width="9" height="9"/>',
        '<g style="display:none"><rect id="x" x="7" y="10" width="9" height="9"/></g>',
        '<rect id="x" visibility="hidden" x="7" y="10" width="9" height="9"/>',
        '<g visibility="hidden"><rect id="x" x="7" y="10" width="9" height="9"/></g>',
        '<style>.off{display:none}</style><rect class="off" x="7" y="10" width="9" height="9"/>',
        '<g display="none"><text x="7" y="10">a</text><rect id="x" x="7" y="10" width="9" height="9"/></g>',
    ],
)
def test_what_is_hidden_is_not_cut_and_said_to_be_there(hidden):
    drawing = read(hidden + '<rect width="50" height="50"/>')
    assert len(drawing.curves) == 1
    assert any(note.place == pytest.approx((7, 90)) for note in drawing.hidden), drawing.hidden


@pytest.mark.parametrize("holder", ["defs", "symbol", "clipPath", "mask", "marker", "pattern"])
def test_what_svg_does_not_draw_is_not_drawn(holder):
    drawing = read(f'<{holder} id="h"><rect width="90" height="90"/></{holder}><rect width="5" height="5"/>')
    assert drawing.bounds == (0, 95, 5, 100)


@pytest.mark.parametrize(
    ("thing", "said"),
    [
        ('<text x="10" y="20">word</text>', "text, which has no outline; turn it into paths, at (10.000, 80.000)"),
        ('<image x="10" y="20" width="5" height="5" href="a.png"/>', "picture, which has no outline, at (10.000, 80"),
        ('<rect id="c" width="5" height="5" clip-path="url(#a)"/>', "rect 'c' is drawn whole: its clip-path is"),
        ('<rect id="c" width="-5" height="5"/>', "rect 'c' is not drawn: its width is negative"),
        ('<use href="#nobody"/>', "refers to '#nobody'"),
        ('<use href="other.svg#a"/>', "refers to 'other.svg#a'"),
        ('<style>g > .a {display:none}</style>', "style rule 'g > .a' is not read"),
        ('<blob id="b"/>', "blob 'b' is not known"),
        ('<path id="p" d=""/>', "path 'p' is not drawn: it has no path data"),
    ],
)  # fmt: skip
def test_what_is_left_out_is_said(thing, said):
    assert said in str(read(thing + '<rect width="50" height="50"/>'))


def test_a_line_drawn_twice_over_is_taken_once_and_said():
    line = '<path d="M0 0h50v30" fill="none" stroke="red"/>'
    drawing = read(line + line + '<path d="M50 30h-50v-30" fill="none" stroke="red"/>')
    assert len(drawing.areas()) == 1 and "drawn twice over" in str(drawing)


def bomb(levels: int) -> str:
    rows = ['<g id="l0"><rect width="1" height="1"/></g>']
    for n in range(1, levels):
        rows.append(f'<g id="l{n}">' + f'<use href="#l{n - 1}"/>' * 10 + "</g>")
    return f'<defs>{"".join(rows)}</defs><use href="#l{levels - 1}"/>'


@pytest.mark.parametrize(
    "content",
    [
        bomb(12),
        '<use id="a" href="#a"/>',
        '<g id="a"><use href="#b"/></g><g id="b"><use href="#a"/></g>',
        '<defs><g id="a"><rect width="1" height="1"/><use href="#a"/></g></defs><use href="#a"/>',
        "<g>" * 3000 + "</g>" * 3000,
        "".join(f'<g id="u{n}"><use href="#u{n + 1}"/></g>' for n in range(900)) + '<rect id="u900" width="1"/>',
        '<circle r="1e300"/>',
        '<path d="M0 0L1e400 3"/>',
        '<rect width="nan" height="5"/>',
        '<rect width="5" height="5" transform="scale(1e308) scale(1e308)"/>',
        '<polyline points="1 2 3"/>',
        '<rect width="5em" height="5"/>',
        '<rect width="5" height="5" transform="rotate(1 2)"/>',
        '<rect width="5" height="5" transform="roll(1)"/>',
        "",
    ],
    ids=lambda content: content[:30],
)  # fmt: skip
def test_what_is_hostile_or_broken_ends_in_an_error(content):
    with pytest.raises(tp.ToolpathsError):
        read(content)


@pytest.mark.parametrize(
    "data",
    [
        '<!DOCTYPE svg [<!ENTITY a "aaaa"><!ENTITY b "&a;&a;&a;">]>' + svg("<text>&b;</text>"),
        '<!DOCTYPE svg [<!ENTITY a SYSTEM "file:///etc/passwd">]>' + svg("<text>&a;</text>"),
        svg("<rect width='5' height='5'/>")[:-3],
        "<html/>",
        "<svg",
        b"\x1f\x8b\x08\x00",
        b"",
        "no-such-file.svg",
        svg("<rect width='5' height='5'/>", 'width="10mm" height="10mm" viewBox="0 0 0 10"'),
        svg("<rect width='5' height='5'/>", 'width="10mm" height="10mm" viewBox="0 0 -1 10"'),
        svg("<rect width='5' height='5'/>", 'width="0mm" height="10mm" viewBox="0 0 1 10"'),
    ],
    ids=lambda data: str(data)[:30],
)
def test_files_that_are_none_are_refused(data):
    with pytest.raises(tp.InputError):
        tp.read_svg(data)


def test_the_usual_document_type_passes():
    kind = '<!DOCTYPE svg PUBLIC "-//W3C//DTD SVG 1.1//EN" "http://www.w3.org/Graphics/SVG/1.1/DTD/svg11.dtd">'
    assert len(tp.read_svg(kind + svg("<rect width='5' height='5'/>")).curves) == 1


def test_a_path_text_or_bytes_are_one(tmp_path):
    text = svg("<rect width='5' height='5'/>")
    path = tmp_path / "plate.svg"
    path.write_text(text)
    assert tp.read_svg(path) == tp.read_svg(str(path)) == tp.read_svg(text) == tp.read_svg(text.encode())


def test_curves_lie_within_the_tolerance():
    """A cubic against its own formula: vertices on it, chords within the share of the tolerance."""
    p = np.array([(0, 0), (10, 40), (60, -30), (70, 20)], dtype=float)
    (curve,) = read('<path fill="none" d="M0 0C10 40 60 -30 70 20"/>').curves
    t = np.linspace(0, 1, 20_001)[:, None]
    true = (1 - t) ** 3 * p[0] + 3 * t * (1 - t) ** 2 * p[1] + 3 * t**2 * (1 - t) * p[2] + t**3 * p[3]
    true = true * [1, -1] + [0, 100]
    line = shapely.LineString(curve.points)
    assert shapely.distance(shapely.points(true), line).max() <= 0.01 / 8
    assert shapely.distance(shapely.points(curve.points), shapely.LineString(true)).max() < 1e-5
