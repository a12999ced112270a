"""A parting: a cut right through, on one side of which the wood is waste."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import partial
from typing import Literal

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry

from toolpaths.base.checks import Floats, distance, let_in, one_of, optional
from toolpaths.base.long_outlines import buffered
from toolpaths.facts import drawn
from toolpaths.facts.features.feature import Feature, Walls
from toolpaths.facts.features.slack import ROUND, Slack
from toolpaths.facts.features.surfaces import Surfaces
from toolpaths.facts.features.tabs_meant import TAB_DOORS, TabsMeant, higher

WasteSide = Literal["outside", "inside"]
WASTE: tuple[WasteSide, ...] = ("outside", "inside")


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class Parting(Feature):
    """A cut right through along the boundary of an area; on its waste side the wood is not judged.

    waste : "outside" for the outline of the part, "inside" for an opening in it
    tabs : how many tabs are to hold across the cut; any number unless given, but not over two fifths of it
    tab_length : mm along the wall, the most that one tab may take, slopes and all
    tab_width, tab_height : mm that each is to have, at its narrowest and from the underside up; any unless given
    skin : mm of wood that may stay all along the cut
    corners : as for Recess

    >>> from toolpaths import Parting, circle
    >>> Parting(area=circle(60, (50, 50)), waste="outside", tabs=3, name="disc")
    <Parting: disc, 60 x 60 at (20, 20), waste outside>

    Raises InputError for an area that is no sound polygon, an unknown side, and lengths that no board has.
    """

    area: Polygon | MultiPolygon
    waste: WasteSide
    tabs: int | None = None
    tab_length: float = 30.0
    tab_width: float = 0.0
    tab_height: float = 0.0
    skin: float = 0.0
    corners: float | None = None
    name: str = "parting"

    def _check(self) -> None:
        let_in(
            self, f"{self.name}: ", area=drawn.area, waste=partial(one_of, choices=WASTE), skin=distance,
            corners=partial(optional, door=distance),
            **TAB_DOORS | {"tabs": partial(optional, door=TAB_DOORS["tabs"])},
        )  # fmt: skip

    @property
    def shape(self) -> BaseGeometry:
        return self.area

    @property
    def waste_side(self) -> WasteSide:
        return self.waste

    def floor(self, underside: float) -> float:
        return underside

    def taken(self, below: float, radius: float) -> BaseGeometry:
        if self.waste == "inside":
            return shapely.difference(self.area, buffered(self.area, -2 * radius))
        return shapely.difference(buffered(self.area, 2 * radius), self.area)

    def lowest(self, slack: Slack) -> Surfaces:
        return Surfaces()

    def highest(self, slack: Slack) -> Surfaces:
        return Surfaces()

    def walls(self, slack: Slack) -> Walls:
        return Walls(self.area, slack.sideways(self.area), keeps_inside=self.waste == "outside")

    def cut_here(self, places: Floats, radius: Floats, off_line: float) -> NDArray[np.bool_]:
        return np.asarray(shapely.distance(self.area.boundary, shapely.points(places)) <= radius + off_line)

    @property
    def tab_count(self) -> int:
        return self.tabs or 0

    def tabs_meant(self, slack: Slack) -> TabsMeant | None:
        if self.tabs is None or not (len(slack.cuts) or self.corners):
            return None
        radius = max(float(slack.cuts[:, 0].min()) if len(slack.cuts) else 0.0, self.corners or 0.0)
        middle = buffered(self.area, -radius if self.waste == "inside" else radius, quad_segs=ROUND)
        return TabsMeant(middle, radius, self.tabs, self.tab_length, self.tab_width, self.tab_height, self.skin)

    def thicker(self, by: float) -> Parting:
        """A board that is thicker leaves its skins so much thicker, and its tabs so much higher."""
        skin = self.skin + max(by, 0.0) if self.skin else 0.0
        return replace(self, skin=skin, tab_height=higher(self.tab_height, by))

    def _size(self) -> str:
        return f"waste {self.waste}"
