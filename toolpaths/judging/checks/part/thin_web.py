"""The web: what is left between a cut from one face and one from the other, the way of an undercut cutter's head
included."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from toolpaths.base.long_outlines import buffered
from toolpaths.facts.fixture import Fixture
from toolpaths.facts.part import Part
from toolpaths.facts.turning import Side
from toolpaths.judging.checks.part.no_web import no_web
from toolpaths.judging.checks.part.target import lowest_here
from toolpaths.judging.checks.part.wood_at import NOTHING, has_wood
from toolpaths.judging.trial.case import Trial
from toolpaths.judging.trial.exact_heights import first_below
from toolpaths.judging.trial.findings import Finding
from toolpaths.judging.trial.undercuts import lowest_faces, undercuts_of
from toolpaths.judging.wood.field import Heights, one_height
from toolpaths.judging.wood.patches import centres, spread_over
from toolpaths.judging.wood.raster import covered
from toolpaths.judging.wood.regions import label
from toolpaths.judging.wood.sweep import Flags


def thin_webs(trial: Trial) -> Iterator[Finding]:
    """Less wood left between a cut from this face and one from the other than the user allows."""
    if not trial.thinnest_web:
        return
    (top, bottom), before = lowest_faces(trial.after), lowest_faces(trial.before)[0]
    left, heads = top - bottom, undercuts_of(trial.case)
    thin = _cut_from_both(trial, top, bottom) & (left < trial.thinnest_web)
    thin &= has_wood(trial.before) & (before > top)
    if thin.any():
        thin &= ~trial.once(of_no_part)
    patches = label(thin)
    for number in range(len(patches.area)):
        cells = patches.cells(number)
        web = np.maximum(left.reshape(-1)[cells], 0.0)
        worst = int(web.argmin())
        # The thinnest place, and others spread over the patch, show which lines did it.
        looked = spread_over(cells, worst)
        limit = np.broadcast_to(bottom, left.shape).reshape(-1)[cells[looked]].astype(np.float64) + trial.thinnest_web
        places = centres(trial.after.grid, cells[looked])
        moves = np.append(first_below(trial.case, places, limit), heads.over(places, limit))
        lines = np.unique(trial.case.moves.line[moves[moves >= 0]]).tolist() or [0]
        x, y = centres(trial.after.grid, cells[[worst]])[0].tolist()
        at = trial.case.point(x, y, float(top.reshape(-1)[cells[worst]]))
        what = f"only {web[worst]:.2f} mm of wood is" if web[worst] > NOTHING else "no wood at all is"
        yield Finding(
            "thin-web", "damage", lines[0], at, float(web[worst]), trial.thinnest_web,
            f"{what} left between this cut and one from the other side, over "
            f"{len(cells) * trial.after.cell**2:.1f} mm2; {trial.thinnest_web:g} mm is wanted. Cut one of them less "
            "deep.",
            len(lines), tuple(lines),
        )  # fmt: skip


def thinnest(trial: Trial) -> Iterator[str]:
    """The thinnest place between a cut from this face and one from the other, where there is one."""
    stock = trial.after
    top, bottom = lowest_faces(stock)
    if one_height(bottom):
        return
    both = _cut_from_both(trial, top, bottom) & has_wood(stock)
    if both.any():
        both &= ~trial.once(of_no_part)
    cells = np.flatnonzero(both)
    if not len(cells):
        return
    left = np.maximum(top.reshape(-1)[cells] - bottom.reshape(-1)[cells], 0.0)
    least = int(left.argmin())
    x, y = centres(stock.grid, cells[[least]])[0].tolist()
    x, y, _ = trial.case.point(x, y, 0.0)
    yield f"the thinnest web between the two sides is {left[least]:.2f} mm, near X{x:.1f} Y{y:.1f}."


def _cut_from_both(trial: Trial, top: Heights, bottom: Heights) -> Flags:
    """(rows, columns) cells cut from the upper face and from that on which the board lies."""
    underside = trial.case.fixture.underside_z
    return np.asarray((top < -NOTHING) & (bottom > np.float32(underside + NOTHING)))


def of_no_part(trial: Trial) -> Flags:
    """(rows, columns) cells in which no web of the part stands."""
    found, part, fixture = trial.once(no_web).copy(), trial.part, trial.case.fixture
    if part is not None:
        # Where the part is meant to be open, nothing is meant to be left.
        found |= trial.once(lowest_here).open_over(trial.after.grid)
        found |= covered(_opened(part, fixture), trial.after.grid)
    return found


def _opened(part: Part, fixture: Fixture) -> BaseGeometry:
    """The full width of every cut meant to go right through, from either side, as it lies.

    The feather that the point of a drill or a rounded corner leaves at the far rim is no web.
    """
    undersides: dict[Side, float] = {"front": -part.board.thickness, "back": -part.board.thickness}
    undersides[fixture.side] = fixture.underside_z
    areas = [
        buffered(feature.shape, feature.reach + part.within)
        for side, underside in undersides.items()
        for feature in part.cut_from(side)
        if feature.goes_through(underside) and not feature.waste_side
    ]
    return fixture.place(shapely.union_all(areas))
