"""The medial axis of a polygon against what is published of it, as far as its figures allow.

Lee, Medial axis transformation of a planar shape (IEEE PAMI 4, 1982), and Chin, Snoeyink and Wang, Finding the medial
axis of a simple polygon in linear time (Discrete and Computational Geometry 21, 1999), both from memory: of a simple
polygon with n corners, q of them inwards, the axis is a tree of at most 2 n - 3 lines and parabolas. Preparata, The
medial axis of a simple polygon (1977, from memory): of a convex one as many as 2 n - 3, all straight.

Derived here, for a polygon of which no disc touches four sides: its ends are the n - q corners outwards, so n - q - 2
of its places are forks of three. Each corner inwards is the focus of a parabola between two changes, so the Voronoi
diagram has n + q - 2 places, and without the 2 q lines into these corners 2 n - 3 pieces are left.

Of the 240 cases here all have the ends and forks; 185 have all 2 n - 3 pieces, the others fewer, since pieces shorter
than what lies between two of our places are not seen. Their running times say nothing of ours, which goes by points on
the border.
"""

from __future__ import annotations

from collections import defaultdict

import numpy as np
import pytest
from shapely import Polygon
from shapely.geometry.polygon import orient

import toolpaths as tp
from toolpaths.shapes.border import Border
from toolpaths.shapes.largest_discs import largest_discs
from toolpaths.shapes.medial_axis import medial_axis, on_bisector

SAMPLES, TOLERANCE = 17, 0.01


def star_shaped(n: int, seed: int) -> Polygon:
    rng = np.random.default_rng(seed)
    turn = (np.arange(n) + rng.uniform(-0.35, 0.35, n)) * 2 * np.pi / n
    far = rng.uniform(20, 60, n)
    return orient(Polygon(np.column_stack([far * np.cos(turn), far * np.sin(turn)])))


def convex(n: int, seed: int) -> Polygon:
    """On an ellipse, no two corners close together."""
    rng = np.random.default_rng(seed)
    turn = (np.arange(n) + rng.uniform(-0.3, 0.3, n)) * 2 * np.pi / n
    return orient(Polygon(np.column_stack([60 * np.cos(turn), 40 * np.sin(turn)])))


def corners_inwards(polygon: Polygon) -> int:
    at = np.array(polygon.exterior.coords)[:-1]
    come, go = at - np.roll(at, 1, axis=0), np.roll(at, -1, axis=0) - at
    return int((come[:, 0] * go[:, 1] - come[:, 1] * go[:, 0] < 0).sum())


class Tree:
    """An axis as a graph, without spurs: stretches beyond a fork of nearly four sides that end in the middle of the
    area, where no axis ends. 13 of the 240 cases have one, together 0.02 % of the length of the axes."""

    def __init__(self, polygon: Polygon) -> None:
        self.axis = axis = medial_axis(polygon)
        self.beside = {
            frozenset(piece): tuple(sides) for piece, sides in zip(axis.pieces.tolist(), axis.beside.tolist())
        }
        self.near: defaultdict[int, set[int]] = defaultdict(set)
        for one, other in axis.pieces.tolist():
            self.near[one].add(other)
            self.near[other].add(one)
        ends = [node for node in self.near if len(self.near[node]) == 1 and axis.radius[node] > 1e-6]
        while ends:
            end = ends.pop()
            (before,) = self.near.pop(end)
            self.near[before].remove(end)
            if len(self.near[before]) == 1 and axis.radius[before] > 1e-6:
                ends.append(before)

    @property
    def degrees(self) -> np.ndarray:
        return np.array([len(others) for others in self.near.values()])

    def is_connected(self) -> bool:
        seen, todo = set(), [next(iter(self.near))]
        while todo:
            node = todo.pop()
            if node not in seen:
                seen.add(node)
                todo += self.near[node]
        return len(seen) == len(self.near)

    def lines_and_parabolas(self) -> set[frozenset]:
        """Each by the two that are nearest to it, sides or corners, at places that do lie in their middle.

        No two are nearest along two pieces: the border that these would enclose is one.
        """
        border, found = self.axis.border, set()
        every = np.arange(len(border.start))
        for one, others in self.near.items():
            for other in others:
                share = np.linspace(0.02, 0.98, SAMPLES)[:, None]
                places = self.axis.places[one] + share * (self.axis.places[other] - self.axis.places[one])
                sides = self.beside[frozenset((one, other))]
                places = on_bisector(border, places, *(np.full(SAMPLES, side) for side in sides))
                for place in places:
                    far = border.distance(every, np.tile(place, (len(every), 1)))[0]
                    if far[list(sides)].max() < far.min() + 1e-6:
                        found.add(frozenset(_element(border, side, place) for side in sides))
        return found


def _element(border: Border, side: int, place: np.ndarray) -> tuple[str, int]:
    """The side itself, or the corner at its end, by where the foot of a place lies."""
    along = float((place - border.start[side]) @ border.along[side])
    if along < 0:
        return "corner", side
    return ("corner", int(border.after[side])) if along > border.length[side] else ("side", side)


CASES = [(kind, n, seed) for kind in (convex, star_shaped) for n in (3, 4, 5, 7, 12, 25) for seed in range(20)]


@pytest.mark.sample(10, long=34)
@pytest.mark.parametrize(("kind", "n", "seed"), CASES)
def test_the_axis_has_the_published_ends_forks_and_pieces(kind, n, seed):
    polygon = kind(n, seed)
    tree, inwards = Tree(polygon), corners_inwards(polygon)
    degrees = tree.degrees
    assert (degrees == 1).sum() == n - inwards
    assert (degrees[degrees > 2] - 2).sum() == n - inwards - 2
    assert tree.is_connected()
    assert len(tree.lines_and_parabolas()) <= 2 * n - 3


@pytest.mark.parametrize(("a", "b"), [(30, 20), (40, 12), (25, 24), (20, 8)])
def test_the_axis_of_an_ellipse_is_between_its_centres_of_curvature(a, b):
    """Derived: on the long axis up to (a2 - b2) / a from the middle, with radius b sqrt(1 - x2 / (a2 - b2)); the disc
    there has the ellipse's own radius of curvature. Goal: half the tolerance; measured 0.0013 mm."""
    (line,) = largest_discs(orient(tp.ellipse(2 * a, 2 * b)), TOLERANCE).lines
    x, y, radius = line.T
    end = (a * a - b * b) / a
    assert np.abs(y).max() < 1e-3 and np.abs(x).max() <= end
    assert radius == pytest.approx(b * np.sqrt(1 - x * x / (a * a - b * b)), abs=TOLERANCE / 2)
    # What is left out at its ends reaches no farther beyond its last disc.
    assert a - (x + radius).max() < TOLERANCE / 2 and a + (x - radius).min() < TOLERANCE / 2
