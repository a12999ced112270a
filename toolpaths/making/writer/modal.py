"""What the machine holds from line to line: where it stands, the motion code, the feed, the speed, a drilling cycle.

All of it as printed, so that what is left out of a line is exactly what still holds (NISTIR 6556, 3.4).
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

from toolpaths.facts.language import CYCLES
from toolpaths.making.motion.toolpath import Hole


class Cycle(NamedTuple):
    """The drilling cycle that goes on: its holes, and the printed height at which each of them ends."""

    hole: Hole
    end: str


class Modal:
    """The lines written so far, and what the machine holds after them.

    at : the words of the place; those that are not known are missing
    code : of the last motion, "" where the next one has to name its own
    speed : of the spindle, "" while it stands
    """

    def __init__(self) -> None:
        self.lines: list[str] = []
        self.at: dict[str, str] = {}
        self.code = ""
        self.feed = ""
        self.speed = ""
        self.cycle: Cycle | None = None

    def line(self, *texts: str) -> None:
        """Lines that move nothing."""
        self.lines += texts

    def move(self, code: str, words: Mapping[str, str], *, feed: str = "") -> None:
        """A motion: its code if another one holds, its words, and its feed if another one holds.

        A cycle's code is repeated on every hole: the operator sees at once that it drills.
        """
        text = " ".join(letter + word for letter, word in words.items())
        if feed and feed != self.feed:
            text += f" F{feed}"
            self.feed = feed
        self.lines.append(text if code == self.code and code not in CYCLES else f"{code} {text}")
        self.code = code
        if code not in CYCLES:
            self.cycle = None

    def changed(self, place: Mapping[str, str]) -> dict[str, str]:
        """The words of a place that differ from where the machine stands."""
        return {letter: word for letter, word in place.items() if self.at.get(letter) != word}

    def end_cycle(self) -> None:
        """Whatever cycle goes on, over."""
        if self.code in CYCLES:
            self.line("G80")
            self.name_next()

    def name_next(self) -> None:
        """The next motion names its code, so that the work can be read, and begun, from there."""
        self.code, self.cycle = "", None

    def place_lost(self) -> None:
        """After a wait the cutter may stand elsewhere, and Z0 may have been set anew."""
        self.at = {}
        self.name_next()
