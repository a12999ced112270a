"""What the simulation found, as values, as a page for the terminal, and as JSON."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, fields
from math import isfinite
from textwrap import wrap
from typing import Any

from toolpaths.base.values import ShownInNotebooks, Value
from toolpaths.judging.trial.findings import Finding
from toolpaths.judging.trial.standing_tab import StandingTab
from toolpaths.judging.trial.work_times import WorkTime
from toolpaths.judging.wood.field import Wood

WIDTH = 100
# More findings than this are counted on the page, not shown; the value has them all.
_MOST_SHOWN = 20
# Characters.
_LONGEST_REPR = 100


class Judgement(Value, ShownInNotebooks):
    """Base of reports and studies. What was found, and how much of it, is no yes or no."""

    __slots__ = ()

    def __bool__(self) -> bool:
        raise TypeError(f"A {type(self).__name__} is neither true nor false; ask .ok")

    def as_dict(self) -> dict[str, Any]:
        """Plain values, as JSON has them: all lengths in mm, None for a number that is not finite."""
        raise NotImplementedError

    def json(self) -> str:
        """As JSON text; the wood is not in it."""
        from json import dumps

        return dumps(self.as_dict(), indent=2)


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class Report(Judgement):
    """The judgement of one program; iterating over it gives its findings.

    findings : gravest first, of these causes before what follows from them, then in the order of the program
    stock : the wood as it stands afterwards, both faces as arrays
    seconds : about how long the machine takes, dwells included. It knows the acceleration and the rapids of its
        axes, and how fast corners and curves can be taken (pace.py). It knows no stops for the operator, no changes
        of cutter, no spindle that is waited for without a G4, no limit of jerk, nor what G61 and G64 make of corners
    cutting_mm, rapid_mm : length of the way at feed and at rapid
    notes : what is worth knowing and no fault, for instance the tabs that hold
    not_judged : what nothing was known about
    times : seconds of each piece of work, by cutter and kind of motion, in the order of the program
    tabs : that stand when the program is done
    """

    findings: tuple[Finding, ...]
    stock: Wood
    seconds: float
    cutting_mm: float
    rapid_mm: float
    notes: tuple[str, ...] = ()
    not_judged: tuple[str, ...] = ()
    times: tuple[WorkTime, ...] = ()
    tabs: tuple[StandingTab, ...] = ()

    def __iter__(self) -> Iterator[Finding]:
        return iter(self.findings)

    def __len__(self) -> int:
        return len(self.findings)

    def __repr__(self) -> str:
        found = f"{counted(len(self))}: {', '.join(self.codes())}" if self.findings else "nothing found"
        return f"<Report: {shortened(found)}>"

    @property
    def ok(self) -> bool:
        """Whether nothing at all was found."""
        return not self.findings

    def codes(self) -> tuple[str, ...]:
        """The codes found, each once, gravest first."""
        return tuple(dict.fromkeys(finding.code for finding in self.findings))

    def summary(self) -> str:
        """How far, how long, how much, in a line."""
        return (
            f"{self.cutting_mm / 1000:.2f} m of cutting, {self.rapid_mm / 1000:.2f} m of rapids, "
            f"about {in_minutes(self.seconds)}; {self.stock.removed() / 1000:.1f} cm3 of the board are gone by then."
        )

    def as_dict(self) -> dict[str, Any]:
        return {
            "ok": self.ok,
            "findings": [finding_as_dict(finding) for finding in self.findings],
            "seconds": self.seconds,
            "cutting_mm": self.cutting_mm,
            "rapid_mm": self.rapid_mm,
            "removed_mm3": self.stock.removed(),
            "notes": list(self.notes),
            "not_judged": list(self.not_judged),
            "times": [each._asdict() for each in self.times],
            "tabs": [each._asdict() for each in self.tabs],
        }

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


def in_minutes(seconds: float) -> str:
    """ "0 min 07 s", "74 min 30 s"."""
    minutes, rest = divmod(round(seconds), 60)
    return f"{minutes} min {rest:02d} s"


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


def shortened(text: str) -> str:
    """What fits in a line with a word or two besides."""
    return text if len(text) <= _LONGEST_REPR else text[: _LONGEST_REPR - 4] + " ..."


def finding_as_dict(finding: Finding) -> dict[str, Any]:
    """A finding in plain values."""
    plain = {field.name: getattr(finding, field.name) for field in fields(finding)}
    plain["place"] = [_finite(value) for value in finding.place]
    plain["amount"], plain["limit"] = _finite(finding.amount), _finite(finding.limit)
    plain |= {name: list(getattr(finding, name)) for name in ("lines", "consequences", "operations")}
    return plain


def _finite(value: float) -> float | None:
    # A number given by the user may be numpy's.
    return float(value) if isfinite(value) else None
