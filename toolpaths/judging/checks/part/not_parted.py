"""Cuts that should part the board, and do not."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import shapely

from toolpaths.base.checks import Floats
from toolpaths.facts.features.parting import Parting
from toolpaths.facts.features.slack import reachable
from toolpaths.judging.checks.part.wall_places import BESIDE, SPACING, WHISKER, Wall, stretches, wall_of
from toolpaths.judging.checks.part.wood_at import NOTHING, slack_in, standing_at
from toolpaths.judging.trial.case import Trial
from toolpaths.judging.trial.findings import Finding
from toolpaths.judging.wood.sweep import Flags, Ints

# The share of a wall that tabs may take together (see Parting.tabs); where more stands, it is not cut through yet.
MOST_TABS = 0.4
# mm out in the waste at which a cut is looked for that is not where the wall is.
_OFF = (0.05, 0.1, 0.15, 0.2, 0.3, 0.5, 0.75, 1.0, 1.5, 2.0)


def not_parted(trial: Trial) -> Iterator[Finding]:
    """A cut that should part the board, but where it still hangs together by more than tabs."""
    if trial.part is None:
        return
    fixture, slack = trial.case.fixture, slack_in(trial, trial.part)
    for feature in trial.part.partings(fixture.side):
        area = fixture.place(feature.area)
        wall, inward = wall_of(area), feature.waste == "inside"
        room = area
        corner = slack.finest(feature.area)[0] if feature.corners is None else feature.corners
        if not inward:
            room = shapely.difference(shapely.buffer(area, max(4 * corner, SPACING)), area)
        # Waste beyond the board is air.
        room = shapely.intersection(reachable(room, corner), fixture.board.outline)
        points = wall.beside((-1 if inward else 1) * (slack.sideways(feature.area) + BESIDE))
        stands = standing_at(trial, points)
        thin = max(feature.skin + slack.within, NOTHING)
        hangs = (stands > thin) & shapely.contains_xy(room, points)
        yield from _hanging(trial, feature, wall, points, stands, hangs, thin)


def _hanging(
    trial: Trial, feature: Parting, wall: Wall, points: Floats, stands: Floats, hangs: Flags, thin: float
) -> Iterator[Finding]:
    whole = np.bincount(wall.ring, weights=wall.step)
    bridged = np.bincount(wall.ring, weights=wall.step * hangs)
    for stretch in stretches(wall, hangs):
        ring = wall.ring[stretch[0]]
        long = float(wall.step[stretch].sum())
        few = feature.tabs is not None or bridged[ring] <= MOST_TABS * whole[ring]
        if long < WHISKER:
            continue
        # A tab reaches across the cut; what is cut through beside the wall all along is a wall out of place.
        if feature.tabs != 0 and few and long <= feature.tab_length and not _off_by(trial, wall, points, stretch, thin):
            continue
        worst = stretch[int(stands[stretch].argmax())]
        x, y = points[worst].tolist()
        place = trial.case.point(x, y, -trial.after.board.thickness)
        text = (
            f"the board still hangs together along {long:.1f} mm of the {feature.name}, {stands[worst]:.2f} mm thick "
            "at most; cut through there, or say in the part which tabs or skin are meant."
        )
        off = _off_by(trial, wall, points, stretch, thin, 0.0 if feature.tabs == 0 else MOST_TABS * long)
        if off:
            text = (
                f"the cut along the {feature.name} lies up to {off:.2f} mm too far out in its waste, along "
                f"{long:.1f} mm; the part keeps that much too much there."
            )
        yield Finding("not-parted", "damage", 0, place, float(stands[worst]), 0.0, text)


def _off_by(trial: Trial, wall: Wall, points: Floats, stretch: Ints, thin: float, tabs: float = 0.0) -> float:
    """How far out in the waste a stretch is cut through, but for so many mm of tabs; 0 if not near by."""
    away = points[stretch] - wall.at[stretch]
    away /= np.hypot(*away.T)[:, None]
    for off in _OFF:
        stands = standing_at(trial, wall.at[stretch] + off * away) > thin
        stretch, away = stretch[stands], away[stands]
        if wall.step[stretch].sum() <= tabs:
            return off
    return 0.0
