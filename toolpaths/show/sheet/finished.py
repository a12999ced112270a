"""What is left to do when the machine is done, and what the part then measures."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import shapely
import shapely.affinity

from toolpaths.base.errors import Point
from toolpaths.facts.part import Part
from toolpaths.facts.turning import SIDES, turned_points
from toolpaths.facts.wood_movement import movement
from toolpaths.judging.wood.field import Wood
from toolpaths.show.lengths import Lengths
from toolpaths.show.markup import Content, Markup, tag
from toolpaths.show.part_drawing import part_picture
from toolpaths.show.part_sizes import measured, part_area, thickness
from toolpaths.show.relief_picture import SeenFace
from toolpaths.show.sheet.edges import edges_to_break
from toolpaths.show.sheet.inlays_by_hand import InlayOnSheet, put_in
from toolpaths.show.sheet.page_parts import blank, section, table, to_do, to_do_list
from toolpaths.show.sheet.places_in_words import places_in_words
from toolpaths.show.sheet.sheet_side import SheetSide
from toolpaths.show.sheet.turning_over import lifted, taken_off

# mm that the drawing of the part may take up the page, so that it stands on the first one.
_TALL = 90.0
# Of the longer side of a picture.
_PIXELS = 480


def finished_sizes(part: Part, lengths: Lengths) -> Markup:
    """All that can be measured on the part, with room to write. Depths count from its own faces, places from its own
    corner, as in its drawing."""
    return section(
        f"Sizes of the part, {part.board.name}",
        table(
            [
                "Face",
                "What",
                f"Size, {lengths.units}",
                "Deep",
                "Middle, from the part's lower left, seen from the front",
                f"Measured, {lengths.units}",
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


def drawing(part: Part, lengths: Lengths, which: str) -> Markup:
    """What is to be made; which: of several parts."""
    return section(f"The part{which}", tag("figure", part_picture(part, lengths, tall=_TALL), class_="plan"))


def faces(part: Part, wood: Wood, lengths: Lengths, which: str) -> Markup:
    """The part as it was simulated, and how much there is to finish; a face into which nothing is cut needs no picture.

    wood : its board after the last program
    which : of several parts
    """
    turn = wood.turned or "left to right"
    front = wood.turned_over(turn) if wood.turned else wood
    shape = part_area(part)
    turned = shapely.transform(shape, lambda points: turned_points(points, part.board, turn))
    pictures, plain = list[Content](), list[Content]()
    seen_from = (front, shape), (front.turned_over(turn), turned)
    for face, (turned_up, within) in zip(SIDES, seen_from, strict=True):
        seen = SeenFace(turned_up, within)
        area = f"The {face}: {lengths.area(seen.area)} to finish, walls not counted."
        if part.cut_from(face):
            picture = seen.image(f"The {face} of the part, shaded", pixels=_PIXELS)
            pictures.append(tag("figure", picture, tag("figcaption", area)))
        else:
            plain.append(tag("p", area))
    return section(f"Faces{which}", tag("div", pictures, class_="reliefs") if pictures else None, plain)


def afterwards(
    sides: Sequence[SheetSide], parts: Sequence[Part], inlays: Sequence[InlayOnSheet], listed: Sequence[str]
) -> Markup:
    """What is done by hand."""
    return section("Afterwards", to_do_list(_by_hand(sides, parts, inlays, listed)))


def _by_hand(
    sides: Sequence[SheetSide], parts: Sequence[Part], inlays: Sequence[InlayOnSheet], listed: Sequence[str]
) -> Iterator[Markup]:
    off = " ".join(filter(None, (taken_off(sides[-1]), lifted(sides[-1]))))
    pins = " Pins stay where they are." if sides[-1].setup.fixture.dowels else ""
    yield to_do(f"Spindle off and still. {off}{pins}")
    for side in sides:
        if side.tabs:
            yield to_do(
                f"Off the machine, free the part from {side.tabs_in_words(side.tabs)}, with a saw or chisel, and level "
                f"the stubs; they stand at the filled diamonds in the drawing of {side.name}."
            )
        for piece in side.freed:
            if piece.skin:
                skin = side.lengths.said(piece.skin)
                yield to_do(f"Cut through the skin of {skin} round {piece.what}, and level what stands of it.")
    for part in parts:
        of = f"{part.board.name}: " if len(parts) > 1 else ""
        stay_sharp = [name for each in inlays for name in each.work]
        yield from (to_do(f"{of}{line}") for line in edges_to_break(part, stay_sharp))
    yield from (to_do(put_in(each.laid, sides[-1].lengths)) for each in inlays)
    yield to_do("Sand, and finish with ", tag("span", "", class_="blank"), ": the areas are below.")
    for line in listed:
        yield to_do(line)


def _sizes(part: Part, lengths: Lengths) -> Iterator[list[Content]]:
    """The part itself, then what is cut, by face; of what is alike one line with all its places."""
    left, low, _, _ = part_area(part).bounds
    write = blank("")
    yield ["", "the part", f"{lengths.of(thickness(part))} thick", "", "", write]
    for side in SIDES:
        seen: dict[tuple[str, str, str], list[Point]] = {}
        for each in measured(part, lengths):
            if each.side == side:
                deep = "through" if each.depth is None else lengths.of(each.depth)
                x, y = each.middle
                seen.setdefault((each.name, each.size, deep), []).append((x - left, y - low))
        for (name, *rest), places in seen.items():
            count = f"{name} ({len(places)})" if len(places) > 1 else name
            yield [side, count, *rest, places_in_words(places, lengths), write]
