"""A cutter is changed where the program may not stop for it, and goes on with the one before."""

from __future__ import annotations

from collections.abc import Iterator

from toolpaths.judging.trial.case import Case
from toolpaths.judging.trial.cutter_in_spindle import changes_by_hand
from toolpaths.judging.trial.findings import ROUNDING, Finding


def optional_stop(case: Case) -> Iterator[Finding]:
    """A change of cutter that the machine passes where one of its switches stands so: at M1, or on a line with /.

    The first cutter is in before the program is started.
    """
    by_hand = changes_by_hand(case.program, tuple(case.cutters))
    changes = [(event, event.tool) for event in case.program.events if event.code == "M6"] or by_hand
    cut = case.moves.line[case.moves.low < -ROUNDING]
    for event, tool in changes:
        if event.may_not_happen and (cut < event.line).any():
            yield Finding(
                "optional-stop", "danger", event.line, event.place, float(tool), 0.0,
                f"T{tool} is put in where that may not happen: {event.why_it_may_not}. What follows would be cut with "
                "the cutter before; write M0 or M6, without a switch to skip it.",
                1, (event.line,),
            )  # fmt: skip
