"""What came of an insert that was laid into its recess, both as simulated, as a value."""

from __future__ import annotations

from dataclasses import dataclass

from toolpaths.base.errors import Point
from toolpaths.base.values import Value, in_a_line


@dataclass(frozen=True, slots=True, eq=False, repr=False, kw_only=True)
class InlayFit(Value):
    """How a simulated insert fits its simulated recess; made by Job.fit().

    name : of the inlay
    meant : mm, the gap at the walls that was asked for
    least, mean, greatest : mm, the gap between the walls of both, sideways and square to them; below 0 the insert is
        wider than the recess
    tightest, widest : where on the recess's board the least and the greatest are, (x, y) seen from the front
    overlap_mm3 : volume in which there would be wood of both
    floor_room : mm, the least room between the insert and the recess's floor, for glue; 0 where it lies on it; below 0
        the recess is so much less deep; None where the recess has no level floor
    proud : mm by which the insert, or the brim on which it hangs, lies above the recess's face
    slope : mm by which the walls come in for each mm down
    places : at how many places the gap was looked at
    walls_mm2 : area of the walls, seen from the side, along which it was
    """

    name: str
    meant: float
    least: float
    mean: float
    greatest: float
    tightest: Point
    widest: Point
    overlap_mm3: float
    floor_room: float | None
    proud: float
    slope: float
    places: int
    walls_mm2: float

    @property
    def off(self) -> float:
        """mm by which the gap is farthest from the one that was asked for."""
        return max(abs(self.least - self.meant), abs(self.greatest - self.meant))

    @property
    def sits_high(self) -> float:
        """mm by which tapered walls meet before the insert lies as deep as meant; 0 where they are upright."""
        return max(-self.least, 0.0) / self.slope if self.slope else 0.0

    def __repr__(self) -> str:
        return in_a_line(
            f"<InlayFit: {self.name}, gap {self.least:.3f} to {self.greatest:.3f} of {self.meant:g} asked, "
            f"{self.overlap_mm3:.2f} mm3 in the way>"
        )

    def __str__(self) -> str:
        (x0, y0), (x1, y1) = self.tightest, self.widest
        lines = [
            f"{self.name}: gap at the walls {self.least:.3f} to {self.greatest:.3f} mm, {self.mean:.3f} on average, "
            f"where {self.meant:g} was asked; tightest near ({x0:.1f}, {y0:.1f}), widest near ({x1:.1f}, {y1:.1f}).",
            f"In each other's way: {self.overlap_mm3:.2f} mm3 of wood.",
        ]
        if self.floor_room is not None:
            lines.append(f"Room over the floor: {self.floor_room:.3f} mm at least.")
        lines.append(f"Proud of the face: {self.proud:.3f} mm.")
        if self.sits_high > 0:
            lines.append(f"Pushed in as it is, it sits {self.sits_high:.3f} mm higher than meant.")
        return "\n".join(lines)
