"""Dimensions from zero: a tick at the edge of the drawing for each place, and how far it is from X0 or Y0.

Running dimensions from one origin, as ISO 129-1 has them: nothing is to be added up at the machine.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence

from toolpaths.base.errors import Point
from toolpaths.show.drawing import PAPER_TALL, PAPER_WIDE, SMALL, THIN, Frame, line, scale_for, words
from toolpaths.show.lengths import MM, Lengths
from toolpaths.show.markup import Markup, joined
from toolpaths.show.palette import GREY, LineStyle

# mm on paper: from the edge to the straight part of a tick, to the bend behind it, and to the letters; and from one
# line of letters to the next.
_BARE, _BEND, _LETTERS = 1.5, 5.0, 1.0
_APART = 3.0
# mm on paper that the dimensions take beside the edge.
ROOM = 18.0
# And where there are none.
_MARGIN = 6.0
_TICK = LineStyle(GREY, ())


def frame_around(left: float, low: float, right: float, high: float, *, above: float = _MARGIN) -> Frame:
    """What lies between these edges, with room for its dimensions below it and to its left, as large as paper allows.

    above : mm on paper
    """
    more = ROOM + _MARGIN
    scale = scale_for(right - left, high - low, PAPER_WIDE - more, PAPER_TALL - more)
    room = ROOM * scale
    return Frame(left - room, low - room, right + _MARGIN * scale, high + above * scale, scale)


def below(frame: Frame, y: float, xs: Iterable[float], zero: float, lengths: Lengths = MM) -> Markup:
    """X dimensions below a horizontal edge at y; xs and zero: places on the board, mm."""
    return _ticks(
        frame, xs, lambda mm: lengths.of(mm - zero), lambda along, away: (along, y - away * frame.scale), upright=True
    )


def beside(frame: Frame, x: float, ys: Iterable[float], zero: float, lengths: Lengths = MM) -> Markup:
    """Y dimensions to the left of an upright edge at x."""
    return _ticks(
        frame, ys, lambda mm: lengths.of(mm - zero), lambda along, away: (x - away * frame.scale, along), upright=False
    )


def _ticks(
    frame: Frame,
    places: Iterable[float],
    read: Callable[[float], str],
    at: Callable[[float, float], Point],
    *,
    upright: bool,
) -> Markup:
    """A tick for each place, its letters read upright or level.

    read : what is written at a place
    at : the point at a place along the edge, so many mm on paper away from it
    """
    places = _each_once(places)
    letters = _spread([place / frame.scale for place in places], _APART)
    found = []
    for place, letter in zip(places, letters, strict=True):
        bend = letter * frame.scale
        tick = at(place, _BARE), at(place, 0.6 * _BEND), at(bend, _BEND), at(bend, _BEND + _LETTERS)
        middle = 0.35 * SMALL
        found.append(line(frame, *tick, style=_TICK, width=THIN))
        found.append(words(
            frame, *at(bend, _BEND + 2 * _LETTERS), read(place), right=middle if upright else 0.0,
            down=0.0 if upright else middle, anchor="end", upright=upright,
        ))  # fmt: skip
    return joined(found)


def _each_once(values: Iterable[float]) -> list[float]:
    """Sorted, those that read alike once."""
    return sorted({round(value, 2) + 0.0 for value in values})


def _spread(places: Sequence[float], apart: float) -> list[float]:
    """The same places in order, moved as little as can be so that no two are nearer than `apart`: least squares, by
    joining neighbours that would come too near (pool adjacent violators)."""
    groups: list[tuple[float, int]] = []
    for number, place in enumerate(places):
        # Less `apart` for each that comes before it, the places only have not to fall.
        mean, count = place - number * apart, 1
        while groups and groups[-1][0] > mean:
            other, more = groups.pop()
            mean, count = (mean * count + other * more) / (count + more), count + more
        groups.append((mean, count))
    level = [mean for mean, count in groups for _ in range(count)]
    return [mean + number * apart for number, mean in enumerate(level)]
