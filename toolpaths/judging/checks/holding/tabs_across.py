"""The tabs that stand in the wood across the cuts of the part, whatever the cutter did to leave them."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from toolpaths.base.checks import Floats
from toolpaths.facts.features.feature import Feature
from toolpaths.facts.features.tabs_meant import TabsMeant
from toolpaths.facts.part import Part
from toolpaths.judging.checks.holding.cut_through import SKIN
from toolpaths.judging.checks.part.not_parted import MOST_TABS
from toolpaths.judging.checks.part.wall_places import WHISKER, Wall, stretches, wall_of
from toolpaths.judging.checks.part.wood_at import standing_at, top_at
from toolpaths.judging.trial.case import Trial
from toolpaths.judging.trial.findings import ROUNDING
from toolpaths.judging.wood.sweep import Ints

# A tab reaches across the cut: it stands at each of these shares of the cutter's radius off the middle of it.
_ACROSS = (-0.75, -0.375, 0.0, 0.375, 0.75)
# Places along a tab for each of those along the cut.
_FINER = 10


class Standing(NamedTuple):
    """A tab that stands across a cut.

    middle : (2,) on the board as it lies
    length : mm along the cut over which it holds, slopes and all
    height : mm of its upper face above the floor of the cut, or the underside of the board as measured, where it
        is highest all the way across
    width : mm along the cut over which it is as high as it is meant to be
    crest, low : (k, 2) places where it is highest, and places at which it is lower than meant
    """

    middle: Floats
    length: float
    height: float
    width: float
    crest: Floats
    low: Floats


def tabs_across(trial: Trial, part: Part, feature: Feature, meant: TabsMeant) -> list[Standing] | None:
    """The tabs that stand across the cut of a feature, in order along it.

    None where more stands than tabs ever do: there it is not cut yet, which is a check of its own.
    """
    underside = trial.case.fixture.underside_z
    cut, floor = wall_of(trial.case.fixture.place(meant.middle)), max(feature.floor(underside), underside)
    if floor > underside:
        holds = _heights(trial, cut, meant.radius, floor).min(axis=0) > part.within + ROUNDING
    else:
        stands = [standing_at(trial, cut.beside(share * meant.radius)) for share in _ACROSS]
        holds = np.min(stands, axis=0) >= max(SKIN - ROUNDING, meant.skin + part.within)
    if (cut.step * holds).sum() > MOST_TABS * cut.step.sum():
        return None
    found = [stretch for stretch in stretches(cut, holds) if cut.step[stretch].sum() >= WHISKER]
    least = meant.height - part.within - ROUNDING
    return [_measured(trial, cut, stretch, meant.radius, floor, least) for stretch in found]


def _heights(trial: Trial, cut: Wall, radius: float, floor: float) -> Floats:
    """(rows, k) heights of the wood above the floor, in rows along the cut from wall to wall."""
    return np.stack([top_at(trial, cut.beside(share * radius)) for share in _ACROSS]) - floor


def _measured(trial: Trial, cut: Wall, stretch: Ints, radius: float, floor: float, least: float) -> Standing:
    """A tab looked at closer.

    stretch : the places of the cut over which it stands
    least : mm above the floor below which it is lower than meant
    """
    first, count = int(np.searchsorted(cut.ring, cut.ring[stretch[0]])), int((cut.ring == cut.ring[stretch[0]]).sum())
    around = first + (np.arange(stretch[0] - 1, stretch[0] + len(stretch) + 1) - first) % count
    at = np.arange((len(around) - 1) * _FINER + 1) / _FINER
    columns = [np.interp(at, np.arange(len(around)), each[around, k]) for each in (cut.at, cut.out) for k in (0, 1)]
    step = cut.step[stretch[0]] / _FINER
    fine = Wall(np.stack(columns[:2], axis=1), np.stack(columns[2:], axis=1), np.zeros(len(at), np.intp), step)
    heights = _heights(trial, fine, radius, floor)
    across = heights.min(axis=0)
    rows = np.stack([fine.beside(share * radius) for share in _ACROSS])
    return Standing(
        middle=fine.at[len(at) // 2],
        length=float(cut.step[stretch].sum()),
        height=float(across.max()),
        width=float((across >= least).sum()) * step,
        crest=rows[:, across > across.max() - ROUNDING].reshape(-1, 2),
        low=rows[heights < least],
    )
