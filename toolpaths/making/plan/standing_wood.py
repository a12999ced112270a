"""Does a toolpath begin below wood that still stands? Its rapids would end in it, its first pass would be deeper."""

from __future__ import annotations

import shapely
from shapely import Polygon
from shapely.geometry.base import BaseGeometry

from toolpaths.base.errors import DoesNotFitError
from toolpaths.making.motion.removed import Removed, Swept
from toolpaths.making.motion.toolpath import Toolpath
from toolpaths.making.operations.operation import Site

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


def _standing(path: Toolpath, top: float, site: Site) -> BaseGeometry:
    """Where on the board wood stands above z `top` where the cutter comes, but for hairs."""
    swept, board = Swept(path, min), site.fixture.board.outline
    if _bare(shapely.intersection(swept.bounds, board), top, site.removed):
        return Polygon()
    ground = shapely.intersection(swept.down_to(top), board)
    wood = shapely.difference(ground, site.removed.down_to(top + _HAIR, ground))
    # Two walls along one line are each a tolerance off it at most.
    return shapely.buffer(wood, -_HAIR - site.tolerance)


def _bare(area: BaseGeometry, top: float, removed: Removed) -> bool:
    """Whether one earlier toolpath left no wood above z `top` all over an area, as levelling a face does: soon seen."""
    return any(
        shapely.covers(each.bounds, area) and shapely.covers(each.down_to(top + _HAIR), area) for each in removed.swept
    )


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
