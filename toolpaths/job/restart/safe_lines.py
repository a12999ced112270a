"""At which lines a program can be begun again.

Where the cutter stands in the air, at the height of crossings or above, it can be brought there again; and where a
level cut begins or goes on, it can be let down where it has cut itself. All else is refused: what was begun there hangs
on a motion that is not made again (common practice: start of a pass, or of a way up, across and down again).
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from toolpaths.base.checks import Floats
from toolpaths.base.errors import InputError
from toolpaths.job.restart.job_program import JobProgram
from toolpaths.judging.reader.motions import ARC, DWELL, RAPID, Ints
from toolpaths.judging.reader.plain_lines import Flags
from toolpaths.making.plan.steps import Step

# mm; half of a digit as printed in inches, and more than places are rounded by.
_ROUNDING = 2e-4
# mm of a level cut that are gone over once more, so that nothing stands at the joint (common practice: a few).
_OVERLAP = 3.0


@dataclass(frozen=True, eq=False)
class SafeLines:
    """The lines of a program, and whether it can be begun again there."""

    of: JobProgram

    def check(self, line: int) -> None:
        """Raises InputError where a line is none to begin at, which names the nearest that are."""
        name, count = self.of.name, len(self.of.lines)
        if line > count:
            raise InputError(f"line={line} is beyond the end of {name}, which has {count} lines.")
        if line < self._head_end:
            raise InputError(
                f"Line {line} of {name} is in its head, which ends on line {self._head_end - 1}: nothing is done there "
                "yet. Run the program from its beginning."
            )
        why = self.why_not(line)
        if why:
            raise InputError(f"{name} cannot be begun again at line {line}, {self.of.lines[line - 1]!r}: {why}"
                             f"{self._nearest(line)}")  # fmt: skip

    def why_not(self, line: int) -> str:
        """What keeps a program from being begun again at a line, in a sentence; "" where nothing does."""
        of = self.of
        if line <= self._first_cut_line:
            return "nothing is cut before it, so the program is run from its beginning."
        if not of.next_cut_line(line):
            return "nothing is left to be cut."
        if line in self._within_stop:
            return "the message of this stop stands on the line before."
        following = of.first_motion(line)
        if self._clear[following - 1]:
            return "it is in a drilled hole, between two pecks." if self._peck(following) else ""
        if self._retract(following):
            return "it is in a drilled hole, between two pecks." if self._peck(following + 1) else ""
        return self._low(following)

    def entry(self, line: int) -> int:
        """Where the text that goes on begins to repeat the program: the line itself, or one before it from which on the
        cut is level."""
        following = self.of.first_motion(line)
        motions, begin, length = self.of.motions, following, 0.0
        if not self.enters_wood(line):
            return line
        while self._level_cut(begin - 1) and (length < _OVERLAP or self._same_arc(begin)):
            begin -= 1
            length += self._lengths[begin]
        return line if begin == following else int(motions.line[begin])

    def enters_wood(self, line: int) -> bool:
        """Whether the cutter is let down there into the way that it has cut."""
        following = self.of.first_motion(line)
        return not self._clear[following - 1] and not self._retract(following)

    def _low(self, following: int) -> str:
        """As `why_not`, where the cutter stands below the height of crossings before a motion."""
        kind, rise = self.of.motions.kind, self._rise
        before = following - 1
        if kind[before] == RAPID:
            return "it is between a rapid and the way into the wood."
        if self._under_shoulders(following):
            return "the head of its cutter is under the wood there, and can only be let in at its entry hole."
        if kind[following] == DWELL or kind[before] == DWELL:
            return "it is at the bottom of a drilled hole."
        if kind[following] == RAPID:
            return "the cutter crosses there below the height of crossings."
        if self._lifted(before):
            return "the cut is lifted there, as over a tab."
        if rise[before] < 0 and rise[following] < 0:
            return "it is on the way down into the wood."
        if rise[before] > 0:
            return "it is on the way up out of the wood."
        return "it is in the middle of an arc." if self._same_arc(following) else ""

    def _under_shoulders(self, following: int) -> bool:
        """Whether the motion is one of a cutter whose way up and down is its entry hole alone."""
        cut_line = self.of.next_cut_line(int(self.of.motions.line[following]))
        step = self.of.setup.steps[self.of.section_at(cut_line).step] if cut_line else None
        return isinstance(step, Step) and step.path.cutter.profile.kind == "undercut"

    def _lifted(self, before: int) -> bool:
        """Whether a cut has risen, and not gone on level since it came down again."""
        last = int(self._last_change[before])
        if last == before:
            # Down again, over one motion or several.
            while last >= 0 and self._rise[last] < 0 and self.of.motions.kind[last] != RAPID:
                last -= 1
            last = int(self._last_change[last]) if last >= 0 else -1
        return last >= 0 and self._rise[last] > 0 and self.of.motions.kind[last] != RAPID and last != before

    def _peck(self, following: int) -> bool:
        """Whether a rapid straight up is followed by one straight down."""
        straight, rise, kind = self._straight, self._rise, self.of.motions.kind
        if not 0 < following < len(kind):
            return False
        up, down = following - 1, following
        return bool(
            kind[up] == kind[down] == RAPID and straight[up] and straight[down] and rise[up] > 0 and rise[down] < 0
        )

    def _retract(self, following: int) -> bool:
        """Whether a motion is a rapid straight up, to the height of crossings at least."""
        return bool(
            self.of.motions.kind[following] == RAPID
            and self._straight[following]
            and self._rise[following] > 0
            and self._clear[following]
        )

    def _level_cut(self, motion: int) -> bool:
        return self.of.motions.kind[motion] not in (RAPID, DWELL) and self._rise[motion] == 0

    def _same_arc(self, following: int) -> bool:
        """Whether a motion goes on with the arc of the one before it."""
        motions, before = self.of.motions, following - 1
        return bool(
            motions.kind[before] == motions.kind[following] == ARC
            and np.abs(motions.centre[before, :2] - motions.centre[following, :2]).max() < 10 * _ROUNDING
        )

    def _nearest(self, line: int) -> str:
        """The nearest lines before and after that are safe, in words."""
        before = next((n for n in range(line - 1, self._first_cut_line, -1) if not self.why_not(n)), 0)
        after = next((n for n in range(line + 1, len(self.of.lines) + 1) if not self.why_not(n)), 0)
        if not before and not after:
            return " No other line is safe; run the program from its beginning."
        words = " and ".join(
            f"{n} {where}" for n, where in ((before, "before it"), (after, "after it, if all before that was cut")) if n
        )
        return f" The nearest line{'s' if before and after else ''} to begin at: {words}."

    @cached_property
    def _head_end(self) -> int:
        """The first line that moves something."""
        return int(self.of.motions.line[0])

    @cached_property
    def _first_cut_line(self) -> int:
        return self.of.next_cut_line(1)

    @cached_property
    def _within_stop(self) -> frozenset[int]:
        """Lines of stops whose message stands on an earlier line."""
        messages = {event.line for event in self.of.program.events if event.code == "MSG"}
        return frozenset(line + 1 for line in messages)

    @cached_property
    def _rise(self) -> Floats:
        """(n,) mm that each motion goes up; 0 where it is level."""
        rise = self.of.motions.end[:, 2] - self.of.motions.start[:, 2]
        return np.asarray(np.where(np.abs(rise) < _ROUNDING, 0.0, rise))

    @cached_property
    def _straight(self) -> Flags:
        """(n,) whether each motion goes straight up or down."""
        across = np.abs(self.of.motions.end - self.of.motions.start)[:, :2].max(axis=1)
        return np.asarray((across < _ROUNDING) & (self.of.motions.kind != ARC))

    @cached_property
    def _clear(self) -> Flags:
        """(n,) whether the cutter is at the height of crossings or above at the end of each motion."""
        fixture = self.of.setup.fixture
        return np.asarray(self.of.motions.end[:, 2] + fixture.zero[2] > fixture.link_z - _ROUNDING)

    @cached_property
    def _last_change(self) -> Ints:
        """(n,) the last motion up to each that is not level; -1 for none."""
        return np.maximum.accumulate(np.where(self._rise != 0, np.arange(len(self._rise)), -1))

    @cached_property
    def _lengths(self) -> Floats:
        """(n,) mm in the plane, of arcs along them."""
        motions = self.of.motions
        radius = np.hypot(*(motions.start - motions.centre)[:, :2].T)
        chord = np.hypot(*(motions.end - motions.start)[:, :2].T)
        return np.asarray(np.where(motions.kind == ARC, np.abs(motions.sweep) * radius, chord))
