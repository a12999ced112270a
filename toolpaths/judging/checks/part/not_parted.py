"""Cuts that should part the board, and do not."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from toolpaths.base.checks import Floats
from toolpaths.facts.features.parting import Parting
from toolpaths.facts.features.slack import Slack
from toolpaths.facts.features.within_reach import reached
from toolpaths.judging.checks.part.nearest_cut import nearest_cut
from toolpaths.judging.checks.part.wall_places import BESIDE, SPACING, WHISKER, Wall, stretches, wall_of
from toolpaths.judging.checks.part.wood_at import NOTHING, at_each, slack_in, standing_at
from toolpaths.judging.trial.case import Trial
from toolpaths.judging.trial.findings import Finding
from toolpaths.judging.wood.sweep import Flags, Ints

# The share of a wall that tabs may take together (see Parting.tabs); where more stands, it is not cut through yet.
MOST_TABS = 0.4
# mm2 by which an area without inner corners may come out smaller than its hull.
_HAIR = 1e-6
# mm out in the waste at which a cut is looked for that is not where the wall is.
_OFF = (0.05, 0.1, 0.15, 0.2, 0.3, 0.5, 0.75, 1.0, 1.5, 2.0)


class _Cut(NamedTuple):
    """The wall along which a feature should part the board, and what stands beside it.

    points : (k, 2) in the waste beside the places of the wall; stands : (k,) mm of wood there
    thin : mm of wood that may stay
    """

    feature: Parting
    wall: Wall
    points: Floats
    stands: Floats
    hangs: Flags
    thin: float


class _Stretch(NamedTuple):
    """Where the board hangs together along a cut: which places of its wall, and so many mm of it."""

    cut: _Cut
    places: Ints
    long: float


def not_parted(trial: Trial) -> Iterator[Finding]:
    """A cut that should part the board, but where it still hangs together by more than tabs."""
    hanging = [stretch for cut in _cuts(trial) for stretch in _hanging(cut)]
    # A tab reaches across the cut; what is cut through beside the wall all along is a wall out of place.
    off = _off_by(trial, hanging, [0.0] * len(hanging))
    wrong = [stretch for stretch, by in zip(hanging, off, strict=True) if by or not _may_be_tab(stretch)]
    off = _off_by(trial, wrong, [0.0 if each.cut.feature.tabs == 0 else MOST_TABS * each.long for each in wrong])
    for stretch, by in zip(wrong, off, strict=True):
        yield _finding(trial, stretch, by)


def _cuts(trial: Trial) -> list[_Cut]:
    """Every parting of this side, all looked at together: each look at the wood goes through all the moves."""
    if trial.part is None:
        return []
    slack = slack_in(trial, trial.part)
    found = []
    for feature in trial.part.partings(trial.case.fixture.side):
        wall = wall_of(trial.case.fixture.place(feature.area))
        away = (-1 if feature.waste == "inside" else 1) * (slack.sideways(feature.area) + BESIDE)
        found.append((feature, wall, wall.beside(away)))
    standing = at_each(standing_at, trial, [points for *_, points in found])
    cuts = []
    for (feature, wall, points), stands in zip(found, standing, strict=True):
        thin = max(feature.skin + slack.within, NOTHING)
        hangs = stands > thin
        hangs[hangs] = _gets_to(trial, feature, slack, points[hangs])
        cuts.append(_Cut(feature, wall, points, stands, hangs, thin))
    return cuts


def _gets_to(trial: Trial, feature: Parting, slack: Slack, places: Floats) -> Flags:
    """(k,) whether the cutter of a parting gets to places (k, 2) beside its wall."""
    fixture = trial.case.fixture
    # Waste beyond the board is air.
    on_board = shapely.contains_xy(fixture.board.outline, *places.T)
    area = fixture.place(feature.area)
    if feature.waste == "outside" and shapely.convex_hull(area).area - area.area < _HAIR:
        # Around what has no inner corner any cutter gets everywhere.
        return np.asarray(on_board)
    corner = slack.finest(feature.area)[0] if feature.corners is None else feature.corners
    if feature.waste == "outside":
        area = shapely.difference(_box_about(area, max(4 * corner, SPACING)), area)
    return np.asarray(on_board & reached(area, corner, places))


def _box_about(area: BaseGeometry, wider: float) -> BaseGeometry:
    left, low, right, high = area.bounds
    return shapely.box(left - wider, low - wider, right + wider, high + wider)


def _hanging(cut: _Cut) -> Iterator[_Stretch]:
    for places in stretches(cut.wall, cut.hangs):
        long = float(cut.wall.step[places].sum())
        if long >= WHISKER:
            yield _Stretch(cut, places, long)


def _may_be_tab(stretch: _Stretch) -> bool:
    feature, wall, hangs = stretch.cut.feature, stretch.cut.wall, stretch.cut.hangs
    ring = wall.ring == wall.ring[stretch.places[0]]
    bridged, whole = wall.step[ring & hangs].sum(), wall.step[ring].sum()
    few = feature.tabs is not None or bridged <= MOST_TABS * whole
    return feature.tabs != 0 and few and stretch.long <= feature.tab_length


def _off_by(trial: Trial, hanging: list[_Stretch], tabs: list[float]) -> list[float]:
    """How far out in the waste each stretch is cut through, but for so many mm of tabs; 0 if not near by.

    All together, as in _cuts().
    """
    found = [0.0] * len(hanging)
    # Most are tabs, in the middle of which wood stands however far out.
    middles = [stretch.places[[len(stretch.places) // 2]] for stretch in hanging]
    tried = [
        np.concatenate([_out_by(stretch.cut, middle, off) for off in _OFF])
        for stretch, middle in zip(hanging, middles, strict=True)
    ]
    left = {
        number: stretch.places
        for number, (stretch, middle, stands) in enumerate(
            zip(hanging, middles, at_each(standing_at, trial, tried), strict=True)
        )
        if not (stands > stretch.cut.thin).all() or stretch.cut.wall.step[middle].sum() <= tabs[number]
    }
    for off in _OFF:
        if not left:
            break
        looked = [_out_by(hanging[number].cut, places, off) for number, places in left.items()]
        for (number, places), stands in zip(list(left.items()), at_each(standing_at, trial, looked), strict=True):
            cut = hanging[number].cut
            left[number] = places[stands > cut.thin]
            if cut.wall.step[left[number]].sum() <= tabs[number]:
                found[number] = off
                del left[number]
    return found


def _out_by(cut: _Cut, places: Ints, off: float) -> Floats:
    """(k, 2) places so far out in the waste from these of the wall."""
    away = cut.points[places] - cut.wall.at[places]
    return np.asarray(cut.wall.at[places] + off * away / np.hypot(*away.T)[:, None])


def _finding(trial: Trial, stretch: _Stretch, off: float) -> Finding:
    cut, long = stretch.cut, stretch.long
    worst = stretch.places[int(cut.stands[stretch.places].argmax())]
    x, y = cut.points[worst].tolist()
    place = trial.case.point(x, y, trial.case.fixture.underside_z)
    text = (
        f"the board still hangs together along {long:.1f} mm of the {cut.feature.name}, {cut.stands[worst]:.2f} mm "
        "thick at most; cut through there, or say in the part which tabs or skin are meant."
    )
    if off:
        text = (
            f"the cut along the {cut.feature.name} lies up to {off:.2f} mm too far out in its waste, along "
            f"{long:.1f} mm; the part keeps that much too much there."
        )
    near = None if off else nearest_cut(trial.case, x, y, trial.case.fixture.underside_z, cut.feature.name)
    if near:
        text = f"{text[:-1]}; {near.words}."
    return Finding("not-parted", "damage", near.line if near else 0, place, float(cut.stands[worst]), 0.0, text)
