"""What is still known of a line that breaks a rule, so that the lines after it are judged honestly.

The standard stops at such a line (NISTIR 6556, 3.5), so nothing here has a source there.
"""

from __future__ import annotations

import re
from typing import NamedTuple

from toolpaths.facts.language import CYCLES, GROUP_OF, UNREAD
from toolpaths.judging.reader.statement import Codes, Values, code_of
from toolpaths.judging.reader.tokens import LARGEST_NUMBER, LOOKED_AT, Fault

# Groups that only say how later words are to be understood; no part of a machine acts on them.
_READING = ("motion", "plane", "distance", "units", "cycle return", "work system")
# Codes that are not read here, and name no motion.
_NO_MOTION = frozenset({"G10", "G41", "G42", "G93"})
_AWAY = frozenset({"G28", "G30"})

# A comment, closed or not; and what follows a semicolon, which most who write one mean as a comment.
_COMMENT = re.compile(r"\([^)]*\)?|;.*", re.DOTALL)
_WORD = re.compile(r"([A-Z])([-+.0-9]*)")


class Remains(NamedTuple):
    """lost : axes, of "XYZ", whose place is not known after the line
    codes : by group, those of the line that say how the lines after it are to be understood
    values : F, and the numbers that a cycle keeps, where they can be read
    ends : whether the line names M2 or M30
    """

    lost: frozenset[str]
    codes: Codes
    values: Values
    ends: bool


def salvage(line: str, motion_mode: str) -> Remains:
    """Of a line that does nothing itself. What it says of modes is believed, where it does not contradict
    itself, since the lines after it are written for them."""
    if len(line) > LOOKED_AT:
        return Remains(frozenset("XYZ"), {"motion": UNREAD}, {}, False)
    kept = _COMMENT.sub("", line).replace(" ", "").replace("\t", "")
    words = _WORD.findall(kept.encode("ascii", "replace").decode().upper())
    lost = frozenset(letter for letter, _ in words if letter in "XYZ")
    named = [_code(letter, digits) for letter, digits in words if letter in "GM"]
    unread = [code for code in named if code not in GROUP_OF]
    codes = {group: code for code in named if (group := GROUP_OF.get(code)) in _READING}
    for group in [group for group in codes if len({code for code in named if GROUP_OF.get(code) == group}) > 1]:
        del codes[group]
        if group == "motion":
            unread.append("")
    values = _values(words)
    if unread:
        values.pop("F", None)
    if _AWAY & set(named) or "M98" in named:
        lost = frozenset("XYZ")
    elif lost and any(code not in _NO_MOTION and not code.startswith("M") for code in unread):
        codes["motion"] = UNREAD
    motion = codes.get("motion", motion_mode)
    if lost and motion in ("G80", UNREAD):
        lost = frozenset("XYZ")
    if motion not in CYCLES:
        values = {letter: value for letter, value in values.items() if letter == "F"}
    return Remains(lost, codes, values, not {"M2", "M30"}.isdisjoint(named))


def _code(letter: str, digits: str) -> str:
    """The name of a code; as written if this library does not know it, and the letter alone if it is none."""
    if _number(digits) is None:
        return letter
    try:
        return code_of(letter, digits)
    except Fault as fault:
        return fault.word if fault.code == "outside-subset" else f"{letter}{float(digits):g}"


def _values(words: list[tuple[str, str]]) -> Values:
    letters = [letter for letter, _ in words]
    values = {}
    for letter, digits in words:
        value = _number(digits)
        if letter not in "FXYZRPQ" or value is None or letters.count(letter) > 1:
            continue
        if (letter in "FP" and value < 0) or (letter == "Q" and value <= 0):
            continue
        values[letter] = value
    return values


def _number(digits: str) -> float | None:
    try:
        value = float(digits)
    except ValueError:
        return None
    return value if abs(value) <= LARGEST_NUMBER else None
