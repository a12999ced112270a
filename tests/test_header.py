"""What the person at the machine reads first."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest
from pathcheck import BOARD, DRILL3, FRONT, MIDDLE, T6, run_text
from shapely import box

import toolpaths as tp
from toolpaths.facts.head_lines import place_in_set
from toolpaths.facts.turning import turned_corner
from toolpaths.making.writer.head import CAUTIONS
from toolpaths.making.writer.program import program
from toolpaths.show.lengths import Lengths
from toolpaths.show.sheet.finding_zero import finding_zero
from toolpaths.show.sheet.sheet_side import SheetSide

DOWELS = tuple(tp.Dowel(x=x, y=70, diameter=8, depth=8) for x in (12, 188))
SIDE = tp.Fixture(
    board=BOARD,
    dowels=DOWELS,
    screws=tp.screws([(10, 10), (190, 130)], head_diameter=9, height=2),
    clamps=(tp.Clamp(area=tp.rectangle(20, 10, (100, 5)), height=12),),
)


CORNERS = ("lower left", "lower right", "upper left", "upper right", "centre")
TURNS = ("left to right", "top to bottom")


def setup(fixture: tp.Fixture, after: tp.Setup | None = None) -> tp.Setup:
    work = (tp.drill([(60, 60)], DRILL3, depth=5), tp.stop("Look"), tp.contour(tp.circle(40, MIDDLE), T6, depth=9))
    return tp.Setup(fixture, work=work, after=after)


def head(fixture: tp.Fixture, units: str = "mm", **more) -> list[str]:
    """The comment lines before the first code."""
    return lines_of(tp.program_text(setup(fixture), units=units, **more))


def lines_of(text: str) -> list[str]:
    return text.split("\nG17")[0].splitlines()


def test_header_says_side_board_zero_cutters_order_and_cautions():
    lines = head(SIDE)
    text = "\n".join(lines)

    assert all(re.fullmatch(r"\([ -'*-~]+\)", line) for line in lines)
    assert lines[0] == "(test board: front)"
    assert lines[1:6] == [f"({caution})" for caution in CAUTIONS]
    for part in ("(Board 200 x 140 x 18 mm, thickness as measured)", "(Front up)", "(Z0 is the top of the board)",
                 "(X0 Y0 is the lower left corner of the board as it lies)", "(Safe height 17 mm above the board)",
                 "Clamp ", "Screws ", "(T6: drill 3 118 deg, 2 flutes, 8000 rpm)",
                 "(T1: flat 6, 2 flutes, 18000 rpm)", "(Spoilboard not cut)"):  # fmt: skip
        assert part in text, part
    order = [line for line in lines if re.match(r"\(\d+\. ", line)]
    assert order == [
        "(1. drill, T6: 0 to 5 deep, F250)",
        "(2. stop: Look)",
        "(3. contour outside, T1: 0 to 9 deep, F1800)",
    ]


def test_header_lines_fit_a_small_display():
    for fixture in (SIDE, SIDE.turned_over("top to bottom"), SIDE.turned_over("left to right", zero_at="centre")):
        for units in ("mm", "inch"):
            assert max(map(len, head(fixture, units))) <= 62


def test_header_in_inches_gives_inches():
    board = tp.Board(width=tp.inch(8), height=tp.inch(6), thickness=tp.inch("3/4"))
    text = "\n".join(head(tp.Fixture(board=board), "inch"))

    assert "8 x 6 x 0.75 inch" in text
    assert "T1: flat 0.2362" in text and "Safe height 0.1969 inch" in text
    assert "(Order of work, inch below the face before any work:)\n(1. drill, T6: 0 to 0.1969 deep, F9.84)" in text


def test_header_says_from_which_depth_to_which_each_operation_cuts():
    """Both count from the face before any work: 7 deep after levelling by 1 lies 6 below what is left."""
    levelled = tp.Setup(
        FRONT,
        work=(
            tp.face(tp.rectangle(100, 80, MIDDLE), T6, depth=1, name="level"),
            tp.pocket(tp.rectangle(60, 40, MIDDLE), T6, depth=7, from_depth=1, name="recess"),
            tp.drill([(80, 60)], DRILL3, depth=9, from_depth=7, depth_of="full diameter", name="holes"),
            tp.contour(
                tp.rectangle(60, 40, MIDDLE), T6, depth=tp.through(0.3), from_depth=7, side="inside", name="out"
            ),
        ),
    )
    lines = [line for line in lines_of(tp.program_text(levelled)) if re.match(r"\(\d+\. ", line)]
    deep = [re.fullmatch(r"\(\d+\. (\w+), T\d+: (\S+) to (\S+) deep, F\d+\)", line).groups() for line in lines]

    assert deep == [("level", "0", "1"), ("recess", "1", "7"), ("holes", "7", "9.901"), ("out", "7", "18.3")]
    assert [float(last) for *_, last in deep] == [pytest.approx(-s.path.lowest, abs=5e-4) for s in levelled.steps]


def test_header_says_how_deep_the_spoilboard_is_cut():
    cut = tp.Setup(FRONT, [tp.contour(tp.circle(40, MIDDLE), T6, depth=tp.through(0.3))])
    assert "(Spoilboard cut 0.3 mm deep)" in lines_of(tp.program_text(cut))


def test_header_of_the_back_says_how_it_was_turned():
    lines = head(SIDE.turned_over("top to bottom"))

    assert lines[0] == "(test board: back)"
    assert "(Back up, turned over top to bottom)" in lines


@pytest.mark.parametrize("corner", CORNERS)
@pytest.mark.parametrize("surface", ["top", "spoilboard"])
def test_header_names_the_zero(corner, surface):
    lines = head(replace(FRONT, zero_at=corner, zero_on=surface))

    place = corner if corner == "centre" else f"{corner} corner"
    assert f"(X0 Y0 is the {place} of the board as it lies)" in lines
    assert f"(Z0 is the {'top of the board' if surface == 'top' else 'spoilboard'})" in lines


# Zero and pins


def test_header_of_a_front_with_dowels_says_that_its_zero_must_stay():
    assert "(X0 Y0 must stay as set until the back is done.)" in head(SIDE)
    assert "must stay" not in "".join(head(replace(SIDE, dowels=())))


@pytest.mark.parametrize("turned", TURNS)
def test_header_of_a_back_with_pins_never_has_the_corner_found_again(turned):
    """It told the operator to find X0 Y0 at a corner of the turned board: 0.6 mm off on a board 0.6 mm too wide, while
    the pins alone are right (once a fault)."""
    back = setup(SIDE.turned_over(turned), after=setup(SIDE))
    lines = lines_of(tp.program_text(back))

    assert "(The pins hold the board: never find X0 Y0 at an edge.)" in lines
    assert "(X0 Y0 stays as set for the front.)" in lines
    assert "(Only Z0 is set anew.)" in lines
    assert "(Check X0 Y0 over a pin.)" in lines
    assert "anew on the turned board" not in "".join(lines) and "as it lies" not in "".join(lines)


@pytest.mark.parametrize("turned", TURNS)
@pytest.mark.parametrize("corner", CORNERS)
def test_header_of_a_back_without_pins_names_the_corner_to_find_again(turned, corner):
    lines = head(replace(SIDE, dowels=()).turned_over(turned, zero_at=corner))

    assert "(No pins: find X0 Y0 anew on the turned board.)" in lines
    was = [line for line in lines if "seen from the front" in line]
    assert was == (
        [] if corner == "centre" else [f"(That corner was {turned_corner(corner, turned)} seen from the front.)"]
    )
    assert "stays" not in "".join(lines)


def places(lines: list[str]) -> list[tuple[float, float]]:
    """The dowels as a head counts them."""
    found = [re.match(r"\(Dowel of \S+ at X(\S+) Y(\S+):", line) for line in lines]
    return [(float(place[1]), float(place[2])) for place in found if place]


@pytest.mark.sample(22)
@pytest.mark.parametrize("units", ["mm", "inch"])
@pytest.mark.parametrize("turned", TURNS)
@pytest.mark.parametrize("of_back", CORNERS)
@pytest.mark.parametrize("of_front", CORNERS)
def test_header_of_a_back_with_pins_and_another_zero_gives_the_numbers_to_enter(of_front, of_back, turned, units):
    """With the zero at the place that the head names in the front's numbers, the pins stand in the holes that the front
    drilled: what the heads print is enough to see it."""
    dowels = tuple(tp.Dowel(x=x, y=y, diameter=8, depth=8) for x in (12, 188) for y in (40, 100))
    side = replace(SIDE, dowels=dowels, zero_at=of_front)
    front = setup(side)
    back = setup(side.turned_over(turned, zero_at=of_back), after=front)
    there, here = (lines_of(tp.program_text(one, units=units)) for one in (front, back))

    moved = [re.match(r"\(X0 Y0 is the front's X(\S+) Y(\S+): enter that\.\)", line) for line in here]
    x, y = next(((float(words[1]), float(words[2])) for words in moved if words), (0.0, 0.0))
    assert ((x, y) == (0, 0)) == (of_front == of_back) == ("(X0 Y0 stays as set for the front.)" in here)
    assert len(places(there)) == 4
    digit = 1e-3 if units == "mm" else 1e-4
    assert sorted((px + x, py + y) for px, py in places(here)) == [
        pytest.approx(place, abs=2 * digit) for place in sorted(places(there))
    ]


def test_header_in_a_second_fixture_of_a_side_counts_the_zero_from_the_setup_before():
    """A front after a front still has its zero stay for the back; a back after a back is moved from there."""
    work = [tp.drill([(80, 60)], DRILL3, depth=5)]
    front = tp.Setup(replace(SIDE, clamps=()), work, after=setup(SIDE))
    back = tp.Setup(SIDE.turned_over("top to bottom", zero_at="upper left"), work, after=front)
    again = tp.Setup(SIDE.turned_over("top to bottom", zero_at="upper right"), work, after=back)

    assert "(X0 Y0 must stay as set until the back is done.)" in lines_of(tp.program_text(front))
    assert "(X0 Y0 is the front's X0 Y140: enter that.)" in lines_of(tp.program_text(back))
    assert "(X0 Y0 is the earlier back's X200 Y0: enter that.)" in lines_of(tp.program_text(again))
    assert "must stay" not in tp.program_text(tp.Setup(SIDE, work, after=back))


def test_header_of_a_back_that_knows_no_front_leaves_the_zero_to_the_operator():
    lines = head(SIDE.turned_over("left to right", zero_at="lower right"))

    assert "(X0 Y0 stays if the front's was the lower right corner too,)" in lines
    assert "(else it is moved there by numbers.)" in lines
    assert places(lines) == [(-12, 70), (-188, 70)]


def test_header_says_for_each_dowel_whether_its_hole_is_made_here():
    long = replace(T6, cutting_length=30)
    hole = tp.bore([(12, 70)], 8, long, depth=tp.through(8))
    text = tp.program_text(tp.Setup(SIDE, [hole]))

    assert "(Dowel of 8 at X12 Y70: hole made here)\n(Dowel of 8 at X188 Y70: no hole made here)" in text
    shallow = tp.Setup(SIDE, [tp.bore([(12, 70)], 8, long, depth=tp.through(7.9))])
    assert "(Dowel of 8 at X12 Y70: no hole made here)" in tp.program_text(shallow)


# Set and title


@pytest.mark.parametrize("short, made", [(0.0, True), (0.04, True), (0.06, False), (6.0, False)])
def test_header_and_judge_agree_on_how_deep_a_dowel_hole_is(short, made):
    dowels = tp.dowels([(100, 30), (100, 110)], diameter=8, depth=6)
    side = tp.Fixture(board=BOARD, dowels=dowels, grips=(BOARD.outline,))
    bored = tp.bore([(100, 30), (100, 110)], 8.05, replace(T6, cutting_length=30), depth=tp.through(6 - short))
    front = tp.Setup(side, [bored])
    back = tp.Setup(side.turned_over("left to right", grips=side.grips), setup(side).work[:1], after=front)
    job = tp.Job("Holes", [front, back])

    assert job.programs()["front"].count(": hole made here)") == (2 if made else 0)
    assert ("dowel-hole" not in job.report(cell=1.0).codes()) is made


@pytest.mark.parametrize("zero_at", CORNERS)
def test_header_of_a_front_that_is_run_again_on_the_pins_keeps_the_zero(zero_at):
    """Where the back's zero was another corner, the front's is that far from it, and nothing is found at an edge."""
    work = [tp.drill([(80, 60)], DRILL3, depth=5)]
    front = setup(SIDE)
    back = tp.Setup(SIDE.turned_over("left to right", zero_at=zero_at), work, after=front)
    again = lines_of(tp.program_text(tp.Setup(replace(SIDE, clamps=()), work, after=back)))

    assert f"(X0 Y0 is the {SIDE.zero_corner} of the board as entered)" in again
    assert "(The pins hold the board: never find X0 Y0 at an edge.)" in again
    assert ("(X0 Y0 stays as set for the back.)" in again) is (zero_at == SIDE.zero_at)
    x, y = (mine - theirs for mine, theirs in zip(SIDE.zero, back.fixture.zero[:2]))
    assert (f"(X0 Y0 is the back's X{x:g} Y{y:g}: enter that.)" in again) is (zero_at != SIDE.zero_at)
    assert "(Dowel of 8 at X12 Y70: pin in place)" in again
    text = " ".join(line.strip("() ") for line in again)
    assert "the corner marked lower left on the front is lower left now." in text
    assert "mark the lower left corner" not in text


@pytest.mark.parametrize("turned", TURNS)
@pytest.mark.parametrize(
    "places, both",
    [
        ([(12, 70), (188, 70)], True),
        ([(100, 20), (100, 120)], True),
        ([(12, 70), (188, 70), (100, 20), (100, 120)], True),
        ([(20, 30), (180, 30), (20, 110), (180, 110)], True),
        ([(20, 70), (180, 70), (100, 20)], False),
        ([(100, 20), (100, 110), (40, 70), (160, 70)], False),
    ],
)
def test_header_says_where_pins_fit_both_ways_round_which_corner_to_mark(places, both, turned):
    """And on the back where that corner then is: with it at hand nobody can lay the board the other way."""
    side = replace(SIDE, dowels=tp.dowels(places, diameter=8, depth=8))
    try:
        back = side.turned_over(turned)
    except tp.InputError:
        assert not both
        return
    said = "(These pins fit both ways round: mark the lower left corner.)"
    assert (said in head(side)) is both
    text = " ".join(line.strip("() ") for line in head(back))
    now = {"left to right": "lower right", "top to bottom": "upper left"}[turned]
    assert (f"the corner marked lower left on the front is {now} now." in text) is both


def test_a_program_is_marked_with_its_set_below_its_first_comment():
    """The mark is all that differs, and each operation keeps its lines."""
    line = place_in_set("3f9a1c2e", ["front", "back", "lid"], 1)
    assert line == "Set 3f9a1c2e, 2 of 3: back; the others are front, lid"
    for title in ("Half", "A title that is far too long for the width of a small display at the machine"):
        plain = program(setup(SIDE), title=title)
        marked = plain.marked(line)
        lines, before = marked.text.splitlines(), plain.text.splitlines()
        at = lines.index(f"({line})")
        assert [*lines[:at], *lines[at + 1 :]] == before
        assert not lines[at + 1].startswith("(  ")
        assert lines[:at] == before[:at] and at == (1 if title == "Half" else 2)
        assert len(plain.sections) == len(marked.sections) > 1
        for one, other in zip(plain.sections, marked.sections, strict=True):
            assert lines[other.first_line - 1 : other.last_line] == before[one.first_line - 1 : one.last_line]
            assert (one.operation, one.cutter, one.step) == (other.operation, other.cutter, other.step)


def test_an_identity_is_hexadecimal():
    assert place_in_set("3f9a1c2e", ["front"], 0) == "Set 3f9a1c2e, 1 of 1: front"
    for wrong in ("77", "3F9A1C2E", "", "no set at all"):
        with pytest.raises(tp.InputError, match="8 to 64 hexadecimal digits"):
            place_in_set(wrong, ["front", "back"], 0)


def test_header_takes_the_title_that_is_given():
    assert head(SIDE, title="Another name")[0] == "(Another name: front)"
    with pytest.raises(tp.InputError, match="title"):
        head(SIDE, title="a (nested) comment")


def test_header_of_a_program_for_one_cutter_says_which_of_them_it_is():
    texts = tp.texts_by_cutter(setup(SIDE), title="Half")

    assert [lines_of(text)[:2] for text in texts.values()] == [
        ["(Half: front)", f"(Program {number} of 2 of this side, one cutter each)"] for number in (1, 2)
    ]
    assert "(Program" not in "".join(head(SIDE))


def test_header_breaks_names_too_long_for_a_line():
    """200 characters of name and the sizes behind it passed 256, and no program was written (once a fault). No line
    that a long one goes on in reads like one of its own."""
    board = tp.Board(width=200, height=140, thickness=18, name=("Z0 is the spoilboard " * 9).strip())
    text, report = run_text([tp.contour(tp.circle(40, MIDDLE), T6, depth=2)], fixture=tp.Fixture(board=board))

    assert report.ok, str(report)
    lines = lines_of(text)
    assert max(map(len, lines)) <= 62
    assert re.sub(r"\)\n\( +", " ", "\n".join(lines)).count("Z0 is the spoilboard") == 18


def test_header_says_where_each_hold_down_is_as_the_program_counts():
    """The person at the machine sets it up from these lines alone."""
    held = tp.Fixture(
        board=BOARD,
        zero_at="centre",
        screws=(
            *tp.screws([(10, 10), (190, 10)], head_diameter=9, height=3),
            *tp.screws([(100, 70)], head_diameter=8, height=2, driven_at="Drive it"),
        ),
        clamps=(tp.Clamp(area=box(0, 50, 20, 90), height=12),),
        grips=(box(0, 120, 200, 140),),
    )
    work = [tp.stop("Drive it"), tp.bore([(150, 40)], 12, T6, depth=4)]
    lines = " ".join(lines_of(tp.program_text(tp.Setup(held, work)))).replace(") (  ", " ")
    for said in (
        "(Screws 9 wide, 3 high: X-90 Y-60, X90 Y-60)",
        "(Screws 8 wide, 2 high, driven at a stop: X0 Y0)",
        "(Clamp 12 high: X-100 to -80, Y-20 to 20)",
        "(Held by double-sided tape: X-100 to 100, Y50 to 70)",
    ):
        assert said in lines, lines
    assert "(Nothing is said to hold the board)" in tp.program_text(tp.Setup(tp.Fixture(board=BOARD), work[1:]))


@pytest.mark.parametrize(("hole", "zero_at"), [((150, 40), "lower left"), ((31, 100), "centre")])
def test_what_nothing_holds_yet_is_clamped_clear_of_all_that_is_swept_before_the_stop(hole, zero_at):
    screws = tp.screws([(100, 70)], head_diameter=8, height=2, driven_at="Drive it")
    held = tp.Fixture(board=BOARD, zero_at=zero_at, screws=screws)
    work = [tp.bore([hole], 12, T6, depth=4), tp.stop("Drive it"), tp.bore([(100, 110)], 12, T6, depth=4)]
    text = tp.program_text(tp.Setup(held, work))
    at = text.index("(Nothing is said to hold the board before step 2)\n(Clamp it clear of ")
    said = re.match(r"X(\S+) to (\S+), Y(\S+) to (\S+)\)", text[text.index("clear of ", at) + 9 :])
    assert said
    radius = max(6.0, T6.body_radius(held.safe_z + 4))
    x, y = hole[0] - held.zero[0], hole[1] - held.zero[1]
    around = radius + (6 - T6.radius if radius > 6 else 0)
    assert [float(each) for each in said.groups()] == pytest.approx([x - around, x + around, y - around, y + around])
    assert "before step" not in tp.program_text(tp.Setup(held, work[1:]))
    clear = text[text.index("clear of ", at) :].split(")")[0]
    meanwhile = tp.program_text(tp.Setup(replace(held, held_meanwhile="a clamp at each end"), work))
    assert f"(Held before step 2 by: a clamp at each end)\n(All of that {clear})\n" in meanwhile
    clamped = replace(held, clamps=(tp.Clamp(area=box(0, 0, 5, 5), height=2),))
    assert "Nothing is said" not in tp.program_text(tp.Setup(clamped, work))


@pytest.mark.parametrize(("zero_on", "depth"), [("top", 9), ("spoilboard", 12)])
def test_the_lowest_crossing_is_said_where_it_is_below_the_others(zero_on, depth):
    """A cutter of another length than its Z zero was set for runs into wood there at rapid."""
    held = tp.Fixture(board=BOARD, zero_on=zero_on, grips=(BOARD.outline,))
    fine = tp.Cutter(9, tp.flat(3), feed_mm_min=900, spindle_rpm=18000, cutting_length=14)
    tray = tp.pocket(tp.rectangle(120, 80, (100, 70)), [T6, fine], depth=depth)
    setup = tp.Setup(held, [tray])
    text = tp.program_text(setup)
    said = re.search(r"\(Where it is cut already crossings go down to Z(\S+)\)", text)
    z, lowest, code = 0.0, 99.0, ""
    for line in text.splitlines():
        if line[0] in "(M":
            continue
        code = named.group(0) if (named := re.match(r"G\d+", line)) else code
        if code == "G0" and ("X" in line or "Y" in line):
            lowest = min(lowest, z)
        z = float(found.group(1)) if (found := re.search(r"Z(\S+)", line)) else z
    assert said and float(said.group(1)) == pytest.approx(lowest, abs=1e-3)
    assert lowest < held.link_z - held.zero[2]
    sheet = re.sub("<[^>]*>", "", finding_zero(SheetSide("front", setup, {}, {}, {}, Lengths()), None, False))
    assert said and f"{said[0][1:-1]}: a wrong length is a crash." in sheet
    assert "Where it is cut already" not in tp.program_text(tp.Setup(held, [tp.drill([(50, 50)], DRILL3, depth=4)]))
