"""One line as a statement: its code of each modal group, its values, and the rules of lines.

Everything here is an error of reading: it stops the line before anything on it runs.
"""

from __future__ import annotations

from toolpaths.facts.language import AXIS_WORDS, GROUP_OF, NEEDS_CODE, OUTSIDE, SPELLINGS, UNREAD, USES_AXES
from toolpaths.judging.reader.tokens import Fault, Words

# How near to a whole number a word that takes only whole numbers must be (3.3.2.1).
_WHOLE = 0.0001

Codes = dict[str, str]  # modal group -> code
Values = dict[str, float]  # letter -> number


def statement(words: Words, motion_mode: str, incremental: bool) -> tuple[Codes, Values, str]:
    """The codes and values of a line, and the motion that it asks for ("" for none).

    motion_mode and incremental are those in force before the line.
    """
    codes: Codes = {}
    values: Values = {}
    for letter, digits in words:
        if letter == "G" or letter == "M":
            code = SPELLINGS.get(letter + digits) or code_of(letter, digits)
            group = GROUP_OF[code]
            if group in codes:
                message = f"{codes[group]} and {code} exclude each other on one line; put them on two lines."
                raise Fault("same-group", message, code)
            codes[group] = code
        elif letter in values:
            raise Fault("repeated-word", f"{letter} stands twice on the line; keep one.", letter)
        else:
            values[letter] = float(digits)
    motion = _motion(codes, values, motion_mode)
    if len(codes) > ("motion" in codes):
        _check_codes(codes, values, motion, incremental)
    if not values.keys() <= AXIS_WORDS:
        _check_orphans(codes, values, motion)
        _check_numbers(values)
    return codes, values, motion


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


def _motion(codes: Codes, values: Values, motion_mode: str) -> str:
    """The motion of the line: the code named, else the mode in force where there are axis words."""
    motion, once = codes.get("motion", ""), codes.get("once", "")
    axes = "X" in values or "Y" in values or "Z" in values
    if not axes and (once == "G92" or (motion and motion != "G80")):
        code = once if once == "G92" else motion
        circle = "; for a full circle name the place where it begins" if code in ("G2", "G3") else ""
        raise Fault("no-axis-word", f"{code} needs at least one of X, Y and Z{circle}.", code)
    if once in USES_AXES:
        if motion and motion != "G80":
            message = f"{once} and {motion} cannot share the axis words of one line; use two lines."
            raise Fault("two-axis-codes", message, motion)
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


def _check_orphans(codes: Codes, values: Values, motion: str) -> None:
    active = {motion, *codes.values()}
    for letter in values:
        users = NEEDS_CODE.get(letter)
        if users and active.isdisjoint(users):
            message = f"{letter} belongs to {' or '.join(users)}, and the line has none; remove one or add the other."
            raise Fault("orphan-word", message, letter)


def _check_codes(codes: Codes, values: Values, motion: str, incremental: bool) -> None:
    stops = [code for code in codes.values() if code[0] == "M"]
    if len(stops) > 4:
        raise Fault("too-many-m", "A line takes at most four M words; use two lines.", stops[-1])
    once = codes.get("once")
    if once == "G4" and "P" not in values:
        raise Fault("missing-word", "G4 needs P, the seconds to wait.", "G4")
    if codes.get("length offset") == "G43" and "H" not in values:
        raise Fault("missing-word", "G43 needs H, the number of the length offset.", "G43")
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
