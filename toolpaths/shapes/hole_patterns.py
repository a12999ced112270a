"""Places in a pattern: a row, a grid, a bolt circle, along a line, the rows of the 32 mm system."""

from __future__ import annotations

from math import ceil, floor

import numpy as np

from toolpaths.base.checks import Floats, coordinate, distance, finite, length, point, sequence, whole
from toolpaths.base.errors import DoesNotFitError, InputError, Point
from toolpaths.shapes import door
from toolpaths.shapes.curves import cos_sin, lengths_along, places_along
from toolpaths.shapes.symmetry import Line

# Most places of one pattern.
_MOST = 100_000
# mm; what is farther off than this is no rounding.
_NEAR = 1e-6
# Of the 32 mm system of cabinets: from hole to hole, and from row to row any whole number of times; the first row is so
# far from the front edge (trade description of the system).
_SYSTEM_PITCH, _FROM_FRONT = 32.0, 37.0


def row(count: int, pitch: float, start: Point = (0.0, 0.0), direction_deg: float = 0.0) -> tuple[Point, ...]:
    """Places in a straight row.

    pitch : mm from one to the next
    start : the first place
    direction_deg : which way the row goes, anticlockwise from X

    >>> from toolpaths import row
    >>> row(3, 20, (10, 50), direction_deg=90)
    ((10.0, 50.0), (10.0, 70.0), (10.0, 90.0))

    Raises InputError for numbers that cannot be used.
    """
    steps = np.arange(whole("count", count, 1, _MOST)) * length("pitch", pitch)
    return _placed(np.column_stack([steps, np.zeros(len(steps))]), start, finite("direction_deg", direction_deg))


def grid(
    columns: int, rows: int, pitch: float | tuple[float, float], start: Point = (0.0, 0.0), turned_deg: float = 0.0
) -> tuple[Point, ...]:
    """Places in rows and columns, row after row from the lower left.

    pitch : mm from one to the next, or (along a row, from row to row)
    start : the lower left place
    turned_deg : by how much the whole is turned about it, anticlockwise

    >>> from toolpaths import grid
    >>> grid(2, 2, (30, 10), start=(5, 5))
    ((5.0, 5.0), (35.0, 5.0), (5.0, 15.0), (35.0, 15.0))

    Raises InputError for numbers that cannot be used.
    """
    across, along = whole("columns", columns, 1, _MOST), whole("rows", rows, 1, _MOST)
    whole("columns * rows", across * along, 1, _MOST)
    given = sequence("pitch", pitch, "two lengths") if isinstance(pitch, tuple) else [pitch, pitch]
    if len(given) != 2:
        raise InputError(f"pitch={pitch!r} must be one length, or two: along a row, and from row to row.")
    x, y = np.meshgrid(np.arange(across) * length("pitch", given[0]), np.arange(along) * length("pitch", given[1]))
    return _placed(np.column_stack([x.ravel(), y.ravel()]), start, finite("turned_deg", turned_deg))


def bolt_circle(count: int, diameter: float, centre: Point = (0.0, 0.0), first_deg: float = 90.0) -> tuple[Point, ...]:
    """Places spread evenly round a circle, anticlockwise.

    first_deg : where the first is, anticlockwise from X; 90 is the top

    >>> from toolpaths import bolt_circle
    >>> bolt_circle(4, 60, centre=(50, 50))
    ((50.0, 80.0), (20.0, 50.0), (50.0, 20.0), (80.0, 50.0))

    Raises InputError for numbers that cannot be used.
    """
    number, radius = whole("count", count, 1, _MOST), length("diameter", diameter) / 2
    (x, y), first = point("centre", centre), finite("first_deg", first_deg)
    turns = [cos_sin(first + 360.0 * each / number) for each in range(number)]
    return tuple((x + radius * cosine, y + radius * sine) for cosine, sine in turns)


def spaced_along(
    line: Line, *, count: int | None = None, at_most: float | None = None, inset: float = 0.0
) -> tuple[Point, ...]:
    """Places spread evenly along a line, from its start to its end; round a closed one without a second at its start.

    line : a shapely line or polygon, an Outline, or points (x, y)
    count : how many
    at_most : mm; instead: as few as are nowhere farther apart along the line
    inset : mm that the first and the last keep from the ends of an open line

    >>> from toolpaths import spaced_along
    >>> spaced_along([(0, 0), (100, 0)], count=3, inset=10)
    ((10.0, 0.0), (50.0, 0.0), (90.0, 0.0))

    Raises InputError where neither or both of count and at_most are given, ShapeError for no line, DoesNotFitError for
    one that is too short.
    """
    found = door.lines("line", door.as_line("line", line))
    if len(found) != 1:
        raise InputError(f"line= must be one line; these are {len(found)}.")
    (points, closed), off = found[0], distance("inset", inset)
    if closed:
        points = np.vstack([points, points[:1]])
        if off:
            raise InputError(f"inset={off:g} needs an open line: a closed one has no ends.")
    far = float(lengths_along(points)[-1])
    if 2 * off > far - _NEAR:
        raise DoesNotFitError(f"inset={off:g} at either end is more than the line has: {far:.3f} mm.")
    free = far - 2 * off
    if count is not None and at_most is None:
        number = whole("count", count, 1, _MOST)
    elif at_most is not None and count is None:
        between = ceil(free / length("at_most", at_most) - _NEAR)
        number = whole("count", between if closed else between + 1, 1, _MOST)
    else:
        raise InputError("Give count=, how many, or at_most=, how far apart in mm.")
    gaps = number if closed else max(number - 1, 1)
    first = far / 2 if number == 1 and not closed else off
    return _points(places_along(points, np.array([first + free * each / gaps for each in range(number)])))


def system_32(count: int, lowest: float, *, back: float | None = None, front_edge: float = 0.0) -> tuple[Point, ...]:
    """The holes of a cabinet side in the 32 mm system: one row behind its front edge, or two.

    count : holes in a row, one above the other, 32 mm apart
    lowest : Y of the lowest
    back : mm from the first row to the second, a whole number of times 32; none for one row
    front_edge : X of the front edge, which is upright and has the board on its right; the first row is 37 mm from it

    The holes are 5 mm wide (trade description of the system).

    >>> from toolpaths import system_32
    >>> system_32(2, 64, back=224)
    ((37.0, 64.0), (37.0, 96.0), (261.0, 64.0), (261.0, 96.0))

    Raises InputError for numbers that cannot be used, and a second row that is off the pitch.
    """
    x, y = coordinate("front_edge", front_edge) + _FROM_FRONT, coordinate("lowest", lowest)
    first = row(count, _SYSTEM_PITCH, (x, y), 90.0)
    if back is None:
        return first
    back = length("back", back)
    pitches = back / _SYSTEM_PITCH
    if abs(pitches - round(pitches)) * _SYSTEM_PITCH > _NEAR or round(pitches) < 1:
        near = [_SYSTEM_PITCH * max(each, 1) for each in (floor(pitches), ceil(pitches))]
        raise InputError(f"back={back:g} must be a whole number of times 32 mm: {near[0]:g} or {near[1]:g}.")
    return (*first, *row(count, _SYSTEM_PITCH, (x + back, y), 90.0))


def _placed(places: Floats, start: Point, turned_deg: float) -> tuple[Point, ...]:
    """Places from (0, 0) on, turned about it and moved to where they start."""
    cosine, sine = cos_sin(turned_deg)
    return _points(places @ np.array([[cosine, sine], [-sine, cosine]]) + np.array(point("start", start)))


def _points(places: Floats) -> tuple[Point, ...]:
    return tuple((x, y) for x, y in places.tolist())
