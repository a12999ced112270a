"""What a setup says of a carving before it is cut."""

from __future__ import annotations

from collections.abc import Iterator

import shapely
from shapely.geometry.base import BaseGeometry

from toolpaths.facts.cutter import Cutter
from toolpaths.making.operations import rings
from toolpaths.making.operations.carving.junctions import deeper_forks, deepest
from toolpaths.making.operations.carving.tip_lines import TipLine
from toolpaths.shapes import offset

# Radii of a flat tip by which wood that it leaves reaches beyond it where that is more than a rounded corner, of 20
# degrees and more.
_ARM = 5.0


def depth_note(lines: list[TipLine]) -> str:
    """Where lines, as they lie, are deepest, and which forks are deeper than the strokes that meet there."""
    deep, (x, y) = deepest(lines)
    text = f"deepest {deep:.2f} mm near X{x:.1f} Y{y:.1f} on the board as it lies"
    forks = deeper_forks(lines)
    if forks:
        (x, y), deep, stroke = forks[0]
        count = "one place" if len(forks) == 1 else f"{len(forks)} places"
        text += (
            f"; where strokes meet it goes deeper than they do in {count}, {deep:.2f} mm near X{x:.1f} Y{y:.1f} "
            f"where they are {stroke:.2f} deep: depth_limit={stroke:.2f} keeps that level"
        )
    return text + "."


def narrower_than_tip(area: BaseGeometry, cutter: Cutter, tolerance: float) -> Iterator[str]:
    """What of an area, as it lies, is narrower than the flat of the tip, but for corners that it rounds."""
    tip = cutter.profile.flat_radius
    if not tip:
        return
    reached = offset.zone(offset.zone(area, -tip, tolerance), tip + tolerance, tolerance)
    left = [part for part in shapely.get_parts(shapely.difference(area, reached)) if not part.is_empty]
    arms = [
        part
        for part in left
        if shapely.distance(reached, shapely.points(shapely.get_coordinates(part))).max() > _ARM * tip
    ]
    if arms:
        x, y = rings.placed_point(max(arms, key=lambda part: part.area))
        whole = sum(part.area for part in arms)
        yield f"{cutter} leaves {whole:.2f} mm2 narrower than its tip, near X{x:.1f} Y{y:.1f} on the board as it lies."
