"""What the sheet says of a finished part is what a calliper reads on it, from its own corner and its own faces."""

from __future__ import annotations

import re
from math import radians, tan

import pytest
from drawn_words import faults

import toolpaths as tp
from toolpaths.show.lengths import MM, Lengths
from toolpaths.show.part_drawing import part_picture
from toolpaths.show.part_sizes import levelled, measured, thickness, wall_bounds
from toolpaths.show.sheet.edges import edges_to_break

T1 = tp.Cutter(1, tp.flat(6), feed_mm_min=1500, spindle_rpm=18000, cutting_length=24)
T2 = tp.Cutter(2, tp.flat(25), feed_mm_min=1500, spindle_rpm=12000, cutting_length=20)
T3 = tp.Cutter(3, tp.drill_point(3), feed_mm_min=300, spindle_rpm=9000, cutting_length=20)
V60 = tp.Cutter(4, tp.v_point(12, 60), feed_mm_min=900, spindle_rpm=18000)
V90 = tp.Cutter(5, tp.v_point(12, 90), feed_mm_min=900, spindle_rpm=18000)
BOARD = tp.Board(width=300, height=200, thickness=19)
OUTLINE = tp.rectangle(240, 120, (150, 110))
TIMES = "\N{MULTIPLICATION SIGN}"


def part(*work, board: tp.Board = BOARD) -> tp.Part:
    side = tp.Fixture(board=board, grips=[board.outline], overhang=40)
    return tp.intended_part(tp.Setup(side, [*work]))


def cut_out(shape=OUTLINE, side="outside", name="outline"):
    return tp.contour(shape, T1, depth=tp.through(0.3), side=side, name=name, tabs=None)


def sizes(of: tp.Part) -> dict[str, tuple[str, float | None]]:
    return {each.name: (each.size, each.depth) for each in measured(of, MM)}


@pytest.mark.sample(1)
@pytest.mark.parametrize("level", [0.8, 1.25])
def test_depths_count_from_the_face_that_is_left_and_the_part_is_so_much_thinner(level):
    of = part(
        tp.face(BOARD.outline, T2, depth=level), tp.pocket(tp.circle(30, (150, 110)), T1, depth=6 + level, name="dish"),
        cut_out(),
    )  # fmt: skip
    assert levelled(of, "front") == level and thickness(of) == pytest.approx(19 - level)
    assert sizes(of)["dish"] == ("\N{DIAMETER SIGN}30", pytest.approx(6)) and "level the face" not in sizes(of)
    assert f"{19 - level:g} thick" in part_picture(of, MM)


def test_what_is_cut_into_the_waste_is_no_size_of_the_part():
    hole = cut_out(tp.circle(60, (90, 110)), "inside", "window")
    pilots = tp.drill([(10, 10), (90, 110), (200, 110)], T3, depth=8, name="pilots")
    found = [each for each in measured(part(pilots, hole, cut_out()), MM) if each.name == "pilots"]
    assert [each.middle for each in found] == [(200, 110)]
    assert set(sizes(part(tp.drill([(10, 10)], T3, depth=8), hole, cut_out()))) == {"window", "outline"}


@pytest.mark.sample(1)
@pytest.mark.parametrize(("vee", "width", "level"), [(V60, 1.5, 0), (V90, 1.5, 0), (V90, 2.25, 1)])
def test_a_bevel_is_measured_at_its_mouth_or_by_what_is_level_within_it_and_as_deep_as_it_stands(vee, width, level):
    """The V's tip runs beside the wall, where no wood is: a depth gauge finds the foot of the bevel."""
    window, tray = tp.circle(60, (90, 110)), tp.relieve_corners(tp.rectangle(50, 40, (200, 110)), 3)
    face = [tp.face(BOARD.outline, T2, depth=level)] if level else []
    edges = [
        tp.chamfer(shape, vee, width=width, side=side, name=name, **({"from_depth": level} if level else {}))
        for shape, side, name in ((window, "inside", "mouth"), (tray, "inside", "rim"), (OUTLINE, "outside", "outer"))
    ]  # fmt: skip
    of = part(*face, tp.pocket(tray, T1, depth=9, name="tray"), *edges, cut_out(window, "inside", "window"), cut_out())
    found, deep = sizes(of), width / tan(radians(vee.profile.angle_deg / 2))
    for name, size in (
        ("mouth", f"mouth \N{DIAMETER SIGN}{60 + 2 * width:g}"),
        ("rim", f"mouth {50 + 2 * width:g} {TIMES} {40 + 2 * width:g}"),
        ("outer", f"level within it {240 - 2 * width:g} {TIMES} {120 - 2 * width:g}"),
    ):
        assert found[name][0] == size and MM.of(found[name][1]) == MM.of(deep), name
    front, back = edges_to_break(of)
    assert front == "On the front no edge is left to break; bevelled already: mouth, rim, outer."
    assert back == "On the back break lightly by hand: window, outline."


@pytest.mark.parametrize(("across", "hole", "deep"), [(9, 4, 2.5), (8, 3, 2.5), (8, 8.5, 4)])
def test_a_countersink_is_as_deep_as_its_cone_stands_over_the_hole(across, hole, deep):
    place = (150, 110)
    cone = tp.Cone(places=[place], diameter=across, angle_deg=90)
    of = tp.Part(board=BOARD, front=[cone, tp.Recess(area=tp.circle(hole, place), depth=12)])
    assert sizes(of)["countersink"] == (f"\N{DIAMETER SIGN}{across}", pytest.approx(deep, abs=0.004))
    assert sizes(tp.Part(board=BOARD, front=[cone]))["countersink"][1] == pytest.approx(across / 2)


def test_a_cone_is_as_wide_as_it_is_at_the_face_that_is_left():
    front = [tp.Recess(area=BOARD.outline, depth=1), tp.Cone(places=[(150, 110)], diameter=8, angle_deg=90)]
    assert sizes(tp.Part(board=BOARD, front=front))["countersink"] == ("\N{DIAMETER SIGN}6", pytest.approx(3))


@pytest.mark.sample(1)
@pytest.mark.parametrize("radius", [1.5, 3])
def test_walls_are_measured_and_not_the_ears_at_their_corners(radius):
    area = tp.relieve_corners(tp.rectangle(92, 62, (86, 121)), radius)
    assert wall_bounds(area) == pytest.approx((40, 90, 132, 152))
    assert sizes(part(tp.pocket(area, T1, depth=5, name="box")))["box"] == (f"92 {TIMES} 62", 5)


@pytest.mark.sample(1)
@pytest.mark.parametrize(("angle", "said"), [(30, 30), (120, 120), (200, 20)])
def test_a_rectangle_that_lies_aslant_is_measured_along_its_walls(angle, said):
    area = tp.rotate(tp.rectangle(70, 20, (150, 100)), angle, about=(150, 100))
    assert sizes(part(tp.pocket(area, T1, depth=5, name="slot")))["slot"][0] == f"70 {TIMES} 20, turned {said} deg"


def test_a_groove_is_as_wide_as_it_is_at_the_face_and_as_long_as_its_line():
    of = part(tp.groove([(50, 50), (80, 90)], V60, depth=3, name="aslant"))
    assert sizes(of)["aslant"] == ("3.46 wide, 50 long", 3)
    level = part(tp.face(BOARD.outline, T2, depth=1), tp.groove([(50, 50), (80, 90)], V60, depth=4, from_depth=1))
    assert list(sizes(level).values()) == [("3.46 wide, 50 long", 3)]


def test_the_drawing_measures_from_the_part_and_a_row_of_places_as_a_row():
    """The ladder stopped after forty shapes."""
    holes = tp.drill([(40 + 9 * i, 70 + 25 * j) for j in range(4) for i in range(23)], T3, depth=4, name="pegs")
    of = part(holes, cut_out())
    drawing = part_picture(of, MM)
    said = re.findall(r">([^<]+)</text>", drawing)
    assert {"0", "240", "120", "20", "45", "70", "95", "10", "208", f"22 {TIMES} 9"} <= set(said)
    assert f"92 {TIMES} \N{DIAMETER SIGN}3, 4 deep" in said and "Dashed" not in drawing
    assert faults(drawing) == []
    # In inches the row takes more room than the dimensions had: its first figure was cut off.
    in_inches = part_picture(of, Lengths("inch"))
    assert f"22 {TIMES} 0.3543" in in_inches and faults(in_inches) == []


def test_a_place_reads_alike_in_the_drawing_and_in_the_table():
    """148.654 from an edge at 25.673: rounded before they were subtracted, 148.65 read 148.66."""
    shape = tp.rectangle(148.652, 60, (25.674 + 148.652 / 2, 90))
    of = part(cut_out(shape))
    assert sizes(of)["outline"][0] == f"148.65 {TIMES} 60"
    assert "148.65" in re.findall(r">([^<]+)</text>", part_picture(of, MM))


@pytest.mark.sample(2)
@pytest.mark.parametrize(("width", "height"), [(60, 60), (120, 60), (300, 420), (2400, 1200), (2400, 100)])
def test_words_on_the_drawing_of_a_part_are_apart_and_on_the_page(width, height):
    board = tp.Board(width=width, height=height, thickness=18)
    w, h = width / 10, height / 10
    front = [
        tp.Recess(area=tp.rectangle(3 * w, 3 * h, (2.5 * w, 3 * h)), depth=5), tp.Recess(area=tp.circle(min(w, h) * 2,
        (7 * w, 3 * h)), depth=4), tp.Parting(area=tp.circle(min(w, h), (7 * w, 3 * h)), waste="inside"),
        tp.Parting(area=tp.rectangle(9 * w, 9 * h, (5 * w, 5 * h)), waste="outside"),
        *[tp.CutAlong(line=[(x * w, 6 * h), (x * w, 8 * h)], profile=tp.v_point(6, 90), depth=1) for x in range(2, 9)],
    ]  # fmt: skip
    back = [tp.Recess(area=tp.circle(min(w, h) * 3, (7 * w, 3 * h)), depth=9)]
    assert faults(part_picture(tp.Part(board=board, front=front, back=back), MM)) == []


@pytest.mark.parametrize(("wide", "tall", "deep"), [(57, 48, 12), (84, 60, 5)])
def test_the_drawing_says_of_pockets_openings_and_grooves_how_large_they_are(wide, tall, deep):
    """A depth alone beside a hole in the pocket's middle read as that hole's."""
    of = tp.Part(
        board=BOARD,
        front=[
            tp.CutAlong(line=tp.rectangle(220, 100, (150, 110)).exterior, profile=tp.v_point(6, 90), depth=2),
            tp.Parting(area=tp.rectangle(30, 20, (220, 110)), waste="inside"),
            tp.Parting(area=OUTLINE, waste="outside"),
        ],
        back=[tp.Recess(area=tp.rectangle(wide, tall, (110, 110)), depth=deep)],
    )
    drawing = part_picture(of, MM)
    said = re.findall(r">([^<]+)</text>", drawing)
    assert {f"{wide} {TIMES} {tall}, {deep} deep", f"30 {TIMES} 20 through", "4 wide, 2 deep"} <= set(said)
    assert faults(drawing) == [] and f"240 {TIMES} 120 through" not in said
