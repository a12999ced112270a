"""Reading on after a line that breaks a rule: what is not known then, and what becomes known again.

A bad line does nothing, and the axes that it seems to name are lost: where they stand is not known.
No motion is recorded until all of them have been named again, in G90, since its path would be a guess;
of the motion that names the last of them only its end is recorded, as a motion from there to there.
Only a rise is recorded meanwhile, straight up from the last known place, since it tells how high the
cutter stands wherever it is, and cuts nothing.
"""

from __future__ import annotations

from math import nan
from typing import Any

from toolpaths.facts.language import ARCS, CYCLES, PLANE_AXES, UNREAD
from toolpaths.judging.reader.arc_geometry import Point3
from toolpaths.judging.reader.controller import Controller
from toolpaths.judging.reader.interpret import Interpreter
from toolpaths.judging.reader.motions import FEED, RAPID
from toolpaths.judging.reader.salvage import salvage
from toolpaths.judging.reader.statement import Values
from toolpaths.judging.reader.tokens import Fault


class Forgiving(Interpreter):
    """An interpreter that goes on after a fault, and allows what many controllers allow; a feed of 0 is recorded, to
    be judged from the motions."""

    _needs_feed = False

    def __init__(self, start: Point3, controller: Controller) -> None:
        super().__init__(start, controller)
        self._unplaced: Fault | None = None
        # The last known place, with Z as far as the cutter has risen since; of use only where something is lost.
        self._seen = start

    def attempt(self, number: int, line: str) -> Fault | None:
        self._allowed = []
        before, motions = self.__dict__.copy(), len(self.table)
        kept = [(grown, len(grown)) for grown in self._grown()]
        fault = super().attempt(number, line)
        if fault is None:
            fault, self._unplaced = self._unplaced, None
            return fault
        self.__dict__.update(before)
        self.table.cut(motions)
        for grown, length in kept:
            del grown[length:]
        self._allowed = []
        self._line = number
        self._skip(line)
        return fault

    def _grown(self) -> tuple[list[Any], ...]:
        return self.events, self.comments, self.changes, self.resumed

    def _skip(self, line: str) -> None:
        remains = salvage(line, self._motion_mode)
        for code in remains.codes.values():
            if code != UNREAD:
                self.codes.setdefault(code, self._line)
        motion = remains.codes.pop("motion", self._motion_mode)
        self._set_modes(remains.codes, {})
        self._feed = remains.values.get("F", self._feed)
        lost = remains.lost
        depth = "XYZ"[PLANE_AXES[self._plane][2]]
        if motion in CYCLES:
            kept = self._sticky if motion == self._motion_mode else {}
            self._sticky = kept | {w: remains.values[w] for w in (depth, *"RPQ") if w in remains.values}
            if self._back:
                # A cycle ends where it began.
                lost -= {depth}
        self._motion_mode = motion
        if not self.lost:
            self._seen = self._position
        self.lost |= lost
        self.ended = remains.ends

    def _place(self) -> Point3:
        x, y, z = (nan if letter in self.lost else at for letter, at in zip("XYZ", self._position))
        return x, y, z

    def _move(self, motion: str, values: Values, in_machine: bool) -> None:
        if self.lost:
            if in_machine:
                # Where the machine's zero lies may not be known either.
                self.lost |= values.keys() & set("XYZ")
            named = self.lost & values.keys() if not (in_machine or self._incremental) else frozenset()
            target = self._target(values, self._machine_zero() if in_machine else self._shift)
            if motion in ARCS and self._begins_unknown(named):
                self._unplaced = Fault("place-lost", _ARC, motion)
                self._motion_mode = motion
                self._settle(self.lost - named, target)
                return
            if motion in CYCLES:
                self._lost_cycle(motion, values, named, target)
                return
            if named == self.lost:
                self._motion_mode = motion
                self._settle(frozenset(), target, RAPID if motion == "G0" else FEED)
                return
            self.lost -= named
        super()._move(motion, values, in_machine)

    def _settle(self, lost: frozenset[str], place: Point3, kind: int = FEED) -> None:
        """The tip stands there; the motion says so, if all of the place is known."""
        self.lost, self._position = lost, place
        if not lost:
            self.resumed.append(len(self.table))
            self._record(kind, place)

    def _begins_unknown(self, named: frozenset[str]) -> bool:
        first, second, normal = ("XYZ"[axis] for axis in PLANE_AXES[self._plane])
        return first in self.lost or second in self.lost or normal in named

    def _lost_cycle(self, motion: str, values: Values, named: frozenset[str], target: Point3) -> None:
        """The hole is where it is wherever the cutter comes from, but not how high it comes back (G98)."""
        depth = PLANE_AXES[self._plane][2]
        lost = self.lost - (named - {"XYZ"[depth]})
        if not lost:
            here = list(target)
            here[depth] = self._position[depth]
            self.lost, self._position = lost, (here[0], here[1], here[2])
            self.resumed.append(len(self.table))
            super()._move(motion, values, False)
            return
        # Run, but not recorded, since something is lost.
        super()._move(motion, values, False)
        self._unplaced = Fault("place-lost", _CYCLE, motion)
        if not (self._back or self._incremental):
            lost -= {"XYZ"[depth]}
        self._settle(lost, self._position, RAPID)

    def _go_home(self, code: str, values: Values) -> None:
        if self.lost:
            self.lost = frozenset("XYZ")
        super()._go_home(code, values)

    def _set_offset(self, code: str, values: Values) -> None:
        if code == "G92" and self.lost & values.keys():
            raise Fault("zero-lost", _ZERO, "G92")
        super()._set_offset(code, values)

    def _record(self, kind: int, end: Point3, *rest: Any, **more: Any) -> None:
        if not self.lost:
            super()._record(kind, end, *rest, **more)
            return
        x, y, z = self._seen
        if "Z" not in self.lost and end[2] > z:
            self._position = self._seen
            super()._record(RAPID, (x, y, end[2]))
            self._seen = self._position
        self._position = end


_ARC = "The arc begins at a place that an earlier line, which could not be read, should have named."
_CYCLE = "The cycle begins at a place or height that an earlier line, which could not be read, should have named."
_ZERO = "G92 gives a new name to a place that an earlier line, which could not be read, should have named."
