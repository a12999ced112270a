"""A keyhole: a hanger slot under whose shoulders the head of a screw slides in."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import LineString, MultiLineString
from shapely.geometry.base import BaseGeometry

from toolpaths.base.checks import Floats, distance, length, let_in
from toolpaths.base.errors import InputError
from toolpaths.base.long_outlines import buffered
from toolpaths.base.units import MM_PER_INCH
from toolpaths.facts import drawn
from toolpaths.facts.features.feature import Feature, Undercut, Walls
from toolpaths.facts.features.slack import ROUND, Slack
from toolpaths.facts.features.surfaces import Floor, Surfaces
from toolpaths.facts.profile import Profile, checked_profile

# mm of wood over the undercut of a hanger slot, at least: 3/16 in (Wood magazine, its page on keyhole slots).
USUAL_SHOULDER = 3 / 16 * MM_PER_INCH


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class Keyhole(Feature):
    """A slot as wide as the neck of an undercut cutter over one as wide as its head, which is open at the entry hole.

    line : shapely lines or a list of (x, y), the middle of each slot, beginning at its entry hole; seen from the front
    profile : undercut(head_diameter, head_height, neck_diameter), the cutter that leaves it
    depth : mm from the face of its side to its floor
    from_depth : mm below the face at which its shoulders end above, as in the floor of a recess

    The shoulders are depth - from_depth - head_height thick, and bear on the screw over (head - neck) / 2 to each side.

    >>> from toolpaths import Keyhole, undercut
    >>> Keyhole(line=[(50, 30), (50, 50)], profile=undercut(9.5, 3.2, 4.8), depth=8)
    <Keyhole: keyhole, 9.5 x 27.15 at (45.25, 25.25), undercut 9.5 head 3.2 neck 4.8, 8 deep>

    Raises InputError for a line that is none, another profile, and a depth that leaves no shoulder.
    """

    line: LineString | MultiLineString
    profile: Profile
    depth: float
    from_depth: float = 0.0
    name: str = "keyhole"

    def _check(self) -> None:
        let_in(
            self, f"{self.name}: ", line=drawn.line, profile=checked_profile, depth=length, from_depth=distance,
        )  # fmt: skip
        if shapely.length(self.line) == 0:
            raise InputError(f"{self.name}: line must be lines; each begins at its entry hole.")
        check_undercut(self.name, self.profile)
        check_shoulder(self.name, self.profile, self.depth, self.from_depth)

    @property
    def shoulder(self) -> float:
        """mm of wood over the undercut."""
        return self.depth - self.from_depth - self.profile.head_height

    @property
    def bearing(self) -> float:
        """mm to each side over which the head of a screw bears on a shoulder."""
        return (self.profile.diameter - self.profile.neck_diameter) / 2

    @property
    def shape(self) -> BaseGeometry:
        """What is open from above: the entry holes, and the slots between the shoulders."""
        holes = shapely.buffer(self._entries, self.profile.radius, quad_segs=ROUND)
        slots = buffered(self.line, self.profile.neck_diameter / 2, quad_segs=ROUND)
        return shapely.union_all([*holes, slots])

    @property
    def level(self) -> bool:
        return True

    @property
    def _entries(self) -> NDArray[np.object_]:
        return np.array([shapely.Point(line.coords[0]) for line in shapely.get_parts(self.line)])

    def floor(self, underside: float) -> float:
        return -self.depth

    def taken(self, below: float, radius: float) -> BaseGeometry:
        return self.shape

    def lowest(self, slack: Slack) -> Surfaces:
        return Surfaces((Floor(self.shape, -self.depth, wider=slack.sideways(self.shape)),))

    def highest(self, slack: Slack) -> Surfaces:
        neck = self.profile.neck_diameter / 2
        return Surfaces((Floor(self.shape, -self.depth, neck, -slack.sideways(self.shape)),))

    def walls(self, slack: Slack) -> Walls:
        return Walls(self.shape, slack.sideways(self.shape))

    def cut_here(self, places: Floats, radius: Floats, off_line: float) -> NDArray[np.bool_]:
        return np.asarray(shapely.intersects_xy(self.shape, *places.T))

    def undercuts(self) -> tuple[Undercut, ...]:
        return (Undercut(self._under, -self.depth, -self.depth + self.profile.head_height),)

    @property
    def _under(self) -> BaseGeometry:
        """Where the head has been."""
        return buffered(self.line, self.profile.radius, quad_segs=ROUND)

    def _size(self) -> str:
        return f"{self.profile}, {self.depth:g} deep"


def check_undercut(name: str, profile: Profile) -> None:
    """Raises InputError for a profile without a head wider than its neck."""
    if profile.kind != "undercut":
        raise InputError(f"{name} takes an undercut cutter, undercut(9.5, 3.2, 4.8) or the like; {profile} is none.")


def check_shoulder(name: str, profile: Profile, depth: float, from_depth: float) -> None:
    """Raises InputError for a depth at which nothing of the wood is left above the head."""
    if depth - from_depth <= profile.head_height:
        raise InputError(
            f"{name}: depth={depth:g} leaves no shoulder over a head {profile.head_height:g} high; it must be more "
            f"than {from_depth + profile.head_height:g}, and "
            f"{from_depth + profile.head_height + USUAL_SHOULDER:.2f} leaves the 3/16 in that are usual."
        )
