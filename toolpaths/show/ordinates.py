"""Dimensions from zero: a tick at the edge of the drawing for each place, and how far it is from X0 or Y0.

Running dimensions from one origin, as ISO 129-1 has them: nothing is to be added up at the machine.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from math import ceil

from toolpaths.base.errors import Point
from toolpaths.show.drawing import PAPER_TALL, PAPER_WIDE, SMALL, Frame, line, scale_for, words
from toolpaths.show.lengths import MM, Lengths
from toolpaths.show.markup import Markup, joined
from toolpaths.show.palette import GREY, LineStyle

# mm on paper: from the edge to the straight part of a tick, to the bend behind it, and to the letters; and from one
# line of letters to the next.
_BARE, _BEND, _LETTERS = 1.5, 5.0, 1.0
_APART = 3.3
# mm on paper that the dimensions take beside the edge.
ROOM = 18.0
# And where there are none. The title above takes so much.
_MARGIN, _LEAST_WIDE = 6.0, 124.0
_TICK = LineStyle(GREY, ())
# So many places one after the other, evenly apart to within so many mm, are measured as a row.
_ROW, _EVEN = 8, 0.011


def frame_around(
    left: float, low: float, right: float, high: float, *, above: float = _MARGIN, tall: float = PAPER_TALL
) -> Frame:
    """What lies between these edges, with room for its dimensions below it and to its left, as large as paper allows.

    above, tall : mm on paper over what is drawn, and of the whole at most
    """
    more = ROOM + _MARGIN
    scale = scale_for(right - left, high - low, PAPER_WIDE - more, tall - ROOM - above)
    room = ROOM * scale
    right = max(right + _MARGIN * scale, left - room + _LEAST_WIDE * scale)
    return Frame(left - room, low - room, right, high + above * scale, scale)


def below(frame: Frame, y: float, xs: Sequence[float], zero: float, lengths: Lengths = MM) -> Markup:
    """X dimensions below a horizontal edge at y; xs and zero: places on the board, mm."""
    labels = _labels(xs, zero, lengths, frame.wide)
    return _ticks(frame, xs, labels, lambda along, away: (along, y - away * frame.scale), upright=True)


def beside(frame: Frame, x: float, ys: Sequence[float], zero: float, lengths: Lengths = MM) -> Markup:
    """Y dimensions to the left of an upright edge at x."""
    labels = _labels(ys, zero, lengths, frame.tall)
    return _ticks(frame, ys, labels, lambda along, away: (x - away * frame.scale, along), upright=False)


def _labels(places: Sequence[float], zero: float, lengths: Lengths, room: float) -> list[tuple[float, str]]:
    """What is read where. Of places evenly apart the ends are read, and between them how many steps of which length
    there are; of more than there is room for every second, third, ...

    room : mm on paper
    """
    places = _each_once(places)
    rows = _rows(places)
    between = {n for first, last in rows for n in range(first + 1, last)}
    found = [(place, lengths.of(place - zero)) for n, place in enumerate(places) if n not in between]
    for first, last in rows:
        a, b = places[first], places[last]
        steps = f"{last - first} \N{MULTIPLICATION SIGN} {lengths.of((b - a) / (last - first))}"
        found.append(((a + b) / 2, steps))
    found.sort()
    every = ceil(len(found) * _APART / room)
    return found if every < 2 else [*found[:-1:every], found[-1]]


def _rows(places: Sequence[float]) -> list[tuple[int, int]]:
    """First and last of each row of places that are evenly apart."""
    found, first = list[tuple[int, int]](), 0
    while first < len(places) - 1:
        last, step = first + 1, places[first + 1] - places[first]
        while last + 1 < len(places) and abs(places[last + 1] - places[last] - step) < _EVEN:
            last += 1
        if last - first + 1 >= _ROW:
            found.append((first, last))
        first = last
    return found


def _ticks(
    frame: Frame,
    places: Iterable[float],
    labels: Sequence[tuple[float, str]],
    at: Callable[[float, float], Point],
    *,
    upright: bool,
) -> Markup:
    """A tick for each place, and what is read, upright or level.

    at : the point at a place along the edge, so many mm on paper away from it
    """
    bend_at, middle = 0.6 * _BEND, 0.35 * SMALL
    found = [line(frame, at(place, _BARE), at(place, bend_at), style=_TICK) for place in _each_once(places)]
    # A title stands at the upper edge of a drawing.
    edges = (frame.left, frame.right) if upright else (frame.low, frame.high - 1.4 * SMALL * frame.scale)
    letters = _within(_spread([place / frame.scale for place, _ in labels], _APART), edges[0] / frame.scale,
                      edges[1] / frame.scale)  # fmt: skip
    for (place, text), letter in zip(labels, letters, strict=True):
        bend = letter * frame.scale
        found.append(line(frame, at(place, bend_at), at(bend, _BEND), at(bend, _BEND + _LETTERS), style=_TICK))
        found.append(words(
            frame, *at(bend, _BEND + 2 * _LETTERS), text, right=middle if upright else 0.0,
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


def _within(places: Sequence[float], low: float, high: float) -> list[float]:
    """The same, moved so that none is beyond the edges of the page."""
    found = [max(place, low + (n + 0.5) * _APART) for n, place in enumerate(places)]
    return [min(place, high - (len(found) - n - 0.5) * _APART) for n, place in enumerate(found)]
