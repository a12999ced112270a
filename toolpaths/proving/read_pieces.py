"""The texts of one side as pieces of motion: a reader of its own, that knows few codes and refuses all others.

RS-274 (NISTIR 6556): a line does its work in the order of Table 8, so cutter and units first, then motion, then stop.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from math import acos, atan2, ceil, cos, hypot, pi, sin
from typing import NamedTuple

# mm: how far a chord may lie inside its arc, and by how much the two radii of an arc may differ.
_SAGITTA, _RADII = 0.002, 0.01
# mm: farther than any place of a board; larger than any number of a program.
_ANYWHERE, _LARGEST = 1e4, 1e6
_COMMENT, _WORD = re.compile(r"\(([^()]*)\)"), re.compile(r"([A-Z])([-+]?(?:\d+\.?\d*|\.\d+))")
# How comments name a cutter: that of a whole program in its head, and one to be put in at a stop.
_OF_PROGRAM, _PUT_IN = re.compile(r"\(T(\d+): "), re.compile(r"\bT(\d+)\b")
_MOTIONS = {0: "rapid", 1: "line", 2: "clockwise", 3: "anticlockwise", 81: "hole", 82: "hole", 83: "hole"}
# What has to be set before anything moves; what else moves no axis; stops for the operator; ends of a program.
_HELD = frozenset({17, 40, 49, 54, 90, 94})
_STILL_G, _STILL_M, _STOPS, _ENDS = (4, 61), (3, 5, 6, 7, 8, 9, 48, 49), (0, 1, 60), (2, 30)


class NotUnderstood(Exception):
    """A text that this reader does not know all of."""


class Piece(NamedTuple):
    """A stretch of motion of the tip, in mm from the program's zero.

    points : (x, y) along chords; more than two only where it is level; z0, z1 : at its ends, even in between
    off : mm by which the tip may be beside the chords; tool : 0 where the text does not say which is in the spindle
    """

    points: tuple[tuple[float, float], ...]
    z0: float
    z1: float
    off: float
    rapid: bool
    tool: int
    line: int


class SideText(NamedTuple):
    """pieces : of all programs of a side in order; stops : the words beside each stop, how many pieces come before"""

    pieces: list[Piece]
    stops: list[tuple[str, int]]


def read_pieces(texts: Iterable[str]) -> SideText:
    """Raises NotUnderstood for whatever goes beyond these few codes."""
    found = SideText([], [])
    for text in texts:
        reader, ended = _Reader(found, text), False
        for number, line in enumerate(text.split("\n"), start=1):
            try:
                # Some machines read on behind the end of a program, others do not.
                if ended and _COMMENT.sub("", line).strip() not in ("", "%"):
                    raise ValueError("stands behind the end of the program")
                ended = ended or reader.line_ends(number, line.removesuffix("\r"))
            except (KeyError, ValueError) as error:
                raise NotUnderstood(f"line {number}, {line.strip()!r}: {error}") from None
    return found


class _Reader:
    """What the machine holds from line to line."""

    def __init__(self, found: SideText, text: str) -> None:
        self._found, self._spoken, self._line = found, list[str](), 0
        self._at, self._hole = dict[str, float](), dict[str, float]()
        self._scale, self._turns, self._motion, self._back_up = 0.0, False, "", dict[str, bool]()
        self._unset, self._next_tool, self._begun = set(_HELD), 0, False
        named, codes = set(_OF_PROGRAM.findall(text)), _WORD.findall(_COMMENT.sub("", "".join(text.upper().split())))
        self._by_hand = not any(letter == "M" and float(digits) == 6 for letter, digits in codes)
        self._tool = int(named.pop()) if self._by_hand and len(named) == 1 else 0

    def line_ends(self, number: int, line: str) -> bool:
        """Does what a line says; whether the program ends there."""
        self._line = number
        self._spoken += _COMMENT.findall(line)
        text = "".join(_COMMENT.sub("", line).upper().split())
        if text == "%":
            return self._begun
        self._begun = self._begun or bool(text)
        # What a terminal does not print, machines read in ways of their own.
        if _WORD.sub("", text) or not (line.isascii() and line.replace("\t", " ").isprintable()):
            raise ValueError("not words alone")
        found = [(letter, float(digits)) for letter, digits in _WORD.findall(text)]
        g, m = ([number for letter, number in found if letter == code] for code in "GM")
        words = {letter: number for letter, number in found if letter not in "GM"}
        known = set("NPFST") if 4 in g else set("NXYZIJFSTPQR")
        if not words.keys() <= known or sum(abs(n) <= _LARGEST for n in (*g, *m, *words.values())) < len(found):
            raise ValueError("a word twice, one that it does not know there, or a number too large")
        self._next_tool = int(f"{words.get('T', self._next_tool):g}")
        self._switch(m)
        self._set(g)
        if not words.keys().isdisjoint("XYZIJR"):
            self._move({letter: number * self._scale for letter, number in words.items()})
        if any(code in _STOPS for code in m):
            said = " ".join(self._spoken)
            self._found.stops.append((said, len(self._found.pieces)))
            if self._by_hand and (put_in := set(_PUT_IN.findall(said.upper()))):
                self._tool = int(put_in.pop()) if len(put_in) == 1 else 0
        self._spoken = [] if found else self._spoken
        return any(code in _ENDS for code in m)

    def _switch(self, codes: Sequence[float]) -> None:
        for code in codes:
            if code not in (*_STILL_M, *_STOPS, *_ENDS):
                raise ValueError(f"M{code:g} is not known")
            self._tool = self._next_tool if code == 6 else self._tool
            self._turns = code == 3 or (self._turns and code not in (5, 6, *_ENDS))

    def _set(self, codes: Sequence[float]) -> None:
        if any(sum(code in group for code in codes) > 1 for group in ((*_MOTIONS, 80), (20, 21), (98, 99))):
            raise ValueError("two codes of a kind")
        for code in codes:
            self._unset.discard(int(code))
            if code in (20, 21):
                self._scale = 25.4 if code == 20 else 1.0
            elif code in (98, 99):
                self._back_up = {"G98 or G99": code == 98}
            elif code in _MOTIONS or code == 80:
                motion = _MOTIONS.get(int(code), "")
                if motion == "hole" and self._motion != "hole":
                    self._hole = {"first": self._at["Z"]}
                self._motion = motion
            elif code not in _HELD and code not in _STILL_G:
                raise ValueError(f"G{code:g} is not known")

    def _move(self, words: dict[str, float]) -> None:
        if not self._motion or not self._scale or self._unset:
            raise ValueError(f"moves before motion, units and {sorted(f'G{code}' for code in self._unset)} are set")
        if unknown := {letter for letter in "XYZ" if letter not in self._at}:
            self._come_from_anywhere({letter: words[letter] for letter in unknown & words.keys()})
            if unknown & words.keys() == words.keys() & set("XYZ"):
                return
        if self._motion == "hole":
            self._drill(words)
        elif self._motion in ("rapid", "line"):
            self._go(words, rapid=self._motion == "rapid")
        else:
            self._arc(words)

    def _come_from_anywhere(self, known: dict[str, float]) -> None:
        """At first it is not known where it is: it may be over any place, at the height that the text has named."""
        self._at.update(known)
        if self._motion not in ("rapid", "hole") or "Z" not in self._at:
            raise ValueError("does not go up by a rapid, then across, to begin with")
        place = (self._at.get("X", 0.0), self._at.get("Y", 0.0))
        self._add((place, place), self._at["Z"], self._at["Z"], _ANYWHERE, True)

    def _go(self, words: dict[str, float], rapid: bool = True) -> None:
        begin, self._at = self._at, self._end(words)
        chord = ((begin["X"], begin["Y"]), (self._at["X"], self._at["Y"]))
        self._add(chord, begin["Z"], self._at["Z"], 0.0, rapid)

    def _end(self, words: dict[str, float]) -> dict[str, float]:
        return {letter: words.get(letter, self._at[letter]) for letter in "XYZ"}

    def _drill(self, words: dict[str, float]) -> None:
        """A hole is a way down at feed and a rapid up. What a peck does in between, it does in the hole so far."""
        self._hole.update({letter: words[letter] for letter in "ZR" if letter in words})
        top, across = self._hole["R"], {letter: words[letter] for letter in "XY" if letter in words}
        self._go({"Z": max(self._at["Z"], top)})
        self._go(across)
        self._go({"Z": top})
        self._go({"Z": self._hole["Z"]}, rapid=False)
        self._go({"Z": max(self._hole["first"], top) if self._back_up["G98 or G99"] else top})

    def _arc(self, words: dict[str, float]) -> None:
        if not words.keys().isdisjoint("RP") or words.keys().isdisjoint("IJ"):
            raise ValueError("an arc without its centre as I and J, or with a number of turns")
        x, y, z = (self._at[letter] for letter in "XYZ")
        end, cx, cy = self._end(words), x + words.get("I", 0.0), y + words.get("J", 0.0)
        r, other = hypot(x - cx, y - cy), hypot(end["X"] - cx, end["Y"] - cy)
        if abs(r - other) > _RADII or min(r, other) <= _SAGITTA or r > _ANYWHERE:
            raise ValueError(f"an arc with the radii {r:g} and {other:g}")
        sign = 1.0 if self._motion == "anticlockwise" else -1.0
        first = atan2(y - cy, x - cx)
        turn = sign * (atan2(end["Y"] - cy, end["X"] - cx) - first) % (2 * pi)
        turn = turn if (x, y) != (end["X"], end["Y"]) and turn > 0 else 2 * pi
        count = ceil(turn / (2 * acos(1 - _SAGITTA / max(r, other))))
        angles = [first + sign * turn * i / count for i in range(1, count)]
        points = [(x, y), *((cx + r * cos(a), cy + r * sin(a)) for a in angles), (end["X"], end["Y"])]
        z1, off, self._at = end["Z"], _SAGITTA + abs(r - other), end
        # Level it is one piece, else one for each chord.
        chords = [tuple(points)] if z == z1 else list(zip(points, points[1:]))
        heights = [z + (z1 - z) * i / len(chords) for i in range(len(chords) + 1)]
        for chord, low, high in zip(chords, heights, heights[1:]):
            self._add(chord, low, high, off, False)

    def _add(self, points: tuple[tuple[float, float], ...], z0: float, z1: float, off: float, rapid: bool) -> None:
        if not (rapid or self._turns):
            raise ValueError("is fed with the spindle standing")
        self._found.pieces.append(Piece(points, z0, z1, off, rapid, self._tool, self._line))
