"""The picture under a grid: what lies at a place in mm is drawn there, and what a person read is drawn back over it."""

from __future__ import annotations

import re
from base64 import b64decode
from io import BytesIO
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

import toolpaths as tp

CORNERS = [(20, 15), (150, 25), (140, 105), (15, 90)]


def spotted(spots: list[tuple[float, float]]) -> np.ndarray:
    """Greys of 170 x 120 pixels, a dark spot at each place."""
    y, x = np.mgrid[:120, :170]
    return np.asarray(220 - 190 * sum(np.exp(-((x - u) ** 2 + (y - v) ** 2) / 4) for u, v in spots))


class Page:
    """The page read back: where its numbers, lines and pixels stand."""

    def __init__(self, path: Path) -> None:
        self.text = path.read_text(encoding="ascii")
        found = re.search(r'base64,([^"]+)" x="([^"]+)" y="([^"]+)" width="([^"]+)" height="([^"]+)"', self.text)
        assert found is not None
        self.left, self.top, self.wide, self.tall = map(float, found.groups()[1:])
        self.pixels = np.array(Image.open(BytesIO(b64decode(found[1]))), dtype=float)

    def numbers(self, anchor: str) -> dict[float, tuple[float, float]]:
        """Places on paper by what is written at the edge below ("middle") or at the left ("end")."""
        pattern = rf'<text x="([^"]+)" y="([^"]+)" font-size="[^"]+" text-anchor="{anchor}"[^>]*>[XY]?(-?[\d.]+)<'
        return {float(said): (float(x), float(y)) for x, y, said in re.findall(pattern, self.text)}

    def spot_near(self, place: tuple[float, float]) -> tuple[float, float]:
        """The darkest place of the picture within 4 mm of a place, in the mm that the numbers of the grid say."""
        (x0, x1), (y0, y1) = (
            sorted(self.numbers(anchor))[:: len(self.numbers(anchor)) - 1] for anchor in ("middle", "end")
        )
        left, right = self.numbers("middle")[x0][0], self.numbers("middle")[x1][0]
        low, high = self.numbers("end")[y0][1] - 0.9, self.numbers("end")[y1][1] - 0.9
        rows, columns = self.pixels.shape
        x = self.left + (np.arange(columns) + 0.5) * self.wide / columns
        y = self.top + (np.arange(rows) + 0.5) * self.tall / rows
        across, up = x0 + (x - left) * (x1 - x0) / (right - left), y0 + (y - low) * (y1 - y0) / (high - low)
        near = np.hypot(across[None] - place[0], up[:, None] - place[1]) < 4
        weight = np.where(near, np.maximum(200 - self.pixels, 0), 0)
        return float((weight * across[None]).sum() / weight.sum()), float((weight * up[:, None]).sum() / weight.sum())


@pytest.mark.parametrize(
    "known", [{"marks": [(20, 90), (140, 94)], "distance": 60}, {"corners": CORNERS, "rectangle": (65, 42)}]
)
def test_what_the_grid_says_of_a_place_is_where_it_is(known: dict, tmp_path: Path) -> None:
    """Spots of the picture stand at the mm that read_picture says they have, seen aslant, too."""
    spots = [(40.0, 30.0), (120.0, 40.0), (75.0, 80.0)]
    picture = tp.read_picture(spotted(spots), **known)
    tp.write_picture_grid(tmp_path / "grid.html", picture)
    page = Page(tmp_path / "grid.html")
    for x, y in picture.to_mm(spots).tolist():
        assert page.spot_near((x, y)) == pytest.approx((x, y), abs=0.4 * picture.mm_per_pixel)


def test_the_page_stands_alone_and_a_quarter_comes_larger(tmp_path: Path) -> None:
    picture = tp.read_picture(spotted([(40, 30)]), marks=[(20, 60), (140, 60)], distance=60)
    files = [tmp_path / "whole.html", tmp_path / "quarter.html"]
    tp.write_picture_grid(files[0], picture, tp.rectangle(40, 20, (30, 0)))
    tp.write_picture_grid(
        files[1], picture, [tp.rectangle(40, 20, (30, 0)), tp.circle(6, (30, 0))], area=(30, 0, 60, 20)
    )
    whole, quarter = (Page(path) for path in files)
    for page in (whole, quarter):
        assert "<script" not in page.text and not re.search(r"(?:src|href)=\"(?!data:)", page.text)
        assert "thick lines are X0 and Y0" in page.text
    assert "lines every 1 mm" in whole.text and "lines every 0.2 mm" in quarter.text
    assert "beyond what is shown" in quarter.text and "beyond what is shown" not in whole.text
    tp.write_picture_grid(tmp_path / "again.html", picture, tp.rectangle(40, 20, (30, 0)))
    assert (tmp_path / "again.html").read_bytes() == files[0].read_bytes()


def test_what_cannot_be_shown_is_refused_and_nothing_written(tmp_path: Path) -> None:
    picture = tp.read_picture(spotted([(40, 30)]), marks=[(20, 60), (140, 60)], distance=60)
    path = tmp_path / "grid.html"
    with pytest.raises(tp.ShapeError, match="Nothing of the picture lies in the area"):
        tp.write_picture_grid(path, picture, area=(500, 0, 600, 20))
    with pytest.raises(tp.ShapeError, match="Nothing of what is drawn lies in the area"):
        tp.write_picture_grid(path, picture, tp.circle(5, (400, 0)))
    with pytest.raises(tp.InputError, match="left < right"):
        tp.write_picture_grid(path, picture, area=(20, 0, 10, 20))
    assert not list(tmp_path.iterdir())
