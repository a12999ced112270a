"""For users' own tests: assertions about programs that print what a reader needs when they fail."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np
import pyclipper
import shapely
from shapely.geometry.base import BaseGeometry

from toolpaths.cutters import Cutter
from toolpaths.fixture import Fixture
from toolpaths.geometry.door import polygons, ring_points
from toolpaths.geometry.offset import offset
from toolpaths.simulate import Report, Stock, simulate


def assert_safe(
    text: str, fixture: Fixture, cutters: Iterable[Cutter], *, cell: float = 0.25, stock: Stock | None = None
) -> Report:
    """The report of simulate(); an AssertionError that prints it if there is any finding."""
    report = simulate(text, fixture, cutters, cell=cell, stock=stock)
    if not report.ok:
        raise AssertionError(f"The {fixture.side} program is not safe.\n{report}")
    return report


def assert_offset_agrees(shape: BaseGeometry, distance: float, *, tolerance: float = 0.01) -> None:
    """Have a second, independent engine offset a shape, and compare: every corner within the tolerance.

    The library offsets with GEOS; this asks pyclipper, on whole numbers of a thousandth of the
    tolerance. For your own shapes, where they are odd enough to doubt. Raises AssertionError with
    the place and the distance where the two differ most.
    """
    ours = offset(shape, distance, tolerance=tolerance)
    scale = 1000 / tolerance
    clipper = pyclipper.PyclipperOffset(2.0, tolerance / 8 * scale)
    for polygon in polygons("shape", shape):
        for ring in (polygon.exterior, *polygon.interiors):
            whole = np.rint(ring_points(ring) * scale).astype(np.int64).tolist()
            clipper.AddPath(whole, pyclipper.JT_ROUND, pyclipper.ET_CLOSEDPOLYGON)
    theirs = [np.array(ring) / scale for ring in clipper.Execute(distance * scale)]
    if not theirs:
        raise AssertionError("The second engine leaves nothing of the shape.")
    edges = {"ours": ours.boundary, "theirs": shapely.MultiLineString([[*ring, ring[0]] for ring in theirs])}
    for name, other in (("ours", "theirs"), ("theirs", "ours")):
        corners = shapely.get_coordinates(edges[name])
        away = shapely.distance(shapely.points(corners), edges[other])
        worst = int(np.argmax(away))
        if away[worst] > tolerance:
            x, y = corners[worst]
            raise AssertionError(f"The engines differ by {away[worst]:.4f} mm at ({x:.3f}, {y:.3f}).")
