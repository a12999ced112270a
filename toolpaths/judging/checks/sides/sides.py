"""Facts that have to be the same on both sides of the board, told by two fixtures."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

import numpy as np

from toolpaths.facts.board import Dowel
from toolpaths.facts.fixture import Fixture
from toolpaths.facts.head_lines import IN_SET
from toolpaths.facts.turning import turned_corner
from toolpaths.judging.runs import Run
from toolpaths.judging.trial.findings import NOWHERE, Finding
from toolpaths.judging.wood.moves import X1, Y1

# mm; what is entered once and copied is the same to the last digit, what is worked out nearly so.
_SAME = 0.01


class SideFinding(NamedTuple):
    """A finding and the program it belongs to: "front", "back, program 2", or "" for the job as a whole."""

    side: str
    finding: Finding

    def __str__(self) -> str:
        if self.side:
            return f"{self.side}: {self.finding}"
        return f"{self.finding.severity}: {self.finding.code}: {self.finding.message}"


def sides_differ(runs: tuple[Run, ...]) -> Iterator[SideFinding]:
    """Front and back are given other dowels, another board, another zero, nothing turns the board over, or their
    programs were not written together."""
    fixtures = [run.setting.given for run in runs]
    first = fixtures[0]
    told: list[Fixture] = [first]
    for fixture in fixtures[1:]:
        if any(fixture is other or fixture == other for other in told):
            continue
        told.append(fixture)
        yield from _boards(first, fixture)
        if fixture.turned != first.turned:
            yield from _dowels(first, fixture)
            yield from _zeros(first, fixture)
    yield from _never_turned(runs)
    yield from _back_first(runs)
    yield from _mixed_sets(runs)


def _boards(first: Fixture, other: Fixture) -> Iterator[SideFinding]:
    for side, what in (("thickness", "thick"), ("width", "wide"), ("height", "high")):
        a, b = getattr(first.board, side), getattr(other.board, side)
        if a != b:
            yield _found(
                "sides-differ", "danger", b, a,
                f"the board is {a:g} mm {what} for the {first.side} and {b:g} mm for the {other.side}; it is one "
                f"board: measure it once and use that for both. Judged as {a:g} mm.",
            )  # fmt: skip


def _dowels(first: Fixture, other: Fixture) -> Iterator[SideFinding]:
    if first.dowels and not other.dowels:
        yield _found(
            "sides-differ", "doubt", 0.0, float(len(first.dowels)),
            f"the {first.side} has {len(first.dowels)} dowels and the {other.side} none; if the board is not laid "
            "on them, say where it is laid, else give both sides the same dowels.",
        )  # fmt: skip
        return
    for mine, theirs, who, whose in (
        (other.dowels, first.dowels, other, first),
        (first.dowels, other.dowels, first, other),
    ):
        for dowel in mine:
            near = min(theirs, key=lambda d: _apart(d, dowel), default=None)
            if near is None or _apart(near, dowel) > _SAME:
                away = "" if near is None else f"; the nearest there is {_apart(near, dowel):.2f} mm away"
                yield _found(
                    "sides-differ", "danger", 0.0 if near is None else _apart(near, dowel), _SAME,
                    f"the {who.side} has a dowel at X{dowel.x:g} Y{dowel.y:g} (seen from the front), the {whose.side} "
                    f"has none there{away}. Give both sides the same dowels.",
                    (dowel.x, dowel.y, 0.0),
                )  # fmt: skip
            elif who is other and near.diameter != dowel.diameter:
                yield _found(
                    "sides-differ", "danger", dowel.diameter, near.diameter,
                    f"the dowel at X{dowel.x:g} Y{dowel.y:g} (seen from the front) is {near.diameter:g} mm thick for "
                    f"the {first.side} and {dowel.diameter:g} mm for the {other.side}. Give both the same dowels.",
                    (dowel.x, dowel.y, 0.0),
                )  # fmt: skip


def _zeros(first: Fixture, other: Fixture) -> Iterator[SideFinding]:
    if first.zero_on != other.zero_on:
        yield _found(
            "sides-differ", "doubt", 0.0, 0.0,
            f"Z0 is the {_surface(first)} for the {first.side} and the {_surface(other)} for the {other.side}; "
            "set it on the same surface for both, or be sure that each is set as its program says.",
        )  # fmt: skip
    same_wood = turned_corner(first.zero_at, first.turned or other.turned)
    if other.zero_at not in (first.zero_at, same_wood):
        yield _found(
            "sides-differ", "doubt", 0.0, 0.0,
            f"X0 Y0 is the {_corner(first)} of the board for the {first.side} and the {_corner(other)} for the "
            f"{other.side}, each as the board then lies: neither the same place on the machine nor the same corner "
            f"of the wood. The {_corner(first)} would be usual, or the {same_wood} corner.",
        )  # fmt: skip


def _never_turned(runs: tuple[Run, ...]) -> Iterator[SideFinding]:
    """Several sides, all cut with the board lying the same way; several programs of one side are one entry."""
    first, entries = runs[0].setting.given, runs[-1].setting.entry + 1
    if entries == 1 or any(run.setting.given.turned != first.turned for run in runs):
        return
    if first.turned:
        yield _found(
            "sides-differ", "doubt", 0.0, 0.0,
            f"all {entries} sides are cut with the board turned over {first.turned}, none on its front; give the "
            "front its own fixture, which is not turned. Several programs of one side are listed under one fixture.",
        )  # fmt: skip
    elif any(run.setting.given.dowels for run in runs):
        yield _found(
            "sides-differ", "doubt", 0.0, 0.0,
            f"there are dowels, but all {entries} sides are cut with the front up; make the fixture of the back with "
            'turned_over("left to right") or the like. Several programs of one side are listed under one fixture.',
        )  # fmt: skip


def _back_first(runs: tuple[Run, ...]) -> Iterator[SideFinding]:
    """The back is run before the front, although the front bores the holes of the pins on which the back lies."""
    front = next((run for run in runs if not run.setting.given.turned), None)
    if front is None or not runs[0].setting.given.turned or not runs[0].setting.given.dowels:
        return
    case = front.case
    low = case.low < -case.fixture.board.thickness
    for dowel in case.fixture.dowels:
        near = low & (np.hypot(case.table[X1] - dowel.x, case.table[Y1] - dowel.y) < dowel.diameter / 2)
        if near.any():
            yield _found(
                "sides-differ", "danger", 0.0, 0.0,
                f"the back comes first, but lies on pins whose holes the {front.setting.name} bores later; list the "
                "sides in the order in which they are run.",
                (dowel.x, dowel.y, 0.0),
            )  # fmt: skip
            return


def _mixed_sets(runs: tuple[Run, ...]) -> Iterator[SideFinding]:
    """Heads that name other sets: programs that were not written together, such as an old back with a new front."""
    named = [
        (run.setting.name, line, found["identity"])
        for run in runs
        for line, text in run.setting.program.comments
        if (found := IN_SET.read(text))
    ]
    for name, line, identity in named:
        first, _, expected = named[0]
        if identity != expected:
            yield SideFinding(name, Finding(
                "sides-differ", "danger", line, NOWHERE, 0.0, 0.0,
                f"this program belongs to set {identity} by its head, that of the {first} to set {expected}: they were "
                "not written together. Write the whole set again, and replace all of it.",
            ))  # fmt: skip


def _found(
    code: str, severity: str, amount: float, limit: float, message: str,
    place: tuple[float, float, float] = NOWHERE,
) -> SideFinding:  # fmt: skip
    return SideFinding("", Finding(code, severity, 0, place, amount, limit, message))


def _apart(a: Dowel, b: Dowel) -> float:
    return float(((a.x - b.x) ** 2 + (a.y - b.y) ** 2) ** 0.5)


def _surface(fixture: Fixture) -> str:
    return "top of the board" if fixture.zero_on == "top" else "spoilboard"


def _corner(fixture: Fixture) -> str:
    return "centre" if fixture.zero_at == "centre" else f"{fixture.zero_at} corner"
