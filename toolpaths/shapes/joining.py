"""Lines joined end to end where their ends are near enough, with every gap that was closed said."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
import shapely
from shapely import LineString, Polygon
from shapely.geometry.base import BaseGeometry

from toolpaths.base.checks import Floats, distance
from toolpaths.base.errors import Point
from toolpaths.shapes import door

# mm: ends nearer than this are one place, and nothing is said of it.
_ONE_PLACE = 1e-6


@dataclass(frozen=True, slots=True)
class Gap:
    """Where two ends of lines lay apart and were moved to meet: the middle between them, and how far apart, mm."""

    place: Point
    width: float


@dataclass(frozen=True, slots=True, repr=False)
class Joined:
    """Lines after join_lines().

    outlines : closed ones, as polygons
    open_lines : what is still open; their ends are where something is missing
    gaps : where ends that lay apart were moved to the middle between them, the widest first
    """

    outlines: tuple[Polygon, ...]
    open_lines: tuple[LineString, ...]
    gaps: tuple[Gap, ...]

    def __repr__(self) -> str:
        return f"<Joined: {len(self.outlines)} closed, {len(self.open_lines)} open, {len(self.gaps)} gaps closed>"

    def __str__(self) -> str:
        lines = [f"closed outlines: {len(self.outlines)}, open lines: {len(self.open_lines)}"]
        for gap in self.gaps:
            x, y = gap.place
            lines.append(f"closed a gap of {gap.width:.4f} mm at ({x:.3f}, {y:.3f})")
        for line in self.open_lines:
            (x, y), *_, (u, v) = line.coords
            lines.append(f"open from ({x:.3f}, {y:.3f}) to ({u:.3f}, {v:.3f}), {np.hypot(u - x, v - y):.3f} mm apart")
        return "\n".join(lines)


def join_lines(lines: BaseGeometry | Iterable[BaseGeometry], gap: float = 0.01) -> Joined:
    """Join lines end to end, the nearest ends first, across gaps of at most so many mm.

    lines : shapely lines; what is closed by itself stays so
    gap : mm; wider gaps are left open, and reported with their places

    >>> from shapely import LineString
    >>> from toolpaths import join_lines
    >>> print(join_lines([LineString([(0, 0), (40, 0), (40, 30)]), LineString([(40, 30.005), (0, 30), (0, 0)])]))
    closed outlines: 1, open lines: 0
    closed a gap of 0.0050 mm at (40.000, 30.002)

    Raises ShapeError where lines that were joined cross themselves, with the place.
    """
    most = distance("gap", gap)
    found = door.lines("lines", lines)
    rings = [points for points, closed in found if closed]
    tracks = [points for points, closed in found if not closed]
    chains, gaps = chained(tracks, most)
    rings += [chain.points for chain in chains if chain.closed]
    return Joined(
        tuple(door.polygon("a joined outline", points) for points in rings),
        tuple(LineString(chain.points) for chain in chains if not chain.closed),
        gaps,
    )


class Chain(NamedTuple):
    """Lines joined end to end: (n, 2) points, the first of a closed one not repeated; and which lines they were."""

    points: Floats
    closed: bool
    members: tuple[int, ...]


def chained(tracks: Sequence[Floats], most: float) -> tuple[list[Chain], tuple[Gap, ...]]:
    """Open lines of (n, 2) points joined across gaps of at most so many mm, the nearest ends first; and the gaps, the
    widest first."""
    partner, gaps = ends_that_meet(tracks, most)
    return _chains(tracks, partner), tuple(sorted(gaps, key=lambda each: (-each.width, each.place)))


def ends_that_meet(tracks: Sequence[Floats], most: float) -> tuple[dict[int, int], list[Gap]]:
    """Which end meets which, the nearest first; end 2k is the start of track k, 2k + 1 its end."""
    if not tracks:
        return {}, []
    ends = np.array([points[i] for points in tracks for i in (0, -1)])
    tree = shapely.STRtree(shapely.points(ends))
    pairs = tree.query(shapely.points(ends), predicate="dwithin", distance=max(most, _ONE_PLACE))
    lengths = np.array([float(np.hypot(*np.diff(points, axis=0).T).sum()) for points in tracks])
    # A line no longer than two gaps is no loop, however near its ends.
    own = (pairs[0] // 2 == pairs[1] // 2) & (lengths[pairs[0] // 2] <= 2 * max(most, _ONE_PLACE))
    first, second = pairs[:, (pairs[0] < pairs[1]) & ~own]
    apart = np.hypot(*(ends[first] - ends[second]).T)
    partner: dict[int, int] = {}
    gaps = []
    for i in np.lexsort((second, first, apart)):
        a, b = int(first[i]), int(second[i])
        if a in partner or b in partner:
            continue
        partner[a], partner[b] = b, a
        if apart[i] > _ONE_PLACE:
            x, y = ((ends[a] + ends[b]) / 2).tolist()
            gaps.append(Gap((x, y), float(apart[i])))
    return partner, gaps


def _chains(tracks: Sequence[Floats], partner: dict[int, int]) -> list[Chain]:
    """Tracks one after another as their ends meet, in the order in which they are given."""
    tracks = _ends_met(tracks, partner)
    chains = []
    left = set(range(len(tracks)))
    loose = [end for end in range(2 * len(tracks)) if end not in partner]
    # From loose ends first, so that a chain is not begun in its middle; what is left then closes on itself.
    for begin in [*loose, *range(0, 2 * len(tracks), 2)]:
        end, points, members = begin, [], []
        while end // 2 in left:
            left.discard(end // 2)
            members.append(end // 2)
            points.append(tracks[end // 2] if end % 2 == 0 else tracks[end // 2][::-1])
            end = partner.get(end ^ 1, -1)
        if points:
            chain = _without_repeats(np.vstack(points))
            closed = end == begin
            chains.append(Chain(chain[:-1] if closed and len(chain) > 1 else chain, closed, tuple(members)))
    return chains


def _ends_met(tracks: Sequence[Floats], partner: dict[int, int]) -> list[Floats]:
    """The tracks, ends that meet moved to the middle between them: a bridge would cross lines that overshoot."""
    met = [track.copy() for track in tracks]
    for end, other in partner.items():
        met[end // 2][-(end % 2)] = (tracks[end // 2][-(end % 2)] + tracks[other // 2][-(other % 2)]) / 2
    return met


def _without_repeats(points: Floats) -> Floats:
    step = np.hypot(*np.diff(points, axis=0).T)
    return np.asarray(points[np.concatenate([[True], step > _ONE_PLACE])])
