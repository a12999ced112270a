"""The parts of a program in order: head, modes, then work with its changes of cutter and stops, and the end.

Plain RS-274 text: modal, short, nothing outside the subset (NISTIR 6556).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import count

from toolpaths.base.checks import one_of
from toolpaths.base.errors import InputError
from toolpaths.facts.cutter import Cutter
from toolpaths.facts.fixture import Fixture
from toolpaths.facts.head_lines import FIT, FIT_BELOW
from toolpaths.making.motion.toolpath import CUT, RAPID, Toolpath
from toolpaths.making.plan.setup import Setup
from toolpaths.making.plan.steps import Step
from toolpaths.making.plan.work import Stop
from toolpaths.making.writer.drill_text import write_hole
from toolpaths.making.writer.head import Heading, comment_lines, goes_on, head
from toolpaths.making.writer.modal import Modal
from toolpaths.making.writer.moves_text import write_cut, write_rapid
from toolpaths.making.writer.number_format import Units, plain
from toolpaths.making.writer.style import TOOL_CHANGES, CycleStyle, Style, ToolChange, style_of

_LONGEST_LINE = 256
# Seconds for the spindle to reach its speed before it cuts (common practice, no source).
_SPIN_UP_S = 3


@dataclass(frozen=True, slots=True)
class Section:
    """The lines of a program, from 1, that do one step of a setup.

    step : number of the step in setup.steps, from 0
    operation, cutter : its name, and the number of its cutter
    """

    first_line: int
    last_line: int
    step: int
    operation: str
    cutter: int


@dataclass(frozen=True, slots=True)
class ProgramText:
    """A program, and which of its lines belong to which operation."""

    text: str
    sections: tuple[Section, ...]

    def section_at(self, line: int) -> Section | None:
        """The section that a line belongs to; None for the head, a wait, a change of cutter and the end."""
        return next((s for s in self.sections if s.first_line <= line <= s.last_line), None)

    def marked(self, comment: str) -> ProgramText:
        """The same program with a comment below its first, which says what it is."""
        lines, more = self.text.splitlines(), comment_lines(comment)
        first = next(number for number in range(1, len(lines)) if not goes_on(lines[number]))
        sections = tuple(
            replace(section, first_line=section.first_line + len(more), last_line=section.last_line + len(more))
            for section in self.sections
        )
        return ProgramText("\n".join([*lines[:first], *more, *lines[first:]]) + "\n", sections)


def program_text(
    setup: Setup,
    *,
    title: str = "",
    units: Units = "mm",
    cycles: CycleStyle = "canned",
    tool_change: ToolChange = "M6",
) -> str:
    """Return the program of one side, as text that ends in a newline.

    title : what is being made, for the head; the board's name unless given
    units : "mm" or "inch"
    cycles : drill with "canned" cycles (G81, G82, G83), or the same motion "spelled out"
    tool_change : "M6", or "stop": an operator stop that names the cutter to fit

    >>> import toolpaths as tp
    >>> board = tp.Board(width=200, height=140, thickness=18)
    >>> cutter = tp.Cutter(1, tp.flat(6), feed_mm_min=1200, spindle_rpm=16000)
    >>> hole = tp.bore([(100, 70)], 12, cutter, depth=4)
    >>> text = tp.program_text(tp.Setup(tp.Fixture(board=board), [hole]), title="Test hole")
    >>> text.splitlines()[0], text.splitlines()[-2:]
    ('(Test hole: front)', ['M5', 'M30'])

    Raises InputError for a word that is none of these, for a controller that does not understand what it would need,
    and for a line that the language does not take.
    """
    return program(setup, title=title, units=units, cycles=cycles, tool_change=tool_change).text


def texts_by_cutter(
    setup: Setup, *, title: str = "", units: Units = "mm", cycles: CycleStyle = "canned"
) -> dict[str, str]:
    """Return one program for each time that a cutter is fitted, in order, by a short name such as "1-T4".

    title, units, cycles : as for program_text()

    >>> import toolpaths as tp
    >>> board = tp.Board(width=200, height=140, thickness=18)
    >>> rack = [tp.Cutter(n, tp.flat(d), feed_mm_min=900, spindle_rpm=16000) for n, d in ((1, 3), (2, 4))]
    >>> work = [tp.bore([(x, 70)], 5, cutter, depth=4) for x, cutter in zip((50, 150), rack)]
    >>> list(tp.texts_by_cutter(tp.Setup(tp.Fixture(board=board), work)))
    ['1-T1', '2-T2']

    Raises InputError as program_text() does.
    """
    programs = programs_by_cutter(setup, title=title, units=units, cycles=cycles)
    return {name: one.text for name, one in programs.items()}


def program(
    setup: Setup,
    *,
    title: str = "",
    units: Units = "mm",
    cycles: CycleStyle = "canned",
    tool_change: ToolChange = "M6",
) -> ProgramText:
    """The program of one side, and which of its lines belong to which operation; see program_text()."""
    one_of("tool_change", tool_change, TOOL_CHANGES)
    style = style_of(setup, units, cycles, tool_change)
    return _written(setup, list(enumerate(setup.steps)), style, Heading(title, tool_change=tool_change))


def programs_by_cutter(
    setup: Setup, *, title: str = "", units: Units = "mm", cycles: CycleStyle = "canned"
) -> dict[str, ProgramText]:
    """One program for each time that a cutter is fitted, and which of its lines belong to which operation."""
    style = style_of(setup, units, cycles, "")
    groups = _by_cutter(setup.steps)
    return {
        f"{number}-T{cutter}": _written(setup, steps, style, Heading(title, number, len(groups), steps[0][0]))
        for number, (cutter, steps) in enumerate(groups, start=1)
    }


Numbered = tuple[int, Step | Stop]


def _by_cutter(steps: Sequence[Step | Stop]) -> list[tuple[int, list[Numbered]]]:
    """(cutter, its steps) for each time that one is fitted; a stop goes with the work before it, the first with what
    follows."""
    groups: list[tuple[int, list[Numbered]]] = []
    waiting: list[Numbered] = []
    for number, step in enumerate(steps):
        if isinstance(step, Step) and (not groups or groups[-1][0] != step.path.cutter.number):
            groups.append((step.path.cutter.number, waiting))
            waiting = []
        (groups[-1][1] if groups else waiting).append((number, step))
    return groups


def _written(setup: Setup, steps: Sequence[Numbered], style: Style, heading: Heading) -> ProgramText:
    modal, fixture = Modal(), setup.fixture
    modal.line(*head(setup, [step for _, step in steps], style.numbers, heading))
    modal.line(f"G17 {'G21' if style.numbers.units == 'mm' else 'G20'} G40 G49 G54 G80 G90 G94")
    write_lift(modal, fixture, style)
    sections: list[Section] = []
    fitted: int | None = None
    for number, step in steps:
        if isinstance(step, Stop):
            _write_stop(modal, step, fixture, style)
            continue
        cutter = step.path.cutter
        if cutter.number != fitted:
            write_change(modal, cutter, setup, number, style)
            fitted = cutter.number
        write_speed(modal, cutter)
        first = len(modal.lines) + 1
        modal.line(f"({step.name})")
        _write_path(modal, step.path, style)
        sections.append(Section(first, len(modal.lines), number, step.name, cutter.number))
    _write_wait(modal, fixture, style)
    modal.line("M30")
    _check_lines(modal.lines)
    return ProgramText("\n".join(modal.lines) + "\n", tuple(sections))


def _write_path(modal: Modal, path: Toolpath, style: Style) -> None:
    modal.name_next()
    for move in path.moves:
        if move.kind == RAPID:
            write_rapid(modal, style.numbers.place(move.x, move.y, move.z))
        elif move.kind == CUT:
            write_cut(modal, move, style)
        elif move.hole is not None:
            write_hole(modal, move, move.hole, style)
    modal.end_cycle()


def write_lift(modal: Modal, fixture: Fixture, style: Style) -> None:
    """Up before anything else moves; where the cutter stands is not known."""
    write_rapid(modal, {"Z": style.numbers.z(fixture.wait_z)})


def _write_wait(modal: Modal, fixture: Fixture, style: Style) -> None:
    """Up and out of the operator's way, the spindle off."""
    write_lift(modal, fixture, style)
    write_rapid(modal, style.numbers.across(*fixture.wait_at))
    if modal.speed:
        modal.line("M5")
        modal.speed = ""


def _write_stop(modal: Modal, stop: Stop, fixture: Fixture, style: Style) -> None:
    _write_wait(modal, fixture, style)
    modal.line(f"(MSG, {stop.message})", "M0")
    modal.place_lost()
    write_lift(modal, fixture, style)


def write_change(modal: Modal, cutter: Cutter, setup: Setup, number: int, style: Style) -> None:
    """Another cutter in the spindle before step `number`; where it is fitted before the program starts, a wait all
    the same."""
    fixture = setup.fixture
    _write_wait(modal, fixture, style)
    if not style.tool_change:
        return
    fit = cutter.profile.text(style.numbers.scale)
    if style.tool_change == "M6":
        style.need("M6", "tool_change='stop'")
        if setup.touch_off_z(number):
            # "Z0 is the top of the board", of which nothing is left by now.
            modal.line(f"(MSG, {_fit_text(cutter, fit, setup, number, style)})")
        modal.line(f"T{cutter.number} M6 ({fit})")
    else:
        modal.line(f"(MSG, {_fit_text(cutter, fit, setup, number, style)})", "M0")
    modal.place_lost()
    write_lift(modal, fixture, style)


def _fit_text(cutter: Cutter, fit: str, setup: Setup, number: int, style: Style) -> str:
    """What the operator does at a change of cutter: its Z zero is set on the face that is Z0, or that is left of it."""
    z = setup.touch_off_z(number)
    if not z:
        return FIT.text(tool=cutter.number, profile=fit)
    return FIT_BELOW.text(tool=cutter.number, profile=fit, z=style.numbers.comment(z))


def write_speed(modal: Modal, cutter: Cutter) -> None:
    """The spindle at the cutter's speed, from a stand or from another speed."""
    speed = plain(cutter.spindle_rpm, 0)
    if speed != modal.speed:
        modal.line(f"M3 S{speed}", f"G4 P{_SPIN_UP_S}")
        modal.speed = speed


def _check_lines(lines: Sequence[str]) -> None:
    for number, line in zip(count(1), lines):
        if len(line) > _LONGEST_LINE or not line.isascii():
            raise InputError(f"Line {number} of the program is longer than 256 characters or not plain ASCII.")
