"""A section: the board cut along a line, both its faces, with every floor and wall measured."""

from __future__ import annotations

from math import dist

import numpy as np
import shapely
from shapely import LineString, Polygon

from toolpaths.base.checks import Floats, instance, point
from toolpaths.base.errors import InputError, Point
from toolpaths.judging.trial.undercuts import cavities
from toolpaths.judging.wood.field import Wood
from toolpaths.show import ordinates
from toolpaths.show.drawing import PLAIN, SMALL, THICK, Frame, area, line, scale_text, words
from toolpaths.show.lengths import MM
from toolpaths.show.markup import Markup, joined
from toolpaths.show.palette import PALE

# A floor is level over so many mm at least, to within so much; and a wall is steeper than this.
_LEVEL_OVER, _LEVEL_WITHIN, _WALL = 1.5, 0.03, 1.0
# mm on paper above the board, for the title and webs.
_TITLE = 10.0
# More places than this along a section are no longer told apart on paper.
_MOST_PLACES = 20_000


def section_svg(wood: Wood, start: Point, end: Point) -> Markup:
    """An SVG drawing of the wood cut upright along a line, as the board lies.

    start, end : (x, y) from the lower-left corner of the board as it lies

    Heights are measured from the board's upper face as it was, lengths from the start of the line; where wood is left
    thinner than the board, how thick it is stands above it.

    >>> import toolpaths as tp
    >>> side = tp.Fixture(board=tp.Board(width=100, height=60, thickness=18))
    >>> T1 = tp.Cutter(1, tp.flat(6), feed_mm_min=1500, spindle_rpm=18000)
    >>> setup = tp.Setup(side, [tp.pocket(tp.circle(30, (50, 30)), T1, depth=5)])
    >>> stock = tp.simulate(tp.program_text(setup), side, [T1], cell=0.5).stock
    >>> drawing = tp.section_svg(stock, (0, 30), (100, 30))
    >>> all(f">{size}<" in drawing for size in ("0", "-5", "-18", "35", "65", "100", "13"))
    True

    Raises InputError for what is no Wood, for a line that has no length, and for ends off the board.
    """
    instance("wood", wood, Wood)
    (x0, y0), (x1, y1) = point("start", start), point("end", end)
    length = dist((x0, y0), (x1, y1))
    if length < wood.cell:
        raise InputError(f"A section from {(x0, y0)} to {(x1, y1)} has no length; give two places of the board.")
    board = wood.board
    if not board.outline.covers(LineString([(x0, y0), (x1, y1)])):
        raise InputError(
            f"A section from {(x0, y0)} to {(x1, y1)} leaves the board, {board.width:g} x {board.height:g} mm."
        )
    count = min(int(length / wood.cell * 2) + 2, _MOST_PLACES)
    along = np.linspace(0.0, length, count)
    share = along / length
    top, bottom = _faces(wood, x0 + (x1 - x0) * share, y0 + (y1 - y0) * share)
    thick = board.thickness
    hollows = _hollows(wood, LineString([(x0, y0), (x1, y1)]))
    walls = [0.0, length, *_walls(along, top, bottom)]
    levels = [0.0, -thick, *_floors(along, top), *_floors(along, bottom), *(round(z, 2) for _, z in hollows)]
    room_below, room_beside = ordinates.room_for(walls, 0.0), ordinates.room_for(levels, 0.0)
    frame = ordinates.frame_around(
        0.0, -thick, length, 0.0, above=_TITLE, room_below=room_below, room_beside=room_beside
    )
    title = (
        f"Section from {MM.place(x0, y0)} to {MM.place(x1, y1)}, as it lies, {scale_text(frame.scale)}, mm; "
        f"walls to within {wood.cell:g}."
    )
    return frame.svg(
        [
            area(frame, _cut_face(along, top, bottom, hollows), fill=PALE, style=PLAIN, width=THICK),
            ordinates.below(frame, -thick, walls, 0.0),
            ordinates.beside(frame, 0.0, levels, 0.0),
            [_web(frame, *web) for web in _webs(along, top, bottom, thick)],
            words(frame, frame.left, frame.high, title, down=SMALL),
        ],
        title,
    )


def _faces(wood: Wood, xs: Floats, ys: Floats) -> tuple[Floats, Floats]:
    """(n,) heights of both faces, those of the cell that each place is in; equal where no wood is left."""
    grid = wood.grid
    columns = np.clip(((xs - grid.left) // grid.cell).astype(np.intp), 0, grid.columns - 1)
    rows = np.clip(((ys - grid.low) // grid.cell).astype(np.intp), 0, grid.rows - 1)
    top, bottom = (np.asarray(face[rows, columns], np.float64) for face in (wood.top, wood.bottom))
    return np.maximum(top, bottom), bottom


def _hollows(wood: Wood, section: LineString) -> list[tuple[Polygon, float]]:
    """Where a section goes through what lies open under shoulders, along it and upright, and the ceiling there."""
    found = []
    for cavity in cavities(wood):
        for piece in shapely.get_parts(shapely.intersection(section, cavity.area)):
            if piece.length > 0:
                first, last = sorted(section.project(shapely.Point(end)) for end in (piece.coords[0], piece.coords[-1]))
                hollow = shapely.box(first, cavity.low, last, cavity.high)
                found.append((hollow, cavity.high if cavity.upper else cavity.low))
    return found


def _cut_face(
    along: Floats, top: Floats, bottom: Floats, hollows: list[tuple[Polygon, float]]
) -> shapely.MultiPolygon | Polygon:
    """The wood that the section goes through."""
    stands = top > bottom
    edges = np.flatnonzero(np.diff(stands.astype(int), prepend=0, append=0))
    pieces = [
        Polygon([*zip(along[a:b], top[a:b]), *zip(along[a:b][::-1], bottom[a:b][::-1])])
        for a, b in edges.reshape(-1, 2).tolist()
        if b - a > 1
    ]
    if not hollows:
        return shapely.MultiPolygon(pieces)
    return shapely.difference(shapely.union_all(pieces), shapely.union_all([hollow for hollow, _ in hollows]))


def _floors(along: Floats, face: Floats) -> list[float]:
    """Heights at which a face is level for a while."""
    steps = np.flatnonzero(np.abs(np.diff(face)) > _LEVEL_WITHIN)
    begins, ends = np.r_[0, steps + 1], np.r_[steps, len(face) - 1]
    level = (along[ends] - along[begins] >= _LEVEL_OVER) & (np.abs(face[ends] - face[begins]) <= _LEVEL_WITHIN)
    return [round(float(z), 2) for z in face[begins[level]]]


def _webs(along: Floats, top: Floats, bottom: Floats, thick: float) -> list[tuple[float, float, float]]:
    """Where wood stands less thick than the board over a level stretch: along, and both its faces; the longest stretch
    of each thickness."""
    same = (np.abs(np.diff(top)) <= _LEVEL_WITHIN) & (np.abs(np.diff(bottom)) <= _LEVEL_WITHIN)
    steps = np.flatnonzero(~same)
    begins, ends = np.r_[0, steps + 1], np.r_[steps, len(along) - 1]
    found: dict[float, tuple[float, int, int]] = {}
    for a, b in zip(begins.tolist(), ends.tolist()):
        web, long = round(float(top[a] - bottom[a]), 1), float(along[b] - along[a])
        if long >= _LEVEL_OVER and 0 < web < thick - _LEVEL_WITHIN and long > found.get(web, (0.0, 0, 0))[0]:
            found[web] = long, a, b
    return [(float(along[a] + along[b]) / 2, float(top[a]), float(bottom[a])) for _, a, b in found.values()]


def _web(frame: Frame, x: float, high: float, low: float) -> Markup:
    """How thick it is there, above it."""
    half = 0.8 * frame.scale
    return joined([
        line(frame, (x, low), (x, high + half)),
        [line(frame, (x - half, y), (x + half, y)) for y in (low, high)],
        words(frame, x, high, MM.of(round(high - low, 1)), down=-1.1, anchor="middle", halo=True),
    ])  # fmt: skip


def _walls(along: Floats, top: Floats, bottom: Floats) -> list[float]:
    """Where either face jumps."""
    found: list[float] = []
    for face in (top, bottom):
        jumps = np.flatnonzero(np.abs(np.diff(face)) > _WALL)
        # Of one wall that goes over several places the middle.
        for group in np.split(jumps, np.flatnonzero(np.diff(jumps) > 1) + 1):
            if len(group):
                found.append(float((along[group[0]] + along[group[-1] + 1]) / 2))
    return [round(at, 1) for at in found]
