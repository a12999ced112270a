"""What goes into the finished part: what has to be tried in it, and with how much room."""

from __future__ import annotations

from collections.abc import Iterator
from functools import singledispatch

from toolpaths.facts.contents import Content, GoesIn, ScrewedIn, TurningClip
from toolpaths.facts.part import Part
from toolpaths.show.markup import Markup
from toolpaths.show.ordinates import length
from toolpaths.show.part_drawing import round_diameter
from toolpaths.show.sheet.page_parts import section, table
from toolpaths.show.sheet.wording import place

_BY = " \N{MULTIPLICATION SIGN} "


def contents_table(part: Part) -> Markup:
    """A line for each thing that goes in; nothing where none does."""
    rows = [row for content in part.contents for row in _rows(content)]
    return section("What goes in", table(["What", "From the", "Size, mm", "How it fits"], rows)) if rows else Markup("")


@singledispatch
def _rows(content: Content) -> Iterator[list[str]]:
    raise TypeError(type(content).__name__)


@_rows.register
def _(content: GoesIn) -> Iterator[list[str]]:
    left, low, right, high = content.shape.bounds
    across = round_diameter(content.shape)
    wide = f"\N{DIAMETER SIGN}{length(across)}" if across else f"{length(right - left)}{_BY}{length(high - low)}"
    level = "flush with the face"
    if content.below:
        level = f"{length(abs(content.below))} {'below' if content.below > 0 else 'above'} the face"
    fit = f"{length(content.fit)} of room all round, {level}"
    yield [content.name, content.face, f"{wide}{_BY}{length(content.thickness)} thick", fit]


@_rows.register
def _(content: ScrewedIn) -> Iterator[list[str]]:
    into = f"{length(content.length - content.above)} of it in the wood, {length(content.least_left)} to stay beyond"
    at = "; ".join(place(x, y) for x, y in content.places)
    yield [f"{len(content.places)} {content.name}", content.face, f"{length(content.length)} long", f"{into}: {at}"]


@_rows.register
def _(content: TurningClip) -> Iterator[list[str]]:
    x, y = content.place
    fit = f"turns about {place(x, y)}, reaches over {content.over.name}"
    yield [content.name, content.over.face, f"reaches {length(content.reach)}", fit]
