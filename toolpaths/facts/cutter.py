"""A cutter in the rack, and how it is run in the wood at hand. Lengths in mm.

What the user wrote stands in the fields of Cutter, None where nothing was; what follows from that is worked out each
time, so that a cutter made from another by dataclasses.replace keeps nothing of the old one's.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property, partial
from math import inf
from typing import Any, NamedTuple

import numpy as np

from toolpaths.base.checks import Floats, between, flag, length, let_in, optional, point, positive, shown, whole
from toolpaths.base.errors import InputError, UnitsError
from toolpaths.base.values import PickledByFields, in_a_line
from toolpaths.facts.profile import Profile, checked_profile

# Thinner cutters and slower feeds than these, mm and mm/min, are more likely inches (common practice, no source).
_THINNEST, SLOWEST = 0.4, 100.0
# More are a slip of the finger.
MOST_FLUTES = 24
# Degrees: what ramps are made at unless given, and the steepest in soft wood (common practice:
# 2 to 5 in hard wood, up to 10 in soft, no source).
_RAMP, _STEEPEST_RAMP = 3.0, 10.0
# A cutter that does not cut at its centre is taken to be dead over this share of its diameter.
_DEAD_CENTRE = 0.5
# Diameters straight down between two clearings of the chips (common practice, no source: 1 to 2), and how deep a
# drill goes before it needs any (common practice, no source: a deep hole begins at 3 to 5).
_PECK, _DEEP_HOLE = 2.0, 4.0
# mm from the end of the edges to the collet nut, unless measured.
_TO_THE_NUT = 10.0


def chip_loads(name: str, given: Any) -> tuple[float, float]:
    """The least and the most that a tooth takes, mm."""
    least, most = point(name, given)
    if not 0 < least < most:
        raise InputError(f"{name}={shown(given)} must be (least, most), both above 0, in mm.")
    return least, most


class Running(NamedTuple):
    """What a cutter is run at: the user's numbers, and what follows from them where none was given.

    plunge_mm_min : straight down; a third of the feed, a drill its feed
    ramp_mm_min : down while moving sideways; the feed
    step_down : mm, deepest pass; half the diameter, of a rounding cutter half of that half-way up its hollow, of an
        undercut cutter all of its edges
    ramp_angle_deg : steepest way down while moving sideways; 3 degrees
    """

    plunge_mm_min: float
    ramp_mm_min: float
    step_down: float
    ramp_angle_deg: float


class Body(NamedTuple):
    """How long a cutter is, mm: its edges; from the tip to the collet nut; and how thick its shank is."""

    cutting_length: float
    stick_out: float
    shank_diameter: float


class Bears(NamedTuple):
    """What a cutter is taken to bear, and a program is held against.

    deepest_pass : mm; plunge_mm_min : straight down; ramp_angle_deg : while moving sideways
    deepest_peck : mm straight down between two clearings of the chips, in a hole deeper than deepest_hole
    deepest_hole : mm straight down at once
    """

    deepest_pass: float
    plunge_mm_min: float
    ramp_angle_deg: float
    deepest_peck: float
    deepest_hole: float


@dataclass(frozen=True)
class Cutter(PickledByFields):
    """One cutter in the rack, and how it is run in this wood.

    number : as in the T word, from 1
    profile : flat(6), ball(12), bull_nose(6, 1), v_point(12, 90), drill_point(2.5)
    feed_mm_min, spindle_rpm : your own numbers
    plunge_mm_min : straight down; a third of the feed unless given, a drill its feed (common practice, no source)
    step_down : mm, deepest pass; half the diameter unless given (common practice, no source), of a rounding cutter half
        of that half-way up its hollow
    ramp_angle_deg : steepest way down while moving sideways; 3 degrees unless given
    ramp_mm_min : the feed on such a way; feed_mm_min unless given
    flutes, cutting_length, stick_out, shank_diameter, nut_diameter : the body, measured; unless
        given 2 flutes, 4 diameters long (a drill 8), 10 mm more to the collet nut, a nut of 19 mm
    centre_cutting : whether it cuts on its axis; one that does not is taken to be dead over half its diameter, and goes
        down only on ways wider than that

    What the simulator takes it to bear. Each is your number above where you gave that; else
    deepest_pass : mm; one diameter, the base of makers' charts (Amana Tool, AST Tooling), likewise
    deepest_peck : mm straight down between two clearings of the chips; two diameters (common practice, no source), or
        a pass if that is deeper
    deepest_hole : mm straight down at once; deepest_peck, but four diameters of a drill (common practice, no source)
    fastest_plunge_mm_min : its feed; a drill never less than that
    steepest_ramp_deg : 10 degrees (common practice, no source) where it does not cut at its centre, else straight down
    widest_cut : widest pass as a share of the diameter, 1 for no limit
    chip_load_mm : (least, most) a tooth; unless given from published charts, for the board's wood

    The fields hold what you gave, None where you gave nothing; `running`, `body` and `bears` the numbers that hold.

    >>> from toolpaths import Cutter, flat
    >>> cutter = Cutter(1, flat(6), feed_mm_min=1800, spindle_rpm=18000)
    >>> cutter.running.step_down, cutter.body.cutting_length, cutter.bears.deepest_pass
    (3.0, 24.0, 6.0)

    Raises InputError for numbers that make no cutter, UnitsError for such as look like inches.
    """

    number: int
    profile: Profile
    feed_mm_min: float
    spindle_rpm: float
    plunge_mm_min: float | None = None
    step_down: float | None = None
    flutes: int = 2
    cutting_length: float | None = None
    stick_out: float | None = None
    shank_diameter: float | None = None
    nut_diameter: float = 19.0
    centre_cutting: bool = True
    ramp_angle_deg: float | None = None
    ramp_mm_min: float | None = None
    deepest_pass: float | None = None
    deepest_peck: float | None = None
    deepest_hole: float | None = None
    fastest_plunge_mm_min: float | None = None
    steepest_ramp_deg: float | None = None
    widest_cut: float = 1.0
    chip_load_mm: tuple[float, float] | None = None

    def __post_init__(self) -> None:
        let_in(self, number=partial(whole, low=1))
        who = f"T{self.number}: "
        let_in(
            self, who, profile=checked_profile, feed_mm_min=positive, spindle_rpm=positive, nut_diameter=length,
            flutes=partial(whole, low=1, high=MOST_FLUTES), centre_cutting=flag,
            widest_cut=partial(between, low=0.01, high=1.0),
            chip_load_mm=partial(optional, door=chip_loads), **dict.fromkeys(_GIVEN, partial(optional, door=positive)),
        )  # fmt: skip
        if self.diameter < _THINNEST or self.feed_mm_min < SLOWEST:
            raise UnitsError(
                f"Is T{self.number} really {self.diameter:g} mm across, fed {self.feed_mm_min:g} mm a minute? If in "
                "inches, write inch(...) around each, the feed in inches per minute as well."
            )
        between(who + "ramp_angle_deg", self.running.ramp_angle_deg, 0.1, 45.0)
        if self.body.stick_out < self.body.cutting_length:
            raise InputError(
                f"{who}stick_out={self.body.stick_out:g} is below cutting_length={self.body.cutting_length:g}."
            )
        if self.profile.tip_height > self.body.cutting_length:
            raise InputError(
                f"{who}cutting_length={self.body.cutting_length:g} is below the tip's {self.profile.tip_height:.3f} mm."
            )

    @property
    def diameter(self) -> float:
        return self.profile.diameter

    @property
    def radius(self) -> float:
        return self.profile.radius

    @property
    def dead_centre(self) -> float:
        """Diameter about the axis over which the tip does not cut, mm; 0 for one that cuts at its centre."""
        return 0.0 if self.centre_cutting else _DEAD_CENTRE * self.diameter

    @property
    def opens_above_tip(self) -> float:
        """mm above its tip up to which a way that it goes sideways is as wide as what it takes below; inf for all."""
        thin = self.body.shank_diameter < self.diameter
        return 0.0 if self.profile.kind == "undercut" else self.body.cutting_length if thin else inf

    @cached_property
    def running(self) -> Running:
        """The numbers that it is run at."""
        plunge = self.feed_mm_min if self.profile.kind == "drill" else self.feed_mm_min / 3
        under = self.profile.kind == "undercut"
        return Running(
            _first(self.plunge_mm_min, plunge),
            _first(self.ramp_mm_min, self.feed_mm_min),
            # An undercut cutter has its head under the wood, and takes all its depth at once.
            _first(self.step_down, self.body.cutting_length if under else self.profile.working_diameter / 2),
            _first(self.ramp_angle_deg, _RAMP),
        )

    @cached_property
    def body(self) -> Body:
        """Its lengths."""
        edges = _first(self.cutting_length, self.profile.usual_length)
        return Body(edges, _first(self.stick_out, edges + _TO_THE_NUT), _first(self.shank_diameter, self.diameter))

    @cached_property
    def bears(self) -> Bears:
        """What it bears. What a cutter is run at may be less than that: where a number was left to its default, only
        the limit of the trade is held against a program."""
        plunge = _first(self.fastest_plunge_mm_min, self.plunge_mm_min, self.feed_mm_min)
        drill = self.profile.kind == "drill"
        if drill:  # its feed is along its axis
            plunge = max(plunge, self.feed_mm_min)
        deepest_pass = _first(self.deepest_pass, self.step_down, self.profile.working_diameter)
        # And its pass is a peck; a mill that bears a deeper pass bears it straight down.
        own_peck = (self.deepest_peck, *((self.deepest_pass, self.step_down) if drill else ()))
        peck = _PECK * self.diameter if drill else max(_PECK * self.diameter, deepest_pass)
        return Bears(
            deepest_pass,
            plunge,
            _first(self.steepest_ramp_deg, self.ramp_angle_deg, 90.0 if self.centre_cutting else _STEEPEST_RAMP),
            _first(*own_peck, peck),
            _first(self.deepest_hole, *own_peck, _DEEP_HOLE * self.diameter if drill else peck),
        )

    def body_radii(self, heights: Floats) -> Floats:
        """(k,) largest radius of cutter, shank and nut up to so much above the tip (k,); 0 below the tip."""
        radius = np.where(heights < 0, 0.0, self.profile.radii(heights))
        shank, nut = self.body.shank_diameter / 2, self.nut_diameter / 2
        radius = np.where(heights > self.body.cutting_length, np.maximum(radius, shank), radius)
        return np.where(heights > self.body.stick_out, np.maximum(radius, nut), radius)

    def body_radius(self, height: float) -> float:
        """body_radii() at one height."""
        return float(self.body_radii(np.array(height)))

    def __str__(self) -> str:
        return f"T{self.number} {self.profile}"

    def __repr__(self) -> str:
        return in_a_line(f"<{self}, {self.feed_mm_min:g} mm/min, {self.spindle_rpm:g} rpm>")


# Numbers that may be left to what follows from others.
_GIVEN = (
    "plunge_mm_min", "step_down", "cutting_length", "stick_out", "shank_diameter", "ramp_angle_deg", "ramp_mm_min",
    "deepest_pass", "deepest_peck", "deepest_hole", "fastest_plunge_mm_min", "steepest_ramp_deg",
)  # fmt: skip


def _first(*numbers: float | None) -> float:
    """The first number that is given; the last always is."""
    return next(number for number in numbers if number is not None)


# What makes a cutter that cutter, however it is run.
_SAME_BODY = ("profile", "flutes", "body", "nut_diameter", "centre_cutting")


def rack(cutters: tuple[Cutter, ...]) -> dict[int, Cutter]:
    """The cutters by number, in order of first use; one number with two bodies is an error.

    The same cutter may be run at several feeds and speeds.
    """
    found: dict[int, Cutter] = {}
    for cutter in cutters:
        other = found.setdefault(cutter.number, cutter)
        for name in _SAME_BODY:
            a, b = getattr(other, name), getattr(cutter, name)
            if a != b:
                what = f"{name.replace('_', ' ')} {a} and {b}"
                if name == "body":
                    what = next(f"{n.replace('_', ' ')} {x:g} and {y:g}" for n, x, y in zip(a._fields, a, b) if x != y)
                raise InputError(f"T{cutter.number} is two cutters, {what}; give each its own number.")
    return found
