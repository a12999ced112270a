"""What the sections of the sheet are built of: headings, tables, boxes to tick, lines to write on."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from toolpaths.show.markup import Content, Markup, tag


def section(title: str, *contents: Content, **attributes: str) -> Markup:
    """A heading and what stands below it, kept together on paper where that fits."""
    return tag("section", tag("h3", title), *contents, **attributes)


def table(heads: Sequence[Content], rows: Iterable[Sequence[Content]], **attributes: str) -> Markup:
    """A table; nothing without rows. A row may have fewer cells than there are heads."""
    lines = [_row(row, len(heads)) for row in rows]
    if not lines:
        return Markup("")
    head = tag("thead", tag("tr", [tag("th", each, scope="col") for each in heads]))
    return tag("div", tag("table", head, tag("tbody", lines), **attributes), class_="wide")


def _row(cells: Sequence[Content], columns: int) -> Markup:
    """A row, the last of its cells as wide as what is left."""
    *first, last = cells
    rest = columns - len(first)
    return tag("tr", [tag("td", cell) for cell in first], tag("td", last, colspan=rest if rest > 1 else None))


def to_do(*contents: Content) -> Markup:
    """A line with a box to tick, on paper or on a phone."""
    return tag("li", tag("label", tag("input", type="checkbox"), tag("span", *contents)))


def to_do_list(lines: Iterable[Markup]) -> Markup:
    return tag("ul", list(lines), class_="todo")


def blank(unit: str) -> Markup:
    """A line on which something is written by hand."""
    return tag("span", tag("span", "", class_="blank"), f" {unit}", class_="write")
