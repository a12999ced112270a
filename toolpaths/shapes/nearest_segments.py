"""Which line or arc of closed tracks each of many places lies beside, and how far away.

Places come in the order of a ring, so a run of them lies beside few segments: a tree finds those that come near the
middle of the run, and only these are measured, as the lines and arcs that they are.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import cached_property
from itertools import accumulate

import numpy as np
import shapely
from numpy.typing import NDArray

from toolpaths.base.checks import Floats
from toolpaths.shapes.curves import many_steps_for
from toolpaths.shapes.track import Track

Ints = NDArray[np.int64]
Complex = NDArray[np.complex128]

# Places of a run.
_RUN = 6
# So few segments are all measured.
_FEW = 32
# mm within which the chords lie by which the tree knows an arc; and the fewest of them.
_ROUGH, _FEWEST = 0.02, 4
# mm; a place farther than this beyond the end of a segment lies beside none but round that end. Offsets are rounded to
# a tenth of it.
_BEYOND = 1e-4


class NearestSegments:
    """The segments of closed tracks by their number, and the one that follows each."""

    def __init__(self, tracks: Sequence[Track]) -> None:
        segments = [segment for track in tracks for segment in track.segments]
        counts = [len(track.segments) for track in tracks]
        firsts = np.cumsum(counts) - counts
        self.count = len(segments)
        self.following: Ints = np.concatenate(
            [first + np.roll(np.arange(count), -1) for first, count in zip(firsts, counts)]
        )
        self.start, self.end, self.centre = (
            np.array(points) @ (1, 1j) for points in zip(*((s.start, s.end, s.centre) for s in segments))
        )
        self.sweep = np.array([segment.sweep for segment in segments])
        chord, self.ray = self.end - self.start, self.start - self.centre
        self.radius = np.abs(self.ray)
        # Unit vectors of the directions in which each begins and ends.
        self.heading, self.heading_at_end = chord / np.abs(chord), chord / np.abs(chord)
        arc = np.flatnonzero(self.sweep)
        left = np.sign(self.sweep[arc]) * 1j / self.radius[arc]
        self.heading[arc], self.heading_at_end[arc] = self.ray[arc] * left, (self.end - self.centre)[arc] * left

    @cached_property
    def _tree(self) -> shapely.STRtree:
        return shapely.STRtree(self._in_rough_chords())

    def find(self, places: Floats, counts: Sequence[int] | None = None) -> tuple[Ints, Floats]:
        """What each of (n, 2) places lies beside, the number of a segment, or so many more for the corner at its start;
        and how far away.

        counts : of the places of each ring, where they are of several
        """
        z = places[:, 0] + 1j * places[:, 1]
        place, number = self._near(z, [len(z)] if counts is None else counts)
        away, before, past = self._measured(z[place], number)
        least = np.full(len(z), np.inf)
        np.minimum.at(least, place, away)
        nearest = np.flatnonzero(away == least[place])[::-1]
        first = np.empty(len(z), np.int64)
        # The first of several as near, which is written last.
        first[place[nearest]] = nearest
        number, before, past = number[first], before[first], past[first]
        label = np.where(past, self.count + self.following[number], np.where(before, self.count + number, number))
        return label, away[first]

    def _near(self, z: Complex, counts: Sequence[int]) -> tuple[Ints, Ints]:
        """Pairs of the numbers of a place and of a segment, among them for each place the nearest."""
        if self.count <= _FEW:
            return np.repeat(np.arange(len(z)), self.count), np.tile(np.arange(self.count), len(z))
        firsts = accumulate(counts, initial=0)
        begins = np.concatenate([np.arange(first, first + count, _RUN) for first, count in zip(firsts, counts)])
        sizes = np.diff(np.append(begins, len(z)))
        middles = z[begins + sizes // 2]
        reach = np.maximum.reduceat(np.abs(z - np.repeat(middles, sizes)), begins)
        points = shapely.points(middles.real, middles.imag)
        _, least = self._tree.query_nearest(points, all_matches=False, return_distance=True)
        run, number = self._tree.query(points, predicate="dwithin", distance=least + 2 * (reach + _ROUGH))
        sizes = sizes[run]
        within = np.arange(sizes.sum()) - np.repeat(np.cumsum(sizes) - sizes, sizes)
        return np.repeat(begins[run], sizes) + within, np.repeat(number, sizes)

    def _in_rough_chords(self) -> NDArray[np.object_]:
        """Each segment as a line of a few chords."""
        steps, arc = np.ones(self.count, np.int64), np.flatnonzero(self.sweep)
        steps[arc] = np.maximum(many_steps_for(self.radius[arc], self.sweep[arc], _ROUGH), _FEWEST)
        number = np.repeat(np.arange(self.count), steps + 1)
        nth = np.arange(len(number)) - np.repeat(np.cumsum(steps + 1) - (steps + 1), steps + 1)
        share = nth / steps[number]
        on_line = self.start[number] + (self.end - self.start)[number] * share
        on_arc = self.centre[number] + self.ray[number] * np.exp(1j * self.sweep[number] * share)
        z = np.where(self.sweep[number] == 0, on_line, on_arc)
        lines: NDArray[np.object_] = shapely.linestrings(np.column_stack([z.real, z.imag]), indices=number)
        return lines

    def _measured(self, z: Complex, number: Ints) -> tuple[Floats, NDArray[np.bool_], NDArray[np.bool_]]:
        """How far each place lies from a segment, and whether round its start or its end."""
        from_start, from_end, sweep = z - self.start[number], z - self.end[number], self.sweep[number]
        ahead = from_start * self.heading[number].conj()
        behind = (from_end * self.heading_at_end[number].conj()).real
        off = np.abs(ahead.imag)
        on = (ahead.real >= 0) & (behind <= 0)
        arc = np.flatnonzero(sweep)
        if len(arc):
            of, turn = number[arc], sweep[arc]
            ray = z[arc] - self.centre[of]
            seen = np.angle(ray * self.ray[of].conj()) * np.sign(turn)
            on[arc] = np.where(seen < 0, seen + 2 * np.pi, seen) <= np.abs(turn)
            off[arc] = np.abs(np.abs(ray) - self.radius[of])
        to_start, to_end = np.abs(from_start), np.abs(from_end)
        at_start = to_start < to_end
        before = ~on & at_start & (ahead.real < -_BEYOND)
        past = ~on & ~at_start & (behind > _BEYOND)
        return np.where(on, off, np.minimum(to_start, to_end)), before, past
