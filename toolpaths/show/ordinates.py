"""Dimensions from zero: a tick at the edge of the drawing for each place, and how far it is from X0 or Y0.

Running dimensions from one origin, as ISO 129-1 has them: nothing is to be added up at the machine.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from math import ceil

from toolpaths.base.errors import Point
from toolpaths.show.drawing import PAPER_TALL, PAPER_WIDE, SMALL, Frame, letters_wide, line, scale_for, words
from toolpaths.show.lengths import MM, Lengths
from toolpaths.show.markup import Markup, joined
from toolpaths.show.palette import GREY, LineStyle

# mm on paper: from the edge to a tick, to where it leaves straight on, so that two places close together are told
# apart, to where its number is, and from there to the letters; and from one line of letters to the next.
_BARE, _STRAIGHT, _BEND, _LETTERS = 1.5, 2.2, 5.5, 1.0
# And to the end of a tick without a number.
_SHORT = 3.0
_APART = 3.3
# mm on paper that the dimensions take beside the edge at least.
ROOM = 13.0
# And where there are none. The title above takes so much.
_MARGIN, _LEAST_WIDE = 6.0, 124.0
_TICK = LineStyle(GREY, ())
# So many places one after the other, evenly apart to within so many mm, are measured as a row.
_ROW, _EVEN = 8, 0.011


def frame_around(
    left: float,
    low: float,
    right: float,
    high: float,
    *,
    above: float = _MARGIN,
    tall: float = PAPER_TALL,
    room_below: float,
    room_beside: float,
) -> Frame:
    """What lies between these edges, with room for its dimensions below it and to its left, as large as paper allows.

    above, tall, room_below, room_beside : mm on paper over what is drawn, of the whole at most, and for the dimensions
    """
    scale = scale_for(
        right - left, high - low, PAPER_WIDE - room_beside - _MARGIN, max(tall - room_below - above, _MARGIN)
    )
    right = max(right + _MARGIN * scale, left + (_LEAST_WIDE - room_beside) * scale)
    return Frame(left - room_beside * scale, low - room_below * scale, right, high + above * scale, scale)


def room_for(places: Sequence[float], zero: float, lengths: Lengths = MM) -> float:
    """mm on paper that the dimensions of some places take beside an edge."""
    longest = max((letters_wide(text) for _, text in _read(places, zero, lengths)), default=0.0)
    return max(ROOM, _BEND + 2 * _LETTERS + longest)


def below(frame: Frame, y: float, xs: Sequence[float], zero: float, lengths: Lengths = MM) -> Markup:
    """X dimensions below a horizontal edge at y; xs and zero: places on the board, mm."""
    labels = _labels(xs, zero, lengths, frame.wide)
    return _ticks(frame, xs, labels, lambda along, away: (along, y - away * frame.scale), upright=True)


def beside(frame: Frame, x: float, ys: Sequence[float], zero: float, lengths: Lengths = MM) -> Markup:
    """Y dimensions to the left of an upright edge at x."""
    labels = _labels(ys, zero, lengths, frame.tall)
    return _ticks(frame, ys, labels, lambda along, away: (x - away * frame.scale, along), upright=False)


def _labels(places: Sequence[float], zero: float, lengths: Lengths, room: float) -> list[tuple[float, str]]:
    """What is read where; of more than there is room for every second, third, ...

    room : mm on paper
    """
    found = _read(places, zero, lengths)
    every = ceil(len(found) * _APART / room)
    return found if every < 2 else [*found[:-1:every], found[-1]]


def _read(places: Sequence[float], zero: float, lengths: Lengths) -> list[tuple[float, str]]:
    """How far each place is from zero. Of places evenly apart the ends are read, and between them how many steps of
    which length there are."""
    places = _each_once(places)
    rows = _rows(places)
    between = {n for first, last in rows for n in range(first + 1, last)}
    found = [(place, lengths.of(place - zero)) for n, place in enumerate(places) if n not in between]
    for first, last in rows:
        a, b = places[first], places[last]
        steps = f"{last - first} \N{MULTIPLICATION SIGN} {lengths.of((b - a) / (last - first))}"
        found.append(((a + b) / 2, steps))
    return sorted(found)


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
    middle = 0.35 * SMALL
    read = {place for place, _ in labels}
    ends = {place: _STRAIGHT if place in read else _SHORT for place in _each_once(places)}
    found = [line(frame, at(place, _BARE), at(place, end), style=_TICK) for place, end in ends.items()]
    # A title stands at the upper edge of a drawing.
    edges = (frame.left, frame.right) if upright else (frame.low, frame.high - 1.4 * SMALL * frame.scale)
    letters = _within(_spread([place / frame.scale for place, _ in labels], _APART), edges[0] / frame.scale,
                      edges[1] / frame.scale)  # fmt: skip
    for (place, text), letter in zip(labels, letters, strict=True):
        bend = letter * frame.scale
        found.append(line(frame, at(place, _STRAIGHT), at(bend, _BEND), at(bend, _BEND + _LETTERS), style=_TICK))
        found.append(words(
            frame, *at(bend, _BEND + 2 * _LETTERS), text, right=middle if upright else 0.0,
            down=0.0 if upright else middle, anchor="end", upright=upright,
        ))  # fmt: skip
    return joined(found)


def _each_once(values: Iterable[float]) -> list[float]:
    """Sorted, those that read alike once, each as it was given: rounded before it is measured it would read otherwise
    than in the tables."""
    return sorted({round(value, 2): value for value in values}.values())


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
