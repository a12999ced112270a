"""Pieces of motion as columns, in the place of the board."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray

from toolpaths.base.checks import Floats
from toolpaths.facts.cutter import Cutter
from toolpaths.facts.fixture import Fixture
from toolpaths.proving.read_pieces import NotUnderstood, Piece

Flags = NDArray[np.bool_]
Lines = NDArray[np.object_]


class Motion(NamedTuple):
    """n stretches of the tip's motion.

    lines : (n,) chords seen from above, in which the tip stays but for `off` (n,) mm; ends : (n, 2, 3) their ends; of
        rapids that may not be straight the areas in which they stay, and their ends as low as these are anywhere
    number : (n,) which piece of the program each belongs to; tools : (n,) its cutter
    """

    pieces: Sequence[Piece]
    cutters: Mapping[int, Cutter]
    lines: Lines
    ends: Floats
    off: Floats
    number: NDArray[np.intp]
    tools: NDArray[np.intp]

    @classmethod
    def of(cls, pieces: Sequence[Piece], cutters: Mapping[int, Cutter], fixture: Fixture, straight: bool) -> Motion:
        """straight : whether rapids are. Raises NotUnderstood for a cutter that is not given."""
        for piece in pieces:
            if piece.tool not in (0, *cutters) or not cutters:
                raise NotUnderstood(f"line {piece.line}: T{piece.tool} is no cutter of this job")
        zero = np.array(fixture.zero)
        points = np.array([point for piece in pieces for point in piece.points]).reshape(-1, 2) + zero[:2]
        of_piece = np.repeat(np.arange(len(pieces)), [len(piece.points) for piece in pieces])
        lines = _points_where_they_stand(shapely.linestrings(points, indices=of_piece))
        ends = np.array([[(*p.points[0], p.z0), (*p.points[-1], p.z1)] for p in pieces]).reshape(-1, 2, 3) + zero
        # Axes that go each at its own pace stay in the box between the ends.
        boxed = np.array([piece.rapid and not straight for piece in pieces], bool) & (shapely.length(lines) > 0)
        lines[boxed], ends[boxed, :, 2] = shapely.envelope(lines[boxed]), ends[boxed, :, 2].min(axis=1, keepdims=True)
        off, tools = np.array([p.off for p in pieces]), np.array([p.tool for p in pieces], np.intp)
        return cls(pieces, cutters, lines, ends, off, np.arange(len(pieces)), tools)

    @property
    def low(self) -> Floats:
        return np.asarray(self.ends[:, :, 2].min(axis=1))

    @property
    def high(self) -> Floats:
        return np.asarray(self.ends[:, :, 2].max(axis=1))

    def some(self, which: Flags | NDArray[np.intp]) -> Motion:
        return Motion._make((*self[:2], *(column[which] for column in self[2:])))

    def also(self, other: Motion) -> Motion:
        """Both, one after the other."""
        return Motion._make((*self[:2], *map(np.concatenate, zip(self[2:], other[2:]))))

    def between(self, ends: Floats) -> Motion:
        """The same cutters between other ends, the chord between them."""
        return self._replace(lines=_points_where_they_stand(shapely.linestrings(ends[:, :, :2])), ends=ends)

    def halves(self) -> Motion:
        """Each in two at its middle; none of them of more than one chord."""
        first, middle, last = self.ends[:, :1], self.ends.mean(axis=1, keepdims=True), self.ends[:, 1:]
        return self.between(np.hstack([first, middle])).also(self.between(np.hstack([middle, last])))

    def standing(self, end: int | NDArray[np.intp]) -> Motion:
        """Each standing at one of its ends."""
        return self.between(self.ends[np.arange(len(self.ends)), end][:, None].repeat(2, axis=1))

    def radii(self, above_tip: Floats) -> Floats:
        """(n,) the widest that each is from its tip up to so much above it, and what its chords are off; of any cutter
        where it is not known which it is."""
        may = [(cutter, (self.tools == number) | (self.tools == 0)) for number, cutter in self.cutters.items()]
        radii = [np.where(which, cutter.body_radii(above_tip), 0.0) for cutter, which in may]
        return np.asarray(np.max([np.zeros(len(self.tools)), *radii], axis=0) + self.off)

    def where(self, found: Flags) -> str:
        """The first of these in words, as the program counts; "" where there is none."""
        if not found.any():
            return ""
        piece = self.pieces[self.number[int(np.argmax(found))]]
        x, y = piece.points[-1]
        return f"line {piece.line}, to X{x:.3f} Y{y:.3f} Z{piece.z1:.3f}, T{piece.tool}"


def _points_where_they_stand(lines: Lines) -> Lines:
    """Of lines without a length, points: what is asked of such a line is not always answered (GEOS, prepared)."""
    return np.where(shapely.length(lines) == 0, shapely.get_point(lines, 0), lines)
