"""How well simulated inserts fit simulated recesses: gaps at the walls against those asked for, from the moves.

    python tests/benchmarks/inlays.py [NAME ...]

off        mm by which the gap is farthest from the one asked for, anywhere along the walls. Goal: at most 0.02
mean       mm, the gap on average; asked, the one asked for: of tapered walls 0, which touch
overlap    mm3 of wood of both in one place, of how many mm2 of walls
floor      mm, the least room over the floor; of tapered inlays 0.5 was asked, less the ridges of a pointed V

A star marks a goal missed.
"""

from __future__ import annotations

import sys
from collections.abc import Callable
from math import cos, pi, sin

import shapely
from shapely import Polygon, box

import toolpaths as tp

# mm; see above.
GOAL = 0.02
LID = tp.Board(width=140, height=130, thickness=18, name="lid")
VENEER = tp.Board(width=140, height=130, thickness=8, name="veneer")
T1 = tp.Cutter(1, tp.flat(6), feed_mm_min=1500, spindle_rpm=18000, cutting_length=20)
T2 = tp.Cutter(2, tp.flat(3), feed_mm_min=900, spindle_rpm=18000, cutting_length=14)
T6 = tp.Cutter(6, tp.v_point(12, 60), feed_mm_min=1200, spindle_rpm=16000)
T7 = tp.Cutter(7, tp.v_point(14, 90), feed_mm_min=1200, spindle_rpm=16000)
MIDDLE = (68.0, 62.0)


def letter() -> Polygon:
    """An R of two strokes, a bow and a leg, with its eye: like none of its mirror images."""
    bow = box(0, 40, 25, 90).union(shapely.Point(25, 65).buffer(25, quad_segs=64))
    eye = shapely.Point(25, 65).buffer(9, quad_segs=64).union(box(18, 56, 25, 74)).intersection(box(18, 56, 40, 74))
    leg = Polygon([(18, 42), (36, 42), (58, 0), (38, 0)])
    return shapely.union_all([box(0, 0, 18, 90), bow, leg]).difference(eye)


def star() -> Polygon:
    radii = (40.0, 24.0) * 5
    return Polygon([(r * sin(i * pi / 5), r * cos(i * pi / 5)) for i, r in enumerate(radii)])


SHAPES: dict[str, Callable[[], Polygon]] = {
    "square": lambda: tp.rectangle(40, 40),
    "letter": letter,
    "star": star,
    "ring": lambda: tp.ring(60, 36),
    "ellipse": lambda: tp.ellipse(70, 40),
}


def straight(shape: Polygon, gap: float) -> tp.StraightInlay:
    return tp.straight_inlay(shape, [T1, T2], gap=gap, depth=4, thickness=8, at=(70, 65), turned_deg=20, name="leaf")


def tapered(shape: Polygon, vee: tp.Cutter) -> tp.TaperedInlay:
    return tp.tapered_inlay(shape, [T2, vee], start_depth=3, glue=0.5, proud=2, at=(70, 65), name="leaf")


KINDS: dict[str, Callable[[Polygon], tp.StraightInlay | tp.TaperedInlay]] = {
    "straight, 0.05": lambda shape: straight(shape, 0.05),
    "straight, 0.1": lambda shape: straight(shape, 0.1),
    "tapered, 60 deg": lambda shape: tapered(shape, T6),
    "tapered, 90 deg": lambda shape: tapered(shape, T7),
}


def fit(shape: str, kind: str) -> tp.InlayFit:
    """The fit of one of them, as simulated."""
    made = KINDS[kind](tp.centre_on(SHAPES[shape](), MIDDLE))
    setups = [tp.Setup(tp.Fixture(board=LID), made.recess), tp.Setup(tp.Fixture(board=VENEER), made.insert)]
    return tp.Job("Lid", setups).fit(made)


if __name__ == "__main__":
    for shape in sys.argv[1:] or SHAPES:
        for kind in KINDS:
            found = fit(shape, kind)
            missed = "*" if found.off > GOAL else ""
            floor = "none" if found.floor_room is None else f"{found.floor_room:.3f}"
            print(
                f"{shape}, {kind}: off {found.off:.4f}{missed}, mean {found.mean:.4f} of {found.meant:g}, overlap "
                f"{found.overlap_mm3:.2f} of {found.walls_mm2:.0f}, floor {floor}",
                flush=True,
            )
    print(f"goal: off by {GOAL} at most")
