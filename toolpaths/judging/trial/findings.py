"""What is wrong with a program: one Finding for each fault and culprit, repeats counted."""

from __future__ import annotations

from dataclasses import dataclass
from math import isfinite, nan
from typing import NamedTuple

import numpy as np

from toolpaths.base.checks import Floats
from toolpaths.base.values import Value
from toolpaths.judging.wood.sweep import Ints

# From what throws wood or breaks a cutter, through what spoils the board, to what may be meant.
SEVERITIES = ("danger", "damage", "doubt")

# mm; what rounding a program to three decimals can shift, and the standard's own allowance for arcs.
ROUNDING = 0.002

# mm, in height and sideways: a move that shaves less wood meets only what rounding, and cells that know no more
# than their centre's height, leave of a floor or wall cut before; it is also the library's usual tolerance.
SHAVING = 0.01

# The place of a finding that has none.
NOWHERE = (nan, nan, nan)


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class Finding(Value):
    """One fault, as in Report.findings.

    code : stable short name, for instance "rapid-in-wood"
    severity : "danger", "damage" or "doubt"
    line : of the text, from 1, where it happens first; 0 where there is no line
    place : (x, y, z) there, as the program counts, in mm; NaN where there is no such place
    amount, limit : the worst measured, and what would have been allowed, in mm unless the message
        says otherwise
    message : plain words
    times : how many motions do it
    lines : all lines on which it happens
    """

    code: str
    severity: str
    line: int
    place: tuple[float, float, float]
    amount: float
    limit: float
    message: str
    times: int = 1
    lines: tuple[int, ...] = ()

    def __repr__(self) -> str:
        return f"<Finding: {self.severity}, {self.code}, {self._where()}>"

    def _where(self) -> str:
        return f"line {self.line}" if self.line else "whole program"

    def __str__(self) -> str:
        on = f"line{'s' if len(self.lines) > 1 else ''} {_some(self.lines)}"
        again = f" ({self.times} times, {on})" if self.times > 1 else ""
        known = [f"{axis}{round(at, 3) + 0.0:g}" for axis, at in zip("XYZ", self.place, strict=True) if isfinite(at)]
        where = self._where() + (", at " if known else "") + " ".join(known)
        return f"{self.severity}: {self.code}, {where}: {self.message}{again}"


def folded(
    code: str, severity: str, lines: Ints, places: Floats, amounts: Floats, limit: float, message: str
) -> Finding:
    """One finding from all the motions that share a fault and a culprit, in the order of the program.

    lines (n,), places (n, 3), amounts (n,), n at least 1. `{amount}` and `{over}` in the message
    become the worst amount and by how much it is past the limit.
    """
    worst = int(np.argmax(np.abs(amounts - limit)))
    amount = float(amounts[worst])
    text = message.replace("{amount}", f"{amount:.2f}").replace("{over}", f"{abs(amount - limit):.2f}")
    if lines[worst] != lines[0]:
        text += f" Worst on line {lines[worst]}."
    x, y, z = places[0].tolist()
    distinct = tuple(dict.fromkeys(lines.tolist()))
    return Finding(code, severity, int(lines[0]), (x, y, z), amount, limit, text, len(lines), distinct)


class Meeting(NamedTuple):
    """A move that met standing wood: the code of that, where on the board, and how much."""

    code: str
    move: int
    place: tuple[float, float, float]
    amount: float


def in_order(findings: list[Finding]) -> tuple[Finding, ...]:
    """Gravest first, then as in the program."""
    return tuple(sorted(findings, key=lambda f: (SEVERITIES.index(f.severity), f.line, f.code, f.message)))


def _some(lines: tuple[int, ...]) -> str:
    shown = ", ".join(str(line) for line in lines[:6])
    return shown + (f" and {len(lines) - 6} more" if len(lines) > 6 else "")
