"""All that a program cuts beside its place is one cause with its length; what is beside it in part is none."""

from __future__ import annotations

import re
from dataclasses import replace
from math import hypot
from pathlib import Path
from random import Random

import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

import toolpaths as tp
from samples import examples
from toolpaths.judging.trial.codes import HOLDING, family
from toolpaths.testing import simulated
from toolpaths.testing.script_job import script_job

FOLLOWS = [code for code in tp.CODES if family(code) >= family(HOLDING)]
BOARD = tp.Board(width=160, height=110, thickness=16)
SIX = tp.Cutter(1, tp.flat(6), 1200, 16000, plunge_mm_min=400, cutting_length=30, step_down=6)
VEE = tp.Cutter(2, tp.v_point(12, 90), 1200, 16000, plunge_mm_min=400)
SIDE = tp.Fixture(board=BOARD, grips=(BOARD.outline,))
RACK = [SIX, VEE]


def bare(setup: tp.Setup) -> str:
    """The text of a setup without any comment."""
    return re.sub(r"\n+", "\n", re.sub(r" ?\([^)]*\)", "", tp.program_text(setup)))


def words_moved(text: str, x: float, y: float) -> str:
    """A text with so much added to every X and every Y."""
    by = {"X": x, "Y": y}
    return re.sub(r"([XY])(-?[\d.]+)", lambda word: f"{word[1]}{float(word[2]) + by[word[1]]:.4f}", text)


def zero_moved(text: str, x: float, y: float) -> str:
    """A text that names the place over the corner of the board, at which it begins, otherwise."""
    begin = re.search(r"^G0 Z25\n", text, re.M)
    assert begin
    return text[: begin.end()] + f"G0 X0 Y0\nG92 X{-x:g} Y{-y:g}\n" + text[begin.end() :]


def work(rng: Random, kinds: list[str]) -> list[tp.Operation]:
    """Two pieces of different work, in halves of the board, cut out or not."""
    made: list[tp.Operation] = []
    for kind, x in zip((kind for kind in kinds if kind != "outline"), (45, 112)):
        middle = (x + rng.uniform(-5, 5), 55 + rng.uniform(-5, 5))
        wide, high = rng.uniform(18, 40), rng.uniform(14, 40)
        if kind == "tray":
            made.append(tp.pocket(tp.rectangle(wide, high, middle), SIX, depth=rng.uniform(2, 6)))
        elif kind == "holes":
            places = [(middle[0] + rng.uniform(-20, 20), middle[1] + 14 * k) for k in (-1, 0, 1)]
            made.append(tp.bore(places, 8, SIX, depth=rng.uniform(3, 8)))
        elif kind == "groove":
            line = [middle, (middle[0] + 14, middle[1] + rng.uniform(-20, 20))]
            made.append(tp.groove(line, SIX, depth=rng.uniform(2, 5)))
        else:
            made.append(tp.v_carve(tp.regular_polygon(5, rng.uniform(8, 11), middle), VEE))
    if "outline" in kinds:
        outline = tp.rectangle(142, 92, (80, 55), corner_radius=rng.uniform(4, 20))
        made.append(tp.contour(outline, SIX, depth=tp.through(0.3), tabs=tp.Tabs(count=4, width=8, height=4)))
    return made


KINDS = ["tray", "holes", "groove", "carving"]


def found(text: str, part: tp.Part, side: tp.Fixture = SIDE) -> tp.Report:
    return tp.simulate(text, side, RACK, part=part, cell=1.0)


@examples(24)
@given(
    st.integers(0, 99), st.permutations([*KINDS, "outline"]).map(lambda kinds: kinds[:3]),
    st.sampled_from([-30.5, -7.0, -1.0, -0.3, 0.0, 0.4, 1.0, 12.7]), st.sampled_from([-9.0, -0.5, 0.0, 1.0, 25.4]),
    st.sampled_from([words_moved, zero_moved]),
)  # fmt: skip
def test_a_shifted_program_is_never_sound_and_a_cause_has_its_length(seed, kinds, x, y, moved) -> None:
    """Whatever is cut, wherever it goes, by words or by an offset; and what is not moved has no cause."""
    setup = tp.Setup(SIDE, work(Random(seed), kinds))
    part, text = tp.intended_part(setup), bare(setup)
    report = found(moved(text, x, y), part)
    causes = [each for each in report if each.code == "laid-wrong"]
    if not x and not y:
        assert report.ok, str(report)
        return
    if not causes:  # some are only gouges and leftovers: how few is counted below
        assert not report.ok
        return
    (cause,) = causes
    assert cause.amount == pytest.approx(hypot(x, y), abs=0.04), str(report)
    by = {axis: float(length) for axis, length in re.findall(r"\(([XY])([-+][\d.]+)\)", cause.message)}
    assert by.get("X", 0.0) == pytest.approx(x, abs=0.03) and by.get("Y", 0.0) == pytest.approx(y, abs=0.03)
    assert not set(report.codes()) & set(FOLLOWS), str(report)
    if moved is zero_moved:
        assert "G92 on line" in cause.message
        assert moved(text, x, y).splitlines()[cause.line - 1].startswith("G92")


@pytest.mark.long
def test_of_shifted_programs_nine_of_ten_have_their_cause() -> None:
    named = 0
    for number in range(10):
        chance = Random(f"shift {number}")
        kinds = chance.sample([*KINDS, "outline"], 3)
        x, y = chance.choice([-30.5, -7.0, -0.3, 0.4, 12.7]), chance.choice([-9.0, -0.5, 0.0, 1.0, 25.4])
        setup = tp.Setup(SIDE, work(Random(number), kinds))
        named += "laid-wrong" in found(words_moved(bare(setup), x, y), tp.intended_part(setup)).codes()
    assert named >= 9


def test_a_short_groove_along_the_shift_tells_it_by_its_ends() -> None:
    """Beside its sides nothing is off (once not found)."""
    setup = tp.Setup(SIDE, [tp.groove([(20, 55), (140, 55)], SIX, depth=4)])
    report = found(zero_moved(bare(setup), -3, 0), tp.intended_part(setup))
    (cause,) = (each for each in report if each.code == "laid-wrong")
    assert "lies 3 mm too far left (X-3)" in cause.message and "G92 on line" in cause.message


@pytest.mark.sample(1)
@pytest.mark.parametrize("by", [-0.6, 0.8])
def test_a_program_that_lies_too_high_or_too_deep_is_one_cause(by: float) -> None:
    """All floors by one length; one floor alone is no cause for all."""
    trays = [tp.pocket(tp.rectangle(30, 20, (40 + 70 * k, 55)), SIX, depth=3 + k) for k in (0, 1)]
    setup = tp.Setup(SIDE, trays)
    part = tp.intended_part(setup)
    moved = re.sub(r"Z(-?[\d.]+)", lambda word: f"Z{float(word[1]) + by:g}", bare(setup))
    (cause,) = (each for each in found(moved, part) if each.code == "laid-wrong")
    assert f"lies {abs(by):g} mm too {'high' if by > 0 else 'deep'} (Z{by:+g})" in cause.message
    one = bare(tp.Setup(SIDE, [trays[0], replace(trays[1], depth=4 - by)]))
    assert "laid-wrong" not in found(one, part).codes()


@pytest.mark.sample(1)
@pytest.mark.parametrize("zero_at", ["centre", "upper left", "lower right"])
def test_another_corner_for_zero_is_named(zero_at) -> None:
    """The program of a board whose zero is at another corner: half of it goes off the board."""
    made = work(Random(3), ["tray", "holes", "outline"])
    setup = tp.Setup(SIDE, made)
    other = tp.Setup(replace(SIDE, zero_at=zero_at), made)
    report = found(bare(other), tp.intended_part(setup))
    (cause,) = (each for each in report if each.code == "laid-wrong")
    named = "the centre" if zero_at == "centre" else f"the {zero_at} corner"
    assert f"with X0 Y0 at {named} of the board, and it is run with X0 Y0 at the lower left corner" in cause.message


@pytest.mark.long
@examples(12)
@given(st.integers(0, 99), st.sampled_from(["one moved", "one left out", "deeper", "wider", "through"]))
def test_what_is_wrong_in_part_is_no_shift(seed, how) -> None:
    """One of two trays moved, left out, deeper, wider or through: no length by which all of it is off."""
    rng = Random(seed)
    first = tp.rectangle(rng.uniform(20, 40), rng.uniform(14, 40), (45, 55))
    second = tp.rectangle(rng.uniform(20, 40), rng.uniform(14, 40), (112, 55))
    wrong = {"one moved": shapely.affinity.translate(second, 4, 2), "wider": second.buffer(2, join_style="mitre")}

    def setup(areas, depths):
        return tp.Setup(SIDE, [tp.pocket(area, SIX, depth=depth) for area, depth in zip(areas, depths)])

    part = tp.intended_part(setup([first, second], [3, 5]))
    areas = [first] if how == "one left out" else [first, wrong.get(how, second)]
    text = bare(setup(areas, [3, {"deeper": 7, "through": tp.through(0.3)}.get(how, 5)]))
    report = found(text, part)
    assert not report.ok and "laid-wrong" not in report.codes(), str(report)


@pytest.mark.long
@pytest.mark.parametrize("script, by", [("peg_game.py", 2.54), ("stool_seat.py", 2.0)])
def test_samples_that_lie_shifted_are_said_so(script: str, by: float) -> None:
    """A levelled face that runs over all edges, and a dish that is shallow at its edge (5.8 mm to the other side was
    said, and nothing, once faults)."""
    job = script_job(Path(__file__).parents[1] / "samples" / script)
    name, text = next(iter(job.programs().items()))
    moved = words_moved(text, by / (25.4 if "G20" in text else 1.0), 0.0)
    lines = [
        old if old.startswith("(") else new for old, new in zip(text.splitlines(), moved.splitlines(), strict=True)
    ]
    report = simulated(job, texts={**job.programs(), name: "\n".join(lines)}, cell=1.0).report
    (cause,) = (each.finding for each in report if each.finding.code == "laid-wrong")
    assert cause.amount == pytest.approx(by, abs=0.1) and "too far right" in cause.message
