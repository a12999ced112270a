"""What is left to do when the machine is done, and what the part then measures."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import pi

import shapely
from shapely.geometry.base import BaseGeometry

from toolpaths.facts.features.feature import Feature
from toolpaths.facts.part import SIDES, Part
from toolpaths.show.markup import Content, Markup
from toolpaths.show.ordinates import length
from toolpaths.show.sheet.page_parts import blank, section, table, to_do, to_do_list
from toolpaths.show.sheet.sheet_side import SheetSide
from toolpaths.show.sheet.wording import place

# How near to a disc of its width an area is that is said to be round, by its share.
_ROUND = 0.005


def finished_sizes(part: Part) -> Markup:
    """Every feature with its size, and room to write what was measured."""
    return section(
        f"Sizes of the part, {part.board.name}",
        table(
            [
                "Face",
                "What",
                "Size, mm",
                "Deep, mm",
                "Middle from the board's lower left, seen from the front",
                "Measured",
            ],
            _sizes(part),
        ),
    )


def afterwards(sides: Sequence[SheetSide], listed: Sequence[str]) -> Markup:
    """What is done by hand."""
    return section("Afterwards", to_do_list(_by_hand(sides, listed)))


def _by_hand(sides: Sequence[SheetSide], listed: Sequence[str]) -> Iterator[Markup]:
    for side in sides:
        if side.tabs:
            places = ", ".join(place(tab.x, tab.y) for tab in side.tabs)
            wide, thick = max(t.width for t in side.tabs), max(t.thickness for t in side.tabs)
            yield to_do(
                f"Free the part from {len(side.tabs)} tabs, {wide:.1f} wide and {thick:.1f} thick, with a saw or "
                f"chisel; {side.name}: {places}."
            )
    yield to_do("Break the edges lightly by hand, those of openings too.")
    for line in listed:
        yield to_do(line)


def _sizes(part: Part) -> Iterator[list[Content]]:
    for face in SIDES:
        seen: dict[tuple[str, str, str], list[str]] = {}
        for feature in part.cut_from(face):
            for shape in shapely.get_parts(feature.shape):
                said = (feature.name, _size(feature, shape), _depth(feature, part))
                seen.setdefault(said, []).append(_middle(shape))
        for said, places in seen.items():
            yield [face, *said, "; ".join(places), blank()]


def _size(feature: Feature, shape: BaseGeometry) -> str:
    left, low, right, high = shape.bounds
    wide, tall = right - left, high - low
    if shape.geom_type == "Point":
        profile = getattr(feature, "profile", None)
        return f"\N{DIAMETER SIGN}{length(profile.diameter)}" if profile is not None else ""
    filled = shapely.Polygon(shape.exterior) if shape.geom_type == "Polygon" else None
    if (
        filled is not None
        and abs(filled.area / (0.25 * 3.141592653589793 * wide * tall) - 1) < _ROUND
        and abs(wide - tall) < _ROUND * wide
    ):
        return f"\N{DIAMETER SIGN}{length(wide)}"
    return f"{length(wide)} \N{MULTIPLICATION SIGN} {length(tall)}"


def _is_round(ring: BaseGeometry, wide: float, tall: float) -> bool:
    disc = pi / 4 * wide * tall
    return abs(wide - tall) < _ROUND * wide and abs(shapely.Polygon(ring).area - disc) < _ROUND * disc


def _depth(feature: Feature, part: Part) -> str:
    underside = -part.board.thickness
    return "through" if feature.goes_through(underside) else length(-feature.floor(underside))


def _middle(shape: BaseGeometry) -> str:
    left, low, right, high = shape.bounds
    return place((left + right) / 2, (low + high) / 2)
