"""The check of how many tabs hold across a cut, against what is meant."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import shapely

from toolpaths.judging.checks.holding.cut_through import SKIN
from toolpaths.judging.checks.part.not_parted import MOST_TABS
from toolpaths.judging.checks.part.wall_places import WHISKER, stretches, wall_of
from toolpaths.judging.checks.part.wood_at import finest_cuts, standing_at
from toolpaths.judging.trial.case import Trial
from toolpaths.judging.trial.findings import NOWHERE, ROUNDING, Finding

# Share of its radius that the axis keeps from all walls, those of a curve drawn in chords too.
_OFF_WALLS = 0.95


def tab_count(trial: Trial) -> Iterator[Finding]:
    """Fewer or more tabs hold across a cut than are meant."""
    case, fixture, part = trial.case, trial.case.fixture, trial.part
    finest = finest_cuts(case)
    if not part or not len(finest):
        return
    radius = float(finest[:, 0].min())
    for feature in part.partings(fixture.side):
        if feature.tabs is None:
            continue
        area = fixture.place(feature.area)
        wall, sign = wall_of(area), -1.0 if feature.waste == "inside" else 1.0
        # A tab reaches across the cut: it stands close to the wall, in the middle and on the far side.
        rows = [standing_at(trial, wall.beside(sign * share * radius)) for share in (0.25, 1.0, 1.75)]
        holds = np.min(rows, axis=0) >= max(SKIN - ROUNDING, feature.skin + part.within)
        # Nor is there one in a corner too sharp for the axis to run that far off both its walls.
        axis = max(radius, feature.corners or 0.0)
        away = shapely.distance(shapely.points(wall.beside(sign * axis)), area.boundary)
        holds &= away >= _OFF_WALLS * axis
        if (wall.step * holds).sum() > MOST_TABS * wall.step.sum():
            continue
        found = [s for s in stretches(wall, holds) if wall.step[s].sum() >= WHISKER]
        if len(found) == feature.tabs:
            continue
        places = np.array([[*wall.at[s[len(s) // 2]], -fixture.board.thickness] for s in found]).reshape(-1, 3)
        at = case.work(places)[0].tolist() if len(found) else NOWHERE
        yield Finding(
            "tab-count", "danger", 0, (at[0], at[1], at[2]), float(len(found)), float(feature.tabs),
            f"{_number(len(found))} across the {feature.name}, and {feature.tabs} are meant.",
        )  # fmt: skip


def _number(count: int) -> str:
    return {0: "no tab stands", 1: "1 tab stands"}.get(count, f"{count} tabs stand")
