"""The check of lifts: does a rapid rise and go across at once, beside wood or a hold-down?"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from toolpaths.judging.checks.meeting.hold_downs import obstacles, there_yet
from toolpaths.judging.reader.motions import RAPID
from toolpaths.judging.trial.case import Case
from toolpaths.judging.trial.findings import ROUNDING, Finding, folded
from toolpaths.judging.wood.moves import X0, X1, Y0, Y1, Z0, Z1
from toolpaths.judging.wood.paths import boxes_near


def sideways_lift(case: Case) -> Iterator[Finding]:
    """A rapid that leaves the wood, or the side of something that stands on the board, upwards and across at once.

    The axes of some controllers do not finish together in a rapid, so the way is not the straight line.
    """
    moves = case.moves
    table, height = moves.path, case.fixture.highest
    low = (moves.kind == RAPID) & (table[Z0] < max(height, 0.0) - ROUNDING)
    who = np.flatnonzero(low & (table[Z1] > table[Z0] + ROUNDING))
    moved = np.abs(table[[[X1], [Y1]], who] - table[[[X0], [Y0]], who]).max(axis=0, initial=0.0)
    who = who[moved > ROUNDING]
    in_wood = table[Z0, who] < -ROUNDING
    beside = np.zeros(len(who), bool)
    things = obstacles(case) if len(who) and not in_wood.all() else []
    for thing in things:
        reach = thing.radius + np.array([case.widest(tool) for tool in moves.tool[who].tolist()])
        near = boxes_near(moves.box[:, who], thing.x, thing.y, reach)
        beside |= near & (table[Z0, who] < thing.height - ROUNDING) & there_yet(case, thing, who)
    for which, what in ((in_wood, "out of the board"), (beside & ~in_wood, "from beside what stands on the board")):
        some = who[which]
        if len(some):
            yield folded(
                "sideways-lift", "doubt", moves.line[some], case.ends(some), table[Z0, some], 0.0,
                f"a rapid rises {what} and goes across at once; not every machine does that in a straight line. "
                "Lift first.",
            )  # fmt: skip
