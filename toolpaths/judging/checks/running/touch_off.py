"""Is Z zero set on a face that still stands, and at the Z at which it lies?

Once the whole of a face is levelled, nothing is left of the top of the board as measured: the head of a later program
and the stops at which a cutter is fitted have to say which face is left, and the Z that it has.
"""

from __future__ import annotations

from collections.abc import Iterator

from toolpaths.facts.head_lines import BOARD, FIT, FIT_BELOW, SURFACE, TOUCH_OFF
from toolpaths.judging.checks.running.head_differs import differs, units_in_mm
from toolpaths.judging.trial.case import Case, Trial
from toolpaths.judging.trial.findings import Finding
from toolpaths.judging.trial.outermost import of_upper_face

# mm by which a face may be off where no part says more, as Part.within.
_WITHIN = 0.03


def touch_off(trial: Trial) -> Iterator[Finding]:
    """Z zero is to be set on a face that is cut away by then, or at another Z than that of the face that is left."""
    case, within = trial.case, trial.part.within if trial.part else _WITHIN
    wrong: dict[str, list[tuple[int, float]]] = {}
    for line, move, said in _touch_offs(case):
        highest = of_upper_face(trial, move)
        if highest is None:
            continue
        right = case.point(highest.x, highest.y, -highest.by)[2] * units_in_mm(case.program.units)
        if said is None and highest.by > within:
            by = highest.by * units_in_mm(case.program.units)
            text = f"Z0 is to be the top of the board, of which nothing is left: all of it lies {_length(by)} lower"
        elif said is not None and abs(said - right) > within * units_in_mm(case.program.units):
            text = f"Z is to be set to {said:g} on the highest face left, which lies at {_length(right)}"
        else:
            continue
        wrong.setdefault(f"{text}. Touch off there and set Z{_length(right)}.", []).append((line, highest.by))
    for text, found in wrong.items():
        lines = tuple(line for line, _ in found)
        yield differs(lines[0], text, found[0][1], 0.0, lines)


def _touch_offs(case: Case) -> Iterator[tuple[int, int, float | None]]:
    """Where the program has its Z zero set: the line, the move before which that is done, and the Z to be set on the
    highest face left; None where it is to be zero on the top."""
    comments = case.program.comments
    on_top = case.fixture.zero_on == "top"
    surfaces = [line for line, text in comments if (found := SURFACE.read(text)) and found["surface"] != "spoilboard"]
    below = [(line, float(found["z"])) for line, text in comments if (found := TOUCH_OFF.read(text))]
    by_head: list[tuple[int, float | None]] = [*below[:1]]
    if surfaces and not below and on_top and any(BOARD.read(text) for _, text in comments):
        by_head = [(surfaces[0], None)]
    for line, said in by_head:
        yield line, 0, said
    shown_before = -1
    for event in case.events:
        if event.code == "MSG" and (found := FIT_BELOW.read(event.text)):
            yield event.line, event.before, float(found["z"])
            shown_before = event.before
        elif event.code == "MSG" and on_top and FIT.read(event.text):
            yield event.line, event.before, None
        elif event.code == "M6" and event.before != shown_before:
            # What the head says holds where no message says anything else.
            for _, said in by_head:
                yield event.line, event.before, said


def _length(length: float) -> str:
    return f"{round(length, 4) + 0.0:g}"
