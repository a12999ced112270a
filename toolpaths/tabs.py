"""Holding tabs: short bridges of wood left under a through cut, so that the part stays put.

`Tabs` says what is wanted; `places_on` chooses where on a closed track; `raise_over` lifts any
toolpath, lines, arcs and ramps alike, over tabs at given places.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import asin, ceil, cos, inf, pi, radians, sin, tan
from typing import Any, NamedTuple

import numpy as np

from toolpaths.checks import Floats, between, points, positive, whole
from toolpaths.errors import DoesNotFit, InputError, Point
from toolpaths.geometry.track import Piece, Track
from toolpaths.path import CUT, PathBuilder, Toolpath

# Tabs sit on straight runs and curves of at least so many cutter diameters in radius; where there
# are too few of those, on somewhat tighter ones. Anything tighter still is a corner.
_GENTLE = (10.0, 3.0)
# Tabs nearer to each other than this share of an even spread are uneven: tighter curves are tried too.
_EVEN = 0.5
# Two pieces that meet at a larger angle than this form a corner.
_CORNER = radians(8.0)
# At a turn larger than this the path goes back over itself.
_BACK = radians(135.0)
# Places are tried in steps of this many mm.
_STEP = 1.0
# Two nearest points of a path this close along it, mm, are one: a curve in chords wavers.
_SAME = 0.05
# Lengths below this, mm, are rounding.
_NOTHING = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class Tabs:
    """Tabs wanted: by `count`, by `spacing` (mm along the path, at most), or at given `points`.

    width : of wood left at the narrowest; the cutter rises over width plus its own diameter
    height : of wood left, from the underside of the board (or from the floor of a blind cut)
    slope_deg : 90 for square tabs; less for sloped ones, up and down at that angle
    points : (x, y) seen from the front; each tab comes to the nearest place on the path
    """

    width: float
    height: float
    count: int = 0
    spacing: float = 0.0
    points: tuple[Point, ...] = ()
    slope_deg: float = 90.0

    def __post_init__(self) -> None:
        positive("tab width", self.width)
        positive("tab height", self.height)
        between("slope_deg", self.slope_deg, 1.0, 90.0)
        if bool(self.count) + bool(self.spacing) + bool(len(self.points)) != 1:
            raise InputError("Tabs take one of count=, spacing= and points=.")
        if self.count:
            whole("count", self.count, 1)
        if self.spacing:
            positive("spacing", self.spacing)
        if len(self.points):
            given: Any = points("points", self.points)
            object.__setattr__(self, "points", tuple((float(x), float(y)) for x, y in given))

    def half_length(self, diameter: float, radius: float = inf) -> float:
        """Half the length of path over which the cutter is raised, slopes not counted.

        On a curve of that radius the path is longer than the chord which spans the wood.
        """
        half = (self.width + diameter) / 2
        if radius == inf:
            return half
        return radius * asin(half / radius) if half < radius else half * pi / 2

    def half_zone(self, diameter: float, rise: float, radius: float = inf) -> float:
        """The same with the slopes, for a cutter raised by `rise` mm."""
        slopes = rise / tan(radians(self.slope_deg)) if self.slope_deg < 90 else 0.0
        return self.half_length(diameter, radius) + slopes


def places_on(track: Track, tabs: Tabs, diameter: float, rise: float, free_from: float) -> list[Point]:
    """Places for tabs by count or spacing on a closed track, evenly spread where the path allows.

    They keep clear of corners, of each other, and of the entry over [0, free_from] of the track.
    Raises DoesNotFit with the number that would.
    """
    count = tabs.count or ceil(track.length / tabs.spacing)
    most, widest, best = 0, 0.0, list[float]()
    for gentle in _GENTLE:
        half = tabs.half_zone(diameter, rise, gentle * diameter)
        first, last = free_from + half, track.length - half
        positions = np.arange(first, last, _STEP) if last > first else np.zeros(0)
        for low, high in _corners(track, gentle * diameter):
            positions = positions[(positions + half <= low) | (positions - half >= high)]
        chosen = _spread(positions, count, first, last, 2 * half + diameter)
        most = max(most, len(chosen))
        if len(chosen) == count:
            gap = min(b - a for a, b in zip(chosen, [*chosen[1:], chosen[0] + track.length]))
            if gap > widest:
                widest, best = gap, chosen
            if gap >= _EVEN * track.length / count:
                break
    if best:
        return [track.at(along) for along in best]
    raise DoesNotFit(
        f"Only {most} of {count} tabs {tabs.width:g} mm wide find room on a path of {track.length:.0f} mm, clear "
        f"of its corners and of the first {free_from:.0f} mm where the cutter goes down; ask for fewer, "
        "or narrower ones.",
        track.start,
    )


def _spread(positions: Floats, count: int, first: float, last: float, apart: float) -> list[float]:
    """Up to `count` of the positions, each as near as can be to an even spread, `apart` or more between them."""
    chosen: list[float] = []
    for i in range(count):
        allowed = positions[positions >= (chosen[-1] + apart if chosen else first)]
        if len(allowed):
            ideal = first + (last - first) * (i + 0.5) / count
            chosen.append(float(allowed[np.argmin(np.abs(allowed - ideal))]))
    return chosen


def _corners(track: Track, gentle: float) -> list[tuple[float, float]]:
    """Stretches of a closed track that are corners: sharp joints, and arcs too tight."""
    found = []
    for i, piece in enumerate(track.pieces):
        start = track.ends[i] - piece.length
        if piece.radius < gentle:
            found.append((start, track.ends[i]))
        turn = abs((piece.heading(0.0) - track.pieces[i - 1].heading(1.0) + pi) % (2 * pi) - pi)
        if turn > _CORNER:
            found.append((start, start))
    length = track.length
    return found + [(low + length, high + length) for low, high in found if low < length * 0.1]


def raise_over(toolpath: Toolpath, places: Sequence[Point], tabs: Tabs, top: float) -> Toolpath:
    """The toolpath, lifted to z = top wherever it comes by one of the places.

    Every time the cutter passes within its radius of a place it is raised over the same stretch,
    whatever the pass, ramps included. Raises DoesNotFit for a place the path does not pass at
    all, or a square tab under a cutter that cannot go straight down.
    """
    cutter = toolpath.cutter
    if tabs.slope_deg > cutter.ramp_angle_deg and not cutter.centre_cutting:
        raise DoesNotFit(
            f"{cutter} does not cut at its centre and cannot go down {tabs.slope_deg:g} degrees steep behind a tab; "
            f"take slope_deg={cutter.ramp_angle_deg:g} or less, or another cutter."
        )
    passed: set[Point] = set()
    builder = PathBuilder(cutter, 0.0)
    chain: list[tuple[Piece, float]] = []
    begun = 0.0
    for move in toolpath.moves:
        if move.kind == CUT:
            piece = Piece((builder.x, builder.y), (move.x, move.y), move.centre, move.sweep)
            if _turns_back(chain, piece):
                _follow_raised(builder, begun, chain, places, passed, tabs, top)
                begun, chain = chain[-1][1], []
            chain.append((piece, move.z))
            builder.x, builder.y = move.x, move.y
            continue
        _follow_raised(builder, begun, chain, places, passed, tabs, top)
        begun, chain = move.z, []
        builder.add(move)
    _follow_raised(builder, begun, chain, places, passed, tabs, top)
    for place in places:
        if place not in passed:
            raise DoesNotFit(f"The path does not come by the tab at ({place[0]:.1f}, {place[1]:.1f}).", place)
    return Toolpath(cutter, tuple(builder.moves), toolpath.notes)


def _turns_back(chain: list[tuple[Piece, float]], piece: Piece) -> bool:
    """Whether a piece goes back over the chain before it, as a zigzag does; a plunge between them counts as none."""
    before = next((last for last, _ in reversed(chain) if last.length > _NOTHING), None)
    if before is None or piece.length <= _NOTHING:
        return False
    return abs((piece.heading(0.0) - before.heading(1.0) + pi) % (2 * pi) - pi) > _BACK


def _follow_raised(
    builder: PathBuilder,
    begun: float,
    chain: list[tuple[Piece, float]],
    places: Sequence[Point],
    passed: set[Point],
    tabs: Tabs,
    top: float,
) -> None:
    """One unbroken stretch of cuts from z = begun, each with the z at its end, raised over its tabs."""
    track = Track(tuple(piece for piece, _ in chain if piece.length > _NOTHING), False)
    if not track.pieces:
        for piece, z in chain:
            builder.straight(piece.end, z)
        return
    heights, along = [(0.0, begun)], 0.0
    for piece, z in chain:
        along += piece.length if piece.length > _NOTHING else 0.0
        heights.append((along, z))
    floor = min(z for _, z in heights)
    diameter = builder.cutter.diameter
    run = tabs.half_zone(diameter, max(top - floor, 0.0)) - tabs.half_length(diameter)
    bumps = []
    for place in places:
        for middle, radius in _passes(track, place, builder.cutter.radius, diameter + tabs.width + run):
            bumps.append(_Bump(middle, tabs.half_length(diameter, radius), run, top, floor))
            passed.add(place)
    builder.x, builder.y = track.start
    raised = _over(heights, bumps)
    builder.plunge(raised[0][1])
    builder.follow(track, raised)


class _Bump(NamedTuple):
    """A tab met along the path: a flat of z = top, and slopes of length run down to the floor."""

    middle: float
    half: float
    run: float
    top: float
    floor: float

    @property
    def corners(self) -> tuple[float, float, float, float]:
        far = self.half + self.run
        return self.middle - far, self.middle - self.half, self.middle + self.half, self.middle + far

    def height(self, along: float) -> float:
        beyond = abs(along - self.middle) - self.half
        if beyond <= 0:
            return self.top
        return self.top - (self.top - self.floor) * beyond / self.run if beyond < self.run else float("-inf")


def _over(heights: list[tuple[float, float]], bumps: list[_Bump]) -> list[tuple[float, float]]:
    """The heights, straight between their points, raised over the bumps; jumps are two heights at one length."""
    out = [(heights[0][0], max([heights[0][1], *(bump.height(heights[0][0]) for bump in bumps)]))]

    def add(along: float, z: float) -> None:
        if abs(out[-1][0] - along) > _NOTHING or abs(out[-1][1] - z) > _NOTHING:
            out.append((along, z))

    for (a, za), (b, zb) in zip(heights, heights[1:]):
        near = [bump for bump in bumps if bump.corners[0] < b and bump.corners[3] > a and min(za, zb) < bump.top]
        if not near or b - a <= _NOTHING:
            add(b, max([zb, *(bump.height(b) for bump in near)]))
            continue
        fall = (zb - za) / (b - a)
        marks = {a, b}
        for bump in near:
            marks |= {mark for mark in (*bump.corners, *_meetings(a, za, fall, bump)) if a < mark < b}
        was_own = False
        for low, high in zip(sorted(marks), sorted(marks)[1:]):
            if high - low <= _NOTHING:
                continue
            bump = max(near, key=lambda bump: bump.height((low + high) / 2))
            own = za + fall * ((low + high) / 2 - a)
            if bump.height((low + high) / 2) <= own:
                if was_own:
                    out.pop()
                else:
                    add(low, za + fall * (low - a))
                add(high, za + fall * (high - a))
                was_own = True
            else:
                # Both ends as seen from within the stretch: at a jump the other side differs.
                inside = min((high - low) / 4, 1e-9)
                add(low, bump.height(low + inside))
                add(high, bump.height(high - inside))
                was_own = False
    return out


def _meetings(a: float, za: float, fall: float, bump: _Bump) -> list[float]:
    """Where a straight height meets the flat and the slopes of a bump."""
    found = [a + (bump.top - za) / fall] if fall else []
    if bump.run:
        rise = (bump.top - bump.floor) / bump.run
        for slope, edge in ((rise, bump.corners[1]), (-rise, bump.corners[2])):
            if fall != slope:
                found.append((bump.top - slope * edge - za + fall * a) / (fall - slope))
    return found


def _passes(track: Track, place: Point, reach: float, beyond: float) -> list[tuple[float, float]]:
    """(length, radius of the curve) wherever a track comes nearest to a place, each time it comes within reach.

    A place up to `beyond` past either end of the track, straight on, counts as well, at a length
    below 0 or above the track's: a path may begin or end over a tab.
    """
    near = [piece.nearest(place) for piece in track.pieces]
    found: list[tuple[float, float]] = []
    for i, (piece, (part, away)) in enumerate(zip(track.pieces, near, strict=True)):
        if away > reach:
            continue
        # The nearest point of a piece at one of its ends is none of the track if the neighbour goes on nearer.
        if (part <= 0 and i > 0 and near[i - 1][0] < 1) or (part >= 1 and i + 1 < len(near) and near[i + 1][0] > 0):
            continue
        along = track.ends[i] - (1 - part) * piece.length
        if not found or along - found[-1][0] > _SAME:
            found.append((along, piece.radius))
    for piece, share, start in ((track.pieces[0], 0.0, 0.0), (track.pieces[-1], 1.0, track.length)):
        x, y = piece.at(share)
        heading = piece.heading(share)
        dx, dy = place[0] - x, place[1] - y
        on, aside = dx * cos(heading) + dy * sin(heading), dy * cos(heading) - dx * sin(heading)
        if abs(aside) <= reach and 0 < (on if share else -on) <= beyond:
            found.append((start + on, piece.radius))
    return found
