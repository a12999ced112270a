"""Reading on after errors: what a bad line does not do, what is not known after it, what is known again.

The standard stops at the first error (NISTIR 6556, 3.5), so nothing here has a source there: each case is
reasoned from what the program's own words leave open.
"""

from __future__ import annotations

import tracemalloc
from collections.abc import Callable
from math import isnan

import pytest

from toolpaths.base.errors import InputError, ProgramError
from toolpaths.judging.reader.controller import Controller
from toolpaths.judging.reader.motions import Program
from toolpaths.judging.reader.read import read, read_all

HEAD = "G21 G90 G17 F600 M3 S1000\nG0 X1 Y2 Z3\n"


def run(body: str) -> Program:
    return read_all(f"{HEAD}{body}\nM2\n", start=(0, 0, 10))


def found(program: Program) -> list[tuple[int, str]]:
    """Line and code of each error."""
    return [(e.line, e.code) for e in program.errors if isinstance(e, ProgramError)]


def moves(program: Program) -> list[tuple[list[float], list[float]]]:
    """Start and end of each motion after the first."""
    return list(zip(program.motions.start[1:].tolist(), program.motions.end[1:].tolist(), strict=True))


HERE = [1.0, 2.0, 3.0]


@pytest.mark.parametrize(
    "bad",
    [
        "G41 D1", "A0", "O", "#1=5", "G93", "G10 L2 P1", "G54 P0.1", "(open X1", "M3 M5", "N1.5 G0",
        "T. M6", "S-1 M5", "\x00\xff", "% G0", "G4", "G5", "(a (b) c)", "M99", "G92", "G2 R5", "G2 K5",
    ],
)  # fmt: skip
def test_a_bad_line_without_axis_words_changes_nothing(bad: str) -> None:
    program = run(f"{bad}\nG0 X5")

    assert [line for line, _ in found(program)] == [3]
    assert moves(program) == [(HERE, [5, 2, 3])]
    assert program.motions.spindle.tolist() == [1, 1]
    assert program.motions.tool.tolist() == [0, 0]
    assert program.left.spindle == 1


@pytest.mark.parametrize(
    ("bad", "after", "expected"),
    [
        # One axis lost: named again, the motion begins where it ends, whatever else it names.
        ("G1 X5O", "G1 X7", [([7, 2, 3], [7, 2, 3])]),
        ("G1 X5O", "G1 X7 Y8\nX9", [([7, 8, 3], [7, 8, 3]), ([7, 8, 3], [9, 8, 3])]),
        ("g1x5o", "G1 X7", [([7, 2, 3], [7, 2, 3])]),
        # What does not name it is not judged, but counts; a rise is known wherever it is.
        ("G1 X5O", "G1 Z-5\nY4\nX7\nX8", [([7, 4, -5], [7, 4, -5]), ([7, 4, -5], [8, 4, -5])]),
        ("G1 X5 Y5 X5", "G0 Z9\nZ5\nX1\nY1 Z8", [(HERE, [1, 2, 9]), ([1, 1, 8], [1, 1, 8])]),
        ("G41 D1 G1 X10", "G1 X7", [([7, 2, 3], [7, 2, 3])]),
        # In G91 nothing becomes known again.
        ("G1 X5O", "G91 X1\nX1\nG90 X4\nX5", [([4, 2, 3], [4, 2, 3]), ([4, 2, 3], [5, 2, 3])]),
        # A place of the machine may lie anywhere on the board.
        ("G1 X5O", "G53 G0 Y7\nX8\nY9", [([8, 9, 3], [8, 9, 3])]),
        # All three lost: home, a call, a motion that is not in the language.
        ("G28 X1 Q", "G0 X7\nY7\nZ7\nX8", [([7, 7, 7], [7, 7, 7]), ([7, 7, 7], [8, 7, 7])]),
        ("M98 P100", "G0 X7 Y7\nZ7", [([7, 7, 7], [7, 7, 7])]),
        ("G5 X5", "G0 X7 Y7\nZ7", [([7, 7, 7], [7, 7, 7])]),
        ("GO1 X5", "G0 X7 Y7\nZ7", [([7, 7, 7], [7, 7, 7])]),
        ("G1 X5O", "G28 Y5\nG0 X7 Z9\nY8", [(HERE, [1, 2, 9]), ([7, 8, 9], [7, 8, 9])]),
        # A blank in a number, an arc that names its end.
        ("G1 X5 1 O", "G1 X7", [([7, 2, 3], [7, 2, 3])]),
        ("G2 X9 Y9 I99", "G1 X7\nY7", [([7, 7, 3], [7, 7, 3])]),
        # Comments name nothing.
        ("G1 (Y5) X5O (Z6) ; Z", "G1 X7", [([7, 2, 3], [7, 2, 3])]),
    ],
)  # fmt: skip
def test_axes_named_by_a_bad_line_are_lost_until_named_again(
    bad: str, after: str, expected: list[tuple[list[float], list[float]]]
) -> None:
    program = run(f"{bad}\n{after}")

    assert [line for line, _ in found(program)] == [3]
    assert moves(program) == expected


def test_a_bad_line_does_nothing_even_of_what_it_does_before_its_fault() -> None:
    """R below Z is found only after the tool change, the dwell and the message have been dealt with."""
    program = run("T4 M6 G4 P1 S5 G98 G81 X1 Z3 R2 (MSG, hello)\nG0 X1 Y5")

    assert found(program) == [(3, "cycle-depth")]
    assert [event.code for event in program.events] == ["M2"]
    assert moves(program) == [([1, 5, 3], [1, 5, 3])]
    assert (program.motions.tool[-1], program.motions.spindle[-1], program.motions.spindle_rpm[-1]) == (0, 1, 1000)
    # Only what it says of the lines after it holds.
    assert program.codes[-4:] == (("G0", 2), ("G98", 3), ("G81", 3), ("M2", 5))
    assert program.comments == ()


@pytest.mark.parametrize(
    ("bad", "after", "kind", "end", "feed"),
    [
        ("G1 X5O F900", "X7\nX8", 1, [8, 2, 3], 900),
        ("G20 G54 P1", "X1", 0, [25.4, 2, 3], 15240),
        ("G91 X5O", "G90 X7\nG91 X1", 0, [8, 2, 3], 600),
        ("G91 G54 P1", "X1", 0, [2, 2, 3], 600),
        ("G90 G91 X5O", "X7\nX8", 0, [8, 2, 3], 600),
        ("G1 X5O F-1", "X7\nX8", 1, [8, 2, 3], 600),
        ("G93 F5", "G1 X7", 1, [7, 2, 3], 600),
    ],
)
def test_what_a_bad_line_says_of_the_lines_after_it_is_believed(
    bad: str, after: str, kind: int, end: list[float], feed: float
) -> None:
    program = run(f"{bad}\n{after}")

    assert len(program.errors) == 1
    assert (program.motions.kind[-1], program.motions.end[-1].tolist()) == (kind, end)
    assert program.motions.feed_mm_min[-1] == pytest.approx(feed)


def test_a_motion_that_could_not_be_read_is_not_taken_for_the_one_before() -> None:
    program = run("G73 X5 Y5 Z-5 R2 Q1\nX9 Y9\nG80\nG0 X7 Y7 Z9\nX8")

    assert found(program) == [(3, "unknown-code"), (4, "motion-lost")]
    assert moves(program) == [([7, 7, 9], [7, 7, 9]), ([7, 7, 9], [8, 7, 9])]


def test_two_motions_on_a_line_leave_the_mode_open() -> None:
    assert found(run("G0 G1 X5\nX6\nG1 X7 Y7 Z7")) == [(3, "same-group"), (4, "motion-lost")]


@pytest.mark.parametrize(
    ("bad", "line", "codes"),
    [
        ("G1 X5O", "G2 X7 Y2 I1 J0", ["place-lost"]),
        ("G1 X5O", "G18 G2 X7 Z3 R9", ["place-lost"]),
        ("G1 X5O", "G3 Y3 J1", ["place-lost"]),
        ("G1 Z5O", "G2 X7 Y2 Z5 I3", ["place-lost"]),
        ("G1 Z5O", "G2 X7 Y2 I3", []),  # left out, since its height is not known
        ("G1 X5O", "G18 G2 Y7 Z3 K9", ["place-lost"]),
        ("G1 Z5O", "G98 G81 X7 Y2 Z-1 R2", ["place-lost"]),
        ("G1 X5O", "G98 G81 Y2 Z-1 R2", ["place-lost"]),
        ("G1 X5O", "G91 G81 X1 Z-1 R2", ["place-lost"]),
    ],
)
def test_arcs_and_cycles_cannot_begin_at_a_lost_place(bad: str, line: str, codes: list[str]) -> None:
    program = run(f"{bad}\n{line}")

    assert found(program)[1:] == [(4, code) for code in codes]
    assert all(start[:2] == end[:2] for start, end in moves(program))


def test_the_end_of_an_arc_from_a_lost_place_is_known() -> None:
    program = run("G1 X5O\nG2 X7 Y5 I1 J0\nG1 X9\nG3 X11 I1")

    assert found(program)[1:] == [(4, "place-lost")]
    assert moves(program) == [([7, 5, 3], [7, 5, 3]), ([7, 5, 3], [9, 5, 3]), ([9, 5, 3], [11, 5, 3])]


def test_holes_of_a_cycle_are_where_they_are_wherever_the_cutter_comes_from() -> None:
    program = run("G0 X5O\nG98 G81 X7 Y5 Z-1 R2\nX9")

    assert len(program.errors) == 1
    assert moves(program)[:4] == [
        ([7, 5, 3], [7, 5, 3]), ([7, 5, 3], [7, 5, 2]), ([7, 5, 2], [7, 5, -1]), ([7, 5, -1], [7, 5, 3])
    ]  # fmt: skip
    assert moves(program)[4] == ([7, 5, 3], [9, 5, 3])


def test_a_cycle_from_a_lost_height_goes_on_from_r_in_g99() -> None:
    program = run("G0 Z5O\nG99 G81 X7 Y5 Z-1 R2\nX9")

    assert found(program)[1:] == [(4, "place-lost")]
    assert moves(program)[:2] == [([7, 5, 2], [7, 5, 2]), ([7, 5, 2], [9, 5, 2])]


def test_a_bad_first_hole_leaves_depth_and_height_to_the_next() -> None:
    program = run("G98 G81 X5O Y5 Z-1 R2\nX7 Y7")

    assert len(program.errors) == 1
    assert [end for _, end in moves(program)] == [[7, 7, 3], [7, 7, 2], [7, 7, -1], [7, 7, 3]]


@pytest.mark.parametrize("sticky", ["Q0", "Q-1", "Q1O", "Q1 Q1"])
def test_a_bad_hole_leaves_no_unsound_number_behind(sticky: str) -> None:
    program = run(f"G98 G83 X5 Y5 Z-1 R2 {sticky} A1\nX7 Y7\nX8")

    assert found(program)[1:] == ([] if "O" in sticky else [(4, "missing-word"), (5, "missing-word")])


def test_offset_given_to_a_lost_place_stops_the_reading() -> None:
    program = run("G1 X5O\nG92 X0\nG0 X9 Y9\nX3 X4")

    assert found(program) == [(3, "illegal-character"), (4, "zero-lost")]
    assert moves(program) == []
    assert found(run("G1 X5O\nG92 Y0\nG0 X9 Y9")) == [(3, "illegal-character")]


def test_a_bad_line_that_ends_the_program_ends_it() -> None:
    program = read_all(f"{HEAD}M30 ? done\n\nG0 X5\n")

    assert found(program) == [(3, "illegal-character")]
    assert len(program.motions) == 1
    assert program.after_end == 5


def test_events_know_where_the_tip_stands() -> None:
    program = run("M0\nG0 X5O\nZ9\nM1")

    assert program.events[0].place == (1, 2, 3)
    x, y, z = program.events[1].place
    assert isnan(x)
    assert (y, z) == (2, 9)


def test_length_offset_while_z_is_lost() -> None:
    controller = Controller(tool_lengths={1: 20})
    program = read_all(f"{HEAD}G0 Z5O\nG43 H1\nG0 Z9\nG49\nG0 X2\nM2", controller=controller)

    assert moves(program) == [([1, 2, 9], [1, 2, 9]), ([1, 2, 29], [2, 2, 29])]


def test_errors_stop_after_a_hundred_with_one_that_says_so() -> None:
    program = read_all("G0 X1 ? a\n" * 1_000_000)

    assert len(program.errors) == 101
    assert found(program)[98:] == [(99, "illegal-character"), (100, "illegal-character"), (100, "too-many-errors")]
    assert program.after_end == 0


def test_ninety_nine_errors_stop_nothing() -> None:
    program = read_all("G77\n" * 99 + "G0 X1\nM2")

    assert len(program.errors) == 99
    assert len(program.motions) == 1


def test_missing_end_comes_after_the_other_errors() -> None:
    assert found(read_all("M3 S900\nG77\n")) == [(2, "unknown-code"), (2, "program-end")]
    assert found(read_all("%\nM3 S900\nG0 X1\n")) == [(3, "program-end")]


@pytest.mark.parametrize("text", ["G0 X1\n", "%\nG0 X1\nM2\n", "%", "M3 S900\nG0 X1\nM5"])
def test_an_end_that_is_only_not_said_is_allowed(text: str) -> None:
    program = read_all(text)

    assert program.errors == ()
    assert [error.code for error in program.allowed] == ["program-end"]
    assert not program.incomplete


# What other controllers allow, and what it is taken for.
ALLOWED = {
    "G0 G21 G90\nX5": ("no-axis-word", "G0 X5 F600"),
    "G1 F900\nX5": ("no-axis-word", "G1 X5 F900"),
    "G3\nX5 I2": ("no-axis-word", "G3 X5 I2"),
    "G2 I5 J-2 F900": ("no-axis-word", "G2 X1 Y2 I5 J-2 F900"),
    "G18 G3 K4 F900": ("no-axis-word", "G18 G3 X1 K4 F900"),
    "G91 G2 J7 F900": ("no-axis-word", "G91 G2 Y0 J7 F900"),
    "G3 Z4 I-3 F900": ("arc-end", "G3 X1 Z4 I-3 F900"),
    "G0 G80 G17\nX5": ("same-group", "G80\nG0 X5"),
    "G80 G0 X5": ("same-group", "G0 X5"),
    "G90 G90 G0 X5": ("same-group", "G90 G0 X5"),
    "M7 M8\nG0 X5": ("same-group", "M7\nM8\nG0 X5"),
    "G0 G28 Z5": ("two-axis-codes", "G28 Z5"),
    "O1234\nG0 X5": ("illegal-character", "G0 X5"),
    "N10 O1 (two)\nG0 X5": ("illegal-character", "G0 X5"),
    "N100000 G0 X5": ("line-number", "G0 X5"),
    "G64 P0.05\nG0 X5": ("orphan-word", "G64\nG0 X5"),
    "G64 P0.05 Q0.1\nG0 X5": ("orphan-word", "G64\nG0 X5"),
    "G81 X5 Y5 Z-1 R2 P0.5 F90": ("orphan-word", "G81 X5 Y5 Z-1 R2 F90"),
    "G81 X5 Y5 Z-1 R2 Q0.5 F90": ("orphan-word", "G81 X5 Y5 Z-1 R2 F90"),
    "G49 H0\nG0 X5": ("orphan-word", "G49\nG0 X5"),
    "G82 X5 Y5 Z-1 R2 F90": ("missing-word", "G82 X5 Y5 Z-1 R2 P0 F90"),
    "T3 M6 G43\nG0 Z9": ("missing-word", "T3 M6 G43 H3\nG0 Z9"),
    "G43 Z9 G0 T3 M6": ("missing-word", "T3 M6\nG43 H3 G0 Z9"),
    "M62 P1\nG0 X5": ("unknown-code", "G0 X5"),
    "G0 X5 M77": ("unknown-code", "G0 X5"),
    "G69 G15 G50 G91.1\nG0 X5": ("unknown-code", "G0 X5"),
    "G0 X5 ; X9": ("semicolon", "G0 X5"),
    "M0 M5 M6 M7 M48 G0 X5": ("too-many-m", "M5 M6 M7 M48 G0 X5\nM0"),
    f"G0 X5 ({'a' * 300})": ("line-length", "G0 X5"),
}


@pytest.mark.parametrize(("body", "code", "meant"), [(body, *row) for body, row in ALLOWED.items()])
def test_what_many_controllers_allow_is_read_as_they_read_it(body: str, code: str, meant: str) -> None:
    lengths = Controller(tool_lengths={3: 20.0})
    program, same = (read_all(f"{HEAD}{lines}\nM2\n", start=(0, 0, 10), controller=lengths) for lines in (body, meant))

    assert found(program) == []
    assert code in {error.code for error in program.allowed}
    assert {error.line for error in program.allowed} == {3}
    assert not program.incomplete
    for column in ("kind", "start", "end", "centre", "sweep", "feed_mm_min", "spindle", "tool", "seconds"):
        assert getattr(program.motions, column).tolist() == getattr(same.motions, column).tolist(), column
    assert program.left.length == same.left.length
    assert [event.code for event in program.events] == [event.code for event in same.events]
    with pytest.raises(ProgramError) as strict:
        read(f"{HEAD}{body}\nM2\n", start=(0, 0, 10), controller=lengths)
    assert strict.value.line == 3


@pytest.mark.parametrize(
    "body",
    ["G3 R-10", "G2 K5", "G2 I0", "G3 Z5", "G3 Z5 R2", "G3 I-10 R10", "G81 R2 F90", "G92", "G0 G1 X5",
     "G81 G80 X5", "O0 X1", "G0 O5", "G0 X5 P1", "G0 X5 H1", "M98", "M99",
     "G4", "G83 X5 Z-1 R2 F90", "G1 Y5 I2", "N1.5 G0 X5", "G0 N5 X5", "(open X1", "G69.1", "G54 P2", "G91 G53 G0 Z0"],
)  # fmt: skip
def test_what_may_be_meant_in_several_ways_is_not_guessed(body: str) -> None:
    program = run(body)

    assert [line for line, _ in found(program)] == [3]


def test_a_habit_is_noted_a_hundred_times_and_hides_no_error() -> None:
    program = read_all("G0 X1\n" + "G1\nM62 P1\n" * 3000 + "G77\nG0 X2\nM2")

    assert len(program.allowed) == 100
    assert found(program) == [(6002, "unknown-code")]
    assert program.motions.end[:, 0].tolist() == [1, 2]
    assert found(read_all("%\n%\n%")) == []
    assert found(read_all("G0 X1\n%\nM2")) == [(2, "illegal-character")]
    assert found(read_all("%%\nM2")) == [(1, "illegal-character")]


def test_a_long_line_is_one_line() -> None:
    long = "G0 X5 (" + "a" * 5_000 + ")"
    program = run(f"{long}\nG0 X7\r\nX8 X9\n(" + "Z" * 300 + ")\nG0 X9")

    assert found(program) == [(5, "repeated-word")]
    assert [(error.line, error.code) for error in program.allowed] == [(3, "line-length"), (6, "line-length")]
    assert moves(program) == [(HERE, [5, 2, 3]), ([5, 2, 3], [7, 2, 3]), ([9, 2, 3], [9, 2, 3])]


def test_a_word_behind_the_longest_line_is_not_read() -> None:
    program = run("G0 X5 (" + "a" * 300 + ") Y9\nG0 X7\nY7")

    assert found(program) == [(3, "line-length")]
    assert moves(program) == [([7, 7, 3], [7, 7, 3])]


def test_nothing_is_known_after_a_line_too_long_to_look_at() -> None:
    program = run("G0 X5" + " " * 20_000 + "\nX7\nG0 X7 Y7\nZ7")

    assert found(program) == [(3, "line-length"), (4, "motion-lost")]
    assert moves(program) == [([7, 7, 7], [7, 7, 7])]


MB = 1_000_000
HOSTILE: dict[str, tuple[Callable[[], str], str]] = {
    "one long line": (lambda: "G1 X5 " * (2 * MB), "line-length"),
    "one long line of blanks": (lambda: " " * (10 * MB), "line-length"),
    "no line end after a number": (lambda: "G0 X" + "7" * (10 * MB), "line-length"),
    "zeros": (lambda: "G0 X" + "0" * (10 * MB), "line-length"),
    "zeros within the line": (lambda: "G0 X" + "0" * 250 + "\nM2", ""),
    "digits within the line": (lambda: "G0 X" + "3" * 250 + "\nM2", "number-range"),
    "decimals": (lambda: "G0 X." + "3" * 250 + "\nM2", ""),
    "binary": (lambda: "".join(map(chr, range(256))) * 20_000, "illegal-character"),
    "NULs": (lambda: "\x00" * (10 * MB), "line-length"),
    "NUL lines": (lambda: "\x00\n" * (2 * MB), "illegal-character"),
    "parentheses": (lambda: "(" * (10 * MB), "line-length"),
    "nested": (lambda: "G0 X5 " + "(" * 100 + ")" * 100 + "\nM2", "comment"),
    "comments without end": (lambda: "(\n" * (2 * MB), "comment"),
    "errors": (lambda: "!\n" * (5 * MB), "illegal-character"),
    "blank lines": (lambda: "\n" * 500_000, ""),
    "blank lines, then percent": (lambda: "%\nM2\n" + " \n" * 500_000 + "%", ""),
    "blanks, then no percent": (lambda: "%\nM2\n" + " " * (10 * MB), ""),
    "percents": (lambda: "% %\n" * MB, "illegal-character"),
    "carriage returns": (lambda: "G0 X1\r\r\n\n\rX2\rM2", ""),
    "no line end": (lambda: "G0 X1\nM2", ""),
    "mark of byte order": (lambda: "\ufeffG21\nG0 X1\nM2", ""),
    "mark of byte order within": (lambda: "G21\n\ufeffG0 X1\nM2", "illegal-character"),
    "marks of byte order": (lambda: "\ufeff" * 3 + "G21\nG0 X1\nM2", "illegal-character"),
    "digits of another script": (lambda: "G0 X\u0661\u0662\nM2", "number"),
    "letters of another script": (lambda: "G0 \uff381 Y1\nM2", "illegal-character"),
    "lone surrogate": (lambda: "G0 X1 \ud800\nM2", "illegal-character"),
    "1e308": (lambda: "G0 X1e308\nG0 X" + "9" * 200 + "\nM2", "number"),
    "huge arc": (lambda: "G1 X0 F1\nG2 X10 Y0 R999999999\nM2", ""),
    "huge arc of offsets": (lambda: "G1 X0 F1\nG2 X999999999 Y0 I499999999.5\nM2", ""),
    "huge helix": (lambda: "G1 X0 F1\nG2 X0 Y0 Z999999999 I999999999\nM2", ""),
    "far sums": (lambda: "G91 G0 X999999999\n" + "X999999999\n" * 1000 + "M2", ""),
    "G92 far away": (lambda: "G20 G0 X999999999\n" + "G92 X-999999999\nG0 X999999999\n" * 1000 + "M2", ""),
    "endless pecks": (lambda: "G83 X1 Z-999999999 R999999999 Q.0000001\n" * 200 + "M2", "too-many-motions"),
}


@pytest.mark.sample(0, long=9)
@pytest.mark.parametrize("name", HOSTILE)
def test_hostile_text_is_read_in_bounded_memory(name: str) -> None:
    """Twice the text, and what one piece of it takes to be looked at, is enough for any of them."""
    make, code = HOSTILE[name]
    text = make()
    tracemalloc.start()
    try:
        program = read_all(text)
        peak = tracemalloc.get_traced_memory()[1]
    finally:
        tracemalloc.stop()

    assert (found(program)[0][1] if program.errors else "") == code
    assert len(program.errors) <= 101
    assert peak < 2 * len(text) + 32 * MB
    if code:
        with pytest.raises(ProgramError):
            read(text)


def test_a_text_that_is_no_text_is_refused() -> None:
    with pytest.raises(InputError):
        read_all(b"M2")
