"""The short way for many plain lines gives what the interpreter gives line by line, to the last bit."""

from __future__ import annotations

from math import cos, sin
from unittest import mock

import numpy as np
import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from samples import examples
from toolpaths.judging.reader import plain_lines as plain
from toolpaths.judging.reader import read as reader
from toolpaths.judging.reader.controller import Controller
from toolpaths.judging.reader.forgiving import Forgiving
from toolpaths.judging.reader.interpret import Interpreter
from toolpaths.judging.reader.motions import ARC, Motions, Program
from toolpaths.judging.reader.plain_lines import Lines, portions

START = (-0.0, 0.1, 5.0)
HEAD = "G21 G90 F600 M3 S1000\n"


class OneByOne(Interpreter):
    def run_plain(self, lines: Lines, first: int, last: int) -> int:
        return 0


class ForgivingOneByOne(Forgiving):
    def run_plain(self, lines: Lines, first: int, last: int) -> int:
        return 0


def everything(program: Program) -> dict[str, object]:
    """All that a program says, in a form in which any bit that differs shows."""
    motions = {name: getattr(program.motions, name) for name in Motions.__dataclass_fields__}
    said = {name: repr(getattr(program, name)) for name in Program.__dataclass_fields__ if name != "motions"}
    return {name: (array.dtype, array.shape, array.tobytes()) for name, array in motions.items()} | said


def assert_same_both_ways(text: str, units: str = "mm", piece: int = 400_000) -> None:
    controller = Controller(units=units)
    for quick, slow, most in ((Interpreter, OneByOne, 1), (Forgiving, ForgivingOneByOne, 100)):
        with mock.patch.object(reader, "_LEAST", 1), mock.patch.object(plain, "_PORTION", piece):
            one = everything(reader._read(text, quick(START, controller), most))
        other = everything(reader._read(text, slow(START, controller), most))
        for name in one:
            assert one[name] == other[name], name


digits = st.one_of(
    st.sampled_from([
        "-.5", "5.", "+05.00", "-0", "0", "-0.0", "+.0", "007", ".", "-", "", "1.2.3", "--1", "1-", "1e3", "5..",
        "999999999", "1000000000", "999999999.5", "1000000001", "12345678.12345678", "1234567.12345678",
        "0.1234567", "0.12345678", "0.123456789", "99999999.9999999", "123456789.1", "00000000001", "0.000000000001",
    ]),
    st.integers(-200_000, 200_000).map(lambda n: f"{n / 1000:.3f}"),
    st.floats(-1000, 1000).map(lambda v: f"{v:.4f}"),
    st.floats(-1e7, 1e7).map(lambda v: f"{v:.7f}"),
    st.floats(-1e9, 1e9).map(lambda v: f"{v:.15f}"),
    st.text("0123456789.+-", max_size=17),
)  # fmt: skip
codes = st.sampled_from(
    ["G0", "G1", "G00", "g01", "G1", "g 1", "G001", "G1.", "G-0", "G2", "G3", "g02", "G", "G10", "G11", "G.1"]
)
number_words = st.builds(lambda letter, number: letter + number, st.sampled_from("XYZFIJxyzfij"), digits)
coordinates = st.builds(
    lambda letter, number: f"{letter}{number / 1000:.3f}", st.sampled_from("XYZ"), st.integers(-99999, 99999)
)


# Sound from any place in G91; in G90 only now and then.
ARCS = st.builds(
    lambda code, turn, more: [code, *turn, *more],
    st.sampled_from(["", "G2", "G3", "G3 G91", "G2 G91", "G02"]),
    st.sampled_from([
        ["X2", "I1"], ["X2", "J0", "I1"], ["Y-2", "J-1"], ["X1", "Y1", "I1"], ["X1", "Y1", "J1"], ["X0", "I3.3"],
        ["X7.071", "Y2.929", "J10"], ["X7.07", "Y2.93", "J10"], ["X0", "Y0", "I-0.123", "J0.456"], ["Y0.0015", "I5"],
        ["X5", "I0"], ["X0.0000001", "I5"], ["X0.00000009", "I5"], ["X0.002", "Y0.002", "I5", "J-5"], ["Z1", "I1"],
        ["X10.002", "I5"], ["X10.0019999999", "I5"], ["X3", "Z-1", "I1.5"], ["X0", "I0.0000001"], ["X2", "I-1"],
    ]),
    st.sampled_from([[], [], ["Z.5"], ["F50"]]),
).map(lambda words: [*dict.fromkeys(words)])  # fmt: skip


@st.composite
def lines(draw: st.DrawFn) -> str:
    kind = draw(st.integers(0, 9))
    if kind < 5:
        words = draw(st.lists(coordinates, min_size=1, max_size=3, unique_by=lambda word: word[0]))
        words = [*draw(st.sampled_from([[], [], ["G1"], ["G0"], ["g1"]])), *words]
        words += draw(st.sampled_from([[], [], ["F300"], ["F0"], ["F12.5"]]))
        if draw(st.integers(0, 3)) == 0:
            words = draw(ARCS)
    elif kind < 8:
        words = draw(st.lists(st.one_of(number_words, codes), max_size=4))
    else:
        words = draw(
            st.sampled_from([
                ["G91"], ["G90"], ["G20"], ["G17"], ["G18"], ["G19"], ["G21"], ["G80"], ["G2 X1 Y1 I5"],
                ["G3 X9 R99"], ["G81 X1 Z-1 R2"], ["G99 G83 X5 Z-1 R2 Q.7"], ["T2 M6"], ["M5"], ["G92 X1 Y2"],
                ["G92.1"], ["G55"], ["(a remark)"], ["(MSG, b)"], ["M1"], ["X1", "(c)"], ["; d"], ["G5 X1"],
                ["G53 G0 Z5"], ["G28 X1"], ["%"], ["G43 H1"], ["F"], ["F-1"], ["X1 X2"], ["G0"], ["G0 G1 X5"], [" "],
                ["\u0661"], ["X\u0661"], ["\ufeff"], ["\x00"], ["X1 " + " " * 300], ["M2"], ["G4 P1"], [".5"], ["5"],
                ["-"], ["X1", "Z" + " " * 250 + "1"],
            ])
        )  # fmt: skip
    first = draw(
        st.sampled_from(["", "", "", "N10", "n99999", "N100000", "N", "N1.", "N-1", "/", "/N5", "N5/", " ", "N1N2"])
    )
    line = first + draw(st.sampled_from(["", " ", "\t"])).join(words)
    if draw(st.integers(0, 4)) == 0 and line:
        at = draw(st.integers(0, len(line)))
        line = line[:at] + draw(st.sampled_from([" ", "\t", "  "])) + line[at:]
    return line


@given(
    st.lists(lines(), max_size=40),
    st.sampled_from(["\n", "\r\n", "\r", "\n\r", "\n\n"]),
    st.sampled_from(
        ["", HEAD, "G1 F100 X0\n", "%\nG1 F1 X5\n", "G91 F1 G2 X2 I1\n", "G91 G18 F1\n", "F1\nG1 X5\nG91\n"]
    ),
    st.sampled_from(["", "M2", "M30\n", "%", "\n%\nG0 X1"]),
    st.sampled_from(["mm", "inch"]),
    st.sampled_from([1, 30, 400_000]),
)
@examples(400)
@example(["G1 X1 F0", "X2", "F5", "X3"], "\n", HEAD, "M2", "mm", 400_000)
@example(["G91", "X-0", "X-0.0", "X5", "Y.1", "Y.2", "X-5"], "\n", HEAD, "M2", "inch", 400_000)
@example(["X-0", "Y-0", "Z-.0"], "\n", HEAD, "M2", "mm", 400_000)
def test_both_ways_are_the_same(body: list[str], end: str, head: str, tail: str, units: str, piece: int) -> None:
    assert_same_both_ways(head + end.join([*body, tail]), units, piece)


@given(
    st.lists(st.tuples(st.sampled_from(["", "G0", "G1"]), st.lists(coordinates, min_size=1, max_size=3)), min_size=1)
)
def test_both_ways_are_the_same_for_runs_of_sound_lines(body: list[tuple[str, list[str]]]) -> None:
    text = "\n".join(code + "".join({word[0]: word for word in words}.values()) for code, words in body)

    assert_same_both_ways(f"{HEAD}G1 X0\n{text}\nM2")
    assert_same_both_ways(f"{HEAD}G91 G1 X0\n{text}\nM2")
    assert_same_both_ways(f"{HEAD}G20 G92 X7 G1\nG1 X0 F7\n{text}\nM2")


arcs = st.tuples(st.floats(0.5, 90), st.floats(0, 6.3), st.floats(0.01, 6.28), st.booleans(), st.booleans())


@given(st.lists(arcs, min_size=1), st.sampled_from([5, 6, 8]), st.sampled_from(["", "G20 F7\n"]))
def test_both_ways_are_the_same_for_arcs(
    body: list[tuple[float, float, float, bool, bool]], places: int, units: str
) -> None:
    """Arcs in G90 as a program has them, rounded, most of them in a mode of an earlier line."""
    text, x, y, last = f"{HEAD}{units}G1 X0 Y0\n", 0.0, 0.0, ""
    for radius, begin, turn, clockwise, helix in body:
        i, j = round(-radius * cos(begin), places), round(-radius * sin(begin), places)
        finish = begin + (-turn if clockwise else turn)
        x, y = round(x + i + radius * cos(finish), places), round(y + j + radius * sin(finish), places)
        code = "G2" if clockwise else "G3"
        word = "" if code == last else code
        text += (
            f"{word} X{x:.{places}f} Y{y:.{places}f} I{i:.{places}f} J{j:.{places}f}{' Z' + str(i) if helix else ''}\n"
        )
        last = code

    assert_same_both_ways(text + "M2")
    assert (reader.read(text + "M2").motions.kind == ARC).sum() == len(body)


@given(
    st.lists(
        st.sampled_from(["G2 I-4.5", "g3j3.25", "G3 I2 J-1 F700", "G2 Z-1.5 J6", "I3", "G1 X7", "Y-2.5", "G0 Z5",
                         "X1.5 Y8", "G2 X3 I1.5", "G18", "G17", "G91", "G90", "G3 K2", "G2 R4", "X? 3"]),
        min_size=4, max_size=40,
    )
)  # fmt: skip
@example(["X1.5 Y8"] * 30 + ["G2 I-4.5"] + ["Y-2.5", "G3 X1.5 Y-2.5 J3"] * 30)
def test_both_ways_are_the_same_for_full_circles_that_name_no_place(body: list[str]) -> None:
    """Whatever is known or lost before them, and with the motion that they leave in force after them."""
    assert_same_both_ways(HEAD + "G1 X2 Y3 Z4\n" + "\n".join(body) + "\nM2")


@pytest.mark.parametrize("circle", ["G2 I-30", "G3 J12.5", "G2 I3 J-4"])
def test_a_full_circle_that_names_no_place_is_run_and_noted(circle: str) -> None:
    around = "G1 X40 Y50 F900\n" + "X41\nX40\n" * 30
    program, same = (
        reader.read_all(f"{HEAD}{around}{line}\nG1 Y51\n{around}M2") for line in (circle, f"{circle} X40 Y50")
    )
    assert everything(program) | {"allowed": ""} == everything(same) | {"allowed": ""}
    assert [(error.code, error.line) for error in program.allowed] == [("no-axis-word", 63)]


def plain_ones(text: str) -> list[bool]:
    """Of each line, whether it is a plain one."""
    (found,) = portions(text)
    return [index not in set(found.odd.tolist()) for index in range(len(found.begins))]


@pytest.mark.parametrize(
    "line",
    [
        "G1 X12.345 Y67.890", "X-.5", "X5.", "X+05.00", "X1 .5", "g01x1y2", "\tG0\tZ\t-5", "N10 G1 X1 F600",
        "n99999x1", "G00Z5", "", "  ", "N5", "F600", "Y99999999.", "Y.12345678", "X1234567.12345678", "x+1y-1z.1f.1",
        "G2 X1 I1", "X1 J-.5 Y2", "X" + " " * 200 + "1",
    ],
)  # fmt: skip
def test_plain_lines_are_taken_for_plain(line: str) -> None:
    """Else the comparison above would compare nothing."""
    assert plain_ones(f"{line}\nX1\n{line}\n") == [True, True, True]


@pytest.mark.parametrize(
    "line",
    [
        "/G1 X1", "G2 X1 R1", "I1", "I1 F5", "G3 I1", "G4 X1", "G2 X1 K1", "X1 I1 I2", "X1 (a)", "M3", "X.", "X",
        "X1.2.3", "X--1", "X1-", "X-", "X1,5", "G1", "G0 F5", "G1.0 X1", "G001 X1", "G1 G1 X1", "X1 X1",
        "N123456 X1", "N1 N2", "X1 N5", "N X1", "N1. X1", "N+1 X1", "5", ".5", "-5", "F-5", "X123456789",
        "X.123456789", "X12345678.12345678", "X1" + " " * 256, "%", ";", "X\u0661", "X1 A1", "\x00", "X1 .5 .",
        "G X1", "G-1 X1", "G11 X1",
    ],
)  # fmt: skip
def test_other_lines_are_not(line: str) -> None:
    assert plain_ones(f"X1\n{line}\nX1\nX2 Y5") == [True, False, True, True]
    assert plain_ones(f"{line}\nX1\n{line}") == [False, True, False]


@given(
    st.text("0123456789", min_size=1, max_size=8), st.text("0123456789", max_size=7), st.sampled_from(["", "-", "+"])
)
def test_numbers_are_those_of_float(whole: str, part: str, sign: str) -> None:
    (found,) = portions(f"X{sign}{whole}.{part}\nY{sign}.{part or 0}\n")

    assert found.x is not None
    assert found.y is not None
    assert found.x[0].tobytes() == np.float64(f"{sign}{whole}.{part}").tobytes()
    assert found.y[1].tobytes() == np.float64(f"{sign}.{part or 0}").tobytes()


def test_pieces_hold_every_line_once() -> None:
    text = "".join(f"X{'1' * (n % 60)}\n" for n in range(500)) + "Y" * 5_000 + "\n\n" + "Z" * 300 + "\nX1"
    for size in (1, 7, 100, 1_000, 100_000):
        with mock.patch.object(plain, "_PORTION", size):
            got = [
                (part.first + index, text[begin:end])
                for part in portions(text)
                for index, (begin, end) in enumerate(zip(part.begins.tolist(), part.ends.tolist(), strict=True))
            ]
        assert got == list(enumerate(text.split("\n"), start=1))


def test_the_short_way_is_taken() -> None:
    """A run of plain lines is one call, and the one call says so."""
    calls: list[int] = []

    class Counting(Interpreter):
        def run_plain(self, lines: Lines, first: int, last: int) -> int:
            calls.append(super().run_plain(lines, first, last))
            return calls[-1]

        def run(self, number: int, line: str) -> None:
            assert line[0] in "GM", line
            super().run(number, line)

    text = HEAD + "G1 X0\n" + "X1 Y2\n" * 1000 + "M5\n" + "Y7\nG3 X3 I1\nX1 I-1\nG0 Z5\n" * 500 + "M2"
    assert len(reader._read(text, Counting(START, Controller()), 1).motions) == 3001
    assert calls == [1001, 2000]
