"""The cutting part of a cutter as a solid of revolution, seen from the side. Lengths in mm."""

from __future__ import annotations

from dataclasses import dataclass
from functools import partial
from math import radians, tan
from typing import Any, Literal

import numpy as np

from toolpaths.base.checks import Floats, between, finite, length, let_in, not_negative, one_of, shown
from toolpaths.base.errors import InputError
from toolpaths.base.values import fields_in_a_line

Kind = Literal["flat", "ball", "bull nose", "V", "drill", "undercut", "rounding"]
KINDS: tuple[Kind, ...] = ("flat", "ball", "bull nose", "V", "drill", "undercut", "rounding")
# mm across the small end of a rounding cutter. Moved sideways by as much as a wall may be off, a thinner one would
# have no end any more, and what its upright edge leaves too high would be judged roughly.
_SMALLEST_TIP = 0.1


@dataclass(frozen=True, slots=True, repr=False)
class Profile:
    """The cutting part, seen from the side: a flat tip, then a rounded corner, a cone, or a hollow quarter circle.

    Make one with flat(), ball(), bull_nose(), v_point(), drill_point(), undercut() or rounding().
    kind : the trade's word for it. Heights and radii follow from it and the numbers; it is read as well where the
        trade treats the kinds differently: a drill is not moved sideways and is fed along its axis, a chamfer takes a V
    corner_radius : of the corner, which stands out; of a rounding cutter that of the hollow, which is the wood's
    head_height, neck_diameter : of an undercut cutter, a flat head of the full diameter under a thinner neck. It is as
        wide as its head wherever it is asked how wide a cutter is up to some height, and opens no more than its neck
        above itself where it goes sideways: opens_sideways
    """

    kind: Kind
    diameter: float
    corner_radius: float = 0.0
    angle_deg: float = 180.0
    tip_diameter: float = 0.0
    head_height: float = 0.0
    neck_diameter: float = 0.0

    def __post_init__(self) -> None:
        let_in(self, kind=partial(one_of, choices=KINDS), diameter=length, angle_deg=finite, tip_diameter=not_negative)
        let_in(self, head_height=not_negative, neck_diameter=not_negative)
        let_in(self, corner_radius=partial(between, low=0.0, high=self.radius))
        if self.kind == "drill":
            between("angle_deg", self.angle_deg, 60.0, 170.0)
        elif self.kind == "V":
            between("angle_deg", self.angle_deg, 10.0, 170.0)
        elif self.angle_deg != 180.0:
            raise InputError(f"angle_deg={self.angle_deg:g}: only a V and a drill have one; a {self.kind} has 180.")
        if self.tip_diameter >= self.diameter:
            raise InputError(f"tip_diameter={self.tip_diameter:g} must be below diameter={self.diameter:g}.")
        if self.kind == "undercut":
            let_in(self, head_height=length, neck_diameter=length)
            if self.neck_diameter >= self.diameter:
                raise InputError(
                    f"neck_diameter={self.neck_diameter:g} must be below that of the head, {self.diameter:g}."
                )
        elif self.head_height or self.neck_diameter:
            raise InputError(f"Only an undercut cutter has a head_height and a neck_diameter; a {self.kind} has none.")

    __repr__ = fields_in_a_line

    @property
    def radius(self) -> float:
        return self.diameter / 2

    @property
    def hollow(self) -> bool:
        """Whether its edges are hollow, upright at the tip and level at the full diameter: so it gets wider with
        its height ever faster, where all others get so ever slower or evenly."""
        return self.kind == "rounding"

    @property
    def working_diameter(self) -> float:
        """By which charts are read and the depth of a pass is chosen: the full diameter, but of a rounding cutter that
        half-way up its hollow, since it cuts as wide as it is at its rim only in a skin, and breaks where it is thin
        (no chart is for them, and there is no source for this)."""
        return 2 * self.radius_at(self.tip_height / 2) if self.hollow else self.diameter

    @property
    def leaves_upright_walls(self) -> bool:
        """Whether a wall beside which it runs stands upright from its floor on, but for the rounding of a corner."""
        return self.kind in ("flat", "bull nose") and self.flat_radius > 0

    @property
    def flat_radius(self) -> float:
        """Of the flat at the tip."""
        return self.tip_diameter / 2 if self.angle_deg < 180 else self.radius - self.corner_radius

    @property
    def slope(self) -> float:
        """mm outwards for each mm up, of the cone of a V or a drill."""
        return tan(radians(self.angle_deg / 2))

    @property
    def tip_height(self) -> float:
        """From the tip up to where the full diameter begins (the point length of a drill)."""
        if self.angle_deg < 180:
            return (self.radius - self.tip_diameter / 2) / self.slope
        return self.corner_radius

    @property
    def opens_sideways(self) -> Profile:
        """What is open from above where it has gone sideways: its own shape, or a slot as wide as its neck."""
        return Profile("flat", self.neck_diameter) if self.kind == "undercut" else self

    @property
    def usual_length(self) -> float:
        """Of the cutting edges, unless measured: a V cutter ends where its cone does, a rounding cutter where its
        hollow does, an undercut cutter where its neck does."""
        usual = {
            "V": self.tip_height, "rounding": self.tip_height, "drill": 8 * self.diameter,
            "undercut": max(self.diameter, 2 * self.head_height),
        }  # fmt: skip
        return usual.get(self.kind, 4 * self.diameter)

    def height(self, rho: Floats) -> Floats:
        """Height of the cutting surface above the tip at distance rho from the axis.

        rho : any shape, 0 <= rho <= radius; the result has the same shape and never falls as
        rho grows.
        """
        if self.tip_height == 0:
            return np.zeros(np.shape(rho))
        out = np.maximum(rho - self.flat_radius, 0.0)
        if self.angle_deg < 180:
            return np.asarray(out / self.slope)
        corner = self.corner_radius
        if self.hollow:
            up = np.minimum(out, corner)
            return np.asarray(np.sqrt(up * (2 * corner - up)))
        return np.asarray(corner - np.sqrt(np.maximum(corner * corner - out * out, 0.0)))

    def radii(self, heights: Floats) -> Floats:
        """Radius of the cutting part so much above its tip; below the tip that of the tip's flat.

        heights : any shape; the result has the same shape. The inverse of height() where that rises.
        """
        tip_height = self.tip_height
        if tip_height == 0:
            return np.full(np.shape(heights), self.radius)
        up = np.minimum(np.maximum(heights, 0.0), tip_height)
        if self.angle_deg < 180:
            radii = self.tip_diameter / 2 + up * self.slope
        elif self.hollow:
            corner = self.corner_radius
            radii = self.radius - np.sqrt((corner - up) * (corner + up))
        else:
            radii = self.flat_radius + np.sqrt(up * (2 * self.corner_radius - up))
        # Above the tip exactly the radius, whatever the sums round to.
        return np.asarray(np.where(up < tip_height, radii, self.radius))

    def radius_at(self, height: float) -> float:
        """radii() at one height; 0 below the tip, where there is no cutter."""
        return float(self.radii(np.array(height))) if height >= 0 else 0.0

    def text(self, scale: float = 1.0, digits: int = 3) -> str:
        """As an operator would say it, lengths times `scale`: "flat 6", "drill 2.5 118 deg", "rounding 18 radius 6"."""
        text = f"{self.kind} {round(self.diameter * scale, digits):g}"
        if radius := {"bull nose": " corner", "rounding": " radius"}.get(self.kind):
            text += f"{radius} {round(self.corner_radius * scale, digits):g}"
        if self.kind == "undercut":
            head, neck = (round(length * scale, digits) for length in (self.head_height, self.neck_diameter))
            text += f" head {head:g} neck {neck:g}"
        return text + (f" {self.angle_deg:g} deg" if self.angle_deg < 180 else "")

    def __str__(self) -> str:
        return self.text()


def checked_profile(name: str, profile: Any) -> Profile:
    """A profile, not only a diameter."""
    if not isinstance(profile, Profile):
        raise InputError(f"{name}={shown(profile)} must be flat(6), ball(12) or the like.")
    return profile


def flat(diameter: float) -> Profile:
    """A straight cutter with a flat end.

    >>> print(flat(6))
    flat 6

    Raises InputError for a diameter that is no length above 0.
    """
    return Profile("flat", diameter)


def ball(diameter: float) -> Profile:
    """A ball-end cutter: half a sphere at the tip.

    >>> round(ball(12).radius_at(3), 3)
    5.196

    Raises InputError for a diameter that is no length above 0.
    """
    return Profile("ball", diameter, corner_radius=length("diameter", diameter) / 2)


def bull_nose(diameter: float, corner_radius: float) -> Profile:
    """A straight cutter whose corner is rounded.

    >>> print(bull_nose(6, 1.5))
    bull nose 6 corner 1.5

    Raises InputError for a diameter that is no length above 0, or a corner_radius of more than half of it.
    """
    return Profile("bull nose", diameter, corner_radius)


def v_point(diameter: float, angle_deg: float, tip_diameter: float = 0.0) -> Profile:
    """A V cutter: angle_deg is the included angle, 10 to 170; tip_diameter the flat at its point.

    >>> round(v_point(12, 90).tip_height, 6)
    6.0

    Raises InputError for numbers that make no such cutter.
    """
    return Profile("V", diameter, angle_deg=angle_deg, tip_diameter=tip_diameter)


def drill_point(diameter: float, angle_deg: float = 118.0) -> Profile:
    """A twist drill; 118 degrees is the usual point (common practice, no source).

    >>> print(drill_point(2.5))
    drill 2.5 118 deg

    Raises InputError for a diameter that is no length above 0, or an angle outside 60 to 170 degrees.
    """
    return Profile("drill", diameter, angle_deg=angle_deg)


def undercut(head_diameter: float, head_height: float, neck_diameter: float) -> Profile:
    """A cutter for hanger slots: a flat head, cutting below, at its rim and above, under a neck that cuts as well.

    It goes into the wood at an entry hole as wide as its head, leaves a slot as wide as its neck over one as wide as
    its head, and comes out at the entry hole again: only there is its way up open.

    >>> print(undercut(9.5, 3.2, 4.8))
    undercut 9.5 head 3.2 neck 4.8

    Raises InputError for numbers that are no lengths above 0, and for a neck that is not thinner than the head.
    """
    return Profile("undercut", head_diameter, head_height=head_height, neck_diameter=neck_diameter)


def rounding(radius: float, tip_diameter: float) -> Profile:
    """A rounding cutter: its hollow edges leave a quarter circle on the edge of the wood.

    radius : of the rounded edge
    tip_diameter : across the small end, where the hollow begins; its full diameter is that and twice the radius

    >>> cutter = rounding(6, 6)
    >>> print(cutter)
    rounding 18 radius 6
    >>> round(cutter.radius_at(3), 3)
    3.804

    Raises InputError for a radius that is no length above 0, or a tip_diameter below 0.1.
    """
    radius, tip = length("radius", radius), length("tip_diameter", tip_diameter)
    if tip < _SMALLEST_TIP:
        raise InputError(f"tip_diameter={tip:g} is below {_SMALLEST_TIP:g} mm: no rounding cutter ends so thin.")
    return Profile("rounding", tip + 2 * radius, corner_radius=radius)
