"""What of an area is within reach of a round cutter: all but corners, which any round cutter leaves.

A corner narrows all the way to its tip, at any angle: half way from where the cutter stops to the tip it is half as
wide as the cutter. What stays wider, or is a room of its own, is an arm: it was drawn for a finer cutter, and is not
left out of what is to be cut.
"""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from toolpaths.base.checks import Floats
from toolpaths.base.long_outlines import buffered
from toolpaths.facts.features.slack import ROUND

# mm by which a cutter is taken for less: the axis has no room at all in a slot as wide as the cutter, which it cuts all
# the same. No more than the tolerance of paths, so that corners come out sharper by less than half of that.
_NO_WIDTH = 0.01
# Wood so many radii from the axis is left by any corner of 60 degrees or more, which is not looked at closer.
NEAR = 2.0
# Shares of the cutter's width at which it is looked at how far a corner goes on, and how much farther than between
# straight walls it may: walls of a corner may bulge.
_WIDTHS, _BULGE = (0.9, 0.7, 0.5, 0.3), 1.25


def reachable(area: BaseGeometry, radius: float) -> BaseGeometry:
    """An area without the corners that a round cutter leaves (reference: opening of the area by a disc).

    It gets into a slot as wide as itself, whose ends are corners too. Arms that it does not get into stay in.
    """
    radius -= _NO_WIDTH
    if radius <= 0:
        return area
    inner = _inner(area, radius)
    opened = buffered(inner, radius, quad_segs=ROUND)
    arms = _arms(area, inner, radius)
    return opened if arms.is_empty else shapely.union(opened, arms)


def reached(area: BaseGeometry, radius: float, places: Floats) -> NDArray[np.bool_]:
    """(k,) whether places (k, 2) lie in the reachable() area, which need not be made for a few of them."""
    inside = shapely.contains_xy(area, *places.T)
    radius -= _NO_WIDTH
    if radius > 0 and inside.any():
        inner, some = _inner(area, radius), shapely.points(places[inside])
        shapely.prepare(inner)
        # Within the chords of the arcs that a disc of that radius is drawn in.
        found = shapely.dwithin(inner, some, radius * np.cos(np.pi / 4 / ROUND))
        if not found.all():
            found[~found] = shapely.intersects(_arms(area, inner, radius), some[~found])
        inside[inside] = found
    return np.asarray(inside)


def narrow_arms(area: BaseGeometry, radius: float) -> BaseGeometry:
    """Arms and rooms of an area that a round cutter does not get into, but for what lies within its radius of what it
    does reach."""
    radius -= _NO_WIDTH
    return _arms(area, _inner(area, radius), radius) if radius > 0 else shapely.Polygon()


def _inner(area: BaseGeometry, radius: float) -> BaseGeometry:
    """Where the axis of a round cutter may be within an area.

    Beside a corner that juts into the area chords are nearer than their arc: finer ones, so that what is opened again
    comes out of the area by no more than a ten thousandth of the radius.
    """
    return buffered(area, -radius, quad_segs=4 * ROUND)


def _arms(area: BaseGeometry, inner: BaseGeometry, radius: float) -> BaseGeometry:
    parts = shapely.get_parts(area)
    rooms = parts[~shapely.intersects(parts, inner)]
    far = shapely.difference(area, buffered(inner, NEAR * radius, quad_segs=ROUND))
    if far.is_empty:
        return far
    left = shapely.get_parts(shapely.difference(area, buffered(inner, radius, quad_segs=ROUND)))
    wide = [part for part in left if part.intersects(far) and not _narrows_to_tip(part, area, inner, radius)]
    return shapely.union_all([*rooms, *shapely.intersection(wide, far)])


def _narrows_to_tip(part: BaseGeometry, area: BaseGeometry, inner: BaseGeometry, radius: float) -> bool:
    """Whether a part that a cutter leaves of an area is a corner."""
    left, low, right, high = part.bounds
    near = shapely.intersection(area, shapely.box(left - radius, low - radius, right + radius, high + radius))
    deep = _farthest(part, inner)
    for width in _WIDTHS:
        fits = shapely.intersection(part, shapely.buffer(near, -width * radius, quad_segs=ROUND))
        if not fits.is_empty and _farthest(fits, inner) > _BULGE * deep * (1 - width):
            return False
    return True


def _farthest(part: BaseGeometry, inner: BaseGeometry) -> float:
    """mm from the farthest corner of a part to where the axis may be."""
    return float(shapely.distance(inner, shapely.points(shapely.get_coordinates(part))).max())
