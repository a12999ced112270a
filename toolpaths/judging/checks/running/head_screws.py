"""Does a program's own head list the screws that it is judged with? The person drives them where the head says."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import NamedTuple

from toolpaths.facts.head_lines import BOARD, SCREWS, SCREWS_BEGUN, whole_lines
from toolpaths.judging.checks.running.head_differs import differs, reads_like, units_in_mm
from toolpaths.judging.trial.case import Case
from toolpaths.judging.trial.findings import Finding


class _Screw(NamedTuple):
    """A screw as a head states it, in its units, from the program's zero."""

    x: float
    y: float
    across: float
    high: float
    driven: bool

    def __str__(self) -> str:
        driven = ", driven at a stop" if self.driven else ""
        return f"a screw {self.across:g} wide and {self.high:g} high at X{self.x:g} Y{self.y:g}{driven}"

    def is_like(self, other: _Screw, units: str) -> bool:
        return self.driven == other.driven and all(
            reads_like(a, b, units) for a, b in zip(self[:4], other[:4], strict=True)
        )


def head_screws(case: Case) -> Iterator[Finding]:
    """The head lists a screw that is not given, or leaves out one that is; listed twice it is one.

    Of a list that is cut short it cannot be told: where its lines were moved, places of another may be joined to it.
    """
    comments = case.program.comments
    boards = [(line, found["units"]) for line, text in comments if (found := BOARD.read(text))]
    if not boards:
        return
    line, units = boards[0]
    given, whole = _given(case, units), whole_lines(comments)
    listed = [(at, screw) for at, text in whole for screw in _listed(text)]
    extra = [(at, screw) for at, screw in listed if not any(screw.is_like(each, units) for each in given)]
    missing = [each for each in given if not any(each.is_like(screw, units) for _, screw in listed)]
    broken = [at for at, text in whole if SCREWS_BEGUN.read(text) and not SCREWS.read(text)]
    if broken and (extra or missing):
        text = "the list of screws in the program's head is cut short, and cannot be held against those given."
        yield replace(differs(broken[0], text), severity="doubt")
    elif extra:
        line, screw = extra[0]
        more = f", and {len(extra) - 1} more" if len(extra) > 1 else ""
        yield differs(line, f"by the program's head there is {screw}{more}, of the screws given none is.")
    elif missing:
        more = f", and {len(missing) - 1} more" if len(missing) > 1 else ""
        line = listed[0][0] if listed else line
        yield differs(line, f"{missing[0]}{more} is given, of which the program's head says nothing.")


def _given(case: Case, units: str) -> list[_Screw]:
    fixture, scale = case.fixture, units_in_mm(units)
    return [
        _Screw(
            (thing.x - fixture.zero[0]) * scale,
            (thing.y - fixture.zero[1]) * scale,
            2 * thing.radius * scale,
            thing.height * scale,
            bool(thing.driven_at),
        )
        for thing in fixture.standing()
        if thing.kind == "screw"
    ]


def _listed(text: str) -> Iterator[_Screw]:
    """The screws of one line of a head."""
    found = SCREWS.read(text)
    if found is None:
        return
    for place in found["places"].split(", "):
        x, y = place.split(" ")
        yield _Screw(float(x[1:]), float(y[1:]), float(found["across"]), float(found["high"]), bool(found["driven"]))
