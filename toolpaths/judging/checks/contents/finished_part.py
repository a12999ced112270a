"""The part after the last program: how deep its faces lie, exactly, at any place."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from toolpaths.base.checks import Floats
from toolpaths.facts.contents import Content, Face
from toolpaths.facts.turning import turned_points
from toolpaths.judging.job_programs import Judged
from toolpaths.judging.trial.exact_heights import face_at

# Places looked at in an area, about, and along its edge; and mm between them where fewer do.
_MOST, _CLOSE = 20_000, 0.5


def contents_meant(programs: tuple[Judged, ...]) -> Iterator[Content]:
    """What is to go into the part; nothing where no part is known, or it is laid wrong."""
    part = programs[-1].trial.part
    if part is not None and not any(program.laid_wrong for program in programs):
        yield from part.contents


def within_of(programs: tuple[Judged, ...]) -> float:
    """mm that a wall or a floor of the part may be off."""
    part = programs[-1].trial.part
    return part.within if part is not None else 0.0


def cut_depth(programs: tuple[Judged, ...], face: Face, places: Floats) -> Floats:
    """(k,) mm below a face of the board before any work to which it is cut at places (k, 2), seen from the front.

    Without end off the board, where nothing stands in the way.
    """
    board = programs[0].setting.fixture.board
    depth = np.zeros(len(places))
    for program in programs:
        fixture = program.setting.fixture
        if fixture.side == face:
            there = turned_points(places, fixture.board, fixture.turned)
            depth = np.maximum(depth, -face_at((program.case,), there))
    on_board = ((places >= 0) & (places <= [board.width, board.height])).all(axis=1)
    return np.where(on_board, depth, np.inf)


def wood_left(programs: tuple[Judged, ...], places: Floats) -> Floats:
    """(k,) mm of wood between the faces at places (k, 2); 0 where there is none."""
    thickness = programs[0].setting.fixture.board.thickness
    return np.maximum(thickness - cut_depth(programs, "front", places) - cut_depth(programs, "back", places), 0.0)


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
