"""How low a cutter comes over each cell as it moves: closed form wherever there is one.

Each function takes flat arrays of cells, each cell with the move that passes over it, and returns
the height of the surface cut there; inf where the cutter does not reach the cell after all.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from toolpaths.base.checks import Floats
from toolpaths.facts.profile import Profile
from toolpaths.judging.wood.sweep import EDGE, Flags

_TURN = 2 * np.pi
# Steps along the tangent that leave less than 1e-9 mm of height, for corners of a hundredth of the width and more.
_TANGENTS = 12
# Places at which a rising cutter that is not flat is looked at before the search closes in.
_LOOKS = 32
_GOLDEN = (5**0.5 - 1) / 2
# Steps by the golden ratio: 1e-6 of the way between two looks is left, which is short itself.
_CLOSINGS = 28
# Halvings of a distance that leave nothing of it, and such as do where what is looked for is level.
_HALVINGS, _FEW_HALVINGS = 52, 24


def reach(profile: Profile, depth: Floats, clearance: float = 0.0) -> Floats:
    """Radius within which the cutter can touch wood when its tip is so far below the top.

    A 12 mm ball 3 mm deep touches nothing beyond 5.2 mm from its axis.
    clearance : how much smaller than it is the cutter counts
    """
    return np.asarray(np.clip(profile.radii(depth), 0.0, profile.radius - clearance))


def level(profile: Profile, distance: Floats, z: Floats) -> Floats:
    """Cut at height z with the path so far away."""
    return z + profile.height(np.minimum(distance, profile.radius))


def sloped_line(
    profile: Profile, along: Floats, aside: Floats, length: Floats, z: Floats, slope: Floats, reach: Floats
) -> Floats:
    """Cut by a straight move that rises from z by `slope` per mm, over its `length` seen from above.

    along, aside : where the cell lies, from the low end along the move and at right angles to it
    reach : radius within which the cutter counts
    """
    half = np.sqrt(np.maximum(reach * reach - aside * aside, 0.0))
    low = np.maximum(along - half, 0.0)
    high = np.minimum(along + half, length)
    if profile.kind == "flat":
        at = low
    elif profile.hollow:
        # As far downhill as the cutter reaches it may cut lower than where its edge touches the cell from below.
        away = touch_of_hollow(profile, np.abs(aside), None, slope)
        touch = np.clip(along - np.sqrt(np.maximum(away * away - aside * aside, 0.0)), low, high)
        at = np.where(
            _lifted(profile, along, aside, slope, touch) < _lifted(profile, along, aside, slope, low), touch, low
        )
    else:
        at = np.clip(along - _behind(profile, aside, slope, half), low, high)
    return np.where(high >= low, z + _lifted(profile, along, aside, slope, at), np.inf)


def _lifted(profile: Profile, along: Floats, aside: Floats, slope: Floats, at: Floats) -> Floats:
    """How far above the low end of a rising move its cutter cuts, the axis so far along it."""
    return np.asarray(slope * at + profile.height(np.minimum(np.hypot(at - along, aside), profile.radius)))


def over_line(
    profile: Profile, along: Floats, aside: Floats, length: Floats, z: Floats, slope: Floats | None
) -> Floats:
    """As sloped_line, by the whole cutter, boundary included; slope None where no move rises."""
    if profile.hollow and slope is not None:
        cut = sloped_line(profile, along, aside, length, z, slope, np.full(len(along), profile.radius))
        return np.where(np.abs(aside) <= profile.radius + EDGE, cut, np.inf)
    room = aside * aside
    np.subtract(profile.radius**2, room, out=room)
    if slope is None:
        at = np.maximum(along, 0.0)
    else:
        half = np.maximum(room, 0.0)
        np.sqrt(half, out=half)
        if profile.kind == "ball":
            half *= slope / np.sqrt(1 + slope * slope)
        elif profile.kind != "flat":
            half = _behind(profile, aside, slope, half)
        at = np.subtract(along, half, out=half)
        np.maximum(at, 0.0, out=at)
    np.minimum(at, length, out=at)
    past = at - along
    past *= past
    room -= past
    height: Floats | float = z
    if slope is not None:
        at *= slope
        at += z
        height = at
    if profile.kind == "ball":
        past = np.maximum(room, 0.0, out=past)
        np.sqrt(past, out=past)
        np.subtract(profile.radius, past, out=past)
        height = np.add(height, past, out=past)
    elif profile.kind != "flat":
        height = height + profile.height(np.sqrt(np.clip(profile.radius**2 - room, 0.0, profile.radius**2)))
    return np.where(room >= -2 * EDGE * profile.radius, height, np.inf)


def _behind(profile: Profile, aside: Floats, slope: Floats, half: Floats) -> Floats:
    """How far downhill of the cell the cutter's axis is when it cuts the cell lowest.

    The height over the cell is convex in the place of the axis: a straight rise plus a profile that
    never falls outwards. So the place where its slope is zero is the lowest, and clipping to the
    move is right.
    """
    flat = profile.flat_radius
    plain = np.sqrt(np.maximum(flat * flat - aside * aside, 0.0))
    if profile.angle_deg < 180:
        steep = 1 / np.tan(np.radians(profile.angle_deg / 2))
        part = np.minimum(slope / steep, 1.0)
        with np.errstate(divide="ignore", invalid="ignore"):
            cone = np.where(part < 1, part * np.abs(aside) / np.sqrt(1 - part * part), np.inf)
        return np.maximum(plain, np.minimum(cone, half))
    corner = profile.corner_radius
    if corner == 0:
        return half
    if flat == 0:
        # Of the whole ball, also where less of it reaches into the wood.
        whole = np.sqrt(np.maximum(corner * corner - aside * aside, 0.0))
        return slope * whole / np.sqrt(1 + slope * slope)
    # With q the sine of the angle at which the corner touches, the axis is flat + corner q away, and
    # (slope / q)^2 + (aside / (flat + corner q))^2 = 1 + slope^2: convex and falling in q, so that
    # steps along the tangent from below never go too far. Either term alone gives a place to begin.
    side, square = np.abs(aside), 1 + slope * slope
    sine = np.maximum(np.maximum(slope, (side - flat * np.sqrt(square)) / corner) / np.sqrt(square), 1e-9)
    for _ in range(_TANGENTS):
        rise, turn = slope / sine, side / (flat + corner * sine)
        fall = 2 * (rise * rise / sine + turn * turn * corner / (flat + corner * sine))
        sine = sine + (rise * rise + turn * turn - square) / np.maximum(fall, 1e-300)
        sine = np.minimum(np.maximum(sine, 1e-9), 1.0)
    away = flat + corner * sine
    return np.maximum(plain, np.minimum(np.sqrt(np.maximum(away * away - aside * aside, 0.0)), half))


def touch_of_hollow(profile: Profile, nearest: Floats, farthest: Floats | None, slope: Floats) -> Floats:
    """How far from a cell the axis of a rising hollow cutter is where, going downhill from the place nearest to the
    cell, it cuts the cell lowest before it cuts higher again.

    nearest : distance of the path from the cell; farthest : that of the far side of the circle of an arc
    slope : rise per mm of a straight move, per radian of an arc

    At a distance d the edge rises by h'(d), and d grows by w(d) per mm or radian downhill. With q = u (R - u)(2R - u),
    u the distance beyond the tip's flat, the product grows with d as long as

        R^2 d (d^2 - a^2) / q + d^2 (d^2 - a^2) / (b^2 - d^2)  <  a^2

    (a nearest, b farthest; the second term only of an arc). Both terms grow with d: for a constant k the difference
    k q - d (d^2 - a^2) is a concave function less a convex one, positive at d = a, so it has one root. So the product
    rises to one peak and falls to 0 at the full diameter: it reaches the slope at one place before that peak, the cut
    lowest there, and at one behind it, from which on the cut falls until the cutter has left the cell. Within the
    flat, which ends in an upright edge, the place is where that edge is.
    """
    flat, radius = profile.flat_radius, profile.corner_radius
    low = np.maximum(nearest, flat)

    def rises(away: Floats) -> Flags:
        out = np.minimum(away - flat, radius)
        square = (away - nearest) * (away + nearest)
        bends = radius**2 * away * square
        with np.errstate(divide="ignore", invalid="ignore"):
            bends = bends / (out * (radius - out) * (2 * radius - out))
            if farthest is not None:
                bends = bends + away * away * square / np.maximum((farthest - away) * (farthest + away), 0.0)
        return np.asarray(bends < nearest * nearest)

    def below_slope(away: Floats) -> Flags:
        out = np.minimum(away - flat, radius)
        square = (away - nearest) * (away + nearest)
        across = np.sqrt(np.maximum(square, 0.0)) / np.maximum(away, 1e-300)
        if farthest is not None:
            across = across * np.sqrt(np.maximum((farthest - away) * (farthest + away), 0.0)) / 2
        # h'(d) w(d) <= slope, times h(d), which is 0 where the edge begins upright.
        return np.asarray((radius - out) * across <= slope * np.sqrt(np.maximum(out * (2 * radius - out), 0.0)))

    peak = _last_where(rises, low, np.full(low.shape, flat + radius), _FEW_HALVINGS)
    return np.where(nearest > flat, _last_where(below_slope, low, peak), flat)


def _last_where(holds: Callable[[Floats], Flags], low: Floats, high: Floats, halvings: int = _HALVINGS) -> Floats:
    """How far from low to high something holds that holds up to some place and not beyond it."""
    for _ in range(halvings):
        middle = (low + high) / 2
        here = holds(middle)
        low, high = np.where(here, middle, low), np.where(here, high, middle)
    return low


def helix(
    profile: Profile, rho: Floats, turn: Floats, path_radius: Floats, sweep: Floats, z: Floats, rise: Floats,
    reach: Floats,
) -> Floats:  # fmt: skip
    """Cut by an arc that rises by `rise` per radian from z at its low end.

    rho : distance of the cell from the arc's centre
    turn : angle from the low end to the cell, in the direction of motion uphill, 0 up to one turn
    sweep : angle of the whole arc, positive
    reach : radius within which the cutter counts
    """
    twice = 2 * rho * path_radius
    bend = (rho * rho + path_radius * path_radius - reach * reach) / np.maximum(twice, 1e-300)
    width = np.arccos(np.clip(bend, -1.0, 1.0))
    reached = (rho <= path_radius + reach + EDGE) & (rho >= path_radius - reach - EDGE)
    # The cutter comes within reach around the cell's angle, and again a turn before and after it.
    centre = turn + np.array([[-_TURN], [0.0], [_TURN]])
    low, high = np.maximum(centre - width, 0.0), np.minimum(centre + width, sweep)
    near = reached & (high >= low)
    centre, low, high = centre[near], low[near], high[near]
    cell = np.nonzero(near)[1]
    if profile.kind == "flat":
        height = z[cell] + rise[cell] * low
    else:
        # Uphill of the cell the cutter is both higher and farther away.
        last = np.maximum(np.minimum(high, centre), low)
        height = _lowest_on_arc(profile, rho[cell], path_radius[cell], centre, z[cell], rise[cell], low, last)
    best = np.full(near.shape, np.inf)
    best[near] = height
    return np.asarray(best.min(axis=0))


def _lowest_on_arc(
    profile: Profile, rho: Floats, path_radius: Floats, centre: Floats, z: Floats, rise: Floats, low: Floats,
    high: Floats,
) -> Floats:  # fmt: skip
    """Least height over a cell between two angles, `high` where the cutter is nearest; to 1e-6 mm.

    Going downhill from there, the profile over the cell rises convex at first and may then bend the
    other way, while the move falls evenly: so the height has at most one hollow, found by looking
    and closing in, and beyond it can only be lower at the very end.
    """

    far, twice = rho * rho + path_radius * path_radius, 2 * rho * path_radius

    def height(angle: Floats) -> Floats:
        square = far - twice * np.cos(angle - centre)
        distance = np.sqrt(np.maximum(square, 0.0))
        return z + rise * angle + profile.height(np.minimum(distance, profile.radius))

    if profile.hollow:
        nearest, farthest = np.abs(rho - path_radius), rho + path_radius
        away = touch_of_hollow(profile, nearest, farthest, rise)
        cosine = (rho * rho + path_radius * path_radius - away * away) / np.maximum(2 * rho * path_radius, 1e-300)
        touch = np.clip(centre - np.arccos(np.clip(cosine, -1.0, 1.0)), low, high)
        return np.minimum(height(touch), height(low))
    step = (high - low) / _LOOKS
    best, found = high, height(high)
    falling = np.ones(rho.shape, bool)
    for look in range(1, _LOOKS + 1):
        angle = high - look * step
        here = height(angle)
        falling &= here < found
        if not falling.any():
            break
        best, found = np.where(falling, angle, best), np.where(falling, here, found)
    a, b = np.maximum(best - step, low), np.minimum(best + step, high)
    left, right = b - _GOLDEN * (b - a), a + _GOLDEN * (b - a)
    at_left, at_right = height(left), height(right)
    for _ in range(_CLOSINGS):
        lower = at_left < at_right
        a, b = np.where(lower, a, left), np.where(lower, right, b)
        fresh = np.where(lower, b - _GOLDEN * (b - a), a + _GOLDEN * (b - a))
        here = height(fresh)
        left, right = np.where(lower, fresh, right), np.where(lower, left, fresh)
        at_left, at_right = np.where(lower, here, at_right), np.where(lower, at_left, here)
    return np.minimum(np.minimum(found, height(low)), np.minimum(at_left, at_right))
