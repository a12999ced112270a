"""The outlines found in a picture: shapes with holes in mm, and what was left out."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from shapely import Polygon

from toolpaths.base.checks import Floats
from toolpaths.base.counted_lengths import counted
from toolpaths.base.errors import ShapeError
from toolpaths.base.values import Value
from toolpaths.pictures.level_contours import ring_area
from toolpaths.pictures.pixel_scale import PixelScale
from toolpaths.pictures.ring_arcs import chords_of, fitted_part
from toolpaths.pictures.smooth_rings import STEPS_OFF, smooth_ring
from toolpaths.pictures.straight_sides import Grain
from toolpaths.shapes import door

# More shapes than a board has: noise.
_MOST_RINGS = 2_000
# Specks that are named with their places; of the others their number is given.
_NAMED = 5


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class Traced(Value):
    """Outlines found in a picture, in mm.

    shapes : with their holes, the largest first
    notes : what was left out, with places, and what is in doubt

    Made by Picture.outlines().
    """

    shapes: tuple[Polygon, ...]
    notes: tuple[str, ...]

    @property
    def largest(self) -> Polygon:
        """The shape of the greatest area."""
        return self.shapes[0]

    def __repr__(self) -> str:
        return f"<Traced: {len(self.shapes)} shapes, {len(self.notes)} notes>"


def traced(
    contours: list[Floats], scale: PixelScale, size: tuple[int, int], least_mm2: float, tolerance: float | None
) -> Traced:
    """Contours, the largest first, as shapes in mm, without those that enclose less than `least_mm2`.

    size : (width, height) of the picture in pixels
    """
    kept: list[Floats] = []
    specks: list[Floats] = []
    for contour in contours:
        area = abs(ring_area(scale.to_mm(contour)))
        (kept if area >= max(least_mm2, door.SMALLEST_AREA) else specks).append(contour)
    if not kept:
        raise ShapeError(f"Nothing in the picture is as large as least_mm2={least_mm2:g}.")
    if len(kept) > _MOST_RINGS:
        raise ShapeError(f"{len(kept)} outlines are more than {_MOST_RINGS}: noise. Ask for a larger least_mm2.")
    as_found = [Polygon(scale.to_mm(ring)) for ring in kept]
    outer_sign = np.sign(ring_area(contours[0]))
    nested = _nested(as_found, [np.sign(ring_area(ring)) == outer_sign for ring in kept])
    shapes, rough = _apart(nested, [_drawn(ring, scale, tolerance) for ring in kept], as_found)
    shapes.sort(key=lambda shape: -shape.area)
    notes = [*_cut_off(kept, size), *_left_out(specks, scale, least_mm2), *_rough(rough)]
    return Traced(tuple(shapes), tuple(notes))


def _drawn(ring: Floats, scale: PixelScale, tolerance: float | None) -> Polygon:
    """A contour as lines and arcs in chords; empty where it is so small that nothing is left of it."""
    smooth = smooth_ring(ring)
    x, y = ring.mean(axis=0).tolist()
    size = scale.mm_per_pixel((x, y))
    off, close = (counted(smooth.off * size), STEPS_OFF * size) if tolerance is None else (tolerance, tolerance)
    grain = Grain(size, counted(smooth.noise * size), off)
    segments = [each for part in smooth.parts for each in fitted_part(scale.to_mm(part), smooth.closed, grain, close)]
    chords = chords_of(segments)
    return Polygon(chords) if len(chords) > 2 else Polygon()


def _nested(rings: list[Polygon], is_outer: list[bool]) -> list[list[int]]:
    """The number of each outer ring, and then of the holes that lie in it and in none within it."""
    found = [[number] for number, outer in enumerate(is_outer) if outer]
    outer = [rings[number] for (number,) in found]
    tree = shapely.STRtree(outer)
    for number, ring in enumerate(rings):
        if is_outer[number]:
            continue
        # Not its middle, in which another shape may stand.
        around = tree.query(shapely.Point(ring.exterior.coords[0]), predicate="within")
        found[min(around.tolist(), key=lambda k: outer[k].area)].append(number)
    return found


def _apart(
    nested: list[list[int]], rings: list[Polygon], as_found: list[Polygon]
) -> tuple[list[Polygon], list[Polygon]]:
    """Shapes that neither cross themselves nor each other, and the rings that are drawn as they were found for it.

    Contours of one grey never cross; made smooth, and drawn in arcs, those of a wall of a pixel may.
    """
    rings, rough = list(rings), set[int]()
    while True:
        shapes = [Polygon(rings[first].exterior, [rings[k].exterior for k in holes]) for first, *holes in nested]
        one, other = shapely.STRtree(shapes).query(shapes, predicate="intersects")
        meeting = {int(k) for k in one[one != other]} | {
            k for k, shape in enumerate(shapes) if shape.is_empty or not shape.is_valid
        }
        if not meeting:
            return shapes, [rings[k] for k in sorted(rough)]
        again = (_crossing(rings) - rough) or ({ring for k in meeting for ring in nested[k]} - rough)
        if not again:
            x, y = as_found[nested[min(meeting)][0]].exterior.coords[0]
            raise ShapeError(f"Outlines meet at ({x:.2f}, {y:.2f}). Give another threshold.", (x, y))
        for k in again:
            rings[k] = as_found[k]
        rough |= again


def _crossing(rings: list[Polygon]) -> set[int]:
    """The numbers of rings that cross themselves or another."""
    lines = [ring.exterior for ring in rings]
    one, other = shapely.STRtree(lines).query(lines, predicate="intersects")
    return set(one[one != other].tolist()) | {k for k, ring in enumerate(rings) if ring.is_empty or not ring.is_valid}


def _cut_off(rings: list[Floats], size: tuple[int, int]) -> list[str]:
    """What reaches the edge of the picture goes on beyond it."""
    far = np.array(size) - 1.0
    found = sum(bool((ring <= 0).any() or (ring >= far).any()) for ring in rings)
    return [f"{found} outlines reach the edge of the picture and are closed along it."] if found else []


def _left_out(specks: list[Floats], scale: PixelScale, least_mm2: float) -> list[str]:
    if not specks:
        return []
    places = _places([Polygon(scale.to_mm(ring)) for ring in specks[:_NAMED]], len(specks))
    return [f"Left out, smaller than {least_mm2:g} mm2: {len(specks)} specks or holes, at {places}."]


def _rough(rings: list[Polygon]) -> list[str]:
    if not rings:
        return []
    return [
        f"Not made smooth, which would have made them cross: {len(rings)} outlines, at {_places(rings, len(rings))}."
    ]


def _places(rings: list[Polygon], number: int) -> str:
    """Where the first few of so many rings are."""
    middles = [shapely.get_coordinates(ring.exterior)[:-1].mean(axis=0) for ring in rings[:_NAMED]]
    more = f" and {number - _NAMED} more" if number > _NAMED else ""
    return ", ".join(f"({x:.1f}, {y:.1f})" for x, y in middles) + more
