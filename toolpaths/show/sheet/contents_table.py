"""What goes into the finished part: what has to be tried in it, and with how much room."""

from __future__ import annotations

from collections.abc import Iterator
from functools import singledispatch

from toolpaths.base.errors import Point
from toolpaths.facts.contents import GoesIn, PartContent, ScrewedIn, TurningClip
from toolpaths.facts.part import Part
from toolpaths.show.lengths import Lengths
from toolpaths.show.markup import Markup, tag
from toolpaths.show.part_sizes import part_area, round_diameter
from toolpaths.show.sheet.page_parts import section, table


def contents_table(part: Part, lengths: Lengths) -> Markup:
    """A line for each thing that goes in; nothing where none does. Places count from the part's own corner."""
    left, low, _, _ = part_area(part).bounds
    rows = [row for content in part.contents for row in _rows(content, (left, low), lengths)]
    if not rows:
        return Markup("")
    return section(
        "What goes in",
        table(["What", "From the", f"Size, {lengths.units}", "How it fits"], rows),
        tag("p", "Places count from the part's lower left, seen from the front."),
    )


@singledispatch
def _rows(content: PartContent, corner: Point, lengths: Lengths) -> Iterator[list[str]]:
    raise TypeError(type(content).__name__)


@_rows.register
def _(content: GoesIn, corner: Point, lengths: Lengths) -> Iterator[list[str]]:
    left, low, right, high = content.shape.bounds
    across = round_diameter(content.shape)
    wide = f"\N{DIAMETER SIGN}{lengths.of(across)}" if across else lengths.by(right - left, high - low)
    level = "flush with the face"
    if content.below:
        level = f"{lengths.of(abs(content.below))} {'below' if content.below > 0 else 'above'} the face"
    fit = f"{lengths.of(content.fit)} of room all round, {level}"
    yield [content.name, content.face, f"{wide} \N{MULTIPLICATION SIGN} {lengths.of(content.thickness)} thick", fit]


@_rows.register
def _(content: ScrewedIn, corner: Point, lengths: Lengths) -> Iterator[list[str]]:
    deep, left = lengths.of(content.length - content.above), lengths.of(content.least_left)
    into = f"{deep} of it in the wood, {left} to stay beyond"
    at = "; ".join(lengths.place(x - corner[0], y - corner[1]) for x, y in content.places)
    yield [f"{len(content.places)} {content.name}", content.face, f"{lengths.of(content.length)} long", f"{into}: {at}"]


@_rows.register
def _(content: TurningClip, corner: Point, lengths: Lengths) -> Iterator[list[str]]:
    x, y = content.place[0] - corner[0], content.place[1] - corner[1]
    fit = f"turns about {lengths.place(x, y)}, reaches over {content.over.name}"
    yield [content.name, content.over.face, f"reaches {lengths.of(content.reach)}", fit]
