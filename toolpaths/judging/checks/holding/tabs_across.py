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
from toolpaths.judging.checks.part.wood_at import at_each, standing_at, top_at
from toolpaths.judging.trial.case import Trial
from toolpaths.judging.trial.findings import ROUNDING
from toolpaths.judging.wood.sweep import Flags, Ints

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


class _Cut(NamedTuple):
    """A cut that tabs are meant to cross.

    middle : its middle line, as a wall; floor : z of its floor, or of the underside of the board
    """

    meant: TabsMeant
    middle: Wall
    floor: float


def tabs_across(trial: Trial, part: Part, features: list[tuple[Feature, TabsMeant]]) -> list[list[Standing] | None]:
    """The tabs that stand across the cut of each feature, in order along it.

    None where more stands than tabs ever do: there it is not cut yet, which is a check of its own.
    """
    fixture, underside = trial.case.fixture, trial.case.fixture.underside_z
    cuts = [
        _Cut(meant, wall_of(fixture.place(meant.middle)), max(feature.floor(underside), underside))
        for feature, meant in features
    ]
    # Along the middle of the cut first: where nothing stands there, no tab does.
    holds = [np.ones(len(cut.middle.at), bool) for cut in cuts]
    for shares in (_ACROSS[2:3], _ACROSS[:2] + _ACROSS[3:]):
        holds = _holding(trial, part, cuts, holds, shares)
    tabs = [_stretches(cut.middle, each) for cut, each in zip(cuts, holds, strict=True)]
    every = [(cut, stretch) for cut, stretches in zip(cuts, tabs, strict=True) for stretch in stretches or ()]
    closer = [_finer(cut.middle, stretch) for cut, stretch in every]
    tops = at_each(
        top_at,
        trial,
        [_rows(fine, cut.meant.radius).reshape(-1, 2) for (cut, _), fine in zip(every, closer, strict=True)],
    )
    measured = iter(
        [
            _measured(cut, stretch, fine, found.reshape(len(_ACROSS), -1) - cut.floor, part.within + ROUNDING)
            for (cut, stretch), fine, found in zip(every, closer, tops, strict=True)
        ]
    )
    return [None if found is None else [next(measured) for _ in found] for found in tabs]


def _rows(middle: Wall, radius: float, shares: tuple[float, ...] = _ACROSS) -> Floats:
    """(rows, k, 2) places in rows along a cut, at these shares of its radius off the middle of it."""
    return np.stack([middle.beside(share * radius) for share in shares])


def _holding(trial: Trial, part: Part, cuts: list[_Cut], where: list[Flags], shares: tuple[float, ...]) -> list[Flags]:
    """For each cut, at which places of its middle line wood holds in all rows at these shares of the radius.

    where : the places that are looked at; nothing holds at the others
    """
    underside, found = trial.case.fixture.underside_z, [np.zeros(len(some), bool) for some in where]
    # Above its floor in a blind cut, above the wood's own lower face in one that goes through.
    for look, blind in ((top_at, True), (standing_at, False)):
        mine = [number for number, cut in enumerate(cuts) if (cut.floor > underside) is blind]
        rows = [
            _rows(cuts[number].middle, cuts[number].meant.radius, shares)[:, where[number]].reshape(-1, 2)
            for number in mine
        ]
        for number, heights in zip(mine, at_each(look, trial, rows), strict=True):
            cut, least = cuts[number], heights.reshape(len(shares), -1).min(axis=0)
            found[number][where[number]] = (
                least - cut.floor > part.within + ROUNDING
                if blind
                else least >= max(SKIN - ROUNDING, cut.meant.skin + part.within)
            )
    return found


def _stretches(middle: Wall, holds: Flags) -> list[Ints] | None:
    """The stretches over which wood holds across a cut; None where that is most of it."""
    step = middle.step
    if (step * holds).sum() > MOST_TABS * step.sum():
        return None
    return [stretch for stretch in stretches(middle, holds) if step[stretch].sum() >= WHISKER]


def _finer(cut: Wall, stretch: Ints) -> Wall:
    """The stretch of a cut, and a place more at both ends, in finer steps."""
    first, count = int(np.searchsorted(cut.ring, cut.ring[stretch[0]])), int((cut.ring == cut.ring[stretch[0]]).sum())
    around = first + (np.arange(stretch[0] - 1, stretch[0] + len(stretch) + 1) - first) % count
    at = np.arange((len(around) - 1) * _FINER + 1) / _FINER
    columns = [np.interp(at, np.arange(len(around)), each[around, k]) for each in (cut.at, cut.out) for k in (0, 1)]
    step = np.full(len(at), cut.step[stretch[0]] / _FINER)
    return Wall(np.stack(columns[:2], axis=1), np.stack(columns[2:], axis=1), np.zeros(len(at), np.intp), step)


def _measured(cut: _Cut, stretch: Ints, fine: Wall, heights: Floats, within: float) -> Standing:
    """A tab looked at closer.

    stretch : the places of the cut over which it stands; fine : the same in finer steps
    heights : (rows, k) mm of wood above the floor there, from wall to wall
    """
    across, least = heights.min(axis=0), cut.meant.height - within
    rows = _rows(fine, cut.meant.radius)
    return Standing(
        middle=fine.at[len(fine.at) // 2],
        length=float(cut.middle.step[stretch].sum()),
        height=float(across.max()),
        width=float(fine.step[across >= least].sum()),
        crest=rows[:, across > across.max() - ROUNDING].reshape(-1, 2),
        low=rows[heights < least],
    )
