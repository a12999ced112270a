"""The comments at the head of a program, for the person at the machine: short lines, cautions first."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import inf
from textwrap import wrap
from typing import Literal

from toolpaths.base.checks import label_or_empty, let_in
from toolpaths.facts.cutter import Cutter
from toolpaths.facts.fixture import Fixture
from toolpaths.facts.grip import GRIP_NAMES
from toolpaths.facts.head_lines import (
    BOARD,
    CROSSINGS,
    CUTTER,
    DURATION,
    EXTENT,
    LEVELLED,
    SAFE_HEIGHT,
    SCREWS,
    SCREWS_IN,
    SCREWS_LATER,
    SPEED,
    SPOILBOARD_CUT,
    SPOILBOARD_WHOLE,
    WIDEST,
    WORK,
)
from toolpaths.making.motion.seconds import seconds_of
from toolpaths.making.motion.toolpath import RAPID
from toolpaths.making.plan.extent import extent, steps_before_held, swept
from toolpaths.making.plan.setup import Setup
from toolpaths.making.plan.steps import Step
from toolpaths.making.plan.work import Stop
from toolpaths.making.plan.work_lines import work_lines
from toolpaths.making.writer.number_format import COMMENT_DECIMALS, NumberFormat, plain
from toolpaths.making.writer.style import ToolChange
from toolpaths.making.writer.zero_text import lie_and_zero

# The lines that a longer one goes on in begin with blanks, so that none of them reads like a line of its own.
_GOES_ON = "  "
# The customary cautions of the trade; README has them in full.
CAUTIONS = (
    "The machine's manual and local codes come first.",
    "Eyes, ears and dust protected. Extinguisher at hand.",
    "Never leave it unattended.",
    "Check hold-down, zero and cutter.",
    "First run in the air with a hand on the stop.",
)
# A control that ignores M6 would run the next work with the last cutter.
_HALTS_AT_M6 = (
    "At M6 the control must halt, spindle off, or change the cutter itself.",
    "Try that in the air. If it does neither, do not run this.",
)
# What the line of modes calls: a length that stands in a table alone does nothing.
_OFFSETS = "Zero in G54. No length offset, G49: touch off each cutter."


@dataclass(frozen=True, slots=True)
class Heading:
    """What the head says that the setup does not.

    title : what is being made; the board's name where it is ""
    number, count : which of the programs of this setup it is, one for each time that a cutter is fitted
    first_step : number of the step of the setup with which it begins, from 0
    tool_change : how it changes its cutter; "" where it has one alone
    """

    title: str = ""
    number: int = 1
    count: int = 1
    first_step: int = 0
    tool_change: ToolChange | Literal[""] = ""

    def __post_init__(self) -> None:
        let_in(self, title=label_or_empty)


def head(setup: Setup, steps: Sequence[Step | Stop], numbers: NumberFormat, heading: Heading) -> list[str]:
    """Comment lines: what this is, cautions, board and zero, hold-down, cutters, order of work."""
    fixture = setup.fixture
    lines = [f"{heading.title or fixture.board.name}: {fixture.side}"]
    if heading.count > 1:
        lines.append(f"Program {heading.number} of {heading.count} of this side, one cutter each")
    lines += CAUTIONS
    if heading.tool_change == "M6":
        lines += _HALTS_AT_M6
    lines += trapped_heads(steps)
    lines += _board(setup, numbers)
    lines += lie_and_zero(setup, steps, numbers, heading.first_step)
    lines.append(_OFFSETS)
    lines += _heights(setup, steps, numbers)
    lines += _extent_and_time(setup, steps, numbers)
    lines += _hold_downs(setup.fixture, numbers)
    lines += _held_by_hand(setup, heading.first_step, numbers)
    lines += _screws_of_other_programs(setup, heading.first_step, heading.first_step + len(steps))
    lines += _cutters(steps, numbers)
    lines += _order_of_work(setup, steps, numbers)
    return [part for line in lines for part in comment_lines(line)]


def comment_lines(text: str) -> list[str]:
    """A comment in lines that fit a small display."""
    return [f"({part})" for part in wrap(text, WIDEST, subsequent_indent=_GOES_ON)]


def goes_on(line: str) -> bool:
    """Whether a line of the head goes on with the comment above it."""
    return line.startswith(f"({_GOES_ON}")


def _board(setup: Setup, numbers: NumberFormat) -> list[str]:
    fixture, board, length = setup.fixture, setup.fixture.board, numbers.comment
    width, height, thickness = length(board.width), length(board.height), length(board.thickness)
    size = BOARD.text(width=width, height=height, thickness=thickness, units=numbers.units)
    lines = [size, f"Board: {board.name}"]
    if fixture.levelled:
        by, left = length(fixture.levelled), length(-fixture.underside_z)
        lines.append(LEVELLED.text(by=by, left=left, units=numbers.units))
    return lines


def _heights(setup: Setup, steps: Sequence[Step | Stop], numbers: NumberFormat) -> list[str]:
    fixture, length = setup.fixture, numbers.comment
    into_spoilboard = length(max(0.0, fixture.underside_z - _lowest(steps)))
    cut = into_spoilboard != "0"
    return [
        SAFE_HEIGHT.text(height=length(fixture.safe_z), units=numbers.units),
        CROSSINGS.text(height=length(fixture.link_z), units=numbers.units),
        *lower_crossings(setup, steps, numbers),
        SPOILBOARD_CUT.text(by=into_spoilboard, units=numbers.units) if cut else SPOILBOARD_WHOLE.text(),
    ]


def lower_crossings(setup: Setup, steps: Sequence[Step | Stop], numbers: NumberFormat) -> list[str]:
    """How low a rapid goes across where the wood is cut away already: there a wrong length of a cutter is a crash."""
    lowest = min((z for step in steps if isinstance(step, Step) for z in _crossing_heights(step)), default=inf)
    low, zero_z = numbers.comment(lowest), setup.fixture.zero[2]
    if lowest > setup.fixture.link_z or low == numbers.comment(setup.fixture.link_z):
        return []
    return [f"Where it is cut already crossings go down to Z{numbers.comment(lowest - zero_z)}"]


def _crossing_heights(step: Step) -> Iterator[float]:
    """The z of each rapid across, which is written up before across and across before down."""
    moves = step.path.moves
    for before, move in pairwise(moves):
        if move.kind == RAPID and (before.x, before.y) != (move.x, move.y):
            yield max(before.z, move.z)


def _hold_downs(fixture: Fixture, numbers: NumberFormat) -> list[str]:
    """What holds the board, where the program counts it to be; screws that are alike in a line."""
    (zero_x, zero_y, _), length = fixture.zero, numbers.comment
    screws: dict[tuple[str, str, str], list[str]] = {}
    areas = []
    for thing in fixture.standing():
        if thing.kind == "screw":
            kind = length(2 * thing.radius), length(thing.height), ", driven at a stop" if thing.driven_at else ""
            screws.setdefault(kind, []).append(f"X{length(thing.x - zero_x)} Y{length(thing.y - zero_y)}")
        elif thing.area is not None:
            left, low, right, high = thing.area.bounds
            what = f"Clamp {length(thing.height)} high" if thing.kind == "clamp" else f"Held by {GRIP_NAMES[thing.by]}"
            across = f"X{length(left - zero_x)} to {length(right - zero_x)}"
            areas.append(f"{what}: {across}, Y{length(low - zero_y)} to {length(high - zero_y)}")
    return [
        SCREWS.text(across=across, high=high, driven=driven, places=", ".join(places))
        for (across, high, driven), places in screws.items()
    ] + areas


def _held_by_hand(setup: Setup, first: int, numbers: NumberFormat) -> list[str]:
    """Where the board may be clamped while nothing that was given holds it yet, for a program from step `first` on."""
    early = steps_before_held(setup)
    box = swept(early[first:], setup.fixture.safe_z, setup.fixture.zero)
    if box is None:
        return []
    until = f" before step {len(early) + 1}" if len(early) < len(setup.steps) else ""
    left, right, low, high = map(numbers.comment, box)
    if setup.fixture.held_meanwhile:
        return [
            f"Held{until} by: {setup.fixture.held_meanwhile}",
            f"All of that clear of X{left} to {right}, Y{low} to {high}",
        ]
    return [
        f"Nothing is said to hold the board{until}",
        f"Clamp it clear of X{left} to {right}, Y{low} to {high}",
    ]


def _screws_of_other_programs(setup: Setup, first: int, end: int) -> list[str]:
    """The stops for screws that other programs of this setup make, where this one does the steps from `first` on."""
    stops = [(number, step.message) for number, step in enumerate(setup.steps) if isinstance(step, Stop)]
    lines = []
    for message in dict.fromkeys(screw.driven_at for screw in setup.fixture.screws if screw.driven_at):
        at = next(number for number, said in stops if said == message)
        if not first <= at < end:
            lines.append((SCREWS_IN if at < first else SCREWS_LATER).text(message=message))
    return lines


def trapped_heads(steps: Sequence[Step | Stop]) -> list[str]:
    """What an operator has to know who halts the machine while a cutter's head is under the wood."""
    used = {
        step.path.cutter.number
        for step in steps
        if isinstance(step, Step) and step.path.cutter.profile.kind == "undercut"
    }
    return [
        f"T{number}: its head is under the wood in its slots. After a halt never lift it there: back along the slot, "
        "spindle on, and up at its entry hole."
        for number in sorted(used)
    ]


def _cutters(steps: Sequence[Step | Stop], numbers: NumberFormat) -> list[str]:
    used: dict[int, Cutter] = {s.path.cutter.number: s.path.cutter for s in steps if isinstance(s, Step)}
    return [
        CUTTER.text(
            tool=cutter.number,
            profile=cutter.profile.text(numbers.scale, COMMENT_DECIMALS[numbers.units]),
            flutes=cutter.flutes,
            rest=SPEED.text(rpm=plain(cutter.spindle_rpm, 0)),
        )
        for cutter in used.values()
    ]


def _order_of_work(setup: Setup, steps: Sequence[Step | Stop], numbers: NumberFormat) -> list[str]:
    """Each step, from which depth to which it cuts, how fast at most, and the tabs that it leaves."""
    lines = [f"Order of work, {numbers.units} below the face before any work:"]
    for line in work_lines(setup, steps):
        says = line.says
        if isinstance(says, Stop):
            lines.append(f"{line.numbers}. stop: {says.message}")
            continue
        text = WORK.text(
            numbers=line.numbers,
            name=says.name,
            tool=says.cutter.number,
            first=numbers.comment(says.first),
            last=numbers.comment(says.last),
            feed=f", F{numbers.feed(says.feed_mm_min)}",
            tabs=f", {says.tabs} tab{'s' if says.tabs > 1 else ''}" if says.tabs else "",
        )
        lines.append(text)
    return lines


def _extent_and_time(setup: Setup, steps: Sequence[Step | Stop], numbers: NumberFormat) -> list[str]:
    """What has to be clear, and for how long somebody has to stand by."""
    across, length = extent(steps, setup.fixture.zero), numbers.comment
    cuts = (move for step in steps if isinstance(step, Step) for move in step.path.moves if move.kind != RAPID)
    numbers.feed(min(move.feed_mm_min for move in cuts))  # one that cannot be written is refused, not timed
    seconds = sum(seconds_of(step.path, setup.fixture.machine) for step in steps if isinstance(step, Step))
    return [
        EXTENT.text(
            x_range=f"{length(across.left)} to {length(across.right)}",
            y_range=f"{length(across.low)} to {length(across.high)}",
        ),
        DURATION.text(minutes=plain(-(-seconds // 60), 0)),
    ]


def _lowest(steps: Sequence[Step | Stop]) -> float:
    return min(step.path.lowest for step in steps if isinstance(step, Step))
