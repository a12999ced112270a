"""The text of an arc: as an arc with its centre, as one line, or as chords."""

from __future__ import annotations

from collections.abc import Mapping
from math import acos, ceil, cos

from toolpaths.facts.language import ARCS
from toolpaths.making.motion.toolpath import Move
from toolpaths.making.writer.number_format import NumberFormat
from toolpaths.making.writer.style import Style
from toolpaths.shapes.tolerance_shares import FLATTEN
from toolpaths.shapes.track import Segment

# A shorter arc, mm, is written as a line: rounding could bring its ends to one direction from the centre, which a
# controller takes for a full turn.
_SHORTEST = 0.005
# An arc that bulges by less than two printed digits, mm, is written as a line: nothing of it would be left but a radius
# of many metres, at which a controller's arithmetic suffers.
_FLATTEST = 0.0002


def printable(move: Move, start: tuple[float, float, float], style: Style) -> list[Move]:
    """A cut from where the machine stands, as the moves that can be printed: an arc stays one where it is large enough
    and the controller knows arcs; else it becomes a line, or chords within their share of the tolerance."""
    if not move.sweep:
        return [move]
    arc = Segment(start[:2], (move.x, move.y), move.centre, move.sweep)
    if arc.length < _SHORTEST or arc.radius * (1 - cos(move.sweep / 2)) < _FLATTEST:
        return [move._replace(sweep=0.0)]
    if style.machine.codes.issuperset(ARCS):
        return [move]
    sagitta = min(style.tolerance * FLATTEN / arc.radius, 1.0)
    count = ceil(abs(move.sweep) / 2 / acos(1 - sagitta))
    rise = move.z - start[2]
    return [
        move._replace(x=x, y=y, z=start[2] + rise * number / count, sweep=0.0)
        for number in range(1, count + 1)
        for x, y in [arc.at(number / count)]
    ]


def arc_words(
    move: Move, place: Mapping[str, str], changed: Mapping[str, str], start: Mapping[str, str], numbers: NumberFormat
) -> tuple[str, dict[str, str]]:
    """The code and the words of an arc. An offset of 0 may be left out, an end word of each arc may not (3.5.3)."""
    centre = {letter: word for letter, word in numbers.to_centre(move.centre, start).items() if word != "0"}
    end = dict(changed) if "X" in changed or "Y" in changed else {"X": place["X"], **changed}
    return "G3" if move.sweep > 0 else "G2", end | centre
