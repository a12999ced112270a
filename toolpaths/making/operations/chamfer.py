"""Chamfer: break an edge with a V cutter."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from shapely.geometry.base import BaseGeometry

from toolpaths.base.checks import distance, length, let_in
from toolpaths.base.errors import DoesNotFitError, InputError
from toolpaths.facts.cutter import Cutter
from toolpaths.making.operations.edge_cut import EdgeCut, EdgeSide
from toolpaths.making.operations.operation import checked_cutter
from toolpaths.making.operations.rings import Direction
from toolpaths.shapes import door

# How far past the edge the flank reaches, so that no whisker stays between chamfer and wall, mm.
_PAST_EDGE = 0.5


@dataclass(frozen=True, kw_only=True, repr=False)
class Chamfer(EdgeCut):
    """An edge broken by a V cutter; made by chamfer(). Its depth follows from its width and the cutter's angle."""

    width: float

    def __post_init__(self) -> None:
        let_in(self, width=length, from_depth=distance, cutter=checked_cutter)
        if self.cutter.profile.kind != "V":
            raise InputError(f"A chamfer takes a V cutter; {self.cutter} is none.")
        down = (self.width + _PAST_EDGE) / self.cutter.profile.slope
        object.__setattr__(self, "depth", self.from_depth + down)
        super().__post_init__()

    def _check(self) -> None:
        super()._check()
        if self.width + self._away > self.cutter.radius:
            most = self.cutter.radius - self._away
            raise DoesNotFitError(
                f"{self.cutter} is too small for a chamfer {self.width:g} wide; at most {most:g} fits."
            )

    @property
    def _usual_name(self) -> str:
        return f"chamfer {self.width:g}"

    @property
    def _edge_width(self) -> float:
        return self.width

    @property
    def _away(self) -> float:
        return self.cutter.profile.tip_diameter / 2 + _PAST_EDGE

    @property
    def _left_words(self) -> str:
        return "of edge in corners and gaps too tight for its tip"


def chamfer(
    shape: BaseGeometry | Sequence[BaseGeometry],
    cutter: Cutter,
    *,
    width: float,
    from_depth: float = 0.0,
    side: EdgeSide = "outside",
    direction: Direction = "conventional",
    name: str = "",
) -> Chamfer:
    """Chamfer the edge of a shape, `width` mm wide as seen from above, its slope that of the cutter.

    side : "outside" for the edge of a part, "inside" for the edge of an opening
    from_depth, name : as for every operation
    Cut before or after the wall: the tip runs in the waste, half a millimetre past the edge.

    >>> from toolpaths import Cutter, chamfer, rectangle, v_point
    >>> vee = Cutter(6, v_point(12, 90), feed_mm_min=1200, spindle_rpm=16000)
    >>> chamfer(rectangle(80, 60, (100, 70)), vee, width=1.5)
    <chamfer 1.5: T6 V 12 90 deg, 0 to 2 deep>

    Raises DoesNotFitError for a chamfer wider than the cutter, InputError for numbers and cutters that cannot be used,
    and ShapeError for a polygon of the shape wholly inside another.
    """
    return Chamfer(
        shape=door.one_geometry("shape", shape), cutter=cutter, width=width, from_depth=from_depth, side=side,
        direction=direction, name=name,
    )  # fmt: skip
