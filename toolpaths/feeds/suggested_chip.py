"""The chip to aim at with a cutter in a wood: what charts print, what is less for deep passes and small machines."""

from __future__ import annotations

from toolpaths.base.errors import InputError
from toolpaths.base.units import MM_PER_INCH
from toolpaths.facts.chip_loads import RUBS, THICKEST, THINNEST, careful, thin_share
from toolpaths.facts.profile import Profile
from toolpaths.facts.woods import WoodKind
from toolpaths.feeds.figure import PRACTICE, Figure

# Small belt- or screw-driven machines are run at this share of the charts (common practice, no source), ...
SMALL_SHARE = (0.3, 0.5)
_SHARE = 0.4
# ... and at chips, mm, no thicker than these for cutters of 1/8 and of 1/4 in (common practice, no source).
_SMALL_MOST = (0.06, 0.12)
# in; Amana Tool, carbide-tipped V-groove, chart v2: one number for wood, whatever the diameter.
_V_CHIP = 0.0024
# Amana Tool and AST Tooling alike: what is left of the chip at so many diameters of depth.
_AT_DEPTH = ((1.0, 1.0), (2.0, 0.75), (3.0, 0.5))


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


def suggested_chip(
    profile: Profile, wood: WoodKind, rigid: bool, depth: float, given: tuple[float, float] | None
) -> Figure:
    """The thickness of chip to aim at, mm.

    The middle of what the most careful chart prints, less for deep passes and for a small machine, but no
    thinner than rubs. depth : of a pass. given : the user's least and most, whose middle it then is.
    """
    diameter = profile.working_diameter
    if given is not None:
        return Figure(
            sum(given) / 2, f"the middle of your chip_load_mm, {given[0]:g} to {given[1]:g} mm", "your chip_load_mm"
        )
    if profile.kind in ("drill", "undercut"):
        kind = "drills" if profile.kind == "drill" else "undercut cutters"
        raise InputError(
            f"{profile}: no chart here is for {kind}. Give chip_load_mm=(least, most), mm a flute and turn, as its "
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


def _printed(profile: Profile, wood: WoodKind) -> tuple[float, str]:
    """The middle of what is published, mm, and where."""
    diameter = profile.working_diameter
    beyond = "; in proportion below 1/8 in" if diameter < THINNEST else ""
    if profile.kind == "V":
        source = "Amana Tool, carbide-tipped V-groove, chart v2: 0.0024 in in wood"
        return _V_CHIP * MM_PER_INCH * thin_share(diameter), source + beyond
    chart, low, high = careful(diameter, wood)
    if diameter > THICKEST:
        beyond = "; the chart ends at 1/2 in, its last row is taken"
    if profile.hollow:
        beyond += "; for straight cutters, taken for one as thick as this is half-way up its hollow (no source)"
    elif profile.corner_radius > 0:
        beyond += f"; for straight cutters, taken for a {profile.kind} too ({PRACTICE})"
    return (low + high) / 2, f"{chart.source}: {low:.3f} to {high:.3f} mm at {round(diameter, 3):g} mm{beyond}"
