"""A dish: an area cut down to a surface that follows a section from its edge inwards."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache, partial
from math import atan, hypot, inf, isinf, sin, sqrt, tan
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry

from toolpaths.base.checks import Floats, distance, let_in, optional, shown
from toolpaths.base.errors import InputError
from toolpaths.base.long_outlines import buffered
from toolpaths.facts import drawn
from toolpaths.facts.features.feature import Feature, Walls
from toolpaths.facts.features.slack import ROUND, Slack
from toolpaths.facts.features.surfaces import Sloped, Surfaces
from toolpaths.facts.profile import Profile, checked_profile
from toolpaths.facts.section import Section

# At how many distances from the edge it is looked at where a round cutter gets, at least, for each radius of it, and at
# most; mm by which the edge may be off for that.
_LEVELS, _CLOSE, _MOST_LEVELS, _CHORD = 24, 4, 96, 0.01
# mm2; less is a sliver between two drawn edges.
_SLIVER = 0.01


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class Dish(Feature):
    """An area cut down to a surface whose depth follows from how far a place is from the area's edge.

    section : the surface by that distance, from the face of its side at the edge down
    from_depth : mm below the face at which its edge lies
    profile : of the cutter that finishes it, which may leave wood where the surface has a corner, as where slopes meet
        in the corners of a tray; with none it may not
    ridges : mm that may stand above the surface between two passes, upright to it

    >>> from toolpaths import Dish, Section, ball, circle
    >>> Dish(area=circle(100, (80, 80)), section=Section.arc(width=50, depth=10), profile=ball(12), name="seat")
    <Dish: seat, 100 x 100 at (30, 30), arc of radius 130, 10 deep>

    Raises InputError for an area that is no sound polygon, what is no section, and lengths that no board has.
    """

    area: Polygon | MultiPolygon
    section: Section
    from_depth: float = 0.0
    profile: Profile | None = None
    ridges: float = 0.0
    name: str = "dish"

    def _check(self) -> None:
        let_in(
            self, f"{self.name}: ", area=drawn.area, section=checked_section, from_depth=distance, ridges=distance,
            profile=partial(optional, door=checked_profile),
        )  # fmt: skip

    @property
    def shape(self) -> BaseGeometry:
        return self.area

    def floor(self, underside: float) -> float:
        return -self.from_depth - self.section.depth

    def taken(self, below: float, radius: float) -> BaseGeometry:
        return self.area

    def lowest(self, slack: Slack) -> Surfaces:
        wider = buffered(self.area, slack.sideways(self.area), quad_segs=ROUND)
        return Surfaces(sloped=(self._surface(wider, slack),))

    def highest(self, slack: Slack) -> Surfaces:
        narrower = buffered(self.area, -slack.sideways(self.area), quad_segs=ROUND)
        smooth = narrower
        if self.profile is not None:
            reached = _without_corners(self.area, self.section, self.profile, self.ridges)
            smooth = shapely.intersection(narrower, reached)
        below = self.ridges - self.from_depth
        # In corners no rounded cutter gets any lower; how high it stands in them at most is known.
        surfaces = (
            [(smooth, below), (narrower, below + self._in_corners(self.profile))] if self.profile else [(smooth, below)]
        )
        return Surfaces(
            sloped=tuple(
                # A ridge stands upright to the surface, and so sideways where that is steep.
                Sloped(area, self.area.boundary, self.section, top, -slack.sideways(self.area) - self.ridges)
                for area, top in surfaces
                if not area.is_empty
            )
        )

    def walls(self, slack: Slack) -> Walls:
        return Walls(self.area, slack.sideways(self.area))

    def cut_here(self, places: Floats, radius: Floats, off_line: float) -> NDArray[np.bool_]:
        return np.asarray(shapely.intersects_xy(self.area, *places.T))

    def _surface(self, area: BaseGeometry, slack: Slack) -> Sloped:
        return Sloped(area, self.area.boundary, self.section, -self.from_depth, slack.sideways(self.area))

    def _in_corners(self, profile: Profile) -> float:
        """mm by which a cutter stands over a corner of two slopes at most: the middle of a ball is R / cos a above
        both. In corners between walls, or of a cutter with a flat tip, all that is not below the whole."""
        steepest = _steepest(self.section)
        if profile.flat_radius or isinf(steepest):
            return self.section.depth
        return min(profile.corner_radius * (hypot(1.0, steepest) - 1), self.section.depth)

    def _size(self) -> str:
        return f"{self.section.words}, {self.from_depth + self.section.depth:g} deep"


def checked_section(name: str, section: Any) -> Section:
    """A Section, not only its depth."""
    if not isinstance(section, Section):
        raise InputError(f"{name}={shown(section)} must be a section: Section.arc(width=50, depth=10) or the like.")
    return section


def _steepest(section: Section) -> float:
    slopes = np.abs(section.slopes(np.linspace(0.0, section.width, 257)))
    return float(slopes.max(initial=0.0)) if np.isfinite(slopes).all() else inf


# Every check of the part asks it of the same shapes.
@lru_cache(maxsize=256)
def _without_corners(area: BaseGeometry, section: Section, profile: Profile, ridges: float) -> BaseGeometry:
    """Where a cutter comes to lie on a surface: its axis is so far inside the place that it touches, and there has to
    be no nearer to another edge. Passes that turn in a corner lie farther apart there, and leave higher ridges."""
    lost, radius = [], profile.radius
    far = min(section.width, _deepest_inside(area))
    many = int(np.clip(np.ceil(_CLOSE * far / radius), _LEVELS, _MOST_LEVELS))
    at = np.linspace(0.0, far, many)
    area = shapely.simplify(area, _CHORD)
    for away, slope in zip(at.tolist(), np.abs(section.slopes(at)).tolist()):
        inwards = profile.flat_radius + profile.corner_radius * sin(atan(slope))
        if inwards > 0:
            room = shapely.buffer(area, -away, quad_segs=ROUND)
            opened = shapely.buffer(shapely.buffer(room, -inwards, quad_segs=ROUND), inwards * 1.001, quad_segs=ROUND)
            lost.append(shapely.difference(room, opened))
    for away, turn in section.corners:
        # A ball touches two slopes so far from where they meet; a flat tip besides lies on a level floor only.
        beside = profile.corner_radius * tan(turn / 2) + (profile.flat_radius if away < section.width else 0.0)
        outer, inner = (shapely.buffer(area, -by, quad_segs=ROUND) for by in (max(away - beside, 0.0), away + beside))
        lost.append(shapely.difference(outer, inner))
    missed = shapely.union_all(lost)
    # Between two of the distances the corners are as wide as at either.
    beside = far / many / 2 + sqrt(8 * profile.corner_radius * ridges)
    return shapely.difference(area, shapely.buffer(missed, beside)) if missed.area > _SLIVER else area


def _deepest_inside(area: BaseGeometry) -> float:
    """mm from the edge to the place of an area that is farthest from it."""
    return max(float(shapely.maximum_inscribed_circle(part).length) for part in shapely.get_parts(area))
