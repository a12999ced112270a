"""Text as shapes: sizes, areas and kerning that the font's own figures give, overlaps, curves, what is missing."""

from __future__ import annotations

from math import pi

import numpy as np
import pytest
import shapely
from open_fonts import DEJAVU_SANS

import toolpaths as tp
from toolpaths.base.errors import DoesNotFitError, InputError, ShapeError
from toolpaths.lettering.letters import letters
from toolpaths.lettering.stroke_letters import stroke_letters
from toolpaths.shapes.bezier import bezier
from toolpaths.shapes.filled import filled

# DejaVu Sans 2.37, units of 2048 an em: advance, bounds, area, contours of the capitals (read from the font with
# the area pen of a general-purpose font library).
CAPITAL = 1493
FIGURES = {
    "I": (604, (201, 0, 403, 1493), 301586),
    "H": (1540, (201, 0, 1339, 1493), 727952),
    "L": (1141, (201, 0, 1130, 1493), 425176),
    "A": (1401, (16, 0, 1384, 1493), 678360),
    "D": (1577, (201, 0, 1456, 1493), 808148.416667),
    "O": (1612, (115, -29, 1497, 1520), 785709.583333),
    "i": (569, (193, 0, 377, 1556), 248952),
}


@pytest.mark.parametrize("letter", FIGURES)
def test_a_letter_has_the_size_and_the_area_that_its_font_gives(letter):
    _, bounds, area = FIGURES[letter]
    scale = 20 / CAPITAL
    drawn = letters(letter, DEJAVU_SANS, 20)
    assert drawn.bounds == pytest.approx([each * scale for each in bounds], abs=0.002)
    assert drawn.area == pytest.approx(area * scale**2, abs=drawn.length * 0.00125)


def test_letters_stand_apart_by_their_advance_and_their_kerning():
    """A V is kerned by -131 of 2048: 1.279297 mm at an em of 20 mm (from the font's own table)."""
    em = 20 * CAPITAL / 2048
    pair, one = letters("AV", DEJAVU_SANS, em), letters("V", DEJAVU_SANS, em)
    assert pair.bounds[2] - one.bounds[2] == pytest.approx(1401 / 2048 * 20 - 1.279297, abs=1e-4)
    wider = letters("HHH", DEJAVU_SANS, 10, letter_spacing=2.5)
    assert wider.bounds[2] - letters("HHH", DEJAVU_SANS, 10).bounds[2] == pytest.approx(5)


@pytest.mark.parametrize(("align", "x"), [("left", 100.0), ("centre", 100 - 1540 / 2), ("right", 100.0 - 1540)])
def test_alignment_is_by_the_whole_advance(align, x):
    scale = 10 / CAPITAL
    left = letters("H", DEJAVU_SANS, 10, (100, 7), align=align).bounds[0]
    assert left == pytest.approx(100 + (x - 100 + 201) * scale, abs=1e-5)


def test_lines_of_text_stand_below_each_other():
    two = shapely.get_parts(letters("I\nI", DEJAVU_SANS, 10, line_spacing=2))
    assert sorted(part.bounds[1] for part in two) == pytest.approx([-20, 0], abs=1e-5)


def test_accents_overlaps_and_counters():
    """An accented letter is the letter and its accent; overlapping letters are one area without holes in it."""
    accented, plain = letters("\u00c9", DEJAVU_SANS, 20), letters("E", DEJAVU_SANS, 20)
    assert accented.covers(plain.buffer(-1e-4))
    close = letters("HH", DEJAVU_SANS, 20, letter_spacing=-(1540 - 1339 + 201) * 20 / CAPITAL - 0.5)
    assert close.geom_type == "Polygon"
    assert close.area == pytest.approx(2 * letters("H", DEJAVU_SANS, 20).area - 0.5 * 20, abs=0.01)
    assert len(letters("8", DEJAVU_SANS, 20).interiors) == 2


def test_an_accent_goes_where_its_letter_goes():
    """x with a circumflex is two glyphs in any font: wider spacing and a curve move them as one."""
    left, right = (
        [part.centroid.x for part in shapely.get_parts(letters("Hx\u0302H", DEJAVU_SANS, 20, **spaced))]
        for spaced in ({}, {"letter_spacing": 8})
    )
    assert np.subtract(sorted(right), sorted(left)) == pytest.approx([0, 8, 8, 16], abs=1e-6)
    bow = tp.Outline((0, 0)).arc_through((40, 40), (80, 0))
    on_top = shapely.get_parts(letters("x\u0302", DEJAVU_SANS, 10, along=bow, align="centre"))
    assert [part.centroid.x for part in on_top] == pytest.approx([40, 40], abs=0.1)


def test_an_empty_line_in_a_text_is_a_line():
    low = letters("A\n\nB", DEJAVU_SANS, 10).bounds[1]
    assert low == pytest.approx(letters("A\nB", DEJAVU_SANS, 10).bounds[1] - 16, abs=1e-6)


def test_on_a_circle_every_letter_stands_upright_on_it():
    """Twelve I about a circle, one an hour: each is the first, turned by its place on the circle."""
    curve = tp.Outline((0, 50)).arc_to((0, 50), centre=(0, 0), clockwise=True)
    wide = 604 * 10 / CAPITAL
    drawn = letters("I" * 12, DEJAVU_SANS, 10, along=curve, letter_spacing=2 * pi * 50 / 12 - wide)
    parts = shapely.get_parts(drawn)
    assert len(parts) == 12
    middles = np.array([part.centroid.coords[0] for part in parts])
    # The middle of an I's stem is that of its advance, to a unit of the font.
    assert np.hypot(*middles.T) == pytest.approx(55, abs=0.05)
    angles = np.sort(np.degrees(np.arctan2(*middles.T)) % 360)
    assert np.diff(angles) == pytest.approx(30, abs=0.05)
    assert letters("I", DEJAVU_SANS, 10, along=curve, align="right").bounds[0] < 0
    with pytest.raises(DoesNotFitError, match="smaller letters would go"):
        letters("IIIIIIII", DEJAVU_SANS, 10, along=[(0, 0), (20, 0)])


def test_what_cannot_be_lettered_is_refused(tmp_path):
    broken = tmp_path / "broken.ttf"
    broken.write_bytes(DEJAVU_SANS.read_bytes()[:5000])
    garbage = tmp_path / "garbage.ttf"
    garbage.write_bytes(b"no font at all" * 100)
    for call, message in (
        (lambda: letters("a\u4e2d", DEJAVU_SANS, 10), r"no letter for '\u4e2d' \(U\+4E2D\)"),
        (lambda: letters("a", broken, 10), "broken.ttf"),
        (lambda: letters("a", garbage, 10), "no TrueType or OpenType font"),
        (lambda: letters("a", tmp_path / "none.ttf", 10), "cannot be read"),
        (lambda: letters("a", tmp_path, 10), "cannot be read"),
        (lambda: letters("  ", DEJAVU_SANS, 10), "not empty"),
        (lambda: letters("a", DEJAVU_SANS, 0), "capital_height=0"),
        (lambda: letters("a", DEJAVU_SANS, 10, (1, 1), along=[(0, 0), (50, 0)]), "cannot both say"),
        (lambda: letters("a\nb", DEJAVU_SANS, 10, along=[(0, 0), (50, 0)]), "one line, not of 2"),
        (lambda: letters("a", DEJAVU_SANS, 10, align="middle"), "'middle' is not one of"),
        (lambda: stroke_letters("caf\u00e9", 10), r"no letter for '\u00e9'"),
        (lambda: stroke_letters("a", 10, face="plain"), "'plain' is not one of"),
        (lambda: stroke_letters("a\tb", 10), "no letter for"),
    ):
        with pytest.raises((InputError, ShapeError, DoesNotFitError), match=message):
            call()


def test_stroke_letters_have_capitals_of_the_height_given():
    """A of the face rowmans: three strokes, 18 units wide, capitals 21 units high (the data's own figures)."""
    strokes = stroke_letters("A", 21, face="rowmans")
    assert [list(stroke.coords) for stroke in strokes.geoms] == [
        [(9, 21), (1, 0)],
        [(9, 21), (17, 0)],
        [(4, 7), (14, 7)],
    ]
    two = stroke_letters("AA", 21, face="rowmans", letter_spacing=3)
    assert two.bounds[2] == pytest.approx(18 + 3 + 17)
    bent = stroke_letters("HH", 10, along=[(0, 0), (0, 80)], align="centre")
    assert bent.bounds[2] == pytest.approx(0, abs=1e-9)


def test_letters_become_a_program():
    """A name pocketed in a board with a fine cutter, and judged."""
    board = tp.Board(width=120, height=40, thickness=18)
    fixture = tp.Fixture(board=board, clamps=(tp.Clamp(area=tp.rectangle(6, 20, (3, 20)), height=8),))
    fine = tp.Cutter(1, tp.flat(1), feed_mm_min=800, spindle_rpm=18000)
    work = [tp.pocket(letters("LIO", DEJAVU_SANS, 14, (25, 13)), fine, depth=1, name="name")]
    report = tp.Job("Name", [tp.Setup(fixture, work)]).report()
    assert [str(each) for each in report.findings] == []


@pytest.mark.parametrize("controls", [[(0, 0), (30, 60), (90, 10)], [(0, 0), (40, 90), (60, -80), (100, 5)]])
@pytest.mark.parametrize("sagitta", [0.1, 0.001])
def test_bezier_chords_lie_within_their_sagitta(controls, sagitta):
    """Against ten thousand points of the curve by its own polynomial."""
    points = bezier(np.array(controls, dtype=float), sagitta)
    t = np.linspace(0, 1, 10_001)[:, None]
    p = [np.array(each, dtype=float) for each in controls]
    curve = (
        (1 - t) ** 2 * p[0] + 2 * t * (1 - t) * p[1] + t**2 * p[2]
        if len(p) == 3
        else (1 - t) ** 3 * p[0] + 3 * t * (1 - t) ** 2 * p[1] + 3 * t**2 * (1 - t) * p[2] + t**3 * p[3]
    )
    off = shapely.distance(shapely.LineString(points), shapely.points(curve))
    assert off.max() <= sagitta
    assert off.max() > sagitta / 10


def test_fill_rules():
    """Two circles about one centre: 235.619 by even and odd, and by turns only where they run against each other."""
    t = np.arange(4000) * 2 * pi / 4000
    big, small = (np.column_stack([np.cos(t), np.sin(t)]) * r for r in (10.0, 5.0))
    assert filled([big, small], "evenodd").area == pytest.approx(235.619449, abs=1e-3)
    assert filled([big, small], "nonzero").area == pytest.approx(314.159265, abs=1e-3)
    assert filled([big, small[::-1]], "nonzero").area == pytest.approx(235.619449, abs=1e-3)
    assert filled([], "nonzero").is_empty
    assert filled([np.array([[0, 0], [5, 5]], dtype=float)], "evenodd").is_empty
    back_the_same_way = np.array([[0, 0], [10, 0], [10, 5], [10, 0]], dtype=float)
    assert filled([back_the_same_way], "evenodd").is_empty
    assert filled([back_the_same_way, big], "nonzero").area == pytest.approx(314.159265, abs=1e-3)
