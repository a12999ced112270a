"""What is left to do when the machine is done, and what the part then measures."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import shapely
import shapely.affinity
from shapely.geometry.base import BaseGeometry

from toolpaths.base.errors import Point
from toolpaths.facts.features.cut_along import CutAlong
from toolpaths.facts.features.feature import Feature
from toolpaths.facts.part import Part
from toolpaths.facts.turning import SIDES, turned_points
from toolpaths.facts.wood_movement import movement
from toolpaths.judging.wood.field import Wood
from toolpaths.show.lengths import Lengths
from toolpaths.show.markup import Content, Markup, tag
from toolpaths.show.part_drawing import part_area, part_picture, round_diameter
from toolpaths.show.relief_picture import face_area, relief_image
from toolpaths.show.sheet.page_parts import blank, section, table, to_do, to_do_list
from toolpaths.show.sheet.places_in_words import places_in_words
from toolpaths.show.sheet.sheet_side import SheetSide
from toolpaths.show.sheet.turning_over import taken_off
from toolpaths.show.sheet.wording import BY, counted

# Of the longer side of a picture.
_PIXELS = 480


def finished_sizes(part: Part, lengths: Lengths) -> Markup:
    """Every feature with its size, and room to write what was measured."""
    return section(
        f"Sizes of the part, {part.board.name}",
        table(
            [
                "Face",
                "What",
                f"Size, {lengths.units}",
                f"Deep, {lengths.units}",
                "Middle from the board's lower left, seen from the front",
                "Measured",
            ],
            _sizes(part, lengths),
        ),
        [tag("p", each) for each in _across_the_grain(part, lengths)],
    )


def _across_the_grain(part: Part, lengths: Lengths) -> Iterator[str]:
    """How the part moves with the moisture of the air, where its wood is one whose movement is published."""
    grain, moves = part.board.grain_direction_deg, movement(part.board.wood)
    if grain is None or moves is None:
        return
    across = shapely.affinity.rotate(part_area(part), -grain, origin=(0.0, 0.0)).bounds
    wide = across[3] - across[1]
    least, most = lengths.of(moves.radial * wide), lengths.said(moves.tangential * wide)
    yield (
        f"Across the grain it is {lengths.of(wide)} wide, and moves {least} (quarter sawn) to "
        f"{most} (flat sawn) for each 1 % of moisture, from 6 to 14 % ({moves.source}): "
        "leave it that room where it is fastened."
    )


def pictures(part: Part, wood: Wood, lengths: Lengths) -> Markup:
    """The part, drawn with its measures and as it was simulated, from both faces, and how much there is to finish.

    wood : its board after the last program
    """
    turn = wood.turned or "left to right"
    front = wood.turned_over(turn) if wood.turned else wood
    shape = part_area(part)
    turned = shapely.transform(shape, lambda points: turned_points(points, part.board, turn))
    figures = []
    for face, seen, within in (("front", front, shape), ("back", front.turned_over(turn), turned)):
        figures.append(tag(
            "figure", relief_image(seen, f"The {face} of the part, shaded", pixels=_PIXELS, within=within),
            tag("figcaption", f"The {face}: {lengths.area(face_area(seen, within))} to finish, walls not counted."),
        ))  # fmt: skip
    return section(
        "The part", tag("figure", part_picture(part, lengths), class_="plan"), tag("div", figures, class_="reliefs")
    )


def afterwards(sides: Sequence[SheetSide], listed: Sequence[str]) -> Markup:
    """What is done by hand."""
    return section("Afterwards", to_do_list(_by_hand(sides, listed)))


def _by_hand(sides: Sequence[SheetSide], listed: Sequence[str]) -> Iterator[Markup]:
    off = taken_off(sides[-1].setup.fixture)
    yield to_do(f"Spindle off and still. {off} Lift the board off; pins stay where they are.")
    for side in sides:
        if side.tabs:
            places = ", ".join(side.lengths.place(tab.x, tab.y) for tab in side.tabs)
            wide = side.lengths.of(max(tab.width for tab in side.tabs))
            thick = side.lengths.said(max(tab.thickness for tab in side.tabs))
            tabs = f"{counted(len(side.tabs), 'tab')}, {wide} wide and {thick} thick"
            yield to_do(
                f"Off the machine, free the part from {tabs}, with a saw or chisel, and level the stubs; as the "
                f"{side.name} lay, from its X0 Y0: {places}."
            )
    yield to_do("Break the edges lightly by hand, those of openings too.")
    for line in listed:
        yield to_do(line)


def _sizes(part: Part, lengths: Lengths) -> Iterator[list[Content]]:
    for face in SIDES:
        seen: dict[tuple[str, str, str], list[Point]] = {}
        for feature in part.cut_from(face):
            for shape in shapely.get_parts(feature.shape):
                said = (feature.name, _size(feature, shape, part, lengths), _depth(feature, part, lengths))
                seen.setdefault(said, []).append(_middle(shape))
        for said, places in seen.items():
            name, *rest = said
            count = f"{len(places)} {name}" if len(places) > 1 else name
            yield [face, count, *rest, places_in_words(places, lengths), blank(lengths.units)]


def _size(feature: Feature, shape: BaseGeometry, part: Part, lengths: Lengths) -> str:
    """What a calliper reads; of a cut along a line how wide the cut is at the face, and how large its middle line."""
    left, low, right, high = shape.bounds
    wide, tall = right - left, high - low
    if shape.geom_type == "Point":
        profile = getattr(feature, "profile", None)
        return f"\N{DIAMETER SIGN}{lengths.of(profile.diameter)}" if profile is not None else ""
    if isinstance(feature, CutAlong):
        at_face = lengths.of(2 * feature.profile.radius_at(-feature.floor(-part.board.thickness)))
        middle = f"{lengths.of(wide)}{BY}{lengths.of(tall)}"
        return f"{at_face} wide, its middle {middle}"
    if across := round_diameter(shape):
        return f"\N{DIAMETER SIGN}{lengths.of(across)}"
    return f"{lengths.of(wide)}{BY}{lengths.of(tall)}"


def _depth(feature: Feature, part: Part, lengths: Lengths) -> str:
    underside = -part.board.thickness
    return "through" if feature.goes_through(underside) else lengths.of(-feature.floor(underside))


def _middle(shape: BaseGeometry) -> Point:
    left, low, right, high = shape.bounds
    return (left + right) / 2, (low + high) / 2
