"""The part after the last program: how deep its faces lie, exactly, at any place."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry

from toolpaths.base.checks import Floats
from toolpaths.facts.contents import PartContent
from toolpaths.facts.turning import SIDES, Side, turned_points
from toolpaths.judging.job_programs import Judged
from toolpaths.judging.trial.case import Case
from toolpaths.judging.trial.exact_heights import face_at
from toolpaths.judging.trial.undercuts import undercuts_of

# Places looked at in an area, about, and along its edge; and mm between them where fewer do.
_MOST, _CLOSE = 20_000, 0.5
# mm: wood that is thinner is none.
_NOTHING = 1e-6
Bools = NDArray[np.bool_]


def contents_meant(programs: tuple[Judged, ...]) -> Iterator[PartContent]:
    """What is to go into the part; nothing where no part is known, or it is laid wrong."""
    part = programs[-1].trial.part
    if part is not None and not any(program.laid_wrong for program in programs):
        yield from part.contents


def within_of(programs: tuple[Judged, ...]) -> float:
    """mm that a wall or a floor of the part may be off."""
    part = programs[-1].trial.part
    return part.within if part is not None else 0.0


def cut_depth(programs: tuple[Judged, ...], face: Side, places: Floats) -> Floats:
    """(k,) mm below a face of the board before any work to which it is cut at places (k, 2), seen from the front.

    Without end where there is no wood at all: off the board, where it is cut through from either side, and in what
    falls out or off at a parting.
    """
    depth = cut_from(_cases(programs), face, places)
    return np.where(wood_left(programs, places) > 0, depth, np.inf)


def wood_left(programs: tuple[Judged, ...], places: Floats) -> Floats:
    """(k,) mm of wood between the faces at places (k, 2), of shoulders over an undercut none; 0 where there is none."""
    board = programs[0].setting.fixture.board
    cases = _cases(programs)
    front, back = (np.maximum(cut_from(cases, face, places), _undercut_from(cases, face, places)) for face in SIDES)
    left = board.thickness - front - back
    on_board = ((places >= 0) & (places <= [board.width, board.height])).all(axis=1)
    return np.where(on_board & (left > _NOTHING) & ~_in_waste(programs, places), left, 0.0)


def cut_from(cases: Iterable[Case], face: Side, places: Floats) -> Floats:
    """(k,) mm below a face of the board to which programs cut from it at places (k, 2), seen from the front."""
    depth = np.zeros(len(places))
    for case in cases:
        fixture = case.fixture
        if fixture.side == face:
            there = turned_points(places, fixture.board, fixture.turned)
            depth = np.maximum(depth, -face_at((case,), there))
    return depth


def _undercut_from(cases: Iterable[Case], face: Side, places: Floats) -> Floats:
    """(k,) mm below a face of the board to which heads have been below its wood at places (k, 2), as cut_from()."""
    depth = np.zeros(len(places))
    for case in cases:
        fixture = case.fixture
        if fixture.side == face and case.undercutting:
            there = turned_points(places, fixture.board, fixture.turned)
            depth = np.maximum(depth, -undercuts_of(case).floor_over(there))
    return depth


def _cases(programs: tuple[Judged, ...]) -> tuple[Case, ...]:
    return tuple(program.case for program in programs)


def _in_waste(programs: tuple[Judged, ...], places: Floats) -> Bools:
    """Which places lie in wood that a parting sets free: within an opening, or outside everything that is cut out."""
    part = programs[-1].trial.part
    partings = part.partings() if part is not None else ()
    cut_out = [parting.area for parting in partings if parting.waste == "outside"]
    openings = [parting.area for parting in partings if parting.waste == "inside"]
    waste = ~_within_any(cut_out, places) if cut_out else np.zeros(len(places), dtype=bool)
    for opening in openings:
        # What is cut out of an opening's wood is another part, and no waste.
        parts_in_it = [area for area in cut_out if opening.contains(area)]
        waste |= shapely.contains_xy(opening, places) & ~_within_any(parts_in_it, places)
    return waste


def _within_any(areas: list[Polygon | MultiPolygon], places: Floats) -> Bools:
    return np.asarray(shapely.contains_xy(shapely.union_all(areas), places), dtype=bool)


def places_in_area(area: BaseGeometry) -> Floats:
    """(k, 2) places all over an area and along its outline, each of its corners among them."""
    left, low, right, high = area.bounds
    step = max(_CLOSE, float(np.sqrt((right - left) * (high - low) / _MOST)))
    along = max(_CLOSE / 4, area.length / _MOST)
    edge = shapely.get_coordinates(shapely.segmentize(area.boundary, along))
    xs, ys = (np.arange(a + step / 2, b, step) for a, b in ((left, right), (low, high)))
    inner = np.stack(np.meshgrid(xs, ys), axis=-1).reshape(-1, 2)
    inner = inner[shapely.contains_xy(area, inner)] if len(inner) else inner
    return np.vstack([edge, inner])
