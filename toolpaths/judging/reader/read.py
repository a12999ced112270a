"""Reading a program back: text in, motions out, or the first rule that it breaks.

The language is the one of NISTIR 6556 without what `language.OUTSIDE` lists, parameters and
expressions, and rotary axes. Lines that start with / are run: that is what a machine does whose
block-delete switch is off, and the careful assumption, since nothing then goes unseen. M1 is
reported as an event like M0, for the same reason.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import NamedTuple

from toolpaths.base.checks import instance
from toolpaths.base.errors import InputError, ProgramError
from toolpaths.base.progress import telling
from toolpaths.judging.reader.arc_geometry import Point3
from toolpaths.judging.reader.controller import ORIGIN, Controller, point3
from toolpaths.judging.reader.forgiving import Forgiving
from toolpaths.judging.reader.interpret import Interpreter
from toolpaths.judging.reader.motions import Program
from toolpaths.judging.reader.plain_lines import Lines, portions
from toolpaths.judging.reader.tokens import (
    EMPTY_LINE,
    LINE,
    LOOKED_AT,
    PERCENT_LINE,
    Fault,
    column_of,
    is_percent,
    moves_nothing,
    opens_program,
)

_PLAIN = Controller()
_MOST_ERRORS = 100
# What an editor may write before the first line, and the same read as Latin-1.
_BYTE_ORDER_MARKS = ("\ufeff", "\u00ef\u00bb\u00bf")
_MARKED = "The text begins with a byte order mark; save it without one."
_NAMED = "A percent line holds nothing else; put the program's name in a comment below it."
_PERCENT_FIRST = "A percent line begins a program; put it before the first comment."
# Fewer plain lines than this are run faster one by one.
_LEAST = 24


def read(text: str, *, start: Point3 = ORIGIN, controller: Controller = _PLAIN) -> Program:
    """The motions of a program, up to its M2, M30 or closing percent line.

    start : where the cutter's tip is before the program, mm from the G54 zero
    controller : what the machine has stored: start units, work systems, tool lengths, homes

    Positions are those of the cutter's tip from the zero of G54, the board's zero, in mm. Work
    systems, G92, G53 and homes are worked out, so the numbers may differ from those in the text.
    A length offset says how long the cutter is: at G43 and G49 the tip's Z steps without a motion.

    Raises
        ProgramError: at the first broken rule, with line, column and code (`language.RULES`). A rapid
            into the board, a stopped spindle, or a cycle at no feed is no error of the language.
        InputError: for anything but text.

    >>> program = read("G21 G90 G1 X10 F600 (across)\\nM2")
    >>> program.motions.end.tolist(), program.comments
    ([[10.0, 0.0, 0.0]], ((1, 'across'),))
    """
    instance("controller", controller, Controller)
    program = _read(text, Interpreter(point3("start", start), controller), most=1)
    if program.errors:
        raise program.errors[0]
    return program


def read_all(text: str, *, start: Point3 = ORIGIN, controller: Controller = _PLAIN) -> Program:
    """As `read`, but every error is in `errors` and reading goes on, for a judge of programs.

    A line that breaks a rule does nothing. What is not known after it, because it should have said so, is
    not guessed: motions are left out until the program has named each axis again that the bad line
    seems to name. How the lines after it are to be understood (G1, G20, G91, F and the like) is
    taken from it all the same, where it can be read. After 100 errors reading stops.

    A motion at a feed of 0 is recorded so, without an error: a judge sees it in the motions.
    """
    return _read(text, Forgiving(point3("start", start), controller), most=_MOST_ERRORS)


def _read(text: str, interpreter: Interpreter, most: int) -> Program:
    if not isinstance(text, str):
        raise InputError(f"A program is text (str), not {type(text).__name__}; decode it first.")
    # Every line end becomes one character, and lines keep their numbers.
    if "\r" in text:
        text = text.replace("\r\n", "\n").replace("\r", "\n")
    found = _Breaches(most, [], [])
    for mark in _BYTE_ORDER_MARKS:
        if text.startswith(mark):
            text = text.removeprefix(mark)
            found.doubt(ProgramError(_MARKED, line=1, column=1, code="illegal-character"))
    after_end = _after_end(text, *_run(text, interpreter, found))
    return Program(
        motions=interpreter.table.motions(),
        events=tuple(interpreter.events),
        comments=tuple(interpreter.comments),
        units=interpreter.units,
        changes=tuple(interpreter.changes),
        codes=tuple(interpreter.codes.items()),
        left=interpreter.left,
        after_end=after_end,
        resumed=tuple(interpreter.resumed),
        errors=tuple(found.errors),
        allowed=tuple(found.allowed),
    )


class _Breaches(NamedTuple):
    """What is found against a text: no more than `most` of either kind, and whatever it is that stops the reading."""

    most: int
    errors: list[ProgramError]
    allowed: list[ProgramError]

    def add(self, fault: Fault, number: int, line: str) -> bool:
        """A line that is not run; whether the reading stops there."""
        self.errors.append(_error(fault, number, line))
        if len(self.errors) == self.most > 1:
            message = f"{self.most} lines could not be read; the rest of the program is not read."
            self.errors.append(ProgramError(message, line=number, code="too-many-errors"))
        return len(self.errors) >= self.most or fault.code == "zero-lost"

    def allow(self, faults: Sequence[Fault], number: int, line: str) -> None:
        """What of a line is read all the same; more of it than enough is a habit of the program."""
        room = self.most - len(self.allowed)
        self.allowed.extend(_error(fault, number, line) for fault in faults[:room])

    def opened(self, number: int, line: str, before: str) -> bool:
        """The percent line with which a program begins, and what stands before it; whether it is read on.

        Comments there are a doubt only: machines that leave out all before the percent line, and those that read it,
        make the same moves. So is a name on it, which none of them runs (common practice, no source).
        """
        messages = [_PERCENT_FIRST] * bool(before.strip()) + [_NAMED] * (not is_percent(line))
        for message in messages:
            self.doubt(_error(Fault("illegal-character", message, "%"), number, line))
        return not messages or self.most > 1

    def doubt(self, error: ProgramError) -> None:
        """What changes no motion, and only a strict reading refuses."""
        (self.allowed if self.most > 1 else self.errors).append(error)

    def end(self, error: ProgramError, interpreter: Interpreter) -> None:
        """A text that ends without its last line: complete all the same, it seems, if the spindle was stopped."""
        complete = interpreter.ended or not interpreter.left.spindle
        if complete:
            self.doubt(error)
        else:
            self.errors.append(error)


def _error(fault: Fault, number: int, line: str) -> ProgramError:
    return ProgramError(fault.message, line=number, column=column_of(line, fault), code=fault.code)


def _run(text: str, interpreter: Interpreter, found: _Breaches) -> tuple[int, int]:
    """Runs the lines up to the end; where the text goes on after it, as index and line number."""
    opening = _opening_percent(text)
    for lines in _with_progress(portions(text), len(text)):
        index, count, odd = 0, len(lines.begins), 0
        while index < count:
            while odd < len(lines.odd) and lines.odd[odd] < index:
                odd += 1
            plain = (int(lines.odd[odd]) if odd < len(lines.odd) else count) - index
            if plain >= _LEAST:
                done = interpreter.run_plain(lines, index, index + plain)
                if done:
                    index += done
                    continue
            begin, end, number = int(lines.begins[index]), int(lines.ends[index]), lines.first + index
            line = text[begin : min(end, begin + LOOKED_AT + 1)]
            index += 1
            if number == opening:
                if not found.opened(number, line, text[:begin]):
                    return len(text), 0
                continue
            fault = interpreter.attempt(number, line)
            if fault and opening and is_percent(line):
                return end + 1, number + 1
            if fault and found.add(fault, number, line):
                return len(text), 0
            if interpreter.allowed:
                found.allow(interpreter.allowed, number, line)
            if interpreter.ended:
                if not opening or PERCENT_LINE.search(text, end):
                    return end + 1, number + 1
                found.end(_endless(text[:end], "a closing line of only %"), interpreter)
                return len(text), 0
    found.end(_endless(text, "a closing line of only %" if opening else "M2 or M30"), interpreter)
    return len(text), 0


def _with_progress(every: Iterable[Lines], size: int) -> Iterator[Lines]:
    """The portions of a text of so many characters; after each it is told how far that is, in hundredths."""
    with telling("Reading") as tell:
        for lines in every:
            yield lines
            tell(100 * int(lines.ends[-1]) // size, 100)


def _opening_percent(text: str) -> int:
    """Number of the percent line with which the program begins, before anything that a machine does; else 0."""
    for number, match in enumerate(LINE.finditer(text), start=1):
        if opens_program(match[1]):
            return number
        if not moves_nothing(match[1]) or match.end() == len(text):
            return 0
    return 0


def _endless(text: str, what: str) -> ProgramError:
    """The error of a program that does not end with that; it lies behind the last line that is not empty."""
    body = text.rstrip("\n")
    column = len(body) - body.rfind("\n")
    message = f"The program ends without {what}; put it after the last line."
    return ProgramError(message, line=body.count("\n") + 1, column=column, code="program-end")


def _after_end(text: str, index: int, line_number: int) -> int:
    """First line from here on that holds anything to run; 0 if there is none."""
    for number, match in enumerate(LINE.finditer(text, index), start=line_number):
        if not EMPTY_LINE.fullmatch(match[1]):
            return number
    return 0
