"""Small random jobs of every kind of work; each can be made again with something changed that should not matter.

A seed stands for a board of four rooms, one or two sides, and one piece of work in most rooms. What is changed is told
by a Change: mirrored, drawn from another vertex the other way round, listed in any order.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from random import Random

import numpy as np
import shapely
from shapely import Polygon, affinity
from shapely.geometry.base import BaseGeometry

import toolpaths as tp

WIDTH, HEIGHT, THICKNESS = 150.3, 116.7, 15.2
# Rooms, 6 mm apart and from the border: their middles, and their width and height.
ROOM = 60.0, 44.0
MIDDLES = [(WIDTH * (0.25 + 0.5 * i), HEIGHT * (0.25 + 0.5 * j)) for i in (0, 1) for j in (0, 1)]

T1 = tp.Cutter(1, tp.flat(6), feed_mm_min=1800, spindle_rpm=18000, step_down=4, cutting_length=25)
T2 = tp.Cutter(2, tp.flat(3), feed_mm_min=1000, spindle_rpm=20000, step_down=1.5, cutting_length=15)
T3 = tp.Cutter(3, tp.ball(6), feed_mm_min=1500, spindle_rpm=18000, cutting_length=20)
T4 = tp.Cutter(4, tp.v_point(12, 60), feed_mm_min=1200, spindle_rpm=16000, cutting_length=11)
T5 = tp.Cutter(5, tp.drill_point(4), feed_mm_min=600, spindle_rpm=9000, cutting_length=35)
T6 = tp.Cutter(6, tp.undercut(9.5, 3.2, 4.8), feed_mm_min=700, spindle_rpm=16000, cutting_length=9.5)
T7 = tp.Cutter(7, tp.rounding(1.5, 4), feed_mm_min=1200, spindle_rpm=16000)
T8 = tp.Cutter(8, tp.bull_nose(6, 1), feed_mm_min=1500, spindle_rpm=18000, step_down=4, cutting_length=25)


@dataclass(frozen=True)
class Change:
    """What is made otherwise.

    mirrored : about the line x = WIDTH / 2; redrawn : from another vertex, the other way round
    """

    mirrored: bool = False
    redrawn: bool = False
    any_order: bool = False

    def place(self, x: float, y: float) -> tuple[float, float]:
        return (WIDTH - x, y) if self.mirrored else (x, y)

    def shape(self, drawn: BaseGeometry) -> BaseGeometry:
        laid = affinity.scale(drawn, -1, 1, origin=(WIDTH / 2, 0)) if self.mirrored else drawn
        return _redrawn(laid) if self.redrawn else laid

    def heading_deg(self, heading: float) -> float:
        return 180.0 - heading if self.mirrored else heading


AS_DRAWN = Change()


def _redrawn(polygon: BaseGeometry) -> BaseGeometry:
    def ring(points: np.ndarray) -> np.ndarray:
        turned = np.roll(points[:-1], len(points) // 3, axis=0)[::-1]
        return np.vstack([turned, turned[:1]])

    if not isinstance(polygon, Polygon):
        return polygon
    return Polygon(ring(np.array(polygon.exterior.coords)), [ring(np.array(r.coords)) for r in polygon.interiors])


def area_in(rng: Random, middle: tuple[float, float], share: float = 1.0) -> Polygon:
    """An area that fits a room, of one of seven kinds."""
    (w, h), (x, y) = (side * share * rng.uniform(0.75, 1) for side in ROOM), middle
    kind = rng.randrange(7)
    if kind == 0:
        return tp.circle(h, middle)
    if kind == 1:
        return tp.ellipse(w, h, middle)
    if kind == 2:
        return tp.regular_polygon(rng.randint(3, 8), h * 0.95, middle, angle_deg=rng.uniform(0, 60))
    if kind == 3:
        return tp.slot((x - (w - h) / 2, y), (x + (w - h) / 2, y), h)
    if kind == 4:
        turned = tp.rectangle(h * 0.8, h * 0.5, middle)
        return affinity.rotate(turned, rng.uniform(0, 180), origin=middle)
    if kind == 5:
        sides = [tp.rectangle(w, h * 0.45, middle), tp.rectangle(w * 0.4, h, (x + rng.uniform(-5, 5), y))]
        return shapely.union_all(sides)
    return tp.rectangle(w, h, middle, corner_radius=rng.choice([0, 0, 6]))


Work = Callable[[Random, tuple[float, float], Change], list[tp.Operation]]


def _pocket(rng: Random, middle: tuple[float, float], change: Change) -> list[tp.Operation]:
    cutters = rng.choice([T1, T2, [T1, T2], T8])
    engaged = {"engagement_deg": 80} if rng.random() < 0.15 else {}
    return [tp.pocket(change.shape(area_in(rng, middle)), cutters, depth=rng.uniform(1, 5),
                      finish=rng.choice([0, 0, 0.2]), **engaged)]  # fmt: skip


def _island(rng: Random, middle: tuple[float, float], change: Change) -> list[tp.Operation]:
    island = tp.circle(rng.uniform(5, 9), middle)
    area = tp.rectangle(ROOM[0], ROOM[1], middle)
    return [tp.pocket(change.shape(area.difference(island)), T1, depth=rng.uniform(1, 4))]


def _stepped(rng: Random, middle: tuple[float, float], change: Change) -> list[tp.Operation]:
    area, upper = area_in(rng, middle), rng.uniform(1, 3)
    inner = change.shape(affinity.scale(area, 0.6, 0.6, origin=area.centroid))
    return [tp.pocket(change.shape(area), T1, depth=upper),
            tp.pocket(inner, T1, depth=upper + rng.uniform(1, 4), from_depth=upper)]  # fmt: skip


def _groove(rng: Random, middle: tuple[float, float], change: Change) -> list[tp.Operation]:
    drawn = area_in(rng, middle, 0.8)
    line = change.shape(drawn).exterior if rng.random() < 0.5 else shapely.LineString(
        [change.place(middle[0] - 20, middle[1] - 9), change.place(middle[0] + 5, middle[1] + 8),
         change.place(middle[0] + 18, middle[1] - 5)])  # fmt: skip
    wide = {"width": rng.uniform(7, 9)} if rng.random() < 0.25 else {}
    cutter = T1 if wide else rng.choice([T1, T2, T3, T4, T8])
    return [tp.groove(line, cutter, depth=rng.uniform(0.5, 3), **wide)]


def _opening(rng: Random, middle: tuple[float, float], change: Change) -> list[tp.Operation]:
    held = {"skin": rng.choice([0.4, 0.8])}
    side = rng.choice(["inside", "outside"])
    drawn = area_in(rng, middle, 0.75 if side == "outside" else 1.0)
    shape, more = change.shape(drawn), {"direction": rng.choice(["climb", "conventional"])}
    cut = tp.contour(shape, T1, depth=tp.through(0.2), side=side, finish=rng.choice([0, 0.2]), **held, **more)
    return [tp.chamfer(shape, T4, width=rng.uniform(0.5, 1.2), side=side), cut] if rng.random() < 0.3 else [cut]


def _blind(rng: Random, middle: tuple[float, float], change: Change) -> list[tp.Operation]:
    side = rng.choice(["inside", "outside", "on"])
    return [
        tp.contour(change.shape(area_in(rng, middle, 0.7)), rng.choice([T1, T2]), depth=rng.uniform(1, 5), side=side)
    ]


def _holes(rng: Random, middle: tuple[float, float], change: Change) -> list[tp.Operation]:
    places = [change.place(middle[0] + dx, middle[1] + dy) for dx in (-18, 0, 18) for dy in (-9, 9)]
    deep = tp.through(0.4) if rng.random() < 0.5 else rng.uniform(3, 9)
    made: list[tp.Operation] = [tp.drill(places, T5, depth=deep, peck=rng.choice([None, 2.5]))]
    if rng.random() < 0.5:
        made.append(tp.countersink(places, T4, diameter=rng.uniform(5, 9), angle_deg=60))
    return made


def _bores(rng: Random, middle: tuple[float, float], change: Change) -> list[tp.Operation]:
    places = [change.place(middle[0] + dx, middle[1]) for dx in (-16, 16)]
    return [tp.bore(places, rng.uniform(7.5, 12), T1, depth=rng.choice([tp.through(0.3), 4.0]))]


def _edge(rng: Random, middle: tuple[float, float], change: Change) -> list[tp.Operation]:
    drawn = change.shape(area_in(rng, middle, 0.7))
    edge = rng.choice([tp.round_edge(drawn, T7), tp.cove_edge(drawn, T3), tp.chamfer(drawn, T4, width=1.0)])
    return [tp.contour(drawn, T1, depth=rng.uniform(5, 8)), edge]


def _hollow(rng: Random, middle: tuple[float, float], change: Change) -> list[tp.Operation]:
    drawn = change.shape(tp.ellipse(ROOM[0] * 0.5, ROOM[1] * 0.5, middle))
    return [tp.hollow(drawn, [T1, T3], depth=rng.uniform(2, 4), scallop=0.02)]


def _carved(rng: Random, middle: tuple[float, float], change: Change) -> list[tp.Operation]:
    drawn = change.shape(area_in(rng, middle, rng.uniform(0.15, 0.25)))
    return [tp.v_carve(drawn, T4)]


def _hanger(rng: Random, middle: tuple[float, float], change: Change) -> list[tp.Operation]:
    return [tp.keyhole_slot([change.place(*middle)], T6, depth=rng.uniform(6, 8), length=12,
                            heading_deg=change.heading_deg(rng.choice([0, 90, 37])))]  # fmt: skip


def _tabbed(rng: Random, middle: tuple[float, float], change: Change) -> list[tp.Operation]:
    """A piece parted from the board but for tabs, at points, since where they stand by count depends on the drawing."""
    wide, high = rng.uniform(36, 42), rng.uniform(20, 28)
    ends = ((-2.5, -high / 2), (3.5, high / 2))
    held = tp.Tabs(points=[change.place(middle[0] + dx, middle[1] + dy) for dx, dy in ends],
                   width=rng.uniform(5, 7), height=rng.uniform(3, 5))  # fmt: skip
    return [tp.contour(change.shape(tp.rectangle(wide, high, middle)), T1, depth=tp.through(0.2), tabs=held)]


def _inlaid(rng: Random, middle: tuple[float, float], change: Change) -> list[tp.Operation]:
    """The recess of an inlay; its insert is another board's."""
    drawn = change.shape(area_in(rng, middle, rng.uniform(0.5, 0.8)))
    kept = {"at": (60.0, 60.0)}
    if rng.random() < 0.5:
        inlay = tp.straight_inlay(drawn, [T1, T2], gap=0.1, depth=rng.uniform(2, 4), thickness=5, **kept)
    else:
        inlay = tp.tapered_inlay(drawn, [T1, T4], start_depth=rng.uniform(1.5, 3), glue=0.5, proud=1, **kept)
    return list(inlay.recess)


def _hinged(rng: Random, middle: tuple[float, float], change: Change) -> list[tp.Operation]:
    """A cup, and the holes for its screws."""
    edge = [change.place(middle[0] + dx, middle[1] - ROOM[1] / 2) for dx in (-20, 20)]
    edge = edge[::-1] if change.mirrored else edge  # the door stays on the left
    return list(tp.hinge_cup(edge, [20], T1, T5, depth=rng.uniform(9, 12), to_edge=rng.uniform(3, 6), diameter=26,
                             screws_apart=36, screws_further_in=rng.uniform(3, 8)))  # fmt: skip


KINDS: tuple[Work, ...] = (
    _pocket, _pocket, _island, _stepped, _groove, _opening, _blind, _holes, _bores, _edge, _hollow, _carved, _hanger,
    _tabbed, _inlaid, _hinged,
)  # fmt: skip


def job(seed: int, change: Change = AS_DRAWN) -> tp.Job:
    """The job of a seed. Raises an error of the library where that refuses it."""
    rng = Random(seed)
    board = tp.Board(width=WIDTH, height=HEIGHT, thickness=THICKNESS)
    both, turn = rng.random() < 0.4, rng.choice(["left to right", "top to bottom"])
    work: dict[str, list[tp.Operation]] = {"front": [], "back": []}
    for number, middle in enumerate(MIDDLES):
        side = "back" if both and rng.random() < 0.5 else "front"
        kind, own = rng.choice(KINDS), Random(f"{seed} {number}")
        if rng.random() < 0.75:
            work[side] += [_named(each, f"room {number} {n}") for n, each in enumerate(kind(own, middle, change))]
    zero_at, zero_on = rng.choice(["lower left", "centre", "upper left"]), rng.choice(["top", "spoilboard"])
    front = tp.Fixture(board=board, grips=(board.outline,), spoilboard_depth=1.0, zero_at=zero_at, zero_on=zero_on)
    fixtures = {"front": front, "back": front.turned_over(turn, grips=(board.outline,))}
    setups: list[tp.Setup] = []
    for side, listed in work.items():
        if listed:
            group = [tp.any_order(*Random(seed).sample(listed, len(listed)))] if change.any_order else listed
            setups.append(tp.Setup(fixtures[side], group, after=setups[-1] if setups else None))
    if not setups:
        raise tp.InputError("No room has any work.")
    return tp.Job(f"Seed {seed}", setups)


def _named(operation: tp.Operation, name: str) -> tp.Operation:
    return replace(operation, name=name)
