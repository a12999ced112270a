"""What the simulation found, as values, as a page for the terminal, and as JSON."""

from __future__ import annotations

import json
from collections.abc import Iterable
from dataclasses import dataclass
from math import isfinite
from textwrap import wrap
from typing import Any

from toolpaths.judging.trial.findings import Finding
from toolpaths.judging.wood.field import Stock

WIDTH = 100
# More findings than this are counted on the page, not shown; the value has them all.
_MOST_SHOWN = 20


@dataclass(frozen=True, slots=True, eq=False)
class Report:
    """The judgement of one program.

    findings : gravest first, then in the order of the program
    stock : the wood as it stands afterwards, both faces as arrays
    seconds : about how long the machine takes, dwells included. It knows the acceleration and the rapids of its
        axes, and how fast corners and curves can be taken (pace.py). It knows no stops for the operator, no changes
        of cutter, no spindle that is waited for without a G4, no limit of jerk, nor what G61 and G64 make of corners
    cutting_mm, rapid_mm : length of the way at feed and at rapid
    notes : what is worth knowing and no fault, for instance the tabs that hold
    not_judged : what nothing was known about
    """

    findings: tuple[Finding, ...]
    stock: Stock
    seconds: float
    cutting_mm: float
    rapid_mm: float
    notes: tuple[str, ...] = ()
    not_judged: tuple[str, ...] = ()

    @property
    def ok(self) -> bool:
        """Whether nothing at all was found."""
        return not self.findings

    def codes(self) -> tuple[str, ...]:
        """The codes found, each once, gravest first."""
        return tuple(dict.fromkeys(finding.code for finding in self.findings))

    def summary(self) -> str:
        """How far, how long, how much, in a line."""
        minutes, seconds = divmod(round(self.seconds), 60)
        return (
            f"{self.cutting_mm / 1000:.2f} m of cutting, {self.rapid_mm / 1000:.2f} m of rapids, "
            f"about {minutes} min {seconds:02d} s; {self.stock.removed() / 1000:.1f} cm3 of the board are gone."
        )

    def as_dict(self) -> dict[str, Any]:
        """Plain values, as JSON has them: all lengths in mm, None for a number that is not finite."""
        return {
            "ok": self.ok,
            "findings": [finding_as_dict(finding) for finding in self.findings],
            "seconds": self.seconds,
            "cutting_mm": self.cutting_mm,
            "rapid_mm": self.rapid_mm,
            "removed_mm3": self.stock.removed(),
            "notes": list(self.notes),
            "not_judged": list(self.not_judged),
        }

    def json(self) -> str:
        """The report as JSON text; the wood is not in it."""
        return json.dumps(self.as_dict(), indent=2)

    def __str__(self) -> str:
        lines = ["Nothing found against the program."]
        if self.findings:
            lines = [counted(len(self.findings)) + ":", *listed(self.findings)]
        lines.append(self.summary())
        for note in self.notes:
            lines += wrap(f"Note: {note}", WIDTH, subsequent_indent="      ")
        if self.not_judged:
            lines += wrap(f"Not judged: {', '.join(self.not_judged)}.", WIDTH, subsequent_indent="      ")
        return "\n".join(lines)


def counted(number: int) -> str:
    """ "1 finding", "7 findings"."""
    return f"{number} finding{'s' if number > 1 else ''}"


def listed(findings: Iterable[object]) -> list[str]:
    """Findings as lines of a page, the gravest of them where there are many."""
    every = list(findings)
    lines = [
        line
        for finding in every[:_MOST_SHOWN]
        for line in wrap(str(finding), WIDTH, initial_indent="  ", subsequent_indent="      ")
    ]
    if len(every) > _MOST_SHOWN:
        lines.append(f"  and {len(every) - _MOST_SHOWN} more, all of them in .findings")
    return lines


def finding_as_dict(finding: Finding) -> dict[str, Any]:
    """A finding in plain values."""
    plain = finding._asdict()
    plain["place"] = [_finite(value) for value in finding.place]
    plain["amount"], plain["limit"] = _finite(finding.amount), _finite(finding.limit)
    plain["lines"] = list(finding.lines)
    return plain


def _finite(value: float) -> float | None:
    # A number given by the user may be numpy's.
    return float(value) if isfinite(value) else None
