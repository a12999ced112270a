"""A size as drawn, and how it depends on what may be off in a shop: linear in all of it, no approximation."""

from __future__ import annotations

from dataclasses import dataclass
from functools import partial
from typing import Literal, NamedTuple

from toolpaths.base.checks import instance, label, length, let_in, one_of
from toolpaths.base.errors import InputError
from toolpaths.base.values import in_a_line
from toolpaths.facts.cutter import Cutter

Axis = Literal["X", "Y"]
AXES: tuple[Axis, ...] = ("X", "Y")
Between = Literal["walls", "outsides"]
BETWEEN: tuple[Between, ...] = ("walls", "outsides")
SCALE_OF = {"X": "scale_x", "Y": "scale_y", "Z": "scale_z"}
# What may be off: the width that the cutter cuts over what is written, mm; axes, a share of each length; how much too
# high Z0 lies, mm; how far what is cut from the back lies to the right of the front's, and up, mm, and by which angle,
# in radians, it is turned anticlockwise about the middle of the board.
UNKNOWNS = ("wider", "scale_x", "scale_y", "scale_z", "zero_z", "back_x", "back_y", "back_turn")


class Measure(NamedTuple):
    """Something to measure.

    name : as readings are given by it
    how : with what, and where
    nominal : mm, where nothing is off
    changes : mm by which it changes with one of each unknown that changes it
    """

    name: str
    how: str
    nominal: float
    changes: dict[str, float]


@dataclass(frozen=True, repr=False)
class Size:
    """A size of a piece: between the walls of what is cut out, or over the outsides of what stays.

    name : for messages
    drawn : mm
    along : "X" or "Y" of the machine
    between : "walls" or "outsides"
    cutter : which cuts it, as it was written in the job

    >>> import toolpaths as tp
    >>> T1 = tp.Cutter(1, tp.flat(6), feed_mm_min=1500, spindle_rpm=18000)
    >>> tp.Size("mortise", 40, "X", "walls", T1)
    <Size: mortise, 40 between walls along X>

    Raises InputError for a size that this cutter does not make.
    """

    name: str
    drawn: float
    along: Axis
    between: Between
    cutter: Cutter

    def __post_init__(self) -> None:
        let_in(
            self, name=label, drawn=length, along=partial(one_of, choices=AXES),
            between=partial(one_of, choices=BETWEEN), cutter=partial(instance, kind=Cutter),
        )  # fmt: skip
        if self.between == "walls" and self.drawn < self.cutter.diameter:
            raise InputError(
                f"{self.name}: drawn={self.drawn:g} between walls is narrower than the cutter, "
                f"{self.cutter.diameter:g} mm."
            )

    def __repr__(self) -> str:
        return in_a_line(f"<Size: {self.name}, {self.drawn:g} {self._kind} along {self.along}>")

    @property
    def _kind(self) -> str:
        return "between walls" if self.between == "walls" else "over outsides"

    @property
    def measure(self) -> Measure:
        """How it depends on what is off.

        The cutter's axis goes round at half its written diameter off the walls, and the axes stretch that way; the
        walls lie half of its true width off it.
        """
        sign = 1.0 if self.between == "walls" else -1.0
        changes = {"wider": sign, SCALE_OF[self.along]: self.drawn - sign * self.cutter.diameter}
        return Measure(self.name, f"{self._kind}, along {self.along}", self.drawn, changes)
