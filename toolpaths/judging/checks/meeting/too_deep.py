"""The check of the spoilboard: does the tip go deeper into it than it may?"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from toolpaths.base.checks import Floats
from toolpaths.facts.fixture import Reach
from toolpaths.judging.reader.motions import DWELL
from toolpaths.judging.trial.case import Case, distinct
from toolpaths.judging.trial.findings import ROUNDING, Finding, folded, slip
from toolpaths.judging.wood.paths import farthest
from toolpaths.judging.wood.sweep import Ints


def too_deep(case: Case) -> Iterator[Finding]:
    """The tip goes deeper into the spoilboard than it may, a dowel's own hole apart; or right through it, which is
    danger: what is under it is the machine's table, or metal."""
    moves = case.moves
    fixture = case.fixture
    floor = fixture.underside_z
    deep = np.flatnonzero(moves.below(floor - fixture.spoilboard_depth - ROUNDING) & (moves.kind != DWELL))
    if not len(deep):
        return
    allowed = fixture.spoilboard_limits(reach_of(case, deep), case.points(deep))
    over = moves.low[deep] < floor - allowed - ROUNDING
    deep, allowed = deep[over], allowed[over]
    if fixture.spoilboard_thickness is not None:
        # Nothing that deep is allowed anywhere, by the fixture's own rule.
        through = moves.low[deep] < floor - fixture.spoilboard_thickness - ROUNDING
        yield from _through(case, deep[through], fixture.spoilboard_thickness)
        deep, allowed = deep[~through], allowed[~through]
    for tool in distinct(moves.tool[deep]):
        for limit in distinct(allowed):
            who = deep[(moves.tool[deep] == tool) & (allowed == limit)]
            if len(who):
                deepest = floor - moves.low[who]
                yield folded(
                    "too-deep", "damage", moves.line[who], case.low_ends(who), deepest, limit,
                    f"{case.name(tool)} goes {{amount}} mm below the underside of the board, "
                    f"where {limit:g} mm is allowed. Cut less deep, or give the fixture a larger spoilboard_depth."
                    f"{slip(float(deepest.max()), 2 * fixture.board.thickness)}",
                )  # fmt: skip


def _through(case: Case, which: Ints, thickness: float) -> Iterator[Finding]:
    floor = case.fixture.underside_z
    for tool, mine in case.by_cutter(which):
        yield folded(
            "too-deep", "danger", case.moves.line[mine], case.low_ends(mine), floor - case.moves.low[mine], thickness,
            f"{case.name(tool)} goes {{amount}} mm below the underside of the board, through the spoilboard, which is "
            f"{thickness:g} mm thick, and {{over}} mm into what is under it. Cut less deep.",
        )  # fmt: skip


def reach_of(case: Case, which: Ints) -> Reach:
    """How far each of these moves reaches from a place, cutter and all; for Fixture.spoilboard_limits()."""

    def reach_from(x: float, y: float) -> Floats:
        return farthest(case.moves.path[:, which], x, y) + case.radii(which)

    return reach_from
