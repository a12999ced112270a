"""The whole sheet: one HTML file without script or network, for a phone in the shop and for paper.

Its models are a carpenter's cutting list and a workshop drawing: what is needed, what it looks like, what is done in
which order, and what it measures in the end.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from hashlib import sha256

import numpy as np
import shapely

from toolpaths.base.errors import Point
from toolpaths.base.progress import step_by_step
from toolpaths.base.units import MM_PER_INCH
from toolpaths.facts.grip import GRIP_NAMES
from toolpaths.facts.part import Part
from toolpaths.judging.job_report import JobReport
from toolpaths.judging.wood.field import Wood
from toolpaths.making.writer.head import CAUTIONS, trapped_heads
from toolpaths.proving.proof import Proof
from toolpaths.show.drawing import THIN, Frame, line, words
from toolpaths.show.lengths import Lengths
from toolpaths.show.markup import Markup, joined, plain_ascii, tag
from toolpaths.show.palette import LineStyle
from toolpaths.show.sheet.comes_free import comes_free
from toolpaths.show.sheet.contents_table import contents_table
from toolpaths.show.sheet.finding_zero import finding_zero
from toolpaths.show.sheet.finished import afterwards, drawing, faces, finished_sizes
from toolpaths.show.sheet.holding_down import holding_down
from toolpaths.show.sheet.inlays_by_hand import InlayOnSheet
from toolpaths.show.sheet.judgement import judgement
from toolpaths.show.sheet.measuring import measured_first
from toolpaths.show.sheet.order_of_work import cutters_of_side, order_of_work
from toolpaths.show.sheet.page_parts import section, table
from toolpaths.show.sheet.page_style import PAGE_STYLE
from toolpaths.show.sheet.sheet_side import SheetSide
from toolpaths.show.sheet.shopping import at_hand
from toolpaths.show.sheet.time_taken import time_taken
from toolpaths.show.sheet.turning_over import turning_over
from toolpaths.show.sheet.unbroken import unbroken
from toolpaths.show.sheet.wording import counted, duration
from toolpaths.show.side_plan import cutter_styles, side_plan

# Digits of the checksums that are printed: enough to tell one file from another by eye.
_DIGITS = 16
# A phone shows the page as wide as it is itself.
_PHONE = "width=device-width, initial-scale=1"
# mm by which two lines of a drawing read as one.
_NEAR = 1.0
_UNIT = {"mm": "mm", "inch": "inches"}


@dataclass(frozen=True, eq=False)
class Sheet:
    """All that the sheet says.

    title, identity : of the job
    lengths : how they are read at the machine
    proofs : what is proved of each side, by its name
    inlays : what is let in
    afterwards : what the user lists to be done by hand
    """

    title: str
    identity: str
    lengths: Lengths
    sides: Sequence[SheetSide]
    parts: Sequence[Part]
    report: JobReport
    proofs: Mapping[str, Proof]
    inlays: Sequence[InlayOnSheet] = ()
    afterwards: Sequence[str] = ()


def sheet_page(sheet: Sheet) -> str:
    """The page, in ASCII."""
    styles = cutter_styles(side.setup for side in sheet.sides)
    planned = {side.name: side.setup.notes for side in sheet.sides}
    total = sum(side.seconds for side in sheet.sides)
    cautions = dict.fromkeys([*CAUTIONS, *(each for side in sheet.sides for each in trapped_heads(side.setup.steps))])
    sides = [_side(sheet, number, styles) for number in step_by_step("Drawing the sheet", range(len(sheet.sides)))]
    body = [
        tag(
            "header",
            tag("div", _check_bar(sheet.lengths), class_="bar"),
            tag("h1", sheet.title),
            tag("p", f"Set of programs {sheet.identity}. "
                     f"{counted(sum(len(side.files) for side in sheet.sides), 'program')}, about "
                     f"{duration(total)} of machine time."),
            tag("p", tag("strong", f"All lengths in {_UNIT[sheet.lengths.units]}, as the programs are.")),
            tag("p", "Cut by ", tag("span", "", class_="blank"), " on ", tag("span", "", class_="blank")),
        ),
        section("Before anything else", tag("ul", [tag("li", each) for each in cautions]), class_="cautions"),
        judgement(sheet.report, sheet.proofs, planned, sheet.lengths),
        at_hand(sheet.sides, sheet.parts, sheet.lengths),
        [drawing(part, sheet.lengths, _which(sheet, part)) for part in sheet.parts],
        sides,
        tag("article", tag("h2", "Finished"),
            afterwards(sheet.sides, sheet.parts, sheet.inlays, sheet.afterwards),
            [[finished_sizes(part, sheet.lengths), contents_table(part, sheet.lengths),
              faces(part, _last_wood(sheet, part), sheet.lengths, _which(sheet, part))] for part in sheet.parts],
            time_taken(sheet.sides)),
    ]  # fmt: skip
    head = tag(
        "head", tag("meta", charset="utf-8"),
        tag("meta", name_="viewport", content=_PHONE),
        tag("title", f"{sheet.title}, set {sheet.identity}"), tag("style", Markup(PAGE_STYLE)),
    )  # fmt: skip
    return "<!DOCTYPE html>\n" + plain_ascii(tag("html", head, unbroken(tag("body", body)), lang="en")) + "\n"


def _which(sheet: Sheet, part: Part) -> str:
    """A part of several is named by its board."""
    return f", {part.board.name}" if len(sheet.parts) > 1 else ""


def _last_wood(sheet: Sheet, part: Part) -> Wood:
    """The board of a part after the last program that cut it."""
    mine = [side for side in sheet.sides if side.setup.fixture.board == part.board]
    return list(mine[-1].reports.values())[-1].stock


def _side(sheet: Sheet, number: int, styles: Mapping[int, LineStyle]) -> Markup:
    side, count = sheet.sides[number], len(sheet.sides)
    fixture = side.setup.fixture
    before = sheet.sides[number - 1] if number else None
    turned = before is not None and before.setup.fixture.turned != fixture.turned and fixture.turned
    part = next((part for part in sheet.parts if part.board == fixture.board), None)
    measured = frozenset(cutter.number for earlier in sheet.sides[:number] for cutter in earlier.setup.cutters)
    of_board = [each.setup for each in sheet.sides if each.setup.fixture.board == fixture.board]
    later = [each.setup.fixture for each in sheet.sides[number:]]
    marked = not fixture.turned and any(each.turned and each.board == fixture.board for each in later)
    tabs = _tabs(sheet, number)
    return tag(
        "article",
        tag("h2", f"{number + 1} of {count}: {side.name}, {fixture.side} up"),
        _files(side),
        turning_over(before, side) if before and turned else None,
        tag("figure", side_plan(side.setup, styles, tabs, side.lengths), class_="plan"),
        _key(side, styles, has_tabs=bool(tabs)),
        measured_first(side, of_board, part, measured),
        holding_down(side, marked),
        finding_zero(side, part, marked),
        cutters_of_side(side, styles),
        order_of_work(side),
        comes_free(side),
    )


def _tabs(sheet: Sheet, number: int) -> list[Point]:
    """Where tabs stand in the board on a side, as it lies there: those of earlier sides still do."""
    mine, found = sheet.sides[number].setup.fixture, list[Point]()
    for side in sheet.sides[: number + 1]:
        fixture = side.setup.fixture
        if fixture.board == mine.board:
            places = np.array([(tab.x + fixture.zero[0], tab.y + fixture.zero[1]) for tab in side.tabs]).reshape(-1, 2)
            found += [(x, y) for x, y in mine.seen_from_front(fixture.seen_from_front(places)).tolist()]
    return found


def _files(side: SheetSide) -> Markup:
    rows = [
        [file, str(side.programs[name].text.count("\n")), duration(side.reports[name].seconds),
         tag("code", sha256(side.programs[name].text.encode("ascii")).hexdigest()[:_DIGITS])]
        for name, file in side.files.items()
    ]  # fmt: skip
    return table(["Program", "Lines", "Time", "Checksum begins (SHA-256)"], rows)


def _key(side: SheetSide, styles: Mapping[int, LineStyle], has_tabs: bool) -> Markup:
    """What the lines and signs of the drawing stand for."""
    cutters = [
        tag("span", _sample(styles[cutter.number]), f" T{cutter.number} {side.lengths.cutter(cutter)}", class_="key")
        for cutter in side.setup.cutters
    ]
    return tag("p", joined(cutters), tag("br"), " ".join(_signs(side, has_tabs)))


def _signs(side: SheetSide, has_tabs: bool) -> Iterator[str]:
    """Those that stand in the drawing of this side."""
    fixture = side.setup.fixture
    yield "Numbers in circles: the order of work."
    if fixture.screws:
        dashed = ", dashed if it is driven at a stop" if any(screw.driven_at for screw in fixture.screws) else ""
        yield f"Crossed ring: screw{dashed}."
    if fixture.dowels:
        yield (
            "Filled disc: pin." if fixture.turned else "Ring in a square: hole for a pin, made here; no screw goes in."
        )
    if has_tabs:
        yield "Filled diamond: tab."
    if fixture.clamps:
        yield "White area: clamp."
    grips = dict.fromkeys(GRIP_NAMES[thing.by] for thing in fixture.standing() if thing.kind == "grip")
    if grips:
        areas = shapely.union_all([thing.outline for thing in fixture.standing() if thing.kind == "grip"])
        # Its edge would be drawn under that of the board.
        all_over = areas.buffer(_NEAR).covers(fixture.board.outline)
        where = "Gripped all over" if all_over else "Line of dashes and dots: edge of where it is gripped"
        yield f"{where}: {', '.join(grips)}."
    yield "Dotted: crossings through the air."
    if side.setup.earlier:
        yield "Dashed grey: cut before."


def _sample(style: LineStyle) -> Markup:
    frame = Frame(0.0, 0.0, 14.0, 3.0)
    return frame.svg(line(frame, (0.0, 1.5), (14.0, 1.5), style=style, width=0.7), "A line of this cutter")


def _check_bar(lengths: Lengths) -> Markup:
    """100 mm or 4 inch, by which is seen whether a print is true to scale."""
    long = 100.0 if lengths.units == "mm" else 4 * MM_PER_INCH
    frame = Frame(-1.0, -7.0, long + 1.0, 3.0)
    ends = [line(frame, (x, -2.0), (x, 2.0), width=2 * THIN) for x in (0.0, long)]
    said = words(
        frame, long / 2, -5.0, f"{lengths.said(long)} on paper, if the print is true to scale", anchor="middle"
    )
    return frame.svg(
        [line(frame, (0.0, 0.0), (long, 0.0), width=2 * THIN), ends, said], f"A bar of {lengths.said(long)}"
    )
