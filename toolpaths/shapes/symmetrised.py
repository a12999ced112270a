"""A shape made exactly symmetrical: the mean of its halves, or of its quarters, and how far these were from it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from shapely import Polygon

from toolpaths.base import checks
from toolpaths.base.checks import FARTHEST, between
from toolpaths.base.errors import InputError, Point, ShapeError
from toolpaths.base.values import Value
from toolpaths.shapes import door
from toolpaths.shapes.mean_pieces import NoPartner, mean_pieces
from toolpaths.shapes.mirror_axis import found_lines, local, placed
from toolpaths.shapes.mirrored_pieces import assembled, fitted_piece
from toolpaths.shapes.sides_off import SideOff, sides_off
from toolpaths.shapes.symmetry import MirrorLine, mirror_line

# mm that the outline may be off the mean, unless it is said: a fifth of what a picture of 10 pixels per mm shows.
_TOLERANCE = 0.02
# Share of a shape's greater size beyond which its sides are no mirror images, unless it is said.
_MOST_OFF = 0.1
# Cosine of the angle between two lines that are square to each other, at most.
_SQUARE = 1e-3

MirrorPoints = tuple[Point, Point]


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class Symmetrised(Value):
    """An exactly symmetrical shape, and what it was made from.

    shape : where the drawn one was; its one side is the image of the other in the mirror line to the last bit
    upright : the same with its mirror lines along x = 0, and y = 0 where there are two
    lines : the mirror lines, two points of each
    sides : how far each side as drawn was from its mirror images
    notes : what is in doubt

    Made by symmetrised().
    """

    shape: Polygon
    upright: Polygon
    lines: tuple[MirrorPoints, ...]
    sides: tuple[SideOff, ...]
    notes: tuple[str, ...]

    @property
    def largest_off(self) -> float:
        """mm by which any side was farthest from its mirror image; the shape was moved by about half of it."""
        return max(side.largest for side in self.sides)

    def __repr__(self) -> str:
        left, low, right, high = self.upright.bounds
        return (
            f"<Symmetrised: {right - left:.2f} x {high - low:.2f} mm about {len(self.lines)} lines, sides "
            f"{self.largest_off:.2f} mm off at most, {len(self.notes)} notes>"
        )

    def __str__(self) -> str:
        return "\n".join([*map(str, self.sides), *self.notes])


def symmetrised(
    shape: Polygon,
    lines: int | Sequence[Any] = 1,
    *,
    most_off: float | None = None,
    tolerance: float = _TOLERANCE,
) -> Symmetrised:
    """Make a shape exactly symmetrical: the mean of its halves, or of its quarters.

    shape : a polygon, its holes on a mirror line or in pairs on either side of it
    lines : how many mirror lines it has, 1 or 2 at right angles, to be found; or one or two of them, each two points
    most_off : mm that a side may be from its mirror image; a tenth of the shape's greater size unless it is said
    tolerance : mm by which the lines and arcs of the outline may lie off the mean

    Corners stay sharp where both sides have them. A line is found where the shape shares most of its area with its
    image; of several as good the most upright is taken, and a note says so.

    >>> from toolpaths import symmetrised
    >>> from shapely import Polygon
    >>> even = symmetrised(Polygon([(0, 0), (40.3, 0), (40, 30.2), (0, 30)]), [((20, 0), (20, 1))])
    >>> round(even.upright.bounds[2], 4) == round(-even.upright.bounds[0], 4), round(even.largest_off, 2)
    (True, 0.3)

    Raises ShapeError where a side is farther from its mirror image, with the place, and where a hole has no partner;
    InputError for lines that are not at right angles.
    """
    number, given = _lines_wanted(lines)
    fine = checks.tolerance("tolerance", tolerance)
    (outline, *more) = door.polygons("shape", shape)
    if more:
        raise ShapeError(f"The shape is one polygon; these are {1 + len(more)}. Symmetrise each, or their union.")
    left, low, right, high = outline.bounds
    most = max(right - left, high - low) * _MOST_OFF
    if most_off is not None:
        most = between("most_off", most_off, 0.0, FARTHEST)
    notes: list[str] = []
    if not given:
        given, others = found_lines(outline, number)
        if others:
            notes.append(
                f"{len(others)} other mirror lines would do nearly as well: {'; '.join(map(str, others))}. "
                "Give the one that is meant."
            )
    upright, level = _crossing_at(given)
    sides = sides_off(outline, upright, level)
    worst = max(sides, key=lambda side: side.largest)
    if worst.largest > most:
        about = " and ".join(map(str, given))
        raise ShapeError(
            f"The shape is not symmetrical about the line {about}: {worst}, more than {most:.2f}. Give other lines, "
            "or a greater most_off.",
            worst.place,
        )
    try:
        means = mean_pieces(outline, upright, level is not None, fine)
    except NoPartner as error:
        x, y = (placed(upright, np.array([error.place]))[0].round(6) + 0.0).tolist()
        raise ShapeError(
            f"The hole about ({x:.2f}, {y:.2f}) has no partner on the other side of the mirror line, nor lies on it.",
            (x, y),
        ) from None
    pieces = [fitted_piece(piece, fine) for piece in means]
    at_zero = MirrorLine((0.0, 0.0), 0.0, 1.0), None if level is None else MirrorLine((0.0, 0.0), 1.0, 0.0)
    moved = [piece._replace(points=placed(upright, piece.points)) for piece in pieces]
    return Symmetrised(
        shape=assembled(moved, upright, level),
        upright=assembled(pieces, *at_zero),
        lines=tuple(_two_points(line) for line in (upright, level) if line is not None),
        sides=tuple(sides),
        notes=tuple(notes),
    )


def _lines_wanted(lines: Any) -> tuple[int, tuple[MirrorLine, ...]]:
    """How many mirror lines, and which, if they are given."""
    if isinstance(lines, int) and not isinstance(lines, bool):
        return checks.whole("lines", lines, 1, 2), ()
    given = checks.sequence("lines", lines, "1, 2, or one or two mirror lines, each two points (x, y)")
    if len(given) not in (1, 2):
        raise InputError(f"lines must be one or two mirror lines, each two points (x, y), not {len(given)}.")
    found = [mirror_line(each) for each in given]
    if len(found) == 2:
        one, other = found
        cosine = one.along_x * other.along_x + one.along_y * other.along_y
        if abs(cosine) > _SQUARE:
            raise InputError(f"lines: two mirror lines are square to each other; {one} and {other} are not.")
    return len(found), tuple(found)


def _crossing_at(lines: Sequence[MirrorLine]) -> tuple[MirrorLine, MirrorLine | None]:
    """The steeper of one or two mirror lines, going up, and the other one square to it through where they cross."""
    first, *second = sorted(lines, key=lambda line: -abs(line.along_y))
    if (first.along_y, first.along_x) < (0.0, 0.0):
        first = first._replace(along_x=-first.along_x, along_y=-first.along_y)
    if not second:
        return first, None
    # The other line's point, seen from the first: its height is that of the crossing.
    (height,) = local(first, np.array([second[0].place]))[:, 1].tolist()
    x, y = placed(first, np.array([[0.0, height]]))[0].tolist()
    return first._replace(place=(x, y)), MirrorLine((x, y), first.along_y, 0.0 - first.along_x)


def _two_points(line: MirrorLine) -> MirrorPoints:
    x, y = line.place
    return (x, y), (x + line.along_x, y + line.along_y)
