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
# mm, farther than any place of a board.
_ANYWHERE = 1e4
# No number of a program has more than six digits before its point.
_COMMENT, _WORD = re.compile(r"\(([^()]*)\)"), re.compile(r"([A-Z])([-+]?(?:\d{1,6}(?:\.\d*)?|\.\d+))")
# How comments name a cutter: that of a whole program in its head; at a stop any, and the one to be put in.
_OF_PROGRAM, _NAMED = re.compile(r"\(T(\d+): "), re.compile(r"\bT(\d+)\b")
_PUT_IN, _CHANGE = re.compile(r"\b(?:FIT|PUT IN) T(\d+)\b"), re.compile(r"M\+?0*6(?!\d)")
_MOTIONS = {"G0": "rapid", "G1": "line", "G2": "clockwise", "G3": "anticlockwise", "G80": ""}
_MOTIONS |= dict.fromkeys(("G81", "G82", "G83"), "hole")
_UNITS, _BACK_UP = {"G20": 25.4, "G21": 1.0}, {"G98": True, "G99": False}
_SPINDLE, _STOPS, _ENDS = {"M3": True, "M5": False}, {"M0", "M1", "M60"}, {"M2", "M30"}
# What has to be set before anything moves; what else moves no axis.
_HELD = frozenset({"G17", "G40", "G49", "G54", "G90", "G94"})
_STILL = {*_STOPS, *_ENDS, "G4", "G61", "M7", "M8", "M9", "M48", "M49"}
# Codes of which a line has one at most; and words that it may have besides X, Y, Z, N, F, S and T.
_ONE_OF = (_MOTIONS, _UNITS, _BACK_UP, _SPINDLE, _STOPS | _ENDS)
_ALSO = {"clockwise": "IJ", "anticlockwise": "IJ", "hole": "RPQ"}


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
                missing = "nothing says " if isinstance(error, KeyError) else ""
                raise NotUnderstood(f"line {number}, {line.strip()!r}: {missing}{error}") from None
    return found


class _Reader:
    """What the machine holds from line to line."""

    def __init__(self, found: SideText, text: str) -> None:
        self._found, self._spoken, self._line = found, list[str](), 0
        self._at, self._hole = dict[str, float](), dict[str, float]()
        self._scale, self._turns, self._motion, self._back_up = 0.0, False, "", dict[str, bool]()
        self._unset, self._next_tool, self._begun = set(_HELD), 0, False
        named = set(_OF_PROGRAM.findall(text))
        self._by_hand = not _CHANGE.search(_bare(text))
        self._tool = int(named.pop()) if self._by_hand and len(named) == 1 else 0

    def line_ends(self, number: int, line: str) -> bool:
        """Does what a line says; whether the program ends there."""
        self._line = number
        self._spoken += _COMMENT.findall(line)
        text, begun = _bare(line), self._begun
        self._begun = begun or bool(text)
        if text == "%":
            return begun
        # What a terminal does not print, machines read in ways of their own.
        if _WORD.sub("", text) or not (line.isascii() and line.replace("\t", " ").isprintable()):
            raise ValueError("not words alone")
        found = [(letter, float(digits)) for letter, digits in _WORD.findall(text)]
        codes = [f"{letter}{number:.15g}" for letter, number in found if letter in "GM"]
        words = {letter: number for letter, number in found if letter not in "GM"}
        self._next_tool = int(f"{words.get('T', self._next_tool):.15g}")
        self._set(codes)
        known = {*"NFST", *("P" if "G4" in codes else "XYZ" + _ALSO.get(self._motion, ""))}
        if not words.keys() <= known or len({*words, *codes}) < len(found):
            raise ValueError("a word twice, or one that it does not know there")
        self._tool = 0 if self._by_hand and words.get("T", self._tool) != self._tool else self._tool
        if not words.keys().isdisjoint("XYZIJR"):
            self._move({letter: number * self._scale for letter, number in words.items()})
        if not _STOPS.isdisjoint(codes):
            said = " ".join(self._spoken)
            self._found.stops.append((said, len(self._found.pieces)))
            if self._by_hand and (named := set(_NAMED.findall(said.upper()))):
                put_in = _PUT_IN.search(said.upper())
                self._tool = int(put_in[1]) if put_in and len(named) == 1 else 0
        self._spoken = [] if found else self._spoken
        return not _ENDS.isdisjoint(codes)

    def _set(self, codes: Sequence[str]) -> None:
        if any(sum(code in group for code in codes) > 1 for group in _ONE_OF):
            raise ValueError("two codes of a kind")
        self._unset -= set(codes)
        for code in codes:
            if code in _MOTIONS:
                if _MOTIONS[code] == "hole" != self._motion:
                    self._hole = {"first": self._at["Z"]}
                self._motion = _MOTIONS[code]
            elif code == "M6":
                self._tool, self._turns = self._next_tool, False
            elif code not in (*_HELD, *_STILL, *_UNITS, *_BACK_UP, *_SPINDLE):
                raise ValueError(f"{code} is not known")
            self._scale = _UNITS.get(code, self._scale)
            self._turns = _SPINDLE.get(code, self._turns)
            self._back_up |= {"G98 or G99": _BACK_UP[code]} if code in _BACK_UP else {}

    def _move(self, words: dict[str, float]) -> None:
        if not self._motion or not self._scale or self._unset:
            raise ValueError(f"moves before motion, units and {sorted(self._unset)} are set")
        if not self._at.keys() >= set("XYZ"):
            self._come_from_anywhere(words)
            if self._motion == "rapid":
                return
        {"rapid": self._go, "line": self._go, "hole": self._drill}.get(self._motion, self._arc)(words)

    def _come_from_anywhere(self, words: dict[str, float]) -> None:
        """At first it is not known where it is: once its height is named, it may come from over any place."""
        begin = self._at.get("Z", words.get("Z") if words.keys().isdisjoint("XY") else None)
        if self._motion not in ("rapid", "hole") or begin is None:
            raise ValueError("does not go up by a rapid, then across, to begin with")
        named = "XYZ" if self._motion == "rapid" else "XY"
        self._at = {"Z": begin, **self._at, **{letter: words[letter] for letter in named if letter in words}}
        place = (self._at.get("X", 0.0), self._at.get("Y", 0.0))
        self._add((place, place), begin, self._at["Z"], _ANYWHERE, True)

    def _go(self, words: dict[str, float], fed: bool = False) -> None:
        begin, self._at = self._at, self._end(words)
        chord = ((begin["X"], begin["Y"]), (self._at["X"], self._at["Y"]))
        self._add(chord, begin["Z"], self._at["Z"], 0.0, not fed and self._motion != "line")

    def _end(self, words: dict[str, float]) -> dict[str, float]:
        return {letter: words.get(letter, self._at[letter]) for letter in "XYZ"}

    def _drill(self, words: dict[str, float]) -> None:
        """A hole is a way down at feed and a rapid up. What a peck does in between, it does in the hole so far."""
        self._hole.update({letter: words[letter] for letter in "ZR" if letter in words})
        top, across = self._hole["R"], {letter: words[letter] for letter in "XY" if letter in words}
        self._go({"Z": max(self._at["Z"], top)})
        self._go(across)
        self._go({"Z": top})
        self._go({"Z": self._hole["Z"]}, fed=True)
        self._go({"Z": max(self._hole["first"], top) if self._back_up["G98 or G99"] else top})

    def _arc(self, words: dict[str, float]) -> None:
        if words.keys().isdisjoint("IJ"):
            raise ValueError("an arc without its centre as I and J")
        x, y, z = (self._at[letter] for letter in "XYZ")
        end, cx, cy = self._end(words), x + words.get("I", 0.0), y + words.get("J", 0.0)
        r, other = hypot(x - cx, y - cy), hypot(end["X"] - cx, end["Y"] - cy)
        sign = 1.0 if self._motion == "anticlockwise" else -1.0
        first = atan2(y - cy, x - cx)
        turn = sign * (atan2(end["Y"] - cy, end["X"] - cx) - first) % (2 * pi)
        turn = turn if (x, y) != (end["X"], end["Y"]) else 2 * pi
        # What ends so near to its start some machines take for a full circle.
        if abs(r - other) > _RADII or min(r, other) <= _SAGITTA or r > _ANYWHERE or turn * r < _SAGITTA:
            raise ValueError(f"an arc with the radii {r:g} and {other:g}, {turn * r:g} long")
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


def _bare(text: str) -> str:
    """A text without comments and blanks."""
    return "".join(_COMMENT.sub("", text).upper().split())
