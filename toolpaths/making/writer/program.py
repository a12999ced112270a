"""From a setup to plain RS-274 text: modal, short, nothing outside the subset (NISTIR 6556).

Positions are rounded once, to DECIMALS, and repeats are dropped by comparing printed words, so
what is carried on is what was printed.
"""

from __future__ import annotations

from math import acos, ceil, cos

from toolpaths.base.checks import one_of
from toolpaths.base.errors import InputError
from toolpaths.base.units import MM_PER_INCH
from toolpaths.facts.cutter import Cutter
from toolpaths.facts.machine import ARCS, CYCLES
from toolpaths.making.motion.toolpath import CUT, DRILL, RAPID, Hole, Move, Toolpath
from toolpaths.making.plan.setup import Setup, Step
from toolpaths.making.plan.work import Stop
from toolpaths.making.writer.head import header
from toolpaths.shapes import tolerance as share
from toolpaths.shapes.track import Piece

UNITS = ("mm", "inch")
CYCLE_STYLES = ("canned", "spelled out")
TOOL_CHANGES = ("M6", "stop")

# With four decimals in mm (five in inches) the two ends of an arc differ in radius by at most
# 2 sqrt(2) digits, 0.00028 mm (0.000028 in); the standard allows 0.002 mm (0.0002 in).
DECIMALS = {"mm": 4, "inch": 5}
_LONGEST_LINE = 256
# Seconds for the spindle to reach its speed before it cuts (common practice, no source).
_SPIN_UP_S = 3
# An arc of fewer printed digits than this, mm, is written as a line: rounding could bring its ends
# to one direction from the centre, which a controller takes for a full turn.
_SHORTEST_ARC = 0.005
# An arc that bulges by less than two printed digits, mm, is written as a line: nothing of it would be left but a radius
# of many metres, at which a controller's arithmetic suffers.
_FLATTEST_ARC = 0.0002


def program_text(setup: Setup, *, units: str = "mm", cycles: str = "canned", tool_change: str = "M6") -> str:
    """The program of one side, as text that ends in a newline.

    units : "mm" or "inch"
    cycles : drill with "canned" cycles (G81, G82, G83), or the same motion "spelled out"
    tool_change : "M6", or "stop": an operator stop that names the cutter to fit
    """
    return _text(setup, list(setup.steps), units, cycles, tool_change)


def texts_by_cutter(setup: Setup, *, units: str = "mm", cycles: str = "canned") -> dict[str, str]:
    """One program for each run of work with one cutter, in order, by a short name such as "1-T4"."""
    runs: list[tuple[Cutter, list[Step | Stop]]] = []
    waiting: list[Step | Stop] = []
    for step in setup.steps:
        if isinstance(step, Stop) and not runs:
            waiting.append(step)
        elif isinstance(step, Stop) or (runs and step.path.cutter.number == runs[-1][0].number):
            runs[-1][1].append(step)
        else:
            runs.append((step.path.cutter, [*waiting, step]))
            waiting = []
    return {
        f"{number}-T{cutter.number}": _text(setup, steps, units, cycles, "fitted")
        for number, (cutter, steps) in enumerate(runs, start=1)
    }


def _text(setup: Setup, steps: list[Step | Stop], units: str, cycles: str, tool_change: str) -> str:
    one_of("units", units, UNITS)
    one_of("cycles", cycles, CYCLE_STYLES)
    one_of("tool_change", tool_change, (*TOOL_CHANGES, "fitted"))
    lines = _Lines(setup, units, cycles)
    lines.raw(*header(setup, steps, units))
    lines.raw(f"G17 {'G21' if units == 'mm' else 'G20'} G40 G49 G54 G80 G90 G94")
    lines.lift(setup.fixture.wait_z)
    for step in steps:
        if isinstance(step, Stop):
            lines.stop(step.message)
        else:
            lines.cutter(step.path.cutter, tool_change)
            lines.raw(f"({step.name})")
            lines.path(step.path)
    lines.end()
    return lines.finished()


class _Lines:
    """The lines so far, and the modal state that the machine is in after them."""

    def __init__(self, setup: Setup, units: str, cycles: str) -> None:
        self.setup, self.canned = setup, cycles == "canned"
        self.codes = setup.fixture.machine.codes
        self.decimals = DECIMALS[units]
        self.scale = 1.0 if units == "mm" else 1 / MM_PER_INCH
        self.zero = setup.fixture.zero
        self.lines: list[str] = []
        self.at: dict[str, str] = {}
        self.mode = ""
        self.feed = ""
        # Of the drilling cycles that run: the hole, and the height at which each of them ends.
        self.hole: Hole | None = None
        self.back = ""
        self.fitted: Cutter | None = None
        self.running = False

    # Plain lines

    def raw(self, *texts: str) -> None:
        self.lines += texts

    def stop(self, message: str) -> None:
        """Spindle off, cutter up, the message, and a wait."""
        self._wait()
        self.raw(f"(MSG, {message})", "M0")
        self._start_afresh()

    def _start_afresh(self) -> None:
        """After a wait the cutter may stand elsewhere, and Z0 may have been set anew: first of all, up."""
        self.mode = ""
        self.at = {}
        self.lift(self.setup.fixture.wait_z)

    def _wait(self) -> None:
        """Up and out of the operator's way, the spindle off."""
        fixture = self.setup.fixture
        self._rapid({"Z": self._z(fixture.wait_z)})
        x, y = self._xy(*fixture.wait_at)
        self._rapid({"X": self._number(x, self.decimals), "Y": self._number(y, self.decimals)})
        self._spindle_off()

    def end(self) -> None:
        self._wait()
        self.raw("M30")

    def cutter(self, cutter: Cutter, tool_change: str) -> None:
        """The cutter in the spindle and the spindle at its speed."""
        if self.fitted is None or self.fitted.number != cutter.number:
            self._wait()
            if tool_change == "M6":
                self._need("M6", "tool_change='stop'")
                self.raw(f"T{cutter.number} M6 ({cutter.profile.text(self.scale)})")
            elif tool_change == "stop":
                self.raw(f"(MSG, Fit T{cutter.number} {cutter.profile.text(self.scale)}, then set its Z zero)", "M0")
            if self.fitted is not None or tool_change != "fitted":
                self._start_afresh()
        if not self.running or self.fitted is None or self.fitted.spindle_rpm != cutter.spindle_rpm:
            self.raw(f"M3 S{self._number(cutter.spindle_rpm, 0)}", f"G4 P{_SPIN_UP_S}")
            self.running = True
        self.fitted = cutter

    def _spindle_off(self) -> None:
        if self.running:
            self.raw("M5")
            self.running = False

    def _need(self, code: str, instead: str) -> None:
        if code not in self.codes:
            raise InputError(f"The {self.setup.fixture.machine.name} does not understand {code}; use {instead}.")

    # Motion

    def lift(self, height: float) -> None:
        """Up before anything else moves; where the cutter stands is not known."""
        self._rapid({"Z": self._z(height)})

    def path(self, path: Toolpath) -> None:
        # Each piece of work names its code again, so that it can be read, and begun, on its own.
        self.mode = ""
        for move in path.moves:
            if move.kind == RAPID:
                self._rapid(self._place(move))
            elif move.kind == CUT:
                for part in self._parts(move):
                    self._cut(part)
            elif move.kind == DRILL and move.hole is not None:
                self._drill(move, move.hole)
        self._end_cycles()

    def _rapid(self, place: dict[str, str]) -> None:
        """Up before across, and across before down: never both at once."""
        up = "Z" in place and (not self.at.get("Z") or float(place["Z"]) > float(self.at["Z"]))
        for letters in ("Z", "XY") if up else ("XY", "Z"):
            words = self._changed({letter: word for letter, word in place.items() if letter in letters})
            if words:
                self._write("G0", words)

    def _cut(self, move: Move) -> None:
        place = self._place(move)
        start = dict(self.at)
        words = self._changed(place)
        code = "G1"
        if not words and not move.sweep:
            return
        if move.sweep:
            code = "G3" if move.sweep > 0 else "G2"
            x, y = self._xy(*move.centre)
            words["I"] = self._number(x - float(start["X"]), self.decimals)
            words["J"] = self._number(y - float(start["Y"]), self.decimals)
            # An offset of 0 may be left out, an end word of each arc may not.
            words = {letter: word for letter, word in words.items() if letter in "XYZ" or word != "0"}
            if "X" not in words and "Y" not in words:
                words = {"X": place["X"], **words}
        self._feed(move, words)
        self._write(code, words)

    def _parts(self, move: Move) -> list[Move]:
        """An arc as it is; as lines where it is too short to be printed as an arc, or the controller knows none."""
        if not move.sweep:
            return [move]
        start = tuple(float(self.at[axis]) / self.scale + zero for axis, zero in zip("XYZ", self.zero))
        piece = Piece((start[0], start[1]), (move.x, move.y), move.centre, move.sweep)
        if piece.length < _SHORTEST_ARC or piece.radius * (1 - cos(move.sweep / 2)) < _FLATTEST_ARC:
            return [move._replace(sweep=0.0)]
        if self.codes >= ARCS:
            return [move]
        sagitta = min(self.setup.tolerance * share.FLATTEN / piece.radius, 1.0)
        count = ceil(abs(move.sweep) / 2 / acos(1 - sagitta))
        rise = move.z - start[2]
        return [
            move._replace(x=x, y=y, z=start[2] + rise * part / count, sweep=0.0)
            for part in range(1, count + 1)
            for x, y in [piece.at(part / count)]
        ]

    def _feed(self, move: Move, words: dict[str, str]) -> None:
        feed = move.feed_mm_min * self.scale
        text = self._number(feed, 0 if feed >= 100 else 2)
        if float(text) <= 0:
            raise InputError(f"A feed of {move.feed_mm_min:g} mm/min is too slow to be written.")
        if text != self.feed:
            words["F"] = self.feed = text

    def _drill(self, move: Move, hole: Hole) -> None:
        """One hole, reached at the height at which the cutter stands, and left at the height at which the move ends.

        Cycles run on from hole to hole while they end at one height: at R (G99), or at the height at which the first
        of them began (G98). Where the way to the next hole is higher, they end, and a lift is written out.
        """
        if not self.canned or (hole.peck and hole.dwell_s):
            # No cycle of the subset both pecks and dwells.
            self._spelled_out(move, hole)
            return
        code = "G83" if hole.peck else ("G82" if hole.dwell_s else "G81")
        place, clear = self._place(move), self._z(hole.clear)
        across = {"X": place["X"], "Y": place["Y"]}
        if self.mode == code and self.hole == hole and float(place["Z"]) >= float(self.back):
            words = {letter: word for letter, word in across.items() if self.at.get(letter) != word}
            words = words or {"X": place["X"]}
        else:
            stays_up = float(clear) < float(place["Z"]) <= float(self.at["Z"])
            if stays_up and place["Z"] != self.at["Z"]:
                self._end_cycles()
                self._rapid({**across, "Z": place["Z"]})
            self.back = place["Z"] if stays_up else clear
            back = "G98" if stays_up else "G99"
            for needed in (code, back):
                self._need(needed, "cycles='spelled out'")
            self.raw(back)
            words = across | {"Z": self._z(hole.bottom), "R": clear}
            if hole.peck:
                # Rounded up: a peck a digit short would leave a sliver for one more.
                digits = 10**self.decimals
                words["Q"] = self._number(ceil(hole.peck * self.scale * digits - 1e-6) / digits, self.decimals)
            elif hole.dwell_s:
                words["P"] = self._number(hole.dwell_s, 3)
            self._feed(move, words)
        self._write(code, words)
        self.hole = hole
        self.at |= {**across, "Z": self.back}
        if float(place["Z"]) > float(self.back):
            self._end_cycles()
            self._rapid({"Z": place["Z"]})

    def _end_cycles(self) -> None:
        if self.mode in CYCLES:
            self.raw("G80")
            self.mode = ""

    def _spelled_out(self, move: Move, hole: Hole) -> None:
        place = self._place(move)
        self._rapid({"X": place["X"], "Y": place["Y"]})
        for kind, z in hole.strokes():
            if kind == RAPID:
                self._rapid({"Z": self._z(z)})
            else:
                self._cut(Move(CUT, move.x, move.y, z, move.feed_mm_min))
        if hole.dwell_s:
            self.raw(f"G4 P{self._number(hole.dwell_s, 3)}")
        self._rapid({"Z": place["Z"]})

    # Words

    def _place(self, move: Move) -> dict[str, str]:
        x, y = self._xy(move.x, move.y)
        return {"X": self._number(x, self.decimals), "Y": self._number(y, self.decimals), "Z": self._z(move.z)}

    def _xy(self, x: float, y: float) -> tuple[float, float]:
        return (x - self.zero[0]) * self.scale, (y - self.zero[1]) * self.scale

    def _z(self, z: float) -> str:
        return self._number((z - self.zero[2]) * self.scale, self.decimals)

    def _changed(self, place: dict[str, str]) -> dict[str, str]:
        """The words that differ from where the machine stands; it then stands there."""
        words = {letter: word for letter, word in place.items() if self.at.get(letter) != word}
        self.at |= place
        return words

    def _write(self, code: str, words: dict[str, str]) -> None:
        text = " ".join(letter + word for letter, word in words.items())
        # A cycle's code is repeated on every hole: the operator sees at once that it drills.
        self.lines.append(text if code == self.mode and code not in CYCLES else f"{code} {text}")
        self.mode = code

    def _number(self, value: float, decimals: int) -> str:
        """Shortest text of a number rounded to so many decimals (ties to even, as Python's own)."""
        if not abs(value) < 1e7:
            raise InputError(f"{value!r} is no number that a machine can go to.")
        text = f"{value:.{decimals}f}"
        if "." in text:
            text = text.rstrip("0").rstrip(".")
        return "0" if text in ("-0", "") else text

    def finished(self) -> str:
        for number, line in enumerate(self.lines, start=1):
            if len(line) > _LONGEST_LINE or not line.isascii():
                raise InputError(f"Line {number} of the program is longer than 256 characters or not plain ASCII.")
        return "\n".join(self.lines) + "\n"
