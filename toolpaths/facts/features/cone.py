"""A cone: the mouth of a countersunk hole."""

from __future__ import annotations

from dataclasses import dataclass
from functools import partial

import shapely
from shapely import MultiPoint, Point
from shapely.geometry.base import BaseGeometry

from toolpaths.base.checks import between, distance, length, let_in
from toolpaths.facts import drawn
from toolpaths.facts.features.feature import Feature, Walls
from toolpaths.facts.features.slack import ROUND, Slack
from toolpaths.facts.features.surfaces import Surfaces, narrowest, widest
from toolpaths.facts.profile import Profile, v_point


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class Cone(Feature):
    """A cone that narrows downwards from its mouth to a point or a small flat, as a screw's head sits in.

    places : shapely point or points of its axis, or a list of (x, y), seen from the front
    diameter : mm, of its mouth
    angle_deg : included angle, 10 to 170
    from_depth : mm below the face at which its mouth lies, as in the floor of a recess
    tip_diameter : mm, of the flat at its bottom, as the tip of a blunt cutter leaves it

    >>> from shapely import Point
    >>> from toolpaths import Cone
    >>> head = Cone(places=Point(30, 20), diameter=8, angle_deg=90, name="screw head")
    >>> head, round(head.height, 3)
    (<Cone: screw head, 0 x 0 at (30, 20), 8 wide, 90 deg, 4 deep>, 4.0)

    Raises InputError for places that are no points, and for numbers that make no cone.
    """

    places: Point | MultiPoint
    diameter: float
    angle_deg: float
    from_depth: float = 0.0
    tip_diameter: float = 0.0
    name: str = "countersink"

    def _check(self) -> None:
        let_in(
            self, f"{self.name}: ", places=drawn.places, diameter=length, from_depth=distance, tip_diameter=distance,
            angle_deg=partial(between, low=10.0, high=170.0),
        )  # fmt: skip
        _ = self.profile  # that there is such a V

    @property
    def profile(self) -> Profile:
        """A V that leaves it where it is plunged."""
        return v_point(self.diameter, self.angle_deg, self.tip_diameter)

    @property
    def height(self) -> float:
        """mm from its mouth down to its bottom."""
        return self.profile.tip_height

    @property
    def shape(self) -> BaseGeometry:
        return self.places

    @property
    def reach(self) -> float:
        return self.diameter / 2

    def floor(self, underside: float) -> float:
        return -self.from_depth - self.height

    def taken(self, below: float, radius: float) -> BaseGeometry:
        return shapely.buffer(self.places, self.profile.radius_at(max(below, 0.0)))

    def lowest(self, slack: Slack) -> Surfaces:
        return Surfaces((), (widest(self.places, self.profile, self.floor(slack.underside), slack.within),))

    def highest(self, slack: Slack) -> Surfaces:
        return Surfaces((), (narrowest(self.places, self.profile, self.floor(slack.underside), slack.within),))

    def walls(self, slack: Slack) -> Walls:
        area = shapely.buffer(self.places, self.reach, quad_segs=ROUND)
        return Walls(area, slack.sideways(area))

    def _size(self) -> str:
        return f"{self.diameter:g} wide, {self.angle_deg:g} deg, {self.from_depth + self.height:g} deep"
