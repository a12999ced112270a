"""What is wrong with a program: one Finding for each fault and culprit, repeats counted."""

from __future__ import annotations

from dataclasses import dataclass
from math import isfinite, nan
from typing import NamedTuple

import numpy as np

from toolpaths.base.checks import Floats
from toolpaths.base.values import Value
from toolpaths.judging.trial.codes import family
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
    line : of the text, from 1, where it is worst; 0 where there is no line
    place : (x, y, z) there, as the program counts, in mm; NaN where there is no such place
    amount, limit : what was measured there, and what would have been allowed, in mm unless the message
        says otherwise
    message : plain words
    times : how many motions do it
    lines : all lines on which it happens, in the order of the program
    consequences : the codes of findings that follow from this one and are left out
    operations : at whose lines it stands, where the program's own comments tell them
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
    consequences: tuple[str, ...] = ()
    operations: tuple[str, ...] = ()

    @property
    def first_line(self) -> int:
        """Where it happens first; 0 where there is no line."""
        return self.lines[0] if self.lines else self.line

    def __repr__(self) -> str:
        return f"<Finding: {self.severity}, {self.code}, {self._where()}>"

    def _where(self) -> str:
        return f"line {self.line}" if self.line else "whole program"

    def __str__(self) -> str:
        on = f"line{'s' if len(self.lines) > 1 else ''} {_some(self.lines)}"
        again = f" ({self.times} times, {on})" if self.times > 1 else ""
        known = [f"{axis}{round(at, 3) + 0.0:g}" for axis, at in zip("XYZ", self.place, strict=True) if isfinite(at)]
        named = ", ".join(operation for operation in self.operations if operation)
        where = self._where() + (f" ({named})" if named else "") + (", at " if known else "") + " ".join(known)
        return f"{self.severity}: {self.code}, {where}: {self.message}{again}{self._what_follows()}"

    def _what_follows(self) -> str:
        """How many of which findings are left out, as they follow from this one."""
        many = {code: self.consequences.count(code) for code in self.consequences}
        said = ", ".join(code if times == 1 else f"{times} x {code}" for code, times in many.items())
        return f" What follows from it is left out: {said}." if said else ""


def folded(
    code: str, severity: str, lines: Ints, places: Floats, amounts: Floats, limit: float, message: str
) -> Finding:
    """One finding from all the motions that share a fault and a culprit, in the order of the program.

    lines (n,), places (n, 3), amounts (n,), n at least 1. `{amount}` and `{over}` in the message
    become the worst amount and by how much it is past the limit.
    """
    off = np.abs(amounts - limit)
    # Of amounts that differ by rounding only the first counts.
    worst = int(np.argmax(off >= off.max() - ROUNDING)) if np.isfinite(off).all() else int(np.argmax(off))
    amount = float(amounts[worst])
    text = message.replace("{amount}", f"{amount:.2f}").replace("{over}", f"{abs(amount - limit):.2f}")
    x, y, z = places[worst].tolist()
    distinct = tuple(dict.fromkeys(lines.tolist()))
    return Finding(code, severity, int(lines[worst]), (x, y, z), amount, limit, text, len(lines), distinct)


def slip(amount: float, usual: float) -> str:
    """What to say of an amount that is far beyond all that is usual for it, mm."""
    return " So much is a decimal point lost, or other units." if amount > usual else ""


class Meeting(NamedTuple):
    """A move that met standing wood: the code of that, where on the board, and how much."""

    code: str
    move: int
    place: tuple[float, float, float]
    amount: float


def in_order(findings: list[Finding]) -> tuple[Finding, ...]:
    """Gravest first, of these causes first, and then as in the program."""
    return tuple(sorted(findings, key=lambda f: (*order_of(f), f.first_line, f.code, f.message)))


def order_of(finding: Finding) -> tuple[int, int]:
    """By which findings are ordered before all else: how grave it is, and how far from the cause."""
    return SEVERITIES.index(finding.severity), family(finding.code)


def _some(lines: tuple[int, ...]) -> str:
    shown = ", ".join(str(line) for line in lines[:6])
    return shown + (f" and {len(lines) - 6} more" if len(lines) > 6 else "")
