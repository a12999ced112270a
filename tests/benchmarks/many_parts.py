"""Many parts on one board: how little of it rows take, and how short the way from part to part is.

    python tests/benchmarks/many_parts.py

Of the board: the area that the parts take with their cuts and the wood between them (half of it on each side), over the
area of the least board that takes the layout; for equal rectangles goal 0.98, for triangles, half of them turned, 0.8,
where boxes about them would come to 0.5; for a mixture 0.6.

Of the way: straight from middle to middle of the parts in the order in which one cutter visits them, from the waiting
place and back to it, over a length that no closed way can be shorter than (held_karp.py). Goal: at most 1.10.
"""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import shapely
from held_karp import lower_bound

import toolpaths as tp

T1 = tp.Cutter(1, tp.flat(6), feed_mm_min=1500, spindle_rpm=18000, cutting_length=22)
T4 = tp.Cutter(4, tp.drill_point(4), feed_mm_min=600, spindle_rpm=8000, cutting_length=30)
WEB = 8.0
GOALS = {"rectangles": 0.98, "triangles": 0.8, "mixture": 0.6}
WAY_GOAL = 1.10


def template(name: str, shape: shapely.Polygon) -> tp.Template:
    tabs = tp.Tabs(count=3, width=8, height=4)
    hole = tp.drill([shape.centroid.coords[0]], T4, depth=5, name="hole")
    return tp.Template(name, [hole, tp.contour(shape, T1, depth=tp.through(0.3), tabs=tabs, name="outline")])


PLATE = template("plate", tp.rectangle(90, 60))
TRIANGLE = template("triangle", shapely.Polygon([(0, 0), (80, 0), (0, 60)]))
DISC, RAIL = template("disc", tp.circle(50)), template("rail", tp.rectangle(200, 30))
WANTED = {
    "rectangles": ([(PLATE, 40)], (5 * 110 + 8, 8 * 80 + 8)),
    "triangles": ([(TRIANGLE, 40)], (720, 700)),
    "mixture": ([(PLATE, 6), (TRIANGLE, 10), (DISC, 8), (RAIL, 4)], (620, 500)),
}


def layout(name: str) -> tp.Layout:
    wanted, (width, height) = WANTED[name]
    return tp.in_rows(wanted, tp.Fixture(board=tp.Board(width=width, height=height, thickness=18)), web=WEB)


def share_used(found: tp.Layout) -> float:
    """What the parts take, with cuts and half of the wood beside them, of the least board for the layout."""
    taken = sum(shapely.buffer(part.kept, 6 + WEB / 2).area for part in found.parts)
    width, height = found.size_needed
    return float(taken / ((width - WEB) * (height - WEB)))


def way_ratio(found: tp.Layout, name: str) -> float:
    """The way of the drill over all parts against the bound."""
    _, (width, height) = WANTED[name]
    side = tp.Fixture(board=tp.Board(width=width, height=height, thickness=18))
    steps = tp.Setup(side, [found.front]).steps
    middles = {part.name: part.kept.centroid.coords[0] for part in found.parts}
    places = [(0.0, 0.0), *(middles[step.operation.part_name] for step in steps if step.path.cutter.number == 4)]
    way = sum(np.hypot(a[0] - b[0], a[1] - b[1]) for a, b in pairwise([*places, places[0]]))
    rows = np.array(places)
    cost = np.hypot(*(rows[:, None] - rows[None]).transpose(2, 0, 1))
    return float(way / lower_bound(cost, way))


def main() -> None:
    for name in WANTED:
        found = layout(name)
        used, way = share_used(found), way_ratio(found, name)
        size = " x ".join(f"{side:.0f}" for side in found.size_needed)
        missed = "" if used >= GOALS[name] and way <= WAY_GOAL else "   missed"
        print(
            f"{name:<11} {len(found.parts)} parts on {size} mm: {used:.3f} of it (goal {GOALS[name]:g}); "
            f"way {way:.3f} times the bound (goal {WAY_GOAL:g}){missed}"
        )


if __name__ == "__main__":
    main()
