"""Drill: holes at points, in one go or a peck at a time."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

import shapely

from toolpaths.base.checks import not_negative, one_of, points
from toolpaths.base.errors import InputError
from toolpaths.facts.cutter import Cutter
from toolpaths.facts.depth import Depth, Through, checked_depth
from toolpaths.facts.part import CutAlong, Feature
from toolpaths.making.motion.route import checked_order
from toolpaths.making.motion.toolpath import Hole, PathBuilder, Toolpath
from toolpaths.making.operations import visit
from toolpaths.making.operations.entry import check_plunge
from toolpaths.making.operations.operation import (
    CLEAR,
    Operation,
    Site,
    Stage,
    checked_cutter,
    checked_name,
    checked_top,
    floor_of,
    from_face,
)

DEPTH_OF = ("tip", "full diameter")
# Less than this in one peck, mm, is a slip of the finger, and might be written as 0.
_LEAST_PECK = 0.1


def checked_peck(peck: float) -> float:
    """0, or a peck that makes a chip."""
    if 0 < not_negative("peck", peck) < _LEAST_PECK:
        raise InputError(f"peck={peck:g} is less than {_LEAST_PECK:g} mm; take more, or 0 to drill in one go.")
    return float(peck)


def drill(
    places: Iterable[Any],
    cutter: Cutter,
    *,
    depth: Depth,
    depth_of: str = "tip",
    peck: float = 0.0,
    dwell_s: float = 0.0,
    order: str = "short",
    top: float = 0.0,
    name: str = "",
) -> Operation:
    """Drill a hole at each (x, y), seen from the front.

    depth_of : whether `depth` counts to the "tip" of the drill, or to where the hole has its "full
        diameter"; the latter goes deeper by the length of the point
    peck : mm drilled between two retracts that clear the chips; 0 drills in one go
    dwell_s : seconds at the bottom
    order : visit the places along a "short" way, from where the cutter waits and back, or "as given"
    """
    at = points("places", places)
    depth = checked_depth(depth)
    one_of("depth_of", depth_of, DEPTH_OF)
    peck = checked_peck(peck)
    not_negative("dwell_s", dwell_s)
    checked_order(order)
    top = checked_top(top)
    check_plunge(checked_cutter(cutter))

    def make(site: Site) -> Toolpath:
        fixture = site.fixture
        bottom = floor_of(depth, top, fixture)
        if depth_of == "full diameter":
            bottom -= cutter.profile.tip_height
        hole = Hole(top + CLEAR, bottom, peck, dwell_s)
        builder = PathBuilder(cutter, fixture.safe_z)
        for place in visit.places(at, order, cutter, fixture):
            builder.drill(place, hole)
        return builder.path()

    called = checked_name(name, "drill")

    def meant(tolerance: float) -> tuple[Feature, ...]:
        deep = from_face(depth, top)
        if depth_of == "full diameter":
            point = cutter.profile.tip_height
            deep = Through(deep.beyond + point) if isinstance(deep, Through) else deep + point
        return (CutAlong(line=shapely.MultiPoint(at), profile=cutter.profile, depth=deep, name=called),)

    return Operation(called, (Stage(cutter, make),), meant, top)
