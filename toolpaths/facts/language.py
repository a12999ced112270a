"""The language as data: words, codes and their modal groups, and the rules a program can break.

Source: T. R. Kramer, F. M. Proctor, E. Messina, "The NIST RS274NGC Interpreter - Version 3",
NISTIR 6556, 2000; the section or table stands beside each item. What a line does, it does in the
order of Table 8, whatever the order of its words; `Interpreter.run` follows that table.
"""

from __future__ import annotations

CYCLES = ("G81", "G82", "G83")  # 3.5.16
ARCS = ("G2", "G3")  # 3.5.3

# Table 4. The groups are named for what they set; a line takes one code of each.
GROUPS: dict[str, tuple[str, ...]] = {
    "once": ("G4", "G28", "G30", "G53", "G92", "G92.1", "G92.2", "G92.3"),
    "motion": ("G0", "G1", *ARCS, "G80", *CYCLES),
    "plane": ("G17", "G18", "G19"),
    "distance": ("G90", "G91"),
    "feed mode": ("G94",),
    "units": ("G20", "G21"),
    "cutter compensation": ("G40",),
    "length offset": ("G43", "G49"),
    "cycle return": ("G98", "G99"),
    "work system": ("G54", "G55", "G56", "G57", "G58", "G59", "G59.1", "G59.2", "G59.3"),
    "path": ("G61", "G61.1", "G64"),
    "stop": ("M0", "M1", "M2", "M30", "M60"),
    "tool change": ("M6",),
    "spindle": ("M3", "M4", "M5"),
    "coolant": ("M7", "M8", "M9"),
    "overrides": ("M48", "M49"),
}
WORK_SYSTEMS = GROUPS["work system"]

# Codes of the report that this library does not read: setting offsets from within a program,
# probing, cutter compensation, inverse time, tapping and boring.
OUTSIDE = frozenset({"G10", "G38.2", "G41", "G42", "G84", "G85", "G86", "G87", "G88", "G89", "G93"})

# Group-0 codes that use the axis words of their line, so that no motion may (3.4).
USES_AXES = frozenset({"G28", "G30", "G92"})

# Stands for the motion mode after a line whose motion could not be read.
UNREAD = "unread"

# Words that have a meaning only beside certain codes (Table 3; checked per NIST's interpreter).
NEEDS_CODE: dict[str, tuple[str, ...]] = {
    "H": ("G43",),
    "I": ARCS,
    "J": ARCS,
    "K": ARCS,
    "L": CYCLES,
    "P": ("G4", "G82"),
    "Q": ("G83",),
    "R": (*ARCS, *CYCLES),
}
AXIS_WORDS = frozenset("XYZ")

# What many controllers take beside these codes, and the language does not: it changes no motion.
SPARE_WORDS: dict[str, frozenset[str]] = {
    "P": frozenset({"G61", "G64", "G81", "G83"}),
    "Q": frozenset({"G64", "G81", "G82"}),
    "H": frozenset({"G49"}),
}
# Codes of other controllers that switch off what this language does not have (polar places, scaling, turning), or say
# what it always does (arc offsets from the start); from memory, unverified.
NO_EFFECT = frozenset({"G15", "G50", "G69", "G91.1"})
# M codes of other controllers that go on elsewhere in the text; from memory, unverified. What else an M code does that
# the language lacks (clamps, air, a lamp) moves no axis.
JUMPS = frozenset({"M47", "M97", "M98", "M99"})

# First axis, second axis and normal of each plane, as indices into x, y, z. The order of the
# first two gives the sense of turning seen from the positive end of the normal (3.5.3, 4.3.6.1).
PLANE_AXES: dict[int, tuple[int, int, int]] = {17: (0, 1, 2), 18: (2, 0, 1), 19: (1, 2, 0)}

GROUP_OF: dict[str, str] = {code: group for group, codes in GROUPS.items() for code in codes}

# The usual spellings (G1, G01), so that most codes are found without arithmetic.
SPELLINGS: dict[str, str] = {code: code for code in GROUP_OF}
SPELLINGS.update({code[0] + "0" + code[1]: code for code in GROUP_OF if len(code) == 2})

# Stable names of the rules, as found in ProgramError.code.
RULES: dict[str, str] = {
    "illegal-character": "only words and comments stand on a line (3.3)",
    "line-length": "a line has at most 256 characters (3.3)",
    "line-number": "N comes first on its line, with one to five digits (3.3.1)",
    "comment": "a comment is closed on its line and holds no other (3.3.4)",
    "number": "a number is an optional sign and digits with at most one point (3.3.2.1)",
    "number-range": "no number is beyond 1e9; a limit of this library",
    "not-whole": "some words take whole numbers only (3.3.2.1)",
    "negative": "F, S, T, H and P are not negative (2.1.2, 3.5.4, 3.7)",
    "unknown-code": "a G or M code of Table 5 or 7",
    "outside-subset": "what the report has and this library does not read",
    "repeated-word": "a letter other than G and M stands once on a line (3.3.5)",
    "same-group": "a line has one code of a modal group (3.4)",
    "too-many-m": "a line has at most four M words (3.3.5)",
    "two-axis-codes": "one code on a line uses the axis words (3.4)",
    "no-axis-word": "a motion, and G92, needs at least one of X, Y and Z (3.5)",
    "no-motion-mode": "axis words need a code that uses them (3.5.15)",
    "orphan-word": "a word that no code on the line uses (Table 3)",
    "missing-word": "a code lacks a word that it needs (3.5)",
    "zero-feed": "a motion at feed needs a feed above zero (3.5.2)",
    "machine-coordinates": "G53 goes with G0 or G1, and with G90 (3.5.12)",
    "arc-format": "an arc has either R or offsets (3.5.3)",
    "arc-end": "an arc names an end point in its plane (3.5.3)",
    "arc-offset": "offsets are those of the plane's axes (3.5.3.2)",
    "arc-mismatch": "start and end are equally far from the centre (3.5.3.2)",
    "arc-radius": "the radius is above zero, and reaches half the chord (3.5.3.1)",
    "cycle-depth": "R is not below Z (3.5.16)",
    "cycle-increment": "Q is above zero (3.5.16.4)",
    "cycle-repeats": "L is a whole number above zero (3.5.16)",
    "too-many-motions": "cycles spell out at most 1000000 motions; a limit of this library",
    "program-end": "a program ends with M2, M30 or between percent lines (3.1)",
    "semicolon": "comments stand in ( ) (3.3.4)",
    # Only where reading goes on after an error.
    "place-lost": "an arc or cycle begins at a place that a bad line should have named",
    "motion-lost": "a line goes on with a motion that a bad line should have named",
    "zero-lost": "G92 at a place that a bad line should have named; reading stops",
    "too-many-errors": "reading stops after 100 errors; a limit of this library",
}
