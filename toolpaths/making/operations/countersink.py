"""Countersink: a cone at the mouth of a hole, in which the head of a screw sits flush."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from functools import partial
from math import radians, tan
from typing import Any, ClassVar

import shapely
from shapely.geometry.base import BaseGeometry

from toolpaths.base.checks import between, distance, length, let_in, places_in
from toolpaths.base.errors import DoesNotFitError, InputError, Point
from toolpaths.facts.cutter import Cutter
from toolpaths.facts.depth import Depth
from toolpaths.facts.features.cone import Cone
from toolpaths.facts.features.feature import Feature
from toolpaths.facts.screw_heads import head_of
from toolpaths.facts.way_down import check_plunge
from toolpaths.making.motion.route import Order
from toolpaths.making.motion.toolpath import Hole, PathBuilder
from toolpaths.making.operations.at_places import AtPlaces
from toolpaths.making.operations.operation import CLEAR, RIM, Site, checked_cutter

# A head whose cone differs by more than so many degrees from its seat sits on its rim or on its point.
_SAME_ANGLE_DEG = 0.5


@dataclass(frozen=True, kw_only=True, repr=False)
class Countersink(AtPlaces):
    """A cone at each place; made by countersink(). Its depth follows from its width and angle."""

    depth_given: ClassVar[bool] = False
    depth: Depth = field(init=False)
    diameter: float
    angle_deg: float = 90.0

    def __post_init__(self) -> None:
        let_in(
            self,
            diameter=length,
            angle_deg=partial(between, low=10.0, high=170.0),
            from_depth=distance,
            cutter=checked_cutter,
        )
        profile = self.cutter.profile
        if profile.kind != "V":
            raise InputError(f"A countersink takes a V cutter; {self.cutter} is none.")
        if profile.tip_diameter >= self.diameter:
            raise DoesNotFitError(f"The tip of {self.cutter} is as wide as the countersink, {self.diameter:g} mm.")
        down = (self.diameter - profile.tip_diameter) / 2 / tan(radians(self.angle_deg / 2))
        object.__setattr__(self, "depth", self.from_depth + down)
        super().__post_init__()

    def _check(self) -> None:
        super()._check()
        check_plunge(self.cutter)
        profile = self.cutter.profile
        if abs(profile.angle_deg - self.angle_deg) > _SAME_ANGLE_DEG:
            raise DoesNotFitError(
                f"{self.cutter} cuts a cone of {profile.angle_deg:g} degrees, and the head has {self.angle_deg:g}: it "
                "would sit on its rim or point, and rock. Take a cutter of the head's angle, or give angle_deg=.",
                self.places[0],
            )
        if self.diameter > profile.diameter:
            raise DoesNotFitError(
                f"{self.cutter} is too narrow for a countersink {self.diameter:g} wide; {profile.diameter:g} is the "
                "most that it cuts in one plunge.",
                self.places[0],
            )

    @property
    def _usual_name(self) -> str:
        return f"countersink {self.diameter:g}"

    @property
    def rim(self) -> BaseGeometry:
        at, radius = shapely.points(self.places), self.diameter / 2
        return shapely.multipolygons(shapely.difference(shapely.buffer(at, radius + RIM), shapely.buffer(at, radius)))

    def _cut_at(self, place: Point, builder: PathBuilder, site: Site) -> None:
        builder.drill(place, Hole(self.top + CLEAR, self.floor(site.fixture), 0.0, 0.0))

    def parts(self, tolerance: float) -> tuple[Feature, ...]:
        at, profile = shapely.MultiPoint(self.places), self.cutter.profile
        return (
            Cone(
                places=at,
                diameter=self.diameter,
                angle_deg=profile.angle_deg,
                from_depth=self.from_depth,
                tip_diameter=profile.tip_diameter,
                name=self.title,
            ),
        )


def countersink(
    places: Iterable[Any],
    cutter: Cutter,
    *,
    screw: float | str | None = None,
    diameter: float | None = None,
    angle_deg: float | None = None,
    from_depth: float = 0.0,
    order: Order = "short",
    name: str = "",
) -> Countersink:
    """Sink a cone at each (x, y), seen from the front, with a V cutter of the head's angle, before or after the hole.

    screw : gauge of a wood screw, "#4" to "#12", whose widest head and angle of 82 degrees are published
        (facts/screw_heads.py); or the diameter of a metric one's shank, mm: its head is taken to be twice as wide
        (common practice, no source); or
    diameter : of the cone at its mouth, mm: that of the head, measured
    angle_deg : included angle of the head; unless given 82 for a gauge, else 90, which is usual for metric screws
        (common practice, no source)
    from_depth : mm below the face at which the mouth lies, as in the floor of a recess
    order : visit the places along a "short" way, or "as given"
    name : as for every operation

    >>> from toolpaths import Cutter, countersink, v_point
    >>> vee = Cutter(6, v_point(12, 90), feed_mm_min=1200, spindle_rpm=16000)
    >>> countersink([(20, 20), (180, 20)], vee, screw=4)
    <countersink 8: T6 V 12 90 deg, 0 to 4 deep>

    Raises DoesNotFitError for a cutter of another angle or narrower than the cone, InputError for numbers and cutters
    that cannot be used.
    """
    if (screw is None) == (diameter is None):
        raise InputError("A countersink takes one of screw= and diameter=.")
    head, usual_angle = head_of(screw) if screw is not None else (0.0, 90.0)
    return Countersink(
        places=places_in("places", places), cutter=cutter, diameter=head if diameter is None else diameter,
        angle_deg=usual_angle if angle_deg is None else angle_deg,
        from_depth=from_depth, order=order, name=name,
    )  # fmt: skip
