"""Heads of flat-head screws, by which countersinks are made. Lengths in mm."""

from __future__ import annotations

from typing import Any

from toolpaths.base.checks import length, shown
from toolpaths.base.errors import InputError
from toolpaths.base.units import MM_PER_INCH

# in; the widest that the flat heads of wood screws by gauge number are, over a cone of 82 degrees: a maker's table of
# thread-cutting screws with the same heads (altak.cn), the same as a chart of wood screws (paradisearticle.com).
_WIDEST = {4: 0.225, 5: 0.252, 6: 0.279, 7: 0.305, 8: 0.332, 9: 0.358, 10: 0.385, 12: 0.438}
_GAUGE_ANGLE, _METRIC_ANGLE = 82.0, 90.0
# The head of a metric countersunk wood screw is about so many times as wide as its shank (common practice, no source).
_HEAD_BY_SHANK = 2.0


def head_of(screw: Any) -> tuple[float, float]:
    """Diameter of the head of a flat-head wood screw, mm, and the included angle below it, degrees.

    screw : a gauge number such as "#8", the widest head of which is published, with 82 degrees; or the diameter of a
        metric screw's shank, mm, whose head is taken to be twice as wide, with 90 degrees (common practice, no source)

    >>> head_of("#8"), head_of(4)
    ((8.4328, 82.0), (8.0, 90.0))

    Raises InputError for a number that is not listed, and for what is no screw.
    """
    if not isinstance(screw, str):
        return _HEAD_BY_SHANK * length("screw", screw), _METRIC_ANGLE
    known = {f"#{number}": wide for number, wide in _WIDEST.items()}
    if screw not in known:
        raise InputError(
            f"screw={shown(screw)} is none of {', '.join(known)}; for another give its shank in mm, or diameter= and "
            "angle_deg= of its head, measured."
        )
    return round(known[screw] * MM_PER_INCH, 6), _GAUGE_ANGLE
