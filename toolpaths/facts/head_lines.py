"""The lines of a program's head that are facts: written for the person at the machine, and held against the job by the
judge. Each form stands here once; `text` fills it in, `read` takes it apart.

What follows in a longer line goes on in lines that begin with blanks, which no form has.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cache
from string import Formatter

from toolpaths.base.errors import InputError
from toolpaths.facts.profile import KINDS

_LENGTH = r"\d+(?:\.\d+)?"
# Fields that hold one of some words.
_WORDS = {
    "kind": KINDS,
    "units": ("mm", "inch"),
    "turned": ("left to right", "top to bottom"),
    "corner": (*(f"{y} {x} corner" for y in ("lower", "upper") for x in ("left", "right")), "centre"),
    "lie": ("as it lies", "as entered"),
    "surface": ("top of the board", "spoilboard"),
}
_CORNER = f" (?:corner|radius) (?P<radius>{_LENGTH})"
_ANGLE = f" (?P<angle>{_LENGTH}) deg"
_HEAD = f" head (?P<head>{_LENGTH}) neck (?P<neck>{_LENGTH})"
_RANGE = rf"-?{_LENGTH} to -?{_LENGTH}"
_PLACE = f"X-?{_LENGTH} Y-?{_LENGTH}"
# What may stand in each field of a form; a profile as Profile.text() writes it.
_FIELDS = {
    **{name: "|".join(words) for name, words in _WORDS.items()},
    "profile": f"(?P<kind>{'|'.join(_WORDS['kind'])}) (?P<diameter>{_LENGTH})(?:{_CORNER})?(?:{_ANGLE})?(?:{_HEAD})?",
    "x": f"-?{_LENGTH}",
    "y": f"-?{_LENGTH}",
    "across": _LENGTH,
    "width": _LENGTH,
    "height": _LENGTH,
    "thickness": _LENGTH,
    "z": f"-?{_LENGTH}",
    "by": _LENGTH,
    "left": _LENGTH,
    "tool": r"\d+",
    "flutes": r"\d+",
    "high": _LENGTH,
    "driven": "(?:, driven at a stop)?",
    "places": f"{_PLACE}(?:, {_PLACE})*",
    "message": ".+",
    "rest": ".+",
    "identity": "[0-9a-f]{8,64}",
    "number": r"\d+",
    "count": r"\d+",
    "name": ".+",
    "first": f"-?{_LENGTH}",
    "last": f"-?{_LENGTH}",
    "rpm": r"\d+",
    "numbers": r"\d+(?: to \d+)?",
    "feed": rf"(?:, F{_LENGTH})?",
    "tabs": r"(?:, \d+ tabs?)?",
    "minutes": r"\d+",
    "x_range": _RANGE,
    "y_range": _RANGE,
}


@dataclass(frozen=True, slots=True)
class HeadLine:
    """A form with fields in braces."""

    form: str

    def text(self, **fields: object) -> str:
        """The form filled in."""
        return self.form.format(**fields)

    def read(self, text: str) -> dict[str, str] | None:
        """The fields of a text that reads like this form, "" where it leaves one out; None for another text.

        Capitals, further blanks and a colon left out make no difference: controllers and editors change them. Words,
        places and identities are returned as they are written here.
        """
        # Its first word tells at once of most texts that they are others.
        first = _first_word(self.form)
        if text.isascii() and text[: len(first)].lower() != first:
            return None
        found = _pattern(self.form).fullmatch(text)
        return found and {name: _as_written(name, said) for name, said in found.groupdict(default="").items()}


def _as_written(field: str, said: str) -> str:
    """What a field says, with the capitals and blanks that it is written with."""
    if field == "identity":
        return said.lower()
    if field == "places":
        return re.sub(" ?, ?", ", ", " ".join(said.upper().split()))
    alike = " ".join(said.casefold().split())
    if field in ("numbers", "x_range", "y_range"):
        return alike
    return next((word for word in _WORDS.get(field, ()) if word.casefold() == alike), said)


@cache
def _first_word(form: str) -> str:
    """With which every text begins that reads like a form, small; "" where that begins with a field."""
    word = re.match(r"\w*", form)
    return word[0].lower() if word else ""


@cache
def _pattern(form: str) -> re.Pattern[str]:
    parts = [
        _literally(text) + (f"(?P<{name}>{_blanks(_FIELDS[name])})" if name else "")
        for text, name, _, _ in Formatter().parse(form)
    ]
    return re.compile("".join(parts), re.IGNORECASE)


def _literally(text: str) -> str:
    """The pattern of a text, with or without its colons, and the blanks behind its points."""
    escaped = re.escape(text).replace(r"\ ", " ")
    return _blanks(escaped.replace(": ", r"(?:\s*:\s*|\s+)").replace(r"\. ", r"\.\s*"))


def _blanks(pattern: str) -> str:
    """A pattern with as many blanks as there are, around commas also none."""
    return pattern.replace(", ", r"\s*,\s*").replace(" ", r"\s+")


BOARD = HeadLine("Board {width} x {height} x {thickness} {units}, thickness as measured")
FRONT_UP = HeadLine("Front up")
BACK_UP = HeadLine("Back up, turned over {turned}")
# "as entered" where pins hold the board: X0 Y0 is then where the corner would be if the board had the entered size.
ZERO = HeadLine("X0 Y0 is the {corner} of the board {lie}")
SURFACE = HeadLine("Z0 is the {surface}")
# Where the face on which the board now lies was levelled before the board was turned.
LEVELLED = HeadLine("Face below levelled by {by} {units}: {left} thick now")
# Where none is left of the face that is Z0 when the program begins.
TOUCH_OFF = HeadLine("Z0 is cut away: set Z{z} on the highest face left")
DOWEL = HeadLine("Dowel of {across} at X{x} Y{y}: {rest}")
# All screws that are alike, and those of a stop that another program of this side makes.
SCREWS = HeadLine("Screws {across} wide, {high} high{driven}: {places}")
# What the first line of such a list, cut short, still reads like.
SCREWS_BEGUN = HeadLine("Screws {across} wide, {rest}")
SCREWS_IN = HeadLine("Screws in before this program, driven at: {message}")
SCREWS_LATER = HeadLine("Screws not in yet, to be driven at: {message}")
SAFE_HEIGHT = HeadLine("Safe height {height} {units} above the board")
CROSSINGS = HeadLine("Crossings at {height} {units} or more above the board")
# At feed; it cuts half its width further.
EXTENT = HeadLine("Cutter's axis over X{x_range}, Y{y_range}")
DURATION = HeadLine("About {minutes} min, without changes and stops")
SPOILBOARD_CUT = HeadLine("Spoilboard cut {by} {units} deep")
SPOILBOARD_WHOLE = HeadLine("Spoilboard not cut")
CUTTER = HeadLine("T{tool}: {profile}, {flutes} flutes, {rest}")
# The rest of that line.
SPEED = HeadLine("{rpm} rpm")
# Of the order of work, steps that say the same in one line; the name stands again, alone, where each of them begins.
WORK = HeadLine("{numbers}. {name}, T{tool}: {first} to {last} deep{feed}{tabs}")
# Beside a change of cutter: the cutter alone, and the message of a stop that asks for it.
FITTED = HeadLine("{profile}")
FIT = HeadLine("Fit T{tool} {profile}, then set its Z zero")
FIT_BELOW = HeadLine("Fit T{tool} {profile}, then set Z{z} on the highest face left")
IN_SET = HeadLine("Set {identity}, {number} of {count}: {rest}")
# The first line of a program that goes on where one of a set was stopped.
RESTART = HeadLine("Restart of {name}, set {identity}, from line {number}")


# What a small display shows; the lines in which a longer one goes on begin with blanks.
WIDEST = 60


def whole_lines(comments: Iterable[tuple[int, str]]) -> list[tuple[int, str]]:
    """Comments (line, text) with those that go on with one above joined to it, each of them once.

    That is the line directly above, or the one above that where a short line has come between: a line on which the next
    word would fit does not go on.
    """
    found: list[tuple[int, str]] = []
    last: list[str] = []
    for line, text in comments:
        if not text.startswith(" ") or not found:
            found.append((line, text))
            last.append(text)
        elif text not in last[-2:]:
            between = found[-1][1] == last[-1] and [_full(above, text) for above in last[-2:]] == [True, False]
            at = -2 if between else -1
            found[at] = (found[at][0], f"{found[at][1]} {text.strip()}")
            last[at] = text
    return found


def _full(line: str, text: str) -> bool:
    """Whether the first word of a text does not fit on a line."""
    return len(line) + 1 + len(text.strip().partition(" ")[0]) > WIDEST


# Other programs of a set that a head lists: more would push the facts off a small display.
_MOST_LISTED = 8


def place_in_set(identity: str, names: Sequence[str], index: int) -> str:
    """The line that says to which set a program belongs, which of its programs this is, and what the others are.

    identity : 8 to 64 hexadecimal digits, small letters: alike for programs that were written together, and no others
    names : of all programs of the set, in the order in which they are run
    index : of this one among them, from 0

    >>> place_in_set("3f9a1c2e", ["front", "back"], 0)
    'Set 3f9a1c2e, 1 of 2: front; the other is back'

    Raises InputError for an identity of another form.
    """
    others = [name for number, name in enumerate(names) if number != index]
    listed = ", ".join(others[:_MOST_LISTED])
    more = f" and {len(others) - _MOST_LISTED} more" if len(others) > _MOST_LISTED else ""
    rest = names[index] + (f"; the other{'s are' if len(others) > 1 else ' is'} {listed}{more}" if others else "")
    text = IN_SET.text(identity=identity, number=index + 1, count=len(names), rest=rest)
    found = IN_SET.read(text)
    if found is None or found["identity"] != identity:
        raise InputError(f"identity={identity!r} must be 8 to 64 hexadecimal digits, small letters.")
    return text
