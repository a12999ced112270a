"""A cut along lines, or at points: grooves, engraving, chamfers, drilled holes."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

import numpy as np
import shapely
from shapely import Polygon
from shapely.geometry.base import BaseGeometry

from toolpaths.base.checks import let_in
from toolpaths.base.errors import InputError
from toolpaths.base.long_outlines import buffered
from toolpaths.facts import drawn
from toolpaths.facts.depth import Depth, Through, checked_depth, z_of
from toolpaths.facts.features.feature import Feature, Walls, in_words
from toolpaths.facts.features.slack import ROUND, Slack
from toolpaths.facts.features.surfaces import Floor, Surfaces, narrowest, widest
from toolpaths.facts.features.tabs_meant import TAB_DOORS, TabsMeant, higher
from toolpaths.facts.profile import Profile, checked_profile


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class CutAlong(Feature):
    """What a cutter of this profile leaves when its axis follows lines, or stands at points.

    line : shapely lines or points, or a list of (x, y) joined in order, seen from the front
    depth : mm of the tip below the face of its side, or through()
    waste : area beside the cut that may be cut as deep: the cutter may come and go there, and cut wider
    edge_of : area whose edge this is: beyond it the cutter runs in what is waste or others open, and takes nothing
        that is to stay; empty for a cut that is meant with both its flanks
    tabs : how many tabs stand across closed lines, each with its tab_length along them, slopes and all, at most, its
        tab_width at its narrowest, and its tab_height from the floor of the cut, or the underside of the board, up

    >>> from shapely import Point
    >>> from toolpaths import CutAlong, drill_point, through
    >>> CutAlong(line=Point(30, 20), profile=drill_point(5), depth=through(0.5), name="pilot hole")
    <CutAlong: pilot hole, 0 x 0 at (30, 20), drill 5 118 deg, through and 0.5>

    Raises InputError for a line that is an area or empty, no profile, and lengths that no board has.
    """

    line: BaseGeometry
    profile: Profile
    depth: Depth
    name: str = "cut along"
    waste: BaseGeometry = field(default_factory=Polygon)
    tabs: int = 0
    tab_length: float = 30.0
    tab_width: float = 0.0
    tab_height: float = 0.0
    edge_of: BaseGeometry = field(default_factory=Polygon)

    def _check(self) -> None:
        let_in(
            self, f"{self.name}: ", line=drawn.line, profile=checked_profile, depth=checked_depth,
            waste=drawn.area_or_none, edge_of=drawn.area_or_none, **TAB_DOORS,
        )  # fmt: skip
        if self.profile.kind == "undercut":
            raise InputError(f"{self.name}: {self.profile} leaves shoulders above its cut: say Keyhole(...).")
        if self.tabs and not self.tab_height:
            raise InputError(f"{self.name}: tabs={self.tabs} stand how high? Give tab_height as well.")
        if self.tabs and not all(shapely.is_closed(shapely.get_parts(self.line))):
            raise InputError(f"{self.name}: tabs={self.tabs} stand across closed lines only, such as area.boundary.")

    @property
    def hole(self) -> bool:
        return self.line.geom_type in ("Point", "MultiPoint")

    @property
    def shape(self) -> BaseGeometry:
        return self.line

    @property
    def reach(self) -> float:
        return self.profile.radius

    def floor(self, underside: float) -> float:
        return z_of(self.depth, underside)

    def taken(self, below: float, radius: float) -> BaseGeometry:
        return buffered(self.line, self.profile.radius_at(max(below, 0.0)))

    def lowest(self, slack: Slack) -> Surfaces:
        tip = self.floor(slack.underside)
        waste = () if self.waste.is_empty else (Floor(self.waste, tip),)
        cut = widest(self.line, self.profile, tip, slack.within)
        return Surfaces(waste, (cut._replace(only=self._only(slack, 1.0)),))

    def highest(self, slack: Slack) -> Surfaces:
        tip = self.floor(slack.underside)
        if self.tabs:
            # Where they stand is not said: anywhere.
            tip = max(tip, slack.underside) + self.tab_height
        cut = narrowest(self.line, self.profile, tip, slack.within)
        return Surfaces((), (cut._replace(only=self._only(slack, -1.0)),))

    def _only(self, slack: Slack, sign: float) -> BaseGeometry | None:
        """The area whose edge it is, wider or narrower by what its wall may be off."""
        if self.edge_of.is_empty:
            return None
        return buffered(self.edge_of, sign * slack.sideways(self.edge_of), quad_segs=ROUND)

    def walls(self, slack: Slack) -> Walls:
        wide = self.profile.radius_at(-self.floor(slack.underside))
        area = _around(self.line, wide)
        # The area of the cut is round at ends and corners, in chords of its own.
        return Walls(area, max(slack.sideways(self.line), slack.sideways(area)))

    @property
    def tab_count(self) -> int:
        return self.tabs

    def tabs_meant(self, slack: Slack) -> TabsMeant | None:
        if not self.tabs:
            return None
        middle = shapely.build_area(self.line)
        return TabsMeant(middle, self.profile.radius, self.tabs, self.tab_length, self.tab_width, self.tab_height)

    def thicker(self, by: float) -> CutAlong:
        """What goes through a board that is thicker ends so much higher over its underside."""
        if not isinstance(self.depth, Through):
            return self
        # One that ends short of it is no longer through.
        depth = Through(max(self.depth.beyond - by, 0.0))
        return replace(self, depth=depth, tab_height=higher(self.tab_height, by))

    def _size(self) -> str:
        return f"{self.profile}, {in_words(self.depth)}"


def _around(line: BaseGeometry, radius: float) -> BaseGeometry:
    """All within a radius of a line, or of points. Discs that touch no other are made each on its own: thousands
    together take seconds."""
    points = shapely.get_parts(line) if line.geom_type == "MultiPoint" and radius > 0 else np.array([line])
    near, _ = shapely.STRtree(points).query(points, "dwithin", 2 * radius)
    alone = np.bincount(near, minlength=len(points)) == 1
    if len(points) < 2 or not alone.any():
        return buffered(line, radius, quad_segs=ROUND)
    discs = shapely.buffer(points[alone], radius, quad_segs=ROUND)
    together = shapely.buffer(shapely.multipoints(points[~alone]), radius, quad_segs=ROUND)
    # Of no points at all one empty part.
    others = [part for part in shapely.get_parts(together) if not part.is_empty]
    return shapely.multipolygons([*discs, *others])
