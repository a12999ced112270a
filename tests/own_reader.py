"""The tests' own reader of programs: a small part of the standard, written apart from the library's, sharing nothing.

What it does not know it refuses, so a test never rests on a guess. Numbers are exact decimals, lengths in mm.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from decimal import Decimal
from typing import NamedTuple

MM_PER_INCH = Decimal("25.4")
AXES = "XYZ"
MOTIONS = {"G0", "G1", "G2", "G3"}
CYCLES = {"G81", "G82", "G83"}
# mm: how far above the last depth a pecking drill goes back at rapid (reference 1.5: 0.010 in).
PECK_GAP = Decimal("0.254")
# Codes that move or shift the zero in ways that only the machine knows.
ELSEWHERE = {"G53", "G28", "G30", "G92", "G10"}
# Codes after which the operator's hands or a change of cutter come between.
WAITS = {"M0", "M1", "M6", "M60"}
ENDS = {"M2", "M30"}
_LENGTHS = "XYZIJKRQF"
_TOKEN = re.compile(r"(\([^()]*\))|([DFGHIJKLMNPQRSTXYZ])([+-]?(?:\d+\.?\d*|\.\d+))")


class NotRead(Exception):
    """A line that this reader does not take."""


class Word(NamedTuple):
    letter: str
    number: Decimal

    @property
    def code(self) -> str:
        """As "G1" or "M30"."""
        return f"{self.letter}{plain(self.number)}"


class Line(NamedTuple):
    """number : from 1; words : without the line number; comments : with their brackets; skip : begins with a slash"""

    number: int
    words: tuple[Word, ...]
    comments: tuple[str, ...] = ()
    skip: bool = False

    def codes(self) -> list[str]:
        return [word.code for word in self.words if word.letter in "GM"]

    def value(self, letter: str) -> Decimal | None:
        return next((word.number for word in self.words if word.letter == letter), None)


def plain(number: Decimal) -> str:
    """A number with six decimals at most and no noughts that say nothing."""
    text = f"{number:.6f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def line_of_words(number: int, text: str) -> Line:
    """The words of a line; NotRead where it is no line of words, "%" alone among them."""
    bare = re.sub(r"\s+(?![^()]*\))", "", text)
    bare = re.sub(r"[a-z](?![^()]*\))", lambda found: found.group().upper(), bare)
    skip = bare.startswith("/")
    words, comments, at = [], [], int(skip)
    while at < len(bare):
        found = _TOKEN.match(bare, at)
        if found is None:
            raise NotRead(text)
        if found[1]:
            comments.append(found[1])
        elif found[2] != "N" or words:
            words.append(Word(found[2], Decimal(found[3])))
        at = found.end()
    letters = [word.letter for word in words if word.letter not in "GM"]
    if len(letters) != len(set(letters)):
        raise NotRead(text)
    return Line(number, tuple(words), tuple(comments), skip)


Place = tuple[Decimal | None, Decimal | None, Decimal | None]


@dataclass(frozen=True)
class State:
    """What the machine holds between two lines.

    at : mm, as the program counts; None for an axis whose place is not known
    scale : mm of one unit; None before G20 or G21
    cycle : the sticky words of the cycle in force
    """

    at: Place = (None, None, None)
    scale: Decimal | None = None
    incremental: bool = False
    motion: str = ""
    plane: str = "G17"
    to_old_z: bool = True
    feed: Decimal | None = None
    speed: Decimal | None = None
    spindle: str = "M5"
    called: int | None = None
    cutter: int | None = None
    message: str = ""
    cycle: dict[str, Decimal] = field(default_factory=dict)
    ended: bool = False


class Motion(NamedTuple):
    """kind : "rapid", "feed" or "wait"; after : the machine once it is done; a full turn or less for arcs.

    start, end : mm; None where an axis is not known
    centre : of an arc, from its start, mm; turn : +1 anticlockwise, -1 clockwise, 0 for what is no arc
    seconds : of a wait
    """

    line: int
    kind: str
    start: Place
    end: Place
    after: State
    centre: tuple[Decimal, Decimal] = (Decimal(0), Decimal(0))
    turn: int = 0
    seconds: Decimal = Decimal(0)


class Event(NamedTuple):
    """A word that starts, stops, changes or ends; `at` which place, under which state, with which message before it."""

    line: int
    code: str
    before: State


class Done(NamedTuple):
    """A line and all that it does.

    line : its words; None for a line that has none, and for one that is no line of words
    refused : whether the reader does not take it: it sets modes, does nothing, and makes the place unknown
    doubtful : whether it breaks a rule of the standard that many controllers do not hold to (reference 1.6): a word
        without what it belongs to, a motion code without an axis, an arc whose ends lie at two radii
    """

    text: str
    number: int
    line: Line | None
    before: State
    after: State
    acts: tuple[Motion | Event, ...]
    refused: bool = False
    doubtful: bool = False


def read(text: str, start: Place = (None, None, None)) -> Iterator[Done]:
    """Every line with what it does, in order."""
    state = State(at=start)
    for number, line in enumerate(text.splitlines(), start=1):
        before = state
        if not line.strip() or line.strip() == "%":
            yield Done(line, number, None, before, state, ())
            continue
        words, acts, refused = None, (), False
        try:
            words = line_of_words(number, line)
            acts, state = _run(words, state)
        except NotRead:
            refused = True
            state = replace(_modes(words, state) if words else state, at=(None, None, None))
        yield Done(line, number, words, before, state, acts, refused, bool(words) and _doubtful(words, acts, state))


def _doubtful(line: Line, acts: tuple[Motion | Event, ...], after: State) -> bool:
    letters, codes = {word.letter for word in line.words}, set(line.codes())
    cycle, arc = after.motion in CYCLES, after.motion in ("G2", "G3")
    alone = (
        ("P" in letters and not (cycle or "G4" in codes))
        or (letters & {"Q", "L"} and not cycle)
        or ("R" in letters and not (cycle or arc))
        or (letters & {"I", "J", "K"} and not arc)
        or (codes & (MOTIONS | CYCLES) and not letters & set(AXES))
    )
    arcs = [act for act in acts if isinstance(act, Motion) and act.turn]
    return bool(alone or any(_uneven(act) for act in arcs))


def _uneven(arc: Motion) -> bool:
    """Whether the ends of an arc lie at radii that differ by about what is allowed, or more."""
    i, j = arc.centre
    dx, dy = arc.end[0] - arc.start[0], arc.end[1] - arc.start[1]
    return abs((i * i + j * j).sqrt() - ((i - dx) ** 2 + (j - dy) ** 2).sqrt()) > Decimal("0.0015")


def _modes(line: Line, state: State) -> State:
    """The state with the words that only set modes, those that come before motion."""
    codes = line.codes()
    if (feed := line.value("F")) is not None:
        state = replace(state, feed=feed * (state.scale or 1))
    if (speed := line.value("S")) is not None:
        state = replace(state, speed=speed)
    if (called := line.value("T")) is not None:
        state = replace(state, called=int(called))
    for code in codes:
        if code in ("G20", "G21"):
            scale = MM_PER_INCH if code == "G20" else Decimal(1)
            if "F" in (word.letter for word in line.words):
                state = replace(state, feed=feed * scale)
            state = replace(state, scale=scale)
        elif code in ("G90", "G91"):
            state = replace(state, incremental=code == "G91")
        elif code in ("G17", "G18", "G19"):
            state = replace(state, plane=code)
        elif code in ("G98", "G99"):
            state = replace(state, to_old_z=code == "G98")
        elif code == "G80":
            state = replace(state, motion="", cycle={})
        elif code in MOTIONS:
            state = replace(state, motion=code, cycle={})
        elif code in CYCLES:
            state = replace(state, motion=code, cycle=state.cycle if state.motion == code else {})
    return state


def _run(line: Line, state: State) -> tuple[tuple[Motion | Event, ...], State]:
    codes = line.codes()
    messages = [text[1:-1].split(",", 1)[1].strip() for text in line.comments if text[1:].upper().startswith("MSG,")]
    if messages:
        state = replace(state, message=messages[-1])
    acts: list[Motion | Event] = []
    spin = [code for code in codes if code in ("M3", "M4", "M5")]
    state = _modes(line, state)
    if "M6" in codes:
        acts.append(Event(line.number, "M6", state))
        state = replace(state, cutter=state.called, spindle="M5")
    for code in spin:
        acts.append(Event(line.number, code, state))
        state = replace(state, spindle=code)
    if "G4" in codes:
        if line.value("P") is None:
            raise NotRead("G4 without P")
        acts.append(Motion(line.number, "wait", state.at, state.at, state, seconds=line.value("P") or Decimal(0)))
    made, state = _move(line, state)
    acts += made
    for code in codes:
        if code in ("M0", "M1", "M60", "M2", "M30"):
            acts.append(Event(line.number, code, state))
            ended = code in ENDS
            state = replace(state, ended=ended or state.ended, message="", spindle="M5" if ended else state.spindle)
    return tuple(acts), state


def _move(line: Line, state: State) -> tuple[list[Motion], State]:
    named = {word.letter: word.number * (state.scale or 1) for word in line.words if word.letter in _LENGTHS}
    axes = {letter: named[letter] for letter in AXES if letter in named}
    codes = set(line.codes())
    if "G92" in codes:
        return [], replace(state, at=_set(state.at, axes))
    if codes & ELSEWHERE:
        return [], replace(state, at=tuple(None if a in axes else v for a, v in zip(AXES, state.at, strict=True)))
    if not axes or not state.motion:
        if axes and not codes & {"G43"}:
            raise NotRead("axis words without motion")
        return [], state
    if state.motion in CYCLES:
        return _cycle(line, named, state)
    if "G43" in codes and not codes & MOTIONS and state.motion not in ("G0", "G1"):
        raise NotRead("an offset in an arc")
    end = _ends(axes, state)
    kind = "rapid" if state.motion == "G0" else "feed"
    after = replace(state, at=end)
    if state.motion in ("G0", "G1"):
        return [Motion(line.number, kind, state.at, end, after)], after
    if state.plane != "G17":
        raise NotRead("an arc in another plane")
    turn = 1 if state.motion == "G3" else -1
    centre = _centre(named, state.at, end, turn)
    return [Motion(line.number, kind, state.at, end, after, centre, turn)], after


def _set(at: Place, axes: dict[str, Decimal]) -> Place:
    x, y, z = (axes.get(axis, value) for axis, value in zip(AXES, at, strict=True))
    return x, y, z


def _ends(axes: dict[str, Decimal], state: State) -> Place:
    if not state.incremental:
        return _set(state.at, axes)
    if any(state.at[AXES.index(axis)] is None for axis in axes):
        return _set(state.at, dict.fromkeys(axes))
    return _set(state.at, {axis: state.at[AXES.index(axis)] + value for axis, value in axes.items()})


def _centre(named: dict[str, Decimal], start: Place, end: Place, turn: int) -> tuple[Decimal, Decimal]:
    """Of an arc, from its start; NotRead where the words make none."""
    if not {"X", "Y"} & named.keys() or (("R" in named) == bool({"I", "J"} & named.keys())):
        raise NotRead("an arc of other words")
    if None in (*start[:2], *end[:2]):
        raise NotRead("an arc from nowhere")
    dx, dy = (b - a for a, b in zip(start[:2], end[:2], strict=True))
    if "R" not in named:
        i, j = named.get("I", Decimal(0)), named.get("J", Decimal(0))
        off = (i * i + j * j).sqrt() - ((i - dx) ** 2 + (j - dy) ** 2).sqrt()
        if abs(off) > Decimal("0.0055") or i == j == 0:
            raise NotRead("an arc that misses its end")
        return i, j
    chord, radius = (dx * dx + dy * dy).sqrt(), named["R"]
    above = radius * radius - chord * chord / 4
    if chord == 0 or above < Decimal("-0.000000001"):
        raise NotRead("an arc of a radius too small")
    # The centre lies on the left of the chord for a short arc anticlockwise, and for a long one clockwise.
    side = turn * (1 if radius > 0 else -1) * max(above, Decimal(0)).sqrt() / chord
    return dx / 2 - side * dy, dy / 2 + side * dx


def _cycle(line: Line, named: dict[str, Decimal], state: State) -> tuple[list[Motion], State]:
    """Drilling cycles, spelled out."""
    sticky = dict(state.cycle) | {letter: named[letter] for letter in "ZRQ" if letter in named}
    if (wait := line.value("P")) is not None:
        sticky["P"] = wait
    needed = {"G81": "ZR", "G82": "ZRP", "G83": "ZRQ"}[state.motion]
    count = int(line.value("L") or 1)
    old_z, first = state.at[2], _ends({axis: named[axis] for axis in "XY" if axis in named}, state)
    if any(letter not in sticky for letter in needed) or old_z is None or None in first or state.plane != "G17":
        raise NotRead("a cycle of other words")
    to = sticky["R"] + (old_z if state.incremental else 0)
    bottom = sticky["Z"] + (to if state.incremental else 0)
    if to < bottom or count < 1 or sticky.get("Q", Decimal(1)) <= 0:
        raise NotRead("a cycle upside down")
    state = replace(state, cycle=sticky)
    clear = max(old_z, to) if state.to_old_z else to
    made: list[Motion] = []

    def go(kind: str, **axes: Decimal) -> None:
        nonlocal state
        start = state.at
        state = replace(state, at=_set(start, {axis.upper(): value for axis, value in axes.items()}))
        made.append(Motion(line.number, kind, start, state.at, state))

    if old_z < to:
        go("rapid", z=to)
    for _ in range(count):
        x, y, _z = _ends({axis: named[axis] for axis in "XY" if axis in named}, state)
        assert x is not None and y is not None
        go("rapid", x=x, y=y)
        go("rapid", z=to)
        if state.motion == "G83":
            depth = to
            while depth > bottom:
                if depth < to:
                    go("rapid", z=depth + PECK_GAP)
                depth = max(depth - sticky["Q"], bottom)
                go("feed", z=depth)
                if depth > bottom:
                    go("rapid", z=clear)
        else:
            go("feed", z=bottom)
            if state.motion == "G82":
                made.append(Motion(line.number, "wait", state.at, state.at, state, seconds=sticky["P"]))
        go("rapid", z=clear)
    return made, state
