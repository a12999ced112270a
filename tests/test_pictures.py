"""Pictures: the relief of a face, a section through both, the drawing of the part."""

from __future__ import annotations

import re
import struct
import zlib

import numpy as np
import pytest
from drawn_words import faults
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

import toolpaths as tp
from toolpaths.show.deflated import deflated
from toolpaths.show.part_sizes import part_area
from toolpaths.show.png import png
from toolpaths.show.relief_picture import SeenFace

BOARD = tp.Board(width=120, height=80, thickness=18)
T1 = tp.Cutter(1, tp.flat(6), feed_mm_min=1500, spindle_rpm=18000)
SIDE = tp.Fixture(board=BOARD)
BACK = SIDE.turned_over("left to right")
FRONT_WORK = [
    tp.pocket(tp.rectangle(40, 20, (40, 40)), T1, depth=5, name="tray"),
    tp.contour(tp.circle(20, (90, 40)), T1, depth=tp.through(0.3), side="inside", tabs=None, name="opening"),
]
JOB = tp.Job("Plate", [
    front := tp.Setup(SIDE, FRONT_WORK),
    tp.Setup(BACK, [tp.pocket(tp.rectangle(20, 20, (40, 40)), T1, depth=7, name="below")], after=front),
])  # fmt: skip
REPORT = JOB.report(cell=0.5)
WOOD = REPORT.stock.turned_over("left to right")


def decoded(data: bytes) -> np.ndarray:
    """The pixels of a PNG of grey values, by its own chunks, each with its sum checked."""
    assert data[:8] == b"\x89PNG\r\n\x1a\n"
    at, chunks = 8, {}
    while at < len(data):
        (size,) = struct.unpack(">I", data[at : at + 4])
        kind, body = data[at + 4 : at + 8], data[at + 8 : at + 8 + size]
        assert struct.unpack(">I", data[at + 8 + size : at + 12 + size])[0] == zlib.crc32(kind + body)
        chunks[kind], at = body, at + 12 + size
    columns, rows, *form = struct.unpack(">IIBBBBB", chunks[b"IHDR"])
    assert form == [8, 0, 0, 0, 0] and list(chunks) == [b"IHDR", b"IDAT", b"IEND"]
    raw = np.frombuffer(zlib.decompress(chunks[b"IDAT"]), np.uint8).reshape(rows, columns + 1)
    assert not raw[:, 0].any()
    return raw[:, 1:]


@given(arrays(np.uint8, st.tuples(st.integers(1, 40), st.integers(1, 40))))
def test_a_picture_is_read_back_as_it_was(pixels):
    assert np.array_equal(decoded(png(pixels)), pixels)


def test_a_large_picture_is_read_back_and_an_even_one_is_small():
    pixels = np.arange(400 * 500, dtype=np.uint32).astype(np.uint8).reshape(400, 500)
    assert np.array_equal(decoded(png(pixels)), pixels)
    pixels[50:] = 225
    assert np.array_equal(decoded(png(pixels)), pixels) and len(png(pixels)) < 35_000


@given(st.lists(st.tuples(st.integers(0, 255), st.integers(1, 800)), max_size=30))
def test_runs_of_any_length_are_unpacked_by_another_program(runs):
    data = b"".join(bytes([value]) * count for value, count in runs)
    assert zlib.decompress(deflated(data)) == data


def test_the_relief_shows_each_place_where_it_is():
    """Level wood, a floor that is darker, an opening that is white, a wall in shadow towards the light."""
    picture = decoded(tp.relief_png(WOOD, pixels=240))
    assert picture.shape == (160, 240)

    def at(x: float, y: float) -> int:
        return int(picture[159 - int(y * 2), int(x * 2)])

    face, floor, opened = at(5, 5), at(40, 40), at(82, 40)
    assert floor < face - 30 and opened == 255 and face < 250
    # The upper wall of the tray lies away from the light.
    assert min(at(40, y) for y in (49.5, 50)) < floor
    beyond = decoded(tp.relief_png(WOOD, pixels=240, within=tp.circle(20, (40, 40))))
    assert beyond[159 - 80, 80] == floor and beyond[5, 5] == 255


def test_what_is_to_be_finished_is_the_area_of_the_part_less_what_is_open():
    assert SeenFace(WOOD, part_area(JOB.part)).area == pytest.approx(120 * 80 - np.pi * 100, rel=0.01)


def test_a_section_measures_floors_and_walls_of_both_faces():
    drawing = tp.section_svg(WOOD, (0, 40), (120, 40))
    said = set(re.findall(r">(-?[\d.]+)</text>", drawing))
    # The face, the tray 5 deep, the recess 7 from below, the underside; walls of tray, recess and opening.
    assert {"0", "-5", "-11", "-18", "120"} <= said
    for wall in (20, 60, 30, 50, 80, 100):
        assert any(abs(float(each) - wall) <= WOOD.cell for each in said), wall
    # What stands between both faces: below the tray, and between it and the recess.
    assert {"13", "6"} <= said
    assert len(re.findall("<path", drawing)) >= 5 and faults(drawing) == []


def test_heights_of_a_section_that_take_many_digits_stand_on_the_page():
    board = tp.Board(width=100, height=60, thickness=18.35)
    T1 = tp.Cutter(1, tp.flat(6), feed_mm_min=1500, spindle_rpm=18000)
    side = tp.Fixture(board=board)
    setup = tp.Setup(side, [tp.pocket(tp.circle(30, (50, 30)), T1, depth=17.25)])
    drawing = tp.section_svg(tp.simulate(tp.program_text(setup), side, [T1], cell=1.0).stock, (0, 30), (100, 30))
    assert ">-17.25</text>" in drawing and ">-18.35</text>" in drawing
    assert faults(drawing) == []


@pytest.mark.parametrize(("start", "end"), [((0, 40), (0, 40)), ((0, 40), (121, 40)), ((-1, 0), (5, 5)), ("a", (1, 1))])
def test_a_section_of_nothing_is_refused(start, end):
    with pytest.raises(tp.InputError):
        tp.section_svg(WOOD, start, end)


@pytest.mark.parametrize("pixels", [0, 49, 4001, 2.5, True])
def test_a_relief_of_so_many_pixels_is_refused(pixels):
    with pytest.raises(tp.InputError, match="pixels"):
        tp.relief_png(WOOD, pixels=pixels)


def test_pictures_of_something_else_are_refused():
    with pytest.raises(tp.InputError, match="wood"):
        tp.relief_png(JOB)
    with pytest.raises(tp.InputError, match="wood"):
        tp.section_svg(JOB.part, (0, 0), (1, 1))
    with pytest.raises(tp.InputError, match="part"):
        tp.part_svg(WOOD)


def test_the_drawing_of_the_part_has_its_measures_from_its_own_corner():
    said = re.findall(r">([^<]+)</text>", tp.part_svg(JOB.part))
    named = {
        "\N{DIAMETER SIGN}20 through",
        "40 \N{MULTIPLICATION SIGN} 20, 5 deep",
        "20 \N{MULTIPLICATION SIGN} 20, 7 deep",
    }
    assert {"0", "120", "80", "20", "60", "30", "50", "90"} | named <= set(said)


def test_what_there_is_to_see_shows_itself_in_a_notebook():
    shown = {
        kind: value._repr_html_()
        for kind, value in {
            "setup": front, "job": JOB, "part": JOB.part, "path": front.steps[0].path, "wood": WOOD, "report": REPORT,
            "one report": REPORT.sides[0][1],
        }.items()
    }  # fmt: skip
    for kind in ("setup", "part", "path"):
        assert shown[kind].startswith("<svg") and shown[kind].count("<path") >= 2, kind
    assert shown["job"].count("<svg") == 2 and shown["wood"].startswith('<img src="data:image/png')
    assert " against the job" in shown["report"] and "<pre>" in shown["one report"]


def test_the_wood_after_a_piece_of_work_is_that_of_a_program_that_ends_there():
    """Of a setup that does no more than that; and after the last piece, that of the whole job."""
    for count in (1, len(FRONT_WORK)):
        alone = tp.Job("Alone", [tp.Setup(SIDE, FRONT_WORK[:count])]).report(cell=1.0).sides[0][1].stock
        wood = tp.Job("All", [tp.Setup(SIDE, FRONT_WORK)]).wood_after("front", count, cell=1.0)
        assert np.array_equal(wood.top, alone.top) and np.array_equal(wood.bottom, alone.bottom)
