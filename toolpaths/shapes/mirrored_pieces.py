"""The piece of a symmetrical outline that stands for all of it: as lines and arcs, and mirrored into the whole.

Of an outline that passes over a mirror line, the piece ends on that line. Where it passes over it smoothly, it does so
at a right angle, on an arc whose centre lies on the line, so that both sides together are one arc.
"""

from __future__ import annotations

from math import atan2, cos, hypot, pi, sin
from typing import NamedTuple

import numpy as np
from shapely import Polygon

from toolpaths.base.checks import Floats
from toolpaths.base.errors import Point
from toolpaths.shapes import arc_fit, door
from toolpaths.shapes.curves import arc, sweep_between
from toolpaths.shapes.symmetry import MirrorLine
from toolpaths.shapes.tangent import LARGEST_RADIUS
from toolpaths.shapes.tolerance_shares import DEFAULT_TOLERANCE, FLATTEN
from toolpaths.shapes.track import Segment, circle_track

# Directions at a mirror line within this of a right angle to it, radians, go on smoothly on its other side.
_SMOOTH = 0.17
# Points by which a piece is gone on with beyond a mirror line, to see how it passes over it.
_BEYOND = 60
# Tolerances that the arc over a mirror line may be off the points that it stands for.
_CLOSING = 2.0
# And of its length that it may be longer or shorter than they are.
_LONGER = 0.05


class Piece(NamedTuple):
    """Part of an outline in the frame of its mirror lines, x = 0 and y = 0.

    points : (n, 2); of a closed one the first is not repeated
    corners : numbers of those between its ends that are corners
    begins, ends : the coordinate, 0 or 1, that is 0 at its end on a mirror line; None for both where it is closed
    """

    points: Floats
    corners: tuple[int, ...] = ()
    begins: int | None = None
    ends: int | None = None

    def reversed(self) -> Piece:
        """The other way round."""
        last = len(self.points) - 1
        return Piece(self.points[::-1], tuple(last - k for k in reversed(self.corners)), self.ends, self.begins)


def fitted_piece(piece: Piece, tolerance: float) -> Piece:
    """The same as lines and arcs within a tolerance, in chords whose vertices lie on them; its corners kept."""
    if piece.begins is None:
        if not piece.corners:
            return Piece(
                chords_of(_circle(piece.points, tolerance) or [*arc_fit.fit(piece.points, True, tolerance).segments])
            )
        begun = np.roll(piece.points, -piece.corners[0], axis=0)
        cuts = [corner - piece.corners[0] for corner in piece.corners]
        parts = _parts(np.vstack([begun, begun[:1]]), cuts[1:])
        return Piece(chords_of([segment for part in parts for segment in _fitted(part, tolerance)]))
    circle = None if piece.corners else _about_the_lines(piece, tolerance)
    segments = circle or _fitted_open(piece, tolerance)
    points = np.vstack([chords_of(segments), [segments[-1].end]])
    points[0, piece.begins] = points[-1, piece.ends] = 0.0
    return Piece(points, (), piece.begins, piece.ends)


def chords_of(segments: list[Segment], sagitta: float = FLATTEN * DEFAULT_TOLERANCE) -> Floats:
    """(n, 2) segments end to end as chords within mm of them; the end of the last is not among them."""
    drawn = []
    for segment in segments:
        if segment.sweep == 0:
            drawn.append(np.array([segment.start]))
        else:
            drawn.append(arc(segment.centre, segment.start, segment.sweep, sagitta)[:-1])
    return np.vstack(drawn)


def _parts(points: Floats, cuts: list[int]) -> list[Floats]:
    return [points[a : b + 1] for a, b in zip([0, *cuts], [*cuts, len(points) - 1])]


def _fitted(points: Floats, tolerance: float) -> list[Segment]:
    """Lines and arcs within the tolerance of an open line; a single line where that does."""
    points = arc_fit.distinct(points, False)
    (x, y), (dx, dy) = points[0], points[-1] - points[0]
    length = hypot(dx, dy)
    if length > 0 and np.abs((points[:, 0] - x) * dy - (points[:, 1] - y) * dx).max() <= tolerance * length:
        return [Segment(_pair(points[0]), _pair(points[-1]))]
    return list(arc_fit.fit(points, False, tolerance).segments)


def _fitted_open(piece: Piece, tolerance: float) -> list[Segment]:
    """The lines and arcs of a piece from mirror line to mirror line."""
    parts = _parts(piece.points, list(piece.corners))
    found = [_fitted(part, tolerance) for part in parts]
    if len(parts) == 1:
        # Both its ends lie on mirror lines; it is parted where neither is near.
        over = _over_the_lines(piece, tolerance)
        return found[0] if over is None else over
    found[0] = _over_the_line(parts[0], piece.begins, tolerance) or found[0]
    over = _over_the_line(parts[-1][::-1], piece.ends, tolerance)
    if over is not None:
        found[-1] = [segment.reversed() for segment in reversed(over)]
    return [segment for part in found for segment in part]


def _over_the_line(points: Floats, axis: int | None, tolerance: float) -> list[Segment] | None:
    """An open line that begins on a mirror line and passes over it smoothly; None where it does not."""
    if axis is None or not _is_smooth(points, axis):
        return None
    points, reach = arc_fit.distinct(points, False), min(_BEYOND, len(points) - 1)
    whole = np.vstack([_image(points[1 : reach + 1], axis)[::-1], points])
    return _closed_at(_fitted(whole, tolerance), points, axis, tolerance)


def _over_the_lines(piece: Piece, tolerance: float) -> list[Segment] | None:
    """A piece without corners that passes over a mirror line at one end or at both."""
    points = arc_fit.distinct(piece.points, False)
    reach = min(_BEYOND, len(points) - 1)
    smooth = [
        axis is not None and _is_smooth(line, axis)
        for line, axis in ((points, piece.begins), (points[::-1], piece.ends))
    ]
    whole = points
    if smooth[0] and piece.begins is not None:
        whole = np.vstack([_image(points[1 : reach + 1], piece.begins)[::-1], whole])
    if smooth[1] and piece.ends is not None:
        whole = np.vstack([whole, _image(points[-reach - 1 : -1], piece.ends)[::-1]])
    segments: list[Segment] | None = _fitted(whole, tolerance)
    if smooth[0] and piece.begins is not None and segments is not None:
        segments = _closed_at(segments, points, piece.begins, tolerance)
    if smooth[1] and piece.ends is not None and segments is not None:
        back = [segment.reversed() for segment in reversed(segments)]
        closed = _closed_at(back, points[::-1], piece.ends, tolerance)
        segments = None if closed is None else [segment.reversed() for segment in reversed(closed)]
    return segments


def _closed_at(segments: list[Segment], points: Floats, axis: int, tolerance: float) -> list[Segment] | None:
    """Segments that begin beyond a mirror line, begun on it; None where no arc over it serves."""
    side = 1.0 if points[len(points) // 2][axis] > 0 else -1.0
    begin = next((k for k, segment in enumerate(segments) if side * segment.end[axis] > tolerance), None)
    if begin is None:
        return None
    joint = segments[begin].end
    heading = segments[begin + 1].heading(0.0) if begin + 1 < len(segments) else segments[begin].heading(1.0)
    over = _arc_over(joint, heading, axis, points[0])
    if over is None:
        return None
    covered = points[: int(np.argmin(np.hypot(*(points - joint).T))) + 1]
    off = max(over.nearest(_pair(place))[1] for place in covered)
    longer = over.length - float(np.hypot(*np.diff(covered, axis=0).T).sum())
    if off > _CLOSING * tolerance or abs(longer) > _CLOSING * tolerance + _LONGER * over.length:
        return None
    return [over, *segments[begin + 1 :]]


def _arc_over(joint: Point, heading: float, axis: int, crossing: Floats) -> Segment | None:
    """The arc, or line, square to a mirror line that ends in a place with a heading."""
    ahead, normal = (cos(heading), sin(heading)), (-sin(heading), cos(heading))
    along = 1 - axis
    start = [0.0, 0.0]
    if abs(normal[axis]) * LARGEST_RADIUS < abs(joint[axis]) or abs(ahead[along]) < 2e-3:
        start[along] = joint[along]
        return Segment(_pair(start), joint)
    reach = -joint[axis] / normal[axis]
    centre = [0.0, 0.0]
    centre[along] = joint[along] + reach * normal[along]
    start[along] = centre[along] + (abs(reach) if crossing[along] > centre[along] else -abs(reach))
    sweep = sweep_between(_pair(centre), _pair(start), joint, reach < 0)
    if abs(sweep) > pi:
        return None
    return Segment(_pair(start), joint, _pair(centre), sweep)


def _circle(points: Floats, tolerance: float) -> list[Segment] | None:
    """A closed line as a circle, in two halves; None where it is none."""
    equations = np.column_stack([2 * points, np.ones(len(points))])
    x, y, _ = np.linalg.lstsq(equations, (points * points).sum(axis=1), rcond=None)[0].tolist()
    far = np.hypot(*(points - (x, y)).T)
    if far.max() - far.min() > 2 * tolerance:
        return None
    return list(circle_track((x, y), float(far.max() + far.min()) / 2, False).segments)


def _about_the_lines(piece: Piece, tolerance: float) -> list[Segment] | None:
    """A piece that is all one arc about a centre on its mirror lines: a circle, parted where it is half a turn."""
    points = piece.points
    if piece.begins == piece.ends:
        along = 1 - (piece.begins or 0)
        equations = np.column_stack([2 * points[:, along], np.ones(len(points))])
        middle = float(np.linalg.lstsq(equations, (points * points).sum(axis=1), rcond=None)[0][0])
        centre = (middle, 0.0) if along == 0 else (0.0, middle)
    else:
        centre = (0.0, 0.0)
    far = np.hypot(*(points - centre).T)
    radius = float(far.max() + far.min()) / 2
    if far.max() - far.min() > 2 * tolerance:
        return None
    places = []
    for place in (points[0], points[len(points) // 2], points[-1]):
        x, y = place - centre
        share = radius / hypot(x, y)
        places.append((centre[0] + float(x) * share, centre[1] + float(y) * share))
    cross = (points[1] - points[0])[1] * (points[0] - centre)[0] - (points[1] - points[0])[0] * (points[0] - centre)[1]
    return [
        Segment(start, end, centre, sweep_between(centre, start, end, bool(cross < 0)))
        for start, end in zip(places, places[1:])
    ]


def _is_smooth(points: Floats, axis: int) -> bool:
    """Whether a line that begins on a mirror line leaves it at about a right angle."""
    step = points[min(4, len(points) - 1)] - points[0]
    return abs(atan2(step[1 - axis], abs(step[axis]))) < _SMOOTH


def _image(points: Floats, axis: int) -> Floats:
    return points * ([-1.0, 1.0] if axis == 0 else [1.0, -1.0])


def _pair(place: Floats | list[float]) -> Point:
    return float(place[0]), float(place[1])


def assembled(pieces: list[Piece], upright: MirrorLine, level: MirrorLine | None) -> Polygon:
    """The whole shape from its pieces and their images."""
    rings: list[Floats] = []
    for piece in pieces:
        if level is not None and piece.begins is not None and piece.begins != piece.ends:
            # A quarter ends on both lines: made a half first, which ends on the upright one.
            points = piece.points if piece.ends == 1 else piece.points[::-1]
            rings.append(_with_image(np.vstack([points, level.image_of(points)[-2::-1]]), upright))
            continue
        own = upright if piece.begins == 0 else level
        if piece.begins is None or own is None:
            mine = [piece.points]
            lines = [upright, level]
        else:
            mine = [_with_image(piece.points, own)]
            lines = [level] if piece.begins == 0 else [upright]
        for line in lines:
            if line is not None:
                mine += [line.image_of(ring) for ring in mine]
        rings += mine
    outside, *holes = sorted(rings, key=lambda ring: -Polygon(ring).area)
    (whole,) = door.polygons("the symmetrical outline", Polygon(outside, holes))
    return whole


def _with_image(half: Floats, line: MirrorLine) -> Floats:
    return np.vstack([half, line.image_of(half)[-2:0:-1]])
