"""The check that an insert fits its recess, each as its own program cuts it."""

from __future__ import annotations

from collections.abc import Iterator
from math import nan

from toolpaths.base.errors import Point
from toolpaths.judging.fit.inlay_fit import InlayFit
from toolpaths.judging.job_report import SideFinding
from toolpaths.judging.trial.findings import Finding


def inlay_gap(fit: InlayFit, within: float) -> Iterator[SideFinding]:
    """The gap at the walls is off from what was asked, wood of both is in the same place, or the insert rests too high.

    within : mm that a wall or a floor may be off. Wood may overlap by as much all along the walls.
    """
    tight, wide = fit.meant - fit.least, fit.greatest - fit.meant
    if tight > within:
        much = f"{-fit.least:.3f} mm of wood in its way" if fit.least < 0 else f"only {fit.least:.3f} mm of room"
        yield _found(fit, fit.tightest, tight, within, f"has {much} where {fit.meant:g} was asked")
    elif fit.overlap_mm3 > within * fit.walls_mm2:
        most = within * fit.walls_mm2
        yield _found(fit, fit.tightest, fit.overlap_mm3, most, f"meets {fit.overlap_mm3:.2f} mm3 of wood of the recess")
    if wide > within:
        yield _found(fit, fit.widest, wide, within, f"has a gap of {fit.greatest:.3f} mm where {fit.meant:g} was asked")
    if fit.floor_room is not None and fit.floor_room < -within:
        message = f"rests {-fit.floor_room:.3f} mm higher than meant: its recess is less deep"
        yield _found(fit, fit.tightest, -fit.floor_room, within, message)


def _found(fit: InlayFit, place: Point, amount: float, limit: float, what: str) -> SideFinding:
    x, y = place
    message = f"The insert of {fit.name} {what}, near ({x:.1f}, {y:.1f}) on the recess's board."
    return SideFinding("", Finding("inlay-gap", "damage", 0, (x, y, nan), amount, limit, message))
