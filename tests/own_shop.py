"""A shop of the tests' own that is off in known ways: it cuts a test piece from the text of its programs, in the plane,
and measures what came out along straight lines. It knows nothing of how the library thinks sizes depend on errors."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import shapely
from shapely import LineString

import toolpaths as tp


class Shop(NamedTuple):
    """What is off. across: how far the back lies off along the line of turning, mm; flip_angle_deg: how far that
    line is turned anticlockwise about the middle of the board, seen from the front."""

    wider: float = 0.0
    scale_x: float = 0.0
    scale_y: float = 0.0
    scale_z: float = 0.0
    zero_z: float = 0.0
    flip_line: float = 0.0
    across: float = 0.0
    flip_angle_deg: float = 0.0


def _axis_lines(text, deeper):
    """Lines of the cutter's axis, (k, 3) each, for moves all below -deeper; arcs in chords of two degrees."""
    motions, found = tp.read(text).motions, []
    for start, end, centre, sweep in zip(motions.start, motions.end, motions.centre, motions.sweep, strict=True):
        if max(start[2], end[2]) > -deeper:
            continue
        part = np.linspace(0, 1, 2 if not sweep else max(3, int(abs(sweep) / np.radians(2)) + 2))
        line = start + part[:, None] * (end - start)
        if sweep:
            off, turn = (start - centre)[:2], sweep * part
            line[:, 0] = centre[0] + off[0] * np.cos(turn) - off[1] * np.sin(turn)
            line[:, 1] = centre[1] + off[0] * np.sin(turn) + off[1] * np.cos(turn)
        found.append(line)
    return found


def _cut(piece, name, shop, deeper):
    """The area that a program cuts, seen from the front of the board as it came out."""
    fixture = piece.back if name == "back" else piece.front
    board, scale = fixture.board, np.array([1 + shop.scale_x, 1 + shop.scale_y])
    zero, lines = np.array(fixture.zero[:2]), []
    for line in _axis_lines(piece.job.programs()[name], deeper):
        if name == "back" and piece.back.dowels:  # X0 Y0 stays where it was set for the front, the pins where they are
            places = _turned(fixture.turned, zero + scale * line[:, :2], zero, scale, board, shop.flip_line)
        else:
            places = zero + scale * line[:, :2]
            if name == "back":
                places = _turned(fixture.turned, places, np.zeros(2), np.ones(2), board, shop.flip_line)
        if name == "back":
            across = fixture.turned == "left to right"
            places = places + (np.array([0.0, shop.across])[:: 1 if across else -1])
            places = _about_turned_line(places, fixture, shop.flip_angle_deg)
        lines.append(LineString(places))
    return shapely.union_all(shapely.buffer(lines, piece.cutter.radius + shop.wider / 2, quad_segs=24))


def _turned(turned, places, zero, scale, board, off):
    """Where a place of the machine was on the board before it was turned: mirrored about the line of turning, which
    lies `off` from the middle, or from where pins that were cut from `zero` with stretched axes have it."""
    middle = zero + scale * (np.array([board.width, board.height]) / 2 - zero)
    mirrored = places.copy()
    axis = 0 if turned == "left to right" else 1
    mirrored[:, axis] = 2 * (middle[axis] + off) - places[:, axis]
    return mirrored


def _about_turned_line(places, fixture, angle_deg):
    """Mirrored about the line of turning as meant, and back about the one that is askew."""
    middle = np.array([fixture.board.width, fixture.board.height]) / 2
    along = np.radians((90.0 if fixture.turned == "left to right" else 0.0) + np.array([0.0, angle_deg]))
    for angle in along:
        line, off = np.array([np.cos(angle), np.sin(angle)]), places - middle
        places = middle + 2 * (off @ line)[:, None] * line - off
    return places


def _stretches(area, along, at, board):
    """Where a line through the board lies in an area: pairs of its beginnings and ends, in order."""
    ends = ((0, at), (board.width, at)) if along == "X" else ((at, 0), (at, board.height))
    inside = shapely.intersection(LineString(ends), area)
    axis = 0 if along == "X" else 1
    parts = [part for part in shapely.get_parts(inside) if part.length > 0]
    return sorted(tuple(sorted(np.array(part.coords)[:, axis].tolist())) for part in parts)


def _web(board, one, other, along, place):
    """Wood between two holes on a line through a place."""
    at = place[1] if along == "X" else place[0]
    (first,), (second,) = (_stretches(area, along, at, board) for area in (one, other))
    return max(first[0], second[0]) - min(first[1], second[1])


def read_piece(piece, shop):
    """What a perfect calliper reads."""
    board = piece.front.board
    front = _cut(piece, "front", shop, 1.99)
    (plug, holes_at), (x, y) = piece._places, (board.width / 2, board.height / 2)
    ends = tp.read(piece.job.programs()["front"]).motions.end
    in_pocket = np.hypot(*(ends[:, :2] + piece.front.zero[:2] - plug).T) < 24
    shallow, deep = -2.0, ends[in_pocket, 2].min()
    read = {
        name: -(z * (1 + shop.scale_z) + shop.zero_z) for name, z in (("slot depth", shallow), ("pocket depth", deep))
    }
    left, *_, right = _stretches(front, "X", y + 12, board)
    read["slot width"] = left[1] - left[0]
    read["between slots X"], read["over slots X"] = right[0] - left[1], right[1] - left[0]
    low, *_, high = _stretches(front, "Y", x - 12, board)
    read["between slots Y"], read["over slots Y"] = high[0] - low[1], high[1] - low[0]
    for along, through, beside in (("X", plug[1], plug[1] + 15), ("Y", plug[0], plug[0] + 15)):
        near = min(_stretches(front, along, beside, board), key=lambda s: abs(sum(s) / 2 - plug[along == "Y"]))
        read[f"pocket {along}"] = near[1] - near[0]
        before, after = [s for s in _stretches(front, along, through, board)
                         if abs(sum(s) / 2 - plug[along == "Y"]) < 25 ]  # fmt: skip
        read[f"plug {along}"] = after[0] - before[1]
    if piece.back is None:
        return read
    through = board.thickness
    every = [_cut(piece, name, shop, through) for name in ("front", "back")]
    middle, holes = every
    middle = min(shapely.get_parts(middle), key=lambda part: part.distance(shapely.Point(holes_at)))
    sides = {"left": (-12, 0), "right": (12, 0), "lower": (0, -12), "upper": (0, 12)}
    for side, step in sides.items():
        place = shapely.Point(np.array(holes_at) + step)
        hole = min(shapely.get_parts(holes), key=lambda part: part.distance(place))
        read[f"web {side}"] = _web(board, middle, hole, "XY"[side in ("lower", "upper")], holes_at)
    for side, ((x, y), (other, _)) in piece._pairs.items():
        one, two = (
            min(shapely.get_parts(area), key=lambda part: part.distance(shapely.Point(at, y)))
            for area, at in zip(every, (x, other), strict=True)
        )
        read[f"web {side}"] = _web(board, one, two, "X", (x, y))
    return read
