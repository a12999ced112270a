"""What a program says besides its motions: codes, the state it leaves, and text after its end.

Start state, and what changes it: NISTIR 6556, 3.5 and Table 4; its interpreter's start-up state
(reference sheet, 1.2). Nothing after M2, M30 or the closing percent line is run (3.1).
"""

from __future__ import annotations

import pytest

from toolpaths.judging.reader.controller import Controller
from toolpaths.judging.reader.motions import Left
from toolpaths.judging.reader.read import read, read_all

AT_START = Left(
    distance="G90",
    distance_line=0,
    work_system="G54",
    offset=(0.0, 0.0, 0.0),
    length=0.0,
    length_code="G49",
    spindle=0,
    units="mm",
)


def test_left_by_an_empty_program_is_the_start_state() -> None:
    assert read("M2").left == AT_START
    assert read_all("").left == AT_START
    assert read("M2", controller=Controller(units="inch")).left == AT_START._replace(units="inch")


@pytest.mark.parametrize(
    ("body", "changed"),
    [
        ("G91", {"distance": "G91", "distance_line": 1}),
        ("G90\nG91\nG91", {"distance": "G91", "distance_line": 2}),
        ("G91\nG90", {}),
        ("G91\nG90\nG91", {"distance": "G91", "distance_line": 3}),
        ("G59.1", {"work_system": "G59.1"}),
        ("G55\nG54", {}),
        ("G0 X4\nG92 X7", {"offset": (-3.0, 0.0, 0.0)}),
        ("G20 G92 Z1", {"offset": (0.0, 0.0, -25.4), "units": "inch"}),
        ("G92 X7\nG92.2", {}),
        ("G43 H2", {"length": 25.0, "length_code": "G43"}),
        ("G43 H3", {"length_code": "G43"}),
        ("G43 H2\nG49", {}),
        ("M3 S100", {"spindle": 1}),
        ("M4", {"spindle": -1}),
        ("M3\nM5", {}),
        ("M3\nT1 M6", {}),
        ("G20\nG21", {}),
        ("G91 M3\nM30", {"distance": "G91", "distance_line": 1, "spindle": 1}),
    ],
)
def test_left_is_the_state_before_the_end(body: str, changed: dict[str, object]) -> None:
    """M2 and M30 reset some of it (3.6.1), which is not what is asked here."""
    controller = Controller(tool_lengths={2: 25})

    assert read(f"{body}\nM2", controller=controller).left == AT_START._replace(**changed)


def test_codes_have_the_line_of_their_first_use_in_order() -> None:
    program = read("(G55 in a comment)\nG21 M3 g01.0 F1 X1\nG1 X2\nG0 X1\nG1 X3 M5\nM30\nG55 M8\n")

    assert program.codes == (("G21", 2), ("M3", 2), ("G1", 2), ("G0", 4), ("M5", 5), ("M30", 6))


@pytest.mark.parametrize(
    ("rest", "line"),
    [
        ("", 0),
        ("\n\n \t\r\n%\n", 0),
        ("\n(done) ( really )\nN120\n % \n", 0),
        ("\nG0 X1", 2),
        ("\r\n\r\nN10 M5", 3),
        ("\n(open", 2),
        ("\n%%", 2),
        ("\n% G0", 2),
        ("\n(a) ; b", 2),
        ("\n\n\x00", 3),
        ("\n" + "(" + "a" * 300 + ")\n", 0),
    ],
)
def test_after_end_is_the_first_line_that_would_do_anything(rest: str, line: int) -> None:
    assert read(f"M30{rest}").after_end == line


def test_after_end_counts_from_the_closing_percent_line_too() -> None:
    assert read("%\nG0 X1\n%\n\nG0 X2").after_end == 5
    assert read("%\nG0 X1\n%\n").after_end == 0
    assert read("%\nM2\nG0 X1\n%\n").after_end == 3
