"""What a judge says of a program with lines that break a rule: those lines, and what is wrong besides."""

from __future__ import annotations

import pytest
from planted import edited
from planted_unreadable import SOUND, judge

from toolpaths import Board, Cutter, Fixture, ProgramError, flat, read, simulate
from toolpaths.judging.reader.read import read_all

LINES = SOUND.splitlines()


def test_the_sound_program_is_sound() -> None:
    assert judge(SOUND).ok, str(judge(SOUND))


# Lines whose loss leaves a machine that skips them in a state that is rightly found fault with.
SWITCHES = {"n30 t1 m6", "n40 s16000 m3", "n120 t2 m6", "n130 s8000 m3", "n20 g0 z1."}


@pytest.mark.parametrize("slip", [" ; so", " a0", " x1 x2"])
@pytest.mark.parametrize("line", [line for line in LINES[2:-1] if line not in SWITCHES])
def test_one_bad_line_gives_no_other_finding(line: str, slip: str) -> None:
    """Where something is lost, no path is made up for it."""
    report = judge(edited(SOUND, line, line + slip)[0])

    assert set(report.codes()) == {"unreadable"}, str(report)


@pytest.mark.parametrize("line", [line for line in LINES[6:11] if line not in SWITCHES])
def test_faults_after_a_bad_line_are_found(line: str) -> None:
    text = edited(edited(SOUND, line, line + " a0")[0], "n160 x4. y4.", "n160 x40. y4.")[0]
    report = judge(text)

    assert {"unreadable", "off-board"} <= set(report.codes()), str(report)
    (far,) = (finding for finding in report.findings if finding.code == "off-board")
    assert far.line == 18


def test_errors_of_one_kind_are_one_finding() -> None:
    text = SOUND.replace("n30 t1 m6", "n30 t1 m6 ? a").replace("n200 m5", "n200 m5 ? b")
    (found,) = (finding for finding in judge(text).findings if finding.code == "unreadable")

    assert (found.line, found.times, found.lines) == (5, 2, (5, 22))
    assert "is judged without this line" in found.message


def test_what_is_not_read_is_said() -> None:
    many = SOUND.replace("n200 m5", "g77\n" * 150 + "n200 m5")
    first, last = (f for f in judge(many).findings if f.code == "unreadable")

    assert first.times == 100
    assert last.message == "100 lines could not be read; the rest of the program is not read."
    assert "not judged" in str(judge(SOUND.replace("n60 z.1", "n60 z.l\ng92 z0")))


def test_a_cutter_that_rose_while_a_place_was_lost_does_not_wait_low() -> None:
    report = judge(edited(SOUND, "n100 g1 y4.5", "n100 g1 y4.5x")[0])

    assert set(report.codes()) == {"unreadable"}, str(report)


def test_semicolon_begins_a_comment_for_a_judge_and_is_a_doubt():
    """Many controllers take it; the language does not (3.3.4), and a strict reading refuses it."""
    plain = "G21 G90\nG0 Z20\nT1 M6\nM3 S16000\nG4 P2\nG0 X30 Y40\nG1 Z-2 F300\nG1 X60 F900\nG0 Z20\nM5\nM30\n"
    noted = plain.replace("G1 X60 F900", "G1 X60 F900 ; the groove (not a comment").replace(
        "G0 Z20\nT1", "; first\nG0 Z20\nT1"
    )
    one, other = read_all(plain), read_all(noted)
    assert one.motions.end.tolist() == other.motions.end.tolist()
    assert [error.code for error in other.allowed] == ["semicolon"] * 2
    with pytest.raises(ProgramError, match="begins no comment"):
        read(noted)
    many = plain.replace("M5", "; again\n" * 5000 + "M5")
    assert [error.code for error in read_all(many).allowed] == ["semicolon"] * 100
    assert read_all(many).motions.end.tolist() == one.motions.end.tolist()
    fixture = Fixture(board=Board(width=200, height=120, thickness=18))
    (finding,) = simulate(noted, fixture, [Cutter(1, flat(6), 1200, 16000)], cell=1.0).findings
    assert (finding.code, finding.severity, finding.lines) == ("unreadable", "doubt", (2, 9))


@pytest.mark.parametrize("before", ["(shelf side)\n", "(shelf side)\n\n(four pins) (oak)\n", "O1000\n", "o12 (side)\n"])
def test_a_percent_line_below_comments_is_a_doubt(before: str) -> None:
    """Nothing moves before it, so its place changes no motion; the closing one stays the end."""
    text = before + SOUND
    (found,) = (finding for finding in judge(text).findings if "ercent" in finding.message)
    assert (found.severity, found.code, found.line) == ("doubt", "unreadable", before.count("\n") + 1)
    assert judge(text).stock.removed() == judge(SOUND).stock.removed()
    assert {finding.severity for finding in judge(text).findings} == {"doubt"}
    assert "after-end" in judge(text + "g0 x0\n").codes()
    with pytest.raises(ProgramError):
        read(text)


@pytest.mark.parametrize("before", ["g21\n", "(side)\ng90 g21\n", "n5\ng0 z20\n"])
def test_a_percent_line_below_words_is_a_danger(before: str) -> None:
    """Machines that leave out what stands before it run other words than those that read it."""
    assert ("danger", "unreadable") in {(f.severity, f.code) for f in judge(before + SOUND).findings}


@pytest.mark.parametrize("first", ["% shelf side", "%O1234", "%o77 (shelf side)", "%1000", " %  SHELF_2", "%shelf M8"])
def test_a_name_behind_the_percent_is_a_doubt(first: str) -> None:
    """Machines leave out the rest of that line, so nothing else about the program changes (once a danger)."""
    text = first + SOUND.removeprefix("%")
    report = judge(text)
    (found,) = (finding for finding in report.findings if finding.line == 1)
    assert (found.severity, found.code) == ("doubt", "unreadable") and "name" in found.message
    assert {finding.severity for finding in report.findings} == {"doubt"}
    assert report.stock.removed() == judge(SOUND).stock.removed()
    assert read_all(text).motions.end.tolist() == read_all(SOUND).motions.end.tolist()
    assert "after-end" in judge(text + "g0 x0\n").codes()
    with pytest.raises(ProgramError):
        read(text)


@pytest.mark.parametrize("first", ["% g0 z-1.", "%g1x2", "%%", "% % side", "%m3s9000"])
def test_words_behind_the_percent_are_a_danger(first: str) -> None:
    """A machine that does not leave out the rest of the line runs them."""
    found = {(f.severity, f.code, f.line) for f in judge(first + SOUND.removeprefix("%")).findings}
    assert ("danger", "unreadable", 1) in found


@pytest.mark.parametrize("text", [SOUND, SOUND.removeprefix("%\n").removesuffix("%\n"), "% shelf" + SOUND[1:]])
@pytest.mark.parametrize("mark", ["\ufeff", "\u00ef\u00bb\u00bf"])
def test_a_byte_order_mark_is_a_doubt(mark: str, text: str) -> None:
    """An editor's mark before the first line, also where it was decoded as Latin-1 (once a danger)."""
    plain, marked = read_all(text), read_all(mark + text)
    assert marked.motions.end.tolist() == plain.motions.end.tolist()
    assert (marked.codes, marked.errors, marked.comments) == (plain.codes, plain.errors, plain.comments)
    added = [error for error in marked.allowed if error not in plain.allowed and "byte order mark" in error.message]
    assert [(error.line, error.column) for error in added] == [(1, 1)]
    assert len(marked.allowed) == len(plain.allowed) + 1
    assert {f.severity for f in judge(mark + text).findings} == {"doubt"}
    with pytest.raises(ProgramError, match="byte order mark"):
        read(mark + text)
    assert read_all("(side)\n" + mark + "G21 G90\nM2\n").errors[0].line == 2


@pytest.mark.parametrize("bare", ["G3 I-12.5 F900", "G3 Z-2 I-12.5 F900"])
def test_a_full_circle_without_its_place_is_a_doubt_and_cut(bare: str) -> None:
    """Some controllers take it as a full circle, others stop there (once a danger, and the circle left out)."""
    text = f"G21 G90\nG0 Z20\nT1 M6\nM3 S16000\nG4 P2\nG0 X80 Y60\nG1 Z-2 F300\n{bare}\nG0 Z20\nM5\nM30\n"
    named = text.replace(bare, f"{bare} X80 Y60")
    fixture = Fixture(
        board=Board(width=200, height=120, thickness=18), grips=(Board(width=200, height=120, thickness=18).outline,)
    )
    one, other = (simulate(each, fixture, [Cutter(1, flat(6), 1200, 16000)], cell=1.0) for each in (text, named))
    assert other.ok and one.stock.removed() == other.stock.removed()
    (finding,) = one.findings
    assert (finding.code, finding.severity, finding.lines) == ("unreadable", "doubt", (8,))
