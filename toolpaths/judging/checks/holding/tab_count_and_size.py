"""The checks of the tabs that stand across a cut against those that the part means: how many, how wide, how high."""

from __future__ import annotations

from collections.abc import Iterator
from math import nan

import numpy as np

from toolpaths.base.checks import Floats
from toolpaths.facts.features.feature import Feature
from toolpaths.facts.features.tabs_meant import TabsMeant
from toolpaths.judging.checks.holding.tabs_across import Standing, tabs_across
from toolpaths.judging.checks.part.wall_places import Wall, wall_of
from toolpaths.judging.checks.part.wood_at import slack_in
from toolpaths.judging.trial.case import Case, Trial, distinct
from toolpaths.judging.trial.exact_heights import first_below
from toolpaths.judging.trial.findings import NOWHERE, ROUNDING, Finding

# mm by which the width of a tab may be off: it is looked at in steps along the cut.
_WIDTH_OFF = 0.25


def tabs_as_meant(trial: Trial) -> Iterator[Finding]:
    """Fewer or more tabs hold across a cut than are meant, or smaller or larger ones."""
    part, case = trial.part, trial.case
    if part is None:
        return
    slack, underside = slack_in(trial, part), case.fixture.underside_z
    features = [(f, meant) for f in part.cut_from(case.fixture.side) if (meant := f.tabs_meant(slack))]
    for (feature, meant), found in zip(features, tabs_across(trial, part, features), strict=True):
        if found is None and feature.waste_side:
            continue
        if found is None:
            yield Finding(
                "tab-count", "damage", 0, NOWHERE, nan, float(meant.number),
                f"along the {feature.name} more wood stands above its floor than {meant.number} tabs; it is not cut "
                "down to its floor.",
            )  # fmt: skip
            continue
        if len(found) != meant.number:
            at = _place(case, found[0].middle, underside) if found else NOWHERE
            if found and len(found) < meant.number:
                bare = _longest_without(wall_of(case.fixture.place(meant.middle)), found)
                at = _place(case, bare, underside)
            # In a blind cut nothing comes loose for want of a tab.
            severity = "danger" if feature.floor(underside) <= underside else "damage"
            yield Finding(
                "tab-count", severity, 0, at, float(len(found)), float(meant.number),
                f"{_number(len(found))} across the {feature.name}, and {meant.number} are meant.",
            )  # fmt: skip
        for tab in found:
            yield from _size(trial, feature, meant, tab, part.within + ROUNDING)


def _size(trial: Trial, feature: Feature, meant: TabsMeant, tab: Standing, within: float) -> Iterator[Finding]:
    """A tab that is not as wide or as high as it is meant to be."""
    case = trial.case
    floor = max(feature.floor(case.fixture.underside_z), case.fixture.underside_z)
    at = _place(case, tab.middle, floor)
    if meant.height and tab.height < meant.height - within:
        amount, limit, words, where = tab.height, meant.height, "high", tab.crest
    elif meant.width and tab.width < meant.width - _WIDTH_OFF:
        amount, limit, words, where = tab.width, meant.width, "wide", tab.low
    elif meant.height and tab.height > meant.height + within:
        yield Finding(
            "tab-size", "doubt", 0, at, tab.height, meant.height,
            f"a tab across the {feature.name} is {tab.height:.2f} mm high, and {meant.height:g} mm is meant: more has "
            "to be cut off.",
        )  # fmt: skip
        return
    elif tab.length > meant.longest and not feature.waste_side:
        amount, limit, words, where = tab.length, meant.longest, "long, slopes and all", tab.low
    else:
        return
    # What took it down to less than was meant, last of all, is at fault.
    moves = first_below(case, where, np.full(len(where), floor + meant.height - within))
    line = int(case.moves.line[moves.max()]) if (moves >= 0).any() else 0
    yield Finding(
        "tab-size", "damage", line, at, amount, limit,
        f"a tab across the {feature.name} is {amount:.2f} mm {words}, and {limit:g} mm is meant.",
    )  # fmt: skip


def _longest_without(cut: Wall, found: list[Standing]) -> Floats:
    """(2,) the middle of the longest stretch along the middle line of a cut on which no tab stands.

    found : the tabs that stand across it, at least one
    """
    middles = np.array([tab.middle for tab in found])
    nearest = [int(np.hypot(*(cut.at - middle).T).argmin()) for middle in middles]
    longest, place = 0.0, cut.at[0]
    for ring in distinct(cut.ring):
        mine = np.flatnonzero(cut.ring == ring)
        around = float(cut.step[mine].sum())
        along = np.cumsum(cut.step[mine]) - cut.step[mine]
        stand = np.sort(along[[index - mine[0] for index in nearest if cut.ring[index] == ring]])
        begin = stand if len(stand) else np.zeros(1)
        without = np.diff(begin, append=begin[0] + around)
        nth = int(without.argmax())
        if without[nth] > longest:
            halfway = (begin[nth] + without[nth] / 2) % around
            longest, place = float(without[nth]), cut.at[mine[np.searchsorted(along, halfway, "right") - 1]]
    return np.asarray(place)


def _place(case: Case, middle: Floats, z: float) -> tuple[float, float, float]:
    x, y = middle.tolist()
    return case.point(x, y, z)


def _number(count: int) -> str:
    return {0: "no tab stands", 1: "1 tab stands"}.get(count, f"{count} tabs stand")
