"""Sections: how high a surface lies by its distance from an edge, seen as a cut straight across that edge.

A section is a chain of pieces, each a straight slope, a part of an ellipse or a curve, from the edge inwards. Heights
are mm from the level of the edge, below it negative; beyond the last piece the surface goes on level.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property
from math import inf
from typing import Any, NamedTuple

import numpy as np

from toolpaths.base.checks import Floats, between, label, length, let_in, points, sequence
from toolpaths.base.errors import InputError
from toolpaths.base.values import PickledByFields

# Places of a curve that are looked at for its tightest bend, and mm that two pieces may be off each other.
_PLACES, _MEETS = 257, 1e-6
# mm beside a joint at which slopes are looked at, and radians by which they may differ where it is smooth.
_BESIDE, _SMOOTH = 1e-6, 1e-3


class Straight(NamedTuple):
    """From z `first` at distance `begin` to z `last` at distance `end`."""

    begin: float
    end: float
    first: float
    last: float

    def heights(self, distances: Floats) -> Floats:
        return self.first + (distances - self.begin) * ((self.last - self.first) / (self.end - self.begin))

    def slopes(self, distances: Floats) -> Floats:
        return np.full(distances.shape, (self.last - self.first) / (self.end - self.begin))

    @property
    def tightest(self) -> float:
        return inf


class Elliptic(NamedTuple):
    """Part of an ellipse, of a circle where both its half axes are alike.

    middle, z : distance and height of its centre; across, tall : mm of its half axes
    hollow : whether it is its lower half, which is hollow, and not its upper, which is rounded
    """

    begin: float
    end: float
    middle: float
    z: float
    across: float
    tall: float
    hollow: bool

    def heights(self, distances: Floats) -> Floats:
        up = self.tall * np.sqrt(np.maximum(1 - self._share(distances) ** 2, 0.0))
        return self.z - up if self.hollow else self.z + up

    def slopes(self, distances: Floats) -> Floats:
        share = self._share(distances)
        with np.errstate(divide="ignore"):
            steep = share / np.sqrt(np.maximum(1 - share**2, 0.0)) * (self.tall / self.across)
        return steep if self.hollow else -steep

    @property
    def tightest(self) -> float:
        """The radius of curvature of an ellipse is (a^2 sin^2 t + b^2 cos^2 t)^(3/2) / (a b)."""
        if not self.hollow:
            return inf
        cosine = self._share(np.array([self.begin, self.end]))
        bend = (self.across**2 * (1 - cosine**2) + self.tall**2 * cosine**2) ** 1.5 / (self.across * self.tall)
        return float(bend.min())

    def _share(self, distances: Floats) -> Floats:
        return np.clip((distances - self.middle) / self.across, -1.0, 1.0)


class Curved(NamedTuple):
    """A cubic between two ends of given heights and slopes (Hermite's form)."""

    begin: float
    end: float
    first: float
    last: float
    slope_first: float
    slope_last: float

    def heights(self, distances: Floats) -> Floats:
        t, long = self._share(distances), self.end - self.begin
        a, b, c, d = self._terms(long)
        return ((a * t + b) * t + c) * t + d

    def slopes(self, distances: Floats) -> Floats:
        t, long = self._share(distances), self.end - self.begin
        a, b, c, _ = self._terms(long)
        return ((3 * a * t + 2 * b) * t + c) / long

    @property
    def tightest(self) -> float:
        long = self.end - self.begin
        at = np.linspace(self.begin, self.end, _PLACES)
        a, b, _, _ = self._terms(long)
        second = (6 * a * self._share(at) + 2 * b) / long**2
        bend = np.where(second > 0, second / (1 + self.slopes(at) ** 2) ** 1.5, 0.0).max()
        return float(1 / bend) if bend > 0 else inf

    def _share(self, distances: Floats) -> Floats:
        return (distances - self.begin) / (self.end - self.begin)

    def _terms(self, long: float) -> tuple[float, float, float, float]:
        fall, one, other = self.last - self.first, self.slope_first * long, self.slope_last * long
        return one + other - 2 * fall, 3 * fall - 2 * one - other, one, self.first


Piece = Straight | Elliptic | Curved


def _pieces(name: str, given: Any) -> tuple[Piece, ...]:
    found = sequence(name, given, "the pieces of a section")
    if not found or not all(isinstance(piece, (Straight, Elliptic, Curved)) for piece in found):
        raise InputError("Make a section by Section.arc(...), .ellipse(...), .cove(...), .spline(...) and the like.")
    return tuple(found)


@dataclass(frozen=True, repr=False)
class Section(PickledByFields):
    """A section across an edge; made by Section.arc() and the like. Equal when made alike.

    pieces : from the edge inwards, the first at distance 0, each beginning where the one before ends
    words : what it is called

    >>> from toolpaths import Section
    >>> Section.cove(radius=8, depth=20)
    <Section: cove of radius 8, 8 wide, 20 deep>
    >>> Section.arc(width=50, depth=10).heights([0, 25, 50, 80]).round(3).tolist()
    [0.0, -7.574, -10.0, -10.0]

    Raises InputError for pieces that do not follow each other.
    """

    pieces: tuple[Piece, ...]
    words: str = "section"

    def __post_init__(self) -> None:
        let_in(self, pieces=_pieces, words=label)
        ends = [0.0, *(piece.end for piece in self.pieces)]
        if any(abs(piece.begin - end) > _MEETS or piece.end <= piece.begin for piece, end in zip(self.pieces, ends)):
            raise InputError("The pieces of a section begin at distance 0, each where the one before ends.")

    @property
    def width(self) -> float:
        """mm from the edge beyond which it is level."""
        return self.pieces[-1].end

    @cached_property
    def depth(self) -> float:
        """mm from the level of the edge down to its lowest place."""
        at = np.concatenate([np.linspace(piece.begin, piece.end, _PLACES) for piece in self.pieces])
        return float(-self.heights(at).min())

    @cached_property
    def tightest(self) -> float:
        """mm, radius with which it is bent where it is hollow and bent most; corners between pieces are not looked
        at."""
        return min(piece.tightest for piece in self.pieces)

    @cached_property
    def corners(self) -> tuple[tuple[float, float], ...]:
        """Where two of its pieces meet in a hollow corner, or the last one the level beyond: at which distance, and the
        radians by which it turns there."""
        ends = np.array([piece.end for piece in self.pieces])
        before, after = (np.arctan(self.slopes(ends + by)) for by in (-_BESIDE, _BESIDE))
        turns = after - before
        return tuple((end, turn) for end, turn in zip(ends.tolist(), turns.tolist()) if turn > _SMOOTH)

    def heights(self, distances: Any) -> Floats:
        """z from the level of the edge at distances, any shape; 0 and less is the edge itself."""
        at, which = self._sorted(distances)
        found = np.empty(at.shape)
        for number, piece in enumerate(self.pieces):
            mine = which == number
            found[mine] = piece.heights(at[mine])
        return found

    def slopes(self, distances: Any) -> Floats:
        """dz by d distance at distances; level beyond its width."""
        at, which = self._sorted(distances)
        found = np.empty(at.shape)
        for number, piece in enumerate(self.pieces):
            mine = which == number
            found[mine] = piece.slopes(at[mine])
        return np.where(np.asarray(distances, np.float64) > self.width, 0.0, found)

    def _sorted(self, distances: Any) -> tuple[Floats, Any]:
        at = np.clip(np.asarray(distances, np.float64), 0.0, self.width)
        return at, np.searchsorted([piece.end for piece in self.pieces[:-1]], at, "right")

    def __repr__(self) -> str:
        return f"<Section: {self.words}, {self.width:g} wide, {self.depth:g} deep>"

    @classmethod
    def slope(cls, width: float, depth: float) -> Section:
        """Straight down from the edge, so many mm wide and deep, then level.

        >>> from toolpaths import Section
        >>> Section.slope(width=6, depth=2).heights([3.0, 9.0]).tolist()
        [-1.0, -2.0]

        Raises InputError for lengths that are none.
        """
        width, depth = length("width", width), length("depth", depth)
        return cls((Straight(0.0, width, 0.0, -depth),), "slope")

    @classmethod
    def round_over(cls, radius: float) -> Section:
        """A convex quarter of a circle, by the distance from the wall inwards: upright at the wall and level where it
        meets the face, `radius` higher. Its edge is the foot, so heights are above that.

        >>> from toolpaths import Section
        >>> Section.round_over(radius=5).heights([0.0, 1.0, 5.0]).round(6).tolist()
        [0.0, 3.0, 5.0]

        Raises InputError for a radius that is none.
        """
        radius = length("radius", radius)
        return cls((Elliptic(0.0, radius, radius, 0.0, radius, radius, False),), f"round-over of radius {radius:g}")

    @classmethod
    def cove(cls, radius: float, depth: float | None = None) -> Section:
        """An upright wall and a concave quarter of a circle at its foot, then a level floor, as in a tray.

        depth : mm down to the floor, the radius unless given

        >>> from toolpaths import Section
        >>> Section.cove(radius=5, depth=12).heights([0.0, 2.0, 5.0]).tolist()
        [-7.0, -11.0, -12.0]

        Raises InputError for a radius that is none, and a depth less than it.
        """
        radius = length("radius", radius)
        depth = radius if depth is None else length("depth", depth)
        if depth < radius:
            raise InputError(f"depth={depth:g} is less than the cove's radius={radius:g}; give {radius:g} or more.")
        pieces = (Elliptic(0.0, radius, radius, radius - depth, radius, radius, True),)
        return cls(pieces, f"cove of radius {radius:g}")

    @classmethod
    def arc(cls, *, depth: float, width: float | None = None, radius: float | None = None) -> Section:
        """An arc of a circle from the edge down to where it is level, as a dish has; by its width or by its radius.

        width : mm from the edge to where it is level; radius : mm, of the circle, (width^2 + depth^2) / (2 depth)
        (reference: the spherical cap)

        >>> from toolpaths import Section
        >>> Section.arc(depth=10, radius=130)
        <Section: arc of radius 130, 50 wide, 10 deep>

        Raises InputError unless one of width and radius is given, and for an arc that goes past upright.
        """
        depth = length("depth", depth)
        if (width is None) == (radius is None):
            raise InputError("An arc takes one of width= and radius=, besides depth=.")
        if width is not None:
            width = length("width", width)
            if width < depth:
                raise InputError(f"width={width:g} is less than depth={depth:g}: past upright; give {depth:g} or more.")
            radius = (width * width + depth * depth) / (2 * depth)
        else:
            radius = length("radius", radius or 0.0)
            if radius < depth:
                raise InputError(f"radius={radius:g} is less than depth={depth:g}: past upright.")
            width = float(np.sqrt(depth * (2 * radius - depth)))
        pieces = (Elliptic(0.0, width, width, radius - depth, radius, radius, True),)
        return cls(pieces, f"arc of radius {radius:g}")

    @classmethod
    def ellipse(cls, width: float, depth: float, rim_deg: float = 60.0) -> Section:
        """Part of an ellipse from the edge down to where it is level: steeper at the rim and flatter in the middle than
        an arc.

        rim_deg : slope at the rim, from the level, up to 90, where it is a quarter of the ellipse

        >>> from toolpaths import Section
        >>> Section.ellipse(width=40, depth=12)
        <Section: ellipse, 40 wide, 12 deep>

        Raises InputError for lengths that are none, and for a rim no steeper than a parabola's, 2 depth / width.
        """
        width, depth = length("width", width), length("depth", depth)
        rim_deg = between("rim_deg", rim_deg, 0.0, 90.0)
        if rim_deg == 90.0:
            across, tall = width, depth
        else:
            # Of the part from t on: across cos t = width, tall (1 - sin t) = depth, slope tall cos t/(across sin t).
            steep = float(np.tan(np.radians(rim_deg))) * width / depth
            if steep <= 2.0:
                least = float(np.degrees(np.arctan(2 * depth / width)))
                raise InputError(
                    f"rim_deg={rim_deg:g} is flatter than any ellipse {width:g} wide and {depth:g} deep has it; "
                    f"give more than {least:.1f}."
                )
            # steep = cos^2 t/(sin t (1 - sin t)) = (1 + sin t)/sin t, above 2.
            sine = 1 / (steep - 1)
            across, tall = width / float(np.sqrt(1 - sine * sine)), depth / (1 - sine)
        return cls((Elliptic(0.0, width, width, tall - depth, across, tall, True),), "ellipse")

    @classmethod
    def spline(cls, places: Iterable[tuple[float, float]]) -> Section:
        """A smooth curve through (distance, depth) points, the first at distance 0, level at the last.

        Between two points it stays between their depths: the slope at each is the harmonic mean of those beside it
        (F. N. Fritsch and J. Butland, A method for constructing local monotone piecewise cubic interpolants, SIAM J.
        Sci. Stat. Comput. 5, 1984, from memory).

        >>> from toolpaths import Section
        >>> Section.spline([(0, 0), (20, 9), (60, 14)]).heights([20, 60, 70]).tolist()
        [-9.0, -14.0, -14.0]

        Raises InputError for fewer than two points, for distances that do not rise from 0, for heights above the edge.
        """
        through = np.array([tuple(place) for place in points("places", places, least=2)], np.float64)
        at, z = through[:, 0], -through[:, 1]
        if at[0] != 0 or (np.diff(at) <= 0).any():
            raise InputError("The points of a section are (distance, depth): distances rise, and the first one is 0.")
        if (z > 0).any():
            raise InputError(f"A section lies no higher than its edge; the depth {through[:, 1].min():g} does.")
        rise = np.diff(z) / np.diff(at)
        slopes = np.zeros(len(at))
        slopes[0] = rise[0]
        same = np.flatnonzero(rise[1:] * rise[:-1] > 0)
        slopes[same + 1] = 2 * rise[same] * rise[same + 1] / (rise[same] + rise[same + 1])
        ends = list(zip(at.tolist(), z.tolist(), slopes.tolist()))
        return cls(
            tuple(Curved(d0, d1, z0, z1, s0, s1) for (d0, z0, s0), (d1, z1, s1) in zip(ends, ends[1:])), "spline"
        )
