"""Drawings that a general-purpose library ships, held against what another program draws of them."""

from __future__ import annotations

from pathlib import Path

import matplotlib
import pytest
import shapely

import toolpaths as tp

# Area of what librsvg 2.54.7 draws at 20 pixels a px of the file (sum of the alpha channel), in px². The files are
# the pictures of buttons that matplotlib ships; a frame of the whole sheet in each is not drawn, but cut.
DRAWN_AREA = {
    "back": 2686.91, "filesave": 3077.16, "forward": 2687.27, "help": 1412.87, "home": 3092.77, "move": 2783.54,
    "subplots": 2174.46, "zoom_to_rect": 2751.62,
}  # fmt: skip
SHEET = 72 * 25.4 / 72  # mm


@pytest.mark.parametrize("name", DRAWN_AREA)
def test_area_is_that_which_another_program_draws(name: str) -> None:
    drawing = tp.read_svg(Path(matplotlib.get_data_path()) / "images" / f"{name}.svg")
    areas = [each for each in drawing.areas() if abs(each.area - SHEET**2) > 1e-6]
    assert len(areas) < len(drawing.areas())
    mm2_a_px2 = (25.4 / 96) ** 2
    assert shapely.union_all(areas).area == pytest.approx(DRAWN_AREA[name] * mm2_a_px2, rel=1e-4)
    assert any("neither filled nor stroked" in note.text for note in drawing.notes)
