"""The first place at which two programs move differently, and by how much."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from toolpaths.judging.reader.motions import ARC, DWELL, RAPID
from toolpaths.testing.motion_rows import END, KIND_WORDS, MotionRows, joined

# Motions that may be missing or new at one place, and how many alike after them show it.
_MOST_APART, _ALIKE = 400, 3
_SPINDLE = {0: "at rest", 1: "turning (M3)", -1: "turning anticlockwise (M4)"}
_COOLANT = {0: "off", 1: "mist (M7)", 2: "flood (M8)", 3: "mist and flood"}


class Difference(NamedTuple):
    """Where a program at hand first moves otherwise than it is expected to.

    line, expected_line : of the two texts; 0 where one has none
    place : (x, y, z) as the program counts, of the motion expected there
    words : what differs, and by how much
    """

    line: int
    expected_line: int
    place: tuple[float, float, float]
    words: str


def first_difference(
    found: MotionRows, expected: MotionRows, within: float, feed_within_share: float
) -> Difference | None:
    """The first difference of two programs; None where they do the same.

    within : mm by which places may differ; feed_within_share : share by which feeds and speeds may
    """
    at = _first_apart(found, expected, within, feed_within_share)
    if at is None and _happen_alike(found, expected):
        return None
    happens = _other_happening(found, expected, min(len(found), len(expected)) if at is None else at)
    if happens is not None:
        return happens
    # What is written in several moves may be one in the other.
    found, expected = joined(found), joined(expected)
    at = _first_apart(found, expected, within, feed_within_share)
    row = min(len(found), len(expected)) if at is None else at
    happens = _other_happening(found, expected, row)
    if happens is not None:
        return happens
    if at is None:
        return None
    differs = _missing_or_new(found, expected, at, within, feed_within_share) or _apart_at(found, expected, at, within)
    return differs._replace(words=differs.words + _counted_otherwise(found, expected, at))


def _counted_otherwise(found: MotionRows, expected: MotionRows, at: int) -> str:
    """What explains a difference from some row on: places that are counted otherwise."""
    if at >= min(len(found), len(expected)):
        return ""
    words = ""
    if found.units != expected.units:
        words = f"; its numbers are {found.units}, those of the other {expected.units}"
    if found.incremental[at] != expected.incremental[at]:
        ways = ("from zero (G90)", "from the place before (G91)")
        words += (
            f"; it counts places {ways[int(found.incremental[at])]}, the other {ways[int(expected.incremental[at])]}"
        )
    return words


def _first_apart(found: MotionRows, expected: MotionRows, within: float, share: float) -> int | None:
    n = min(len(found), len(expected))
    apart = np.flatnonzero(_apart(found, expected, slice(0, n), slice(0, n), within, share))
    if len(apart):
        return int(apart[0])
    return n if len(found) != len(expected) else None


def _apart(
    found: MotionRows, expected: MotionRows, mine: slice, other: slice, within: float, share: float
) -> NDArray[np.bool_]:
    """(k,) which of some rows differ."""
    a, b = found, expected
    arc = a.kind[mine] == ARC
    radius = np.hypot(*(b.start[other] - b.centre[other])[:, :2].T)
    off = np.abs(a.end[mine] - b.end[other]).max(axis=1, initial=0.0) > within
    for one, two in ((a.kind, b.kind), (a.plane, b.plane), (a.tool, b.tool), (a.spindle, b.spindle),
                     (a.coolant, b.coolant)):  # fmt: skip
        off |= one[mine] != two[other]
    off |= arc & (np.abs(a.centre[mine] - b.centre[other]).max(axis=1, initial=0.0) > within)
    turned = np.abs(a.sweep[mine] - b.sweep[other])
    off |= arc & ((turned * radius > 4 * within) & (turned > 1e-3) | (turned > 1.0))
    for here, there in ((a.feed, b.feed), (a.rpm, b.rpm), (a.seconds, b.seconds)):
        off |= np.abs(here[mine] - there[other]) > share * np.abs(there[other]) + 1e-9
    return np.asarray(off, bool)


def _happen_alike(found: MotionRows, expected: MotionRows) -> bool:
    return [(each.before, each.what) for each in found.happenings] == [
        (each.before, each.what) for each in expected.happenings
    ]


def _other_happening(found: MotionRows, expected: MotionRows, row: int) -> Difference | None:
    """Of what happens between motions, before a row, the first that differs."""
    mine, wanted = found.happenings, expected.happenings
    for number in range(max(len(mine), len(wanted))):
        a = mine[number] if number < len(mine) else None
        b = wanted[number] if number < len(wanted) else None
        if a and b and (a.before, a.what) == (b.before, b.what):
            continue
        if min(each.before for each in (a, b) if each) > row:
            return None
        if a and b and a.before == b.before:
            words = f"{a.what}, in place of: {b.what}"
        elif a is None or (b and b.before < a.before):
            assert b is not None
            words = f"missing here: {b.what}"
        elif a.what == END and a.before < len(expected):
            words = f"it ends here: {len(expected) - a.before} motions of the other are missing"
        else:
            words = f"new here: {a.what}"
        before = min(each.before for each in (a, b) if each)
        # Where one of them has nothing of the kind its next motion shows where that would be.
        line = a.line if a and a.before == before else _line_at(found, before)
        expected_line = b.line if b and b.before == before else _line_at(expected, before)
        place = _place(expected, min(before, len(expected) - 1), ended=before >= len(expected))
        return Difference(line, expected_line, place, words)
    return None


def _line_at(rows: MotionRows, at: int) -> int:
    return int(rows.line[at]) if at < len(rows) else 0


def _place(rows: MotionRows, at: int, ended: bool = True) -> tuple[float, float, float]:
    if not len(rows):
        return 0.0, 0.0, 0.0
    x, y, z = (rows.end if ended else rows.start)[at].tolist()
    return x, y, z


def _missing_or_new(found: MotionRows, expected: MotionRows, at: int, within: float, share: float) -> Difference | None:
    """Where some motions are missing or new, after which the programs do the same again."""
    if at == len(found):
        short = f"it ends here: {len(expected) - at} motions of the other are missing, from its line"
        return Difference(0, int(expected.line[at]), _place(expected, at), f"{short} {expected.line[at]} on")
    if at == len(expected):
        new = f"{len(found) - at} motions more than the other, from line {found.line[at]} on"
        return Difference(int(found.line[at]), 0, _place(found, at), new)
    for by in range(1, _MOST_APART):
        for less in (True, False):
            mine, other = (at, at + by) if less else (at + by, at)
            left = min(len(found) - mine, len(expected) - other, _ALIKE)
            if left < min(_ALIKE, len(expected) - at, len(found) - at) or left < 1:
                continue
            a, b = slice(mine, mine + left), slice(other, other + left)
            if _apart(found, expected, a, b, within, share).any():
                continue
            motions = f"{by} motion{'s' if by > 1 else ''}"
            if less:
                lines = _lines(expected, at, other)
                words = f"{motions} missing, {KIND_WORDS[int(expected.kind[at])]} first: {lines} of the other"
                return Difference(int(found.line[at]), int(expected.line[at]), _place(expected, at), words)
            words = f"{motions} new, {KIND_WORDS[int(found.kind[at])]} first: {_lines(found, at, mine)}"
            return Difference(int(found.line[at]), int(expected.line[at]), _place(found, at), words)
    return None


def _lines(rows: MotionRows, first: int, end: int) -> str:
    a, b = int(rows.line[first]), int(rows.line[end - 1])
    return f"line {a}" if a == b else f"lines {a} to {b}"


def _apart_at(found: MotionRows, expected: MotionRows, at: int, within: float) -> Difference:
    """What differs of a motion, the gravest first."""
    a, b = found, expected
    words: list[str] = []
    one, two = int(a.kind[at]), int(b.kind[at])
    if a.tool[at] != b.tool[at]:
        words.append(f"cutter T{a.tool[at]} in place of T{b.tool[at]}")
    if one != two:
        words.append(f"{KIND_WORDS[one]} in place of {KIND_WORDS[two]}")
    if two != DWELL and (off := a.end[at] - b.end[at])[np.abs(off) > within].size:
        words.append(_off_in_words(off.tolist(), within, a.end[at].tolist(), b.end[at].tolist()))
    if one == two == ARC:
        if a.sweep[at] * b.sweep[at] < 0:
            words.append(
                f"the arc turns the other way, G{3 if a.sweep[at] > 0 else 2} for G{3 if b.sweep[at] > 0 else 2}"
            )
        off_centre = float(np.hypot(*(a.centre[at] - b.centre[at])[:2]))
        if off_centre > within:
            words.append(f"the centre of the arc (I, J) lies {off_centre:.3f} mm off: another radius, another way")
        elif not words:
            words.append("the arc turns by another angle")
    if a.plane[at] != b.plane[at]:
        words.append(f"in plane G{a.plane[at]} in place of G{b.plane[at]}")
    if a.spindle[at] != b.spindle[at]:
        words.append(f"the spindle is {_SPINDLE[int(a.spindle[at])]}, in place of {_SPINDLE[int(b.spindle[at])]}")
    elif a.rpm[at] != b.rpm[at]:
        words.append(f"the spindle turns at {a.rpm[at]:g} rpm (S), in place of {b.rpm[at]:g}")
    if one == two and one not in (RAPID, DWELL) and a.feed[at] != b.feed[at]:
        words.append(f"a feed of {a.feed[at]:.5g} mm/min (F), in place of {b.feed[at]:.5g}")
    if a.coolant[at] != b.coolant[at]:
        words.append(f"coolant is {_COOLANT[int(a.coolant[at])]}, in place of {_COOLANT[int(b.coolant[at])]}")
    if one == two == DWELL and a.seconds[at] != b.seconds[at]:
        words.append(f"a wait of {a.seconds[at]:g} s, in place of {b.seconds[at]:g} s")
    return Difference(int(a.line[at]), int(b.line[at]), _place(b, at), "; ".join(words))


def _off_in_words(off: list[float], within: float, mine: list[float], wanted: list[float]) -> str:
    x, y, z = off
    found = []
    if abs(z) > within:
        found.append(f"{abs(z):.3f} mm too {'high' if z > 0 else 'low'}")
    if abs(x) > within:
        found.append(f"{abs(x):.3f} mm too far {'right' if x > 0 else 'left'} (X)")
    if abs(y) > within:
        found.append(f"{abs(y):.3f} mm too far {'up' if y > 0 else 'down'} (Y)")
    return f"it goes to {_at(mine)} in place of {_at(wanted)}: {', '.join(found)}"


def _at(place: list[float]) -> str:
    return " ".join(f"{axis}{round(value, 3) + 0.0:g}" for axis, value in zip("XYZ", place, strict=True))
