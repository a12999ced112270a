"""What must hold for any program: blanks, case, order of words, units and distance mode change nothing."""

from __future__ import annotations

from math import cos, hypot, pi, sin

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from toolpaths.base.errors import ProgramError
from toolpaths.judging.reader.motions import ARC, Motions
from toolpaths.judging.reader.read import read, read_all

COLUMNS = tuple(Motions.__dataclass_fields__)
LENGTHS = ("start", "end", "centre", "feed_mm_min")

thousandths = st.integers(-200_000, 200_000).map(lambda n: f"{n / 1000:.3f}")
small = st.integers(1, 5_000).map(lambda n: f"{n / 1000:.3f}")


@st.composite
def axis_words(draw: st.DrawFn) -> list[str]:
    letters = draw(st.lists(st.sampled_from("XYZ"), min_size=1, unique=True))
    return [letter + draw(thousandths) for letter in letters]


@st.composite
def line_words(draw: st.DrawFn) -> list[str]:
    """The words of one sound line."""
    kind = draw(st.sampled_from(["move", "full turn", "cycle", "modes"]))
    if kind == "move":
        return [draw(st.sampled_from(["G0", "G1"])), *draw(axis_words()), *draw(st.sampled_from([[], ["F450"]]))]
    if kind == "full turn":
        return [draw(st.sampled_from(["G2", "G3"])), "G91", "X0", "I" + draw(small), "J" + draw(thousandths)]
    if kind == "cycle":
        code = draw(st.sampled_from([["G81"], ["G82", "P.5"]]))
        return [*code, "G90", "X" + draw(thousandths), "Z-" + draw(small), "R" + draw(small), "L2"]
    return draw(
        st.sampled_from([["G90"], ["G91"], ["G98"], ["G99"], ["T3", "M6"], ["M3", "S9000"], ["M5"], ["G4", "P1"]])
    )


line_lists = st.lists(line_words(), min_size=1, max_size=8)


def program(lines: list[list[str]], units: str = "G21") -> str:
    return "\n".join([f"{units} G90 G17 F600", *(" ".join(words) for words in lines), "M2"])


def assert_same(one: Motions, other: Motions, scale: float = 1.0) -> None:
    for name in COLUMNS:
        factor = scale if name in LENGTHS else 1.0
        np.testing.assert_allclose(
            getattr(one, name) * factor, getattr(other, name), rtol=1e-12, atol=1e-9, err_msg=name
        )


@given(line_lists)
def test_read_sound_programs(lines: list[list[str]]) -> None:
    """The strategy makes programs that read, and motions that join."""
    motions = read(program(lines)).motions

    assert np.array_equal(motions.start[1:], motions.end[:-1])


@given(line_lists, st.data())
def test_read_ignores_case_and_blanks(lines: list[list[str]], data: st.DataObject) -> None:
    text = program(lines)
    blanks = data.draw(st.lists(st.sampled_from(["", " ", "\t"]), min_size=len(text), max_size=len(text)))
    spread = "".join(c + blank for c, blank in zip(text, blanks, strict=True)).lower()

    assert_same(read(text).motions, read(spread).motions)


@given(line_lists, st.data())
def test_read_ignores_order_of_words(lines: list[list[str]], data: st.DataObject) -> None:
    shuffled = [data.draw(st.permutations(words)) for words in lines]

    assert_same(read(program(lines)).motions, read(program(shuffled)).motions)


@given(line_lists, st.data())
def test_read_ignores_line_numbers_and_comments(lines: list[list[str]], data: st.DataObject) -> None:
    dressed = []
    for words in lines:
        number = data.draw(st.integers(0, 99999))
        at = data.draw(st.integers(0, len(words)))
        dressed.append([f"N{number}", *words[:at], "(X9 ; any \u00e9)", *words[at:]])

    assert_same(read(program(lines)).motions, read(program(dressed)).motions)


@given(line_lists)
def test_read_inch_program_is_mm_program_scaled(lines: list[list[str]]) -> None:
    assert_same(read(program(lines, "G21")).motions, read(program(lines, "G20")).motions, scale=25.4)


@given(st.lists(st.tuples(*[st.integers(-9999, 9999)] * 3), min_size=1, max_size=30))
def test_read_incremental_equals_summed_absolute(steps: list[tuple[int, int, int]]) -> None:
    sums = np.cumsum(np.array(steps), axis=0)
    absolute = "\n".join(f"X{x / 1000:.3f} Y{y / 1000:.3f} Z{z / 1000:.3f}" for x, y, z in sums)
    incremental = "\n".join(f"X{x / 1000:.3f} Y{y / 1000:.3f} Z{z / 1000:.3f}" for x, y, z in steps)

    one = read(f"G21 G90 F1 G1 X0\n{absolute}\nM2").motions
    other = read(f"G21 G91 F1 G1 X0\n{incremental}\nM2").motions

    assert_same(one, other)


@given(
    centre=st.tuples(st.floats(-500, 500), st.floats(-500, 500)),
    radius=st.floats(0.05, 400),
    begin=st.floats(0, 2 * pi),
    turn=st.floats(0.02, 2 * pi - 0.02),
    clockwise=st.booleans(),
    plane=st.sampled_from([17, 18, 19]),
)
def test_read_arc_centre_sweep_and_end_agree(
    centre: tuple[float, float], radius: float, begin: float, turn: float, clockwise: bool, plane: int
) -> None:
    """Turning the start about the centre by the sweep leads to the end; R gives the same arc as offsets."""
    first, second = {17: (0, 1), 18: (2, 0), 19: (1, 2)}[plane]
    finish = begin + (-turn if clockwise else turn)
    a0, b0 = centre[0] + radius * cos(begin), centre[1] + radius * sin(begin)
    a1, b1 = centre[0] + radius * cos(finish), centre[1] + radius * sin(finish)
    code = "G2" if clockwise else "G3"
    end = f"{'XYZ'[first]}{a1:.5f} {'XYZ'[second]}{b1:.5f}"
    begun = f"G21 G{plane} F1 G0 {'XYZ'[first]}{a0:.5f} {'XYZ'[second]}{b0:.5f}"
    offsets = f"{'IJK'[first]}{centre[0] - a0:.5f} {'IJK'[second]}{centre[1] - b0:.5f}"

    motions = read(f"{begun}\n{code} {end} {offsets}\nM2").motions
    start, middle, stop = motions.start[1], motions.centre[1], motions.end[1]
    sweep = float(motions.sweep[1])
    across = start - middle
    reached = (
        middle[first] + cos(sweep) * across[first] - sin(sweep) * across[second],
        middle[second] + sin(sweep) * across[first] + cos(sweep) * across[second],
    )

    assert motions.kind[1] == ARC
    assert hypot(reached[0] - stop[first], reached[1] - stop[second]) < 1e-4
    assert sweep == pytest.approx(-turn if clockwise else turn, abs=1e-4 / radius)

    if 0.3 < turn < pi - 0.3 or pi + 0.3 < turn < 2 * pi - 0.3:
        signed = radius if turn < pi else -radius
        by_radius = read(f"{begun}\n{code} {end} R{signed:.5f}\nM2").motions
        assert by_radius.centre[1] == pytest.approx(middle, abs=2e-3)
        assert by_radius.sweep[1] == pytest.approx(sweep, abs=2e-3)


near_programs = st.text(alphabet="GMXYZIJKRPQLFSTNHD0123456789.+- \t\n()%/;", max_size=120)


@pytest.mark.long
@given(st.one_of(st.text(max_size=60), near_programs, near_programs.map(lambda text: f"F1 G1 X0\n{text}\nM2")))
def test_read_any_text_reads_or_raises_program_error(text: str) -> None:
    partial = read_all(text)
    try:
        motions = read(text).motions
    except ProgramError as error:
        lines = text.replace("\r\n", "\n").replace("\r", "\n").split("\n")
        assert 1 <= error.line <= len(lines)
        assert 1 <= error.column <= len(lines[error.line - 1]) + 1
        if error.code != "zero-feed":
            first = min((*partial.errors, *partial.allowed), key=lambda found: found.line)
            # Of a line that breaks two rules one may be allowed, and is not what stops it.
            assert str(first) == str(error) or (first.line == error.line and first in partial.errors)
    else:
        assert partial.errors == partial.allowed == ()
        assert_same(partial.motions, motions)
        assert np.isfinite(motions.end).all()


@given(line_lists, st.data())
def test_read_all_is_not_changed_by_a_bad_line_that_names_no_axis(lines: list[list[str]], data: st.DataObject) -> None:
    at = data.draw(st.integers(0, len(lines)))
    bad = data.draw(st.sampled_from([["G41", "D1"], ["M99"], ["O"], ["A0"], ["#1=5"], ["S.", "T2", "M6", "(X1)"]]))
    whole = read(program(lines))
    broken = read_all(program([*lines[:at], bad, *lines[at:]]))

    assert [error.line for error in broken.errors if isinstance(error, ProgramError)] == [at + 2]
    for name in COLUMNS:
        expected = getattr(whole.motions, name)
        if name == "line":
            expected = expected + (expected > at + 1)
        assert np.array_equal(getattr(broken.motions, name), expected), name
    assert broken.codes[:-1] == tuple((code, n + (n > at + 1)) for code, n in whole.codes[:-1])


@given(line_lists, st.data())
def test_read_all_comes_back_to_the_same_motions_once_every_axis_is_named(
    lines: list[list[str]], data: st.DataObject
) -> None:
    at = data.draw(st.integers(0, len(lines)))
    bad = data.draw(st.sampled_from([["X1O"], ["G1", "X.", "Y1"], ["G2", "X1", "Y2", "Z3", "I9999"], ["G73", "X1"]]))
    rest = [["G90", "G0", "X7", "Y8", "Z9"], *lines[at:]]
    whole = read(program([*lines[:at], ["M9"], *rest]))
    broken = read_all(program([*lines[:at], bad, *rest]))

    (error,) = broken.errors
    assert isinstance(error, ProgramError)
    assert error.line == at + 2
    assert len(broken.motions) == len(whole.motions)
    again = whole.motions.line == at + 3
    for name in COLUMNS:
        one, other = getattr(broken.motions, name), getattr(whole.motions, name)
        same = np.array_equal(one[~again], other[~again]) if name == "start" else np.array_equal(one, other)
        assert same, name
    assert broken.motions.start[again].tolist() == broken.motions.end[again].tolist() == [[7, 8, 9]]
