"""Path data of SVG: all of it is read by the grammar of SVG 2, or it is refused with the place of what is wrong.

A viewer draws such a path as far as it goes. A cutter must not: half an outline is no shape.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from math import isfinite

from toolpaths.base.errors import InputError, Point
from toolpaths.drawings.curve_segments import Arc, Bezier, DrawnSubpath, Line, Segment
from toolpaths.drawings.svg_arc import arc_by_ends

# Segments of one path: more are a file gone wrong.
MOST_SEGMENTS = 500_000
NUMBER = r"[+-]?(?:[0-9]*\.[0-9]+|[0-9]+)(?:[eE][+-]?[0-9]+)?"
_SPACE = "[ \t\n\f\r]*"
_BETWEEN = f"{_SPACE},?{_SPACE}"
_COMMAND = re.compile(f"{_SPACE}([MmZzLlHhVvCcSsQqTtAa]){_SPACE}")
_NEXT = re.compile(f"{_BETWEEN}(?={NUMBER})")
_ENDS = re.compile(_SPACE)


def _row(*parts: str) -> re.Pattern[str]:
    # Looked ahead for, and then taken as found: a number is never shortened for the sake of those after it.
    return re.compile(_BETWEEN.join(f"(?=({part}))\\{k}" for k, part in enumerate(parts, 1)))


# What stands behind each letter, once or more often.
_ROWS = {
    letter: _row(*parts)
    for letters, parts in (
        ("MLT", [NUMBER] * 2), ("HV", [NUMBER]), ("SQ", [NUMBER] * 4), ("C", [NUMBER] * 6),
        ("A", [NUMBER, NUMBER, NUMBER, "[01]", "[01]", NUMBER, NUMBER]),
    )
    for letter in letters
}  # fmt: skip


def _rows(data: str) -> Iterator[tuple[str, list[float]]]:
    """Each command with the numbers of one segment, the letter repeated where it is left out."""
    at, first = 0, True
    while _past_space(data, at) < len(data):
        command = _COMMAND.match(data, at)
        if command is None or (first and command[1] not in "Mm"):
            raise _wrong(data, at, "a path begins with M or m" if first else "a command or a number is expected")
        at, first, letter = command.end(), False, command[1]
        if letter in "Zz":
            yield "Z", []
            continue
        row = _ROWS[letter.upper()]
        while True:
            found = row.match(data, at)
            if found is None:
                raise _wrong(data, at, f"{letter} needs {row.groups} numbers")
            numbers = [float(each) for each in found.groups()]
            if not all(map(isfinite, numbers)):
                raise _wrong(data, at, "a number is too large to be one")
            yield letter, numbers
            letter = {"M": "L", "m": "l"}.get(letter, letter)
            at = found.end()
            more = _NEXT.match(data, at)
            if more is None:
                break
            at = more.end()


def _past_space(data: str, at: int) -> int:
    found = _ENDS.match(data, at)
    return found.end() if found else at


def _wrong(data: str, at: int, why: str) -> InputError:
    at = _past_space(data, at)
    rest = data[at : at + 20]
    return InputError(f"path data is wrong at character {at + 1}, {rest!r}: {why}.")


def subpaths(data: str) -> tuple[DrawnSubpath, ...]:
    """The subpaths that path data draws, in its own units, y down.

    Raises InputError for data that is not all of the grammar, holds a number that is not finite, or has no end.
    """
    found = list[DrawnSubpath]()
    segments = list[Segment]()
    count = 0
    here: Point = (0.0, 0.0)
    start = here
    cubic, quadratic = here, here  # the last control point, which S and T mirror
    moved = False
    for letter, n in _rows(data):
        count += 1
        if count > MOST_SEGMENTS:
            raise InputError(f"path data has more than {MOST_SEGMENTS} segments.")
        kind = letter.upper()
        if kind == "Z":
            if segments or moved:
                segments.append(Line(here, start))
                found.append(DrawnSubpath(tuple(segments), True))
            segments, here, moved = [], start, False
            cubic = quadratic = here
            continue
        x0, y0 = here if letter.islower() else (0.0, 0.0)
        if kind == "H":
            to = (n[0] + x0, here[1])
        elif kind == "V":
            to = (here[0], n[0] + y0)
        else:
            to = (n[-2] + x0, n[-1] + y0)
        if kind == "M":
            if segments:
                found.append(DrawnSubpath(tuple(segments), False))
            segments, start, moved = [], to, True
            here = cubic = quadratic = to
            continue
        next_cubic = next_quadratic = to
        if kind in "LHV":
            segments.append(Line(here, to))
        elif kind == "A":
            segments += _arc(here, n, to)
        elif kind in "CS":
            first = (n[0] + x0, n[1] + y0) if kind == "C" else (2 * here[0] - cubic[0], 2 * here[1] - cubic[1])
            next_cubic = (n[-4] + x0, n[-3] + y0)
            segments.append(Bezier((here, first, next_cubic, to)))
        else:
            mirrored = (2 * here[0] - quadratic[0], 2 * here[1] - quadratic[1])
            next_quadratic = (n[0] + x0, n[1] + y0) if kind == "Q" else mirrored
            segments.append(Bezier((here, next_quadratic, to)))
        here, cubic, quadratic = to, next_cubic, next_quadratic
    if segments:
        found.append(DrawnSubpath(tuple(segments), False))
    return tuple(found)


def _arc(here: Point, n: list[float], to: Point) -> list[Segment]:
    arc: Arc | Line | None = arc_by_ends(here, to, (n[0], n[1]), n[2], large=n[3] == 1, anticlockwise=n[4] == 1)
    return [] if arc is None else [arc]
