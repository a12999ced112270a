"""Pins on which the board can be laid more than one way once it is turned over."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

import numpy as np

from toolpaths.facts.fixture import Fixture
from toolpaths.facts.turning import TURNS, pins_fit_both_ways, turned_corner
from toolpaths.judging.checks.part.target import highest, lowest
from toolpaths.judging.checks.part.wood_at import slack_in
from toolpaths.judging.job_programs import Judged
from toolpaths.judging.job_report import SideFinding
from toolpaths.judging.trial.case import Trial
from toolpaths.judging.trial.findings import NOWHERE, Finding

# mm of height, and mm2, by which wood may differ and is alike.
_ALIKE, _SPECK = 0.05, 1.0
# mm by which pins have to be moved off the middle: the board then lies twice as far off where it is turned wrongly.
_ASIDE = 10


def pins_symmetric(programs: tuple[Judged, ...]) -> Iterator[SideFinding]:
    """The board goes on its pins the wrong way round as well, and what is cut so far is not the same that way.

    The usual remedy is one odd pin, so that only one way fits (common practice, no source).
    """
    for before, program in pairwise(programs):
        fixture = program.setting.given
        symmetric = fixture.turned and pins_fit_both_ways(fixture.dowels, fixture.board)
        if symmetric and not _same_the_other_way(before.trial):
            yield SideFinding("", Finding("pins-symmetric", "doubt", 0, NOWHERE, 0.0, 0.0, _words(fixture)))
            return


def _words(fixture: Fixture) -> str:
    (other,) = (turned for turned in TURNS if turned != fixture.turned)
    corner, width, height = turned_corner("lower left", fixture.turned), fixture.board.width, fixture.board.height
    if fixture.turned == "left to right":
        line, along = f"the line X{width / 2:g}, away from Y{height / 2:g}", "Y"
    else:
        line, along = f"the line Y{height / 2:g}, away from X{width / 2:g}", "X"
    return (
        f"the pins fit both ways round: the board goes on them turned over {other} as well as {fixture.turned}, and "
        f"then the {fixture.side} is cut in the wrong places. Put one more pin on {line}, or move the pins {_ASIDE} mm "
        f"along {along}, so that one way alone fits; or mark the lower left corner of the front, which comes to lie at "
        f"the {corner}, and accept this doubt."
    )


def _same_the_other_way(trial: Trial) -> bool:
    """Whether the wood is as good turned by half a turn: the same, or within what the part meant allows, whose tabs
    may stand anywhere."""
    wood, part = trial.after, trial.part
    differs = np.zeros(wood.grid.shape, bool)
    for face in (wood.top, wood.bottom):
        differs |= np.abs(face - face[::-1, ::-1]) > _ALIKE
    if part is not None and differs.any():
        slack, turned = slack_in(trial, part), wood.top[::-1, ::-1]
        low, high = (band(part, trial.case.fixture, slack).over(wood.grid) for band in (lowest, highest))
        differs &= (turned < low - np.float32(part.within)) | (turned > high + np.float32(part.within))
    return float(differs.sum()) * wood.cell**2 <= _SPECK
