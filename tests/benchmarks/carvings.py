"""Carvings: volumes and depths as simulated, how far off the line they are, and how long 40 letters take to plan.

    python tests/benchmarks/carvings.py

The volumes and depths of known shapes are those of the written text, simulated on a grid of 0.1 mm, and of its lowest
Z. Goals: 0.3 % and 0.01 mm.

Letters of two open fonts and 60 odd shapes by lot: how far the discs that the tip's moves stand for reach over the
line, and how far inside it they end, each the hull of the discs at the ends of a move, made and compared by shapely.
Goal: at most the tolerance over it, and inside it.

Planning 40 letters, from their outlines to a setup's toolpath, over what shapely takes for their medial axes roughly:
voronoi_polygons of their outlines in pieces of 0.25 mm, and its edges that lie inside. Goal: at most 10 times that.

A star marks a goal missed.
"""

from __future__ import annotations

import sys
from math import radians, tan
from pathlib import Path

import shapely
from shapely.geometry.base import BaseGeometry
from shapely.geometry.polygon import orient

import toolpaths as tp
from toolpaths.shapes.largest_discs import largest_discs

sys.path.insert(0, str(Path(__file__).parent))
sys.path.insert(0, str(Path(__file__).parents[1]))
from carved_shapes import KNOWN, farthest_beyond, odd_shape, swept
from open_fonts import DEJAVU_SANS
from ratio import Ratio, ratio

VOLUME, DEPTH, TIMES = 0.003, 0.01, 10.0
TOLERANCE, CELL, PIECE = 0.01, 0.1, 0.25
LETTERS = "ThequickbrownfoxjumpsoverlazydogsABDGKMQRS&"
SERIF = DEJAVU_SANS.with_name("DejaVuSerif.ttf")
BOARD = tp.Board(width=900, height=100, thickness=25)
FIXTURE = tp.Fixture(board=BOARD)
SMALL = tp.Fixture(board=tp.Board(width=100, height=100, thickness=25))
V90 = tp.Cutter(1, tp.v_point(25, 90), feed_mm_min=1200, spindle_rpm=16000)
V60 = tp.Cutter(2, tp.v_point(25, 60), feed_mm_min=1200, spindle_rpm=16000)
BLUNT = tp.Cutter(3, tp.v_point(25, 90, 0.5), feed_mm_min=1200, spindle_rpm=16000)
BLUNT_60 = tp.Cutter(4, tp.v_point(25, 60, 0.5), feed_mm_min=1200, spindle_rpm=16000)
FLAT = tp.Cutter(5, tp.flat(3), feed_mm_min=1500, spindle_rpm=18000)
# Name, cutters, limit, mm3 and mm; reference: the integral of the insets up to the limit, opened by half the flat.
LIMITED = [
    ("rectangle", (FLAT, V90), 3.0, 786.0, 3.0),
    ("rectangle", (FLAT, V60), 3.0, 952.192379, 3.0),
    ("rectangle", (FLAT, BLUNT_60), 3.0, 952.031427, 3.0),
    ("rectangle", (BLUNT,), None, 914.515994, 4.75),
    ("square", (FLAT, V90), 4.0, 1045.333333, 4.0),
    ("disc", (FLAT, V90), 4.0, 821.002880, 4.0),
    ("triangle", (FLAT, V90), 4.0, 1568.0, 4.0),
]


def carved(name: str, cutters: tuple[tp.Cutter, ...], limit: float | None = None) -> tuple[float, float]:
    """mm3 and mm of a known shape, from the text of its program."""
    shape = tp.centre_on(KNOWN[name].shape, (50, 50))
    setup = tp.Setup(SMALL, [tp.v_carve(shape, cutters, depth_limit=limit)])
    stock = tp.simulate(tp.program_text(setup), SMALL, cutters, cell=CELL).stock
    assert stock is not None
    return -float(stock.top.sum()) * stock.cell**2, -min(step.path.lowest for step in setup.steps)


def known() -> list[tuple[str, float, float, float, float]]:
    """Of each shape what it is called, mm3 and mm as carved, and mm3 and mm as known."""
    found = []
    for name, (_, deepest, volume) in KNOWN.items():
        for cutter in (V90, V60):
            steep = 1 / tan(radians(cutter.profile.angle_deg / 2))
            found.append((f"{name} {cutter.profile}", *carved(name, (cutter,)), volume * steep, deepest * steep))
    for name, cutters, limit, volume, deepest in LIMITED:
        called = f"{name} {cutters[-1].profile} flat {cutters[-1].profile.tip_diameter:g} limit {limit}"
        found.append((called, *carved(name, cutters, limit), volume, deepest))
    return found


def letters() -> BaseGeometry:
    """40 letters and more, with serifs."""
    return tp.centre_on(tp.letters(LETTERS, SERIF, 18), (450, 50))


def off_the_line(shape: BaseGeometry) -> tuple[float, float]:
    """mm by which discs reach over the line, and by which they end inside it."""
    lines = [line for part in shapely.get_parts(shape) for line in largest_discs(orient(part), TOLERANCE).lines]
    covered = swept(lines)
    return farthest_beyond(covered, shape), farthest_beyond(shape, covered)


def rough_axes(shape: BaseGeometry) -> int:
    """The edges inside of the cells about points on the outlines; how many."""
    count = 0
    for part in shapely.get_parts(shape):
        points = shapely.get_coordinates(shapely.segmentize(part.boundary, PIECE))
        cells = shapely.voronoi_polygons(shapely.multipoints(points), only_edges=True)
        shapely.prepare(part)
        count += int(shapely.covers(part, shapely.get_parts(cells)).sum())
    return count


def planning(rounds: int = 5) -> Ratio:
    """Planning the letters over their rough axes."""
    shape = letters()
    return ratio(lambda: tp.Setup(FIXTURE, [tp.v_carve(shape, V60)]), lambda: rough_axes(shape), rounds)


if __name__ == "__main__":
    print(f"{'':42}{'mm3':>10}{'known':>10}{'off %':>8}{'mm deep':>9}{'known':>9}   goals {VOLUME:.1%}, {DEPTH} mm")
    for name, volume, deep, volume_known, deep_known in known():
        off = volume / volume_known - 1
        missed = abs(off) > VOLUME or abs(deep - deep_known) > DEPTH
        print(f"{name:42}{volume:10.3f}{volume_known:10.3f}{off:8.3%}{deep:9.4f}{deep_known:9.4f}", end="")
        print("  *" if missed else "", flush=True)
    for name, shapes in (
        ("letters with serifs", list(shapely.get_parts(letters()))),
        ("letters without", list(shapely.get_parts(tp.letters(LETTERS, DEJAVU_SANS, 18)))),
        ("60 odd shapes", [odd_shape(seed) for seed in range(60)]),
    ):
        over, inside = (max(each) for each in zip(*map(off_the_line, shapes)))
        print(
            f"{name}: {over:.4f} mm over the line at most, goal {TOLERANCE}; {inside:.4f} mm inside it at most", end=""
        )
        print("  *" if max(over, inside) > TOLERANCE else "", flush=True)
    by = planning()
    print(
        f"{len(LETTERS)} letters planned in {by.seconds:.2f} s: {by.best:.1f} times their rough axes, median ", end=""
    )
    print(f"{by.median:.1f}, goal {TIMES:g}{'  *' if by.median > TIMES else ''}")
