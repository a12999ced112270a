"""What a study found, as values, as a page for the terminal, and as plain values for JSON."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from textwrap import wrap
from typing import Any, NamedTuple

from toolpaths.judging.report import WIDTH, Judgement, counted
from toolpaths.judging.study.corners import Corner

# mm; what shows as nothing in the two decimals that are printed.
NOTHING = 0.005


class Requirement(NamedTuple):
    """Something the job has to keep to, over all corners.

    text : in plain words
    margin : mm to spare at the worst corner, negative where it fails there; None where nothing is required
    low, high : mm, the least and the greatest value of what is measured
    corner : what is off where it is worst; "" where that changes nothing
    """

    text: str
    margin: float | None
    low: float
    high: float
    corner: str

    @property
    def ok(self) -> bool:
        return self.margin is None or self.margin >= -NOTHING


class NewFinding(NamedTuple):
    """A kind of finding that the nominal job has not: its code, the program, the message and the corner."""

    code: str
    side: str
    message: str
    corner: str


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class Study(Judgement):
    """What happens to a job within ranges of what may be off; iterating over it gives its requirements.

    ranges : half ranges, mm and degrees; see Corner
    corners : how many combinations of their extremes were judged
    requirements : those that fail first, then by what they have to spare
    findings : kinds of findings that come up at some corner and not in the nominal job
    notes : what else to know
    """

    ranges: Corner
    corners: int
    requirements: tuple[Requirement, ...]
    findings: tuple[NewFinding, ...]
    notes: tuple[str, ...]

    def __iter__(self) -> Iterator[Requirement]:
        return iter(self.requirements)

    def __len__(self) -> int:
        return len(self.requirements)

    def __repr__(self) -> str:
        failing = sum(not requirement.ok for requirement in self.requirements)
        held = f"{failing} of {len(self)} requirements fail" if failing else f"all {len(self)} requirements hold"
        new = counted(len(self.findings)) if self.findings else "nothing new found"
        return f"<Study: {self.corners} corner{'s' if self.corners > 1 else ''}, {held}, {new}>"

    @property
    def ok(self) -> bool:
        """Whether every requirement holds at every corner, and nothing new is found at any."""
        return not self.findings and all(requirement.ok for requirement in self.requirements)

    def __str__(self) -> str:
        off = {name: value for name, value in self.ranges._asdict().items() if value}
        ranges = ", ".join(f"{name} {'' if name == 'dowel_clearance' else '+-'}{off[name]:g}" for name in off)
        units = "mm, degrees" if self.ranges.flip_angle_deg else "mm"
        number = f"{self.corners} combination{'s of extremes' if self.corners > 1 else ''}"
        lines = wrap(f"Tolerance study, {number}: {ranges or 'nothing is off'} ({units}).", WIDTH)
        for requirement in self.requirements:
            mark = "      " if requirement.margin is None else "holds " if requirement.ok else "FAILS "
            worst = f" (worst with {requirement.corner})" if requirement.corner else ""
            lines += wrap(mark + requirement.text + worst, WIDTH, initial_indent="  ", subsequent_indent="          ")
        for found in self.findings:
            text = f"FOUND {found.side + ': ' if found.side else ''}{found.code} with {found.corner}: {found.message}"
            lines += wrap(text, WIDTH, initial_indent="  ", subsequent_indent="          ")
        for note in self.notes:
            lines += wrap(f"Note: {note}", WIDTH, subsequent_indent="      ")
        return "\n".join(lines)

    def as_dict(self) -> dict[str, Any]:
        return {
            "ranges": self.ranges._asdict(),
            "corners": self.corners,
            "ok": self.ok,
            "requirements": [{**r._asdict(), "ok": r.ok} for r in self.requirements],
            "findings": [found._asdict() for found in self.findings],
            "notes": list(self.notes),
        }
