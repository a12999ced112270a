"""How far a cutter may go at once so that its rim is never in wood over more than a given angle.

Everything is said of the cutter's axis. Where it may go without meeting wood is known as discs: the wood within the
cutter's radius r of them is removed. The next stroke goes round a disc of radius rho' about c', from where it comes out
of those discs to where it goes back into them. It keeps the limit where some disc, of radius rho about c, is there with

    |c' - c|  <=  rho + r - sqrt(rho'^2 + r^2 + 2 rho' r cos(limit))

Why, whatever the shape: at a point of the circle the axis runs square to the radius from c'. The point X of the rim at
the angle `limit` from that radius towards the travel lies sqrt(rho'^2 + r^2 + 2 rho' r cos(limit)) from c', by the law
of cosines, and the rim farther round lies nearer. So X is within rho + r of c, where no wood stands. Hence wood is met
between that radius and the limit only, and on one side of the cutter.

In a slot a stroke is an arc from wall to wall. The step is near r (1 - cos(limit)) where discs are large, and
rho (1 - cos(limit)) where they are small, as in a corner.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, radians, sin, sqrt

import numpy as np

from toolpaths.base.checks import Floats

# mm of skin for each mm of a disc's radius.
_THICKER = 0.15


@dataclass(frozen=True, slots=True)
class Limit:
    """What bounds a stroke.

    radius : of the cutter
    angle : radians of its rim in wood at most
    widest : mm from stroke to stroke at most
    """

    radius: float
    angle: float
    widest: float

    @classmethod
    def of_degrees(cls, radius: float, degrees: float, widest: float) -> Limit:
        return cls(radius, radians(degrees), widest)

    def nearest_end(self, rho: Floats) -> Floats:
        """From the centres of discs, how far the rim is that may be in wood."""
        found: Floats = np.sqrt(rho * rho + self.radius**2 + 2 * rho * self.radius * cos(self.angle))
        return found

    def advance(self, rho: float) -> float:
        """How far discs of this radius may move on at once, or be wider than one about the same centre."""
        whole = rho + self.radius
        return whole - sqrt(rho * rho + self.radius**2 + 2 * rho * self.radius * cos(self.angle))

    def wider(self, rho: float) -> float:
        """The largest disc about the same centre that may come next."""
        far = rho + self.radius
        bound = sqrt(far * far - (self.radius * sin(self.angle)) ** 2) - self.radius * cos(self.angle)
        return min(bound, rho + self.widest)


@dataclass(frozen=True, slots=True)
class Skin:
    """What is not cut of discs that touch the wall: of those no larger than `off` nothing, of others up to `thick`, and
    of very large ones, away from corners, more and more, up to `thickest`."""

    off: float
    thick: float
    thickest: float

    def cut(self, radii: Floats) -> Floats:
        beyond = radii - self.off
        more = np.clip(_THICKER * (beyond - self.off), 0, self.thickest - self.thick)
        left: Floats = radii - np.clip(beyond, 0, self.thick) - more
        return left

    def cut_one(self, radius: float) -> float:
        beyond = radius - self.off
        more = min(max(_THICKER * (beyond - self.off), 0.0), self.thickest - self.thick)
        return radius - min(max(beyond, 0.0), self.thick) - more
