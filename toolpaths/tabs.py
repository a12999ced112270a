"""Holding tabs: short bridges of wood left under a through cut, so that the part stays put.

`Tabs` says what is wanted; `places_on` chooses where on a closed track; `raise_over` lifts any
toolpath, lines, arcs and ramps alike, over tabs at given places.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import ceil, hypot, pi, radians, tan
from typing import Any

import numpy as np

from toolpaths.checks import Floats, between, points, positive, whole
from toolpaths.errors import DoesNotFit, InputError, Point
from toolpaths.geometry.track import Piece, Track
from toolpaths.path import CUT, Move, Toolpath

# Tabs sit on straight runs and curves of at least so many cutter diameters in radius; where there
# are too few of those, on somewhat tighter ones. Anything tighter still is a corner.
_GENTLE = (10.0, 3.0)
# Two pieces that meet at a larger angle than this form a corner.
_CORNER = radians(8.0)
# Places are tried in steps of this many mm.
_STEP = 1.0


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
        between("slope_deg", self.slope_deg, 5.0, 90.0)
        if bool(self.count) + bool(self.spacing) + bool(len(self.points)) != 1:
            raise InputError("Tabs take one of count=, spacing= and points=.")
        if self.count:
            whole("count", self.count, 1)
        if self.spacing:
            positive("spacing", self.spacing)
        if len(self.points):
            given: Any = points("points", self.points)
            object.__setattr__(self, "points", tuple((float(x), float(y)) for x, y in given))

    def half_length(self, diameter: float) -> float:
        """Half the length of path over which the cutter is raised, slopes not counted."""
        return (self.width + diameter) / 2

    def half_zone(self, diameter: float, rise: float) -> float:
        """The same with the slopes, for a cutter raised by `rise` mm."""
        return self.half_length(diameter) + (rise / tan(radians(self.slope_deg)) if self.slope_deg < 90 else 0.0)


def places_on(track: Track, tabs: Tabs, diameter: float, rise: float, free_from: float) -> list[Point]:
    """Places for tabs by count or spacing on a closed track, evenly spread where the path allows.

    They keep clear of corners, of each other, and of the entry over [0, free_from] of the track.
    Raises DoesNotFit with the number that would.
    """
    count = tabs.count or ceil(track.length / tabs.spacing)
    half = tabs.half_zone(diameter, rise)
    first, last = free_from + half, track.length - half
    most = 0
    for gentle in _GENTLE:
        positions = np.arange(first, last, _STEP) if last > first else np.zeros(0)
        for low, high in _corners(track, gentle * diameter):
            positions = positions[(positions + half <= low) | (positions - half >= high)]
        chosen = _spread(positions, count, first, last, 2 * half + diameter)
        if len(chosen) == count:
            return [track.at(along) for along in chosen]
        most = max(most, len(chosen))
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


def raise_over(toolpath: Toolpath, places: Iterable[Point], tabs: Tabs, top: float) -> Toolpath:
    """The toolpath, lifted to z = top wherever it comes by one of the places.

    Every time the cutter passes within its radius of a place it is raised over the same stretch,
    whatever the pass, ramps included. Raises DoesNotFit for a place the path does not pass at
    all, or a square tab under a cutter that cannot go straight down.
    """
    cutter = toolpath.cutter
    if tabs.slope_deg >= 90 and not cutter.centre_cutting:
        raise DoesNotFit(f"{cutter} does not cut at its centre and cannot go down behind a square tab; slope them.")
    targets = list(places)
    seen = [False] * len(targets)
    moves: list[Move] = []
    chain: list[tuple[Piece, float, Move]] = []
    x = y = z = float("nan")
    for move in [*toolpath.moves, None]:
        if move is not None and move.kind == CUT:
            chain.append((Piece((x, y), (move.x, move.y), move.centre, move.sweep), z, move))
        elif chain:
            moves += _raised(chain, targets, seen, tabs, top, toolpath)
            chain = []
        if move is not None:
            if move.kind != CUT:
                moves.append(move)
            x, y, z = move.x, move.y, move.z
    for place, passed in zip(targets, seen, strict=True):
        if not passed:
            raise DoesNotFit(f"The path does not come by the tab at ({place[0]:.1f}, {place[1]:.1f}).", place)
    return Toolpath(cutter, tuple(moves), toolpath.notes)


def _raised(
    chain: list[tuple[Piece, float, Move]],
    targets: list[Point],
    seen: list[bool],
    tabs: Tabs,
    top: float,
    toolpath: Toolpath,
) -> list[Move]:
    """One unbroken stretch of cuts, raised over its tabs."""
    cutter = toolpath.cutter
    starts = [0.0]
    for piece, _, _ in chain:
        starts.append(starts[-1] + piece.length)
    floor = min(move.z for _, _, move in chain)
    half = tabs.half_length(cutter.diameter)
    run = tabs.half_zone(cutter.diameter, max(top - floor, 0.0)) - half
    zones: list[float] = []
    for index, target in enumerate(targets):
        passes = _passes(chain, starts, target, cutter.radius, 2 * (half + run))
        seen[index] |= bool(passes)
        zones += passes
    zones.sort()
    slope = (top - floor) / run if run else 0.0

    def lifted(along: float, middle: float) -> float:
        """Height of the tab about `middle` at a place along the path; -inf outside it."""
        beyond = abs(along - middle) - half
        if beyond <= 1e-9:
            return top
        return top - slope * beyond if slope and beyond < run else float("-inf")

    out: list[Move] = []
    at_z = chain[0][1]
    for (piece, z0, move), start, end in zip(chain, starts, starts[1:]):
        near = [m for m in zones if m - half - run < end and m + half + run > start]
        if not near or piece.length < 1e-9 or min(z0, move.z) >= top:
            if abs(at_z - z0) > 1e-9:
                out.append(_vertical(piece.start, z0, at_z, toolpath))
            out.append(move)
            at_z = move.z
            continue
        fall = (move.z - z0) / piece.length
        cuts = {start, end}
        for middle in near:
            edges = [middle - half, middle + half]
            if slope:
                for sign in (-1, 1):
                    # Where the slope of the tab meets the path's own height, itself sloping.
                    foot = middle + sign * (half + run)
                    edges += [foot, _meeting(start, z0, fall, middle + sign * half, top, -sign * slope)]
            cuts |= {edge for edge in edges if start < edge < end}
            if fall:
                cuts |= {s for s in [start + (top - z0) / fall] if start < s < end}
        marks = sorted(cuts)
        for a, b in zip(marks, marks[1:]):
            if b - a < 1e-9:
                continue
            middle_z = max(lifted((a + b) / 2, m) for m in near)
            own = z0 + fall * ((a + b) / 2 - start)
            if middle_z > own:
                # Both ends from within this stretch, so that a jump at its edge becomes a straight lift.
                low, high = (max(lifted(s, m) for m in near) for s in (a + 1e-10, b - 1e-10))
            else:
                low, high = z0 + fall * (a - start), z0 + fall * (b - start)
            if abs(low - at_z) > 1e-6:
                out.append(_vertical(piece.at((a - start) / piece.length), low, at_z, toolpath))
            part = piece.part((a - start) / piece.length, (b - start) / piece.length)
            feed = move.feed_mm_min if middle_z <= own else cutter.feed_mm_min
            if low > high + 1e-9:
                feed = min(feed, cutter.plunge_mm_min * hypot(b - a, low - high) / (low - high))
            out.append(Move(CUT, part.end[0], part.end[1], high, feed, part.centre, part.sweep))
            at_z = high
    return out


def _vertical(place: Point, z: float, from_z: float, toolpath: Toolpath) -> Move:
    cutter = toolpath.cutter
    return Move(CUT, place[0], place[1], z, cutter.plunge_mm_min if z < from_z else cutter.feed_mm_min)


def _meeting(start: float, z0: float, fall: float, edge: float, top: float, slope: float) -> float:
    """Where z0 + fall (s - start) equals top + slope (s - edge); far off if they are parallel."""
    if abs(fall - slope) < 1e-12:
        return float("inf")
    return (top - slope * edge - z0 + fall * start) / (fall - slope)


def _passes(
    chain: Sequence[tuple[Piece, float, Move]], starts: list[float], place: Point, reach: float, apart: float
) -> list[float]:
    """Lengths along the chain at which it comes nearest to a place, once for each time it comes by."""
    near: list[tuple[float, float]] = []
    for (piece, _, _), start in zip(chain, starts):
        if piece.length > 1e-9:
            share, away = piece.nearest(place)
            if away <= reach:
                near.append((start + share * piece.length, away))
    passes: list[tuple[float, float]] = []
    for along, away in near:
        if passes and along - passes[-1][0] < apart:
            passes[-1] = min(passes[-1], (along, away), key=lambda found: found[1])
        else:
            passes.append((along, away))
    return [along for along, _ in passes]
