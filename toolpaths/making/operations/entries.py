"""Entries: how a cutter goes down into the wood. Each is heights along a track; the ring below it is never left uncut.

plunge   straight down; only for a cutter that cuts at its centre
ramp     down along the path itself, continuously
zigzag   back and forth over the first stretch of the path, for a path too short to ramp along
helix    down a small circle beside the path; needs cleared or waste area, so pockets only
auto     ramp where the path is closed, straight down where that would take too many rounds; else zigzag. Operations
         try before that what they know of: a pocket air and a helix, a contour air
"""

from __future__ import annotations

from collections.abc import Sequence
from math import ceil, pi
from typing import Literal

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from toolpaths.base.checks import one_of
from toolpaths.base.errors import DoesNotFitError
from toolpaths.facts.cutter import Cutter
from toolpaths.facts.way_down import check_plunge, check_wide_enough, fall
from toolpaths.making.motion.toolpath import PathBuilder, Stretch, level
from toolpaths.making.operations import rings
from toolpaths.making.operations.operation import AIR
from toolpaths.shapes.track import Track, circle_track

LineEntry = Literal["auto", "plunge", "ramp", "zigzag"]
AreaEntry = Literal["auto", "plunge", "ramp", "zigzag", "helix"]
ENTRIES: tuple[LineEntry, ...] = ("auto", "plunge", "ramp", "zigzag")
AREA_ENTRIES: tuple[AreaEntry, ...] = (*ENTRIES, "helix")

# A ramp that would need this many times the passes is no help; the cutter goes straight down.
_TOO_MANY_PASSES = 8
# A path shorter than this many diameters is too short to go back and forth along.
_SHORTEST_ZIGZAG = 0.5
# mm of arc that a helix may begin or end with at least.
_SHORTEST_ARC = 0.5
# A track shorter than this many diameters is no way round a bore.
_SHORTEST_BORE = 0.5
# Helix path diameter as a share of the cutter's, the widest and the narrowest (common practice:
# 0.5 to 0.9, no source). Wider than 1 would leave a post.
_HELIX_WIDEST, _HELIX_NARROWEST = 0.9, 0.5
_HELIX_SHARES = (_HELIX_WIDEST, 0.7, _HELIX_NARROWEST)


def check_entry(entry: AreaEntry, cutter: Cutter, choices: tuple[AreaEntry, ...] = ENTRIES) -> None:
    """Raises an error for a word that is no entry, and for an entry that this cutter does not survive."""
    one_of("entry", entry, choices)
    if entry == "plunge":
        check_plunge(cutter)


def down_through_air(cutter: Cutter, air: BaseGeometry, tolerance: float) -> list[BaseGeometry]:
    """Where its axis may go straight down in air without meeting wood, the roomiest first.

    A hole or slot of its own width will do for a cutter that cuts at its centre, whose edges then come down on its rim.
    """
    roomy = shapely.buffer(air, -cutter.radius - AIR)
    return [roomy, shapely.buffer(air, 2 * tolerance - cutter.radius)] if cutter.centre_cutting else [roomy]


def check_room_along(cutter: Cutter, track: Track) -> None:
    """Raises DoesNotFitError where a track is too narrow for a cutter that does not cut at its centre to go down along
    it: a closed one all round, an open one at its start, where it has to be as wide at once."""
    if cutter.centre_cutting:
        return
    if not track.closed:
        track = Track(tuple(track.between(0.0, min(_shortest_stroke(cutter), track.length))), False)
    check_wide_enough(cutter, np.array(rings.as_chords(track).coords))


def _shortest_stroke(cutter: Cutter) -> float:
    """mm of half a circle as wide as the dead middle of the cutter, if there is one."""
    return pi / 2 * cutter.dead_centre


def ring_entry(cutter: Cutter, ring: Track, top: float, levels: Sequence[float], entry: AreaEntry) -> AreaEntry:
    """What "auto" stands for round a closed track: a ramp, unless it is so short that it would take many rings."""
    if entry != "auto":
        return entry
    deepest = max(a - b for a, b in zip([top, *levels], levels))
    easy = ring.length * _ring_fall(cutter, ring) * _TOO_MANY_PASSES >= deepest
    return "ramp" if easy or not cutter.centre_cutting else "plunge"


def note_way_down(builder: PathBuilder, ring: Track, top: float, levels: Sequence[float], entry: AreaEntry) -> None:
    """Notes the start of a closed track where "auto" stands for straight down."""
    if entry == "auto" and ring_entry(builder.cutter, ring, top, levels, entry) == "plunge":
        builder.without_ramp.append(ring.start)


def cut_ring(builder: PathBuilder, ring: Track, top: float, levels: Sequence[float], entry: AreaEntry) -> float:
    """All passes round a closed track as in ring_stretches(); the length along it where they end.

    The cutter must stand at the ring's start, at or above `top`.
    """
    builder.plunge(top)
    note_way_down(builder, ring, top, levels, entry)
    stretches = ring_stretches(builder.cutter, ring, top, levels, entry)
    for stretch in stretches:
        builder.cut(stretch)
    return stretches[-1].end


def ring_stretches(cutter: Cutter, ring: Track, top: float, levels: Sequence[float], entry: AreaEntry) -> list[Stretch]:
    """All passes round a closed track, from its start at `top` down through the levels.

    A ramp goes down over the first stretch of each round and is level over the rest; the next one starts at the same
    place, so each leaves a wedge for the next to take, and after the last the wedge is cut level. Where one round is
    too short for a pass, there are more, shallower passes.
    """
    entry = ring_entry(cutter, ring, top, levels, entry)
    if entry == "ramp":
        check_room_along(cutter, ring)
        return [Stretch(ring, tuple(ramp_heights(ring.length, top, levels, _ring_fall(cutter, ring))))]
    found = []
    for above, z in zip([top, *levels], levels):
        if entry == "zigzag":
            found += _zigzag(cutter, ring, above, z)
        found.append(level(ring, z))
    return found


def begun_to_end_at_start(cutter: Cutter, ring: Track, top: float, z: float, entry: AreaEntry) -> Track:
    """A ring begun where cut_ring, going down from top to z, ends where the ring as given starts."""
    if ring_entry(cutter, ring, top, [z], entry) != "ramp":
        return ring
    whole = ramp_heights(ring.length, top, [z], _ring_fall(cutter, ring))[-1][0]
    return ring.starting_at(-whole % ring.length)


def _ring_fall(cutter: Cutter, ring: Track) -> float:
    """mm down for each mm of a closed track: where all of it is a bend no wider than the cutter, as down a bore."""
    bends = ring.length >= _SHORTEST_BORE * cutter.diameter and all(s.radius <= cutter.radius for s in ring.segments)
    if cutter.centre_cutting and bends:
        return bore_fall(ring.length / pi + cutter.diameter, ring.length, cutter)
    return fall(cutter)


def ramp_heights(length: float, top: float, levels: Sequence[float], steepest: float) -> list[tuple[float, float]]:
    """Heights over the unrolled rounds of a closed track; see cut_ring."""
    heights, along, z = [(0.0, top)], 0.0, top
    ramp = 0.0
    for down_to in levels:
        rounds = max(1, ceil((z - down_to) / (steepest * length) - 1e-9))
        step = (z - down_to) / rounds
        ramp = step / steepest
        for i in range(1, rounds + 1):
            below = z - step * i if i < rounds else down_to
            heights.append((along + ramp, below))
            along += length
            if ramp < length - 1e-9:
                heights.append((along, below))
        z = down_to
    if ramp > 1e-9:
        heights.append((along + ramp, z))
    return heights


def cut_line(builder: PathBuilder, line: Track, top: float, levels: Sequence[float], entry: AreaEntry) -> None:
    """All passes along an open track, alternately forth and back, from `top` down through the levels."""
    cutter = builder.cutter
    builder.plunge(top)
    if entry == "auto":
        entry = "plunge" if too_short(cutter, line) and cutter.centre_cutting else "zigzag"
        builder.without_ramp += [line.start] if entry == "plunge" else []
    at = top
    for z in levels:
        if entry != "plunge":
            check_room_along(cutter, line)
        if entry == "plunge":
            builder.plunge(z)
        elif entry == "ramp":
            ramp = (at - z) / fall(cutter)
            if ramp > line.length:
                raise DoesNotFitError(
                    f"A path of {line.length:.1f} mm is too short for one ramp of {ramp:.1f} mm at "
                    f"{cutter.running.ramp_angle_deg:g} degrees; use entry='zigzag'.",
                    line.start,
                )
            # Down, and back level to the start, so that the pass takes the wedge with it.
            builder.follow(line, [(0.0, at), (ramp, z)])
            builder.follow(Track(tuple(line.between(0.0, ramp)), False).reversed(), [(0.0, z), (ramp, z)])
        else:
            for stretch in _zigzag(cutter, line, at, z):
                builder.cut(stretch)
        builder.follow(line, [(0.0, z), (line.length, z)])
        line, at = line.reversed(), z


def too_short(cutter: Cutter, track: Track) -> bool:
    """Whether an open track is too short to go down to and fro along it."""
    return not track.closed and track.length < _SHORTEST_ZIGZAG * cutter.diameter


def to_and_fro(cutter: Cutter, line: Track, top: float, z: float) -> tuple[Track, list[tuple[float, float]]]:
    """Down to and fro along an open line, no steeper than the ramp angle, to end at z where it begins, and heights."""
    strokes = max(1, ceil((top - z) / fall(cutter) / (2 * line.length) - 1e-9))
    long = min(max((top - z) / fall(cutter) / (2 * strokes), _shortest_stroke(cutter)), line.length)
    forth = Track(tuple(line.between(0.0, long)), False)
    track = Track((*forth.segments, *forth.reversed().segments) * strokes, False)
    return track, [(0.0, top), (track.length, z)]


def _zigzag(cutter: Cutter, track: Track, top: float, z: float) -> list[Stretch]:
    """Forth and back over the first stretch of a track, ending at its start, at z."""
    steepest = fall(cutter)
    long = min(
        max((top - z) / steepest / 2, _shortest_stroke(cutter)), track.length / 2 if track.closed else track.length
    )
    strokes = max(1, ceil((top - z) / steepest / (2 * long) - 1e-9))
    forth = Track(tuple(track.between(0.0, long)), False)
    back = forth.reversed()
    for stroke in (forth, back):
        check_room_along(cutter, stroke)
    found = []
    for i in range(strokes):
        start, end = (top + (z - top) * share / strokes for share in (i, i + 1))
        half = (start + end) / 2
        found.append(Stretch(forth, ((0.0, start), (long, half))))
        found.append(Stretch(back, ((0.0, half), (long, end)), ring_from=long, ring_rate=-1.0))
    return found


def helix_radii(cutter: Cutter) -> list[float]:
    """Radii of helices that this cutter can go down, the widest first."""
    return [share * cutter.radius for share in _HELIX_SHARES if 2 * share * cutter.radius >= cutter.dead_centre]


def helix_track(cutter: Cutter, centre: tuple[float, float], room: float, clockwise: bool) -> Track | None:
    """A circle for a helix inside a disc of radius `room` for the cutter's axis, or None if too tight."""
    radius = min(room, _HELIX_WIDEST * cutter.radius)
    if radius < max(_HELIX_NARROWEST * cutter.radius, cutter.dead_centre / 2):
        return None
    return circle_track(centre, radius, clockwise)


def helix_down(cutter: Cutter, circle: Track, top: float, z: float) -> tuple[Track, list[tuple[float, float]]]:
    """Down a circle no steeper than the ramp angle, then one level round, to end where the circle begins: the circle
    begun where it is gone down, no stub before or behind a joint of its halves, and heights along it."""
    ramp, half = (top - z) / fall(cutter), circle.length / 2
    past = ramp % half
    if past < _SHORTEST_ARC:
        ramp += _SHORTEST_ARC - past
    elif half - past < _SHORTEST_ARC:
        ramp += half - past
    return circle.starting_at(-ramp % circle.length), [(0.0, top), (ramp, z), (ramp + circle.length, z)]


def bore_fall(hole_diameter: float, path_length: float, cutter: Cutter) -> float:
    """Fall per mm of path of a helical bore.

    The ramp angle is held at the wall of the hole, where a centre-cutting cutter does its work;
    one that does not cut at its centre keeps it on its own path.
    """
    around = pi * hole_diameter if cutter.centre_cutting else path_length
    return min(around * fall(cutter), cutter.running.step_down) / path_length
