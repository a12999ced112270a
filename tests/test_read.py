"""The reader against the published sequences of NISTIR 6556 and examples worked by hand from its rules.

Marks: [S1] printed in NISTIR 6556 (section or table beside it); [S1i] seen in its interpreter source;
[D] derived by hand from its rules.
"""

from __future__ import annotations

from math import hypot, pi, radians

import numpy as np
import pytest

from toolpaths.facts.language import GROUP_OF
from toolpaths.judging.reader.controller import Controller
from toolpaths.judging.reader.motions import ARC, DWELL, FEED, RAPID, Motions, Program
from toolpaths.judging.reader.read import read, read_all

# The state in which every worked example starts, with the tool at (0, 0, 10).
PRELUDE = "G21 G17 G90 G94 G98 G40 G49 G54 F600 M3 S1000\n"
UP = (0.0, 0.0, 10.0)
LETTERS = {RAPID: "R", FEED: "F", ARC: "A", DWELL: "DW"}

Step = tuple[str, float, float, float]


def run(body: str, start: tuple[float, float, float] = UP, controller: Controller | None = None) -> Program:
    return read(f"{PRELUDE}{body}\nM2\n", start=start, controller=controller or Controller())


def steps(program: Program) -> list[Step]:
    motions = program.motions
    return [
        (LETTERS[int(kind)], *(round(float(value), 9) for value in end))
        for kind, end in zip(motions.kind, motions.end, strict=True)
    ]


def length(motions: Motions, index: int) -> float:
    """Of an arc or helix in the XY plane, mm."""
    radius = hypot(*(motions.start[index] - motions.centre[index])[:2])
    return hypot(radius * float(motions.sweep[index]), float(motions.end[index, 2] - motions.start[index, 2]))


SEQUENCES: dict[str, tuple[tuple[float, float, float], str, list[Step]]] = {
    # [S1] 3.5.16.2
    "G81 absolute": (
        (1, 2, 3),
        "G90 G81 G98 X4 Y5 Z1.5 R2.8",
        [("R", 4, 5, 3), ("R", 4, 5, 2.8), ("F", 4, 5, 1.5), ("R", 4, 5, 3)],
    ),
    # [S1] 3.5.16.2
    "G81 incremental, three times": (
        (1, 2, 3),
        "G91 G81 G98 X4 Y5 Z-0.6 R1.8 L3",
        [
            ("R", 1, 2, 4.8),
            *[("R", 5, 7, 4.8), ("F", 5, 7, 4.2), ("R", 5, 7, 4.8)],
            *[("R", 9, 12, 4.8), ("F", 9, 12, 4.2), ("R", 9, 12, 4.8)],
            *[("R", 13, 17, 4.8), ("F", 13, 17, 4.2), ("R", 13, 17, 4.8)],
        ],
    ),
    # [S1] Table 10
    "G81 incremental, twice": (
        (30, 1, -0.5),
        "G91 G81 X3 Y2 Z-0.8 R1.5 L2",
        [
            ("R", 30, 1, 1),
            *[("R", 33, 3, 1), ("F", 33, 3, 0.2), ("R", 33, 3, 1)],
            *[("R", 36, 5, 1), ("F", 36, 5, 0.2), ("R", 36, 5, 1)],
        ],
    ),
    # [D] from here on, by number of the worked example
    "1": (UP, "g1x1 0y5\nY-5\nG0 Z20", [("F", 10, 5, 10), ("F", 10, -5, 10), ("R", 10, -5, 20)]),
    "2": (UP, "G91 G1 X5\nX5 Y-2\nG90 X0", [("F", 5, 0, 10), ("F", 10, -2, 10), ("F", 0, -2, 10)]),
    "4": (UP, "G1 X10 M0\nX20", [("F", 10, 0, 10), ("F", 20, 0, 10)]),
    "5": (UP, "G1 X10 G4 P1", [("DW", 0, 0, 10), ("F", 10, 0, 10)]),
    "16": (
        UP,
        "G99 G81 X10 Y10 Z-5 R2 F300\nX20\nG80",
        [
            *[("R", 10, 10, 10), ("R", 10, 10, 2), ("F", 10, 10, -5), ("R", 10, 10, 2)],
            *[("R", 20, 10, 2), ("F", 20, 10, -5), ("R", 20, 10, 2)],
        ],
    ),
    "17": (
        UP,
        "G98 G81 X10 Y10 Z-5 R2 F300\nX20\nG80",
        [
            *[("R", 10, 10, 10), ("R", 10, 10, 2), ("F", 10, 10, -5), ("R", 10, 10, 10)],
            *[("R", 20, 10, 10), ("R", 20, 10, 2), ("F", 20, 10, -5), ("R", 20, 10, 10)],
        ],
    ),
    "18": (
        UP,
        "G0 Z0\nG98 G81 X10 Y0 Z-5 R2",
        [("R", 0, 0, 0), ("R", 0, 0, 2), ("R", 10, 0, 2), ("F", 10, 0, -5), ("R", 10, 0, 2)],
    ),
    "19": (
        UP,
        "G98 G83 X10 Y10 Z-10 R2 Q5",
        [
            *[("R", 10, 10, 10), ("R", 10, 10, 2), ("F", 10, 10, -3), ("R", 10, 10, 10)],
            *[("R", 10, 10, -2.746), ("F", 10, 10, -8), ("R", 10, 10, 10)],
            *[("R", 10, 10, -7.746), ("F", 10, 10, -10), ("R", 10, 10, 10)],
        ],
    ),
    "20": (
        UP,
        "G99 G83 X10 Y10 Z-8 R2 Q5",
        [
            *[("R", 10, 10, 10), ("R", 10, 10, 2), ("F", 10, 10, -3), ("R", 10, 10, 2)],
            *[("R", 10, 10, -2.746), ("F", 10, 10, -8), ("R", 10, 10, 2)],
        ],
    ),
    "21": (
        UP,
        "G82 X0 Y0 Z-3 R1 P0.5",
        [("R", 0, 0, 10), ("R", 0, 0, 1), ("F", 0, 0, -3), ("DW", 0, 0, -3), ("R", 0, 0, 10)],
    ),
    "22, before its error": (
        UP,
        "G81 X10 Z-5 R2\nG80",
        [("R", 10, 0, 10), ("R", 10, 0, 2), ("F", 10, 0, -5), ("R", 10, 0, 10)],
    ),
    "32": (UP, "M2 G0 X5\nG0 X99", [("R", 5, 0, 10)]),
    "block delete is run": (UP, "/G0 X5\n / N7 X6", [("R", 5, 0, 10), ("R", 6, 0, 10)]),
    "G92, then G92.2 and G92.3": (
        UP,
        "G92 X100\nG0 X101\nG92.2\nG92.3\nX100\nG92.1\nG92.3\nX3",
        [("R", 1, 0, 10), ("R", 0, 0, 10), ("R", 3, 0, 10)],
    ),
    "a cycle about Y in G18": (
        UP,
        "G18 G99 G81 X1 Z2 Y-3 R1",
        [("R", 0, 1, 10), ("R", 1, 1, 2), ("F", 1, -3, 2), ("R", 1, 1, 2)],
    ),
    "sticky numbers are kept as written on G20": (
        UP,
        "G99 G81 X0 Z-1 R1\nG20 X1",
        [
            *[("R", 0, 0, 10), ("R", 0, 0, 1), ("F", 0, 0, -1), ("R", 0, 0, 1)],
            *[("R", 0, 0, 25.4), ("R", 25.4, 0, 25.4), ("F", 25.4, 0, -25.4), ("R", 25.4, 0, 25.4)],
        ],
    ),
}


@pytest.mark.parametrize("name", SEQUENCES)
def test_read_sequence(name: str) -> None:
    start, body, expected = SEQUENCES[name]

    program = run(body, start)

    assert steps(program) == expected


# Start, program, then centre, end, sweep in degrees and length of its last motion.
ARCS: dict[str, tuple[tuple[float, float, float], str, tuple[float, float], Step, float, float]] = {
    # [S1] 3.5.3.2; sweep and length [D]
    "centre": ((7, 7, 9), "G17 G2 X10 Y16 I3 J4 Z9", (10, 11), ("A", 10, 16, 9), -143.1301, 12.49046),
    # [S1] Table 10; centre and length [D]
    "radius": ((3, 1, 0), "G2 X0 R7.01 Z0.5", (1.5, 7.8476), ("A", 0, 1, 0.5), -24.71139, 3.06444),
    # [D] from here on
    "7": (UP, "G0 Z0\nX10\nG3 X10 Y0 I-10", (0, 0), ("A", 10, 0, 0), 360, 62.8319),
    "9": (UP, "G0 X10 Z0\nG2 X10 Y0 Z-3 I-10", (0, 0), ("A", 10, 0, -3), -360, 62.9034),
    "10": (UP, "G2 X10 Y0 R10", (5, -8.6603), ("A", 10, 0, 10), -60, 10.4720),
    "11": (UP, "G2 X10 Y0 R-10", (5, 8.6603), ("A", 10, 0, 10), -300, 52.3599),
    "12": (UP, "G3 X10 Y0 R10", (5, 8.6603), ("A", 10, 0, 10), 60, 10.4720),
    "12, the long way": (UP, "G3 X10 Y0 R-10", (5, -8.6603), ("A", 10, 0, 10), 300, 52.3599),
    "half a turn": (UP, "G3 X10 R5", (5, 0), ("A", 10, 0, 10), 180, 15.70796),
    "a missing offset is 0": (UP, "G3 X10 I5", (5, 0), ("A", 10, 0, 10), 180, 15.70796),
}


@pytest.mark.parametrize("name", ARCS)
def test_read_arc(name: str) -> None:
    start, body, centre, end, degrees, expected_length = ARCS[name]

    motions = run(body, start).motions

    assert steps(run(body, start))[-1] == end
    assert motions.centre[-1, :2] == pytest.approx(centre, abs=5e-5)
    assert motions.sweep[-1] == pytest.approx(radians(degrees), abs=2e-6)
    assert length(motions, -1) == pytest.approx(expected_length, abs=6e-5)


def test_read_arc_in_g18_turns_as_seen_from_positive_y() -> None:
    """[S1] 4.3.6.1 with [D]: the first axis is Z, so G2 passes Z-5 and G3 passes Z+5."""
    for code, z in (("G2", -5.0), ("G3", 5.0)):
        motions = run(f"G18 {code} X10 Z0 I5", (0, 0, 0)).motions
        across, sweep = motions.start[0] - motions.centre[0], float(motions.sweep[0]) / 2
        first, second = across[2], across[0]
        middle = np.cos(sweep) * first - np.sin(sweep) * second

        assert motions.centre[0, [0, 2]].tolist() == [5, 0]
        assert abs(sweep) == pi / 2
        assert motions.centre[0, 2] + middle == pytest.approx(z)


def test_read_arc_in_g19_starts_at_y() -> None:
    motions = run("G19 G3 Y10 Z0 J5", (0, 0, 0)).motions

    assert motions.plane[0] == 19
    assert motions.centre[0, 1:].tolist() == [5, 0]
    assert motions.sweep[0] == pytest.approx(pi)


def test_read_arc_accepts_mismatch_within_tolerance() -> None:
    """[D] 14: 0.0015 mm of difference passes, and the motion ends where the text says."""
    motions = run("G2 X10.0015 I5").motions

    assert motions.end[0, 0] == 10.0015


def test_read_spindle_stops_before_the_motion_of_its_line() -> None:
    """[D] 3"""
    motions = run("G1 X10 M5 F300").motions

    assert (motions.feed_mm_min[0], motions.spindle[0]) == (300, 0)


def test_read_stop_comes_after_the_motion_of_its_line() -> None:
    """[D] 4"""
    program = run("G1 X10 M0\nX20")

    assert [(event.code, event.before) for event in program.events] == [("M0", 1), ("M2", 2)]


def test_read_dwell_has_seconds() -> None:
    """[D] 5 and 21"""
    assert run("G1 X10 G4 P1").motions.seconds.tolist() == [1, 0]
    assert run("G82 X0 Y0 Z-3 R1 P0.5").motions.seconds.tolist() == [0, 0, 0, 0.5, 0]


def test_read_tool_change_comes_before_spindle_and_motion() -> None:
    """[D] 6; and M6 alone leaves the spindle off (3.6.3)."""
    program = run("T2 M6 M3 S12000 G0 X10\nT3\nM6\nX20")
    motions = program.motions

    assert motions.tool.tolist() == [2, 3]
    assert motions.spindle.tolist() == [1, 0]
    assert motions.spindle_rpm.tolist() == [12000, 12000]
    assert [(e.code, e.tool, e.before) for e in program.events[:2]] == [("M6", 2, 0), ("M6", 3, 1)]


def test_read_machine_coordinates() -> None:
    """[D] 25: machine Z0 is 50 above the zero of G54."""
    controller = Controller(work_origins={"G54": (0, 0, -50)})

    assert steps(run("G53 G0 Z0", controller=controller)) == [("R", 0, 0, 50)]


def test_read_length_offset_moves_nothing() -> None:
    """[D] 26: the tip's Z becomes -15, and the move to Z10 raises it by 25."""
    motions = run("G43 H2\nG1 Z10\nG49\nG0 X1", controller=Controller(tool_lengths={2: 25})).motions

    assert motions.start[:, 2].tolist() == [-15, 35]
    assert motions.end[:, 2].tolist() == [10, 35]


def test_read_home() -> None:
    """[D] 28: to the point named, then to home 1 at machine zero."""
    assert steps(run("G28 Z5", (10, 10, -2))) == [("R", 10, 10, 5), ("R", 0, 0, 0)]


def test_read_home_2_without_axis_words_under_length_offset() -> None:
    controller = Controller(work_origins={"G54": (1, 2, 3)}, tool_lengths={1: 20}, home2=(5, 5, 5))

    assert steps(run("G43 H1\nG30", controller=controller)) == [("R", 4, 3, -18)]


def test_read_work_systems_keep_the_board_where_it_is() -> None:
    controller = Controller(work_origins={"G54": (10, 0, 0), "G59.3": (100, 0, 0)})

    assert steps(run("G59.3 G0 X1\nG54 X1", controller=controller)) == [("R", 91, 0, 10), ("R", 1, 0, 10)]


def test_read_g92_twice() -> None:
    """[S1] 3.5.18: at X4 without offsets, G92 X7 then G92 X9 make the offset -5 and move nothing."""
    program = run("G92 X7\nG92 X9\nG0 X0", (4, 0, 10))

    assert steps(program) == [("R", -5, 0, 10)]


def test_read_comment_last_of_line_counts() -> None:
    """[D] 31"""
    program = run("G0 X1 (first) (second)")

    assert steps(program) == [("R", 1, 0, 10)]
    assert program.comments == ((2, "second"),)


def test_read_message_is_shown_before_its_line_and_kept_for_the_stop() -> None:
    program = run("G0 X1\nX2 ( msg, turn the Board; 100 %)\nM1")

    assert [(e.code, e.before, e.text) for e in program.events[:2]] == [
        ("MSG", 1, "turn the Board; 100 %"),
        ("M1", 2, "turn the Board; 100 %"),
    ]
    assert program.comments == ()


def test_read_line_numbers_point_into_the_text() -> None:
    program = read("G0 X1\r\n\r\nX2\rX3\nM30\n")

    assert program.motions.line.tolist() == [1, 3, 4]


def test_read_inches() -> None:
    program = read("G20 G1 X1 F10\nM2")

    assert program.units == "inch"
    assert program.motions.end.tolist() == [[25.4, 0, 0]]
    assert program.motions.feed_mm_min.tolist() == [254]
    assert read("M2", controller=Controller(units="inch")).units == "inch"


def test_read_percent_lines_stand_for_the_end() -> None:
    program = read("\n  %  \nG0 X1\n%\nnot read ; at all")

    assert steps(program) == [("R", 1, 0, 0)]


def test_read_nothing_after_the_end_is_read() -> None:
    assert len(read("G0 X1\nM30\n(open ; \x00").motions) == 1
    assert len(read("%\nG0 X1\nM30\n(open ; \x00\n%").motions) == 1


@pytest.mark.parametrize("code", sorted(set(GROUP_OF) - {"G43", "G4", "G53", "G81", "G82", "G83", "G2", "G3"}))
def test_read_takes_every_other_code(code: str) -> None:
    """Those left out need more words than an axis; each has tests of its own."""
    words = " X1" if code in ("G0", "G1", "G28", "G30", "G92") else ""

    assert not read_all(f"{PRELUDE}{code}{words}\nM2").errors


@pytest.mark.parametrize("spelling", ["G1", "G01", "g 0 1", "G1.0", "G001.", "G1.000009", "G.999991"])
def test_read_spellings_of_a_code(spelling: str) -> None:
    """[S1] 3.3.2.1: within 0.0001 of a tenth, a G number is that tenth."""
    assert steps(run(f"{spelling} X1")) == [("F", 1, 0, 10)]


def test_read_all_records_zero_feed() -> None:
    program = read_all("G1 X1\nG2 X2 R5\nM2")

    assert program.errors == ()
    assert program.motions.feed_mm_min.tolist() == [0, 0]


def test_read_leaves_zero_feed_in_a_cycle_to_the_judge() -> None:
    """[S1i]: the interpreter does not check it."""
    assert read("G81 X1 Z-1 R1\nM2").motions.feed_mm_min.tolist() == [0, 0, 0, 0]


def test_motions_cannot_be_changed() -> None:
    motions = run("G0 X1").motions

    with pytest.raises(ValueError, match="read-only"):
        motions.end[0, 0] = 5


def test_read_huge_arc_stays_exact() -> None:
    motions = run("G3 X10 Y0 R999999999").motions

    assert length(motions, 0) == pytest.approx(10, rel=1e-6)
