"""Words to motions: the state of a controller, and what each line does to it (NISTIR 6556, 3.5 to 3.8)."""

from __future__ import annotations

from collections.abc import Sequence

from toolpaths.base.units import MM_PER_INCH
from toolpaths.facts.language import CYCLES, GROUPS, PLANE_AXES
from toolpaths.judging.reader.arc_geometry import TOLERANCE_INCH, TOLERANCE_MM, Point3, arc
from toolpaths.judging.reader.controller import ORIGIN, Controller
from toolpaths.judging.reader.cycles import MOST_MOTIONS, holes
from toolpaths.judging.reader.motion_table import Table
from toolpaths.judging.reader.motions import ARC, DWELL, FEED, RAPID, Change, Event, Left, Modes
from toolpaths.judging.reader.plain_lines import Lines
from toolpaths.judging.reader.plain_runs import State, moves
from toolpaths.judging.reader.statement import Codes, Values, full_circle, statement
from toolpaths.judging.reader.tokens import Allowed, Fault, breach, split

_PLAIN_MODES = {"G0": 0, "G1": 1, "G2": 2, "G3": 3}
_SPINDLE = {"M3": 1, "M4": -1, "M5": 0}
# Codes recorded as a Change before the motion of their line; G28 and G30 may have a motion before theirs.
_CHANGES = {
    "G53",
    *(code for group in ("spindle", "distance", "work system", "length offset") for code in GROUPS[group]),
}


class Interpreter:
    """Runs lines one by one and collects motions, events and comments.

    `position` is the cutter's tip from the zero of G54, mm, without any offset of the program.
    A coordinate of the program is that less `shift`, which holds what another work system or G92
    add; it is 0 for most programs, so that their numbers come through unrounded.
    F, and the sticky numbers of a cycle, are kept as written: on G20 and G21 they do not convert.
    """

    # Whether a motion at a feed of 0 is a fault.
    _needs_feed = True
    # Breaches of the rules in the line that is read, where many controllers allow them; None to read strictly.
    _allowed: Allowed = None

    def __init__(self, start: Point3, controller: Controller) -> None:
        self.controller = controller
        self.table = Table()
        self.events: list[Event] = []
        self.comments: list[tuple[int, str]] = []
        self.changes: list[Change] = []
        # Motions that only say where the tip stands, after its place was lost.
        self.resumed: list[int] = []
        self.codes: dict[str, int] = {}
        self.written_in = ""
        self.ended = False
        # Axes whose place is not known.
        self.lost: frozenset[str] = frozenset()
        self._line = 0
        self._skippable = False
        self._message = ""
        self._spelled_out = 0
        # The state at start-up, as NIST's interpreter has it.
        self._position = start
        self._shift = ORIGIN
        self._work_system = "G54"
        self._offset = ORIGIN
        self._stored_offset = ORIGIN
        self._length = 0.0
        self._length_code = "G49"
        self._scale = MM_PER_INCH if controller.units == "inch" else 1.0
        self._plane = controller.plane
        self._motion_mode = "G80"
        self._sticky: Values = {}
        self._incremental_since = 0
        self._back = True
        self._feed = 0.0
        self._speed = 0.0
        self._spindle = 0
        self._next_tool = 0
        self._tool = 0

    @property
    def units(self) -> str:
        """The first that the program names, else those of the controller."""
        return self.written_in or self.controller.units

    @property
    def left(self) -> Left:
        """The state now; M2 and M30 reset nothing here, since no line is run after them."""
        return Left(
            distance="G91" if self._incremental else "G90",
            distance_line=self._incremental_since,
            work_system=self._work_system,
            offset=self._offset,
            length=self._length,
            length_code=self._length_code,
            spindle=self._spindle,
            units="mm" if self._scale == 1.0 else "inch",
        )

    @property
    def modes(self) -> Modes:
        """What holds for the next line."""
        return Modes(
            units="G21" if self._scale == 1.0 else "G20",
            plane=f"G{self._plane}",
            distance="G91" if self._incremental else "G90",
            work_system=self._work_system,
            length_code=self._length_code,
            cycle_return="G98" if self._back else "G99",
            motion=self._motion_mode,
            sticky=tuple(self._sticky.items()) if self._motion_mode in CYCLES else (),
            feed=self._feed,
            speed=self._speed,
            spindle=self._spindle,
            tool=self._tool,
            place=self._position,
        )

    @property
    def _incremental(self) -> bool:
        return self._incremental_since > 0

    def attempt(self, number: int, line: str) -> Fault | None:
        """Runs a line; the rule for which it could not be run, if any."""
        try:
            self.run(number, line)
        except Fault as fault:
            return fault
        return None

    @property
    def allowed(self) -> Sequence[Fault]:
        """Other rules that the last line breaks, as many controllers allow; it was read as they read it."""
        return self._allowed or ()

    def run(self, number: int, line: str) -> None:
        """One line, in the order of Table 8."""
        words, comment = split(line, self._allowed)
        codes, values, motion = statement(words, self._motion_mode, self._incremental, self._allowed)
        self._line, self._skippable = number, line.lstrip(" \t").startswith("/")
        if comment is not None:
            self._comment(comment)
        if "F" in values:
            self._feed = values["F"]
        if "S" in values:
            self._speed = values["S"]
        if "T" in values:
            self._next_tool = round(values["T"])
            self._change("T", self._next_tool)
        if len(codes) > ("motion" in codes):
            self._set_modes(codes, values)
        if motion:
            self._move(motion, values, codes.get("once") == "G53")
        elif "motion" in codes:
            self._motion_mode = codes["motion"]
        if "stop" in codes:
            self._stop(codes["stop"])
        for code in codes.values():
            self.codes.setdefault(code, number)

    def run_plain(self, lines: Lines, first: int, last: int) -> int:
        """Runs plain lines from index `first` up to `last` at once; how many of them, 0 if it cannot."""
        code = _PLAIN_MODES.get(self._motion_mode, -1)
        if code < 0 and lines.codes[first] < 0:
            # Another motion; only lines that ask for none are plain.
            last = min(last, int(lines.busy[first]))
        if self.lost or last == first:
            return 0
        state = State(
            code=code,
            position=self._position,
            feed=self._feed,
            scale=self._scale,
            zero=None if self._incremental else self._shift,
            plane=self._plane,
            needs_feed=self._needs_feed,
        )
        found = moves(lines, first, last, state)
        if found is None:
            return 0
        if len(found.kind):
            self.table.add_many(
                len(found.kind), kind=found.kind, start=found.start, end=found.end, centre=found.centre,
                sweep=found.sweep, plane=self._plane, feed_mm_min=found.feed * self._scale, spindle=self._spindle,
                spindle_rpm=self._speed, tool=self._tool, line=found.line,
            )  # fmt: skip
        self._position, self._feed = found.after.position, found.after.feed
        if found.after.code >= 0:
            self._motion_mode = f"G{found.after.code}"
        for number, line in found.named:
            self.codes.setdefault(f"G{number}", line)
        return found.done

    def _comment(self, comment: str) -> None:
        head, comma, message = comment.partition(",")
        if comma and head.strip(" \t").upper() == "MSG":
            self._message = message.strip()
            self._event("MSG", self._message)
        else:
            self.comments.append((self._line, comment))

    def _event(self, code: str, text: str = "", tool: int = 0) -> None:
        before, spindle = len(self.table), self._spindle if self._speed > 0 else 0
        place = self._place()
        event = Event(
            before=before, line=self._line, code=code, place=place, text=text, tool=tool, spindle=spindle,
            skippable=self._skippable,
        )  # fmt: skip
        self.events.append(event)

    def _place(self) -> Point3:
        return self._position

    def _change(self, code: str, number: int = 0) -> None:
        self.changes.append(Change(len(self.table), self._line, code, number, self._offset))

    def _stop(self, code: str) -> None:
        self._event(code, self._message if code in ("M0", "M1", "M60") else "")
        self.ended = code in ("M2", "M30")

    def _set_modes(self, codes: Codes, values: Values) -> None:
        """Everything of a line that comes before its motion. Coolant, overrides, G40, G94 and the
        path modes G61 and G64 have no effect on the motions that a program asks for."""
        once = codes.get("once", "")
        for code in codes.values():
            if code in _CHANGES:
                self._change(code, self._length_number(codes, values) if code == "G43" else 0)
        if "tool change" in codes:
            self._tool, self._spindle = self._next_tool, 0
            self._event("M6", tool=self._tool)
        if "spindle" in codes:
            self._spindle = _SPINDLE[codes["spindle"]]
        if once == "G4":
            self._record(DWELL, self._position, seconds=values["P"])
        if "plane" in codes:
            self._plane = int(codes["plane"][1:])
        if "units" in codes:
            self._scale = MM_PER_INCH if codes["units"] == "G20" else 1.0
            self.written_in = self.written_in or ("inch" if codes["units"] == "G20" else "mm")
        if "length offset" in codes:
            self._set_length(codes["length offset"], self._length_number(codes, values))
        if "work system" in codes:
            self._work_system = codes["work system"]
            self._set_shift()
        if "distance" in codes:
            incremental = codes["distance"] == "G91"
            self._incremental_since = (self._incremental_since or self._line) if incremental else 0
        if "cycle return" in codes:
            self._back = codes["cycle return"] == "G98"
        if once in ("G28", "G30"):
            self._go_home(once, values)
        elif once.startswith("G92"):
            self._set_offset(once, values)

    def _length_number(self, codes: Codes, values: Values) -> int:
        """H; without it the number of the cutter that is in the spindle when the line has put one in."""
        in_spindle = self._next_tool if "tool change" in codes or not self._tool else self._tool
        return round(values.get("H", in_spindle))

    def _set_length(self, code: str, number: int) -> None:
        """No motion: what changes is which point of the machine is held to be the cutter's tip."""
        length = self.controller.tool_lengths.get(number, 0.0) if code == "G43" else 0.0
        x, y, z = self._position
        self._position = x, y, z + self._length - length
        self._length, self._length_code = length, code

    def _set_shift(self) -> None:
        origin, first = self.controller.origin(self._work_system), self.controller.origin("G54")
        x, y, z = (a - b + c for a, b, c in zip(origin, first, self._offset, strict=True))
        self._shift = x, y, z

    def _set_offset(self, code: str, values: Values) -> None:
        if code == "G92":
            now = zip("XYZ", self._position, self._shift, self._offset, strict=True)
            # The offset grows by as much as the reading of the present position is to change.
            x, y, z = (
                offset + at - shift - values[letter] * self._scale if letter in values else offset
                for letter, at, shift, offset in now
            )
            self._offset = self._stored_offset = x, y, z
        elif code == "G92.3":
            self._offset = self._stored_offset
        else:
            self._offset = ORIGIN
            if code == "G92.1":
                self._stored_offset = ORIGIN
        self._set_shift()
        self._change(code)

    def _machine_zero(self) -> Point3:
        """Where the tip is, from the G54 zero, when the machine stands at its zero."""
        x, y, z = self.controller.origin("G54")
        return 0.0 - x, 0.0 - y, 0.0 - z - self._length

    def _go_home(self, code: str, values: Values) -> None:
        if values.keys() & {"X", "Y", "Z"}:
            self._record(RAPID, self._target(values, self._shift))
        self._change(code)
        home = self.controller.home1 if code == "G28" else self.controller.home2
        x, y, z = (a + b for a, b in zip(home, self._machine_zero(), strict=True))
        self._record(RAPID, (x, y, z))

    def _target(self, values: Values, zero: Point3) -> Point3:
        """The end point that the axis words of a line name; `zero` is that of its coordinates."""
        x, y, z = self._position
        base_x, base_y, base_z = self._position if self._incremental else zero
        scale = self._scale
        if "X" in values:
            x = values["X"] * scale + base_x
        if "Y" in values:
            y = values["Y"] * scale + base_y
        if "Z" in values:
            z = values["Z"] * scale + base_z
        return x, y, z

    def _move(self, motion: str, values: Values, in_machine: bool) -> None:
        target = self._target(values, self._machine_zero() if in_machine else self._shift)
        if motion == "G0":
            self._record(RAPID, target)
        elif motion == "G1":
            self._check_feed(motion)
            self._record(FEED, target)
        elif motion in ("G2", "G3"):
            self._check_feed(motion)
            self._arc(motion, values, target)
        else:
            self._cycle(motion, values, target)
        self._motion_mode = motion

    def _check_feed(self, motion: str) -> None:
        if self._feed == 0 and self._needs_feed:
            raise Fault("zero-feed", f"{motion} has a feed of 0; put for instance F600 before it.", motion)

    def _arc(self, motion: str, values: Values, target: Point3) -> None:
        axes = PLANE_AXES[self._plane]
        first, second, depth = ("XYZ"[axis] for axis in axes)
        circle = full_circle(values)
        # A full circle without any axis word is noted already.
        if first not in values and second not in values and (depth in values or not circle):
            fault = Fault("arc-end", f"The arc needs {first} or {second}, its end point in the plane.", motion)
            breach(fault, self._allowed if circle else None)
        offsets = {letter: values[letter] * self._scale for letter in "IJK" if letter in values}
        radius = values["R"] * self._scale if "R" in values else None
        tolerance = TOLERANCE_MM if self._scale == 1.0 else TOLERANCE_INCH
        centre, sweep = arc(motion == "G2", axes, self._position, target, offsets, radius, tolerance)
        self._record(ARC, target, centre, sweep)

    def _cycle(self, motion: str, values: Values, target: Point3) -> None:
        axes = PLANE_AXES[self._plane]
        normal = axes[2]
        depth = "XYZ"[normal]
        sticky = self._sticky if self._motion_mode == motion else {}
        sticky = sticky | {letter: values[letter] for letter in (depth, *"RPQ") if letter in values}
        extra = {"G82": ("P",), "G83": ("Q",)}.get(motion, ())
        for letter in (depth, "R", *extra):
            if letter not in sticky:
                # Without a time there is no dwell.
                breach(self._missing(motion, letter), self._allowed if letter == "P" else None)
                sticky["P"] = 0.0
        base = self._position[normal] if self._incremental else self._shift[normal]
        retract = base + sticky["R"] * self._scale
        bottom = (retract if self._incremental else base) + sticky[depth] * self._scale
        step = ORIGIN
        if self._incremental:
            x, y, z = (a - b for a, b in zip(target, self._position, strict=True))
            step = x, y, z
        spelled_out = holes(
            self._position,
            axes,
            target,
            step=step,
            retract=retract,
            bottom=bottom,
            back=self._back,
            repeats=round(values.get("L", 1.0)),
            seconds=sticky["P"] if motion == "G82" else None,
            peck=sticky["Q"] * self._scale if motion == "G83" else None,
            most=MOST_MOTIONS - self._spelled_out,
        )
        for kind, end, seconds in spelled_out:
            self._record(kind, end, cycle=int(motion[1:]), seconds=seconds)
            self._spelled_out += 1
        self._sticky = sticky

    def _missing(self, motion: str, letter: str) -> Fault:
        message = f"{motion} needs {letter} on its first line and after any other motion."
        return Fault("missing-word", message, motion)

    def _record(
        self,
        kind: int,
        end: Point3,
        centre: Point3 = ORIGIN,
        sweep: float = 0.0,
        cycle: int = 0,
        seconds: float = 0.0,
    ) -> None:
        self.table.add(
            kind,
            *self._position,
            *end,
            *centre,
            sweep,
            self._plane,
            self._feed * self._scale,
            self._spindle,
            self._speed,
            self._tool,
            cycle,
            seconds,
            self._line,
        )
        self._position = end
