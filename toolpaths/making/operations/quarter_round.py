"""Edges cut to a quarter of a circle: rounded by a rounding cutter, or hollowed to a cove by a ball or a bull nose."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import partial
from typing import ClassVar

from shapely.geometry.base import BaseGeometry

from toolpaths.base.checks import distance, let_in, optional
from toolpaths.base.errors import InputError
from toolpaths.facts.cutter import Cutter
from toolpaths.facts.profile import Kind
from toolpaths.making.operations.edge_cut import EdgeCut, EdgeSide
from toolpaths.making.operations.operation import checked_cutter, levels
from toolpaths.making.operations.rings import Direction
from toolpaths.shapes import door

# mm of depth that the last of several passes takes unless given (common practice: a light one, no source).
_LIGHT = 0.5


@dataclass(frozen=True, kw_only=True, repr=False)
class QuarterRound(EdgeCut):
    """An edge cut to a quarter of a circle whose radius is that of the cutter's corner.

    kinds : of cutters that cut it
    shaped : what the edge is then, in a word
    """

    kinds: ClassVar[tuple[Kind, ...]]
    shaped: ClassVar[str]
    finish: float | None = None

    def __post_init__(self) -> None:
        let_in(self, from_depth=distance, cutter=checked_cutter, finish=partial(optional, door=distance))
        profile = self.cutter.profile
        if profile.kind not in self.kinds:
            words = " or a ".join(self.kinds)
            raise InputError(f"An edge is {self.shaped} by a {words} cutter; {self.cutter} is none.")
        if self.finish is not None and self.finish >= self.radius:
            raise InputError(f"finish={self.finish:g} is no less than the depth of the edge, {self.radius:g} mm.")
        object.__setattr__(self, "depth", self.from_depth + self.radius)
        super().__post_init__()

    @property
    def radius(self) -> float:
        """Of the edge, mm."""
        return self.cutter.profile.corner_radius

    @property
    def _usual_name(self) -> str:
        return f"edge {self.shaped} {self.radius:g}"

    @property
    def _edge_width(self) -> float:
        return self.radius

    @property
    def _away(self) -> float:
        return self.cutter.profile.flat_radius

    @property
    def _left_words(self) -> str:
        return f"of edge less {self.shaped} in corners and gaps too tight for its tip"

    def _levels(self, floor: float) -> list[float]:
        step = self.cutter.running.step_down
        finish = self.finish
        if finish is None:
            finish = min(_LIGHT, step, self.radius / 2) if self.top - floor > step else 0.0
        return [*levels(self.top, floor + finish, step), floor] if finish else levels(self.top, floor, step)


class RoundEdge(QuarterRound):
    """An edge rounded by a rounding cutter; made by round_edge()."""

    kinds: ClassVar[tuple[Kind, ...]] = ("rounding",)
    shaped: ClassVar[str] = "rounded"


class CoveEdge(QuarterRound):
    """An edge hollowed by a ball or a bull nose; made by cove_edge()."""

    kinds: ClassVar[tuple[Kind, ...]] = ("ball", "bull nose")
    shaped: ClassVar[str] = "coved"


def round_edge(
    shape: BaseGeometry | Sequence[BaseGeometry],
    cutter: Cutter,
    *,
    from_depth: float = 0.0,
    side: EdgeSide = "outside",
    direction: Direction = "conventional",
    finish: float | None = None,
    name: str = "",
) -> RoundEdge:
    """Round the edge of a shape by the radius of a rounding cutter, whose tip runs along the wall, in the waste.

    side : "outside" for the edge of a part, "inside" for the edge of an opening
    finish : mm of depth left by all passes and taken by one last round; where several passes are needed 0.5 unless
        given, 0 for passes of equal depth
    from_depth, direction, name : as for every operation
    Cut it before the wall, or after it over tabs that lie lower than its tip, radius and from_depth below the face.
    Rounded on the far face as well, tabs have to reach past that edge: as high as its radius and what is to hold.

    >>> from toolpaths import Cutter, rectangle, round_edge, rounding
    >>> cutter = Cutter(7, rounding(6, 6), feed_mm_min=1200, spindle_rpm=16000, step_down=3)
    >>> round_edge(rectangle(80, 60, (100, 70)), cutter)
    <edge rounded 6: T7 rounding 18 radius 6, 0 to 6 deep>

    Raises InputError for numbers and cutters that cannot be used, ShapeError for a polygon of the shape wholly inside
    another, and in the setup DoesNotFitError where the tip finds no room beside the shape.
    """
    return RoundEdge(
        shape=door.one_geometry("shape", shape), cutter=cutter, from_depth=from_depth, side=side,
        direction=direction, finish=finish, name=name,
    )  # fmt: skip


def cove_edge(
    shape: BaseGeometry | Sequence[BaseGeometry],
    cutter: Cutter,
    *,
    from_depth: float = 0.0,
    side: EdgeSide = "outside",
    direction: Direction = "conventional",
    finish: float | None = None,
    name: str = "",
) -> CoveEdge:
    """Hollow the edge of a shape to a cove: a quarter circle about the edge, of the radius of a ball or of the corner
    of a bull nose, whose tip runs along the wall, in the waste.

    side, from_depth, direction, finish, name : as for round_edge()

    >>> from toolpaths import Cutter, ball, cove_edge, rectangle
    >>> cutter = Cutter(3, ball(8), feed_mm_min=1200, spindle_rpm=18000)
    >>> cove_edge(rectangle(80, 60, (100, 70)), cutter, side="inside")
    <edge coved 4: T3 ball 8, 0 to 4 deep>

    Raises InputError for numbers and cutters that cannot be used, ShapeError for a polygon of the shape wholly inside
    another, and in the setup DoesNotFitError where the tip finds no room beside the shape.
    """
    return CoveEdge(
        shape=door.one_geometry("shape", shape), cutter=cutter, from_depth=from_depth, side=side,
        direction=direction, finish=finish, name=name,
    )  # fmt: skip
