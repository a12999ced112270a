"""Where the time of a side goes: by cutter and by kind of motion, what the operator does, and what would shorten it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from toolpaths.making.plan.shorter_time import fitted_again, fitted_in_turn, saved_by_faster_feeds
from toolpaths.making.plan.work import Stop
from toolpaths.show.markup import Markup, tag
from toolpaths.show.sheet.page_parts import section, table
from toolpaths.show.sheet.sheet_side import SheetSide
from toolpaths.show.sheet.wording import duration

_HEADINGS = ["Side", "Cutter", "Cutting", "Entries", "Crossings", "Waits", "In all"]


def time_taken(sides: Sequence[SheetSide]) -> Markup:
    """Of each side a line for each cutter, for changes and for stops."""
    rows = [[side.name, *row] for side in sides for row in [*_by_cutter(side), *_by_hand(side)]]
    shorter = [tag("li", f"{side.name}: {each}") for side in sides for each in _shorter(side)]
    return section(
        "Where the time goes",
        table(_HEADINGS, rows),
        [tag("p", "What would shorten it:"), tag("ul", shorter)] if shorter else None,
    )


def _shorter(side: SheetSide) -> Iterator[str]:
    """A sentence for each change that saves time, of the time that the table says."""
    times = [time for report in side.reports.values() for time in report.times]
    for number, saved_s in saved_by_faster_feeds(side.setup).items():
        taken_s = sum(time.seconds for time in times if time.cutter == number)
        yield (
            f"T{number} a fifth faster at feed, if wood, cutter and machine bear it: {duration(saved_s)} of its "
            f"{duration(taken_s)} saved."
        )
    for number, count in fitted_again(side.setup).items():
        yield (
            f"T{number} is fitted {count} times: were the order of its work free, once might do; whoever wrote the "
            "job can say so."
        )


def _by_cutter(side: SheetSide) -> Iterator[list[str]]:
    times = [time for report in side.reports.values() for time in report.times]
    for cutter in side.setup.cutters:
        mine = [time for time in times if time.cutter == cutter.number]
        kinds = [
            sum(time.cutting_s for time in mine), sum(time.entries_s for time in mine),
            sum(time.crossings_s for time in mine), sum(time.waits_s for time in mine),
        ]  # fmt: skip
        yield [f"T{cutter.number} {side.lengths.cutter(cutter)}", *map(duration, kinds), duration(sum(kinds))]


def _by_hand(side: SheetSide) -> Iterator[list[str]]:
    """What the machine waits for; how long is said where the machine of the fixture says so."""
    machine = side.setup.fixture.machine
    fitted = len(fitted_in_turn(side.setup))
    stops = sum(isinstance(step, Stop) for step in side.setup.steps)
    for count, what, each_s in ((fitted, "Cutters fitted", machine.change_s), (stops, "Stops", machine.stop_s)):
        if count:
            said = duration(count * each_s) if each_s else "not counted: nobody said how long one takes"
            yield [f"{what}: {count}", "", "", "", "", said]
