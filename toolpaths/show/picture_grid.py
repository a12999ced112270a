"""A picture under a grid of millimetres, from which a person reads places, and shapes drawn back over it: one page.

For a picture that no threshold parts, such as a chair against a patterned wall: somebody sees its outline all the same.
"""

from __future__ import annotations

import os
from base64 import b64encode
from collections.abc import Iterable
from math import ceil, floor
from typing import Any, NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import LineString

from toolpaths.base.checks import Floats, file_path, instance, numbers
from toolpaths.base.errors import InputError, ShapeError
from toolpaths.making.writer.files import write_whole
from toolpaths.pictures.picture import Picture
from toolpaths.shapes import door
from toolpaths.show.drawing import Frame, line, words
from toolpaths.show.markup import Markup, joined, plain_ascii, tag
from toolpaths.show.palette import INK, PAPER, LineStyle, line_style
from toolpaths.show.png import png

# mm of an A4 page that the drawing takes, and what of them stands beside and below it for numbers.
_WIDE, _TALL, _BESIDE, _BELOW = 186.0, 238.0, 10.0, 6.0
# mm on paper between neighbouring lines of the grid, at least; every fifth is stronger, every tenth has its number.
_LEAST = 1.0
# Scales are whole multiples of one over this.
_PARTS = 50
_STEPS = tuple(unit * ten for ten in (0.1, 1.0, 10.0, 100.0, 1000.0, 10000.0) for unit in (1.0, 2.0, 5.0))
# mm on paper between rows of numbers, so that on a phone some are in view.
_ROWS_APART = 55.0
# mm on paper that a number over the picture takes.
_INNER = 8.0
# The longer side of the picture on the page has so many pixels at most.
_MOST_PIXELS = 1000
# Greys come so much nearer to white, in so few levels.
_PALER, _LEVELS = 0.62, 48
# Of a picture seen aslant what is seen at less than this share of the size of its middle is left out.
_SMALLEST_SEEN = 0.5
_BLUE, _RED, _PLAIN = LineStyle(line_style(0).colour, ()), LineStyle(line_style(1).colour, ()), LineStyle(INK, ())
_WHITE = LineStyle(PAPER, ())
_STYLE = """
@page { size: A4; margin: 10mm; }
body { font: 15px/1.4 sans-serif; color: #000; background: #fff; margin: 0 auto; padding: 0 12px; max-width: 190mm; }
h1 { font-size: 1.4em; margin: .4em 0 0; }
p { margin: .3em 0; }
.drawn { overflow-x: auto; }
svg { max-width: 100%; height: auto; font-family: sans-serif; }
@media (max-width: 640px) { svg { max-width: none; width: 900px; } }
@media print { body { font-size: 9pt; padding: 0; max-width: none; } .drawn { overflow: visible; } }
"""


class _Box(NamedTuple):
    """mm of what the picture shows."""

    left: float
    low: float
    right: float
    high: float


def write_picture_grid(
    path: str | os.PathLike[str], picture: Picture, drawn: Any = None, *, area: Iterable[float] | None = None
) -> None:
    """Write a page (one HTML file) with the picture under a grid of mm, to read places from it: X to the right, Y up.

    picture : made by read_picture(); it needs no threshold
    drawn : shapely areas or lines, one or a list, that are drawn over it: the outline as it was read, to be looked at
    area : (left, low, right, high) mm of what is shown, so that a quarter of it comes larger; all if not given

    >>> import tempfile, numpy as np, toolpaths as tp
    >>> scan = tp.read_picture(np.full((40, 60), 200), marks=[(10, 30), (50, 30)], distance=20)
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     tp.write_picture_grid(f"{folder}/grid.html", scan, tp.rectangle(12, 8, (10, 5)))
    ...     "lines every" in open(f"{folder}/grid.html").read()
    True

    Raises InputError for what is no picture or no area, ShapeError where nothing of the picture or of what is drawn
    lies in the area.
    """
    target = file_path("path", path)
    instance("picture", picture, Picture)
    whole, all_seen = _seen(picture)
    box = whole if area is None else _given(area, whole)
    over = None if drawn is None else _lines(drawn)
    notes = list(picture.notes)
    if area is None and not all_seen:
        notes.append("What the picture shows much smaller than its middle is not on the page.")
    write_whole({target: _page(picture, box, over, notes)})


def _seen(picture: Picture) -> tuple[_Box, bool]:
    """What the picture shows, but for what is seen much smaller than its middle; and whether that is all of it."""
    across, down = picture.size
    x, y = (
        each.ravel() for each in np.meshgrid(np.linspace(-0.5, across - 0.5, 41), np.linspace(-0.5, down - 0.5, 41))
    )
    rows = np.column_stack([x, y, np.ones_like(x)]) @ picture.matrix.T
    middle = float(picture.matrix[2] @ [(across - 1) / 2, (down - 1) / 2, 1.0])
    # Lengths are seen by the power of 3/2 of it, as the root of areas.
    near = rows[:, 2] / middle > _SMALLEST_SEEN ** (2 / 3)
    places = rows[near, :2] / rows[near, 2:]
    return _Box(*places.min(axis=0).tolist(), *places.max(axis=0).tolist()), bool(near.all())


def _given(area: Iterable[float], whole: _Box) -> _Box:
    box = _Box(*numbers("area", area, "left low right high"))
    if box.left >= box.right or box.low >= box.high:
        raise InputError(f"area={tuple(box)} must be (left, low, right, high) in mm, left < right and low < high.")
    if box.left >= whole.right or box.right <= whole.left or box.low >= whole.high or box.high <= whole.low:
        raise ShapeError(
            f"Nothing of the picture lies in the area; it shows X {whole.left:.1f} to {whole.right:.1f}, "
            f"Y {whole.low:.1f} to {whole.high:.1f}."
        )
    # Of what lies beyond the picture nothing could be shown.
    return _Box(
        max(box.left, whole.left), max(box.low, whole.low), min(box.right, whole.right), min(box.high, whole.high)
    )


def _lines(drawn: Any) -> list[LineString]:
    return [
        LineString(np.vstack([points, points[:1]]) if closed else points)
        for points, closed in door.lines("drawn", drawn)
    ]


def _page(picture: Picture, box: _Box, over: list[LineString] | None, notes: list[str]) -> str:
    least = max((box.right - box.left) / (_WIDE - 2 * _BESIDE), (box.high - box.low) / (_TALL - 2 * _BELOW))
    scale = ceil(least * _PARTS) / _PARTS
    beside, below = _BESIDE * scale, _BELOW * scale
    frame = Frame(box.left - beside, box.low - below, box.right + beside, box.high + below, scale)
    step = next(step for step in _STEPS if step / scale >= _LEAST)
    shown = [_image(frame, picture, box), _grid(frame, box, step), _numbers(frame, box, step)]
    if over is not None:
        shown.append(_over(frame, box, over, notes))
    said = f"1:{scale:g}" if scale >= 1 else f"{1 / scale:.3g}:1"
    what = f"The picture under a grid: lines every {step:g} mm, numbers every {10 * step:g} mm"
    head = tag(
        "head", tag("meta", charset="utf-8"),
        tag("meta", name_="viewport", content="width=device-width, initial-scale=1"),
        tag("title", what), tag("style", Markup(_STYLE)),
    )  # fmt: skip
    body = [
        tag("h1", what),
        tag("p", f"X to the right, Y up, in mm; the thick lines are X0 and Y0. Scale {said} on A4; a pixel "
                 f"of the picture is {picture.mm_per_pixel:.3f} mm."),
        [tag("p", note) for note in notes],
        tag("div", frame.svg(shown, what), class_="drawn"),
    ]  # fmt: skip
    return "<!DOCTYPE html>\n" + plain_ascii(tag("html", head, tag("body", body), lang="en")) + "\n"


def _image(frame: Frame, picture: Picture, box: _Box) -> Markup:
    """The picture as it lies on the plane of the millimetres, paler than it is."""
    wide, tall = box.right - box.left, box.high - box.low
    size = max(picture.mm_per_pixel, max(wide, tall) / _MOST_PIXELS)
    columns, rows = max(1, round(wide / size)), max(1, round(tall / size))
    x = box.left + (np.arange(columns) + 0.5) * (wide / columns)
    y = box.high - (np.arange(rows) + 0.5) * (tall / rows)
    pixels = _greys_at(picture, np.asarray(x), np.asarray(y))
    left, top = frame.at(box.left, box.high)
    data = b64encode(png(pixels)).decode("ascii")
    return tag(
        "image", href=f"data:image/png;base64,{data}", x=f"{left:.2f}", y=f"{top:.2f}",
        width=f"{wide / frame.scale:.2f}", height=f"{tall / frame.scale:.2f}", preserveAspectRatio="none",
    )  # fmt: skip


def _greys_at(picture: Picture, x: Floats, y: Floats) -> NDArray[np.uint8]:
    """(len(y), len(x)) greys between those of the pixels around each place; white beyond the picture."""
    grey, (across, down) = picture.grey, picture.size
    places = np.column_stack([each.ravel() for each in np.meshgrid(x, y)] + [np.ones(len(x) * len(y))])
    rows = places @ np.linalg.inv(picture.matrix).T
    ahead = rows[:, 2] > 0
    rows[~ahead] = [-9.0, -9.0, 1.0]
    u, v = (rows[:, :2] / rows[:, 2:]).T
    inside = (u >= -0.5) & (u <= across - 0.5) & (v >= -0.5) & (v <= down - 0.5)
    u, v = np.clip(u, 0, across - 1), np.clip(v, 0, down - 1)
    i, j = np.minimum(u.astype(int), max(across - 2, 0)), np.minimum(v.astype(int), max(down - 2, 0))
    i1, j1, a, b = np.minimum(i + 1, across - 1), np.minimum(j + 1, down - 1), u - i, v - j
    upper, lower = grey[j, i] * (1 - a) + grey[j, i1] * a, grey[j1, i] * (1 - a) + grey[j1, i1] * a
    found = np.where(inside, upper * (1 - b) + lower * b, 255.0)
    # In few levels, since the packer of the file knows only runs.
    level = 255.0 / (_LEVELS - 1)
    paler = 255.0 - _PALER * (255.0 - np.rint(found / level) * level)
    return np.rint(paler).astype(np.uint8).reshape(len(y), len(x))


def _grid(frame: Frame, box: _Box, step: float) -> Markup:
    """Lines along X and Y, every fifth and tenth stronger; those through zero are the thickest."""
    found: list[list[Markup]] = [[], [], [], []]
    for low, high, upright in ((box.left, box.right, True), (box.low, box.high, False)):
        for number in range(ceil(low / step - 1e-9), floor(high / step + 1e-9) + 1):
            at = number * step
            ends = ((at, box.low), (at, box.high)) if upright else ((box.left, at), (box.right, at))
            rank = 3 if number == 0 else 2 if number % 10 == 0 else 1 if number % 5 == 0 else 0
            found[rank].append(
                line(frame, *ends, style=_PLAIN if rank == 3 else _BLUE, width=(0.06, 0.12, 0.22, 0.5)[rank])
            )
    return joined(found)


def _numbers(frame: Frame, box: _Box, step: float) -> Markup:
    """What lines are at: along the edges, and over the picture in rows."""
    scale, found = frame.scale, []
    every = 10 * step
    columns = [number * every for number in range(ceil(box.left / every - 1e-9), floor(box.right / every + 1e-9) + 1)]
    levels = [number * every for number in range(ceil(box.low / every - 1e-9), floor(box.high / every + 1e-9) + 1)]
    for x in columns:
        for y, down in ((box.low, 3.4), (box.high, -1.2)):
            found.append(words(frame, x, y, _at_edge("X", x), down=down, anchor="middle"))
    for y in levels:
        said = _at_edge("Y", y)
        found.append(words(frame, box.left, y, said, right=-1.0, down=0.9, anchor="end"))
        found.append(words(frame, box.right, y, said, right=1.0, down=0.9))
    # Not where they would stand over the edge.
    inner = [x for x in columns if x < box.right - _INNER * scale], [y for y in levels if y < box.high - _INNER * scale]
    for x in inner[0]:
        for y in _some(levels, scale):
            found.append(words(frame, x, y, _said("X", x), right=0.5, down=-0.5, size=2.2, halo=True))
    for y in inner[1]:
        for x in _some(columns, scale):
            found.append(words(frame, x, y, _said("Y", y), right=0.5, down=2.2, size=2.2, halo=True))
    return joined(found)


def _some(values: list[float], scale: float) -> list[float]:
    """Those that stand so far apart on paper that a row of numbers at each is no crowd, and none near the edge."""
    if len(values) < 3:
        return []
    apart = max(1, ceil(_ROWS_APART * scale / (values[1] - values[0])))
    return values[apart // 2 + 1 : -1 : apart] or values[1:2]


def _said(axis: str, value: float) -> str:
    return f"{axis}{value:g}"


def _at_edge(axis: str, value: float) -> str:
    return f"{value:g}" if value else f"{axis}0"


def _over(frame: Frame, box: _Box, over: list[LineString], notes: list[str]) -> Markup:
    """Lines over the picture, with white beside them, and a note on what lies beyond it."""
    within = [shapely.intersection(each, shapely.box(*box)) for each in over]
    parts = [
        part for each in within for part in shapely.get_parts(each) if isinstance(part, LineString) and part.length
    ]
    if not parts:
        raise ShapeError(
            f"Nothing of what is drawn lies in the area, X {box.left:.1f} to {box.right:.1f}, Y {box.low:.1f} to "
            f"{box.high:.1f}."
        )
    if sum(part.length for part in parts) < (1 - 1e-9) * sum(each.length for each in over):
        notes.append("Some of what is drawn over the picture lies beyond what is shown.")
    courses = [[(float(x), float(y)) for x, y in part.coords] for part in parts]
    return joined([
        [line(frame, *course, style=style, width=width) for course in courses]
        for style, width in ((_WHITE, 1.0), (_RED, 0.45))
    ])  # fmt: skip
