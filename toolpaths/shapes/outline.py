"""An outline drawn piece by piece: lines, arcs, smooth curves. Immutable; every verb returns a new one."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import partial
from math import atan2, cos, degrees, hypot, pi, radians, sin
from typing import Any

import numpy as np
from shapely import LineString, Polygon

from toolpaths.base import checks
from toolpaths.base.checks import Floats, finite, flag, let_in, optional, point, points
from toolpaths.base.errors import InputError, Point, ShapeError
from toolpaths.base.values import Value
from toolpaths.shapes import curves, door
from toolpaths.shapes.biarc import biarc
from toolpaths.shapes.tolerance_shares import DEFAULT_TOLERANCE, FLATTEN

# The equations of a smooth curve take as many numbers as the square of this.
_MOST_PLACES = 2000


def _drawn_chords(name: str, chords: Any) -> tuple[Floats, ...]:
    """The chords of an outline, as its own verbs make them."""
    if not isinstance(chords, tuple) or not all(
        isinstance(each, np.ndarray) and each.shape[1:] == (2,) and len(each) and np.isfinite(each).all()
        for each in chords
    ):
        raise InputError(f"{name} are made by line_to() and the like.")
    return chords


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class Outline(Value):
    """A line under construction, starting at a point.

    heading_deg : the direction in which it leaves its start, for a tangent piece to go on from;
        later the direction at its end

    >>> tongue = Outline((0, 0)).line_to((10, 0)).arc_to((10, 10), centre=(10, 5)).line_to((0, 10)).line_to((0, 0))
    >>> tongue.close().bounds
    (0.0, 0.0, 15.0, 10.0)
    >>> tongue
    <Outline: from (0, 0) to (0, 0) in 4 pieces>

    Raises ShapeError where what is drawn cannot be, for instance an arc about no centre.
    """

    start: Point
    heading_deg: float | None = None
    tolerance: float = DEFAULT_TOLERANCE
    chords: tuple[Floats, ...] = ()

    def __post_init__(self) -> None:
        let_in(
            self,
            start=point,
            heading_deg=partial(optional, door=finite),
            tolerance=checks.tolerance,
            chords=_drawn_chords,
        )

    def __repr__(self) -> str:
        (x, y), (u, v) = self.start, self.end
        return f"<Outline: from ({x:g}, {y:g}) to ({u:g}, {v:g}) in {len(self.chords)} pieces>"

    @property
    def end(self) -> Point:
        x, y = self.chords[-1][-1] if self.chords else self.start
        return float(x), float(y)

    @property
    def line(self) -> LineString:
        """The open line drawn so far."""
        if not self.chords:
            raise ShapeError(f"Nothing is drawn yet from ({self.start[0]:g}, {self.start[1]:g}).", self.start)
        return LineString(np.vstack([np.array([self.start]), *self.chords]))

    def _heading(self) -> float:
        if self.heading_deg is None:
            raise ShapeError(
                "A tangent piece needs one before it to go on from, or heading_deg= at the start.", self.end
            )
        return radians(self.heading_deg)

    def _with(self, chords: Floats, heading: float) -> Outline:
        return Outline(self.start, degrees(heading), self.tolerance, (*self.chords, chords))

    def line_to(self, end: Point) -> Outline:
        """A straight line."""
        x, y = point("end", end)
        dx, dy = x - self.end[0], y - self.end[1]
        if hypot(dx, dy) == 0:
            raise ShapeError(f"The line to ({x:g}, {y:g}) has no length.", (x, y))
        return self._with(np.array([[x, y]]), atan2(dy, dx))

    def arc_to(self, end: Point, *, centre: Point, clockwise: bool = False) -> Outline:
        """An arc about a centre; a full turn where end is the point it starts from."""
        end, centre, clockwise = point("end", end), point("centre", centre), flag("clockwise", clockwise)
        near, far = (hypot(p[0] - centre[0], p[1] - centre[1]) for p in (self.end, end))
        if abs(near - far) > self.tolerance * FLATTEN or near == 0:
            raise ShapeError(
                f"The arc to ({end[0]:g}, {end[1]:g}) starts {near:.4f} mm from its centre and ends {far:.4f} mm "
                "from it; these must be equal.",
                end,
            )
        return self._arc(centre, curves.sweep_between(centre, self.end, end, clockwise), end)

    def arc_through(self, middle: Point, end: Point) -> Outline:
        """An arc through a point on the way."""
        middle, end = point("middle", middle), point("end", end)
        centre = curves.centre_of(self.end, middle, end)
        if centre is None:
            raise ShapeError(f"The three points of the arc to ({end[0]:g}, {end[1]:g}) lie on one line.", end)
        sweep = curves.sweep_between(centre, self.end, end, False)
        if curves.sweep_between(centre, self.end, middle, False) > sweep:
            sweep -= 2 * pi
        return self._arc(centre, sweep, end)

    def tangent_arc_to(self, end: Point) -> Outline:
        """An arc that goes on smoothly from the piece before it."""
        end = point("end", end)
        heading = self._heading()
        centre = curves.tangent_arc_centre(self.end, heading, end)
        if centre is None:
            if (end[0] - self.end[0]) * cos(heading) + (end[1] - self.end[1]) * sin(heading) < 0:
                raise ShapeError(f"No arc goes on smoothly to ({end[0]:g}, {end[1]:g}): it lies straight behind.", end)
            return self.line_to(end)
        left = (centre[0] - self.end[0]) * -sin(heading) + (centre[1] - self.end[1]) * cos(heading)
        return self._arc(centre, curves.sweep_between(centre, self.end, end, left < 0), end)

    def smooth_through(self, places: Iterable[Any], *, tangent: bool = False) -> Outline:
        """A smooth curve through points; with tangent=True it goes on smoothly from the piece before it."""
        given = points("places", places)
        if len(given) > _MOST_PLACES:
            raise InputError(
                f"places: {len(given)} are more than {_MOST_PLACES}; give a shapely LineString for so many."
            )
        all_points = np.vstack([[self.end], given])
        fine = self.tolerance * FLATTEN
        chords, heading = curves.smooth(all_points, fine, self._heading() if flag("tangent", tangent) else None)
        return self._with(chords[1:], heading)

    def _arc(self, centre: Point, sweep: float, end: Point) -> Outline:
        chords = curves.arc(centre, self.end, sweep, self.tolerance * FLATTEN)[1:]
        chords[-1] = end
        out = atan2(end[1] - centre[1], end[0] - centre[0])
        return self._with(chords, out + (pi / 2 if sweep > 0 else -pi / 2))

    def close(self) -> Polygon:
        """The closed outline as a polygon; a gap between end and start is an error.

        close_straight() and close_smoothly() draw what is missing.
        """
        coordinates = np.asarray(self.line.coords)
        gap = hypot(self.end[0] - self.start[0], self.end[1] - self.start[1])
        if gap > self.tolerance * FLATTEN:
            raise ShapeError(
                f"The outline does not close: from its end ({self.end[0]:.4f}, {self.end[1]:.4f}) to its start "
                f"({self.start[0]:.4f}, {self.start[1]:.4f}) there is a gap of {gap:.4f} mm; close_straight() and "
                "close_smoothly() bridge it.",
                self.end,
            )
        return door.polygon("outline", coordinates[:-1])

    def close_straight(self) -> Polygon:
        """The outline closed by a straight line from its end to its start, as a polygon."""
        return (self if self.end == self.start else self.line_to(self.start)).close()

    def close_smoothly(self, arrival_deg: float) -> Polygon:
        """The outline closed by two arcs that go on smoothly from its end and reach its start in a direction."""
        arrival = radians(finite("arrival_deg", arrival_deg))
        arcs = biarc(self.end, self._heading(), self.start, arrival)
        if arcs is None:
            raise ShapeError(
                f"No two arcs lead smoothly from the end ({self.end[0]:g}, {self.end[1]:g}) back to the start "
                f"({self.start[0]:g}, {self.start[1]:g}) at {arrival_deg:g} degrees.",
                self.end,
            )
        closed = self
        for segment in arcs:
            if segment.sweep:
                closed = closed._arc(segment.centre, segment.sweep, segment.end)
            else:
                closed = closed.line_to(segment.end)
        return closed.close()
