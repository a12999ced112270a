"""Cutters as solids of revolution, and how each is run in the wood at hand. Lengths in mm."""

from __future__ import annotations

from dataclasses import dataclass
from math import radians, sqrt, tan

import numpy as np

from toolpaths.base.checks import NOT_GIVEN, Floats, between, not_negative, point, positive, whole
from toolpaths.base.errors import InputError, UnitsQuestion

# Thinner cutters and slower feeds than these, mm and mm/min, are more likely inches (common practice, no source).
_THINNEST, _SLOWEST = 0.4, 100.0
# Degrees: what ramps are made at unless told otherwise, and the steepest in soft wood (common practice:
# 2 to 5 in hard wood, up to 10 in soft, no source).
_RAMP, _STEEPEST_RAMP = 3.0, 10.0


@dataclass(frozen=True, slots=True)
class Profile:
    """The cutting part, seen from the side: a flat tip, then a rounded corner or a cone.

    Make one with flat(), ball(), bull_nose(), v_point() or drill_point().
    `kind` names the trade's word for it and decides nothing.
    """

    kind: str
    diameter: float
    corner_radius: float = 0.0
    angle_deg: float = 180.0
    tip_diameter: float = 0.0

    @property
    def radius(self) -> float:
        return self.diameter / 2

    @property
    def flat_radius(self) -> float:
        return self.tip_diameter / 2 if self.angle_deg < 180 else self.radius - self.corner_radius

    @property
    def tip_height(self) -> float:
        """From the tip up to where the full diameter begins (the point length of a drill)."""
        if self.angle_deg < 180:
            return (self.radius - self.tip_diameter / 2) / tan(radians(self.angle_deg / 2))
        return self.corner_radius

    @property
    def usual_length(self) -> float:
        """Of the cutting edges, unless measured: a V cutter ends where its cone does."""
        return {"V": self.tip_height, "drill": 8 * self.diameter}.get(self.kind, 4 * self.diameter)

    def height(self, rho: Floats) -> Floats:
        """Height of the cutting surface above the tip at distance rho from the axis.

        rho : any shape, 0 <= rho <= radius; the result has the same shape and never falls as
        rho grows.
        """
        out = np.maximum(rho - self.flat_radius, 0.0)
        if self.angle_deg < 180:
            return np.asarray(out / tan(radians(self.angle_deg / 2)))
        corner = self.corner_radius
        return np.asarray(corner - np.sqrt(np.maximum(corner * corner - out * out, 0.0)))

    def radius_at(self, height: float) -> float:
        """Radius of the solid at so much above the tip; 0 below the tip."""
        if height < 0:
            return 0.0
        if height >= self.tip_height:
            return self.radius
        if self.angle_deg < 180:
            return self.flat_radius + height * tan(radians(self.angle_deg / 2))
        down = self.corner_radius - height
        return self.flat_radius + sqrt(max(self.corner_radius**2 - down * down, 0.0))

    def text(self, scale: float = 1.0, digits: int = 3) -> str:
        """As an operator would say it, lengths times `scale`: "flat 6", "drill 2.5 118 deg"."""
        text = f"{self.kind} {round(self.diameter * scale, digits):g}"
        if self.kind == "bull nose":
            text += f" corner {round(self.corner_radius * scale, digits):g}"
        return text + (f" {self.angle_deg:g} deg" if self.angle_deg < 180 else "")

    def __str__(self) -> str:
        return self.text()


def flat(diameter: float) -> Profile:
    """A straight cutter with a flat end."""
    return Profile("flat", positive("diameter", diameter))


def ball(diameter: float) -> Profile:
    """A ball-end cutter: half a sphere at the tip."""
    return Profile("ball", positive("diameter", diameter), corner_radius=diameter / 2)


def bull_nose(diameter: float, corner_radius: float) -> Profile:
    """A straight cutter whose corner is rounded."""
    positive("diameter", diameter)
    return Profile("bull nose", diameter, between("corner_radius", corner_radius, 0.0, diameter / 2))


def v_point(diameter: float, angle_deg: float, tip_diameter: float = 0.0) -> Profile:
    """A V cutter: angle_deg is the included angle, tip_diameter the flat at its point."""
    positive("diameter", diameter)
    between("angle_deg", angle_deg, 10.0, 170.0)
    if not_negative("tip_diameter", tip_diameter) >= diameter:
        raise InputError(f"tip_diameter={tip_diameter!r} must be below diameter={diameter:g}.")
    return Profile("V", diameter, angle_deg=angle_deg, tip_diameter=tip_diameter)


def drill_point(diameter: float, angle_deg: float = 118.0) -> Profile:
    """A twist drill; 118 degrees is the usual point (common practice, no source)."""
    return Profile("drill", positive("diameter", diameter), angle_deg=between("angle_deg", angle_deg, 60.0, 170.0))


@dataclass(frozen=True, slots=True)
class Cutter:
    """One cutter in the rack, and how it is run in this wood.

    number : as in the T word, from 1
    profile : flat(6), ball(12), bull_nose(6, 1), v_point(12, 90), drill_point(2.5)
    feed_mm_min, spindle_rpm : your own numbers; plunge_mm_min (straight down) is a third of the
        feed unless given, step_down (deepest pass) half the diameter: common practice, no source
    flutes, cutting_length, stick_out, shank_diameter, nut_diameter : the body, measured; unless
        given 2 flutes, 4 diameters long (a drill 8), 10 mm more to the collet nut, a nut of 19 mm
    centre_cutting : whether it cuts on its axis; one that does not is never sent straight down
    ramp_angle_deg : steepest way down while moving sideways, 3 degrees unless given
    ramp_mm_min : the feed on such a way, feed_mm_min unless given

    What the simulator takes it to bear. Each is your number above where you gave that; else
    deepest_pass : one diameter, the base of makers' charts (Amana Tool, AST Tooling)
    fastest_plunge : mm/min, its feed; a drill never less than that
    steepest_ramp_deg : 10 degrees (common practice, no source)
    widest_cut : widest pass as a share of the diameter, 1 for no limit
    chip_load_mm : (least, most) a tooth; unless given from the charts in `chips`, for the board's wood
    """

    number: int
    profile: Profile
    feed_mm_min: float
    spindle_rpm: float
    plunge_mm_min: float = NOT_GIVEN
    step_down: float = NOT_GIVEN
    flutes: int = 2
    cutting_length: float = NOT_GIVEN
    stick_out: float = NOT_GIVEN
    shank_diameter: float = NOT_GIVEN
    nut_diameter: float = 19.0
    centre_cutting: bool = True
    ramp_angle_deg: float = NOT_GIVEN
    ramp_mm_min: float = NOT_GIVEN
    deepest_pass: float = NOT_GIVEN
    fastest_plunge: float = NOT_GIVEN
    steepest_ramp_deg: float = NOT_GIVEN
    widest_cut: float = 1.0
    chip_load_mm: tuple[float, float] | None = None

    def __post_init__(self) -> None:
        if not isinstance(self.profile, Profile):
            raise InputError(f"T{self.number}: profile={self.profile!r} must be flat(6), ball(12) or the like.")
        whole("number", self.number, 1)
        who = f"T{self.number}: "
        positive(who + "feed_mm_min", self.feed_mm_min)
        if self.diameter < _THINNEST or self.feed_mm_min < _SLOWEST:
            raise UnitsQuestion(
                f"Is {who}really {self.diameter:g} mm across, fed {self.feed_mm_min:g} mm a minute? If in inches, "
                "write inch(...) around each, the feed in inches per minute as well."
            )
        if self.cutting_length is NOT_GIVEN:
            object.__setattr__(self, "cutting_length", self.profile.usual_length)
        # What a cutter is run at may be less than what it bears: where a number was left to its
        # default, only the limit of the trade is held against a program.
        is_drill = self.profile.kind == "drill"
        bears = {
            "deepest_pass": ("step_down", self.diameter),
            "fastest_plunge": ("plunge_mm_min", self.feed_mm_min),
            "steepest_ramp_deg": ("ramp_angle_deg", _STEEPEST_RAMP),
        }
        for name, (own, limit) in bears.items():
            if getattr(self, name) is NOT_GIVEN:
                given = getattr(self, own)
                object.__setattr__(self, name, limit if given is NOT_GIVEN else given)
        defaults = {
            "plunge_mm_min": self.feed_mm_min if is_drill else self.feed_mm_min / 3,
            "ramp_mm_min": self.feed_mm_min,
            "step_down": self.diameter / 2,
            "ramp_angle_deg": _RAMP,
            "stick_out": positive(who + "cutting_length", self.cutting_length) + 10,
            "shank_diameter": self.diameter,
        }
        for name, default in defaults.items():
            if getattr(self, name) is NOT_GIVEN:
                object.__setattr__(self, name, default)
        for name in ("spindle_rpm", *defaults, *bears, "nut_diameter"):
            positive(who + name, getattr(self, name))
        if is_drill:  # its feed is along its axis
            object.__setattr__(self, "fastest_plunge", max(self.fastest_plunge, self.feed_mm_min))
        if not isinstance(self.centre_cutting, bool):
            raise InputError(f"{who}centre_cutting={self.centre_cutting!r} must be True or False.")
        whole(who + "flutes", self.flutes, 1)
        between(who + "ramp_angle_deg", self.ramp_angle_deg, 0.1, 45.0)
        between(who + "widest_cut", self.widest_cut, 0.01, 1.0)
        if self.chip_load_mm is not None:
            object.__setattr__(self, "chip_load_mm", point(who + "chip_load_mm", self.chip_load_mm))
            least, most = self.chip_load_mm
            if not 0 < least < most:
                raise InputError(f"{who}chip_load_mm={self.chip_load_mm} must be (least, most), both above 0, in mm.")
        if self.stick_out < self.cutting_length:
            raise InputError(f"{who}stick_out={self.stick_out:g} is below cutting_length={self.cutting_length:g}.")
        if self.profile.tip_height > self.cutting_length:
            raise InputError(
                f"{who}cutting_length={self.cutting_length:g} is below the tip's {self.profile.tip_height:.3f} mm."
            )

    @property
    def diameter(self) -> float:
        return self.profile.diameter

    @property
    def radius(self) -> float:
        return self.profile.radius

    def body_radius(self, height: float) -> float:
        """Largest radius of cutter, shank and nut up to so much above the tip; 0 below the tip."""
        radius = self.profile.radius_at(height)
        if height > self.cutting_length:
            radius = max(radius, self.shank_diameter / 2)
        if height > self.stick_out:
            radius = max(radius, self.nut_diameter / 2)
        return radius

    def __str__(self) -> str:
        return f"T{self.number} {self.profile}"


# What makes a cutter that cutter, however it is run.
_BODY = ("profile", "flutes", "cutting_length", "stick_out", "shank_diameter", "nut_diameter", "centre_cutting")


def rack(cutters: tuple[Cutter, ...]) -> dict[int, Cutter]:
    """The cutters by number, in order of first use; one number with two bodies is an error.

    The same cutter may be run at several feeds and speeds.
    """
    found: dict[int, Cutter] = {}
    for cutter in cutters:
        other = found.setdefault(cutter.number, cutter)
        for name in _BODY:
            a, b = getattr(other, name), getattr(cutter, name)
            if a != b:
                raise InputError(
                    f"T{cutter.number} is two cutters, {name.replace('_', ' ')} {a} and {b}; give each its own number."
                )
    return found
