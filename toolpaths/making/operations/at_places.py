"""What is done at places, one after another: holes bored or drilled, and countersinks."""

from __future__ import annotations

from abc import abstractmethod
from dataclasses import dataclass
from functools import partial
from typing import Any

import shapely
from shapely.geometry.base import BaseGeometry

from toolpaths.base.checks import let_in, one_of, places_in
from toolpaths.base.errors import Point
from toolpaths.facts.cutter import Cutter
from toolpaths.making.motion.route import ORDERS, Order
from toolpaths.making.motion.toolpath import PathBuilder, Toolpath
from toolpaths.making.operations.operation import OneCutter, Site
from toolpaths.making.operations.visiting_order import places_in_order
from toolpaths.shapes.placement import Placement


@dataclass(frozen=True, kw_only=True, repr=False)
class AtPlaces(OneCutter):
    """An operation done alike at each of its places, seen from the front."""

    places: tuple[Point, ...]
    order: Order = "short"

    def _check(self) -> None:
        let_in(self, places=places_in, order=partial(one_of, choices=ORDERS))

    @property
    def drawn(self) -> BaseGeometry:
        return shapely.MultiPoint(self.places)

    def _drawn_at(self, place: Placement) -> dict[str, Any]:
        return {"places": place.points(self.places)}

    def toolpath(self, cutter: Cutter, site: Site) -> Toolpath:
        builder = PathBuilder(cutter, site.fixture.safe_z)
        for place in places_in_order(self.places, self.order, cutter, site.fixture):
            self._cut_at(place, builder, site)
        return builder.path(self._notes())

    def _notes(self) -> tuple[str, ...]:
        """What the user should know of the holes."""
        return ()

    @abstractmethod
    def _cut_at(self, place: Point, builder: PathBuilder, site: Site) -> None:
        """What is cut at one place, as the board lies."""
