"""The check of flutes: does a cutter work deeper beside standing wood than its cutting edges are long?"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from toolpaths.facts.cutter import Cutter
from toolpaths.facts.profile import flat
from toolpaths.judging.checks.meeting.between_cells import over
from toolpaths.judging.checks.meeting.wood_in_time import Body, Met, Watch, all_met
from toolpaths.judging.trial.case import Case, Trial
from toolpaths.judging.trial.exact_heights import faces_before
from toolpaths.judging.trial.findings import SHAVING, Finding, folded
from toolpaths.judging.trial.wood_ahead import along
from toolpaths.judging.wood.sweep import Flags, Ints

# mm between the places looked at along a move; places along all moves of one cutter at most, beyond which they are
# farther apart; and places looked at around the cutter.
_SPACING, _MOST, _AROUND = 1.0, 1_000, 24


def flutes(trial: Trial) -> Iterator[Finding]:
    """Wood stands beside a cutter, or beside its shank, higher than its edges reach."""
    for cutter, line, place, amount in all_met(trial, watch(trial.case), _rubs):
        length = cutter.body.cutting_length
        yield folded(
            "flutes", "damage", line, place, amount, length,
            f"{cutter} works {{amount}} mm below the wood beside it; its flutes (cutting_length) are {length:g} mm. "
            "Cut less deep, clear the wood beside it, or take a longer cutter.",
        )  # fmt: skip


def watch(case: Case) -> Watch:
    """No wood may stand above the edges, over the width of cutter or shank; what rubs on the rim is _rubs()."""
    return Watch("flutes", deep(case), _over_the_edges, down_to_underside=False)


def _over_the_edges(cutter: Cutter) -> Body:
    widest = max(_at_their_top(cutter), cutter.body.shank_diameter / 2)
    return Body(flat(2 * widest), 0.0, SHAVING + cutter.body.cutting_length)


def _at_their_top(cutter: Cutter) -> float:
    """mm from the axis to the edges where they end; of an undercut cutter to those of its neck."""
    return cutter.profile.opens_sideways.radius


def deep(case: Case) -> Flags:
    """(n,) moves deeper below the top of the board than the edges are long."""
    found = np.zeros(len(case.moves.low), bool)
    for number, cutter in case.cutters.items():
        found |= (case.moves.tool == number) & case.moves.below(-cutter.body.cutting_length - SHAVING)
    return found


def _rubs(trial: Trial, which: Ints) -> Iterator[Met]:
    """Of these moves each beside which wood stands higher than the edges are long: how far the tip is below it.

    Looked at round the cutter, or its shank if that is no thinner: then it rubs on the wall just cut.
    """
    case = trial.case
    for tool, mine in case.by_cutter(which):
        cutter = case.cutters[tool]
        move, tip, _ = along(case.moves.path[:, mine], _SPACING, _MOST)
        shank = cutter.body.shank_diameter / 2
        edges = _at_their_top(cutter)
        radius = shank + 2 * SHAVING if shank >= edges else edges - 2 * SHAVING
        turn = np.arange(_AROUND) / _AROUND * 2 * np.pi
        place = tip[:, None, :2] + radius * np.column_stack([np.cos(turn), np.sin(turn)])
        mover, z = np.repeat(mine[move], _AROUND), np.repeat(tip[:, 2], _AROUND)
        top, bottom = faces_before(trial, place.reshape(-1, 2), mover)
        at = np.column_stack([place.reshape(-1, 2), z])
        yield from over(cutter.body.cutting_length + SHAVING, mover, at, np.where(top > bottom, top - z, 0.0))
