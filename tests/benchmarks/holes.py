"""Way through the air over fields of 200 holes, against a length that no way can be shorter than.

    python tests/benchmarks/holes.py

Each field is drilled by one program, which is written, read back and followed. Compared are two lengths in the plane:
what the axis travels by rapid from the place where it waits, over all holes, and back to that place, and the one-tree
bound (held_karp.py) on any closed tour over the same places, the waiting place one of them. The way is closed since
the machine does go back: to have its cutter changed, or to its end. Where screws and clamps stand in the field, every
straight way also costs what lies below it has the cutter climb and come down again, in the program by its own Z words,
in the bound by shapely's distances. Goal: at most 1.06.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import shapely
from held_karp import lower_bound

import toolpaths as tp
from toolpaths.judging.reader.motions import RAPID

COUNT = 200
GOAL = 1.06
BOARD = tp.Board(width=600, height=400, thickness=18)
DRILL = tp.Cutter(6, tp.drill_point(3), feed_mm_min=600, spindle_rpm=8000, cutting_length=40)


class Field(NamedTuple):
    """Places to drill, and how the board is held."""

    places: np.ndarray
    fixture: tp.Fixture


def uniform(seed: int) -> np.ndarray:
    return np.random.default_rng(seed).uniform((20, 20), (580, 380), (COUNT, 2))


def clustered(seed: int) -> np.ndarray:
    """Ten middles, the holes round them as a bell curve of 20 mm."""
    dice = np.random.default_rng(seed)
    middles = dice.uniform((60, 60), (540, 340), (10, 2))
    return np.clip(middles[dice.integers(0, 10, COUNT)] + dice.normal(0, 20, (COUNT, 2)), (10, 10), (590, 390))


def grid(seed: int) -> np.ndarray:
    """Twenty columns and ten rows 25 mm apart, listed in disorder."""
    places = np.stack(np.meshgrid(np.arange(20), np.arange(10)), axis=-1).reshape(-1, 2) * 25.0 + (60, 80)
    return np.random.default_rng(seed).permutation(places)


def fields() -> dict[str, Field]:
    bare = tp.Fixture(board=BOARD)
    found = {
        f"{kind.__name__} {seed}": Field(kind(seed), bare) for kind in (uniform, clustered, grid) for seed in (1, 2, 3)
    }
    for seed in (1, 2, 3):
        held = keep_outs(seed)
        clear = held.board.outline - shapely.union_all([area.buffer(12) for area, _ in standing(held)])
        places = np.random.default_rng(seed).uniform((20, 20), (580, 380), (2 * COUNT, 2))
        places = places[shapely.contains_xy(clear, *places.T)][:COUNT]
        assert len(places) == COUNT
        found[f"keep-outs {seed}"] = Field(places, held)
    return found


def keep_outs(seed: int) -> tp.Fixture:
    """Twelve screws all over the field, and three clamps of 30 mm."""
    dice = np.random.default_rng(seed)
    screws = tp.screws(dice.uniform((40, 40), (560, 360), (12, 2)), head_diameter=9, height=3)
    corners = dice.uniform((50, 50), (500, 330), (3, 2))
    clamps = tuple(tp.Clamp(area=shapely.box(x, y, x + 50, y + 20), height=30) for x, y in corners)
    return tp.Fixture(board=BOARD, screws=screws, clamps=clamps)


def standing(fixture: tp.Fixture) -> list[tuple[shapely.Geometry, float]]:
    """Area and height of all that stands on the board."""
    screws = [(shapely.Point(s.x, s.y).buffer(s.head_diameter / 2, 64), s.height) for s in fixture.screws]
    return screws + [(clamp.area, clamp.height) for clamp in fixture.clamps]


def climbs(places: np.ndarray, fixture: tp.Fixture) -> np.ndarray:
    """(n, n) mm up and down on the straight way between any two places, over what the drill would meet at 2 mm.

    No more than the program's, which also leaves a margin: the bound stays one.
    """
    count = len(places)
    ends = np.stack(np.broadcast_arrays(places[:, None], places[None]), axis=2).reshape(-1, 2, 2)
    ways, up = shapely.linestrings(ends), np.zeros(count * count)
    for area, height in standing(fixture):
        met = shapely.distance(ways, area) < DRILL.body_radius(height - fixture.link_z)
        up = np.where(met, np.maximum(up, 2 * (height + 5 - fixture.link_z)), up)
    return up.reshape(count, count)


def travelled(field: Field) -> float:
    """mm from the waiting place over all holes and back by rapid, in the program as it is read: the ways across, and up
    and down on each of them above the link height."""
    setup = tp.Setup(field.fixture, [tp.drill(field.places, DRILL, depth=10)])
    read = tp.read(tp.program_text(setup)).motions
    x, y = field.fixture.wait_at
    waiting = (np.abs(read.end[:, :2] - (x, y)) < 1e-3).all(axis=1)
    first = int(waiting.argmax())
    assert waiting[first] and waiting[-1], "the program begins and ends at the waiting place"
    way = (read.kind == RAPID) & (np.arange(len(read)) > first)
    assert len(np.unique(read.end[way & ~waiting][:, :2].round(3), axis=0)) == COUNT, "every hole is visited"
    across = np.hypot(*(read.end - read.start)[:, :2].T)
    # What is risen and fallen on the way from the waiting place and back there is the same for all routes.
    high = np.maximum(read.end[:, 2] - field.fixture.link_z, 0.0)
    between = way & (across > 1e-3) & ~waiting & ~np.roll(waiting, 1)
    return float(across[way].sum() + 2 * high[between].sum())


def ratio(field: Field, rounds: int = 1500) -> float:
    """What is travelled over the least that any closed tour takes; fewer rounds of the ascent give a looser bound."""
    places = np.vstack([field.fixture.wait_at, field.places])
    cost = np.hypot(*(places[:, None] - places[None]).transpose(2, 0, 1))
    cost[1:, 1:] += climbs(field.places, field.fixture)
    way = travelled(field)
    return way / lower_bound(cost, way, rounds)


if __name__ == "__main__":
    for name, field in fields().items():
        print(f"{name}: {ratio(field):.4f}", flush=True)
    print(f"goal {GOAL}")
