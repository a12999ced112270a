"""What every inlay is: a shape on the board with the recess, and where its insert lies on a board of its own."""

from __future__ import annotations

from abc import abstractmethod
from collections.abc import Sequence
from dataclasses import dataclass
from functools import partial

from shapely.geometry.base import BaseGeometry

from toolpaths.base.checks import distance, finite, instance, label, let_in, one_of, optional, point
from toolpaths.base.errors import Point
from toolpaths.base.values import PickledByFields
from toolpaths.facts.cutter import Cutter
from toolpaths.facts.inlaid import Inlaid
from toolpaths.facts.turning import SIDES, Side
from toolpaths.making.motion.tabs import Tabs
from toolpaths.making.operations.operation import Operation
from toolpaths.making.operations.pocket import checked_cutters
from toolpaths.shapes import door

# mm by which the insert's board is cut through (common practice: 0.1 to 0.5, no source).
BEYOND = 0.3


@dataclass(frozen=True, kw_only=True, repr=False)
class Inlay(PickledByFields):
    """A recess and its insert."""

    drawn: BaseGeometry
    cutters: tuple[Cutter, ...]
    at: Point
    turned_deg: float = 0.0
    face: Side = "front"
    tabs: Tabs | None = None
    beyond: float = BEYOND
    name: str = "inlay"

    def __post_init__(self) -> None:
        let_in(
            self, drawn=door.one_geometry, cutters=checked_cutters, at=point, turned_deg=finite,
            face=partial(one_of, choices=SIDES), tabs=partial(optional, door=partial(instance, kind=Tabs)),
            beyond=distance, name=label,
        )  # fmt: skip

    @property
    def _size(self) -> str:
        left, low, right, high = self.drawn.bounds
        return f"{right - left:g} x {high - low:g}"

    @property
    @abstractmethod
    def laid(self) -> Inlaid:
        """How the insert lies in the recess."""

    @property
    @abstractmethod
    def recess(self) -> Sequence[Operation]:
        """The work on the board with the recess, for the Setup of that face."""

    @property
    @abstractmethod
    def insert(self) -> Sequence[Operation]:
        """The work on the insert's board, for the Setup of its front."""

    @property
    @abstractmethod
    def notes(self) -> tuple[str, ...]:
        """What is to be known before, in words."""
