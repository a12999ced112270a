"""Simulated wood against solids that know nothing of the simulator (tests/solids.py): volume, floors, walls."""

from __future__ import annotations

from math import pi, radians, tan

import numpy as np
import pytest
import shapely
from shapely import Polygon

pytest.importorskip("manifold3d")

from solids import OpType, Shape, Solid, along, left_of, tops, turn, turned_over

from toolpaths.facts.board import Board
from toolpaths.facts.cutter import Cutter
from toolpaths.facts.fixture import Fixture
from toolpaths.facts.profile import Profile, ball, bull_nose, drill_point, flat, rounding, v_point
from toolpaths.judging.simulate import simulate
from toolpaths.judging.wood.field import Wood

BOARD = Board(width=60, height=52, thickness=20)
FRONT = Fixture(board=BOARD, overhang=20)
CELL = 0.1
# Each cutter twice: as its maker draws it, and as the library is told of it.
CUTTERS: list[tuple[Shape, Profile]] = [
    (Shape("flat", 6), flat(6)),
    (Shape("ball", 8), ball(8)),
    (Shape("bull nose", 8, 2), bull_nose(8, 2)),
    (Shape("V", 12, 90), v_point(12, 90)),
    (Shape("drill", 7, 118), drill_point(7)),
    (Shape("rounding", 9, 3), rounding(3, 3)),
]


# Height told where there is none.
NO_WOOD = -100.0
# mm; the four places beside one, and itself.
BESIDE = ((0.0, 0.0), (0.02, 0.0), (-0.02, 0.0), (0.0, 0.02), (0.0, -0.02))


def near(x: float, y: float, z: float = 0.0) -> tuple[float, float, float]:
    return x + 0.0123, y + 0.0217, z


def raised(points: list[tuple[float, float]], z0: float, z1: float) -> list[tuple[float, float, float]]:
    return [(x, y, z0 + (z1 - z0) * k / (len(points) - 1)) for k, (x, y) in enumerate(points)]


def hollow(middle: float) -> list[tuple[float, float]]:
    """Along X or Y, and height: radius 15 about 9 above the board, so 12 to either side and 6 deep."""
    edge = np.degrees(np.arctan2(9, 12))
    return turn((middle, 9), 15, 180 + edge, 180 - 2 * edge, sagitta=0.002)


# Each move twice: as words, and as the places of the cutter's tip. Begun in the air over its first place.
MOVES: dict[str, tuple[str, list[tuple[float, float, float]]]] = {
    "plunge": ("G0 X30.0123 Y26.0217\nG1 Z-6.5", [near(30, 26, 0), near(30, 26, -6.5)]),
    "level line": ("G0 X12.3 Y11.7\nG1 Z-4\nX46.1 Y37.9", [(12.3, 11.7, -4), (46.1, 37.9, -4)]),
    "line along X": ("G0 X12.3 Y26.02\nG1 Z-3\nX46.1", [(12.3, 26.02, -3), (46.1, 26.02, -3)]),
    "line down": ("G0 X14.2 Y36.4\nG1 Z-1\nX47.3 Y15.1 Z-7", [(14.2, 36.4, -1), (47.3, 15.1, -7)]),
    "steep line up": ("G0 X28.2 Y24.4\nG1 Z-8\nX31.3 Y26.1 Z-1", [(28.2, 24.4, -8), (31.3, 26.1, -1)]),
    "level arc": (
        "G0 X43.01 Y26.02\nG1 Z-4\nG3 X17.01 Y26.02 I-13 J0",
        [(x, y, -4) for x, y in turn((30.01, 26.02), 13, 0, 180)],
    ),
    "small arc clockwise": (
        "G0 X30.01 Y28.02\nG1 Z-5\nG2 X28.01 Y26.02 I0 J-2",
        [(x, y, -5) for x, y in turn((30.01, 26.02), 2, 90, -270)],
    ),
    "helix": (
        "G0 X38.01 Y26.02\nG1 Z-1\nG3 X38.01 Y26.02 Z-4 I-8 J0\nG3 X38.01 Y26.02 Z-7 I-8 J0",
        [*raised(turn((30.01, 26.02), 8, 0, 360), -1, -4), *raised(turn((30.01, 26.02), 8, 0, 360), -4, -7)],
    ),
    "narrow helix": (
        "G0 X31.51 Y26.02\nG1 Z-1\nG2 X31.51 Y26.02 Z-6 I-1.5 J0",
        raised(turn((30.01, 26.02), 1.5, 0, -360), -1, -6),
    ),
    # In G18 the first axis is Z (NISTIR 6556, 4.3.6.1): G2 from left to right runs below its centre.
    "arc in XZ": (
        "G0 X18.01 Y26.02\nG1 Z0\nG18 G2 X42.01 Z0 I12 K9\nG17",
        [(x, 26.02, z) for x, z in hollow(30.01)],
    ),
    # In G19 the first axis is Y: G3 from low to high Y runs below its centre.
    "arc in YZ": (
        "G0 X30.01 Y14.02\nG1 Z0\nG19 G3 Y38.02 Z0 J12 K9\nG17",
        [(30.01, y, z) for y, z in hollow(26.02)],
    ),
    "canned cycle": ("G99 G83 X30.0123 Y26.0217 Z-6.5 R1 Q2\nG80", [near(30, 26, 0), near(30, 26, -6.5)]),
}  # fmt: skip


def program(*steps: tuple[int, str]) -> str:
    """Steps (tool, words) strung together, each begun and ended in the air."""
    lines = ["G21 G90 G17", "G0 Z15"]
    for tool, words in steps:
        lines += [f"T{tool} M6", "M3 S15000", "G4 P3", "F900", words, "G0 Z15"]
    return "\n".join([*lines, "M5", "M30", ""])


def wood(text: str, profiles: list[Profile], stock: Wood | None = None, cell: float = CELL, turned: str = "") -> Wood:
    rack = [Cutter(k, profile, 900, 15000, cutting_length=30) for k, profile in enumerate(profiles, start=1)]
    fixture = FRONT.turned_over(turned) if turned else FRONT
    return simulate(text, fixture, rack, cell=cell, stock=stock).stock


def same(stock: Wood, solid: Solid, levels: tuple[float, ...], flat_floors: bool, volume: float = 3e-3) -> None:
    """Volume, heights at scattered places, and walls at some levels."""
    board = stock.board
    gone = board.width * board.height * board.thickness - solid.volume()
    assert stock.removed() == pytest.approx(gone, rel=volume)
    _same_heights(stock, solid, 1e-3 if flat_floors else 4e-3)
    for z in levels:
        _same_walls(stock, solid, z)


def _same_heights(stock: Wood, solid: Solid, allowance: float) -> None:
    """At cell centres in the cut: what the solid has there, or within 0.02 mm sideways, which tells on slopes and
    at walls, where a facet more or less decides, and not at all on floors."""
    rows, columns = np.nonzero(stock.top < -0.01)
    pick = np.random.default_rng(7).choice(len(rows), min(400, len(rows)), replace=False)
    rows, columns = rows[pick], columns[pick]
    x, y = stock.grid.xs()[columns], stock.grid.ys()[rows]
    around = np.maximum(np.stack([tops(solid, x + dx, y + dy) for dx, dy in BESIDE]), NO_WOOD)
    top = np.where(stock.thickness() > 0, stock.top, NO_WOOD)[rows, columns]
    wrong = np.maximum(around.min(axis=0) - top, top - around.max(axis=0))
    worst = int(wrong.argmax())
    assert wrong[worst] <= allowance, f"{wrong[worst]} at X{x[worst]:.3f} Y{y[worst]:.3f}"


def _same_walls(stock: Wood, solid: Solid, z: float) -> None:
    """Cells on the other side of a wall than the solid says lie within 0.02 mm of it, far less than a cell."""
    section = shapely.MultiPolygon()
    for ring in solid.slice(z).to_polygons():
        section = section.symmetric_difference(Polygon(ring))
    xs, ys = np.meshgrid(stock.grid.xs(), stock.grid.ys())
    shapely.prepare(section)
    stands = shapely.contains_xy(section, xs.ravel(), ys.ravel()).reshape(xs.shape)
    differ = stands != (stock.top > z)
    far = shapely.distance(section.boundary, shapely.points(xs[differ], ys[differ]))
    assert far.max(initial=0.0) <= 0.02, f"{far.max()} at Z{z:g}"
    assert (stock.top <= z).any()


@pytest.mark.sample(2, long=3)
@pytest.mark.parametrize("move", MOVES)
@pytest.mark.parametrize("shape, profile", CUTTERS, ids=[shape.kind for shape, _ in CUTTERS])
def test_a_move_cuts_what_the_solid_cuts(shape, profile, move):
    words, path = MOVES[move]
    stock = wood(program((1, words)), [profile])
    solid = left_of(BOARD, [along(shape, path)])
    floors = shape.kind in ("flat", "bull nose") and all(z == path[-1][2] for _, _, z in path)
    same(stock, solid, (-0.5, -1.7), floors)


# ---- Section 2.3 of the project's reference values: the solid must agree with them as well.

SLOT = [(5.0, 20.0), (55.0, 20.0)]
REFERENCE: dict[str, tuple[Shape, list[tuple[float, float, float]], float]] = {
    "plunge, flat": (Shape("flat", 6), [(30, 20, 0), (30, 20, -8)], pi * 9 * 8),
    "slot, flat": (Shape("flat", 6), [(x, y, -2) for x, y in SLOT], 656.548668),
    "slot, ball": (Shape("ball", 6), [(x, y, -5) for x, y in SLOT], 1419.955683),
    "slot, V": (Shape("V", 12, 90), [(x, y, -3) for x, y in SLOT], 478.274334),
    "helical bore": (
        Shape("flat", 6),
        [*raised(turn((30, 20), 3, 0, 360), 0, -4), *raised(turn((30, 20), 3, 0, 360), -4, -8),
         *((x, y, -8) for x, y in turn((30, 20), 3, 0, 360))],
        904.778684,
    ),
    "plunge, drill": (Shape("drill", 6, 118), [(30, 20, -8)], pi * 9 * (8 - 2 * tan(radians(31)))),
}  # fmt: skip


@pytest.mark.parametrize("name", REFERENCE)
def test_solids_have_the_volumes_of_the_formulas(name):
    shape, path, expected = REFERENCE[name]
    gone = BOARD.width * BOARD.height * BOARD.thickness - left_of(BOARD, [along(shape, path)]).volume()
    assert gone == pytest.approx(expected, rel=1e-3)


# ---- Whole programs: many moves of every cutter, and both sides.


def random_steps(seed: int, deepest: float) -> tuple[list[tuple[int, str]], list[Solid]]:
    """Moves of every kind with every cutter, as words and as solids."""
    rng = np.random.default_rng(seed)
    steps: list[tuple[int, str]] = []
    cuts: list[Solid] = []
    for number in rng.permutation(np.tile(np.arange(len(CUTTERS)), 2)).tolist():
        shape = CUTTERS[number][0]
        x0, x1 = rng.uniform(8, 52, 2).round(3).tolist()
        y0, y1 = rng.uniform(8, 44, 2).round(3).tolist()
        z0, z1 = (-rng.uniform(0.5, deepest, 2)).round(3).tolist()
        begin = f"G0 X{x0} Y{y0}\nG1 Z{z0}\n"
        kind = rng.integers(4)
        if kind == 0:
            steps.append((number + 1, f"{begin}X{x1} Y{y1} Z{z1}"))
            cuts.append(along(shape, [(x0, y0, z0), (x1, y1, z1)]))
        elif kind == 1:
            steps.append((number + 1, f"G98 G81 X{x0} Y{y0} Z{z1} R1\nG80"))
            cuts.append(along(shape, [(x0, y0, z1)]))
        else:
            radius, sweep = round(rng.uniform(1, 8), 3), float(rng.choice([-270, 90, 180, 360, -360]))
            path = raised(turn((x0 - radius, y0), radius, 0, sweep), z0, z1 if kind == 2 else z0)
            x, y, z = path[-1]
            steps.append((number + 1, f"{begin}{'G3' if sweep > 0 else 'G2'} X{x:.4f} Y{y:.4f} Z{z} I{-radius} J0"))
            cuts.append(along(shape, path))
    return steps, cuts


@pytest.mark.sample(0, long=1)
@pytest.mark.parametrize("seed", range(2))
def test_both_sides_of_a_board_are_those_of_the_solid(seed):
    """Deep enough that cuts of the two sides meet."""
    profiles = [profile for _, profile in CUTTERS]
    steps, cuts = random_steps(seed, 12.0)
    front, solid = wood(program(*steps), profiles), left_of(BOARD, cuts)
    same(front, solid, (-1.0, -6.0), False)

    steps, cuts = random_steps(seed + 50, 12.0)
    back = wood(program(*steps), profiles, front.turned_over("left to right"), turned="left to right")
    solid = turned_over(solid, BOARD) - Solid.batch_boolean(cuts, OpType.Add)
    same(back, solid, (-1.0,), False)
