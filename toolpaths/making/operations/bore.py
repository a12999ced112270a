"""Bore: a round hole larger than the cutter, cut down a helix."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

import shapely

from toolpaths.base.checks import points, positive
from toolpaths.base.errors import DoesNotFitError
from toolpaths.facts.cutter import Cutter
from toolpaths.facts.depth import Depth, checked_depth
from toolpaths.facts.part import Feature, Recess
from toolpaths.making.motion.route import checked_order
from toolpaths.making.motion.toolpath import PathBuilder, Toolpath
from toolpaths.making.operations import ring as rounds
from toolpaths.making.operations import visit
from toolpaths.making.operations.entry import bore_fall
from toolpaths.making.operations.operation import (
    CLEAR,
    Operation,
    Site,
    Stage,
    check_side_cutting,
    checked_name,
    checked_top,
    floor_of,
    from_face,
)
from toolpaths.shapes.plain_shapes import circle
from toolpaths.shapes.track import Piece, circle_track

# A cutter that does not cut at its centre is taken to be dead over this share of its diameter.
_DEAD_CENTRE = 0.5


def bore(
    places: Iterable[Any],
    diameter: float,
    cutter: Cutter,
    *,
    depth: Depth,
    direction: str = "conventional",
    order: str = "short",
    top: float = 0.0,
    name: str = "",
) -> Operation:
    """Bore a hole of the given diameter at each (x, y), seen from the front.

    The hole must be wider than the cutter and at most twice as wide, or a post would stay in its
    middle (D + c < hole <= 2 D, with c the part of the tip that does not cut, 0 or taken to be half of D).
    direction : "climb" or "conventional", on the wall of the hole
    order : visit the places along a "short" way, or "as given", as for drill
    """
    at = points("places", places)
    positive("diameter", diameter)
    rounds.checked_direction(direction)
    checked_order(order)
    check_side_cutting(cutter)
    depth = checked_depth(depth)
    top = checked_top(top)
    least = cutter.diameter * (1 if cutter.centre_cutting else 1 + _DEAD_CENTRE)
    if not least < diameter <= 2 * cutter.diameter:
        raise DoesNotFitError(
            f"A hole of {diameter:g} cannot be bored with {cutter}: it takes a hole wider than {least:g} and at most "
            f"{2 * cutter.diameter:g} mm. Use another cutter, drill() for a smaller hole, pocket() for a larger one.",
            (float(at[0][0]), float(at[0][1])),
        )

    def make(site: Site) -> Toolpath:
        fixture = site.fixture
        floor = floor_of(depth, top, fixture)
        builder = PathBuilder(cutter, fixture.safe_z)
        for place in visit.places(at, order, cutter, fixture):
            # The wood lies outside the ring: climb keeps it on the right, anticlockwise.
            circle = circle_track(place, (diameter - cutter.diameter) / 2, direction != "climb")
            run = (top - floor) / bore_fall(diameter, circle.length, cutter)
            builder.go_above(circle.start, top + CLEAR)
            builder.plunge(top)
            builder.follow(circle, [(0.0, top), (run, floor), (run + circle.length, floor)])
            # Off the wall on half a circle to the middle, without turning a corner at the wall.
            (x, y), sweep = circle.at(run), circle.pieces[0].sweep
            off = Piece((x, y), place, ((x + place[0]) / 2, (y + place[1]) / 2), sweep)
            builder.pieces((off,), floor)
        return builder.path()

    called = checked_name(name, f"bore {diameter:g}")

    def meant(tolerance: float) -> tuple[Feature, ...]:
        holes = shapely.union_all([circle(diameter, place, tolerance=tolerance) for place in at])
        foot = cutter.radius - cutter.profile.flat_radius
        return (Recess(area=holes, depth=from_face(depth, top), corners=cutter.radius, foot=foot, name=called),)

    return Operation(called, (Stage(cutter, make),), meant, top)
