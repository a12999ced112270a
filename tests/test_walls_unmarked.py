"""No mark where a cutter would stand at a finished wall: it goes up or down below the board's top away from it only.

Read from the written text, so whatever made the motion. Common practice, no source.
"""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from pathcheck import FRONT, SHAPES, T3, T6

import toolpaths as tp

WORLD = shapely.box(-50, -50, 300, 300)

NAMES = ["square", "circle", "ellipse", "rounded", "L", "star"]


def upright(work: list) -> np.ndarray:
    """(n, 2) places at which a program goes straight up or down below the top of the board."""
    motions = tp.read(tp.program_text(tp.Setup(FRONT, work))).motions
    still = (motions.start[:, :2] == motions.end[:, :2]).all(axis=1) & (motions.start[:, 2] != motions.end[:, 2])
    below = np.minimum(motions.start[:, 2], motions.end[:, 2]) < -1e-6
    return motions.start[still & below][:, :2]


@pytest.mark.sample(3)
@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("finish", [0.0, 0.4])
def test_pocket_leaves_no_mark_on_its_walls(name: str, finish: float) -> None:
    places = upright([tp.pocket(SHAPES[name], T6, depth=7, finish=finish)])

    assert len(places)
    away = shapely.distance(shapely.difference(WORLD, SHAPES[name]), shapely.points(places))
    assert away.min() > T6.radius + 0.05


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("side", ["outside", "inside"])
@pytest.mark.parametrize("how", [{"entry": "plunge"}, {"finish": 0.4}, {"entry": "ramp"}, {}], ids=str)
def test_contour_leaves_no_mark_on_its_wall(name: str, side: str, how: dict) -> None:
    """A ramp needs no way straight up or down at all; its end rises along the cut."""
    places = upright([tp.contour(SHAPES[name], T3, depth=5, side=side, **how)])

    if "finish" not in how and how.get("entry") != "plunge":
        assert not len(places)
        return
    assert len(places)
    wall = SHAPES[name] if side == "outside" else shapely.difference(WORLD, SHAPES[name])
    assert shapely.distance(wall, shapely.points(places)).min() > T3.radius + 0.05


def test_bore_leaves_no_mark_on_its_wall() -> None:
    (place,) = {tuple(each) for each in upright([tp.bore([(60, 50)], 10, T6, depth=8)]).tolist()}

    assert place == (60.0, 50.0)
