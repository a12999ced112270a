"""The depth of a pass and the slope of a ramp for a cutter in a wood, and who says so."""

from __future__ import annotations

from toolpaths.base.units import MM_PER_INCH
from toolpaths.facts.chip_loads import THICKEST
from toolpaths.facts.profile import Profile
from toolpaths.facts.woods import WoodKind
from toolpaths.feeds.figure import NOT_LIMITED, PRACTICE, Figure

# Of the diameter, by which a small machine goes down (common practice: 0.3 to 0.5, no source).
_SMALL_STEP: dict[WoodKind, float] = {"softwood": 0.5, "plywood": 0.5, "MDF": 0.5, "hardwood": 0.3, "": 0.3}
# in; Craftsman router manual 315.175070, p. 15: the most at once in hard wood or with a large bit. That a
# cutter is large where the charts end is common practice, no source.
_HAND_ROUTER = 1 / 8
# Degrees (common practice: 2 to 5 in hard wood, up to 10 in soft, no source): what is made, and the steepest.
_RAMPS: dict[WoodKind, tuple[float, float]] = {"softwood": (5.0, 10.0)}
_RAMP = (3.0, 5.0)


def steepest_ramp(wood: WoodKind) -> float:
    """Degrees."""
    return _RAMPS.get(wood, _RAMP)[1]


def suggested_step_down(profile: Profile, wood: WoodKind, rigid: bool, cutting_length: float) -> Figure:
    """Depth of a pass, mm."""
    diameter = profile.working_diameter
    if profile.kind == "drill":
        return Figure(
            diameter, f"a drill's peck is 1 to 2 diameters, up again in full ({PRACTICE})", "what a deep hole packs"
        )
    if profile.kind == "undercut":
        why = "an undercut cutter takes all its depth at once: its head is under the wood"
        return Figure(cutting_length, why, "the cutting length")
    hand = _HAND_ROUTER * MM_PER_INCH
    if rigid:
        found = Figure(diameter, "one diameter, the depth that the charts are for", "the charts")
        if diameter > THICKEST:
            found = Figure(THICKEST, "the deepest that the charts are for", "the charts, which end at 1/2 in")
    else:
        share = _SMALL_STEP[wood]
        found = Figure(share * diameter, f"{share:g} of the diameter ({PRACTICE})", "a small machine: 0.3 to 0.5")
        if found.value > hand and (wood in ("hardwood", "") or profile.diameter > THICKEST):
            why = "a small machine in hard wood or with a large cutter: 1/8 in, as a hand router"
            found = Figure(hand, "Craftsman router manual 315.175070, p. 15", why)
    if found.value > cutting_length:
        return Figure(cutting_length, "the cutting length", "the cutting length")
    return found


def suggested_ramp_angle(profile: Profile, wood: WoodKind) -> Figure:
    """Degrees."""
    made, steepest = _RAMPS.get(wood, _RAMP)
    if profile.kind == "drill":
        return Figure(made, "not used: a drill goes straight down", NOT_LIMITED)
    soft = "soft wood: up to 10" if wood in _RAMPS else "hard wood and sheets: 2 to 5"
    return Figure(made, f"{soft} degrees ({PRACTICE})", f"{steepest:g} degrees, the steepest")
