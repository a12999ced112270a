"""A program run on the wrong side, or on a board turned the wrong way, is said so, once, and not as forty gouges."""

from __future__ import annotations

import re
from dataclasses import replace
from random import Random

import pytest
import shapely

import toolpaths as tp
from toolpaths.facts.turning import TURNS
from toolpaths.judging.trial.codes import HOLDING, family

FOLLOWS = [code for code in tp.CODES if family(code) >= family(HOLDING)]
BOARD = tp.Board(width=240, height=150, thickness=18)
SIX = tp.Cutter(1, tp.flat(6), 1200, 16000, plunge_mm_min=400, cutting_length=30, step_down=6)
FRONT = tp.Fixture(board=BOARD, grips=(BOARD.outline,))
OTHER = dict(zip(TURNS, TURNS[::-1]))


def bare(setup: tp.Setup) -> str:
    """The text of a setup without any comment."""
    return re.sub(r"\n+", "\n", re.sub(r" ?\([^)]*\)", "", tp.program_text(setup)))


def trays(rng: Random) -> list[tp.Operation]:
    """Three or four trays of many depths, nowhere symmetric, in cells of their own."""
    cells = rng.sample([(x, y) for x in (50, 100, 150) for y in (45, 95)], rng.randint(3, 4))
    made = []
    for x, y in cells:
        shape = tp.rectangle(rng.uniform(16, 34), rng.uniform(14, 30), (x + rng.uniform(0, 8), y + rng.uniform(0, 6)))
        made.append(tp.pocket(shape, SIX, depth=round(rng.uniform(2, 7), 2)))
    return made


def setups(seed: int, turned: str) -> tuple[tp.Setup, tp.Setup]:
    rng = Random(seed)
    outline = tp.contour(
        tp.rectangle(200, 120, (117, 78)), SIX, depth=tp.through(0.3), tabs=tp.Tabs(count=4, width=8, height=4)
    )
    front = tp.Setup(FRONT, [*trays(rng), outline])
    return front, tp.Setup(FRONT.turned_over(turned, grips=FRONT.grips), trays(rng), after=front)


def codes_by_side(sides, part) -> dict[str, set[str]]:
    report = tp.verify(sides, [SIX], part=part, cell=0.5)
    found: dict[str, set[str]] = {name: set() for name, _ in report.sides}
    for side, finding, _ in report:
        found.setdefault(side, set()).add(finding.code)
    return found


@pytest.mark.sample(1, long=11)
@pytest.mark.parametrize("seed", range(6))
@pytest.mark.parametrize("turned", TURNS)
def test_a_back_made_for_the_other_turn_is_said_so(turned, seed):
    front, back = setups(seed, turned)
    _, other = setups(seed, OTHER[turned])
    part = tp.intended_part(front, back)
    assert tp.verify([(bare(front), FRONT), (bare(back), back.fixture)], [SIX], part=part, cell=0.5).ok
    report = tp.verify([(bare(front), FRONT), (bare(other), back.fixture)], [SIX], part=part, cell=0.5)
    (found,) = (found for found in report if found.finding.code == "laid-wrong")
    assert (found.side, found.finding.severity) == ("back", "danger")
    assert f"as the board lies turned over {OTHER[turned]}" in found.finding.message
    assert not set(report.codes()) & set(FOLLOWS), str(report)


@pytest.mark.sample(1, long=8)
@pytest.mark.parametrize("seed", range(6))
@pytest.mark.parametrize("turned", TURNS)
def test_programs_of_front_and_back_exchanged_are_said_so(turned, seed):
    front, back = setups(seed, turned)
    found = codes_by_side([(bare(back), FRONT), (bare(front), back.fixture)], tp.intended_part(front, back))
    for side in ("front", "back"):
        assert "laid-wrong" in found[side], found
        assert not found[side] & set(FOLLOWS), found


PINS = [(14, 85), (226, 85)]


@pytest.mark.sample(1)
@pytest.mark.parametrize("with_part", [True, False])
def test_exchanged_programs_of_a_job_on_pins_are_one_cause(with_part):
    """Without the part the holes of the pins tell it; their being missing from the front is not said beside it."""
    side = replace(FRONT, dowels=tp.dowels(PINS, diameter=8, depth=6))
    holes = tp.bore(PINS, 8.05, SIX, depth=tp.through(6))
    front = tp.Setup(side, [holes, tp.pocket(tp.rectangle(30, 20, (60, 40)), SIX, depth=5)])
    back = tp.Setup(
        side.turned_over("left to right", grips=side.grips),
        [tp.pocket(tp.rectangle(44, 26, (150, 100)), SIX, depth=6)], after=front,
    )  # fmt: skip
    part = tp.intended_part(front, back) if with_part else None
    assert tp.verify([(bare(front), side), (bare(back), back.fixture)], [SIX], part=part, cell=0.5).ok
    report = tp.verify([(bare(back), side), (bare(front), back.fixture)], [SIX], part=part, cell=0.5)
    assert "laid-wrong" in report.codes()
    assert not set(report.codes()) & set(FOLLOWS), str(report)


@pytest.mark.sample(1)
@pytest.mark.parametrize("turned", TURNS)
def test_holes_that_would_meet_turned_the_other_way_tell_it_without_the_part(turned):
    """Through holes from the front, counterbores from the back; and where both turns would do, there is no doubt."""
    drill = tp.Cutter(2, tp.drill_point(5), 400, 9000, cutting_length=40, deepest_peck=20, deepest_hole=40)
    places = [(50, 40), (50, 100), (150, 60)]

    def sides(holes, bored, way):
        front = tp.Setup(FRONT, [tp.drill(holes, drill, depth=tp.through(0.3), peck=4)])
        back = tp.Setup(FRONT.turned_over(way, grips=FRONT.grips), [tp.bore(bored, 9, SIX, depth=6)], after=front)
        return [(bare(front), FRONT), (bare(back), FRONT.turned_over(turned, grips=FRONT.grips))]

    assert tp.verify(sides(places, places, turned), [SIX, drill], cell=0.5).ok
    report = tp.verify(sides(places, places, OTHER[turned]), [SIX, drill], cell=0.5)
    (found,) = report.findings
    assert (found.finding.code, found.finding.severity) == ("laid-wrong", "doubt")
    assert f"turned {OTHER[turned]}, and not {turned}" in found.finding.message
    # Apart by hand's breadth either way, and the same pattern both ways.
    assert tp.verify(sides(places, [(90, 40), (200, 100)], turned), [SIX, drill], cell=0.5).ok
    both = [(50, 40), (190, 40), (50, 110), (190, 110)]
    assert tp.verify(sides(both, both, OTHER[turned]), [SIX, drill], cell=0.5).ok
    # Two counterbored holes tell it as well.
    assert tp.verify(sides(places[:2], places[:2], OTHER[turned]), [SIX, drill], cell=0.5).codes() == ("laid-wrong",)


def test_a_narrow_hole_within_a_wide_one_that_goes_through_tells_nothing_of_the_turn():
    """Where features of both faces lie point to point on a grid (once a doubt at a sound job)."""
    front = tp.Setup(FRONT, [
        tp.bore([(50, 40)], 10, SIX, depth=tp.through(0.3)), tp.bore([(150, 40)], 12, SIX, depth=4),
    ])  # fmt: skip
    width, height = FRONT.board.width, FRONT.board.height
    turned = FRONT.turned_over("left to right", grips=FRONT.grips)
    back = tp.Setup(turned, [
        tp.bore([(width - 50, height - 40)], 9, SIX, depth=3),
        tp.bore([(width - 150, height - 40)], 9.5, SIX, depth=tp.through(0.3)),
    ], after=front)  # fmt: skip
    assert tp.verify([(bare(front), FRONT), (bare(back), turned)], [SIX], cell=0.5).ok


@pytest.mark.sample(1)
@pytest.mark.parametrize("seed", range(3))
def test_a_back_run_on_the_front_alone_is_said_so(seed):
    front, back = setups(seed, "left to right")
    report = tp.simulate(bare(back), FRONT, [SIX], part=tp.intended_part(front, back), cell=0.5)
    (found,) = report.findings
    assert found.code == "laid-wrong" and "it is a program of the back" in found.message


@pytest.mark.sample(1)
@pytest.mark.parametrize("seed", range(3))
def test_a_front_that_lies_the_other_way_round_is_said_so(seed):
    """The part drawn turned by half a turn about the middle of the board."""
    front, _ = setups(seed, "left to right")
    part = tp.intended_part(front)
    half = [
        tp.Recess(area=shapely.affinity.rotate(each.shape, 180, origin=(120, 75)), depth=each.depth, corners=3)
        for each in part.front
        if isinstance(each, tp.Recess)
    ]
    part = tp.Part(board=BOARD, front=half)
    text = bare(tp.Setup(FRONT, front.operations[:-1]))
    report = tp.simulate(text, FRONT, [SIX], part=part, cell=0.5)
    assert report.codes() == ("laid-wrong",), str(report)
    assert "with its front up and turned by half a turn" in report.findings[0].message


@pytest.mark.sample(1)
@pytest.mark.parametrize("seed", range(4))
def test_a_slip_in_a_program_that_lies_right_is_no_other_lie(seed):
    """One move too deep is no cause; all of them too deep, or 5 mm to the right, lie shifted, and not turned."""
    front, back = setups(seed, "left to right")
    part = tp.intended_part(front, back)
    deep = re.sub(r"Z-(\d\.\d+)", lambda z: f"Z-{float(z[1]) + 0.8:.3f}", bare(front))
    aside = re.sub(r"X(\d+\.?\d*)", lambda x: f"X{float(x[1]) + 5:.3f}", bare(front))
    one = re.sub(r"(?s)^(.*?Z-\d\.\d+.*?)Z-(\d\.\d+)", lambda z: f"{z[1]}Z-{float(z[2]) + 0.8:.3f}", bare(front))
    assert one != bare(front)
    assert "laid-wrong" not in tp.simulate(one, FRONT, [SIX], part=part, cell=0.5).codes()
    (cause,) = (each for each in tp.simulate(deep, FRONT, [SIX], part=part, cell=0.5) if each.code == "laid-wrong")
    assert "lies 0.8 mm too deep (Z-0.8)" in cause.message
    (cause,) = tp.simulate(aside, FRONT, [SIX], part=part, cell=0.5).findings
    assert cause.code == "laid-wrong" and "lies 5 mm too far right (X+5), and moved back" in cause.message


def mirrored(text: str, axis: str, size: float) -> str:
    """A text drawn as seen from the other face: one axis the other way, and arcs with it."""
    text = re.sub(rf"{axis}(-?[\d.]+)", lambda word: f"{axis}{size - float(word[1]):.4f}", text)
    centre = {"X": "I", "Y": "J"}[axis]
    text = re.sub(rf"{centre}(-?[\d.]+)", lambda word: f"{centre}{-float(word[1]):.4f}", text)
    return re.sub(r"\bG([23])\b", lambda word: f"G{5 - int(word[1])}", text)


@pytest.mark.sample(1, long=6)
@pytest.mark.parametrize("seed", range(3))
@pytest.mark.parametrize("axis, way", [*zip("XY", TURNS)])
@pytest.mark.parametrize("turned", TURNS)
def test_a_side_that_is_not_mirrored_is_said_so(turned, axis, way, seed):
    """Two leftovers and 169 gouges were found (once a fault)."""
    size = BOARD.width if axis == "X" else BOARD.height
    front, back = setups(seed, turned)
    part = tp.intended_part(front, back)
    for one, other in ((True, False), (False, True)):
        texts = [mirrored(bare(s), axis, size) if wrong else bare(s) for s, wrong in ((front, one), (back, other))]
        report = tp.verify([(texts[0], FRONT), (texts[1], back.fixture)], [SIX], part=part, cell=0.5)
        (found,) = (found for found in report if found.finding.code == "laid-wrong")
        assert (found.side, found.finding.severity) == ("front" if one else "back", "danger")
        assert f"fits the part mirrored {way}: its {axis} runs the wrong way" in found.finding.message
        assert not {f.code for side, f, _ in report if side == found.side} & set(FOLLOWS), str(report)


@pytest.mark.parametrize("turned", TURNS)
def test_a_mirrored_back_of_a_nearly_symmetric_part_is_said_so(turned):
    """A disc and a square of one depth where the other's mirror image is: most places are right either way."""
    front = tp.Setup(FRONT, [tp.groove([(40, 12), (90, 12)], SIX, depth=3)])
    work = [tp.pocket(tp.circle(62, (75, 75)), SIX, depth=6), tp.pocket(tp.rectangle(58, 54, (166, 75)), SIX, depth=6)]
    back = tp.Setup(FRONT.turned_over(turned, grips=FRONT.grips), work, after=front)
    part, text = tp.intended_part(front, back), mirrored(bare(back), "X", BOARD.width)
    assert tp.verify([(bare(front), FRONT), (bare(back), back.fixture)], [SIX], part=part, cell=0.5).ok
    assert tp.verify([(bare(front), FRONT), (text, back.fixture)], [SIX], part=part, cell=0.5).codes() == (
        "laid-wrong",
    )
