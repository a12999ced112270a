"""Do the numbers in a program's head hold for the program below it, and for the fixture that it is judged on?

Safe height, crossings, over what the cutter goes, how deep the spoilboard is cut, the speed of each cutter, how deep
and how fast each operation goes: the person at the machine reads them and sets up by them. Nothing moves wrong by one
that differs, so it is a doubt.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import NamedTuple

import numpy as np

from toolpaths.base.units import MM_PER_INCH
from toolpaths.facts.head_lines import (
    BOARD,
    CROSSINGS,
    CUTTER,
    EXTENT,
    RESTART,
    SAFE_HEIGHT,
    SPEED,
    SPOILBOARD_CUT,
    SPOILBOARD_WHOLE,
    WORK,
    whole_lines,
)
from toolpaths.judging.checks.running.head_differs import differs
from toolpaths.judging.trial.case import Case, distinct
from toolpaths.judging.trial.findings import ROUNDING, Finding

# mm; of a length in a head, half of its last decimal, and what the text below it was rounded by.
_WITHIN = {"mm": ROUNDING + 0.0006, "inch": ROUNDING + 0.00006 * MM_PER_INCH}
# Of a feed, which the head says in the digits that the text below it has.
_FEED_WITHIN = 1e-6
# More operations in one line are a slip of the finger.
_MOST_ALIKE = 100_000

Comments = list[tuple[int, str]]


class _Operation(NamedTuple):
    """An operation of the order of work: the depth to which it goes by that, how fast at most in the program's units,
    and between which lines it is below."""

    line: int
    name: str
    last: float
    feed: float | None
    begin: int
    end: int


def head_numbers(case: Case) -> Iterator[Finding]:
    """A number in the head is another than that of the program or the fixture."""
    comments = whole_lines(case.program.comments)
    board = next(((at, found) for at, (_, text) in enumerate(comments) if (found := BOARD.read(text))), None)
    if board is None or case.program.incomplete or not len(case.moves):
        return
    at, found = board
    head, units = comments[at:], found["units"]
    yield from _heights(case, head)
    yield from _speeds(case, head)
    operations = _operations(case, head)
    if operations:
        # Of work that was begun before, a restart does the rest: that may be narrower, and less fast.
        restart = any(RESTART.read(text) for _, text in comments)
        yield from _extent(case, head, units, restart)
        yield from _spoilboard(case, head)
        yield from _depths(case, operations, units)
        yield from _feeds(case, operations, units, restart)


def _heights(case: Case, head: Comments) -> Iterator[Finding]:
    for form, given, what in (
        (SAFE_HEIGHT, case.fixture.safe_z, "the safe height is"),
        (CROSSINGS, case.fixture.link_z, "crossings are"),
    ):
        for line, text in head:
            if found := form.read(text):
                units = found["units"]
                yield from _length(line, float(found["height"]), given, units, what, "above the board", "as given", ())


def _extent(case: Case, head: Comments, units: str, restart: bool) -> Iterator[Finding]:
    """Over what the cutter's axis goes at feed."""
    moves, zero, scale = case.moves, case.fixture.zero, 1.0 if units == "mm" else MM_PER_INCH
    cutting = np.flatnonzero(moves.feeding())
    if not len(cutting):
        return
    box = moves.box[:, cutting]
    edges = (
        ("least X", int(box[0].argmin())), ("greatest X", int(box[1].argmax())),
        ("least Y", int(box[2].argmin())), ("greatest Y", int(box[3].argmax())),
    )  # fmt: skip
    for line, text in head:
        found = EXTENT.read(text)
        said = [float(end) for field in ("x_range", "y_range") for end in found[field].split(" to ")] if found else []
        for row, ((edge, at), end) in enumerate(zip(edges, said)):
            reached = float(box[row, at]) - zero[row // 2]
            short = reached > end * scale if edge.startswith("least") else reached < end * scale
            if not (restart and short):
                what, lines = f"the {edge} of the cutter's axis is", (int(moves.line[cutting[at]]),)
                yield from _length(line, end, reached, units, what, "at feed", "by its moves", lines)


def _spoilboard(case: Case, head: Comments) -> Iterator[Finding]:
    """How deep this program cuts the spoilboard, or that it does not."""
    lowest = int(np.argmin(case.moves.low))
    cut = max(0.0, case.fixture.underside_z - float(case.moves.low[lowest]))
    for line, text in head:
        found = SPOILBOARD_CUT.read(text)
        if found or SPOILBOARD_WHOLE.read(text) is not None:
            said, units = (float(found["by"]), found["units"]) if found else (0.0, "mm")
            where = int(case.moves.line[lowest])
            yield from _length(line, said, cut, units, "the spoilboard is cut", "deep", "by its moves", (where,))


def _speeds(case: Case, head: Comments) -> Iterator[Finding]:
    """A cutter that never cuts at the speed of its line."""
    moves = case.moves
    cutting = moves.below(-ROUNDING) & moves.feeding() & (moves.rpm > 0)
    for line, text in head:
        found = CUTTER.read(text)
        speed = found and SPEED.read(found["rest"])
        if found and speed:
            who = np.flatnonzero(cutting & (moves.tool == int(found["tool"])))
            said, speeds = float(speed["rpm"]), distinct(moves.rpm[who])
            if speeds and not any(abs(said - rpm) <= 0.5 for rpm in speeds):
                text = (
                    f"T{found['tool']} turns at {said:g} rpm by the program's head, but cuts at "
                    f"{' and '.join(f'S{rpm:g}' for rpm in speeds)}."
                )
                yield _doubt(line, text, speeds[0], said, (int(moves.line[who[0]]),))


def _operations(case: Case, head: Comments) -> list[_Operation]:
    """Those that the head lists; none where they do not begin in that order below, each under its name, as in a program
    of which a part is left out."""
    listed = [(line, found) for line, text in head if (found := WORK.read(text)) for _ in range(_times(found))]
    names = {found["name"] for _, found in listed}
    begins = [(line, text) for line, text in head if listed and line > listed[-1][0] and text in names]
    if not listed or [text for _, text in begins] != [found["name"] for _, found in listed]:
        return []
    ends = [*(line for line, _ in begins[1:]), int(case.moves.line.max()) + 1]
    return [
        _Operation(line, found["name"], float(found["last"]), _feed(found), begin, end)
        for (line, found), (begin, _), end in zip(listed, begins, ends, strict=True)
    ]


def _times(found: dict[str, str]) -> int:
    """How many operations a line of the order of work is, so many that a program may have."""
    first, _, last = found["numbers"].partition(" to ")
    return min(max(int(last or first) - int(first) + 1, 1), _MOST_ALIKE)


def _feed(found: dict[str, str]) -> float | None:
    """The feed of a line of the order of work that says one."""
    return float(found["feed"].upper().partition("F")[2]) if found["feed"] else None


def _depths(case: Case, operations: list[_Operation], units: str) -> Iterator[Finding]:
    """An operation that goes deeper than its line in the order of work, or less deep."""
    moves = case.moves
    for each in operations:
        low = np.where((moves.line > each.begin) & (moves.line < each.end), moves.low, np.inf)
        lowest = int(np.argmin(low))
        if np.isfinite(low[lowest]):
            where, what = (int(moves.line[lowest]),), f"{each.name} goes"
            yield from _length(each.line, each.last, -float(low[lowest]), units, what, "deep", "by its moves", where)


def _feeds(case: Case, operations: list[_Operation], units: str, restart: bool) -> Iterator[Finding]:
    """An operation that is faster than its line in the order of work, or less fast."""
    moves, scale = case.moves, 1.0 if units == "mm" else 1 / MM_PER_INCH
    cutting = moves.feeding()
    for each in operations:
        feeds = np.where(cutting & (moves.line > each.begin) & (moves.line < each.end), moves.feed_mm_min, 0.0)
        fastest = int(np.argmax(feeds))
        feed = float(feeds[fastest]) * scale
        if each.feed is None or not feed or (restart and feed < each.feed):
            continue
        if abs(each.feed - feed) > _FEED_WITHIN * feed:
            text = f"{each.name} is cut at F{each.feed:g} by the program's head, but at F{feed:g} by its moves."
            yield _doubt(each.line, text, feed / scale, each.feed / scale, (int(moves.line[fastest]),))


def _length(
    line: int, said: float, given: float, units: str, what: str, where: str, whose: str, lines: tuple[int, ...]
) -> Iterator[Finding]:
    """A length of the head, in its units, that is not the one given, mm."""
    scale = 1.0 if units == "mm" else 1 / MM_PER_INCH
    if abs(said / scale - given) > _WITHIN[units]:
        text = (
            f"{what} {said:g} {units} {where} by the program's head, but {round(given * scale, 4):g} {units} {whose}."
        )
        yield _doubt(line, text, said / scale, given, lines)


def _doubt(line: int, text: str, amount: float, limit: float, lines: tuple[int, ...]) -> Finding:
    """lines : those below the head that say otherwise"""
    return replace(differs(line, text, amount, limit), severity="doubt", lines=(line, *lines))
