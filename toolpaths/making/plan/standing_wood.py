"""Does a toolpath begin at the wood that stands?

Below it its rapids would end in wood, and its first pass would be deeper; above it what gets wider with its depth would
not be as wide as asked for.
"""

from __future__ import annotations

import shapely
from shapely import Polygon
from shapely.geometry.base import BaseGeometry

from toolpaths.base.errors import DoesNotFitError
from toolpaths.making.motion.removed import Removed, Swept
from toolpaths.making.motion.toolpath import Toolpath
from toolpaths.making.operations.operation import Operation, Site

# mm: wood no higher than this and no wider than twice this is a hair between two cuts, not wood that hinders a cutter.
_HAIR = 0.05
# mm to which the height of standing wood is found.
_FINE = 0.001


def check_begins_in_air(path: Toolpath, top: float, site: Site) -> None:
    """A toolpath of an operation that begins at z `top`, on a site where no wood stands above that in its way.

    Raises DoesNotFitError with the place and the height of the wood, where its largest piece is widest.
    """
    if top >= 0:
        return
    standing = _standing(path, top, site)
    if standing.is_empty:
        return
    largest = max(shapely.get_parts(standing), key=lambda part: part.area)
    x, y = shapely.maximum_inscribed_circle(largest).coords[0]
    height = _height(shapely.Point(x, y), top, site.removed)
    deep = f"{-height:.2f} mm below the face" if height < 0 else "the face"
    raise DoesNotFitError(
        f"it begins at from_depth={-top:g}, but wood stands up to {deep} near ({x:.1f}, {y:.1f}). Take that before, or "
        f"let it begin at from_depth={abs(round(height, 2)):g}.",
        (x, y),
    )


def check_as_wide(operation: Operation, site: Site) -> None:
    """An operation that gets wider with its depth, where wood stands up to where it begins.

    Raises DoesNotFitError with the place, and the depth at which the wood there begins.
    """
    if not site.removed.swept or operation.rim.is_empty:
        return
    board = site.fixture.board.outline
    rims = shapely.get_parts(shapely.intersection(site.fixture.place(operation.rim), board))
    bare = site.removed.down_to(operation.top - _HAIR, shapely.union_all(rims))
    shapely.prepare(bare)
    for rim in rims[shapely.covers(bare, rims)]:
        x, y = shapely.point_on_surface(rim).coords[0]
        begins = -site.removed.highest_wood(rim)
        left = "none is left"
        if begins < -site.fixture.underside_z:
            left = f"it begins {begins:.2f} mm below the face: give from_depth={round(begins, 3):g}"
        raise DoesNotFitError(
            f"it is as wide as asked for only where wood stands up to from_depth={operation.from_depth:g}, and near "
            f"({x:.1f}, {y:.1f}) {left}, or do this before.",
            (x, y),
        )


def _standing(path: Toolpath, top: float, site: Site) -> BaseGeometry:
    """Where on the board wood stands above z `top` where the cutter comes, but for hairs."""
    swept, board = Swept(path, min), site.fixture.board.outline
    if site.removed.took_all(shapely.intersection(swept.bounds, board), top + _HAIR):
        return Polygon()
    ground = shapely.intersection(swept.down_to(top), board)
    wood = shapely.difference(ground, site.removed.down_to(top + _HAIR, ground))
    # Two walls along one line are each a tolerance off it at most.
    return shapely.buffer(wood, -_HAIR - site.tolerance)


def _height(place: shapely.Point, top: float, removed: Removed) -> float:
    """Z of the wood that stands at a place above z `top`."""
    low, high = top, 0.0
    while high - low > _FINE:
        middle = (low + high) / 2
        if removed.down_to(middle, place).covers(place):
            high = middle
        else:
            low = middle
    return high
