"""The check of the axes: does the program ask for more way than the machine has?"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from toolpaths.judging.reader.motions import DWELL
from toolpaths.judging.trial.case import Case
from toolpaths.judging.trial.findings import ROUNDING, Finding, folded
from toolpaths.judging.wood.moves import Z0, Z1


def travel(case: Case) -> Iterator[Finding]:
    """The program asks for more way than the machine has.

    With the zero's machine coordinates known the check is exact: an axis runs from 0 up to its
    travel, or from 0 down where the zero's coordinate is negative. Without them only the way between
    the extremes can be compared.
    """
    moves = case.moves
    machine, known = case.fixture.machine, case.fixture.zero_in_machine
    moving = np.flatnonzero(moves.kind != DWELL)
    if not len(moving):
        return
    box = [*moves.box, moves.low, np.maximum(moves.path[Z0], moves.path[Z1])]
    if len(moving) < len(moves.kind):
        box = [side[moving] for side in box]
    board = case.fixture.board
    sizes = ((0.0, board.width), (0.0, board.height), (case.fixture.underside_z, case.fixture.safe_z))
    for axis, name in enumerate("XYZ"):
        low, high = box[2 * axis], box[2 * axis + 1]
        length = machine.travel[axis]
        if known is None:
            needed = float(high.max() - low.min())
            if needed > length + ROUNDING:
                # The extreme that is farther from the board is the more likely slip.
                outward = high.max() - sizes[axis][1] > sizes[axis][0] - low.min()
                who = moving[[int(high.argmax() if outward else low.argmin())]]
                yield folded(
                    "travel", "danger", moves.line[who], case.ends(who), np.array([needed]), length,
                    f"the program needs {{amount}} mm of way in {name}, the machine has {length:g} mm.",
                )  # fmt: skip
            continue
        shift = known[axis] - case.fixture.zero[axis]
        least = -length if known[axis] < 0 else 0.0
        for at, sign, limit in ((low + shift, -1.0, least), (high + shift, 1.0, least + length)):
            out = np.flatnonzero(sign * (at - limit) > ROUNDING)
            if len(out):
                yield folded(
                    "travel", "danger", moves.line[moving[out]], case.ends(moving[out]), at[out], limit,
                    f"{name} goes {{over}} mm past the {'upper' if sign > 0 else 'lower'} end of the machine's travel.",
                )  # fmt: skip
