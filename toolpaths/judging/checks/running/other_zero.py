"""The check of places that the text alone does not give: what was taken for them."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import zip_longest

import numpy as np

from toolpaths.facts.language import WORK_SYSTEMS
from toolpaths.judging.reader.motions import Change
from toolpaths.judging.trial.case import Case
from toolpaths.judging.trial.findings import Finding, folded


def other_zero(case: Case) -> Iterator[Finding]:
    """Places that the text alone does not give: what was taken for them."""
    changes = [c for c in case.changes if c.code not in ("M3", "M4", "M5", "T")]
    found: dict[str, list[tuple[int, int]]] = {}

    def doubt(change: Change, text: str) -> None:
        found.setdefault(text, []).append((change.line, change.before))

    systems = [change for change in changes if change.code in WORK_SYSTEMS]
    for change, following in zip_longest(systems, systems[1:]):
        if change.code != "G54" and change.before < (following.before if following else len(case.moves)):
            doubt(change, f"the zero of {change.code} is not known here; judged as if it were that of the board.")
    offset, stored = (0.0, 0.0, 0.0), False
    for change in changes:
        known = case.moves.named[change.before - 1].tolist() if change.before else [False] * 3
        moved = [a != b for a, b in zip(offset, change.offset, strict=True)]
        offset, unheard, stored = change.offset, not stored, stored or change.code.startswith("G92")
        if change.before >= len(case.moves):
            continue
        if change.code in ("G28", "G30") or (change.code == "G53" and not case.fixture.zero_in_machine):
            doubt(
                change,
                f"{change.code} goes to a place of the machine that is not known here; the way there and back is not "
                "judged, and taken to be above all that stands on the board."
                + (" Give the fixture its zero_in_machine to have it judged." if change.code == "G53" else ""),
            )
        elif change.code == "G92" and any(m and not k for m, k in zip(moved, known, strict=True)):
            doubt(
                change,
                "G92 sets the zero where the cutter happens to stand; judged as if that were the place on the board "
                "that it names.",
            )
        elif change.code == "G92.3" and unheard:
            doubt(
                change,
                "G92.3 takes up an offset from before the program, not known here; judged as if there were none.",
            )
    for text, where in found.items():
        lines, places = np.array([line for line, _ in where]), case.places_before([motion for _, motion in where])
        yield folded("other-zero", "doubt", lines, places, np.zeros(len(lines)), 0.0, text)
