"""What a cutter must follow to clear wood from an area, and nothing more.

One rule serves the first cutter and every finer one: go round the area in loops, stepping inwards
from the wall, and keep of each loop only what comes within a cutter's radius of wood that still
stands. For the first cutter everything stands, so its loops are whole; for a finer one only
corners and necks do.

Why no island and no ridge is left: a point that a loop round P does not cut level lies in P eroded by
the radius of the tip's flat; the next loop runs round P eroded by the step, which is at most that.
"""

from __future__ import annotations

from dataclasses import dataclass

import shapely
from shapely import LineString, Polygon
from shapely.geometry.base import BaseGeometry

from toolpaths.geometry import arcs, door, offset
from toolpaths.geometry import tolerance as share
from toolpaths.geometry.track import Track

# A loop of which less than this share has no wood to cut is run whole, rather than lifted over it.
_IDLE_SHARE = 0.35


@dataclass(frozen=True, slots=True)
class Cut:
    """One loop, or a part of one. `inside` is the area it runs round; `centres` where the axis may be."""

    track: Track
    inside: Polygon
    centres: Polygon


def parts(geometry: BaseGeometry) -> list[Polygon]:
    """The polygons of any geometry, largest first; other parts have no area."""
    found = [p for p in getattr(geometry, "geoms", [geometry]) if isinstance(p, Polygon) and not p.is_empty]
    return sorted(found, key=lambda p: (-p.area, p.bounds))


def standing(wood: BaseGeometry, tolerance: float) -> BaseGeometry:
    """The wood without slivers thinner than twice the tolerance, which are rounding, not wood."""
    core = shapely.buffer(wood, -tolerance, quad_segs=2)
    return shapely.intersection(wood, shapely.buffer(core, 1.5 * tolerance, quad_segs=2))


def cuts(
    wood: Polygon, centres: Polygon, radius: float, flat: float, step: float, *, climb: bool, tolerance: float
) -> list[Cut]:
    """The loops that clear one piece of wood, from the inside out.

    centres : where the axis may be; the loops step inwards from its edge by `step` <= flat
    flat : radius of the flat of the tip, within which the floor is cut level
    """
    rounds: list[list[Cut]] = []
    waiting: list[tuple[BaseGeometry, Polygon]] = [(wood, centres)]
    while waiting:
        stands, ring = waiting.pop()
        near = offset.zone(stands, radius, tolerance)
        polygon = door.polygons("area", ring)[0]
        lines = (*polygon.interiors, polygon.exterior)
        rounds.append([Cut(track, ring, centres) for line in lines for track in _tracks(line, near, climb, tolerance)])
        rest = standing(shapely.intersection(stands, offset.wall(ring, -flat, tolerance)), tolerance)
        if rest.is_empty:
            continue
        for part in parts(offset.wall(ring, -step, tolerance)):
            reachable = standing(shapely.intersection(rest, offset.zone(part, radius, tolerance)), tolerance)
            if not reachable.is_empty:
                waiting.append((reachable, part))
    # Each ring was found before those inside it; from the inside out is the other way round.
    return [cut for found in reversed(rounds) for cut in found]


def _tracks(line: LineString, near: BaseGeometry, climb: bool, tolerance: float) -> list[Track]:
    """One ring as tracks: whole, or only those runs of it that are near wood, in its direction."""
    kept = shapely.intersection(line, near)
    if kept.length < tolerance:
        return []
    fine = tolerance * share.FIT
    found = []
    if kept.length >= (1 - _IDLE_SHARE) * line.length:
        found = [arcs.fit(door.ring_points(line), True, fine)]
    else:
        merged = shapely.line_merge(kept)
        for run in getattr(merged, "geoms", [merged]):
            if run.length < tolerance:
                continue
            points = shapely.get_coordinates(run)
            half = run.interpolate(0.5, normalized=True)
            ahead = (line.project(half) - line.project(shapely.Point(points[0]))) % line.length
            found.append(arcs.fit(points if ahead < line.length / 2 else points[::-1], False, fine))
    # Rings run with the area on their left and so the wall on their right: climb.
    return found if climb else [track.reversed() for track in found]
