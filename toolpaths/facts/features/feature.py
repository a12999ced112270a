"""What every feature of a part says of itself: how deep, over which area, between which heights, with which walls.

Nothing else asks which feature it is: a new one is a file of its own that answers these questions.
"""

from __future__ import annotations

from abc import ABC, abstractmethod
from typing import Literal, NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from toolpaths.base.checks import Floats, label, let_in
from toolpaths.base.values import in_a_line
from toolpaths.facts.depth import Depth, Through
from toolpaths.facts.features.slack import Slack
from toolpaths.facts.features.surfaces import Surfaces
from toolpaths.facts.features.tabs_meant import TabsMeant


class Walls(NamedTuple):
    """The walls of a feature: the boundary of an area, seen from the front.

    slack : mm by which they may be off
    keeps_inside : whether the wood that stays lies inside the area, as of an outline, and not around it
    """

    area: BaseGeometry
    slack: float
    keeps_inside: bool = False


class Undercut(NamedTuple):
    """What is cut out below wood that stays: an area, seen from the front, between a floor and a ceiling, z in mm."""

    area: BaseGeometry
    floor: float
    ceiling: float


class Feature(ABC):
    """Something that is cut into one face of the board, with shapes as seen from the front.

    The features are frozen dataclasses: equal when made alike, and checked again by dataclasses.replace.
    name : what findings call it
    tab_height : mm that each tab of it is to have, from the floor of the cut or the underside of the board up; 0 where
        it does not say
    """

    __slots__ = ()
    name: str
    tab_height: float = 0.0

    def __post_init__(self) -> None:
        let_in(self, name=label)
        self._check()

    @abstractmethod
    def _check(self) -> None:
        """Raises an error for shapes and numbers that make no such feature."""

    @property
    @abstractmethod
    def shape(self) -> BaseGeometry:
        """The points, lines or area by which it was drawn."""

    @property
    def reach(self) -> float:
        """mm around its shape over which it takes wood, where it is widest."""
        return 0.0

    @abstractmethod
    def floor(self, underside: float) -> float:
        """Z of its lowest place, from the face of its side.

        underside : z of the board's lower face when it is cut
        """

    def goes_through(self, underside: float) -> bool:
        """Whether it goes right through the board, however its depth says so; underside as for floor()."""
        return self.floor(underside) <= underside

    @abstractmethod
    def taken(self, below: float, radius: float) -> BaseGeometry:
        """The area where wood goes for it from the face down; undercuts() are besides.

        below : mm from the surface on which the work on it begins to its floor
        radius : mm, of the widest cutter that makes it
        """

    @abstractmethod
    def lowest(self, slack: Slack) -> Surfaces:
        """The lowest that it allows the wood to end."""

    @abstractmethod
    def highest(self, slack: Slack) -> Surfaces:
        """The highest that it allows the wood to end, where it says anything."""

    @abstractmethod
    def walls(self, slack: Slack) -> Walls:
        """Its walls, beside which exact places are looked at."""

    def undercuts(self) -> tuple[Undercut, ...]:
        """What it takes below wood that it leaves standing, beside and below what is open from above."""
        return ()

    def cut_here(self, places: Floats, radius: Floats, off_line: float) -> NDArray[np.bool_]:
        """(k,) whether a cutter at these places (k, 2) cuts this feature.

        radius : (k,) mm, of the cutter; off_line : mm by which it may be off its line
        """
        return np.asarray(shapely.distance(self.shape, shapely.points(places)) <= off_line)

    @property
    def hole(self) -> bool:
        """Whether it is drilled holes, which come before what is cut around them."""
        return False

    @property
    def level(self) -> bool:
        """Whether it is its shape, an area, cut down to a level floor."""
        return False

    @property
    def waste_side(self) -> Literal["outside", "inside", ""]:
        """Where it parts the board, "outside" or "inside" of its shape, as the wood there becomes waste; else ""."""
        return ""

    @property
    def tab_count(self) -> int:
        """How many tabs it is to leave; 0 where it does not say."""
        return 0

    def tabs_meant(self, slack: Slack) -> TabsMeant | None:
        """The tabs that it is to leave, where it says how many."""
        return None

    def thicker(self, by: float) -> Feature:
        """The same feature where the board is so many mm thicker than meant below its face, and is cut as it was."""
        return self

    def __repr__(self) -> str:
        left, low, right, high = self.shape.bounds
        where = f"{right - left:g} x {high - low:g} at ({left:g}, {low:g})"
        return in_a_line(f"<{type(self).__name__}: {self.name}, {where}, {self._size()}>")

    @abstractmethod
    def _size(self) -> str:
        """What its repr says of it besides where it is."""


def in_words(depth: Depth) -> str:
    """A depth as a repr says it: "5 deep", "through and 0.3"."""
    return str(depth) if isinstance(depth, Through) else f"{depth:g} deep"
