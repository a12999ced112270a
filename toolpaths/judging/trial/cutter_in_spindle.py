"""Which cutter is in the spindle, where a program says so only to the operator."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Iterator

import numpy as np

from toolpaths.facts.head_lines import IN_SET
from toolpaths.judging.reader.motions import ARC, FEED, Event, Motions, Program
from toolpaths.judging.wood.sweep import Ints

# Stops for the operator.
STOPS = ("M0", "M1", "M60")

# A cutter, as comments and messages name it.
TOOL_WORD = re.compile(r"\bT(\d{1,5})\b", re.IGNORECASE)


def cutters_in_spindle(program: Program, motions: Motions, numbers: tuple[int, ...]) -> Ints:
    """(n,) tool in the spindle for each motion.

    A program without M6 has its cutters changed by hand: at a stop whose message names one, as in "put in T2", or to
    which a T word leads; or not at all, and then the only cutter given is meant. The one to begin with may be called
    by a T word before the first cut, or be the only one of the rack that comments name before the first motion.
    """
    if any(event.code == "M6" for event in program.events):
        return motions.tool
    changes = [(event.before, number) for event, number in changes_by_hand(program, numbers)]
    tool = motions.tool.copy()
    if len(numbers) == 1 and not changes:
        tool[:] = numbers[0]
    elif len(motions):
        tool[:] = _to_begin_with(program, motions, numbers, changes)
    for before, number in changes:
        tool[before:] = number
    return tool


def changes_by_hand(program: Program, numbers: tuple[int, ...]) -> list[tuple[Event, int]]:
    """The stops at which a cutter is put in, and its number, in a program without M6."""
    if any(event.code == "M6" for event in program.events):
        return []
    changes, calls = [], [change for change in program.changes if change.code == "T"]
    since, shown = 0, 0
    for event in program.events:
        if event.code == "MSG":
            shown = event.line
        if event.code not in STOPS:
            continue
        named = TOOL_WORD.search(event.text)
        called = [call.number for call in calls if since < call.line <= event.line]
        # "Drive the T25 screws" names no cutter of this rack; and the message of an earlier stop may still be shown.
        if named and int(named[1]) in numbers and (shown > since or not called):
            changes.append((event, int(named[1])))
        elif called:
            changes.append((event, called[-1]))
        since = event.line
    return changes


def _to_begin_with(program: Program, motions: Motions, numbers: tuple[int, ...], changes: list[tuple[int, int]]) -> int:
    """The cutter that is in the spindle before any is put in; 0 where nothing says so."""
    cuts = np.flatnonzero((motions.kind == FEED) | (motions.kind == ARC))
    first_cut = int(cuts[0]) if len(cuts) else len(motions)
    called = [change.number for change in program.changes if change.code == "T" and change.before <= first_cut]
    if called and not (changes and changes[0][0] <= first_cut):
        return called[-1]
    named = cutters_named((text for line, text in program.comments if line < motions.line[0]), numbers)
    return named.pop() if len(named) == 1 else 0


def cutters_named(comments: Iterable[str], numbers: Collection[int]) -> set[int]:
    """The cutters of a rack that comments or messages name, but for those of other programs of a set."""
    named = {int(number) for text in _of_this_program(comments) for number in TOOL_WORD.findall(text)}
    return named.intersection(numbers)


def _of_this_program(comments: Iterable[str]) -> Iterator[str]:
    """The comments without the line that names the set, in which the cutters of other programs may stand."""
    of_set = False
    for text in comments:
        of_set = IN_SET.read(text) is not None or (of_set and text.startswith(" "))
        if not of_set:
            yield text
