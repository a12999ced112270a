"""Wood taken away, against formulas, a brute-force search over each move, and solids."""

from __future__ import annotations

from math import cos, hypot, pi, radians, sin, tan

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from samples import examples
from toolpaths.facts.board import Board
from toolpaths.facts.profile import Profile, ball, bull_nose, drill_point, flat, rounding, v_point
from toolpaths.judging.wood.field import Wood, grid_on, whole_board
from toolpaths.judging.wood.moves import chosen, deepest
from toolpaths.judging.wood.removal import cuts, remove

BOARD = Board(width=60, height=40, thickness=20)
# mm; wide cells and any place of the move on them try as much as small ones.
WIDE = 1.25
PROFILES = [
    flat(6), ball(6), ball(12), bull_nose(6, 1), bull_nose(8, 3.5), v_point(12, 90), v_point(8, 60, 1.5),
    v_point(20, 150), drill_point(2.5), drill_point(5, 135), rounding(2.5, 3), rounding(6, 1),
]  # fmt: skip
# What single precision makes of a height within 20 mm, and the search of a rising cutter (1e-6).
EXACT = 1e-5

Move = tuple[float, ...]


def line(a: tuple[float, float, float], b: tuple[float, float, float]) -> Move:
    return (*a, *b, 0.0, 0.0, 0.0, 0.0, 0.0)


def arc(centre: tuple[float, float], radius: float, start: float, sweep: float, z0: float, z1: float) -> Move:
    ends = [(centre[0] + radius * cos(a), centre[1] + radius * sin(a)) for a in (start, start + sweep)]
    return (*ends[0], z0, *ends[1], z1, *centre, radius, start, sweep)


def table(*moves: Move) -> np.ndarray:
    return np.array(moves, float).T


def wood(profile: Profile, *moves: Move, cell: float = 1.0, board: Board = BOARD) -> Wood:
    stock = whole_board(board, cell)
    top = stock.top.copy()
    remove(top, stock.grid, table(*moves), profile)
    return Wood(board, stock.grid, top, stock.bottom)


def cut_top(profile: Profile, *moves: Move) -> np.ndarray:
    """The top after some moves, which have cut something: what is said of nothing holds of anything."""
    top = wood(profile, *moves).top
    assert (top < 0).any()
    return top


def place_at(move: Move, part: np.ndarray) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Where the tip is after so much of a move."""
    x0, y0, z0, x1, y1, z1, cx, cy, radius, start, sweep = move
    z = z0 + part * (z1 - z0)
    if sweep:
        return cx + radius * np.cos(start + part * sweep), cy + radius * np.sin(start + part * sweep), z
    return x0 + part * (x1 - x0), y0 + part * (y1 - y0), z


def search(profile: Profile, move: Move, cell: float = WIDE) -> tuple[np.ndarray, np.ndarray]:
    """Least height of the cutter over each cell by trying places of the move, ever closer.

    Also, which cells are so near the rim of the cut that rounding decides.
    """
    grid = grid_on(BOARD, cell)
    x, y = (v.reshape(-1, 1) for v in np.meshgrid(grid.xs(), grid.ys()))
    best = np.full(x.shape, np.inf)
    nearest = np.full(x.shape, np.inf)

    def look(x, y, part):
        px, py, pz = place_at(move, part)
        distance = np.hypot(px - x, py - y)
        height = pz + profile.height(np.minimum(distance, profile.radius))
        return distance, np.where(distance > profile.radius, np.inf, height)

    # In quarters, since a cell may be cut twice: a full circle comes near it at both of its ends.
    for quarter in range(4):
        low, high = np.full(x.shape, quarter / 4), np.full(x.shape, (quarter + 1) / 4)
        for looks in (101, *[21] * 7):
            part = low + (high - low) * np.linspace(0, 1, looks)
            distance, height = look(x, y, part)
            nearest = np.minimum(nearest, distance.min(axis=1, keepdims=True))
            best = np.minimum(best, height.min(axis=1, keepdims=True))
            if looks == 101:
                # Where the cutter's rim comes to the cell or leaves it, by halving.
                cells, first = np.nonzero(np.diff(np.isfinite(height), axis=1))
                pair = part[cells, first], part[cells, first + 1]
                within = np.isfinite(height[cells, first])
                inside, outside = np.where(within, *pair), np.where(within, *pair[::-1])
                for _ in range(60):
                    middle = (inside + outside) / 2
                    reached = np.isfinite(look(x[cells, 0], y[cells, 0], middle)[1])
                    inside, outside = np.where(reached, middle, inside), np.where(reached, outside, middle)
                np.minimum.at(best[:, 0], cells, look(x[cells, 0], y[cells, 0], inside)[1])
            # Where nothing was reached yet, look closer at the nearest place instead.
            key = np.where(np.isfinite(height).any(axis=1, keepdims=True), height, distance)
            at = np.take_along_axis(part, key.argmin(axis=1)[:, None], axis=1)
            step = (high - low) * 2 / (looks - 1)
            low, high = np.maximum(at - step, low), np.minimum(at + step, high)
    rim = np.abs(nearest - profile.radius) < 1e-4
    return best.reshape(grid.shape), rim.reshape(grid.shape)


xy = st.tuples(st.floats(5, 55), st.floats(5, 35))
depths = st.floats(-9, -0.5)
profiles = st.sampled_from(PROFILES)


def same_as_search(profile: Profile, move: Move, allowance: float = EXACT) -> None:
    expected, rim = search(profile, move)
    got = wood(profile, move, cell=WIDE).top
    expected = np.minimum(expected, 0)
    wrong = np.abs(got - expected) > allowance
    assert not (wrong & ~rim).any(), f"{np.abs(got - expected)[~rim].max()} at {np.argwhere(wrong & ~rim)[:3]}"


@given(profile=profiles, a=xy, b=xy, z=depths)
@examples(30)
def test_level_lines_are_exact_at_cell_centres(profile, a, b, z):
    same_as_search(profile, line((*a, z), (*b, z)))


@given(profile=profiles, a=xy, b=xy, z0=depths, z1=depths)
@examples(30)
def test_sloping_lines_are_exact_at_cell_centres(profile, a, b, z0, z1):
    same_as_search(profile, line((*a, z0), (*b, z1)))


@given(profile=profiles, a=xy, way=st.floats(0.01, 2), turn=st.floats(0, 7), z0=depths, z1=depths)
@examples(30)
def test_steep_lines_are_exact_at_cell_centres(profile, a, way, turn, z0, z1):
    same_as_search(profile, line((*a, z0), (a[0] + way * cos(turn), a[1] + way * sin(turn), z1)))


@given(profile=profiles, a=xy, z0=st.floats(-1, 5), z1=depths)
@examples(15)
def test_plunges_are_exact_at_cell_centres(profile, a, z0, z1):
    same_as_search(profile, line((*a, z0), (*a, z1)))


arcs_of = {
    "radius": st.floats(0.3, 25), "start": st.floats(-pi, pi),
    "sweep": st.floats(-2 * pi, 2 * pi).filter(lambda s: abs(s) > 0.02),
}  # fmt: skip


@given(profile=profiles, centre=xy, z=depths, **arcs_of)
@examples(20)
def test_level_arcs_are_exact_at_cell_centres(profile, centre, z, radius, start, sweep):
    same_as_search(profile, arc(centre, radius, start, sweep, z, z))


@given(profile=profiles, centre=xy, z0=depths, z1=depths, **arcs_of)
@examples(30)
def test_helices_are_exact_at_cell_centres(profile, centre, z0, z1, radius, start, sweep):
    same_as_search(profile, arc(centre, radius, start, sweep, z0, z1))


@pytest.mark.sample(6, long=23)
@pytest.mark.parametrize("profile", PROFILES, ids=str)
@pytest.mark.parametrize(
    "move",
    [
        line((10, 20, -3), (50, 20, -3)), line((10, 20, -1), (50, 20, -6)), line((30, 35, -6), (30, 5, -1)),
        line((30, 20, 2), (30, 20, -7)), line((12, 7, -5), (40, 31, -5.5)), line((30, 20, -2), (31, 20.5, -1)),
        line((30, 20, -1), (30.2, 20.5, -8)), arc((30, 20), 4, 0, 0.5, -5, -1),
        arc((30, 20), 12, 0, 2 * pi, -4, -4), arc((30, 20), 1, 0, 2 * pi, -2, -4), arc((30, 20), 1, 0, -2 * pi, -4, -2),
        arc((30, 20), 10, pi / 2, -1.5 * pi, -2, -6), arc((30, 20), 2.5, 3, 4.5, -3, -3),
        arc((30, 20), 0.4, 1, 6, -5, -1), arc((30, 20), 12, pi / 2, pi / 2, -1, -1),
    ],
    ids=[
        "level", "down", "up", "plunge", "slanted", "steep", "steeper than a V", "steep arc", "circle",
        "small helix", "rising helix", "270 degrees",
        "258 degrees", "radius below the cutter's", "quarter",
    ],
)  # fmt: skip
def test_every_profile_with_every_kind_of_move(profile, move):
    same_as_search(profile, move)


# ---- Volumes: section 2.3 of the project's reference values, derived there from the definitions.

HELIX = [arc((30, 20), 3, 0, 2 * pi, -8 * k / 4, -8 * (k + 1) / 4) for k in range(4)] + [
    arc((30, 20), 3, 0, 2 * pi, -8, -8)
]
POCKET = [line((a, b, -5), (c, d, -5)) for (a, b), (c, d) in
          (((3, 3), (97, 3)), ((97, 3), (97, 57)), ((97, 57), (3, 57)), ((3, 57), (3, 3)))] + [
    line((3, y, -5), (97, y, -5)) for y in range(3, 58, 3)]  # fmt: skip
VOLUMES = {
    "plunge, flat": (flat(6), [line((30, 20, 0), (30, 20, -8))], 226.194671),
    "slot, flat": (flat(6), [line((5, 20, -2), (55, 20, -2))], 656.548668),
    "slot, ball": (ball(6), [line((5, 20, -5), (55, 20, -5))], 1419.955683),
    "slot, V": (v_point(12, 90), [line((5, 20, -3), (55, 20, -3))], 478.274334),
    "helical bore": (flat(6), HELIX, 904.778684),
    "pocket": (flat(6), POCKET, 29961.371670),
    "drill": (drill_point(6, 118), [line((30, 20, 0), (30, 20, -8))],
              pi * 9 * (8 - 3 / tan(radians(59))) + pi * 9 * 3 / tan(radians(59)) / 3),
    "plunge, bull nose": (bull_nose(6, 1), [line((30, 20, 0), (30, 20, -8))],
                          pi * 9 * 7 + pi * (4 * 1 + 2 * 2 * pi / 4 + 2 / 3)),
    # Not at 45 degrees, where all the cells of a diagonal would change sides at once.
    "slanted slot, flat": (flat(6), [line((13, 6, -2), (46, 33, -2))], 2 * (6 * hypot(33, 27) + pi * 9)),
    "ring, flat": (flat(6), [arc((30, 20), 12, 0.3, 2 * pi, -2, -2)], pi * (15**2 - 9**2) * 2),
}  # fmt: skip


@pytest.mark.parametrize("name", VOLUMES)
def test_volume_is_that_of_the_formula(name):
    profile, moves, expected = VOLUMES[name]
    board = Board(width=100, height=60, thickness=20)
    assert wood(profile, *moves, cell=0.05, board=board).removed() == pytest.approx(expected, rel=1e-3)


@pytest.mark.parametrize("name", VOLUMES)
def test_error_of_the_volume_halves_with_the_cell(name):
    """On average over places of the grid; a single place can be right by luck."""
    profile, moves, expected = VOLUMES[name]
    board = Board(width=100, height=60, thickness=20)
    rng = np.random.default_rng(5)

    def error(cell: float) -> float:
        found = []
        for dx, dy in rng.uniform(0, 1, (6, 2)) if name != "pocket" else [(0, 0)]:
            shifted = table(*moves)
            shifted[[0, 3, 6]] += dx
            shifted[[1, 4, 7]] += dy
            found.append(abs(wood(profile, *shifted.T, cell=cell, board=board).removed() - expected))
        return float(np.mean(found)) / expected

    assert error(0.1) <= max(0.6 * error(0.4), 2e-4)


# ---- Properties.


def over_board(move: Move) -> bool:
    """Whether the axis comes over the board: an arc about a centre near its edge may lie wholly beside it."""
    x, y, _ = place_at(move, np.linspace(0.0, 1.0, 9))
    return bool(((x >= 0) & (x <= BOARD.width) & (y >= 0) & (y <= BOARD.height)).any())


moves_of_any_kind = st.one_of(
    st.builds(lambda a, b, z0, z1: line((*a, z0), (*b, z1)), xy, xy, depths, depths),
    st.builds(lambda a, b, z: line((*a, z), (*b, z)), xy, xy, depths),
    st.builds(lambda c, r, s, w, z0, z1: arc(c, r, s, w, z0, z1), xy, *arcs_of.values(), depths, depths),
    st.builds(lambda c, r, s, w, z: arc(c, r, s, w, z, z), xy, *arcs_of.values(), depths),
).filter(over_board)
some_moves = st.lists(moves_of_any_kind, min_size=2, max_size=6)


@given(profile=profiles, moves=some_moves, data=st.data())
@examples(40)
def test_order_makes_no_difference(profile, moves, data):
    shuffled = data.draw(st.permutations(moves))
    assert (cut_top(profile, *moves) == wood(profile, *shuffled).top).all()


@given(profile=profiles, moves=some_moves)
@examples(40)
def test_batch_is_the_lowest_of_its_moves(profile, moves):
    alone = np.min([wood(profile, move).top for move in moves], axis=0)
    assert (cut_top(profile, *moves) == alone).all()


@given(profile=profiles, moves=some_moves, across=st.integers(-4, 4), up=st.integers(-4, 4))
@examples(40)
def test_moving_by_whole_cells_moves_the_cut(profile, moves, across, up):
    shifted = table(*moves)
    shifted[[0, 3, 6]] += across
    shifted[[1, 4, 7]] += up
    before = np.pad(cut_top(profile, *moves), 4)
    after = np.pad(wood(profile, *shifted.T).top, 4)
    rows, columns = before.shape
    part = before[4 - min(up, 0) : rows - 4 - max(up, 0), 4 - min(across, 0) : columns - 4 - max(across, 0)]
    moved = after[
        4 - min(up, 0) + up : rows - 4 - max(up, 0) + up,
        4 - min(across, 0) + across : columns - 4 - max(across, 0) + across,
    ]
    assert np.quantile(np.abs(part - moved), 0.99) <= EXACT
    assert (np.abs(part - moved) > EXACT).sum() <= 3, "only centres on the very rim may differ"


def mirrored(moves: list[Move]) -> np.ndarray:
    """Left to right on BOARD."""
    out = table(*moves)
    out[[0, 3, 6]] = BOARD.width - out[[0, 3, 6]]
    out[9] = pi - out[9]
    out[10] = -out[10]
    return out


@given(profile=profiles, moves=some_moves)
@examples(40)
def test_mirrored_moves_make_the_mirrored_cut(profile, moves):
    cut = cut_top(profile, *moves)
    other = wood(profile, *mirrored(moves).T).top[:, ::-1]
    assert (np.abs(cut - other) > EXACT).sum() <= 3, "only centres on the very rim may differ"


@given(profile=profiles, moves=some_moves)
@examples(40)
def test_reversed_moves_make_the_same_cut(profile, moves):
    back = table(*moves)
    turned = back[[3, 4, 5, 0, 1, 2, 6, 7, 8, 9, 10]]
    turned[9] = back[9] + back[10]
    turned[10] = -back[10]
    difference = np.abs(cut_top(profile, *moves) - wood(profile, *turned.T).top)
    assert (difference > EXACT).sum() <= 3, "only centres on the very rim may differ"


def test_deepest_keeps_one_of_seven_passes_and_all_that_differ():
    path = [line((10, 10, 0), (50, 10, 0)), arc((30, 20), 8, 0, 2, 0, 0)]
    passes = []
    for z in (-3.0, -6.0, -9.0):
        passes += [(*move[:2], z, *move[3:5], z, *move[6:]) for move in path]
    ramps = [line((10, 10, -9), (50, 10, -12)), line((10, 10, -12), (50, 10, -8.5))]

    assert deepest(table(*passes)).sum() == 2
    every = table(*passes, *ramps)
    kept = chosen(every, deepest(every))
    assert kept.shape[1] == 3, "the level pass at -9 is above the ramp from -9 to -12, the other ramp crosses it"


@given(profile=profiles, moves=some_moves)
@examples(40)
def test_a_smaller_cutter_of_clearance_cuts_no_cell_more(profile, moves):
    grid = grid_on(BOARD, 1.0)
    full = [{int(c) for cut in cuts(grid, table(move), profile) for c in cut.cell} for move in moves]
    less = [{int(c) for cut in cuts(grid, table(move), profile, 0.5) for c in cut.cell} for move in moves]
    assume(any(full))
    assert all(few <= many for few, many in zip(less, full, strict=True))


# ---- An independent solid: the board less hulls of revolved cutters, by a general-purpose library.


def solid_cutter(profile: Profile, manifold3d):
    """A revolved cutter with its tip at the origin, 40 mm long."""
    rho = np.linspace(0, profile.radius, 60)
    rim = [(0.0, 40.0), *[(0.0, 0.0)], *zip(rho[1:], profile.height(rho[1:]), strict=True), (profile.radius, 40.0)]
    section = manifold3d.CrossSection([rim])
    if section.area() <= 0:
        section = manifold3d.CrossSection([rim[::-1]])
    return manifold3d.Manifold.revolve(section, 256)


@pytest.mark.sample(5)
@pytest.mark.parametrize("profile", [flat(6), ball(6), bull_nose(6, 1), v_point(12, 90), drill_point(5)], ids=str)
@pytest.mark.parametrize("slope", [0.0, 3.0], ids=["level", "sloping"])
def test_volume_and_heights_agree_with_a_solid_model(profile, slope):
    """Source: manifold3d, booleans of triangle meshes; the hull of a convex cutter at both ends."""
    manifold3d = pytest.importorskip("manifold3d")
    cutter = solid_cutter(profile, manifold3d)
    ends = [((12, 10, -6), (45, 28, -6 + slope)), ((45, 28, -6 + slope), (45, 8, -6))]
    solid = manifold3d.Manifold.cube((60, 40, 20)).translate((0, 0, -20))
    for a, b in ends:
        solid -= manifold3d.Manifold.batch_hull([cutter.translate(a), cutter.translate(b)])
    stock = wood(profile, *[line(a, b) for a, b in ends], cell=0.1)

    assert stock.volume() == pytest.approx(solid.volume(), rel=3e-4)
    assert stock.removed() == pytest.approx(60 * 40 * 20 - solid.volume(), rel=3e-3)
    for z in (-1.0, -3.0, -5.0):
        area = float((stock.top > z).sum()) * 0.01
        assert area == pytest.approx(solid.slice(z).area(), rel=3e-3)
