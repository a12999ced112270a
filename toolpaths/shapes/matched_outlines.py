"""Which place of an outline belongs to which of its mirror image, and the mean of the two.

The two outlines are gone along together. A place of one belongs to a place of the other where they are near and go the
same way; of all the ways to pair them, none of which stands still on either, the one that sums up to the least is found
by dynamic programming (after Sakoe and Chiba, IEEE Trans. ASSP 26(1) 1978, 43-49, with their slopes between 1/2 and 2;
from memory). Corners that both have are then paired exactly, and in between the pairs are smoothed, since it is known
only roughly which place of a side belongs to which.

An outline that is paired with its own image has two places that are their own partners: there it passes over the mirror
line. So pairs (i, -j) are followed from any i = j to any i = j half a round on, and cover both halves just once.
"""

from __future__ import annotations

from math import cos, radians
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from toolpaths.base.checks import Floats
from toolpaths.shapes.curves import lengths_along, places_along

# Vertices that turn more than this, degrees, are corners.
CORNER_DEG = 20.0
# Places of an outline at which it is looked: mm apart, at least and at most so many.
_APART, _FEWEST, _MOST = 0.4, 200, 1000
# mm aside that count as much as another direction by one radian: a share of the outline's length. Much of it, since
# along a side places are moved by skew, and only its direction tells which of them is which.
_TURNED = 0.15
# Corners of both are one where they lie within so many places of where they belong, and turn alike, radians.
_NEAR, _ALIKE = 8, radians(40.0)
# Places to either side over which pairs are smoothed.
_SMOOTHED = 30
# Pairs by likeness are taken where directions are by so much more alike than if both were gone along evenly, radians.
_MORE_ALIKE, _LEAST_UNLIKE = 0.8, 0.005
# Steps of (2, 2), (2, 1) and (1, 2) places count by their lengths.
_STRAIGHT, _ASKEW = 2.0, 3.0


class Curve(NamedTuple):
    """A mean line of (n, 2) points, with the numbers of those that are corners."""

    points: Floats
    corners: list[int]


class Sampled(NamedTuple):
    """A closed outline looked at in places at nearly equal distances, its corners among them.

    points : (n, 2) the places, n even
    lengths : (n,) mm along it to each of them
    corners : (n,) whether each is a corner
    ring : (m + 1, 2) the outline itself, begun at the first place and ending there
    """

    points: Floats
    lengths: Floats
    corners: NDArray[np.bool_]
    ring: Floats

    @property
    def length(self) -> float:
        return float(np.hypot(*np.diff(self.ring, axis=0).T).sum())

    def at(self, lengths: Floats) -> Floats:
        """(k, 2) places at lengths along it, which may be many rounds."""
        return places_along(self.ring, np.mod(lengths, self.length))

    def corner_place(self, number: int) -> float:
        """mm along it, over many rounds, to a place of it."""
        rounds, rest = divmod(number, len(self.points))
        return float(rounds * self.length + self.lengths[rest])

    def begun_at(self, number: int) -> Sampled:
        """The same begun at another of its places."""
        begin = self.lengths[number]
        lengths = np.mod(np.roll(self.lengths, -number) - begin, self.length)
        vertices = np.flatnonzero(lengths_along(self.ring)[:-1] > begin)
        before = np.flatnonzero(lengths_along(self.ring)[:-1] <= begin)
        inner = self.ring[:-1]
        start = self.points[number : number + 1]
        ring = np.vstack([start, inner[vertices], inner[before], start])
        return Sampled(np.roll(self.points, -number, axis=0), lengths, np.roll(self.corners, -number), _distinct(ring))

    def reversed(self) -> Sampled:
        """The same the other way round, from the same first place."""
        order = -np.arange(len(self.points)) % len(self.points)
        lengths = np.mod(self.length - self.lengths[order], self.length)
        return Sampled(self.points[order], lengths, self.corners[order], self.ring[::-1])

    def mirrored(self) -> Sampled:
        """Its image in the line x = 0."""
        return self._replace(points=self.points * [-1.0, 1.0], ring=self.ring * [-1.0, 1.0])


def _distinct(ring: Floats) -> Floats:
    kept = np.append(np.hypot(*np.diff(ring, axis=0).T) > 0, True)
    return np.asarray(ring[kept])


def places_for(length: float) -> int:
    """At how many places an outline of so many mm is looked."""
    return 2 * round(min(max(length / _APART, _FEWEST), _MOST) / 2)


def sampled(ring: Floats, count: int) -> Sampled:
    """A closed outline of (m, 2) points looked at in so many places, begun at a corner where it has any."""
    step = np.roll(ring, -1, axis=0) - ring
    step = step / np.hypot(*step.T)[:, None]
    turned = np.flatnonzero((step * np.roll(step, 1, axis=0)).sum(axis=1) < cos(radians(CORNER_DEG)))
    ring = np.roll(ring, -int(turned[0]), axis=0) if len(turned) else ring
    closed = np.vstack([ring, ring[:1]])
    along = lengths_along(closed)
    at = np.append(along[turned - turned[0]] if len(turned) else 0.0, along[-1])
    numbers, first = np.unique(np.rint(at / along[-1] * count).astype(int), return_index=True)
    lengths = np.interp(np.arange(count), numbers, at[first])
    corners = np.zeros(count, dtype=bool)
    corners[numbers[:-1]] = len(turned) > 0
    return Sampled(places_along(closed, lengths), lengths, corners, closed)


def mean_of_halves(outline: Sampled) -> Curve:
    """Of an outline that passes over the line x = 0, one half and the image of the other, half way between them.

    It begins and ends on that line.
    """
    image = outline.mirrored().reversed()
    pairs = _pairs(outline, image, own=True)
    return _mean(outline, image, pairs)


def mean_of_two(outline: Sampled, other: Sampled) -> Curve:
    """Half way between an outline and the image of another in the line x = 0: closed, its first point not repeated."""
    image = other.mirrored().reversed()
    count = len(outline.points)
    off = [float(np.square(outline.points - np.roll(image.points, -k, axis=0)).sum()) for k in range(count)]
    begin, at_corner = int(np.argmin(off)), False
    corners = np.flatnonzero(image.corners)
    if outline.corners[0] and len(corners):
        away = np.abs((corners - begin + count // 2) % count - count // 2)
        at_corner = bool(away.min() <= _NEAR)
        begin = int(corners[np.argmin(away)]) if at_corner else begin
    image = image.begun_at(begin)
    mean = _mean(outline, image, _pairs(outline, image, own=False))
    return Curve(mean.points[:-1], [0, *mean.corners] if at_corner else mean.corners)


def _pairs(one: Sampled, other: Sampled, *, own: bool) -> NDArray[np.int64]:
    """(k, 2) which place of one belongs to which of the other, numbers that go on after a round.

    own : the other is the image of the one, gone along the other way

    The sum t = i + j of the two numbers goes up from 0 by 2 or 3 at a time; at each t one number e says which pair:
    i = ceil(t / 2) + e, j = floor(t / 2) - e. A pair (i, -i) is one of t = 0, and again one of half a round on.
    """
    count = len(one.points)
    weight = _TURNED * one.length
    ahead, behind = _features(one, weight), _features(other, weight)[-np.arange(count) % count]
    ahead, behind = np.vstack([ahead, ahead]), np.vstack([behind, behind])
    total = count if own else 2 * count
    never = np.full(count, np.inf)
    sums = [never] * (total + 1)
    steps = np.zeros((total + 1, count), dtype=np.int8)
    for t in range(total + 1):
        if t == 1:
            continue
        first, second = ((t + 1) // 2) % count, (-(t // 2)) % count
        off = ahead[first : first + count] - behind[second : second + count]
        cost = np.einsum("ij,ij->i", off, off)
        if t == 0:
            sums[0] = cost if own else np.where(np.arange(count) == 0, cost, np.inf)
            continue
        # Of odd t the numbers e stand half a pair higher.
        back = sums[t - 3] if t >= 3 else never
        ways = (sums[t - 2], np.roll(back, 1) if t % 2 == 0 else back, back if t % 2 == 0 else np.roll(back, -1))
        straight, more, less = ways[0] + _STRAIGHT * cost, ways[1] + _ASKEW * cost, ways[2] + _ASKEW * cost
        askew = np.minimum(more, less)
        sums[t] = np.minimum(straight, askew)
        steps[t] = np.where(straight <= askew, 0, np.where(more <= less, 1, 2))
    return _followed_back(steps, int(np.argmin(sums[total])) if own else 0, total)


def _followed_back(steps: NDArray[np.int8], e: int, t: int) -> NDArray[np.int64]:
    found = []
    while True:
        found.append(((t + 1) // 2 + e, t // 2 - e))
        if t <= 0:
            return np.array(found[::-1])
        step = int(steps[t, e % steps.shape[1]])
        if step == 1 and t % 2 == 0:
            e -= 1
        elif step == 2 and t % 2 == 1:
            e += 1
        t -= 3 if step else 2


def _features(outline: Sampled, weight: float) -> Floats:
    """(n, 4) places from the middle of all, and the directions in which they go on."""
    step = np.roll(outline.points, -1, axis=0) - outline.points
    middle = outline.points.mean(axis=0)
    return np.hstack([outline.points - middle, weight * step / np.maximum(np.hypot(*step.T), 1e-12)[:, None]])


def _mean(one: Sampled, other: Sampled, pairs: NDArray[np.int64]) -> Curve:
    """Half way between two outlines by their pairs."""
    joints = _corner_pairs(one, other, pairs)
    parts = [_mean_between(one, other, pairs, start, end) for start, end in zip(joints, joints[1:])]
    ends = np.cumsum([len(part) - 1 for part in parts])
    return Curve(np.vstack([*(part[:-1] for part in parts), parts[-1][-1:]]), [int(end) for end in ends[:-1]])


def _corner_pairs(one: Sampled, other: Sampled, pairs: NDArray[np.int64]) -> list[tuple[int, int]]:
    """The first pair, those of corners that both outlines have, and the last."""
    (first, first_other), (last, last_other) = pairs[0].tolist(), pairs[-1].tolist()
    found = [(first, first_other)]
    turns, turns_other = _turns(one), _turns(other)
    corners = _between(one, first, last)
    partners = _between(other, first_other, last_other)
    if len(partners) == 0:
        corners = partners
    for corner in corners.tolist():
        meant = float(np.interp(corner, pairs[:, 0], pairs[:, 1]))
        off = np.abs(partners - meant)
        partner = int(partners[int(np.argmin(off))])
        unlike = abs(turns[corner % len(turns)] - turns_other[partner % len(turns_other)])
        if off.min() <= _NEAR and unlike <= _ALIKE and corner > found[-1][0] and partner > found[-1][1]:
            found.append((corner, partner))
    return [*found, (last, last_other)]


def _between(outline: Sampled, first: int, last: int) -> NDArray[np.int64]:
    """Numbers of the corners between two of its places."""
    numbers = np.arange(first + 1, last)
    return np.asarray(numbers[outline.corners[numbers % len(outline.corners)]])


def _turns(outline: Sampled) -> Floats:
    """By how much it turns to the left at each of its places, radians."""
    step = np.roll(outline.points, -1, axis=0) - outline.points
    before = np.roll(step, 1, axis=0)
    turns: Floats = np.arctan2(before[:, 0] * step[:, 1] - before[:, 1] * step[:, 0], (before * step).sum(axis=1))
    return turns


def _mean_between(
    one: Sampled, other: Sampled, pairs: NDArray[np.int64], start: tuple[int, int], end: tuple[int, int]
) -> Floats:
    """(k, 2) half way between two outlines, from one pair to another that are kept."""
    inside = pairs[((pairs > start) & (pairs < end)).all(axis=1)].tolist()
    lengths = np.array([(one.corner_place(i), other.corner_place(j)) for i, j in (start, *inside, end)])
    along, ahead = lengths.sum(axis=1), lengths[:, 0] - lengths[:, 1]
    count = max(2, int(np.ceil((along[-1] - along[0]) / one.length * len(one.points))))
    even = np.linspace(along[0], along[-1], count + 1)
    evenly = np.interp(even, along[[0, -1]], ahead[[0, -1]])
    paired = _smoothed(np.interp(even, along, ahead))
    (here, there), unlike = _places_by(one, other, even, evenly)
    # Two straight sides are alike by any pairs: then those are taken that go along both evenly.
    pairs_there, unlike_paired = _places_by(one, other, even, paired)
    if unlike_paired < _MORE_ALIKE * unlike:
        here, there = pairs_there
    return np.asarray((here + there) / 2)


def _places_by(one: Sampled, other: Sampled, along: Floats, ahead: Floats) -> tuple[tuple[Floats, Floats], float]:
    """(n, 2) places of two outlines at pairs of lengths, and how unlike the directions are there, rms in radians."""
    here, there = one.at((along + ahead) / 2), other.at((along - ahead) / 2)
    (ux, uy), (vx, vy) = np.diff(here, axis=0).T, np.diff(there, axis=0).T
    turn = np.arctan2(ux * vy - uy * vx, ux * vx + uy * vy)
    return (here, there), float(np.sqrt(np.square(turn).mean())) + _LEAST_UNLIKE


def _smoothed(values: Floats) -> Floats:
    """The mean of each value and its neighbours, of as many on either side as there are; the ends as they are."""
    number = np.arange(len(values))
    reach = np.minimum(np.minimum(number, number[::-1]), _SMOOTHED)
    sums = np.append(0.0, np.cumsum(values))
    return np.asarray((sums[number + reach + 1] - sums[number - reach]) / (2 * reach + 1))
