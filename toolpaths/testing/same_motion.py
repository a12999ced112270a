"""The assertion that a program does what another does, whatever their texts look like."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from toolpaths.base.checks import Floats, length, not_negative, text
from toolpaths.base.errors import ProgramError
from toolpaths.judging.reader.motions import ARC, DWELL, RAPID
from toolpaths.judging.reader.read import read_all
from toolpaths.testing.motion_difference import Difference, first_difference
from toolpaths.testing.motion_rows import MotionRows, motion_rows
from toolpaths.testing.program_lines import lines_around
from toolpaths.testing.text_window import COLUMNS, ROWS, window_about

_LEGEND = {"=": "both", "-": "expected alone", "o": "found alone", "X": "the place"}
# mm across which the ways are shown, and how far each way of it.
_ACROSS = 48.0
# Places along a motion at which it is drawn, at most.
_MOST_ALONG = 400


def assert_same_motion(
    found: str,
    expected: str,
    *,
    within: float = 0.001,
    feed_within_share: float = 0.001,
    found_name: str = "the program",
    expected_name: str = "the one expected",
) -> None:
    """A program moves the machine as another one does.

    found, expected : their texts. Compared are places, ways, feeds, speed and direction of the spindle, cutters,
        coolant, waits, stops with what they say, offsets, and the order of all of it; not how it is written: comments,
        numbers of lines, units, words said anew, canned cycles, or one move in several
    within : mm by which places may differ; 0.003 for a program in inches
    feed_within_share : share by which feeds, speeds and waits may differ
    found_name, expected_name : what a failure calls them

    >>> from toolpaths.testing import assert_same_motion
    >>> assert_same_motion("G21 G90\\nG1 X10 F600\\nX20\\nM2", "G21 G90 (along) G1 X20 F600\\nM30")

    Raises AssertionError at the first difference, and for a text that cannot be read; InputError for what is no text.
    """
    __tracebackhide__ = True
    texts = text("found", found), text("expected", expected)
    names = text("found_name", found_name), text("expected_name", expected_name)
    within, share = length("within", within), not_negative("feed_within_share", feed_within_share)
    wanted = read_all(texts[1])
    if wanted.errors:
        raise _unreadable(texts[1], names[1], wanted.errors[0])
    program = read_all(texts[0])
    rows, expected_rows = motion_rows(texts[0], program), motion_rows(texts[1], wanted)
    if program.errors:
        # What an earlier line does is more often why a later one cannot be read.
        rows = rows.first(int(np.searchsorted(rows.line, program.errors[0].line)))
        expected_rows = expected_rows.first(len(rows))
    differs = first_difference(rows, expected_rows, within, share)
    if differs is not None:
        raise AssertionError("\n".join(_in_words(differs, texts, names, (rows, expected_rows))))
    if program.errors:
        instead = _line_of_next(motion_rows(texts[1], wanted), len(rows))
        shown = [f"{_first(names[1])} goes on there:", *lines_around(texts[1], [instead])] if instead else []
        raise _unreadable(texts[0], names[0], program.errors[0], shown)


def _line_of_next(rows: MotionRows, at: int) -> int:
    """The line of a motion, 0 after the last one."""
    return int(rows.line[at]) if at < len(rows) else 0


def _unreadable(each: str, name: str, error: ProgramError, more: Sequence[str] = ()) -> AssertionError:
    said = f"{_first(name)} cannot be read, {error}"
    return AssertionError("\n".join([said, *lines_around(each, [error.line]), *more]))


def _first(name: str) -> str:
    """A name at the beginning of a sentence; that of a file stays as it is."""
    return f"The {name[4:]}" if name.startswith("the ") else name


def _in_words(
    differs: Difference, texts: tuple[str, str], names: tuple[str, str], rows: tuple[MotionRows, MotionRows]
) -> list[str]:
    """A difference as a failure tells it."""
    x, y, z = differs.place
    where = f"line {differs.line}" if differs.line else "its end"
    said = f"{_first(names[0])} moves otherwise than {names[1]}, first at {where}: {differs.words}."
    lines = [said, f"Place, as the program counts: X{x:.4g} Y{y:.4g} Z{z:.4g}."]
    last = [len(each.splitlines()) for each in texts]
    for each, name, line, end in zip(texts, names, (differs.line, differs.expected_line), last, strict=True):
        lines += [f"{_first(name)}:", *lines_around(each, [line or end])]
    return [*lines, *_map(differs, rows)]


def _map(differs: Difference, rows: tuple[MotionRows, MotionRows]) -> list[str]:
    """The ways of both programs around the difference, seen from above: of the motions on and after its lines."""
    window = window_about(differs.place[0], differs.place[1], _ACROSS)
    drawn = []
    for each, line in zip(rows, (differs.line, differs.expected_line), strict=True):
        marks = np.zeros(ROWS * COLUMNS, bool)
        first = int(np.searchsorted(each.line, line)) if line else len(each)
        for at in range(max(first - 20, 0), min(first + 20, len(each))):
            if each.kind[at] not in (RAPID, DWELL):
                number = window.number_of(_along(each, at, window.step))
                marks[number[number >= 0]] = True
        drawn.append(marks)
    found, expected = drawn
    if not (found | expected).any():
        return []
    letters = np.where(found & expected, "=", np.where(expected, "-", np.where(found, "o", " ")))
    letters[window.number_of(np.array([differs.place[:2]]))[0]] = "X"
    return ["The ways at feed just before and after, seen from above:", *window.drawn(letters, _LEGEND)]


def _along(rows: MotionRows, at: int, step: float) -> Floats:
    """(k, 2) places along a motion, as close as characters lie."""
    start, end, sweep = rows.start[at, :2], rows.end[at, :2], float(rows.sweep[at])
    if rows.kind[at] == ARC and rows.plane[at] == 17:
        out = start - rows.centre[at, :2]
        radius, first = float(np.hypot(*out)), float(np.arctan2(out[1], out[0]))
        count = min(int(abs(sweep) * radius / step * 2) + 2, _MOST_ALONG)
        angle = first + np.linspace(0.0, sweep, count)
        return np.asarray(rows.centre[at, :2] + radius * np.stack([np.cos(angle), np.sin(angle)], axis=1))
    count = min(int(float(np.hypot(*(end - start))) / step * 2) + 2, _MOST_ALONG)
    return np.asarray(start + (end - start) * np.linspace(0.0, 1.0, count)[:, None])
