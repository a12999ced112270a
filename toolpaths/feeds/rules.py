"""The rules of the trade: what chip, what depth and what ramp a cutter is run at in a wood, and who says so."""

from __future__ import annotations

from toolpaths.base.errors import InputError
from toolpaths.base.units import MM_PER_INCH
from toolpaths.facts.chip_loads import RUBS, THICKEST, THINNEST, careful, thin_share
from toolpaths.facts.profile import Profile
from toolpaths.feeds.figure import PRACTICE, TOLD, Figure

# Small belt- or screw-driven machines are run at this share of the charts (common practice, no source), ...
SMALL_SHARE = (0.3, 0.5)
_SHARE = 0.4
# ... and at chips, mm, no thicker than these for cutters of 1/8 and of 1/4 in (common practice, no source).
_SMALL_MOST = (0.06, 0.12)
# in; Amana Tool, carbide-tipped V-groove, chart v2: one number for wood, whatever the diameter.
_V_CHIP = 0.0024
# Amana Tool and AST Tooling alike: what is left of the chip at so many diameters of depth.
_AT_DEPTH = ((1.0, 1.0), (2.0, 0.75), (3.0, 0.5))
# Of the diameter, by which a small machine goes down (common practice: 0.3 to 0.5, no source).
_SMALL_STEP = {"softwood": 0.5, "plywood": 0.5, "MDF": 0.5, "hardwood": 0.3, "": 0.3}
# in; Craftsman router manual 315.175070, p. 15: the most at once in hard wood or with a large bit. That a
# cutter is large where the charts end is common practice, no source.
_HAND_ROUTER = 1 / 8
# Degrees (common practice: 2 to 5 in hard wood, up to 10 in soft, no source): what is made, and the steepest.
RAMPS = {"softwood": (5.0, 10.0)}
_RAMP = (3.0, 5.0)


def steepest_ramp(wood: str) -> float:
    """Degrees."""
    return RAMPS.get(wood, _RAMP)[1]


def depth_share(depth: float, diameter: float) -> float:
    """What is left of the charts' chip at so much depth of a pass, on straight lines between what they print."""
    deep = depth / diameter
    for (above, more), (below, less) in zip(_AT_DEPTH, _AT_DEPTH[1:]):
        if deep <= below:
            return more + (less - more) * max(deep - above, 0.0) / (below - above)
    return _AT_DEPTH[-1][1]


def small_most(diameter: float) -> float:
    """The thickest chip of a small machine, mm: straight between 1/8 and 1/4 in, in proportion below."""
    thin, thick = _SMALL_MOST
    part = min(max(diameter / THINNEST - 1, 0.0), 1.0)
    return (thin + part * (thick - thin)) * thin_share(diameter)


def chip(profile: Profile, wood: str, rigid: bool, depth: float, given: tuple[float, float] | None) -> Figure:
    """The thickness of chip to aim at, mm.

    The middle of what the most careful chart prints, less for deep passes and for a small machine, but no
    thinner than rubs. depth : of a pass. given : the user's least and most, whose middle it then is.
    """
    diameter = profile.diameter
    if given is not None:
        return Figure(
            sum(given) / 2, f"the middle of your chip_load_mm, {given[0]:g} to {given[1]:g} mm", "your chip_load_mm"
        )
    if profile.kind == "drill":
        raise InputError(
            f"{profile}: no chart here is for drills. Give chip_load_mm=(least, most), mm a flute and turn, as its "
            "maker prints it, or make the Cutter from your own numbers."
        )
    printed, source = _printed(profile, wood)
    value, limits = printed, []
    left = depth_share(depth, diameter)
    if left < 1:
        value *= left
        limits.append(f"its depth, {depth / diameter:.2g} diameters: {100 * (1 - left):.0f} % less, as charts say")
    if not rigid:
        value *= _SHARE
        limits.append(f"a small machine: {_SHARE:g} of the chart (0.3 to 0.5: {PRACTICE})")
        if value > small_most(diameter):
            value = small_most(diameter)
            limits = [f"a small machine: {value:.3f} mm at most at this diameter ({PRACTICE})"]
    rubs = min(RUBS[1] * thin_share(diameter), printed)
    if value < rubs:
        value, limits = rubs, [f"rubbing, though all else asks for less: a chip of {rubs:.3f} mm cuts ({PRACTICE})"]
    return Figure(value, source, "; ".join(limits) or "the chart")


def _printed(profile: Profile, wood: str) -> tuple[float, str]:
    """The middle of what is published, mm, and where."""
    diameter = profile.diameter
    beyond = "; in proportion below 1/8 in" if diameter < THINNEST else ""
    if profile.kind == "V":
        source = "Amana Tool, carbide-tipped V-groove, chart v2: 0.0024 in in wood"
        return _V_CHIP * MM_PER_INCH * thin_share(diameter), source + beyond
    chart, low, high = careful(diameter, wood)
    if diameter > THICKEST:
        beyond = "; the chart ends at 1/2 in, its last row is taken"
    if profile.corner_radius > 0:
        beyond += f"; for straight cutters, taken for a {profile.kind} too ({PRACTICE})"
    return (low + high) / 2, f"{chart.source}: {low:.3f} to {high:.3f} mm at {diameter:g} mm{beyond}"


def step_down(profile: Profile, wood: str, rigid: bool, cutting_length: float) -> Figure:
    """Depth of a pass, mm."""
    diameter = profile.diameter
    if profile.kind == "drill":
        return Figure(
            diameter, f"a drill's peck is 1 to 2 diameters, up again in full ({PRACTICE})", "what a deep hole packs"
        )
    hand = _HAND_ROUTER * MM_PER_INCH
    if rigid:
        found = Figure(diameter, "one diameter, the depth that the charts are for", "the charts")
        if diameter > THICKEST:
            found = Figure(THICKEST, "the deepest that the charts are for", "the charts, which end at 1/2 in")
    else:
        share = _SMALL_STEP[wood]
        found = Figure(share * diameter, f"{share:g} of the diameter ({PRACTICE})", "a small machine: 0.3 to 0.5")
        if found.value > hand and (wood in ("hardwood", "") or diameter > THICKEST):
            why = "a small machine in hard wood or with a large cutter: 1/8 in, as a hand router"
            found = Figure(hand, "Craftsman router manual 315.175070, p. 15", why)
    if found.value > cutting_length:
        return Figure(cutting_length, "the cutting length", "the cutting length")
    return found


def ramp_angle(profile: Profile, wood: str) -> Figure:
    """Degrees."""
    made, steepest = RAMPS.get(wood, _RAMP)
    if profile.kind == "drill":
        return Figure(made, "not used: a drill goes straight down", TOLD)
    soft = "soft wood: up to 10" if wood in RAMPS else "hard wood and sheets: 2 to 5"
    return Figure(made, f"{soft} degrees ({PRACTICE})", f"{steepest:g} degrees, the steepest")
