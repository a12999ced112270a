"""The text of a program that goes on at a line of another one: what holds there set anew, then the lines that follow.

From the line on the text is that of the program, word for word, but for what its first lines took from those before
them: the code of a motion, the words of a drilling cycle, a feed. So the motion is the same to the last digit.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from toolpaths.facts.cutter import Cutter
from toolpaths.facts.head_lines import RESTART
from toolpaths.facts.language import CYCLES, GROUPS
from toolpaths.job.restart.free_in_words import free_in_words
from toolpaths.job.restart.job_program import JobProgram
from toolpaths.judging.checks.holding.free_pieces import FreePiece
from toolpaths.judging.reader.motions import ARC, FEED, Modes
from toolpaths.judging.reader.tokens import split
from toolpaths.making.plan.steps import Step
from toolpaths.making.writer.head import Heading, comment_lines, head
from toolpaths.making.writer.modal import Modal
from toolpaths.making.writer.moves_text import write_rapid
from toolpaths.making.writer.number_format import DECIMALS, plain
from toolpaths.making.writer.program import ProgramText, Section, write_change, write_lift, write_speed

# mm; what places are rounded by.
_ROUNDING = 1e-3
_FEED_DECIMALS = 2


def restart_text(
    of: JobProgram, line: int, entry: int, *, enters_wood: bool, free: Sequence[FreePiece] = ()
) -> ProgramText:
    """The program that goes on at a line.

    entry : the line with which it begins to repeat the program; the line itself, or one before it in the same cut
    enters_wood : whether the cutter is let down there into the way that it has cut
    free : the pieces that are cut free by then
    """
    modes = of.modes_before(entry)
    cut_line = of.next_cut_line(entry)
    section = of.section_at(cut_line)
    step = of.setup.steps[section.step]
    assert isinstance(step, Step)
    cutter, modal = step.path.cutter, Modal()
    modal.line(*_head(of, line, entry, free))
    modal.line(_modes_line(modes))
    write_lift(modal, of.setup.fixture, of.style)
    if of.cutter_change_before(cut_line) < entry:
        write_change(modal, cutter, of.setup, section.step, of.style)
    if modes.spindle and not of.starts_spindle(entry, cut_line):
        write_speed(modal, cutter)
    begins = len(modal.lines) + 1
    if section.first_line < entry:
        modal.line(f"({section.operation})")
    _write_approach(modal, of, modes, cutter, enters_wood=enters_wood)
    if of.motions.cycle[of.first_move(entry)]:
        modal.line(modes.cycle_return)
    before = len(modal.lines)
    modal.line(*_tail(of, modes, entry, cut_line))
    return ProgramText("\n".join(modal.lines) + "\n", _sections(of, entry, before, begins))


def _head(of: JobProgram, line: int, entry: int, free: Sequence[FreePiece]) -> list[str]:
    """What it is and what has to be looked after, then the facts, as they are for the work that is left."""
    left = of.work_left(entry)
    said = RESTART.text(name=of.name, identity=of.identity, number=line)
    lines = [said, f"Only for the board as it was left before line {line}."]
    lines += [f"Lines {entry} to {line - 1} are gone over again."] if entry < line else []
    lines += [*CAUTIONS, *free_in_words(free, of)]
    heading = Heading(of.title, first_step=left[0], tool_change=of.style.tool_change)
    facts = head(of.setup, [of.setup.steps[number] for number in left], of.style.numbers, heading)
    return [part for text in lines for part in comment_lines(text)] + facts


# After lost steps or a broken cutter nothing that was set can be trusted (common practice).
CAUTIONS = (
    "Find X0 Y0 and Z0 again at a known mark, and check them.",
    "Another cutter has another length: set its Z anew.",
    "Look what has come free, and whether the rest still holds.",
)


def _modes_line(modes: Modes) -> str:
    codes = (modes.plane, modes.units, "G40", modes.length_code, modes.work_system, "G80", modes.distance, "G94")
    return " ".join(codes)


def _write_approach(modal: Modal, of: JobProgram, modes: Modes, cutter: Cutter, *, enters_wood: bool) -> None:
    """Across at the height of stops, and down to where the cutter stood: at rapid through air, through wood that is cut
    already at the feed of a plunge."""
    fixture, numbers = of.setup.fixture, of.style.numbers
    x, y, z = (at + zero for at, zero in zip(modes.place, fixture.zero, strict=True))
    modal.name_next()
    write_rapid(modal, numbers.across(x, y))
    if enters_wood:
        write_rapid(modal, {"Z": numbers.z(fixture.link_z)})
        modal.move("G1", {"Z": numbers.z(z)}, feed=numbers.feed(cutter.running.plunge_mm_min))
    elif z >= fixture.link_z - _ROUNDING:
        write_rapid(modal, {"Z": numbers.z(z)})


def _tail(of: JobProgram, modes: Modes, entry: int, cut_line: int) -> list[str]:
    """The lines from the entry on. The first motion says itself what it took from the lines before, the first cut its
    feed."""
    lines = list(of.lines[entry - 1 :])
    first = of.first_move(entry)
    at, code = int(of.motions.line[first]) - entry, _code(of, first)
    words, _ = split(lines[at])
    letters = {letter for letter, _ in words}
    if not any(letter + digits in GROUPS["motion"] for letter, digits in words):
        lines[at] = f"{code} {lines[at]}"
    if code in CYCLES and modes.motion == code:
        more = [f"{letter}{_number(said, modes)}" for letter, said in modes.sticky if letter not in letters]
        lines[at] = " ".join([lines[at], *more])
    cut = cut_line - entry
    if "F" not in {letter for letter, _ in split(lines[cut])[0]}:
        lines[cut] += f" F{plain(modes.feed, _FEED_DECIMALS)}"
    return lines


def _code(of: JobProgram, motion: int) -> str:
    """The code of a motion."""
    motions = of.motions
    if motions.cycle[motion]:
        return f"G{motions.cycle[motion]}"
    kind = motions.kind[motion]
    if kind == ARC:
        return "G3" if motions.sweep[motion] > 0 else "G2"
    return "G1" if kind == FEED else "G0"


def _number(value: float, modes: Modes) -> str:
    """A number that a program wrote, as it wrote it."""
    return plain(value, DECIMALS["mm" if modes.units == "G21" else "inch"])


def _sections(of: JobProgram, entry: int, before: int, begins: int) -> tuple[Section, ...]:
    """Which of its lines belong to which step.

    before : how many lines stand before those that are repeated
    begins : the line from which all belongs to the step that is gone on with
    """
    shift = before - entry + 1
    return tuple(
        replace(each, first_line=each.first_line + shift if each.first_line >= entry else begins,
                last_line=each.last_line + shift)
        for each in of.made.sections
        if each.last_line >= entry
    )  # fmt: skip
