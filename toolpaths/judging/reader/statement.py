"""One line as a statement: its code of each modal group, its values, and the rules of lines.

Everything here is an error of reading: it stops the line before anything on it runs.
"""

from __future__ import annotations

from toolpaths.facts.language import (
    ARCS,
    AXIS_WORDS,
    GROUP_OF,
    JUMPS,
    NEEDS_CODE,
    NO_EFFECT,
    OUTSIDE,
    SPARE_WORDS,
    SPELLINGS,
    UNREAD,
    USES_AXES,
)
from toolpaths.judging.reader.tokens import Allowed, Fault, Words, breach

# How near to a whole number a word that takes only whole numbers must be (3.3.2.1).
_WHOLE = 0.0001

Codes = dict[str, str]  # modal group -> code
Values = dict[str, float]  # letter -> number

# Motions that may be named for the lines after them; words with which a line of them would mean an arc.
_MODES = ("G0", "G1", *ARCS)
_ARC_WORDS = frozenset("IJKR")
# Groups of which two codes on one line agree all the same: mist and flood; the end of a cycle and the motion after it.
_TOGETHER = ({"M7", "M8"}, {"G80", "G0"}, {"G80", "G1"})


def statement(words: Words, motion_mode: str, incremental: bool, allowed: Allowed = None) -> tuple[Codes, Values, str]:
    """The codes and values of a line, and the motion that it asks for ("" for none).

    motion_mode and incremental are those in force before the line.
    """
    codes: Codes = {}
    values: Values = {}
    unknown = False
    for letter, digits in words:
        if letter == "G" or letter == "M":
            code = SPELLINGS.get(letter + digits) or _known_code(letter, digits, allowed)
            if not code:
                unknown = True
                continue
            group = GROUP_OF[code]
            if group in codes:
                code = _one_of(codes[group], code, allowed)
            codes[group] = code
        elif letter in values:
            raise Fault("repeated-word", f"{letter} stands twice on the line; keep one.", letter)
        else:
            values[letter] = float(digits)
    motion = _motion(codes, values, motion_mode, allowed)
    if len(codes) > ("motion" in codes):
        _check_codes(codes, values, motion, incremental, allowed)
    if not values.keys() <= AXIS_WORDS:
        if not unknown:
            _check_orphans(codes, values, motion, allowed)
        _check_numbers(values)
    return codes, values, motion


def _known_code(letter: str, digits: str, allowed: Allowed) -> str:
    """The name of a code spelled in an unusual way; "" for one of another controller that moves nothing."""
    try:
        return code_of(letter, digits)
    except Fault as fault:
        name = f"{letter}{float(digits):g}"
        harmless = name in NO_EFFECT or (letter == "M" and name not in JUMPS and float(digits) > 0)
        breach(fault, allowed if fault.code == "unknown-code" and harmless else None)
        return ""


def _one_of(first: str, second: str, allowed: Allowed) -> str:
    """Of two codes of one group the one that counts."""
    message = f"{first} and {second} exclude each other on one line; put them on two lines."
    agree = first == second or {first, second} in _TOGETHER
    breach(Fault("same-group", message, second), allowed if agree else None)
    return first if second == "G80" else second


def whole(letter: str, value: float) -> int:
    if abs(value - round(value)) > _WHOLE:
        raise Fault("not-whole", f"{letter}{value:g} must be a whole number.", letter)
    return round(value)


def code_of(letter: str, digits: str) -> str:
    """The name of a code spelled in an unusual way, such as G1.0."""
    value = float(digits)
    tenths = round(value * 10) if letter == "G" else 10 * whole(letter, value)
    name = f"{letter}{tenths // 10}" + (f".{tenths % 10}" if tenths % 10 else "")
    if (letter == "G" and abs(value * 10 - tenths) > _WHOLE) or tenths < 0 or name not in GROUP_OF:
        if name in OUTSIDE:
            raise Fault("outside-subset", f"{name} is part of the language, but not read here; do without it.", name)
        raise Fault("unknown-code", f"{letter}{digits} is not a code of this language.", letter + digits)
    return name


def _motion(codes: Codes, values: Values, motion_mode: str, allowed: Allowed) -> str:
    """The motion of the line: the code named, else the mode in force where there are axis words."""
    motion, once = codes.get("motion", ""), codes.get("once", "")
    axes = "X" in values or "Y" in values or "Z" in values
    if not axes and (once == "G92" or (motion and motion != "G80")):
        code = once if once == "G92" else motion
        more = "; for a full circle name the place where it begins" if code in ARCS else ""
        only_named = code in _MODES and _ARC_WORDS.isdisjoint(values)
        circle = code in ARCS and full_circle(values)
        fault = Fault("no-axis-word", f"{code} needs at least one of X, Y and Z{more}.", code)
        breach(fault, allowed if only_named or circle else None)
        if not circle:
            return ""
    if once in USES_AXES:
        if motion and motion != "G80":
            message = f"{once} and {motion} cannot share the axis words of one line; use two lines."
            only_named = once != "G92" and motion in ("G0", "G1")
            breach(Fault("two-axis-codes", message, motion), allowed if only_named else None)
        return ""
    if axes:
        motion = motion or motion_mode
        if motion == "G80":
            message = "There are axis words, but no code that uses them; put for instance G0 or G1 on the line."
            raise Fault("no-motion-mode", message, next(letter for letter in values if letter in "XYZ"))
        if motion == UNREAD:
            message = "The line goes on with the motion of an earlier line, which could not be read."
            raise Fault("motion-lost", message)
    return motion if motion != "G80" else ""


def full_circle(values: Values) -> bool:
    """Whether an arc that names no end in its plane is a full circle, to controllers that allow it."""
    return "R" not in values and not values.keys().isdisjoint("IJK")


def _check_orphans(codes: Codes, values: Values, motion: str, allowed: Allowed) -> None:
    active = {motion, *codes.values()}
    for letter in values:
        users = NEEDS_CODE.get(letter)
        if users and active.isdisjoint(users):
            message = f"{letter} belongs to {' or '.join(users)}, and the line has none; remove one or add the other."
            spare = not active.isdisjoint(SPARE_WORDS.get(letter, ()))
            breach(Fault("orphan-word", message, letter), allowed if spare else None)


def _check_codes(codes: Codes, values: Values, motion: str, incremental: bool, allowed: Allowed) -> None:
    stops = [code for code in codes.values() if code[0] == "M"]
    if len(stops) > 4:
        breach(Fault("too-many-m", "A line takes at most four M words; use two lines.", stops[-1]), allowed)
    once = codes.get("once")
    if once == "G4" and "P" not in values:
        raise Fault("missing-word", "G4 needs P, the seconds to wait.", "G4")
    if codes.get("length offset") == "G43" and "H" not in values:
        breach(Fault("missing-word", "G43 needs H, the number of the length offset.", "G43"), allowed)
    if once == "G53":
        if motion not in ("G0", "G1"):
            raise Fault("machine-coordinates", "G53 needs G0 or G1, with X, Y or Z.", "G53")
        if codes.get("distance", "G91" if incremental else "G90") == "G91":
            raise Fault("machine-coordinates", "G53 names places, so it needs G90, not G91.", "G53")


def _check_numbers(values: Values) -> None:
    for letter in values.keys() & {"F", "S", "T", "H", "P"}:
        if values[letter] < 0:
            raise Fault("negative", f"{letter}{values[letter]:g} must be 0 or more.", letter)
    for letter in values.keys() & {"T", "H", "L"}:
        whole(letter, values[letter])
    if values.get("L", 1.0) < 0.5:
        raise Fault("cycle-repeats", f"L{values['L']:g} must be a whole number, 1 or more.", "L")
    if values.get("Q", 1.0) <= 0:
        raise Fault("cycle-increment", f"Q{values['Q']:g} must be greater than 0.", "Q")
