"""What the reader refuses: every rule of the subset, with line, column and what to do.

Marks: [S1] printed in NISTIR 6556 (section or table beside it); [S1i] seen in its interpreter source;
[D] derived by hand from its rules.
"""

from __future__ import annotations

import pickle
import time

import pytest
from test_read import UP, run

from toolpaths.base.errors import InputError, ProgramError
from toolpaths.facts.language import OUTSIDE, RULES
from toolpaths.judging.reader.controller import Controller
from toolpaths.judging.reader.read import read

# Every row of the table of errors, and of worked examples that end in one. Each runs after PRELUDE.
ERRORS: list[tuple[str, str]] = [
    # Text. [S1] 3.3
    ("G0 X1 ; comment", "semicolon"),  # [S1i], [D] 30
    ("G0 X1 !", "illegal-character"),
    ("G0 X1 )", "illegal-character"),
    ("G0 X1 / 2", "illegal-character"),
    ("G0 X1\u0661", "illegal-character"),
    ("G0 X\u0661", "number"),
    ("G0 \u0131", "illegal-character"),
    ("G0 X1\x00", "illegal-character"),
    ("O100", "illegal-character"),
    ("G0 X1 U2", "illegal-character"),
    ("G0 X1 (a", "comment"),
    ("G0 X1 (a (b)", "comment"),  # [D] 30
    ("G0 X.", "number"),  # [D] 30
    ("G0 X", "number"),
    ("G0 X1.2.3", "number"),
    ("G0 X--5", "number"),
    ("G0 X5-3", "number"),
    ("G1 X1e3", "number"),  # [D] 30
    ("G0 X1,5", "illegal-character"),
    ("G0 X1_0", "illegal-character"),
    ("5 G0 X1", "number"),
    ("G0 X1 (a) 5", "number"),
    ("G0 X" + "9" * 200, "number-range"),
    ("G0 X" + "0" * 260, "line-length"),
    ("(" + "a" * 255 + ")", "line-length"),
    ("N100000 G0 X1", "line-number"),  # [D] 30
    ("N1.5 G0 X1", "line-number"),  # [D] 30
    ("N-1 G0 X1", "line-number"),
    ("G0 N1 X1", "line-number"),
    ("N1 N2 G0 X1", "line-number"),
    ("G5", "unknown-code"),
    ("G73", "unknown-code"),
    ("G-1 X1", "unknown-code"),
    ("G1.05 X1", "unknown-code"),  # not on a tenth
    ("M10", "unknown-code"),
    ("M100", "unknown-code"),  # [S1i]
    ("M3.5", "not-whole"),
    # Outside the subset
    ("#1=5", "outside-subset"),
    ("G0 X[1+2]", "outside-subset"),
    ("G0 X SIN[30]", "outside-subset"),
    ("G0 A90", "outside-subset"),
    ("G41 D1", "outside-subset"),
    ("G10 L2 P1 X0", "outside-subset"),
    ("G93 G1 X10 F2", "outside-subset"),  # [D] 27
    # Line. [S1] 3.3.5, 3.4
    ("G1 X5 X6", "repeated-word"),  # [D] 29
    ("G0 G1 X5", "same-group"),  # [D] 29
    ("M3 M5", "same-group"),  # [D] 29
    ("M7 M8", "same-group"),  # [D] 29
    ("G20 G21", "same-group"),  # [D] 29
    ("G1 G1 X5", "same-group"),
    ("M0 M3 M6 M7 M48", "too-many-m"),
    ("G28 G1 X5", "two-axis-codes"),
    ("G92 G81 X5 Z1 R2", "two-axis-codes"),
    # Orphans. [S1i]
    ("G0 X1 H1", "orphan-word"),
    ("G1 X1 I5", "orphan-word"),
    ("G1 X1 J5", "orphan-word"),
    ("G1 X1 K5", "orphan-word"),
    ("G1 X1 L2", "orphan-word"),
    ("G1 X1 P2", "orphan-word"),
    ("G81 X1 Z-1 R1 Q2", "orphan-word"),
    ("G1 X1 R2", "orphan-word"),
    # Motion
    ("G0", "no-axis-word"),
    ("G1 F600", "no-axis-word"),
    ("G81 Z-1 R1\nG81 R1", "no-axis-word"),
    ("G3 I-10", "no-axis-word"),  # [D] 8
    ("G92", "no-axis-word"),
    ("X1", "no-motion-mode"),
    ("G80 X1", "no-motion-mode"),
    ("G81 X10 Z-5 R2\nG80\nX20", "no-motion-mode"),  # [D] 22
    ("G1 X1 F0", "zero-feed"),  # [S1i]
    ("G2 X10 I5 F0", "zero-feed"),  # [S1i]
    ("G1 X1 F-1", "negative"),  # [S1i]
    ("S-1", "negative"),
    ("T-1", "negative"),
    ("G4 P-1", "negative"),
    ("T1.5", "not-whole"),
    ("G43 H1.5", "not-whole"),
    # Arcs. [S1] 3.5.3
    ("G2 X10", "arc-format"),
    ("G2 X10 I5 R5", "arc-format"),  # [S1i], [D] 13
    ("G2 Z5 I5", "arc-end"),
    ("G18 G2 Y5 I5", "arc-end"),
    ("G2 X10 K5", "arc-offset"),  # [S1i]
    ("G18 G2 X10 J5", "arc-offset"),  # [S1i]
    ("G2 X10.003 I5", "arc-mismatch"),  # [D] 14
    ("G20 G2 X10.0003 I5 F20", "arc-mismatch"),  # [D] 15
    ("G2 X0 Y0 I0 J0", "arc-radius"),  # [S1i]
    ("G2 X0.001 I0", "arc-radius"),  # [S1i]
    ("G2 X10 R0", "arc-radius"),
    ("G2 X0 Y0 R5", "arc-radius"),  # [D] 13
    ("G2 X10 Y0 R4", "arc-radius"),  # [D] 13
    ("G2 X10 Y0 R4.99999999", "arc-radius"),
    # Cycles. [S1] 3.5.16
    ("G81 X1 Z-5", "missing-word"),  # [S1i], [D] 23
    ("G81 X1 R2", "missing-word"),
    ("G82 X1 Z-5 R2", "missing-word"),  # [S1i]
    ("G83 X1 Z-5 R2", "missing-word"),  # [S1i], [D] 23
    ("G81 X10 Z-5 R2\nG1 Y5\nG81 X20", "missing-word"),  # [D] 24
    ("G81 X10 Z-5 R2\nG82 X20 P1", "missing-word"),
    ("G81 X1 Z3 R2", "cycle-depth"),  # [D] 23
    ("G83 X1 Z-5 R2 Q0", "cycle-increment"),
    ("G83 X1 Z-5 R2 Q-1", "cycle-increment"),
    ("G81 X1 Z-1 R2 L0", "cycle-repeats"),  # [D] 23
    ("G81 X1 Z-1 R2 L-2", "cycle-repeats"),
    ("G81 X1 Z-1 R2 L1.5", "not-whole"),
    ("G81 X1 Z-1 R2 L999999999", "too-many-motions"),
    ("G83 X1 Z-1 R2 Q.000000001", "too-many-motions"),
    # Codes
    ("G4", "missing-word"),  # [S1i]
    ("G43", "missing-word"),  # [S1i]
    ("G81 X1 Z-1 R1\nG53 X1", "machine-coordinates"),
    ("G53 X1", "no-motion-mode"),
    ("G53", "machine-coordinates"),
    ("G53 G2 X1 I5", "machine-coordinates"),  # [D] 25
    ("G91 G53 G0 Z0", "machine-coordinates"),  # [S1i], [D] 25
    ("G91\nG53 G0 Z0", "machine-coordinates"),
    # End
    ("%", "illegal-character"),  # not between percent lines
]


@pytest.mark.parametrize(("body", "code"), ERRORS, ids=[body[:40] for body, _ in ERRORS])
def test_read_error(body: str, code: str) -> None:
    """The error is raised, and it lies on the last line of the body."""
    with pytest.raises(ProgramError) as caught:
        run(body)

    assert caught.value.code == code
    assert caught.value.line == 2 + body.count("\n")
    assert 1 <= caught.value.column <= 257


@pytest.mark.parametrize(
    "text",
    ["", "G0 X1", "G0 X1\n", "%\nG0 X1", "%\nG0 X1\nM2", "%", "(only this)", "G0 X1\n(M2)"],
)
def test_read_without_end(text: str) -> None:
    with pytest.raises(ProgramError) as caught:
        read(text)

    assert caught.value.code == "program-end"


def test_errors_have_no_duplicates_and_cover_every_rule() -> None:
    bodies = [body for body, _ in ERRORS]

    assert len(set(bodies)) == len(bodies)
    later = {"place-lost", "motion-lost", "zero-lost", "too-many-errors"}  # of read_all only
    assert {code for _, code in ERRORS} | {"program-end"} | later == set(RULES)


@pytest.mark.parametrize("code", sorted(OUTSIDE))
def test_read_says_what_is_outside_the_subset(code: str) -> None:
    with pytest.raises(ProgramError, match=code) as caught:
        run(f"{code} X1")

    assert caught.value.code == "outside-subset"


@pytest.mark.parametrize(
    ("line", "column"),
    [
        ("G1 X5 X6", 7),
        ("  G0 (a) X 1 . 2 . 3", 10),
        ("G0 G1 X5", 4),
        ("N10 G1 Y1 X1 K2", 14),
        ("g1 x1 (y) ;", 11),
        ("G1 (a (b)", 7),
        ("G2 X10 R4", 8),
        ("G1 X1 F600 M77", 12),
        ("G0 X1 P1", 7),
        ("\tG91 G53 G0 X1", 6),
    ],
)
def test_read_error_has_the_column_of_its_word(line: str, column: int) -> None:
    with pytest.raises(ProgramError) as caught:
        run(line)

    assert (caught.value.line, caught.value.column) == (2, column)


@pytest.mark.parametrize("text", ["G21", "G21\nG0 X1", "%\nG21 (a)\n\n\n", "G21\nG90 G0 X12 Y34\n"])
def test_a_missing_end_lies_behind_the_last_line_that_is_not_empty(text: str) -> None:
    with pytest.raises(ProgramError) as caught:
        read(text)

    lines = text.rstrip().split("\n")
    assert (caught.value.line, caught.value.column) == (len(lines), len(lines[-1]) + 1)


def test_read_error_says_where_and_survives_pickling() -> None:
    with pytest.raises(ProgramError) as caught:
        run("G1 X5 X6")
    again = pickle.loads(pickle.dumps(caught.value))

    assert str(again) == str(caught.value) == "line 2, column 7: X stands twice on the line; keep one."


@pytest.mark.parametrize(
    ("text", "start", "options"),
    [
        (b"M2", UP, {}),
        (None, UP, {}),
        ("M2", (0, 0), {}),
        ("M2", (0, 0, float("nan")), {}),
        ("M2", 5, {}),
        ("M2", UP, {"units": "cm"}),
        ("M2", UP, {"plane": 20}),
        ("M2", UP, {"work_origins": {"G60": (0, 0, 0)}}),
        ("M2", UP, {"work_origins": {"G54": (0, 0)}}),
        ("M2", UP, {"tool_lengths": {-1: 5}}),
        ("M2", UP, {"tool_lengths": {1: float("inf")}}),
        ("M2", UP, {"home1": "abc"}),
    ],
)
def test_read_bad_arguments(text: object, start: object, options: dict[str, object]) -> None:
    with pytest.raises(InputError):
        read(text, start=start, controller=Controller(**options))


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("G0 X1 " * 3_000_000, "line-length"),
        ("(" * 10_000_000, "line-length"),
        ("0" * 10_000_000, "line-length"),
        ("\x00\xff" * 100, "illegal-character"),
        ("((((((((((", "comment"),
        ("G0X" + "9" * 250, "number-range"),
        ("G83X1Z-999999999R999999999Q." + "0" * 200 + "1", "too-many-motions"),
    ],
    ids=["long line", "parentheses", "zeros", "binary", "nested", "huge", "endless pecks"],
)
def test_read_hostile_text_is_refused_at_once(text: str, code: str) -> None:
    begin = time.process_time()
    with pytest.raises(ProgramError) as caught:
        read(text)

    assert caught.value.code == code
    assert time.process_time() - begin < 1.0


@pytest.mark.parametrize(
    ("line", "advice"),
    [
        ("G0 X50,5", "write 1.5 for 1,5"),
        ("G0 X3O", "write 0 for a nought"),
        ("G2 I5 F600", "for a full circle name the place where it begins"),
        ("G2 X20 Y20 I-20 F600", "the signs of I, J, K"),
        ("G2 X10.01 Y10 I5 J5.1 F600", "one more decimal"),
    ],
)
def test_read_tells_what_to_do_about_the_usual_slips(line: str, advice: str) -> None:
    with pytest.raises(ProgramError, match=advice):
        read(f"G21 G90\n{line}\nM2")
