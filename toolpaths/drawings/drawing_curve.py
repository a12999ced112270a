"""A curve of a drawing and what the file says of it; a remark on the file, with its place."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from shapely import LineString, Polygon

from toolpaths.base.checks import Floats
from toolpaths.base.errors import Point
from toolpaths.base.values import Value, in_a_line, read_only
from toolpaths.drawings.curve_segments import Circle
from toolpaths.shapes.filled import FillRule


@dataclass(frozen=True, slots=True)
class Note:
    """What a reader of the drawing must know of it, and where, mm; `place` is None where there is no single one."""

    text: str
    place: Point | None = None

    def __str__(self) -> str:
        if self.place is None:
            return self.text
        return f"{self.text}, at ({self.place[0]:.3f}, {self.place[1]:.3f})"

    def __repr__(self) -> str:
        return in_a_line(f"<Note: {self}>")


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class DrawingCurve(Value):
    """One curve of a drawing, as chords whose vertices lie on it.

    points : (n, 2) mm; of a closed one the first is not repeated
    closed : whether it ends where it begins
    names : its own in the file, then those of the groups or blocks in which it stands, from the inside
    layer, colour : "" where the file says none; a colour is "#rrggbb" where it can be
    circle : centre and diameter where it is a circle or an arc of one
    shape : number of the thing of the file it is part of; parts of one filled thing are filled together
    fill_rule : "evenodd" or "nonzero"; filled : whether the file fills it
    """

    points: Floats
    closed: bool
    names: tuple[str, ...]
    layer: str
    colour: str
    circle: Circle | None
    shape: int
    fill_rule: FillRule
    filled: bool

    def __post_init__(self) -> None:
        object.__setattr__(self, "points", read_only(self.points))

    @property
    def name(self) -> str:
        """Its own name in the file; "" where it has none."""
        return self.names[0] if self.names else ""

    @property
    def start(self) -> Point:
        x, y = self.points[0].tolist()
        return x, y

    @property
    def end(self) -> Point:
        x, y = self.points[0 if self.closed else -1].tolist()
        return x, y

    @property
    def bounds(self) -> tuple[float, float, float, float]:
        """(left, low, right, high), mm."""
        (left, low), (right, high) = self.points.min(axis=0).tolist(), self.points.max(axis=0).tolist()
        return left, low, right, high

    @property
    def line(self) -> LineString:
        """The curve as a line; a closed one ends where it begins."""
        return LineString(np.vstack([self.points, self.points[:1]]) if self.closed else self.points)

    @property
    def polygon(self) -> Polygon:
        """What a closed curve goes round, sound or not."""
        return Polygon(self.points)

    def __repr__(self) -> str:
        (x, y), (u, v) = self.start, self.end
        where = f"from ({x:.3f}, {y:.3f})" + ("" if self.closed else f" to ({u:.3f}, {v:.3f})")
        kind = "closed" if self.closed else "open"
        words = [f"{self.name!r}" if self.name else "", f"layer {self.layer!r}" if self.layer else "", self.colour]
        return in_a_line(f"<DrawingCurve: {', '.join([*filter(None, words), kind, where])}>")
