"""How hard a screw, a clamp or a grip may be pushed sideways before it gives. All of it is weak: try yours by hand.

Screws: the Wood Handbook, FPL-GTR-190, chapter 8, from memory and unverified. Sideways p = K D^2 in N, with the least
K that it lists for wood screws; straight out p = 108.25 G^2 D L in N. A cutter pulls both ways, so the less counts.
Clamps, tape, vacuum and vises: common practice, no source.
"""

from __future__ import annotations

from toolpaths.facts.grip import GripKind
from toolpaths.facts.hold_down import HoldDown

# N/mm2 over the width and depth of a pin's hole in the board: half of what the lightest wood bears there (from memory).
_BEARING = 10.0
# N/mm2; and the specific gravity of what a screw goes into, the lightest wood that is listed.
_SIDEWAYS, _LIGHTEST = 23.0, 0.32
# Shank of a screw as a share of its head, and mm that it goes into the spoilboard, where that is not said (common
# practice: a head is about twice the shank).
_SHANK, _INTO_SPOILBOARD = 0.5, 12.0
# N that a clamp tightened by hand presses with, and the friction of dry wood below it and of its own foot above.
_CLAMP, _FRICTION, _FACES = 1000.0, 0.3, 2
# N/mm2 of the area. Tape: less than half of what makers print for a short pull on smooth ground; vacuum: friction
# under two thirds of the air's pressure; a vise: friction of both jaws under 0.5 N/mm2.
_GRIPS: dict[GripKind, float] = {"tape": 0.2, "vacuum": 0.02, "vise": 0.3}


def sideways_hold(thing: HoldDown, thickness: float) -> float:
    """N that it stands sideways; of a grip over each mm2, of anything else in all.

    thickness : mm, of the board that it holds
    """
    if thing.kind == "screw":
        return min(screw_sideways(thing), screw_withdrawal(thing, thickness))
    if thing.kind == "clamp":
        return _CLAMP * _FRICTION * _FACES
    return _GRIPS[thing.by] if thing.by else _BEARING * 2 * thing.radius * thickness


def screw_shank(screw: HoldDown) -> float:
    """mm across its thread, half its head unless said."""
    return screw.shank_diameter or 2 * screw.radius * _SHANK


def screw_sideways(screw: HoldDown) -> float:
    """N before a screw gives sideways."""
    return _SIDEWAYS * screw_shank(screw) ** 2


def screw_withdrawal(screw: HoldDown, thickness: float) -> float:
    """N before a screw is pulled out of the spoilboard; 0 for one that does not reach it."""
    deep = _INTO_SPOILBOARD if screw.length is None else max(screw.length - thickness, 0.0)
    return 108.25 * _LIGHTEST**2 * screw_shank(screw) * deep


def screw_reach(screw: HoldDown, thickness: float) -> float:
    """mm from its axis at which it stands what it stands sideways, when the wood is to turn about it.

    That is friction: below its head, and on the table over the width to which the head's pressure spreads on its way
    through the board, at 45 degrees.
    """
    pulls = screw_withdrawal(screw, thickness)
    turns = _FRICTION * pulls * 2 / 3 * (screw.radius + screw.radius + thickness)
    return turns / max(min(screw_sideways(screw), pulls), 1e-9)


def assumed(thing: HoldDown) -> str:
    """What is taken for granted of it, in words."""
    if thing.kind == "screw" and (thing.shank_diameter is None or thing.length is None):
        return f"screws {screw_shank(thing):g} mm thick, {_INTO_SPOILBOARD:g} mm deep in the spoilboard"
    if thing.kind == "clamp":
        return f"clamps that press with {_CLAMP:g} N"
    return f"{thing.by} that stands {_GRIPS[thing.by]:g} N/mm2" if thing.by else ""
