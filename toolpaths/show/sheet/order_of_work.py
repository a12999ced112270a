"""What is done on a side, in order: cutters, operations and stops."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from math import dist

from toolpaths.facts.cutter import Cutter
from toolpaths.facts.hold_down import HoldDown
from toolpaths.making.motion.toolpath import RAPID
from toolpaths.making.plan.extent import steps_before_held, swept
from toolpaths.making.plan.part_names import parts_in_words
from toolpaths.making.plan.steps import Step
from toolpaths.making.plan.work import Stop
from toolpaths.making.plan.work_lines import lines_over_parts, work_lines
from toolpaths.show.cutter_picture import cutter_picture
from toolpaths.show.markup import Content, Markup, tag
from toolpaths.show.palette import LineStyle
from toolpaths.show.sheet.finding_zero import touched_off
from toolpaths.show.sheet.in_the_air import z_in_the_air
from toolpaths.show.sheet.page_parts import section, table
from toolpaths.show.sheet.sheet_side import SheetSide
from toolpaths.show.sheet.wording import counted, duration

# mm by which a hole is that of a screw.
_SAME_HOLE = 0.1
_BOX = Markup('<input type="checkbox" aria-label="done">')


def order_of_work(side: SheetSide) -> Markup:
    """The table, a line for each step, and one for each time that the operator has something to do."""
    units = side.lengths.units
    return section(
        "In this order",
        table(
            ["", "No.", "What", "Cutter", f"From, {units}", f"To, {units}", "Feed", "Time"],
            _rows(side), class_="order",
        ),
        tag("p", f"Depths are below the face of the board as it was before any work; the feed is the highest, "
                 f"{units}/min. Times are the machine's; changing cutters and stops come on top."),
        class_="long",
    )  # fmt: skip


def cutters_of_side(side: SheetSide, styles: Mapping[int, LineStyle]) -> Markup:
    """Each cutter from the side, with what it is run at."""
    figures = [
        tag(
            "figure",
            cutter_picture(cutter, styles[cutter.number], side.lengths),
            tag("figcaption", _said(side, cutter)),
        )
        for cutter in side.setup.cutters
    ]
    return section(
        "Cutters, in the order in which they are fitted",
        tag("div", figures, class_="cutters"),
        tag(
            "p",
            "Out of the collet: at least what is said. A lap along walls of what is cleared already may be deeper "
            "than a pass.",
        ),
    )


def _rows(side: SheetSide) -> Iterator[list[Content]]:
    setup, lengths, seconds = side.setup, side.lengths, side.seconds_of_steps
    # The first is in the collet, since zero was found with it.
    fitted = setup.cutters[0].number
    for line in lines_over_parts(work_lines(setup, setup.steps)):
        says = line.says
        if isinstance(says, Stop):
            yield [
                _BOX,
                line.numbers,
                [tag("strong", f"STOP: {says.message}"), tag("br"), _at_stop(side, says, line.first)],
            ]
            continue
        cutter = says.cutter
        if cutter.number != fitted:
            out = lengths.at_least(cutter.body.stick_out)
            fit = f"Fit T{cutter.number}, {lengths.cutter(cutter)}, {out} out, and tight."
            air = f"(in the air Z{z_in_the_air(side)}, as said)"
            yield [_BOX, "", [tag("strong", fit), f" {touched_off(setup, line.first - 1, lengths)} {air}."]]
            fitted = cutter.number
        times = f", {line.times} times" if line.times > 1 else ""
        name = f"{says.name}{times}: {parts_in_words(line.part_names)}" if line.part_names else says.name + times
        numbers = range(line.first - 1, line.last)
        steps = [step for step in (setup.steps[number] for number in numbers) if isinstance(step, Step)]
        if tabs := sum(len(side.tabs_across(step.operation)) for step in steps):
            name += f"; leaves {counted(tabs, 'tab')}"
        yield [
            _BOX, line.numbers, name, f"T{cutter.number}", lengths.of(says.first), lengths.of(says.last),
            lengths.feed(says.feed_mm_min), duration(sum(seconds.get(number, 0.0) for number in numbers)),
        ]  # fmt: skip


def _at_stop(side: SheetSide, stop: Stop, number: int) -> str:
    """Where the spindle waits at the stop that comes `number`th, what is to be reached there, and how to go on."""
    setup, fixture, lengths = side.setup, side.setup.fixture, side.lengths
    zero_x, zero_y, zero_z = fixture.zero
    wait_x, wait_y = fixture.wait_at
    waits = f"{lengths.place(wait_x - zero_x, wait_y - zero_y)} Z{lengths.of(fixture.wait_z - zero_z)}"
    over = f"{lengths.of(fixture.wait_z)} over the board"
    said = [f"The spindle is off and waits at {waits}, {over}; see that it stands still."]
    driven = [thing for thing in fixture.standing() if thing.driven_at == stop.message]
    if driven:
        said.append("In the air drive none, take nothing off, and start again. In the wood:")
        near = min(driven, key=lambda thing: dist((thing.x, thing.y), (wait_x, wait_y)))
        away = lengths.of(dist((near.x, near.y), (wait_x, wait_y)))
        said.append(
            f"the nearest of these screws, {lengths.place(near.x - zero_x, near.y - zero_y)}, is {away} from it: jog "
            "the spindle away where it is in the way of a driver, never lower."
        )
        if deep := _pilots(side, driven, number):
            said.append(
                f"The holes for them end {lengths.of(deep)} deep in {lengths.of(-fixture.underside_z)} of wood: drill "
                "on by hand through the board, as wide as the screw, so that it draws the board down."
            )
        said.append(f"Each head at most {lengths.of(max(thing.height for thing in driven))} over the board.")
        if number - 1 == len(steps_before_held(setup)) and (
            box := swept(setup.steps[number:], fixture.safe_z, fixture.zero)
        ):
            said.append(
                f"Then off with what was put there by hand: from now on nothing else within {lengths.box(*box)}, and "
                f"all outside lower than {lengths.of(fixture.safe_z)} over the board."
            )
    said.append("Then start again: the program goes to that height first, then across; X0 Y0 and Z0 stay.")
    return " ".join(said)


def _pilots(side: SheetSide, screws: Sequence[HoldDown], number: int) -> float:
    """mm that the shallowest hole for one of these screws is deep before the stop that comes `number`th; 0 where none
    ends in the board."""
    steps = [step for step in side.setup.steps[: number - 1] if isinstance(step, Step)]
    holes = [(move.x, move.y, move.hole.bottom) for step in steps for move in step.path.moves if move.hole]
    depths = []
    for screw in screws:
        mine = [-bottom for x, y, bottom in holes if dist((x, y), (screw.x, screw.y)) < _SAME_HOLE]
        depths += [max(mine)] if mine and max(mine) < -side.setup.fixture.underside_z else []
    return min(depths, default=0.0)


def _said(side: SheetSide, cutter: Cutter) -> str:
    """What a cutter is, and what this side has it do."""
    running, lengths = cutter.running, side.lengths
    spindle = f"T{cutter.number}: {lengths.cutter(cutter)}, {cutter.flutes} flutes; {cutter.spindle_rpm:g} rpm"
    down = f"down {lengths.feed(running.plunge_mm_min)} {lengths.units}/min"
    paths = [step.path for step in side.setup.steps if isinstance(step, Step) and step.path.cutter == cutter]
    down += f"; goes {lengths.of(-min(path.lowest for path in paths))} below the face of the board"
    if all(move.hole for path in paths for move in path.moves if move.kind != RAPID):
        pecks = {move.hole.peck for path in paths for move in path.moves if move.hole}
        how = "at once" if pecks == {0.0} else f"pecks of {lengths.of(max(pecks))}"
        return f"{spindle}, {down}, {how}"
    return f"{spindle}, feed {lengths.feed(cutter.feed_mm_min)}, {down}; passes of {lengths.of(running.step_down)}"
