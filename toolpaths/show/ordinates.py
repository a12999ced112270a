"""Dimensions from zero: a tick at the edge of the drawing for each place, and how far it is from X0 or Y0.

Running dimensions from one origin, as ISO 129-1 has them: nothing is to be added up at the machine.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from toolpaths.show.drawing import SMALL, THIN, Frame, line, words
from toolpaths.show.markup import Markup, joined
from toolpaths.show.palette import GREY, LineStyle

# mm on paper: from the edge to the straight part of a tick, to the bend behind it, and to the letters; and from one
# line of letters to the next.
_BARE, _BEND, _LETTERS = 1.5, 5.0, 1.0
_APART = 3.0
# mm on paper that the dimensions take beside the edge.
ROOM = 18.0
_TICK = LineStyle(GREY, ())


def below(frame: Frame, y: float, xs: Iterable[float], zero: float) -> Markup:
    """X dimensions below a horizontal edge at y; xs and zero: places on the board, mm."""
    places = _each_once(xs)
    down = frame.scale
    letters = _spread([place / down for place in places], _APART)
    found = []
    for place, letter in zip(places, letters, strict=True):
        bend = letter * down
        found.append(line(
            frame, (place, y - _BARE * down), (place, y - 0.6 * _BEND * down), (bend, y - _BEND * down),
            (bend, y - (_BEND + _LETTERS) * down), style=_TICK, width=THIN,
        ))  # fmt: skip
        found.append(words(
            frame, bend, y, length(place - zero), right=0.35 * SMALL, down=_BEND + 2 * _LETTERS, anchor="end",
            upright=True,
        ))  # fmt: skip
    return joined(found)


def beside(frame: Frame, x: float, ys: Iterable[float], zero: float) -> Markup:
    """Y dimensions to the left of an upright edge at x."""
    places = _each_once(ys)
    across = frame.scale
    letters = _spread([place / across for place in places], _APART)
    found = []
    for place, letter in zip(places, letters, strict=True):
        bend = letter * across
        found.append(line(
            frame, (x - _BARE * across, place), (x - 0.6 * _BEND * across, place), (x - _BEND * across, bend),
            (x - (_BEND + _LETTERS) * across, bend), style=_TICK, width=THIN,
        ))  # fmt: skip
        found.append(words(
            frame, x, bend, length(place - zero), right=-(_BEND + 2 * _LETTERS), down=0.35 * SMALL, anchor="end",
        ))  # fmt: skip
    return joined(found)


def length(mm: float) -> str:
    """As a drawing says it: to 0.01, without zeros at its end.

    >>> length(14.0), length(-0.001), length(106.375)
    ('14', '0', '106.38')
    """
    return f"{round(mm, 2) + 0.0:g}" if abs(mm) < 1e5 else f"{mm:.0f}"


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
