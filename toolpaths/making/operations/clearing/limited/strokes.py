"""The strokes that clear an area with limited engagement, in their order."""

from __future__ import annotations

from shapely import Polygon
from shapely.geometry.base import BaseGeometry

from toolpaths.base.errors import DoesNotFitError, Point
from toolpaths.making.operations.clearing.limited.cuts import cuts_of
from toolpaths.making.operations.clearing.limited.fronts import deep
from toolpaths.making.operations.clearing.limited.growth import growth
from toolpaths.making.operations.clearing.limited.returns import Returns, Stroke
from toolpaths.shapes import arc_fit
from toolpaths.shapes.tolerance_shares import FIT
from toolpaths.shapes.track import Track

# Deeper than this share of the tolerance, what is left in a corner is an error.
_TOO_DEEP = 5.0


def strokes(
    centres: Polygon,
    free: BaseGeometry,
    here: Point,
    *,
    radius: float,
    limit_deg: float,
    widest: float,
    climb: bool,
    tolerance: float,
) -> list[Stroke]:
    """What clears `centres`, where the cutter's axis may be, when it meets no wood in `free`, in order.

    here : where the axis is at first, in `free`
    widest : mm from front to front at most, up to the radius of what cuts level, or wood would be left between them
    climb : whether the wood is on the right of the travel
    Raises DoesNotFitError where the limit cannot be kept.
    """
    grown = growth(centres, free, radius, limit_deg, widest, tolerance)
    left = deep(centres, grown.free, _TOO_DEEP * tolerance)
    if left:
        at = left[0].representative_point()
        raise DoesNotFitError(
            f"The limit of engagement cannot be kept near ({at.x:.1f}, {at.y:.1f}); take a finer cutter there, or "
            "engagement_deg=180.",
            (at.x, at.y),
        )
    if not grown.fronts:
        return []
    cuts = cuts_of(grown.fronts, here, radius, climb)
    returns = Returns(centres, grown, [cut.front for cut in cuts], radius, tolerance)
    found: list[Stroke] = []
    before: Track | None = None
    for done, cut in enumerate(cuts):
        track = arc_fit.fit(cut.points, False, grown.fronts[cut.front].discs.fine * FIT)
        found.append(returns.stroke(before, here, track, 1.0 if climb else -1.0, done))
        before, here = track, track.segments[-1].end
    return found
