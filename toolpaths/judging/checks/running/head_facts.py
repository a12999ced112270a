"""Does a program fit the board, side and cutters it is judged on, by what its own comments say?

The head that this library writes states side, board, zero and cutters; of anybody else's comments only what
reads exactly like it is believed. No import ties this file to the writer: the text is all that they share.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from toolpaths.base.units import MM_PER_INCH
from toolpaths.facts.cutter import Cutter
from toolpaths.judging.trial.case import Case
from toolpaths.judging.trial.findings import NOWHERE, Finding

_NUMBER = r"(\d+(?:\.\d+)?)"
_BOARD = re.compile(rf"Board .*, {_NUMBER} x {_NUMBER} x {_NUMBER} (mm|inch), thickness as measured")
_SIDE = re.compile(r".*: (front|back, board turned over (left to right|top to bottom))")
_ZERO = re.compile(
    r"X0 Y0 is the ((?:lower|upper) (?:left|right) corner of the board as it lies|centre of the board)(?:,.*)?\. "
    r"Z0 is the (top of the board|spoilboard)\."
)
_AS_IT_LIES = " of the board as it lies"
_PROFILE = rf"(flat|ball|bull nose|V|drill) {_NUMBER}(?: corner {_NUMBER})?(?: {_NUMBER} deg)?"
_CUTTER = re.compile(rf"T(\d+): {_PROFILE}, (\d+) flutes, .* rpm, cuts .*")
_FITTED = re.compile(_PROFILE)
_FIT = re.compile(rf"Fit T(\d+) {_PROFILE}, then set its Z zero")
# In units of the head, mm or inch: half of its last decimal, and a little for six digits in all.
_LAST_DIGIT = {"mm": 0.0006, "inch": 0.00006}
_SIX_DIGITS = 1e-5


def head_differs(case: Case) -> Iterator[Finding]:
    """The program says that it is for another side, board, zero or cutter than it is judged with."""
    comments = case.program.comments
    boards = [(i, line, found) for i, (line, text) in enumerate(comments) if (found := _BOARD.fullmatch(text))]
    units = "mm"
    if boards:
        index, line, found = boards[0]
        units = found[4]
        if index and (side := _SIDE.fullmatch(comments[index - 1][1])):
            yield from _side(case, comments[index - 1][0], side[2] or "")
        yield from _board(case, line, [float(found[n]) for n in (1, 2, 3)], units)
        for line, text in comments[index:]:
            if found := _ZERO.fullmatch(text):
                yield from _zero(case, line, found[1], found[2])
            elif (found := _CUTTER.fullmatch(text)) and (cutter := case.cutters.get(int(found[1]))):
                said = found.groups()[1:5]
                if not _is(cutter, said, _LAST_DIGIT[units], (units,)) or int(found[6]) != cutter.flutes:
                    text = text.split(" flutes")[0] + " flutes"
                    yield _differs(line, f"{text} by the head, but {cutter}, {cutter.flutes} flutes, is given.")
    yield from _changes(case)


def _side(case: Case, line: int, turned: str) -> Iterator[Finding]:
    if turned != case.fixture.turned:
        lies = {"": "the front"}
        said, given = (lies.get(side, f"the back, turned over {side}") for side in (turned, case.fixture.turned))
        yield _differs(line, f"the program is for {said}, by its head, but is judged on {given}.")


def _board(case: Case, line: int, said: list[float], units: str) -> Iterator[Finding]:
    board, scale = case.fixture.board, 1.0 if units == "mm" else 1 / MM_PER_INCH
    given = [size * scale for size in (board.width, board.height, board.thickness)]
    for name, a, b in zip(("wide", "high", "thick"), said, given, strict=True):
        if abs(a - b) > _LAST_DIGIT[units] + _SIX_DIGITS * b:
            text = f"the board is {a:g} {units} {name} by the program's head, but {round(b, 4):g} {units} as given."
            yield _differs(line, text, a / scale, b / scale)


def _zero(case: Case, line: int, corner: str, surface: str) -> Iterator[Finding]:
    fixture = case.fixture
    given = (
        "centre of the board" if fixture.zero_at == "centre" else f"{fixture.zero_at} corner of the board as it lies"
    )
    if corner != given:
        corner, given = corner.removesuffix(_AS_IT_LIES), given.removesuffix(_AS_IT_LIES)
        yield _differs(line, f"X0 Y0 is the {corner} by the program's head, but the {given} as given.")
    given = "top of the board" if fixture.zero_on == "top" else "spoilboard"
    if surface != given:
        yield _differs(line, f"Z0 is the {surface} by the program's head, but the {given} as given.")


def _changes(case: Case) -> Iterator[Finding]:
    """The comment beside an M6, or the message of a stop, names another cutter than the rack has there."""
    events = case.program.events
    beside = {line: found for line, text in case.program.comments if (found := _FITTED.fullmatch(text))}
    named = [(e.line, e.tool, beside[e.line].groups()) for e in events if e.code == "M6" and e.line in beside]
    fits = [(e.line, found) for e in events if e.code == "MSG" and (found := _FIT.fullmatch(e.text))]
    named += [(line, int(found[1]), found.groups()[1:]) for line, found in fits]
    for line, tool, said in named:
        cutter = case.cutters.get(tool)
        decimals = len(str(said[1]).partition(".")[2])
        # Somebody else's comment may be rounded, and in either unit.
        if cutter and not _is(cutter, said, 0.5 * 10.0**-decimals + 1e-9, ("mm", "inch")):
            yield _differs(line, f"T{tool} is to be {_text(said)} by the comment, but {cutter} is given.")


def _is(cutter: Cutter, said: tuple[str | None, ...], within: float, units: tuple[str, ...]) -> bool:
    """Whether these are the words for this cutter: kind, diameter, corner, angle."""
    kind, diameter, corner, angle = said
    profile = cutter.profile
    if kind != profile.kind or (angle and abs(float(angle) - profile.angle_deg) > 0.5):
        return False
    wanted = [(diameter, profile.diameter), *([(corner, profile.corner_radius)] if corner else [])]
    scales = [1.0 if unit == "mm" else 1 / MM_PER_INCH for unit in units]
    return any(all(abs(float(a or 0) - b * scale) <= within for a, b in wanted) for scale in scales)


def _text(said: tuple[str | None, ...]) -> str:
    kind, diameter, corner, angle = said
    return f"{kind} {diameter}" + (f" corner {corner}" if corner else "") + (f" {angle} deg" if angle else "")


def _differs(line: int, text: str, amount: float = 0.0, limit: float = 0.0) -> Finding:
    return Finding("head-differs", "danger", line, NOWHERE, amount, limit, text, 1, (line,))
