"""Recesses from both faces that meet, though the part says of neither that it goes through."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import shapely
from shapely import STRtree
from shapely.geometry.base import BaseGeometry

from toolpaths.facts.features.feature import Feature
from toolpaths.facts.part import Part
from toolpaths.judging.checks.part.no_web import no_web
from toolpaths.judging.checks.part.wood_at import has_wood
from toolpaths.judging.trial.case import Trial
from toolpaths.judging.trial.exact_heights import first_below
from toolpaths.judging.trial.findings import Finding
from toolpaths.judging.trial.undercuts import lowest_faces, undercuts_of
from toolpaths.judging.wood.patches import centres, spread_over
from toolpaths.judging.wood.raster import covered

# mm2; less is where two walls touch.
_TOUCH = 1.0


def recesses_meet(trial: Trial) -> Iterator[Finding]:
    """Two recesses, one from each face, that lie over each other in part, and open the board where they do; or whose
    floors meet so nearly that it is left to chance whether they open it."""
    part, case = trial.part, trial.case
    # Where a web was asked for, that there is none is a finding of its own.
    if part is None or trial.thinnest_web:
        return
    found = list(_over_each_other(part))
    if not found:
        return
    top, bottom = lowest_faces(trial.after)
    left = np.asarray(top - bottom)
    cut_open = has_wood(trial.before) & ~np.asarray(left > part.within)
    for first, second, both, by_chance in found:
        cells = covered(case.fixture.place(both), trial.after.grid) & cut_open
        opened = np.flatnonzero(cells & ~trial.once(no_web))
        if not len(opened):
            continue
        places = centres(trial.after.grid, opened)
        x, y = places[len(places) // 2].tolist()
        looked = spread_over(opened, 0)
        limit = np.broadcast_to(bottom, cut_open.shape).reshape(-1)[opened[looked]].astype(np.float64) + part.within
        heads = undercuts_of(case).over(places[looked], limit)
        moves = np.append(first_below(case, places[looked], limit), heads)
        line = int(case.moves.line[moves[moves >= 0].min()]) if (moves >= 0).any() else 0
        area = len(opened) * trial.after.cell**2
        at = case.point(x, y, -part.board.thickness)
        if by_chance:
            web = max(float(left.reshape(-1)[opened].min()), 0.0)
            said = (
                f"the floors of the {first} and of the {second} from the other side meet: {web:.2f} mm of wood is left "
                f"between them over {area:.1f} mm2, or a hole, as it happens. Cut one of them less deep, or through() "
                "where the board is to be open."
            )
        else:
            said = (
                f"the {first} and the {second} from the other side meet and leave a hole of {area:.1f} mm2; make one "
                "of them less deep, unless that is meant."
            )
        yield Finding("recesses-meet", "doubt", line, at, area, 0.0, said)


def _over_each_other(part: Part) -> Iterator[tuple[str, str, BaseGeometry, bool]]:
    """Pairs of recesses that meet by their depths, the area in which they do, and whether by no more than a floor may
    be off. Each lies over the other in part only: one wholly within the other is a stepped opening, such as a hole into
    a tray of the other side, but where their depths are just that of the board; and a hanger slot has a floor."""
    underside = -part.board.thickness
    front, back = ([f for f in side if f.level and not f.goes_through(underside)] for side in (part.front, part.back))
    if not front or not back:
        return
    shapes, others = [_widest(f) for f in front], [_widest(f) for f in back]
    pairs = STRtree(others).query(shapes, predicate="intersects")
    for i, j in pairs.T.tolist():
        one, other, both = front[i], back[j], shapely.intersection(shapes[i], others[j])
        web = one.floor(underside) + other.floor(underside) - underside
        by_chance = abs(web) <= part.within
        in_part = both.area < min(shapes[i].area, others[j].area) - _TOUCH
        counts = in_part or by_chance or one.undercuts() or other.undercuts()
        if web <= part.within and both.area > _TOUCH and counts:
            yield one.name, other.name, both, by_chance


def _widest(feature: Feature) -> BaseGeometry:
    """The area of a level feature, what it takes below its shoulders included."""
    under = [undercut.area for undercut in feature.undercuts()]
    return shapely.union_all([feature.shape, *under]) if under else feature.shape
