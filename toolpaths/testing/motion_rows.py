"""A program as rows of motion to be compared with another: what the machine does, whatever the text looks like."""

from __future__ import annotations

import re
from dataclasses import dataclass, fields
from typing import NamedTuple

import numpy as np

from toolpaths.base.checks import Floats
from toolpaths.judging.reader.motions import ARC, DWELL, FEED, RAPID, Motions, Program
from toolpaths.judging.wood.sweep import Ints

# mm, less is no way.
_NO_WAY = 1e-9
# mm by which the places between may lie off a straight move, or a centre off the next, that are taken as one.
_ONE_MOVE = 2e-4
# Words that only say how later lines are read, or call a cutter that a change then fits; the spindle is in the rows.
_NO_CHANGE = ("M3", "M4", "M5", "T", "G90", "G91")
_STOPS = ("M0", "M1", "M60")
_ENDS, END = ("M2", "M30"), "the end"
_COOLANT = re.compile(r"M0*([789])(?![0-9.])", re.IGNORECASE)
_COMMENT = re.compile(r"\([^)]*\)|;.*")


class Happening(NamedTuple):
    """What a program does between motions: a stop, a change of cutter, an offset, its end.

    before : the row before which it happens; line : of the text; what : in words, by which two are compared
    """

    before: int
    line: int
    what: str


@dataclass(frozen=True)
class MotionRows:
    """n motions, without those that go nowhere; of several that are one line or one arc one, if they were joined.

    kind, plane, tool, spindle, coolant, line, incremental : (n,); coolant is 1 for mist and 2 for flood, 3 for both;
        incremental is 1 where places are counted from the one before
    units : of its numbers, in words
    start, end, centre : (n, 3); sweep, feed, rpm, seconds : (n,); feed is 0 for a rapid, rpm for a spindle at rest
    """

    kind: Ints
    start: Floats
    end: Floats
    centre: Floats
    sweep: Floats
    plane: Ints
    feed: Floats
    spindle: Ints
    rpm: Floats
    tool: Ints
    seconds: Floats
    coolant: Ints
    line: Ints
    incremental: Ints
    happenings: tuple[Happening, ...]
    units: str

    def __len__(self) -> int:
        return len(self.kind)

    def first(self, count: int) -> MotionRows:
        """So many of them from the beginning, with what happens between."""
        kept = {
            field.name: getattr(self, field.name)[:count]
            for field in fields(self)
            if field.name not in ("happenings", "units")
        }
        happenings = tuple(each for each in self.happenings if each.before < count)
        return MotionRows(**kept, happenings=happenings, units=self.units)


def motion_rows(text: str, program: Program) -> MotionRows:
    """The rows of a program that was read from a text."""
    motions = program.motions
    moved = np.abs(motions.end - motions.start).max(axis=1, initial=0.0) > _NO_WAY
    kept = np.flatnonzero(moved | (motions.sweep != 0) | (motions.kind == DWELL))
    rapid = motions.kind == RAPID
    return MotionRows(
        motions.kind[kept],
        motions.start[kept],
        motions.end[kept],
        motions.centre[kept],
        motions.sweep[kept],
        motions.plane[kept],
        np.where(rapid | (motions.kind == DWELL), 0.0, motions.feed_mm_min)[kept],
        motions.spindle[kept],
        np.where(motions.spindle == 0, 0.0, motions.spindle_rpm)[kept],
        motions.tool[kept],
        motions.seconds[kept],
        _coolant(text, motions)[kept],
        motions.line[kept],
        _incremental(program)[kept],
        tuple(_happenings(program, np.searchsorted(kept, np.arange(len(motions) + 1)))),
        "mm" if program.units == "mm" else "inches",
    )


def joined(rows: MotionRows) -> MotionRows:
    """Rows in which straight moves that go on in one line, and arcs that go on about one centre, are one."""
    n = len(rows)
    if n < 2:
        return rows
    settings = (rows.kind, rows.plane, rows.feed, rows.spindle, rows.rpm, rows.tool, rows.coolant)
    same = np.ones(n - 1, bool)
    for column in settings:
        same &= column[1:] == column[:-1]
    stops = np.zeros(n + 1, bool)
    stops[[each.before for each in rows.happenings]] = True
    same &= ~stops[1:n] & (rows.kind[1:] != DWELL)
    ahead = rows.end - rows.start
    round_one = (np.abs(rows.centre[1:] - rows.centre[:-1]).max(axis=1) <= _ONE_MOVE) & (
        rows.sweep[1:] * rows.sweep[:-1] > 0
    )
    arc = rows.kind[1:] == ARC
    may = same & np.where(arc, round_one & _one_pitch(rows), (ahead[1:] * ahead[:-1]).sum(axis=1) > 0)
    first = 0
    heads = [0]
    for at in range(1, n):
        if may[at - 1] and (arc[at - 1] or _on_one_line(rows, first, at)):
            continue
        heads.append(at)
        first = at
    begins = np.array(heads)
    ends = np.append(begins[1:], n) - 1
    number = np.searchsorted(begins, np.arange(n + 1), "left")
    return MotionRows(
        rows.kind[begins], rows.start[begins], rows.end[ends], rows.centre[begins],
        np.add.reduceat(rows.sweep, begins), rows.plane[begins], rows.feed[begins], rows.spindle[begins],
        rows.rpm[begins], rows.tool[begins], rows.seconds[begins], rows.coolant[begins], rows.line[begins],
        rows.incremental[begins],
        tuple(each._replace(before=int(number[each.before])) for each in rows.happenings), rows.units,
    )  # fmt: skip


def _on_one_line(rows: MotionRows, first: int, last: int) -> bool:
    """Whether all ends between lie on the straight move from the start of the first to the end of the last."""
    begin, end = rows.start[first], rows.end[last]
    along = end - begin
    length = float(np.sqrt((along**2).sum()))
    if length <= _ONE_MOVE:
        return False
    way = along / length
    off = rows.end[first:last] - begin
    beside = off - np.outer(off @ way, way)
    return bool(np.abs(beside).max() <= _ONE_MOVE)


def _one_pitch(rows: MotionRows) -> Ints:
    """(n - 1,) whether each arc sinks by its angle as the one before does."""
    with np.errstate(divide="ignore", invalid="ignore"):
        pitch = np.nan_to_num((rows.end[:, 2] - rows.start[:, 2]) / rows.sweep, posinf=0.0, neginf=0.0)
    reach = np.maximum(np.abs(rows.sweep[1:]), np.abs(rows.sweep[:-1]))
    return np.asarray(np.abs(np.diff(pitch)) * reach <= 10 * _ONE_MOVE)


def _coolant(text: str, motions: Motions) -> Ints:
    """(m,) what of mist and flood is on at each motion."""
    on, lines, states = 0, [0], [0]
    for number, line in enumerate(text.splitlines(), start=1):
        for word in _COOLANT.findall(_COMMENT.sub("", line)) if "M" in line.upper() else ():
            on = 0 if word == "9" else on | {"7": 1, "8": 2}[word]
            lines.append(number)
            states.append(on)
    return np.array(states)[np.searchsorted(np.array(lines), motions.line, "right") - 1]


def _incremental(program: Program) -> Ints:
    """(m,) whether each motion counts places from the one before."""
    found = np.zeros(len(program.motions), np.int64)
    for change in program.changes:
        if change.code in ("G90", "G91"):
            found[change.before :] = change.code == "G91"
    return found


def _happenings(program: Program, number: Ints) -> list[Happening]:
    """Stops, changes of the cutter, offsets and the end, in order.

    number : (m + 1,) which row comes at or after each motion
    """
    found = []
    for event in program.events:
        if event.code == "M6":
            what = f"cutter T{event.tool} is put in"
        elif event.code in _STOPS:
            what = f"a stop, {event.code}" + (f': "{event.text}"' if event.text else "")
        elif event.code in _ENDS:
            what = END
        else:
            continue
        found.append(Happening(int(number[event.before]), event.line, what))
    offset = {"work system": "G54", "length": "G49"}
    for change in program.changes:
        if change.code in _NO_CHANGE:
            continue
        kind = "length" if change.code in ("G43", "G49") else "work system" if change.code[:2] == "G5" else change.code
        said = change.code + (f" H{change.number}" if change.code == "G43" else "")
        by = [f"{axis}{value:g}" for axis, value in zip("XYZ", change.offset) if value]
        said += f" by {' '.join(by)}" if by else ""
        if offset.get(kind) != said or change.code in ("G28", "G30", "G53"):
            of_what = "how long the cutter is" if kind == "length" else "where zero is"
            found.append(Happening(int(number[change.before]), change.line, f"{said} ({of_what})"))
        offset[kind] = said
    return sorted(found, key=lambda each: (each.before, each.line))


KIND_WORDS = {RAPID: "a rapid (G0)", FEED: "a straight cut at feed (G1)", ARC: "an arc (G2, G3)", DWELL: "a wait (G4)"}
