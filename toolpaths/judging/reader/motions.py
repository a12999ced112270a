"""What the machine will do: the motions of a program as columns, as read from its text."""

from __future__ import annotations

from dataclasses import dataclass, fields
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from toolpaths.base.checks import Floats
from toolpaths.base.errors import ProgramError
from toolpaths.base.values import Value, read_only

Ints = NDArray[np.int64]

RAPID, FEED, ARC, DWELL = 0, 1, 2, 3


@dataclass(frozen=True, slots=True, eq=False, kw_only=True, repr=False)
class Motions(Value):
    """n motions in the order in which they happen, canned cycles spelled out.

    Places are those of the cutter's tip in mm from the zero of G54, with every offset worked out.
    Each motion starts where the one before ended, but for Z where G43 or G49 came between, and for
    any axis where something could not be read.

    kind : (n,) RAPID, FEED (straight), ARC (or helix), DWELL (start == end)
    start, end : (n, 3)
    centre : (n, 3) of an arc, z unused in the XY plane; zero elsewhere
    sweep : (n,) radians turned about the centre, positive anticlockwise seen from the positive
        end of the axis normal to `plane`; zero for anything but an arc
    plane : (n,) 17, 18 or 19
    feed_mm_min : (n,) 0 where none was ever set
    spindle : (n,) 0 stopped, 1 clockwise, -1 anticlockwise
    spindle_rpm : (n,)
    tool : (n,) the tool in the spindle, 0 before the first change
    cycle : (n,) 81, 82, 83 where the motion comes from a canned cycle, else 0
    seconds : (n,) of a dwell
    line : (n,) line of the text, from 1
    """

    kind: Ints
    start: Floats
    end: Floats
    centre: Floats
    sweep: Floats
    plane: Ints
    feed_mm_min: Floats
    spindle: Ints
    spindle_rpm: Floats
    tool: Ints
    cycle: Ints
    seconds: Floats
    line: Ints

    def __post_init__(self) -> None:
        for field in fields(self):
            object.__setattr__(self, field.name, read_only(getattr(self, field.name)))

    def __len__(self) -> int:
        return len(self.kind)

    def __repr__(self) -> str:
        return f"<Motions: {len(self)}>"


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Event(Value):
    """Something that happens between motions.

    before : index of the motion before which it happens
    code : "M0", "M1", "M6", "M2", "M30", "M60" or "MSG"
    place : (x, y, z) where the cutter's tip stands; NaN for an axis whose place is not known since a
        line could not be read
    text : the message of a MSG comment; for M0 and M1 the last message shown before the stop
    tool : for M6, the tool put in
    spindle : 0 stopped or at no speed, 1 clockwise, -1 anticlockwise
    skippable : whether its line begins with /, and is skipped where the machine's block delete is on
    """

    before: int
    line: int
    code: str
    place: tuple[float, float, float]
    text: str = ""
    tool: int = 0
    spindle: int = 0
    skippable: bool = False

    @property
    def may_not_happen(self) -> bool:
        """Whether a switch of the machine can pass it: optional stop for M1, block delete for a line with /."""
        return self.code == "M1" or self.skippable

    @property
    def why_it_may_not(self) -> str:
        """In words, where that is so."""
        if self.skippable:
            return f"line {self.line} begins with /, and is skipped where block delete is on"
        return f"line {self.line} is M1, which the machine passes where its optional stop is off"


class Change(NamedTuple):
    """A word that changes what later words mean, or what turns; every one, in order.

    before : index of the motion before which it acts; for G28, G30 and G53 that of the motion which goes
        to a place of the machine
    code : "M3", "M4", "M5", "T" (called, not yet put in), "G90", "G91", a work system, "G92" and its kin,
        "G43", "G49", "G28", "G30" or "G53"
    number : of T, or the H of G43
    offset : (x, y, z) that G92 and its kin leave in force, mm
    """

    before: int
    line: int
    code: str
    number: int = 0
    offset: tuple[float, float, float] = (0.0, 0.0, 0.0)


class Left(NamedTuple):
    """How a program leaves the controller, just before its M2 or M30 acts, or where its text ends.

    distance, distance_line : "G90", or "G91" and the line since which it holds; else 0
    work_system : "G54" and so on
    offset : (x, y, z) of G92, mm
    length, length_code : mm of tool length offset, and "G43" or "G49"
    spindle : 0 stopped, 1 clockwise, -1 anticlockwise
    units : "mm" or "inch"
    """

    distance: str
    distance_line: int
    work_system: str
    offset: tuple[float, float, float]
    length: float
    length_code: str
    spindle: int
    units: str


class Modes(NamedTuple):
    """What a controller holds from line to line: all that a program has to say anew that begins in the middle.

    units, plane, distance, work_system, length_code, cycle_return : the codes, "G21", "G17", "G90", "G54", "G49", "G98"
    motion : the code that axis words alone repeat
    sticky : letter and number, as written, of the words that a drilling cycle goes on with; empty for any other motion
    feed, speed : F and S as written
    spindle : 0 stopped, 1 clockwise, -1 anticlockwise
    tool : in the spindle, 0 before the first change
    place : (x, y, z) of the tip from the zero of G54, mm
    """

    units: str
    plane: str
    distance: str
    work_system: str
    length_code: str
    cycle_return: str
    motion: str
    sticky: tuple[tuple[str, float], ...]
    feed: float
    speed: float
    spindle: int
    tool: int
    place: tuple[float, float, float]


@dataclass(frozen=True, slots=True, eq=False, kw_only=True, repr=False)
class Program(Value):
    """A program read back: its motions, its events, its comments and what it says besides.

    comments : (line, text) of each comment; of several on a line the last, as the language has it,
        and messages are events instead
    units : "mm" or "inch", the first that it names, else those of the controller
    changes : of spindle, tool called, zero, distance mode and length offset
    codes : every G and M code that was acted upon, each with the line of its first use, in that order
    left : the state of the controller at the end
    after_end : first line after the end (M2, M30 or the closing percent line) that holds more than
        blanks, a line number, comments or a percent sign, though it is never run; 0 if there is none
    resumed : indices of the motions with which the place of the cutter is known again, after something
        could not be read; each is taken to begin where it ends, but for those of a cycle
    errors : what could not be read; empty for a program read by `read`, which raises instead
    allowed : what breaks a rule of the language, but is read as the many controllers read it that allow it; the
        first hundred
    """

    motions: Motions
    events: tuple[Event, ...]
    comments: tuple[tuple[int, str], ...]
    units: str
    changes: tuple[Change, ...]
    codes: tuple[tuple[str, int], ...]
    left: Left
    after_end: int
    resumed: tuple[int, ...] = ()
    errors: tuple[ProgramError, ...] = ()
    allowed: tuple[ProgramError, ...] = ()

    @property
    def incomplete(self) -> bool:
        """Whether some line could not be read, so that something is missing."""
        return any(error.code != "program-end" for error in self.errors)

    def __repr__(self) -> str:
        wrong = f", {len(self.errors)} errors" if self.errors else ""
        return f"<Program: {len(self.motions)} motions in {self.units}{wrong}>"
