"""The machine: how far and fast it goes, and which codes its controller understands."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import partial
from typing import Any

from toolpaths.base.checks import between, distance, flag, label, let_in, not_negative, numbers, positive, shown
from toolpaths.base.errors import InputError
from toolpaths.base.values import in_a_line
from toolpaths.facts import language

CYCLES = frozenset(language.CYCLES)
ARCS = frozenset(language.ARCS)
# What every program written here uses.
PLAIN_CODES = frozenset(
    {"G0", "G1", "G4", "G17", "G20", "G21", "G40", "G49", "G54", "G80", "G90", "G94"} | {"M0", "M3", "M5", "M30"}
)
# Everything that the reader takes, the few that the writer may use among it. A controller that lacks some says so in
# `codes`.
ALL_CODES = frozenset(language.GROUP_OF)


# No axis goes slower, nor faster, mm/min and mm/s2.
_rate = partial(between, low=1.0, high=1e6)


def _codes(name: str, given: Any) -> frozenset[str]:
    """The words that a controller understands."""
    if not isinstance(given, (set, frozenset, list, tuple)) or not all(isinstance(word, str) for word in given):
        raise InputError(f"{name} must be a set of words, for instance ALL_CODES - CYCLES, not {shown(given)}.")
    if missing := PLAIN_CODES - frozenset(given):
        raise InputError(f"{name} lacks {', '.join(sorted(missing))}, without which no program is written.")
    return frozenset(given)


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class Machine:
    """A three-axis router. The defaults are those of a small hobby machine: enter your own.

    travel : (x, y, z) in mm, the way each axis can go
    rapid_mm_min : of each axis in a rapid move, its fastest
    acceleration_mm_s2 : of each axis
    spindle_rpm : (slowest, fastest)
    spin_up_s : seconds from the start of the spindle until it may meet the wood (1 s: common practice, no source)
    change_s, stop_s : seconds that you take to change a cutter and set its Z zero, and for a stop; 0: not known, and
        not counted
    rigid : whether frame, spindle and hold-down are as stiff as makers' charts take for granted; what feeds
        and depths are suggested by. A small belt- or screw-driven router is not
    corner_rounding : mm by which the controller may cut a corner short to keep its speed; at 0 it stops at every one
        (0.05: common practice, no source)
    codes : words the controller understands, for instance ALL_CODES - CYCLES
    """

    name: str = "small router"
    travel: tuple[float, float, float] = (750.0, 450.0, 90.0)
    rapid_mm_min: float = 5000.0
    acceleration_mm_s2: float = 500.0
    spindle_rpm: tuple[float, float] = (6000.0, 24000.0)
    spin_up_s: float = 1.0
    change_s: float = 0.0
    stop_s: float = 0.0
    rigid: bool = False
    corner_rounding: float = 0.05
    codes: frozenset[str] = field(default=ALL_CODES)

    def __post_init__(self) -> None:
        let_in(
            self, name=label, travel=partial(numbers, words="x y z"), rapid_mm_min=_rate,
            acceleration_mm_s2=_rate, spindle_rpm=partial(numbers, words="slowest fastest"),
            spin_up_s=not_negative, change_s=not_negative,
            stop_s=not_negative, rigid=flag, corner_rounding=distance, codes=_codes,
        )  # fmt: skip
        for axis, long in zip("xyz", self.travel, strict=True):
            positive(f"travel {axis}", long)
        low, high = (positive("spindle_rpm", rpm) for rpm in self.spindle_rpm)
        if low > high:
            raise InputError(f"spindle_rpm={self.spindle_rpm} must be (slowest, fastest).")

    def __repr__(self) -> str:
        slowest, fastest = self.spindle_rpm
        return in_a_line(f"<Machine: {self.name}, {slowest:g} to {fastest:g} rpm, {self.rapid_mm_min:g} mm/min>")
