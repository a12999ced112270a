"""What is done on a side, in order: cutters, operations, stops, and what comes free."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

import shapely

from toolpaths.facts.cutter import Cutter
from toolpaths.making.plan.steps import Step
from toolpaths.making.plan.work import Stop
from toolpaths.show.cutter_picture import cutter_picture
from toolpaths.show.markup import Content, Markup, tag
from toolpaths.show.ordinates import length
from toolpaths.show.palette import LineStyle
from toolpaths.show.sheet.page_parts import section, table
from toolpaths.show.sheet.sheet_side import SheetSide, WorkLine, work_lines
from toolpaths.show.sheet.wording import duration

_BOX = Markup('<input type="checkbox" aria-label="done">')


def order_of_work(side: SheetSide) -> Markup:
    """The table, a line for each step, and one for each time that the operator has something to do."""
    lines = work_lines(side)
    return section(
        "In this order",
        table(["", "No.", "What", "Cutter", "From, mm", "To, mm", "Holds", "Time"], _rows(side, lines), class_="order"),
        tag("p", "Depths are below the face of the board as it was before any work. Times are the machine's; changing "
                 "cutters and stops come on top."),
    )  # fmt: skip


def cutters_of_side(side: SheetSide, styles: Mapping[int, LineStyle]) -> Markup:
    """Each cutter from the side, with what it is run at."""
    figures = [
        tag("figure", cutter_picture(cutter, styles[cutter.number]), tag("figcaption", _said(cutter)))
        for cutter in side.setup.cutters
    ]
    return section("Cutters, in the order in which they are fitted", tag("div", figures, class_="cutters"))


def comes_free(side: SheetSide) -> Markup:
    """What is cut loose, when, and what holds it then."""
    rows = [row for number, step in enumerate(side.setup.steps, start=1) if isinstance(step, Step)
            for row in _freed(side, number, step)]  # fmt: skip
    judged = [note for report in side.reports.values() for note in report.notes if note.startswith("What holds")]
    if not rows and not judged:
        return Markup("")
    return section(
        "What comes free, and what holds it",
        table(["After no.", "What", "Held by"], rows),
        [tag("p", note) for note in judged],
    )


def _rows(side: SheetSide, lines: list[WorkLine]) -> Iterator[list[Content]]:
    fitted = 0
    for line in lines:
        if isinstance(line.step, Stop):
            yield [_BOX, line.number, tag("strong", f"STOP: {line.step.message}")]
            continue
        cutter = line.step.path.cutter
        if cutter.number != fitted:
            yield [
                _BOX,
                "",
                tag("em", f"Fit T{cutter.number}, {cutter.profile}; set its Z zero unless its length is known"),
            ]
            fitted = cutter.number
        first, last = line.step.operation.depths(side.setup.fixture)
        name = line.step.name + (f", {line.times} times" if line.times > 1 else "")
        holds = f"{len(side.tabs)} tabs" if line.step.operation.has_tabs and side.tabs else ""
        yield [
            _BOX, line.number, name, f"T{cutter.number}", length(first), length(last), holds, duration(line.seconds),
        ]  # fmt: skip


def _freed(side: SheetSide, number: int, step: Step) -> Iterator[list[str]]:
    fixture = side.setup.fixture
    for feature in step.operation.parts(side.setup.tolerance):
        if feature.waste_side is None or not feature.goes_through(fixture.underside_z):
            continue
        inside = fixture.place(feature.shape)
        if shapely.buffer(inside, -step.path.cutter.diameter).is_empty:
            continue  # nothing of it is left to come free
        what = "the part" if feature.waste_side == "outside" else "the piece within"
        if step.operation.has_tabs:
            held = f"{len(side.tabs)} tabs" if side.tabs else "tabs"
        else:
            things = [thing.name for thing in fixture.holding if shapely.contains(inside, thing.outline)]
            held = ", ".join(things) or "nothing: it may be thrown; keep clear, stop before lifting it out"
        yield [str(number), f"{what} of {step.name}", held]


def _said(cutter: Cutter) -> str:
    running = cutter.running
    return (
        f"T{cutter.number}: {cutter.profile}, {cutter.flutes} flutes; {cutter.spindle_rpm:g} rpm, feed "
        f"{length(cutter.feed_mm_min)}, down {length(running.plunge_mm_min)} mm/min, {length(running.step_down)} a pass"
    )
