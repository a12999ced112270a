"""Tips that go too deep: what is ruled out by tiles of cells alone is what a look at every place finds nothing in."""

from __future__ import annotations

import numpy as np
import pytest
import shapely

from toolpaths import Board, Cutter, Fixture, Part, Recess, flat, simulate, v_point
from toolpaths.judging.checks.part import gouge, wood_at

BOARD = Board(width=90, height=70, thickness=12)
FIXTURE = Fixture(board=BOARD)
RACK = [Cutter(1, flat(3), 1500, 16000), Cutter(2, v_point(6, 90), 1500, 16000)]
RECESS = shapely.box(20, 20, 70, 50) - shapely.box(40, 30, 48, 40)


def program(seed: int) -> str:
    """Short moves and long ones about the walls of a recess, as deep as it, and some a little deeper."""
    chance = np.random.default_rng(seed)
    lines = []
    for tool in (1, 2):
        lines += [f"T{tool} M6", "M3 S16000", "G4 P3", "G0 X30 Y30", "G1 Z-4 F900"]
        for x, y, deep in zip(chance.uniform(10, 80, 40), chance.uniform(15, 55, 40), chance.random(40), strict=True):
            near = chance.random() < 0.7
            lines.append(f"G1 X{30 + x / 20 if near else x:.3f} Y{y:.3f} Z{-4.08 if deep < 0.1 else -4}")
        lines += ["G0 Z20"]
    return "G21 G90 G17\nG0 Z20\n" + "\n".join(lines) + "\nM5\nM30\n"


@pytest.mark.parametrize("seed", range(3))
def test_tiles_and_a_look_at_every_place_find_the_same(monkeypatch, seed):
    part = Part(board=BOARD, front=[Recess(area=RECESS, depth=4)])
    text = program(seed)
    found = simulate(text, FIXTURE, RACK, cell=0.5, part=part)
    assert any("deeper into the part than meant" in each.message for each in found)
    asked = []
    monkeypatch.setattr(gouge, "_may_be_too_deep", lambda trial, lowest, which: asked.append(len(which)) or which)
    monkeypatch.setattr(wood_at, "_FEW", 10**9)
    assert simulate(text, FIXTURE, RACK, cell=0.5, part=part) == found
    assert asked
    monkeypatch.setattr(wood_at, "_FEW", 1)
    assert simulate(text, FIXTURE, RACK, cell=0.5, part=part) == found


def test_few_moves_are_left_where_a_floor_is_as_deep_as_meant(monkeypatch):
    left = []
    of_all = gouge._may_be_too_deep
    monkeypatch.setattr(gouge, "_may_be_too_deep", lambda *given: left.append(of_all(*given)) or left[-1])
    rows = "\n".join(f"G1 X{22 + 46 * (i % 2)}\nG1 Y{22 + i * 0.5:.1f}" for i in range(53))
    short = "\n".join(f"X{22 + i % 40} Y{44 + i % 3}" for i in range(400))
    text = f"G21 G90 G17\nG0 Z20\nT1 M6\nM3 S16000\nG4 P3\nG0 X22 Y22\nG1 Z-4 F900\n{rows}\n{short}\nG0 Z20\nM5\nM30\n"
    simulate(
        text, FIXTURE, RACK, cell=0.5, part=Part(board=BOARD, front=[Recess(area=shapely.box(5, 5, 85, 65), depth=4)])
    )
    assert len(left[0]) < 70  # of 500: the rows, longer than a tile
