"""The finished fascia, measured in the wood that the two programs leave; its sizes are those of the job."""

from __future__ import annotations

import importlib.util
from functools import cache
from pathlib import Path
from types import ModuleType
from typing import Any

import numpy as np
import pytest
import shapely

import toolpaths as tp
from toolpaths.judging.wood.field import Wood

SAMPLE = Path(__file__).resolve().parents[1] / "samples" / "weather_station.py"


@cache
def job() -> ModuleType:
    spec = importlib.util.spec_from_file_location("weather_station", SAMPLE)
    assert spec and spec.loader
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@pytest.fixture(
    scope="module", params=[pytest.param(0.5, marks=pytest.mark.long), pytest.param(0.25, marks=pytest.mark.by_hand)]
)
def wood(request: pytest.FixtureRequest) -> Wood:
    """The board after both sides, seen from the front."""
    report = job().job.report(cell=request.param)
    assert report.ok, str(report)
    (_, back) = report.sides[-1]
    return back.stock.turned_over("left to right")


def away_from(wood: Wood, shape: Any) -> Any:
    """(rows, columns) signed distance of each cell centre to a shape's edge, negative inside; inf far off."""
    x, y = np.meshgrid(wood.grid.xs(), wood.grid.ys())
    left, low, right, high = shape.bounds
    near = (x > left - 15) & (x < right + 15) & (y > low - 15) & (y < high + 15)
    dots, edge = shapely.points(x[near], y[near]), shape.boundary
    shapely.prepare([shape, edge])
    close = shapely.dwithin(edge, dots, 15)
    away = np.full(len(dots), np.inf)
    away[close] = shapely.distance(edge, dots[close])
    out = np.full(x.shape, np.inf)
    out[near] = np.where(shapely.contains(shape, dots), -away, away)
    return out


def at(wood: Wood, places: Any, face: str = "top") -> Any:
    return np.array([getattr(wood, face)[wood.cell_at(x, y)] for x, y in places])


@pytest.mark.parametrize(
    ("opening", "recess"),
    [
        (shapely.Point(110, 110).buffer(40, 256), shapely.Point(110, 110).buffer(46, 256)),
        (shapely.Point(330, 110).buffer(40, 256), shapely.Point(330, 110).buffer(46, 256)),
        (shapely.box(187, 89, 253, 131).buffer(3, 64), shapely.box(178, 80, 262, 140)),
    ],
    ids=["left dial", "right dial", "display"],
)
def test_opening_chamfer_and_recess(wood: Wood, opening: Any, recess: Any) -> None:
    """Through to a cell of the edge, 1.5 of chamfer beyond it, and a recess floor 14 deep from the back."""
    cell = wood.grid.cell
    edge, far = away_from(wood, opening), away_from(wood, recess)
    kerf = (edge > -5.5) & (edge < -cell)
    assert (wood.top[kerf] == np.float32(-20.1)).all()
    # A 90 degree cutter: as deep as it is wide, measured from the chamfer's outer edge.
    slope = (edge > cell) & (edge < 1.5 - cell)
    np.testing.assert_allclose(wood.top[slope], edge[slope] - 1.5, atol=0.02)
    beyond = (edge > 1.5 + cell) & (edge < 12)
    assert (wood.top[beyond] == 0).all()
    floor = (edge > 1.5 + cell) & (far < -cell)
    np.testing.assert_allclose(wood.bottom[floor], -5.8, atol=1e-4)
    relief = 1.5 * (1 - 1 / 2**0.5) + cell
    assert (wood.bottom[(far > relief) & (far < 3)] == np.float32(-19.8)).all()


def test_a_square_cornered_pane_fits(wood: Wood) -> None:
    """Every cell of the 84 x 60 rectangle is free down to 14 from the back, its corners too.

    The slug of the opening is loose by then and taken out; it starts 6 mm inside the opening.
    """
    slug = away_from(wood, shapely.box(187, 89, 253, 131).buffer(3, 64)) < -6
    inside = (away_from(wood, shapely.box(178, 80, 262, 140)) < 0) & ~slug
    gone = wood.top <= wood.bottom
    assert (gone | (wood.bottom >= np.float32(-5.8001)))[inside].all()


def test_outline_size_and_symmetry(wood: Wood) -> None:
    """380 x 160 about (220, 110), its own mirror image twice; the cut follows it to a cell all round."""
    cell = wood.grid.cell
    outline = job().outline
    np.testing.assert_allclose(outline.bounds, (30, 30, 410, 190), atol=1e-9)
    for about, middle in (("vertical", 220), ("horizontal", 110)):
        image = tp.mirror(outline, about, middle)
        assert image.symmetric_difference(outline).area < 0.01 * outline.length
    away = away_from(wood, outline)
    kerf = (away > cell) & (away < 6 - cell)
    assert (wood.top[kerf] <= np.float32(-15.8 + 1e-4)).all()
    assert (wood.top[(away > 6 + cell) & (away < 7.5)] == 0).all()
    assert (wood.top[(away < -cell) & (away > -4)] == 0).all()


@pytest.mark.long
def test_room_round_recesses_and_pilots() -> None:
    """20 mm of wood from the outline to each recess, 8 to each pilot hole, as the job asks."""
    module = job()
    assert min(module.outline.boundary.distance(recess) for recess in module.recesses) >= 20
    pilots = [(module.corners, 1.25), (module.clips, 1.0)]
    for places, radius in pilots:
        assert module.outline.boundary.distance(shapely.MultiPoint(places)) - radius >= 8


def test_six_tabs_eight_wide_and_four_high(wood: Wood) -> None:
    """Along the middle of the kerf stand six bridges of wood, as wide and high as asked, the rest is through."""
    cell = wood.grid.cell
    middle = tp.offset(job().outline, 3).exterior
    steps = np.arange(0, middle.length, 0.05)
    heights = at(wood, shapely.get_coordinates(shapely.line_interpolate_point(middle, steps)))
    tab = heights > -16
    starts = np.flatnonzero(tab & ~np.roll(tab, 1))
    widths = tab.sum() * 0.05 / len(starts)
    assert len(starts) == 6
    assert widths == pytest.approx(8, abs=2 * cell)
    np.testing.assert_allclose(heights[tab], -15.8, atol=1e-4)
    np.testing.assert_allclose(heights[~tab], -20.1, atol=1e-4)


def test_holes_and_groove(wood: Wood) -> None:
    """Pilots 10 at full diameter, dowels 8 into the spoilboard, clips 9 from the back, groove 3 deep on its line."""
    cell = wood.grid.cell
    module = job()
    point = 1.25 / np.tan(np.radians(59))
    cells_off_axis = cell / 2**0.5 / np.tan(np.radians(59))
    for places, deepest, face, sign in (
        ([*module.corners, *module.dials, module.display], -10 - point, "top", 1),
        (module.clips, -19.8 + 9, "bottom", -1),
    ):
        short = sign * (at(wood, places, face) - deepest)
        assert (short > -1e-3).all()
        assert (short <= cells_off_axis + 1e-3).all()
    for x in (12, 428):
        edge = away_from(wood, shapely.Point(x, 110).buffer(4, 256))
        assert (wood.top[edge < -cell] == np.float32(-27.8)).all()
        assert (wood.top[(edge > cell) & (edge < 2)] == 0).all()
    line = tp.offset(module.outline, -12).exterior
    depths = at(wood, shapely.get_coordinates(shapely.line_interpolate_point(line, np.arange(0, line.length, 0.5))))
    np.testing.assert_allclose(depths, -3, atol=0.01)
    edge = np.abs(away_from(wood, tp.offset(module.outline, -12)))
    assert (wood.top[(edge > 27**0.5 + cell) & (edge < 6)] == 0).all(), "half the groove's width is sqrt(6^2 - 3^2)"


@pytest.mark.parametrize("cell", [pytest.param(0.25, marks=pytest.mark.long), 1.0])
def test_whole_job_is_sound_against_the_part_meant(cell: float) -> None:
    """Both programs, at cells fine and coarse, with 4 mm of web wanted."""
    made = job()
    texts = [tp.program_text(setup) for setup in (made.front, made.back)]
    part = tp.intended_part(made.front, made.back)
    sides = list(zip(texts, (made.front_side, made.back_side)))
    rack = [*made.front.cutters, *made.back.cutters]
    report = tp.verify(sides, rack, cell=cell, part=part, thinnest_web=4.0)
    assert report.ok, str(report)
    notes = " ".join(note for _, side in report.sides for note in side.notes)
    assert "6 tabs stand" in notes
    assert "thinnest web between the two sides is 4.3" in notes
    assert tp.verify(sides, rack, cell=cell, part=part, thinnest_web=4.4).codes() == ("thin-web",)
