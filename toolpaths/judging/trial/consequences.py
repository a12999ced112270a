"""What is nothing but a consequence of another finding, and is left out and counted there: one cause, one finding."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from toolpaths.judging.trial.codes import HOLDING, PART, RUNNING, family
from toolpaths.judging.trial.findings import SEVERITIES, Finding

# Read in the wrong units all lengths are wrong, and all that is said of a run of the program.
_UNITS = "other-units"
# On a board that is laid otherwise than meant a program runs into what stands there, and all that it leaves is in the
# wrong places; on one that lies higher it cuts not deep enough.
_LAID_WRONG, _MEETS = "laid-wrong", ("hold-down", "rapid-in-wood", "plunge", "off-board", "too-deep")
_RESTS_HIGH, _FALLS_SHORT = "levelled-face", ("not-parted", "leftover", "not-undercut", "tab-count", "tab-size")
# Motions that are left out, or whose cutter is not known, leave wood standing.
_MOTIONS_MISSING, _WOOD_STANDS = ("unreadable", "unknown-tool"), (
    "cuts-nothing", "weak-tab", "tab-count", "tab-size", "leftover", "not-undercut", "not-parted",
    "dowel-hole",
)  # fmt: skip
# A move into what it should not meet does to the part what it does on the very same lines; so many at most, since
# what happens on many lines has other causes as well.
_RUNS_INTO, _FEW_LINES = ("off-board", "hold-down", "rapid-in-wood"), 6
# What a wrong speed or feed does on its own lines: the force of the cutter goes with the thickness of its chips.
_WRONG_SPEED = {
    "spindle-speed": ("weak-hold", "chip-load"),
    "fast-feed": ("weak-hold", "chip-load", "fast-plunge"),
}
# A slip in the program below makes its head differ as well: the slip is the cause.
_HEAD = "head-differs"
# Wood that stands is told with a line that works beside it, which did not leave it.
_STANDS = ("leftover", "not-parted")
_CAUSES = (_UNITS, _LAID_WRONG, _RESTS_HIGH, *_MOTIONS_MISSING, *_WRONG_SPEED, *_RUNS_INTO)


def without_consequences(found: Sequence[Finding]) -> list[Finding]:
    """The findings of one program but for those that follow from another one, which names them."""
    causes = [number for number, one in enumerate(found) if one.code in _CAUSES or one.severity != "doubt"]
    causes.sort(key=lambda number: family(found[number].code))
    cause_of = {
        number: next((cause for cause in causes if cause != number and _follows(one, found[cause])), None)
        for number, one in enumerate(found)
    }
    kept = []
    for number, one in enumerate(found):
        if cause_of[number] is None:
            kept.append(counting(one, [found[other] for other, cause in cause_of.items() if cause == number]))
    return kept


def counting(cause: Finding, follow: Sequence[Finding]) -> Finding:
    """A finding that counts those that follow from it; it is as grave as the gravest of them."""
    gravest = min((cause.severity, *(one.severity for one in follow)), key=SEVERITIES.index)
    return replace(cause, severity=gravest, consequences=(*cause.consequences, *(one.code for one in follow)))


def _follows(one: Finding, cause: Finding) -> bool:
    """Whether a finding is a consequence of another, by one of the rules above; of a single line, but for a wrong
    speed, only if it is no graver."""
    if one.code == _HEAD and one.severity == "doubt":
        return cause.severity != "doubt" and _makes_head_differ(one, cause)
    if cause.code == _LAID_WRONG:
        return cause.severity != "doubt" and (one.code in _MEETS or family(one.code) >= family(HOLDING))
    if cause.code == _RESTS_HIGH:
        return cause.amount < cause.limit and one.code in _FALLS_SHORT
    if cause.code in _WRONG_SPEED:
        return one.code in _WRONG_SPEED[cause.code] and _does(cause, one) and _on_lines_of(one, cause)
    if SEVERITIES.index(one.severity) < SEVERITIES.index(cause.severity) or one.code == cause.code:
        return False
    if cause.code == _UNITS:
        return family(one.code) >= family(RUNNING) or one.code == "unknown-tool"
    if cause.code in _MOTIONS_MISSING:
        return one.code in _WOOD_STANDS
    of_the_part = one.code == "tab-cut" or family(one.code) == family(PART)
    few = cause.code in _RUNS_INTO and len(cause.lines) <= _FEW_LINES
    return of_the_part and few and _on_lines_of(one, cause)


def _makes_head_differ(one: Finding, cause: Finding) -> bool:
    """By a slip on the line below that says otherwise, or what is left by it; or the head is for another fixture."""
    below = one.lines[1:]
    left = family(cause.code) == family(PART) and (cause.code in _STANDS or not cause.line)
    return cause.code == _HEAD or (bool(below) and (left or not set(below).isdisjoint(cause.lines)))


def _on_lines_of(one: Finding, cause: Finding) -> bool:
    return one.code not in _STANDS and set(one.lines or (one.line,)) <= set(cause.lines) - {0}


def _does(cause: Finding, one: Finding) -> bool:
    """Whether a wrong speed can be why: by a spindle too slow or a feed too fast chips are thicker and the cutter
    pushes harder, by a spindle too fast chips are thinner; and a piece that nothing holds is held at no speed."""
    thicker = cause.code == "fast-feed" or cause.amount < cause.limit
    if one.code == "chip-load":
        return one.amount >= one.limit if thicker else one.amount <= one.limit
    return one.code != "weak-hold" or (thicker and one.amount > 0)
