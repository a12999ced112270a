"""Hinge cups: the holes of concealed cabinet hinges, each with those of its two screws. Made of the operations that are
there: nothing here moves a cutter."""

from __future__ import annotations

from collections.abc import Sequence
from math import hypot
from typing import Any

import numpy as np
import shapely

from toolpaths.base import checks
from toolpaths.base.checks import Floats, between, length, points
from toolpaths.base.errors import DoesNotFitError, InputError
from toolpaths.facts.cutter import Cutter
from toolpaths.making.operations.bore import bore
from toolpaths.making.operations.drill import drill
from toolpaths.making.operations.operation import Operation, checked_cutter
from toolpaths.making.operations.pocket import pocket
from toolpaths.shapes.plain_shapes import circle
from toolpaths.shapes.tolerance_shares import DEFAULT_TOLERANCE

# mm; two makers' catalogues (Grass, Blum): 35 wide, to which 0.1 may be added; its screws 45 apart and 9.5 further in;
# from 3 to 8 of wood between the cup and the edge of the door.
_WIDE, _APART, _FURTHER_IN = 35.1, 45.0, 9.5
_LEAST_EDGE, _MOST_EDGE = 3.0, 8.0
# mm by which a cutter that is only let down may be off the cup that it makes.
_AS_WIDE = 0.15


def hinge_cup(
    edge: Sequence[Any],
    along: Sequence[float],
    cutter: Cutter,
    pilot: Cutter | None = None,
    *,
    depth: float,
    to_edge: float,
    diameter: float = _WIDE,
    screws_apart: float = _APART,
    screws_further_in: float = _FURTHER_IN,
    pilot_depth: float = 10.0,
    name: str = "hinge cups",
) -> tuple[Operation, ...]:
    """The holes of concealed hinges along the edge of a door, seen from the front: cups with level floors, and pilot
    holes for the two screws of each.

    edge : two places (x, y) of the door's edge, the door on the left as one goes from the first to the second
    along : mm from the first of them to the middle of each hinge
    cutter : clears the cups, or bores them where it is half as wide or more, or is let down where it is as wide
    pilot : the drill for the screws; None where the hinge is pressed in without
    depth : mm of the cup, as its maker says: 10.5, 12.5 or 12.6 and more (Indaux, Grass); the setup refuses a board
        that is no thicker
    to_edge : mm of wood between the cup and the edge, 3 to 8 (Grass, Blum)
    diameter : 35 and 0.1 (Grass, Blum)
    screws_apart, screws_further_in : mm, of the screws from each other, and from the cup's middle away from the edge:
        45 and 9.5 (Grass, Blum)
    pilot_depth : mm (common practice, no source)

    >>> from toolpaths import Cutter, drill_point, flat, hinge_cup
    >>> T1 = Cutter(1, flat(6), feed_mm_min=1500, spindle_rpm=18000)
    >>> T4 = Cutter(4, drill_point(2.5), feed_mm_min=600, spindle_rpm=8000)
    >>> for work in hinge_cup([(0, 600), (0, 0)], [90, 510], T1, T4, depth=12.5, to_edge=5):
    ...     print(work)
    <hinge cups: T1 flat 6, 0 to 12.5 deep>
    <hinge cups, screws: T4 drill 2.5 118 deg, 0 to 10 deep>

    They stand in a setup's list as `*hinge_cup(...)`, mostly on the back of a door.

    Raises InputError for an edge of no length, a place that is not on it, and a distance from it that no hinge is made
    for; DoesNotFitError for a cutter wider than the cup.
    """
    checked_cutter("cutter", cutter)
    ends = points("edge", edge, 2)
    if len(ends) != 2 or not np.ptp(ends, axis=0).any():
        raise InputError("edge must be two places of the door's edge, such as [(0, 600), (0, 0)].")
    wide, deep = length("diameter", diameter), length("depth", depth)
    if not _LEAST_EDGE <= checks.positive("to_edge", to_edge) <= _MOST_EDGE:
        raise InputError(
            f"to_edge={to_edge:g} mm of wood between cup and edge: makers say {_LEAST_EDGE:g} to {_MOST_EDGE:g}. For "
            "another hinge take pocket() and drill()."
        )
    middles, inwards, long = _middles(ends, checks.sequence("along", along, "a list of distances"), to_edge + wide / 2)
    cups = _cups([(x, y) for x, y in middles.tolist()], cutter, wide, deep, name)
    if pilot is None:
        return (cups,)
    aside = length("screws_apart", screws_apart) / 2 * long
    further = middles + length("screws_further_in", screws_further_in) * inwards
    screws = [tuple(at) for pair in zip((further - aside).tolist(), (further + aside).tolist()) for at in pair]
    return cups, drill(screws, pilot, depth=pilot_depth, name=f"{name}, screws")


def _middles(ends: Floats, along: list[Any], inside: float) -> tuple[Floats, Floats, Floats]:
    """(n, 2) the middles of cups so far inside an edge, and the unit vectors into the door and along its edge."""
    step = ends[1] - ends[0]
    length_of_edge = hypot(*step)
    long = step / length_of_edge
    inwards = np.array([-long[1], long[0]])
    if not along:
        raise InputError("along is empty; give the distance of each hinge from the first end of the edge.")
    at = np.array([between("along", each, 0.0, length_of_edge) for each in along])
    return ends[0] + at[:, None] * long + inside * inwards, inwards, long


def _cups(middles: list[tuple[float, float]], cutter: Cutter, wide: float, deep: float, name: str) -> Operation:
    across = cutter.diameter
    if abs(across - wide) <= _AS_WIDE:
        return drill(middles, cutter, depth=deep, name=name)
    if across > wide:
        raise DoesNotFitError(f"{cutter} is wider than a cup of {wide:g}; {wide:g} is the most.", middles[0])
    if 2 * across >= wide:
        return bore(middles, wide, cutter, depth=deep, name=name)
    discs = shapely.union_all([circle(wide, at, tolerance=DEFAULT_TOLERANCE / 10) for at in middles])
    return pocket(discs, cutter, depth=deep, name=name)
