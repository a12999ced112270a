"""What is done on a side, in order: cutters, operations, stops, and what comes free."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

import shapely

from toolpaths.facts.cutter import Cutter
from toolpaths.facts.features.feature import Feature
from toolpaths.facts.features.parting import Parting
from toolpaths.making.operations.operation import Operation
from toolpaths.making.plan.setup import Setup
from toolpaths.making.plan.steps import Step
from toolpaths.making.plan.work import Stop
from toolpaths.making.plan.work_lines import work_lines
from toolpaths.show.cutter_picture import cutter_picture
from toolpaths.show.markup import Content, Markup, tag
from toolpaths.show.ordinates import length
from toolpaths.show.palette import LineStyle
from toolpaths.show.sheet.page_parts import section, table
from toolpaths.show.sheet.sheet_side import SheetSide
from toolpaths.show.sheet.wording import duration

_NOTHING = "nothing: it may be thrown; keep clear, stop before lifting it out"
_HEADINGS = ["", "No.", "What", "Cutter", "From, mm", "To, mm", "Feed", "Holds", "Time"]
_BOX = Markup('<input type="checkbox" aria-label="done">')


def order_of_work(side: SheetSide) -> Markup:
    """The table, a line for each step, and one for each time that the operator has something to do."""
    return section(
        "In this order",
        table(_HEADINGS, _rows(side), class_="order"),
        tag("p", "Depths are below the face of the board as it was before any work; the feed is the highest, mm/min. "
                 "Times are the machine's; changing cutters and stops come on top."),
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


def _rows(side: SheetSide) -> Iterator[list[Content]]:
    setup, seconds, fitted = side.setup, side.seconds_of_steps, 0
    for line in work_lines(setup, setup.steps):
        says = line.says
        if isinstance(says, Stop):
            yield [_BOX, line.numbers, tag("strong", f"STOP: {says.message}")]
            continue
        cutter = says.cutter
        if cutter.number != fitted:
            yield [
                _BOX,
                "",
                tag("em", f"Fit T{cutter.number}, {cutter.profile}; set its Z zero unless its length is known"),
            ]
            fitted = cutter.number
        name = says.name + (f", {line.times} times" if line.times > 1 else "")
        numbers = range(line.first - 1, line.last)
        steps = [step for step in (setup.steps[number] for number in numbers) if isinstance(step, Step)]
        tabs = sum(side.tabs_across(step.operation) for step in steps)
        yield [
            _BOX, line.numbers, name, f"T{cutter.number}", length(says.first), length(says.last),
            length(says.feed_mm_min), f"{tabs} tab{'s' if tabs > 1 else ''}" if tabs else "",
            duration(sum(seconds.get(number, 0.0) for number in numbers)),
        ]  # fmt: skip


def _freed(side: SheetSide, number: int, step: Step) -> Iterator[list[str]]:
    """What a step cuts loose, and what then holds it."""
    fixture, operation = side.setup.fixture, step.operation
    for feature in _partings(side.setup, operation):
        piece = fixture.place(feature.shape)
        if shapely.buffer(piece, -step.path.cutter.diameter).is_empty:
            continue  # nothing of it is left to come free
        what = f"the piece within {step.name}"
        if feature.waste_side == "outside":
            what = f"the part, {step.name}"
            # What holds the waste in an opening does not hold the part round it.
            openings = [
                fixture.place(other.shape)
                for each in side.setup.operations
                for other in _partings(side.setup, each)
                if other.waste_side == "inside"
            ]
            piece = shapely.difference(piece, shapely.union_all(openings))
        tabs = side.tabs_across(operation)
        held = [f"{tabs} tab{'s' if tabs > 1 else ''}"] if tabs else []
        if isinstance(feature, Parting) and feature.skin:
            held.append(f"a skin of {length(feature.skin)} mm, to be cut by hand")
        held += [thing.name for thing in fixture.holding if shapely.contains(piece, thing.outline)]
        yield [str(number), what, ", ".join(held) or _NOTHING]


def _partings(setup: Setup, operation: Operation) -> list[Feature]:
    """What an operation cuts right through round a piece."""
    underside = setup.fixture.underside_z
    return [each for each in operation.features(setup.tolerance) if each.waste_side and each.goes_through(underside)]


def _said(cutter: Cutter) -> str:
    running = cutter.running
    return (
        f"T{cutter.number}: {cutter.profile}, {cutter.flutes} flutes; {cutter.spindle_rpm:g} rpm, feed "
        f"{length(cutter.feed_mm_min)}, down {length(running.plunge_mm_min)} mm/min, {length(running.step_down)} a pass"
    )
