"""How a cutter may go down into wood, and how wide a way it needs for that. Asked by all that makes such ways and by
the check that judges them.

A cutter that cuts at its centre may go straight down. One that does not stands on the dead middle of its tip there: it
goes down only while it moves sideways, and so far to and fro that its edges pass over all that the dead middle comes
to stand on, which is the width of that middle (derived from the two circles). A drill goes straight down and no other
way; in a hole so deep that its chips no longer come up, a peck at a time.
"""

from __future__ import annotations

from math import radians, tan

import numpy as np

from toolpaths.base.checks import Floats
from toolpaths.base.errors import DoesNotFitError, InputError, Point
from toolpaths.facts.cutter import Cutter

# Directions in which the width of a way is looked for: less than a hundredth of it is missed.
_DIRECTIONS = np.array([(np.cos(angle), np.sin(angle)) for angle in np.arange(12) * np.pi / 12])
# A way is wide enough at this share of the width: that of the dead middle is known no better, and a path is followed
# within the tolerance.
_ENOUGH = 0.98
# mm by which a hole into which it is sent straight down has to be wider than the cutter.
_SPARE_HOLE = 0.5


def check_plunge(cutter: Cutter) -> None:
    """Raises DoesNotFitError for a cutter that cannot go straight down."""
    if not cutter.centre_cutting:
        raise DoesNotFitError(
            f"{cutter} does not cut at its centre and cannot go straight down; use entry='ramp', or a drilled hole."
        )


def peck_needed(cutter: Cutter, deep: float) -> float:
    """mm that it may go straight down, in a hole so deep, until it is lifted out to clear its chips; 0 for at once."""
    return cutter.bears.deepest_peck if deep > cutter.bears.deepest_hole else 0.0


def check_sideways(cutter: Cutter) -> None:
    """Raises InputError for a drill, which cuts at its point only: moved sideways it breaks; and for an undercut
    cutter, which is under the wood then, and would be lifted through it."""
    check_no_head(cutter)
    if cutter.profile.kind == "drill":
        raise InputError(f"{cutter} does not cut sideways; use it with drill(), and a flat or ball cutter here.")


def check_no_head(cutter: Cutter) -> None:
    """Raises InputError for an undercut cutter, whose head is held by the wood above it."""
    if cutter.profile.kind == "undercut":
        raise InputError(
            f"{cutter} is trapped below the wood that it cuts; use it with keyhole_slot(), and a flat cutter here."
        )


def fall(cutter: Cutter) -> float:
    """mm down for each mm along the steepest way that it is sent down."""
    return tan(radians(cutter.running.ramp_angle_deg))


def width(points: Floats) -> float:
    """mm from end to end of a way down as seen from above, in the direction in which it is widest; 0 of no points.

    points : (n, 2)
    """
    return float(np.ptp(points @ _DIRECTIONS.T, axis=0).max()) if len(points) else 0.0


def wide_enough(cutter: Cutter, points: Floats) -> bool:
    """Whether the way of a cutter's axis through these points (n, 2) is wide enough to go down along it."""
    return width(points) >= _ENOUGH * cutter.dead_centre


def check_wide_enough(cutter: Cutter, points: Floats) -> None:
    """Raises DoesNotFitError where a cutter cannot go down along the way of its axis through these points (n, 2)."""
    if not wide_enough(cutter, points):
        raise too_narrow(cutter, width(points), (float(points[0][0]), float(points[0][1])))


def too_narrow(cutter: Cutter, wide: float, at: Point) -> DoesNotFitError:
    """What a cutter lacks that would have to go down on a way so many mm wide, and what would work."""
    return DoesNotFitError(
        f"{cutter} does not cut at its centre: it goes down only on a way {cutter.dead_centre:g} mm from end to end, "
        f"as in a hole of {narrowest_hole(cutter):g} mm, and finds one of {wide:.2f} near ({at[0]:.1f}, {at[1]:.1f}). "
        "Use a cutter that cuts at its centre, or first drill or bore a hole of at least "
        f"{cutter.diameter + _SPARE_HOLE:g} mm there.",
        at,
    )


def narrowest_hole(cutter: Cutter) -> float:
    """Diameter of the narrowest hole in which it can go down round a circle, mm; wider than itself at any rate."""
    return cutter.diameter + cutter.dead_centre
