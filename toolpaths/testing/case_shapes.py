"""Shapes for tests that the drawing functions have no one call for; each is readable in a failing example."""

from __future__ import annotations

from math import cos, pi, sin

from shapely import Polygon

from toolpaths.base.checks import length, point, whole
from toolpaths.base.errors import InputError, Point


def two_rooms(width: float, height: float, neck: float, centre: Point = (0.0, 0.0)) -> Polygon:
    """Two rectangles side by side, each two fifths of the width, joined in the middle by a neck so wide.

    >>> from toolpaths.testing.strategies import two_rooms
    >>> two_rooms(50, 20, 4).area
    840.0

    Raises InputError for a neck as high as the rooms, and for numbers that make no shape.
    """
    wide, high, narrow = length("width", width), length("height", height), length("neck", neck)
    if narrow >= high:
        raise InputError(f"neck={neck:g} must be less than height={height:g}.")
    x, y = point("centre", centre)
    end, inside, top, neck_top = wide / 2, wide / 10, high / 2, narrow / 2
    upper = [(inside, neck_top), (inside, top), (end, top)]
    right = [*upper, *((dx, -dy) for dx, dy in reversed(upper))]
    return Polygon([(x + dx, y + dy) for dx, dy in (*right, *((-dx, -dy) for dx, dy in right))])


def many_chords(diameter: float, chords: int, waves: int = 0, centre: Point = (0.0, 0.0)) -> Polygon:
    """A circle in so many straight chords, its radius rising and falling by a tenth so many times.

    >>> from toolpaths.testing.strategies import many_chords
    >>> len(many_chords(40, 100).exterior.coords) - 1
    100

    Raises InputError for numbers that make no shape.
    """
    radius, count = length("diameter", diameter) / 2, whole("chords", chords, 3)
    times = whole("waves", waves, 0)
    x, y = point("centre", centre)
    angles = [2 * pi * number / count for number in range(count)]
    radii = [radius * (1 + 0.1 * sin(times * angle)) for angle in angles]
    return Polygon([(x + r * cos(angle), y + r * sin(angle)) for r, angle in zip(radii, angles)])


def comb(width: float, height: float, teeth: int, centre: Point = (0.0, 0.0)) -> Polygon:
    """A back with so many square teeth below, as wide as the gaps between.

    >>> from toolpaths.testing.strategies import comb
    >>> comb(50, 20, 3).area
    800.0

    Raises InputError for numbers that make no shape.
    """
    wide, high, count = length("width", width), length("height", height), whole("teeth", teeth, 2)
    x, y = point("centre", centre)
    step = wide / (2 * count - 1)
    left, low, middle, top = x - wide / 2, y - high / 2, y, y + high / 2
    path: list[Point] = [(left, top)]
    for number in range(count):
        at = left + 2 * number * step
        path += (
            [(at, middle)] * (number > 0) + [(at, low), (at + step, low)] + [(at + step, middle)] * (number < count - 1)
        )
    return Polygon([*path, (left + wide, top)])
