"""Bore: a round hole larger than the cutter, cut down a helix."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import partial
from typing import Any

import shapely

from toolpaths.base.checks import length, let_in, one_of, places_in
from toolpaths.base.errors import DoesNotFitError, Point
from toolpaths.facts.cutter import Cutter
from toolpaths.facts.depth import Depth
from toolpaths.facts.features.feature import Feature
from toolpaths.facts.features.recess import Recess
from toolpaths.facts.way_down import narrowest_hole, too_narrow
from toolpaths.making.motion.route import Order
from toolpaths.making.motion.toolpath import PathBuilder
from toolpaths.making.operations.at_places import AtPlaces
from toolpaths.making.operations.entries import bore_fall
from toolpaths.making.operations.operation import CLEAR, Site, check_not_hollow, check_side_cutting
from toolpaths.making.operations.rings import DIRECTIONS, Direction
from toolpaths.shapes.plain_shapes import circle
from toolpaths.shapes.track import Segment, circle_track


@dataclass(frozen=True, kw_only=True, repr=False)
class Bore(AtPlaces):
    """A round hole at each place; made by bore()."""

    diameter: float
    direction: Direction = "conventional"

    def _check(self) -> None:
        super()._check()
        let_in(self, diameter=length, direction=partial(one_of, choices=DIRECTIONS))
        check_side_cutting(self.cutter)
        check_not_hollow(self.cutter)
        least, most = narrowest_hole(self.cutter), 2 * self.cutter.diameter
        if self.cutter.diameter < self.diameter < least:
            raise too_narrow(self.cutter, self.diameter - self.cutter.diameter, self.places[0])
        if not least <= self.diameter <= most or self.diameter == self.cutter.diameter:
            raise DoesNotFitError(
                f"A hole of {self.diameter:g} cannot be bored with {self.cutter}: it takes a hole wider than {least:g} "
                f"and at most {most:g} mm. Use another cutter, drill() for a smaller hole, pocket() for a larger one.",
                self.places[0],
            )

    @property
    def _usual_name(self) -> str:
        return f"bore {self.diameter:g}"

    def _cut_at(self, place: Point, builder: PathBuilder, site: Site) -> None:
        top, floor = self.top, self.floor(site.fixture)
        # The wood lies outside the ring: climb keeps it on the right, anticlockwise.
        circle = circle_track(place, (self.diameter - self.cutter.diameter) / 2, self.direction != "climb")
        ramp = (top - floor) / bore_fall(self.diameter, circle.length, self.cutter)
        builder.go_above(circle.start, top + CLEAR)
        builder.plunge(top)
        builder.follow(circle, [(0.0, top), (ramp, floor), (ramp + circle.length, floor)])
        # Off the wall on half a circle to the middle, without turning a corner at the wall.
        (x, y), sweep = circle.at(ramp), circle.segments[0].sweep
        off = Segment((x, y), place, ((x + place[0]) / 2, (y + place[1]) / 2), sweep)
        builder.segments((off,), floor)

    def parts(self, tolerance: float) -> tuple[Feature, ...]:
        holes = shapely.union_all([circle(self.diameter, place, tolerance=tolerance) for place in self.places])
        foot = self.cutter.radius - self.cutter.profile.flat_radius
        return (Recess(area=holes, depth=self.depth, corners=self.cutter.radius, foot=foot, name=self.title),)


def bore(
    places: Iterable[Any],
    diameter: float,
    cutter: Cutter,
    *,
    depth: Depth,
    from_depth: float = 0.0,
    direction: Direction = "conventional",
    order: Order = "short",
    name: str = "",
) -> Bore:
    """Bore a hole of the given diameter at each (x, y), seen from the front.

    The hole must be wider than the cutter and at most twice as wide, or a post would stay in its
    middle (D < hole <= 2 D; D + c <= hole with c the part of the tip that does not cut, taken to be half of D).
    direction : "climb" or "conventional", on the wall of the hole
    order : visit the places along a "short" way, or "as given", as for drill
    depth, from_depth, name : as for every operation

    >>> from toolpaths import Cutter, bore, flat, through
    >>> bore([(20, 70), (180, 70)], 8, Cutter(1, flat(6), feed_mm_min=1500, spindle_rpm=18000), depth=through(5))
    <bore 8: T1 flat 6, 0 to through and 5 deep>

    Raises DoesNotFitError for a hole that this cutter cannot bore, InputError for numbers that cannot be used.
    """
    return Bore(
        places=places_in("places", places), diameter=diameter, cutter=cutter, depth=depth, from_depth=from_depth,
        direction=direction, order=order, name=name,
    )  # fmt: skip
