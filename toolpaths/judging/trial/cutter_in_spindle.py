"""Which cutter is in the spindle, where a program says so only to the operator."""

from __future__ import annotations

import re

from toolpaths.judging.reader.motions import Motions, Program
from toolpaths.judging.wood.sweep import Ints

# Stops for the operator.
STOPS = ("M0", "M1", "M60")

# A cutter, as comments and messages name it.
TOOL_WORD = re.compile(r"\bT(\d{1,5})\b", re.IGNORECASE)


def cutters_in_spindle(program: Program, motions: Motions, numbers: tuple[int, ...]) -> Ints:
    """(n,) tool in the spindle for each motion.

    A program without M6 has its cutters changed by hand: at a stop whose message names one, as in
    "put in T2", or not at all, and then the only cutter given is meant. The one to begin with may be named
    by the comments before the first motion.
    """
    events = program.events
    if any(event.code == "M6" for event in events):
        return motions.tool
    by_hand = [(event.before, TOOL_WORD.search(event.text)) for event in events if event.code in STOPS]
    # "Drive the T25 screws" names no cutter of this rack.
    changes = [(before, int(found[1])) for before, found in by_hand if found and int(found[1]) in numbers]
    tool = motions.tool.copy()
    if len(numbers) == 1 and not changes:
        tool[:] = numbers[0]
    if changes and changes[0][0] > 0:
        head = [text for line, text in program.comments if line < motions.line[0]]
        named = {int(number) for text in head for number in TOOL_WORD.findall(text)} & set(numbers)
        if len(named) == 1:
            tool[:] = named.pop()
    for before, number in changes:
        tool[before:] = number
    return tool
