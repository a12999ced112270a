"""Facts that have to be the same on both sides of the board, and are given by two fixtures."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from toolpaths.facts.board import Dowel
from toolpaths.facts.fixture import Fixture
from toolpaths.facts.head_lines import IN_SET
from toolpaths.facts.turning import turned_corner
from toolpaths.judging.job_programs import Judged
from toolpaths.judging.job_report import SideFinding
from toolpaths.judging.trial.findings import NOWHERE, Finding
from toolpaths.judging.wood.moves import X1, Y1

# mm; what is entered once and copied is the same to the last digit, what is worked out nearly so.
_ALIKE = 0.01


def sides_differ(programs: tuple[Judged, ...]) -> Iterator[SideFinding]:
    """Front and back are given other dowels, another board, another zero, nothing turns the board over, or their
    programs were not written together."""
    given = [program.setting.given for program in programs]
    first = given[0]
    compared: list[Fixture] = [first]
    for fixture in given[1:]:
        if fixture in compared:
            continue
        compared.append(fixture)
        yield from _boards(first, fixture)
        yield from _spoilboards(first, fixture)
        if fixture.turned != first.turned:
            yield from _zeros(first, fixture)
    pinned = _first_with_dowels(given)
    for fixture in dict.fromkeys(given[given.index(pinned) + 1 :]):
        if fixture.turned != pinned.turned:
            yield from _dowels(pinned, fixture)
    yield from _never_turned(programs)
    yield from _back_first(programs)
    yield from _mixed_sets(programs)


def _first_with_dowels(given: list[Fixture]) -> Fixture:
    """Whose dowels the others must have: of a board that is levelled before its pins' holes are made, as on the back
    first, the first that has any; else the first of all, which makes the holes."""
    on_pins = [fixture for fixture in given if fixture.dowels]
    return on_pins[0] if len({fixture.turned for fixture in on_pins}) > 1 else given[0]


def _boards(first: Fixture, other: Fixture) -> Iterator[SideFinding]:
    for side, what in (("thickness", "thick"), ("width", "wide"), ("height", "high")):
        a, b = getattr(first.board, side), getattr(other.board, side)
        if a != b:
            yield _found(
                "danger", b, a,
                f"the board is {a:g} mm {what} for the {first.side} and {b:g} mm for the {other.side}; it is one "
                f"board: measure it once and use that for both. Judged as {a:g} mm.",
            )  # fmt: skip


def _spoilboards(first: Fixture, other: Fixture) -> Iterator[SideFinding]:
    mine, theirs = first.spoilboard_thickness, other.spoilboard_thickness
    if mine is not None and theirs is not None and mine != theirs:
        yield _found(
            "doubt", theirs, mine,
            f"the spoilboard is {mine:g} mm thick for the {first.side} and {theirs:g} mm for the {other.side}; if it "
            "is one spoilboard, measure it once and use that for both.",
        )  # fmt: skip


def _dowels(first: Fixture, other: Fixture) -> Iterator[SideFinding]:
    if first.dowels and not other.dowels:
        yield _found(
            "doubt", 0.0, float(len(first.dowels)),
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
            if near is None or _apart(near, dowel) > _ALIKE:
                away = "" if near is None else f"; the nearest there is {_apart(near, dowel):.2f} mm away"
                yield _found(
                    "danger", 0.0 if near is None else _apart(near, dowel), _ALIKE,
                    f"the {who.side} has a dowel at X{dowel.x:g} Y{dowel.y:g} (seen from the front), the {whose.side} "
                    f"has none there{away}. Give both sides the same dowels.",
                    (dowel.x, dowel.y, 0.0),
                )  # fmt: skip
            elif who is other and near.diameter != dowel.diameter:
                yield _found(
                    "danger", dowel.diameter, near.diameter,
                    f"the dowel at X{dowel.x:g} Y{dowel.y:g} (seen from the front) is {near.diameter:g} mm thick for "
                    f"the {first.side} and {dowel.diameter:g} mm for the {other.side}. Give both the same dowels.",
                    (dowel.x, dowel.y, 0.0),
                )  # fmt: skip


def _zeros(first: Fixture, other: Fixture) -> Iterator[SideFinding]:
    if first.zero_on != other.zero_on:
        yield _found(
            "doubt", 0.0, 0.0,
            f"Z0 is the {first.zero_surface} for the {first.side} and the {other.zero_surface} for the {other.side}; "
            "set it on the same surface for both, or be sure that each is set as its program says.",
        )  # fmt: skip
    same_wood = turned_corner(first.zero_at, first.turned or other.turned)
    if other.zero_at not in (first.zero_at, same_wood):
        yield _found(
            "doubt", 0.0, 0.0,
            f"X0 Y0 is the {first.zero_corner} of the board for the {first.side} and the {other.zero_corner} for the "
            f"{other.side}, each as the board then lies: neither the same place on the machine nor the same corner "
            f"of the wood. The {first.zero_corner} would be usual, or the {same_wood} corner.",
        )  # fmt: skip


def _never_turned(programs: tuple[Judged, ...]) -> Iterator[SideFinding]:
    """Two sides are given, and the board lies in the second as it lay in the first.

    One side may be cut in several fixtures, which differ in what holds the board; such as do not are
    one fixture, or the turn was forgotten.
    """
    every = {program.setting.entry: program.setting.given for program in programs}
    given = list(every.values())
    first = given[0]
    if any(fixture.turned != first.turned for fixture in given):
        return
    if not any(_held_alike(one, other) for at, one in enumerate(given) for other in given[:at]):
        return
    if first.turned:
        yield _found(
            "doubt", 0.0, 0.0,
            f"all {len(given)} sides are cut with the board turned over {first.turned}, none on its front; give the "
            "front its own fixture, which is not turned. Several programs of one side are listed under one fixture.",
        )  # fmt: skip
    elif any(fixture.dowels for fixture in given):
        yield _found(
            "doubt", 0.0, 0.0,
            f"there are dowels, but all {len(given)} sides are cut with the front up; make the fixture of the back "
            'with turned_over("left to right") or the like. Several programs of one side are listed under one fixture.',
        )  # fmt: skip


def _held_alike(one: Fixture, other: Fixture) -> bool:
    return (one.screws, one.clamps, one.grips) == (other.screws, other.clamps, other.grips)


def _back_first(programs: tuple[Judged, ...]) -> Iterator[SideFinding]:
    """The back is run before the front, although the front bores the holes of the pins on which the back lies."""
    front = next((program for program in programs if not program.setting.given.turned), None)
    if front is None or not programs[0].setting.given.turned or not programs[0].setting.given.dowels:
        return
    case = front.case
    low = case.moves.low < case.fixture.underside_z
    for dowel in case.fixture.dowels:
        near = low & (np.hypot(case.moves.path[X1] - dowel.x, case.moves.path[Y1] - dowel.y) < dowel.diameter / 2)
        if near.any():
            yield _found(
                "danger", 0.0, 0.0,
                f"the back comes first, but lies on pins whose holes the {front.setting.name} bores later; list the "
                "sides in the order in which they are run.",
                (dowel.x, dowel.y, 0.0),
            )  # fmt: skip
            return


def _mixed_sets(programs: tuple[Judged, ...]) -> Iterator[SideFinding]:
    """Heads that name other sets: programs that were not written together, such as an old back with a new front."""
    named = [
        (program.setting.name, line, found["identity"])
        for program in programs
        for line, text in program.setting.program.comments
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
    severity: str, amount: float, limit: float, message: str,
    place: tuple[float, float, float] = NOWHERE,
) -> SideFinding:  # fmt: skip
    return SideFinding("", Finding("sides-differ", severity, 0, place, amount, limit, message))


def _apart(a: Dowel, b: Dowel) -> float:
    return float(((a.x - b.x) ** 2 + (a.y - b.y) ** 2) ** 0.5)
