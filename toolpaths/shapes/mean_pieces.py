"""The mean of a shape and its mirror images: the pieces that stand for all of it, in the frame of its mirror lines."""

from __future__ import annotations

import numpy as np
from shapely import LinearRing, Polygon

from toolpaths.base.checks import Floats
from toolpaths.base.errors import Point
from toolpaths.shapes import arc_fit, door
from toolpaths.shapes.matched_outlines import mean_of_halves, mean_of_two, places_for, sampled
from toolpaths.shapes.mirror_axis import local
from toolpaths.shapes.mirrored_pieces import Piece, chords_of
from toolpaths.shapes.symmetry import MirrorLine

# Share of the tolerance for taking an outline as lines and arcs before it is averaged.
_TAKEN = 0.5
# mm that its chords then lie inside its arcs, so that the mean of two arcs alike is known for the same arc.
_CHORDS = 1e-4
# Holes of which one is so many times as large as the other are no pair.
_UNLIKE = 2.0


def mean_pieces(shape: Polygon, upright: MirrorLine, two: bool, tolerance: float) -> list[Piece]:
    """What stands for the mean of a shape and its images, in the frame of its mirror lines."""
    drawn = []
    for ring in door.rings_points(shape):
        # As lines and arcs, so that a vertex of noise is no corner.
        taken = arc_fit.fit(local(upright, ring), True, _TAKEN * tolerance)
        drawn.append(chords_of(list(taken.segments), _CHORDS))
    halves = _mean_halves(drawn)
    if not two:
        return halves
    whole: list[Floats] = []
    keeps: list[str] = []
    for half in halves:
        image = half.points * [-1.0, 1.0]
        if half.begins is None:
            whole += [half.points, image]
            keeps += ["all", "none"]
        else:
            whole.append(np.vstack([half.points, image[-2:0:-1]]))
            keeps.append("right part")
    # The other line is x = 0 where x and y change places.
    try:
        found = _mean_halves_of([ring[:, ::-1] for ring in whole], keeps)
    except NoPartner as error:
        raise NoPartner(error.place[::-1]) from None
    pieces = []
    for piece, keep in zip(*found):
        turned = piece._replace(points=piece.points[:, ::-1], begins=_other(piece.begins), ends=_other(piece.ends))
        if keep != "none":
            pieces.append(turned if keep == "all" else _right_part(turned))
    return pieces


def _other(axis: int | None) -> int | None:
    return None if axis is None else 1 - axis


def _mean_halves(rings: list[Floats]) -> list[Piece]:
    """The mean of each outline and its image in x = 0, what of it lies on the right."""
    return _mean_halves_of(rings, [""] * len(rings))[0]


def _mean_halves_of(rings: list[Floats], labels: list[str]) -> tuple[list[Piece], list[str]]:
    """The same, with the label of the outline that each came from."""
    pieces, kept = [], []
    rings = [ring if LinearRing(ring).is_ccw else ring[::-1] for ring in rings]
    for one, other in _partners(rings):
        count = places_for(LinearRing(rings[one]).length)
        if one == other:
            points, corners = mean_of_halves(sampled(rings[one], count))
            points[0, 0] = points[-1, 0] = 0.0
            piece = Piece(points, tuple(corners), 0, 0)
        else:
            points, corners = mean_of_two(sampled(rings[one], count), sampled(rings[other], count))
            piece = Piece(points, tuple(corners))
        if points[:, 0].mean() < 0:
            piece = piece._replace(points=points * [-1.0, 1.0])
        pieces.append(piece)
        kept.append(labels[one])
    return pieces, kept


def _partners(rings: list[Floats]) -> list[tuple[int, int]]:
    """Which outline is the image of which in x = 0; the first, outside, is its own."""
    polygons = [Polygon(ring) for ring in rings]
    middles = np.array([(polygon.centroid.x, polygon.centroid.y) for polygon in polygons])
    areas = np.array([polygon.area for polygon in polygons])
    images = middles * [-1.0, 1.0]
    apart = np.hypot(*(images[:, None] - middles[None]).transpose(2, 0, 1))
    # The outside is no partner of a hole.
    apart[0, 1:] = apart[1:, 0] = np.inf
    nearest = apart.argmin(axis=1)
    found = []
    for k, other in enumerate(nearest.tolist()):
        unlike = max(areas[k], areas[other]) > _UNLIKE * min(areas[k], areas[other])
        beside = k == other and rings[k][:, 0].min() * rings[k][:, 0].max() > 0
        if nearest[other] != k or unlike or beside:
            raise NoPartner((float(middles[k][0]), float(middles[k][1])))
        if k <= other:
            found.append((k, other))
    return found


class NoPartner(Exception):
    """A hole that has none, in the frame of the mirror line."""

    def __init__(self, place: Point) -> None:
        super().__init__(place)
        self.place = place


def _right_part(piece: Piece) -> Piece:
    """What of a piece that passes over x = 0 lies to the right of it."""
    points, corners = piece.points, np.zeros(len(piece.points), dtype=bool)
    corners[list(piece.corners)] = True
    if piece.begins is None:
        begin = int(np.argmin(points[:, 0]))
        points, corners = np.roll(points, -begin, axis=0), np.roll(corners, -begin)
        points, corners = np.vstack([points, points[:1]]), np.append(corners, corners[0])
    inside = np.flatnonzero(points[:, 0] > 0)
    first, last = int(inside[0]), int(inside[-1])
    ends = [piece.begins, piece.ends]
    kept, numbers = [points[first : last + 1]], corners[first : last + 1]
    if first > 0:
        kept, numbers, ends[0] = [_crossing(points[first - 1 : first + 1]), *kept], np.append(False, numbers), 0
    if last < len(points) - 1:
        kept, numbers, ends[1] = [*kept, _crossing(points[last : last + 2])], np.append(numbers, False), 0
    return Piece(np.vstack(kept), tuple(np.flatnonzero(numbers).tolist()), *ends)


def _crossing(points: Floats) -> Floats:
    """(1, 2) where a chord crosses x = 0."""
    (u0, v0), (u1, v1) = points.tolist()
    return np.array([[0.0, v0 + (v1 - v0) * u0 / (u0 - u1)]])
