"""What goes into the finished part: what has to be tried in it, and with how much room."""

from __future__ import annotations

from collections.abc import Iterator
from functools import singledispatch

from toolpaths.facts.contents import GoesIn, PartContent, ScrewedIn, TurningClip
from toolpaths.facts.part import Part
from toolpaths.show.lengths import Lengths
from toolpaths.show.markup import Markup
from toolpaths.show.part_drawing import round_diameter
from toolpaths.show.sheet.page_parts import section, table
from toolpaths.show.sheet.wording import BY


def contents_table(part: Part, lengths: Lengths) -> Markup:
    """A line for each thing that goes in; nothing where none does."""
    rows = [row for content in part.contents for row in _rows(content, lengths)]
    return (
        section("What goes in", table(["What", "From the", f"Size, {lengths.units}", "How it fits"], rows))
        if rows
        else Markup("")
    )


@singledispatch
def _rows(content: PartContent, lengths: Lengths) -> Iterator[list[str]]:
    raise TypeError(type(content).__name__)


@_rows.register
def _(content: GoesIn, lengths: Lengths) -> Iterator[list[str]]:
    left, low, right, high = content.shape.bounds
    across = round_diameter(content.shape)
    wide = (
        f"\N{DIAMETER SIGN}{lengths.of(across)}"
        if across
        else f"{lengths.of(right - left)}{BY}{lengths.of(high - low)}"
    )
    level = "flush with the face"
    if content.below:
        level = f"{lengths.of(abs(content.below))} {'below' if content.below > 0 else 'above'} the face"
    fit = f"{lengths.of(content.fit)} of room all round, {level}"
    yield [content.name, content.face, f"{wide}{BY}{lengths.of(content.thickness)} thick", fit]


@_rows.register
def _(content: ScrewedIn, lengths: Lengths) -> Iterator[list[str]]:
    deep, left = lengths.of(content.length - content.above), lengths.of(content.least_left)
    into = f"{deep} of it in the wood, {left} to stay beyond"
    at = "; ".join(lengths.place(x, y) for x, y in content.places)
    yield [f"{len(content.places)} {content.name}", content.face, f"{lengths.of(content.length)} long", f"{into}: {at}"]


@_rows.register
def _(content: TurningClip, lengths: Lengths) -> Iterator[list[str]]:
    x, y = content.place
    fit = f"turns about {lengths.place(x, y)}, reaches over {content.over.name}"
    yield [content.name, content.over.face, f"reaches {lengths.of(content.reach)}", fit]
