"""Does a program fit the board, side and cutters it is judged on, by what its own comments say?

The head that this library writes states side, board, zero, dowels and cutters; of anybody else's comments only what
reads exactly like it is believed. No import ties this file to the writer: they share the text and the forms of lines.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from shapely import Point

from toolpaths.base.units import MM_PER_INCH
from toolpaths.facts.cutter import Cutter
from toolpaths.facts.head_lines import (
    BACK_UP,
    BOARD,
    CUTTER,
    DOWEL,
    FIT,
    FIT_BELOW,
    FITTED,
    FRONT_UP,
    LEVELLED,
    SURFACE,
    ZERO,
)
from toolpaths.judging.trial.case import Case
from toolpaths.judging.trial.findings import NOWHERE, Finding

# In units of the head, mm or inch: half of its last decimal, and a little for six digits in all.
_LAST_DIGIT = {"mm": 0.0006, "inch": 0.00006}
_SIX_DIGITS = 1e-5


def head_differs(case: Case) -> Iterator[Finding]:
    """The program says that it is for another side, board, zero, dowel or cutter than it is judged with."""
    comments = case.program.comments
    boards = [(i, line, found) for i, (line, text) in enumerate(comments) if (found := BOARD.read(text))]
    if boards:
        index, line, found = boards[0]
        yield from _board(case, line, found)
        if case.fixture.levelled and not any(LEVELLED.read(text) for _, text in comments):
            text = (
                f"the program's head says nothing of the face below, which was levelled by {case.fixture.levelled:g}."
            )
            yield differs(line, text, 0.0, case.fixture.levelled)
        for line, text in comments[index:]:
            yield from _line(case, line, text, found["units"])
    yield from _changes(case)


def _line(case: Case, line: int, text: str, units: str) -> Iterator[Finding]:
    """One line of the head, behind that of the board."""
    fixture = case.fixture
    if FRONT_UP.read(text) is not None:
        yield from _side(case, line, "")
    elif found := BACK_UP.read(text):
        yield from _side(case, line, found["turned"])
    elif (found := ZERO.read(text)) and found["corner"] != fixture.zero_corner:
        said = f"X0 Y0 is the {found['corner']} by the program's head, but the {fixture.zero_corner} as given."
        yield differs(line, said)
    elif (found := SURFACE.read(text)) and found["surface"] != fixture.zero_surface:
        said = f"Z0 is the {found['surface']} by the program's head, but the {fixture.zero_surface} as given."
        yield differs(line, said)
    elif found := LEVELLED.read(text):
        yield from _levelled(case, line, found)
    elif found := DOWEL.read(text):
        yield from _dowel(case, line, found, units)
    elif (found := CUTTER.read(text)) and (cutter := case.cutters.get(int(found["tool"]))):
        same = _is(cutter, found, _LAST_DIGIT[units], (units,))
        if not same or int(found["flutes"]) != cutter.flutes:
            said = f"{found['profile']}, {found['flutes']} flutes"
            yield differs(
                line, f"T{cutter.number} is {said} by the head, but {cutter}, {cutter.flutes} flutes, is given."
            )


def _side(case: Case, line: int, turned: str) -> Iterator[Finding]:
    if turned != case.fixture.turned:
        said, given = (
            f"the back, turned over {side}" if side else "the front" for side in (turned, case.fixture.turned)
        )
        yield differs(line, f"the program is for {said}, by its head, but is judged on {given}.")


def _board(case: Case, line: int, said: Mapping[str, str]) -> Iterator[Finding]:
    board, units = case.fixture.board, said["units"]
    scale = units_in_mm(units)
    for size, name in (("width", "wide"), ("height", "high"), ("thickness", "thick")):
        a, b = float(said[size]), getattr(board, size) * scale
        if not reads_like(a, b, units):
            text = f"the board is {a:g} {units} {name} by the program's head, but {round(b, 4):g} {units} as given."
            yield differs(line, text, a / scale, b / scale)


def _levelled(case: Case, line: int, said: Mapping[str, str]) -> Iterator[Finding]:
    """By how much the face below was levelled, and how thick the board is as it lies."""
    fixture, units = case.fixture, said["units"]
    scale = units_in_mm(units)
    for size, given, what in (("by", fixture.levelled, "was levelled by"), ("left", -fixture.underside_z, "leaves")):
        a, b = float(said[size]), given * scale
        if not reads_like(a, b, units):
            text = f"the face below {what} {a:g} {units} by the program's head, but {round(b, 4):g} {units} as given."
            yield differs(line, text, a / scale, given)
            return


def _dowel(case: Case, line: int, said: Mapping[str, str], units: str) -> Iterator[Finding]:
    """The operator checks the zero over a dowel: there has to be one, and that thick."""
    fixture, scale = case.fixture, units_in_mm(units)
    x, y, across = (float(said[word]) for word in ("x", "y", "across"))
    for dowel in fixture.dowels:
        at = fixture.place(Point(dowel.x, dowel.y))
        given = (at.x - fixture.zero[0]) * scale, (at.y - fixture.zero[1]) * scale, dowel.diameter * scale
        if all(reads_like(a, b, units) for a, b in zip((x, y, across), given, strict=True)):
            return
    text = (
        f"by the program's head there is a dowel of {across:g} {units} at X{x:g} Y{y:g}, of the dowels given none is."
    )
    yield differs(line, text)


def _changes(case: Case) -> Iterator[Finding]:
    """The comment beside an M6, or the message of a stop, names another cutter than the rack has there."""
    events = case.events
    beside = {line: found for line, text in case.program.comments if (found := FITTED.read(text))}
    named = [(e.line, e.tool, beside[e.line]) for e in events if e.code == "M6" and e.line in beside]
    fits = [
        (e.line, found) for e in events if e.code == "MSG" and (found := FIT.read(e.text) or FIT_BELOW.read(e.text))
    ]
    named += [(line, int(found["tool"]), found) for line, found in fits]
    for line, tool, said in named:
        cutter = case.cutters.get(tool)
        decimals = len(said["diameter"].partition(".")[2])
        # Somebody else's comment may be rounded, and in either unit.
        if cutter and not _is(cutter, said, 0.5 * 10.0**-decimals + 1e-9, ("mm", "inch")):
            yield differs(line, f"T{tool} is to be {said['profile']} by the comment, but {cutter} is given.")


def units_in_mm(units: str) -> float:
    """How many of "mm" or "inch" a millimetre is."""
    return 1.0 if units == "mm" else 1 / MM_PER_INCH


def reads_like(said: float, given: float, units: str) -> bool:
    """Whether a length of a head is what was given, but for its last decimal; both in the units of the head."""
    return abs(said - given) <= _LAST_DIGIT[units] + _SIX_DIGITS * abs(given)


def _is(cutter: Cutter, said: Mapping[str, str], within: float, units: tuple[str, ...]) -> bool:
    """Whether these are the words for this cutter: kind, diameter, radius of the corner, angle, head and neck."""
    profile = cutter.profile
    if said["kind"] != profile.kind or (said["angle"] and abs(float(said["angle"]) - profile.angle_deg) > 0.5):
        return False
    wanted = [(said["diameter"], profile.diameter)]
    wanted += [(said["radius"], profile.corner_radius)] if said["radius"] else []
    if said["head"]:
        wanted += [(said["head"], profile.head_height), (said["neck"], profile.neck_diameter)]
    scales = [units_in_mm(unit) for unit in units]
    return any(all(abs(float(a) - b * scale) <= within for a, b in wanted) for scale in scales)


def differs(line: int, text: str, amount: float = 0.0, limit: float = 0.0, lines: tuple[int, ...] = ()) -> Finding:
    """The finding of this check; lines : all on which it is said, `line` the first of them."""
    return Finding("head-differs", "danger", line, NOWHERE, amount, limit, text, len(lines) or 1, lines or (line,))
