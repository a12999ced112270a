"""Text to words: lines, blanks, comments and numbers (NISTIR 6556, 3.1 and 3.3)."""

from __future__ import annotations

import re

LONGEST_LINE = 256
# Far beyond any machine, and small enough that squares and sums of coordinates stay finite.
LARGEST_NUMBER = 1e9

# Of a line longer than this, nobody's line, no more is looked at.
LOOKED_AT = 10_000
# Each line of a text in turn: LINE.finditer(text), group 1; of a longer line one character more.
LINE = re.compile(rf"([^\r\n]{{0,{LOOKED_AT + 1}}})[^\r\n]*(?:\r\n|\r|\n)?")
# Nothing to run: blanks, a line number and comments, or a percent line.
EMPTY_LINE = re.compile(r"[ \t]*(?:%[ \t]*|(?:[Nn][ \t0-9]*)?(?:\([^()]*\)[ \t]*)*)")
# Lines of sound words only, whose numbers are short enough to be within LARGEST_NUMBER.
_PLAIN_LINE = re.compile(r"/?(?:N[0-9]{1,5})?(?:[F-MP-TX-Z][-+]?(?:[0-9]{1,9}(?:\.[0-9]*)?|\.[0-9]+))*")
_PLAIN_WORD = re.compile(r"([F-MP-TX-Z])([-+.0-9]+)")
_ANY = re.compile(r"([A-Z])([-+.0-9]*)|.", re.DOTALL)
PERCENT_LINE = re.compile(r"(?<![^\r\n])[ \t]*%[ \t]*(?![^\r\n])")

_LINE_DIGITS = 5
_TOO_LONG = f"The line is longer than {LONGEST_LINE} characters; split it."
_NOUGHT = "O is not the letter of any word; write 0 for a nought, and a program's number in a comment."
# A line, without its comments, that only names the program; a (, where a comment stood.
_NAMES_PROGRAM = re.compile(r"/?(?:N[0-9]+)?\(*O[0-9]+\(*")

Words = list[tuple[str, str]]


class Fault(Exception):
    """A broken rule within one line; the reader, who knows the line's number, makes a ProgramError of it.

    word : the culprit, "X" or "G2", from which the column is found
    column : from 1, where it is known already; else 0
    """

    def __init__(self, code: str, message: str, word: str = "", column: int = 0) -> None:
        super().__init__(code, message, word, column)
        self.code = code
        self.message = message
        self.word = word
        self.column = column


# Breaches of the language that many controllers allow, each in one way: noted here, and read as they do. None to read
# strictly.
Allowed = list[Fault] | None


def breach(fault: Fault, allowed: Allowed) -> None:
    """Notes what many controllers allow, or raises it where reading is strict."""
    if allowed is None:
        raise fault
    allowed.append(fault)


# Nothing that a machine does: blanks, comments, the program's number.
_MOVES_NOTHING = re.compile(r"[ \t]*(?:[Oo][ \t]*[0-9]+[ \t]*)?(?:\([^()]*\)[ \t]*)*(?:;.*)?")


def moves_nothing(line: str) -> bool:
    return _MOVES_NOTHING.fullmatch(line) is not None


# Behind a percent sign a name, a number or a comment, but nothing that a machine could run, were it to read it.
_NAMED_PERCENT = re.compile(r"[ \t]*%(?![ \t]*[FGIJKMP-TX-Z][ \t]*[-+.0-9])[^%]*", re.IGNORECASE)


def is_percent(line: str) -> bool:
    return line.strip(" \t") == "%"


def opens_program(line: str) -> bool:
    """Whether a program may begin so: with a percent sign alone, or with its name behind it."""
    return _NAMED_PERCENT.fullmatch(line) is not None


def split(line: str, allowed: Allowed = None) -> tuple[Words, str | None]:
    """The words of a line as (letter, number), N left out, and its last comment.

    The numbers are as written, and sound: float() takes them.
    """
    # upper() makes letters of some characters that are none in this language.
    if len(line) <= LONGEST_LINE and line.isascii():
        code = line.upper().replace(" ", "").replace("\t", "")
        if _PLAIN_LINE.fullmatch(code):
            return _PLAIN_WORD.findall(code), None
    words, comment = scan(line, allowed)
    return [(letter, digits) for letter, digits, _ in words if letter not in "NO"], comment


def scan(line: str, allowed: Allowed = None) -> tuple[list[tuple[str, str, int]], str | None]:
    """The words of a line as (letter, number as written, column), and its last comment; slow and exact."""
    too_long = Fault("line-length", _TOO_LONG, column=LONGEST_LINE + 1)
    if len(line) > LOOKED_AT:
        raise too_long
    kept, columns, comment = _without_comments(line)
    if len(line) > LONGEST_LINE:
        # Cut short there, it loses no word.
        breach(too_long, allowed if max(columns, default=0) <= LONGEST_LINE else None)
    words: list[tuple[str, str, int]] = []
    for match in _ANY.finditer(kept):
        letter, digits, column = match[1], match[2], columns[match.start()]
        if letter is not None:
            first = kept[: match.start()] in ("", "/")
            if letter == "O" and _NAMES_PROGRAM.fullmatch(kept.split(";")[0]):
                breach(Fault("illegal-character", _NOUGHT, column=column), allowed)
            elif letter == "N" and first and digits.isdigit() and len(digits) > _LINE_DIGITS:
                breach(_no_line_number(digits, column), allowed)
            else:
                _check_word(letter, digits, column, first=first, after=words)
            words.append((letter, digits, column))
        elif match[0] == ";":
            # Where it is taken at all, it begins a comment.
            breach(_illegal(";", column), allowed)
            break
        elif match[0] != "(" and (match[0] != "/" or match.start() > 0):
            raise _illegal(match[0], column)
    return words, comment


def column_of(line: str, fault: Fault) -> int:
    """Where a fault lies; of words that fit its culprit the last one, which is the one too many."""
    if fault.column:
        return fault.column
    try:
        words = scan(line, [])[0]
    except Fault as earlier:
        return earlier.column
    letter, wanted = fault.word[:1], fault.word[1:]
    found = [column for name, digits, column in words if name == letter and (not wanted or _equal(digits, wanted))]
    return found[-1] if found else len(line) - len(line.lstrip()) + 1


def _equal(digits: str, wanted: str) -> bool:
    return abs(float(digits) - float(wanted)) < 1e-5


def _without_comments(line: str) -> tuple[str, list[int], str | None]:
    """The line in capitals without blanks, each comment a "(", and the column of each character kept."""
    kept: list[str] = []
    columns: list[int] = []
    comment = None
    index = 0
    while index < len(line):
        char = line[index]
        if char in "#[]=":
            message = f"{char} is for parameters and expressions, which are not read; write the number itself."
            raise Fault("outside-subset", message, column=index + 1)
        if char not in " \t":
            kept.append(char.upper() if char.isascii() else char)
            columns.append(index + 1)
        if char == ";":
            break
        if char == "(":
            inside, end = line.find("(", index + 1), line.find(")", index)
            if end < 0:
                raise Fault("comment", "The comment is not closed on its line; close it with ).", column=index + 1)
            if 0 <= inside < end:
                raise Fault("comment", "A comment holds another; use only one pair of ( ).", column=inside + 1)
            comment = line[index + 1 : end]
            index = end
        index += 1
    return "".join(kept), columns, comment


def _check_word(letter: str, digits: str, column: int, *, first: bool, after: list[tuple[str, str, int]]) -> None:
    if letter == "N" and not (first and digits.isdigit() and len(digits) <= _LINE_DIGITS):
        raise _no_line_number(digits, column)
    if letter in "ABCD":
        what = "cutter compensation" if letter == "D" else "a rotary axis"
        message = f"{letter} is for {what}, which is not read; use X, Y and Z only."
        raise Fault("outside-subset", message, column=column)
    if letter == "E" and after:
        raise Fault("number", "Numbers have no exponent; write 1000 for 1e3.", column=column)
    if letter == "O":
        raise Fault("illegal-character", _NOUGHT, column=column)
    if letter in "EUVW":
        raise Fault("illegal-character", f"{letter} is not the letter of any word.", column=column)
    try:
        value = float(digits)
    except ValueError:  # Points, signs and digits in an order that float() takes are a number, and no others.
        message = f"{letter}{digits} holds no number; write for instance {letter}1.5 or {letter}-20."
        raise Fault("number", message, column=column) from None
    if abs(value) > LARGEST_NUMBER:
        message = f"{letter}{value:g} is beyond the largest number read, {LARGEST_NUMBER:g}."
        raise Fault("number-range", message, column=column)


def _no_line_number(digits: str, column: int) -> Fault:
    message = f"N{digits} is no line number; N comes first on its line, with one to five digits."
    return Fault("line-number", message, column=column)


def _illegal(char: str, column: int) -> Fault:
    if char == ";":
        return Fault("semicolon", "; begins no comment in this language; write comments in ( ).", column=column)
    if char in "+-.0123456789":
        return Fault("number", f"The number at {char} belongs to no word; put a letter before it.", column=column)
    if char == ",":
        return Fault("illegal-character", "',' has no meaning outside a comment; write 1.5 for 1,5.", column=column)
    return Fault("illegal-character", f"{char!r} has no meaning outside a comment; remove it.", column=column)
