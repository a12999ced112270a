"""Forms of writing: any program written anew, word by word, so that the machine does the same.

A form takes a text and gives programs of lines, each with the number of the line of the old text from which it comes.
What the tests' own reader does not read is left as it stands. `Apart` tells a text for which a form has nothing to
write.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from dataclasses import replace
from decimal import Decimal
from math import atan2, ceil, cos, hypot, pi, sin
from typing import NamedTuple

from own_reader import (
    AXES,
    CYCLES,
    ELSEWHERE,
    ENDS,
    MM_PER_INCH,
    WAITS,
    Done,
    Line,
    Motion,
    Place,
    State,
    Word,
    plain,
    read,
)

from toolpaths.facts.fixture import Fixture

# The comments that say something to the judge: what is to be done at a stop, which cutter is in.
_TELLING = re.compile(r"\bT\d|^\(MSG,", re.IGNORECASE)
_Z_TO_SET = re.compile(r"\bset Z-?[\d.]")
# Arcs given by R are safe from here to here, degrees (reference 1.4).
_SAFE_BY_R = 120.0
# A peck is rounded up, or the last of several would be one of nothing.
_LAST_DIGIT = Decimal("0.000001")


class Written(NamedTuple):
    """A line, and the number of the old line from which it comes."""

    text: str
    of: int


Program = list[Written]


class Apart(Exception):
    """The form has nothing to write here, and why."""


def _line(words: Iterable[Word | str], comments: Iterable[str] = (), skip: bool = False) -> str:
    spelled = [word if isinstance(word, str) else word.letter + plain(word.number) for word in words]
    return ("/" if skip else "") + " ".join([*spelled, *comments])


def _of_line(line: Line, words: Iterable[Word | str]) -> str:
    return _line(words, line.comments, line.skip)


def _telling(line: Line) -> tuple[str, ...]:
    return tuple(comment for comment in line.comments if _TELLING.search(comment[1:]) or _TELLING.match(comment))


def _changed(text: str, written: list[Program]) -> list[Program]:
    lines = text.splitlines()
    if len(written) == 1 and [line.text for line in written[0]] == lines:
        raise Apart("nothing in it is written otherwise")
    return written


def incremental(text: str) -> list[Program]:
    """Under G91 wherever the place is known; absolute again before stops, changes of cutter and what only the machine
    knows."""
    out: Program = []
    under = False
    known = [False, False, False]
    for done in read(text):
        line = done.line
        if done.refused:
            known = [False] * 3
        if line is None:
            out.append(Written(done.text, done.number))
            continue
        codes, axes = set(line.codes()), [word.letter for word in line.words if word.letter in AXES]
        own = done.after.incremental
        moves = [act for act in done.acts if isinstance(act, Motion) and act.kind != "wait"]
        at = done.before.at
        ready = all(known[AXES.index(axis)] and at[AXES.index(axis)] is not None for axis in axes)
        single = bool(moves) and done.after.motion in ("G0", "G1", "G2", "G3") and not own and not codes & {"G90"}
        wanted = own
        if single and ready and not codes & (ELSEWHERE | {"G43", "G49"}):
            wanted = True
        elif not axes and not codes & (WAITS | ENDS | ELSEWHERE | {"G90", "G91", "G43", "G49"} | CYCLES):
            wanted = under
        if wanted != under and not codes & {"G90", "G91"}:
            out.append(Written("G91" if wanted else "G90", done.number))
        under = own if codes & {"G90", "G91"} else wanted
        words: list[Word | str] = list(line.words)
        if under and not own and axes:
            scale = done.after.scale or Decimal(1)
            end = moves[-1].end
            words = [
                Word(w.letter, (end[AXES.index(w.letter)] - at[AXES.index(w.letter)]) / scale)
                if w.letter in AXES
                else w
                for w in line.words
            ]
        out.append(Written(_of_line(line, words) if words != list(line.words) else done.text, done.number))
        for axis in axes:
            known[AXES.index(axis)] = done.after.at[AXES.index(axis)] is not None
        if codes & WAITS:
            known = [False] * 3
    return _changed(text, [out])


def other_units(text: str) -> list[Program]:
    """Inches for millimetres, millimetres for inches."""
    if not any(done.after.scale for done in read(text)):
        raise Apart("no units are named")
    _no_z_to_set(text)
    out: Program = []
    for done in read(text):
        line = done.line
        if line is None or not line.words:
            out.append(Written(done.text, done.number))
            continue
        scale = done.after.scale or Decimal(1)
        ratio = MM_PER_INCH if scale != 1 else 1 / MM_PER_INCH
        swapped = {"G20": Word("G", Decimal(21)), "G21": Word("G", Decimal(20))}
        arcs = [act for act in done.acts if isinstance(act, Motion) and act.turn]
        given = list(line.words)
        if arcs and line.value("R") is not None:
            # The radius of half a circle cannot be rounded: its centre goes with the root of what it is off.
            centre = [Word(letter, value / scale) for letter, value in zip("IJ", arcs[0].centre)]
            given = [word for word in given if word.letter != "R"] + centre
        words = [
            Word(w.letter, w.number * ratio + (_LAST_DIGIT if w.letter == "Q" else 0))
            if w.letter in "XYZIJKRQF"
            else swapped.get(w.code, w)
            for w in given
        ]
        out.append(Written(_of_line(line, words), done.number))
    return _changed(text, [out])


def other_hand(text: str) -> list[Program]:
    """Numbered lines, lower case, blanks between letter and number, noughts in front and behind, signs of plus."""
    out: Program = []
    step = max(1, min(10, 99999 // (len(text.splitlines()) + 1)))
    for done in read(text):
        if done.line is None:
            out.append(Written(done.text, done.number))
            continue
        words = [_by_another(word, done.number + at) for at, word in enumerate(done.line.words)]
        slash = "/" if done.line.skip else ""
        out.append(Written(f"{slash}n{done.number * step} " + " ".join([*words, *done.line.comments]), done.number))
    return _changed(text, [out])


def _by_another(word: Word, kind: int) -> str:
    number = plain(word.number)
    if word.letter in "GMT":
        number = f"{number:0>2}" if kind % 2 else number
    elif kind % 4 == 0 and not number.startswith("-"):
        number = f"+{number}"
    elif kind % 4 == 1:
        number += "0" if "." in number else "."
    elif kind % 4 == 2 and word.letter not in "LP":
        number = re.sub(r"^(-?)0\.", r"\1.", number)
    return f"{word.letter.lower()}{' ' * (kind % 3 == 0)}{number}"


def no_cycles(text: str) -> list[Program]:
    """Drilling cycles spelled out."""
    out: Program = []
    motion = ""
    for done in read(text):
        line = done.line
        if line is None or not done.acts or done.after.motion not in CYCLES:
            out.append(Written(done.text, done.number))
            continue
        scale = done.after.scale or Decimal(1)
        drop = set("XYZRQPL")
        rest = [w for w in line.words if w.letter not in drop and w.code not in CYCLES | {"G98", "G99"}]
        if rest or line.comments:
            out.append(Written(_of_line(line, rest), done.number))
        if done.after.incremental:
            out.append(Written("G90", done.number))
        for act in done.acts:
            if not isinstance(act, Motion):
                continue
            if act.kind == "wait":
                out.append(Written(f"G4 P{plain(act.seconds)}", done.number))
                continue
            words = [Word(axis, b / scale) for axis, a, b in zip(AXES, act.start, act.end, strict=True) if a != b]
            motion = "G0" if act.kind == "rapid" else "G1"
            if words:
                out.append(Written(_line([motion, *words]), done.number))
        if done.after.incremental:
            out.append(Written("G91", done.number))
    return _changed(text, [out])


def by_cutter(text: str) -> list[Program]:
    """A program for each cutter, each with its own beginning and end."""
    done = list(read(text))
    changes = [at for at, each in enumerate(done) if each.line and not each.line.skip and "M6" in each.line.codes()]
    # What is cut before the first change, if anything, was cut with a cutter put in by hand.
    fed = [at for at, each in enumerate(done) for act in each.acts if isinstance(act, Motion) and act.kind == "feed"]
    cuts = [at for at in changes if any(place < at for place in fed)]
    if not cuts:
        raise Apart("it cuts with one cutter only")
    if any(done[at].before.at[2] is None for at in cuts):
        raise Apart("how high the cutter is changed only the machine knows")
    # A cutter called before its change is called on the line of the change: each program puts in its own.
    early = _called_early(done)
    begins = [0, *cuts]
    programs: list[Program] = []
    for number, (a, b) in enumerate(zip(begins, [*cuts, len(done)], strict=True)):
        out: Program = []
        state = done[a].before
        if number:
            out += [Written(words, done[a].number) for words in _beginning(state, any_feed=bool(fed))]
        named = not number
        for each in done[a:b]:
            if each.text.strip() == "%":
                continue
            words = each.text
            if each.number in early and each.line:
                words = _of_line(each.line, early[each.number])
            if not named and each.line and any(isinstance(act, Motion) and act.kind != "wait" for act in each.acts):
                if not set(each.line.codes()) & {"G0", "G1", "G2", "G3", *CYCLES}:
                    words = _of_line(each.line, [each.after.motion, *_sticky(each), *each.line.words])
                named = True
            out.append(Written(words, each.number))
        if b < len(done):
            out += [Written(words, done[b].number) for words in ("M5", "M30")]
        programs.append(out)
    return programs


def _called_early(done: list[Done]) -> dict[int, list[Word]]:
    """By the number of the line, its words where a T stands apart from the M6 that puts its cutter in."""
    words: dict[int, list[Word]] = {}
    calls: list[Done] = []
    for each in done:
        if each.line is None:
            continue
        if each.line.value("T") is not None:
            calls.append(each)
        if "M6" in each.line.codes():
            for call in calls:
                if call is not each and call.line.value("T") == calls[-1].line.value("T"):
                    words[call.number] = [word for word in call.line.words if word.letter != "T"]
            if calls and calls[-1] is not each:
                tool = next(word for word in calls[-1].line.words if word.letter == "T")
                words[each.number] = [tool, *each.line.words]
            calls = []
    return words


def _sticky(done: Done) -> list[Word]:
    if done.after.motion not in CYCLES or done.line is None:
        return []
    scale = done.after.scale or Decimal(1)
    given = {word.letter for word in done.line.words}
    cycle = done.after.cycle
    return [Word(k, cycle[k] / (scale if k != "P" else 1)) for k in "ZRQP" if k in cycle and k not in given]


def _beginning(state: State, any_feed: bool) -> list[str]:
    """The lines that bring a machine just switched on into a state."""
    scale = state.scale or Decimal(1)
    modes = [state.plane, "G94", "G98" if state.to_old_z else "G99"]
    modes += ["G20" if scale != 1 else "G21"] if state.scale else []
    lines = [" ".join([*modes, "G90"])]
    z = state.at[2]
    if z is not None and z > 0:
        lines.append(f"G0 Z{plain(z / scale)}")
    if state.feed is not None:
        lines.append(f"F{plain(state.feed / scale)}")
    if state.speed is not None:
        lines.append(f"S{plain(state.speed)}")
    return lines + (["G91"] if state.incremental else [])


def _no_z_to_set(text: str) -> None:
    if _Z_TO_SET.search(text):
        raise Apart("a message says which Z the operator is to set")


def other_zero(text: str, by: tuple[Decimal, Decimal, Decimal]) -> list[Program]:
    """Every absolute place moved by so much, mm; comments, in which the old places stand, are left out but for those
    that tell the judge of cutters and stops."""
    _no_z_to_set(text)
    out: Program = []
    moved = dict(zip(AXES, by, strict=True)) | {"R": by[2]}
    for done in read(text):
        line = done.line
        if line is None:
            out.append(Written(done.text, done.number))
            continue
        codes = set(line.codes())
        cycle = done.after.motion in CYCLES
        scale = done.after.scale or Decimal(1)
        words = list(line.words)
        if not done.after.incremental and "G53" not in codes:
            words = [
                Word(w.letter, w.number + moved[w.letter] / scale)
                if w.letter in AXES or (w.letter == "R" and cycle)
                else w
                for w in words
            ]
        kept = _telling(line)
        same = words == list(line.words) and kept == line.comments
        out.append(Written(done.text if same else _line(words, kept, line.skip), done.number))
    return [out]


def zero_moved(fixture: Fixture) -> tuple[Fixture, tuple[Decimal, Decimal, Decimal]]:
    """The fixture with its zero at another corner and on the other surface, and by how much places move."""
    corner = "upper right" if fixture.zero_at == "centre" else "centre"
    surface = "top" if fixture.zero_on == "spoilboard" else "spoilboard"
    there = replace(fixture, zero_at=corner, zero_on=surface, zero_in_machine=None)
    by = [Decimal(repr(old)) - Decimal(repr(new)) for old, new in zip(fixture.zero, there.zero, strict=True)]
    if fixture.zero_in_machine is not None:
        # The machine stands where it stood.
        machine = [at - float(shift) for at, shift in zip(fixture.zero_in_machine, by, strict=True)]
        there = replace(there, zero_in_machine=tuple(machine))
    return there, (by[0], by[1], by[2])


def other_arcs(text: str) -> list[Program]:
    """Arcs by R for arcs by their centre and the other way round, those of a half turn and more in thirds; comments
    that tell the judge nothing are left out."""
    out: Program = []
    for done in read(text):
        line = done.line
        if line is None:
            out.append(Written(done.text, done.number))
            continue
        kept = _telling(line)
        arcs = [act for act in done.acts if isinstance(act, Motion) and act.turn]
        if not arcs:
            changed = kept != line.comments
            out.append(Written(_line(line.words, kept, line.skip) if changed else done.text, done.number))
            continue
        lines = _arc_lines(line, arcs[0], done)
        lines[0] = " ".join([lines[0], *kept])
        out += [Written(words, done.number) for words in lines]
    return _changed(text, [out])


def _arc_lines(line: Line, arc: Motion, done: Done) -> list[str]:
    """The arc in so many parts that R is safe for each; by R if it was by its centre, else by the centre."""
    scale = done.after.scale or Decimal(1)
    centre, ends, radii = _parts(arc)
    # Each part begins where the words of the last one end, rounded as these are.
    ends = [tuple(v if v is None else Decimal(plain(v / scale)) * scale for v in end) for end in ends[:-1]] + ends[-1:]
    turn = Word("G", Decimal(3 if arc.turn > 0 else 2))
    others = [word for word in line.words if word.letter not in "XYZIJR" and word.code not in ("G2", "G3")]
    lines = []
    for at, (start, end) in enumerate(zip([arc.start, *ends], ends)):
        words = [turn] if at else [*others, turn]
        for axis, a, b in zip(AXES, start, end, strict=True):
            if b is not None and (axis != "Z" or a != b):
                words.append(Word(axis, (b - a if done.after.incremental else b) / scale))
        if line.value("R") is None:
            half = ((end[0] - start[0]) ** 2 + (end[1] - start[1]) ** 2).sqrt() / 2
            words.append(Word("R", max(radii[at], half + _LAST_DIGIT) / scale))
        else:
            words += [Word(letter, (c - a) / scale) for letter, c, a in zip("IJ", centre, start)]
        lines.append(_line(words))
    return lines


def _parts(arc: Motion) -> tuple[tuple[Decimal, Decimal], list[Place], list[Decimal]]:
    """The centre of an arc, the ends of its parts, and the radius of each.

    Where start and end lie at radii that differ by rounding, the radius goes evenly from one to the other.
    """
    centre = arc.start[0] + arc.centre[0], arc.start[1] + arc.centre[1]
    (first, begin), (last, finish) = (_polar(place, centre) for place in (arc.start, arc.end))
    closed = arc.start[:2] == arc.end[:2]
    sweep = 2 * pi if closed else (last - first) * arc.turn % (2 * pi)
    count = ceil(sweep * 180 / pi / _SAFE_BY_R - 1e-9)
    z0, z1 = arc.start[2], arc.end[2]
    ends = []
    for k in range(1, count):
        turned, radius = first + arc.turn * sweep * k / count, begin + (finish - begin) * k / count
        x, y = (c + Decimal(radius * way(turned)) for c, way in zip(centre, (cos, sin)))
        ends.append((x, y, z1 if z0 is None else z0 + (z1 - z0) * k / count))
    radii = [Decimal(begin + (finish - begin) * (k + 0.5) / count) for k in range(count)]
    return centre, [*ends, arc.end], radii


def _polar(place: Place, centre: tuple[Decimal, Decimal]) -> tuple[float, float]:
    x, y = float(place[0] - centre[0]), float(place[1] - centre[1])
    return atan2(y, x), hypot(x, y)


def capitals(text: str) -> list[Program]:
    """Comments and words in capitals, as many controllers show them."""
    return _changed(text, [[Written(line.upper(), at) for at, line in enumerate(text.splitlines(), start=1)]])


def small_letters(text: str) -> list[Program]:
    """Comments and words in small letters."""
    return _changed(text, [[Written(line.lower(), at) for at, line in enumerate(text.splitlines(), start=1)]])


FORMS: dict[str, Callable[[str], list[Program]]] = {
    "incremental": incremental,
    "other units": other_units,
    "other hand": other_hand,
    "no cycles": no_cycles,
    "by cutter": by_cutter,
    "other arcs": other_arcs,
    "capitals": capitals,
    "small letters": small_letters,
}
OTHER_ZERO = "other zero"
ALL_FORMS = (*FORMS, OTHER_ZERO)


def text_of(program: Program) -> str:
    return "".join(f"{line.text}\n" for line in program)


def written_in(form: str, text: str, fixture: Fixture) -> tuple[list[Program], Fixture]:
    """A program in a form, and the fixture on which it runs then. Raises Apart."""
    if form != OTHER_ZERO:
        return FORMS[form](text), fixture
    there, by = zero_moved(fixture)
    return other_zero(text, by), there
