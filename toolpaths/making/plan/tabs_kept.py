"""Does an edge that is cut over tabs leave them as high as they were meant to be?"""

from __future__ import annotations

from collections.abc import Iterable
from math import floor

import shapely

from toolpaths.base.errors import DoesNotFitError
from toolpaths.facts.features.feature import Feature
from toolpaths.making.motion.removed import Swept
from toolpaths.making.motion.toolpath import Toolpath
from toolpaths.making.operations.edge_cut import EdgeCut
from toolpaths.making.operations.operation import Operation, Site

# mm that a tab may lose, and mm2 over which less counts for nothing.
_HAIR, _SLIVER = 0.02, 0.01


def check_tabs_kept(
    operation: Operation, path: Toolpath, earlier: Iterable[tuple[Operation, Toolpath]], site: Site
) -> None:
    """The toolpath of an edge on a site, over cuts with tabs that were made before it on this side.

    Raises DoesNotFitError with the place, and the height of tabs that would do.
    """
    if not isinstance(operation, EdgeCut) or not path.moves:
        return
    edge, underside = Swept(path), site.fixture.underside_z
    for cut, way in earlier:
        for feature in cut.features(site.tolerance) if cut.has_tabs else ():
            if not feature.tab_height or path.lowest > _top(feature, underside) - _HAIR:
                continue
            top, bottom = _top(feature, underside), max(feature.floor(underside), underside)
            kerf = Swept(way).down_to(top)
            tabs = shapely.difference(kerf, site.removed.down_to(top - _HAIR, kerf))
            hit = shapely.intersection(tabs, edge.down_to(top - _HAIR))
            if hit.area < _SLIVER:
                continue
            x, y = shapely.point_on_surface(max(shapely.get_parts(hit), key=lambda part: part.area)).coords[0]
            left = max(path.lowest - bottom, 0.0)
            low = f"take tabs of {floor(left * 10) / 10:g} mm or less, or " if left >= 0.1 else ""
            raise DoesNotFitError(
                f"its tip goes {top - path.lowest:.2f} mm into the tabs of the {cut.title} near ({x:.1f}, {y:.1f}), of "
                f"which {left:.2f} mm would be left; {low}hold the part otherwise.",
                (x, y),
            )


def _top(feature: Feature, underside: float) -> float:
    """Z of the top of the tabs that a feature is to have."""
    return max(feature.floor(underside), underside) + feature.tab_height
