"""Shapes, toolpaths, drawings and the part meant written as SVG and DXF, in mm and true to size."""

from __future__ import annotations

import os
from collections.abc import Iterable, Mapping
from typing import Any

from shapely.geometry.base import BaseGeometry

from toolpaths.base import checks
from toolpaths.base.checks import file_path
from toolpaths.base.errors import InputError
from toolpaths.drawings.dxf_out import dxf_text
from toolpaths.drawings.layers_out import LayerOut, Words, layer_of_shapes
from toolpaths.drawings.read_drawing import Drawing
from toolpaths.drawings.svg_out import svg_text
from toolpaths.facts.part import Part
from toolpaths.facts.turning import SIDES
from toolpaths.making.motion.toolpath import DRILL, RAPID, Toolpath
from toolpaths.making.writer.files import write_whole
from toolpaths.shapes.tolerance_shares import DEFAULT_TOLERANCE
from toolpaths.shapes.track import Segment, Track, circle_track
from toolpaths.show.lengths import MM
from toolpaths.show.part_sizes import part_area, round_diameter

# mm between places that are one.
_ONE_PLACE = 1e-9


def write_svg(path: str | os.PathLike[str], drawn: Any, *, tolerance: float = DEFAULT_TOLERANCE) -> None:
    """Write an SVG in mm, true to size, its arcs as arcs; read_svg() gives the same again, at the same places.

    drawn : shapely areas or lines, one or a list; a Drawing; a Toolpath or a list of them, its cuts and rapids on
        layers of their own; a Part, its outline and what is cut from either side with their sizes as words; or a dict
        of any of these by the name of their layer
    tolerance : mm by which lines and arcs may lie off what is drawn

    >>> import tempfile, toolpaths as tp
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     tp.write_svg(f"{folder}/plate.svg", {"plate": tp.rectangle(40, 20, (30, 15), corner_radius=5)})
    ...     tp.read_svg(f"{folder}/plate.svg").areas(layer="plate")[0].bounds
    (10.0, 5.0, 50.0, 25.0)

    Raises InputError for what cannot be drawn or written, ShapeError for shapes that are not sound.
    """
    _write(path, svg_text(_layers(drawn, checks.tolerance("tolerance", tolerance))))


def write_dxf(path: str | os.PathLike[str], drawn: Any, *, tolerance: float = DEFAULT_TOLERANCE) -> None:
    """Write a DXF in mm, its arcs as arcs; read_dxf() gives the same again, at the same places.

    drawn : as for write_svg()
    tolerance : mm by which lines and arcs may lie off what is drawn

    >>> import tempfile, toolpaths as tp
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     tp.write_dxf(f"{folder}/plate.dxf", {"holes": [tp.circle(6, (20, 10)), tp.circle(8, (40, 10))]})
    ...     [round(circle.diameter, 6) for circle in tp.read_dxf(f"{folder}/plate.dxf").circles(layer="holes")]
    [6.0, 8.0]

    Raises InputError for what cannot be drawn or written, ShapeError for shapes that are not sound. The library for it
    is `pip install 'toolpaths[drawings]'`.
    """
    _write(path, dxf_text(_layers(drawn, checks.tolerance("tolerance", tolerance))))


def _write(path: str | os.PathLike[str], text: str) -> None:
    write_whole({file_path("path", path): text.encode("utf-8", errors="replace")})


def _layers(drawn: Any, tolerance: float) -> list[LayerOut]:
    layers = _named_layers(drawn, tolerance)
    if not any(layer.things for layer in layers):
        raise InputError("drawn holds nothing that could be drawn.")
    return layers


def _named_layers(drawn: Any, tolerance: float) -> list[LayerOut]:
    if not isinstance(drawn, Mapping):
        return _layers_of("", drawn, tolerance)
    if not drawn or not all(isinstance(name, str) and name.strip() for name in drawn):
        raise InputError("drawn must be a dict of what is drawn by the name of its layer, a text that is not empty.")
    return [layer for name, each in drawn.items() for layer in _layers_of(name, each, tolerance)]


def _layers_of(name: str, drawn: Any, tolerance: float) -> list[LayerOut]:
    if isinstance(drawn, Part):
        return _of_part(name, drawn, tolerance)
    if isinstance(drawn, Drawing):
        layers = dict.fromkeys(curve.layer for curve in drawn.curves)
        return [
            layer_of_shapes(
                name or layer or "drawn", [curve.line for curve in drawn.curves if curve.layer == layer], tolerance
            )
            for layer in layers
        ]
    toolpaths = [drawn] if isinstance(drawn, Toolpath) else drawn
    if not isinstance(drawn, BaseGeometry) and isinstance(toolpaths, (list, tuple)) and toolpaths:
        if all(isinstance(each, Toolpath) for each in toolpaths):
            return _of_toolpaths(name, toolpaths)
        if all(isinstance(each, Part) for each in toolpaths):
            raise InputError("drawn holds several parts; write each to a file of its own.")
    return [layer_of_shapes(name or "drawn", drawn, tolerance)]


def _of_toolpaths(name: str, toolpaths: Iterable[Toolpath]) -> list[LayerOut]:
    """Cuts, rapids and drilled holes seen from above; what goes straight up or down is no line."""
    found: dict[str, list[tuple[Track, ...]]] = {"cut": [], "rapid": [], "drilled": []}
    for toolpath in toolpaths:
        joined, kind = list[Segment](), ""
        here = None
        for move in toolpath.moves:
            there = (move.x, move.y)
            if move.kind == DRILL:
                found["drilled"].append((circle_track(there, toolpath.cutter.radius, False),))
            if here is not None and (move.sweep or max(abs(here[0] - move.x), abs(here[1] - move.y)) > _ONE_PLACE):
                now = "rapid" if move.kind == RAPID else "cut"
                if now != kind and joined:
                    found[kind].append((Track(tuple(joined), False),))
                    joined = []
                joined.append(Segment(here, there, move.centre, move.sweep))
                kind = now
            here = there
        if joined:
            found[kind].append((Track(tuple(joined), False),))
    return [LayerOut(f"{name} {kind}".strip(), tuple(things)) for kind, things in found.items() if things]


def _of_part(name: str, part: Part, tolerance: float) -> list[LayerOut]:
    """The outline, what is cut from either side, and the sizes of both."""
    whole = part_area(part)
    layers = [layer_of_shapes(f"{name} part".strip(), whole, tolerance)]
    words = [_sizes(whole)]
    for side in SIDES:
        shapes = [feature.shape for feature in part.cut_from(side)]
        kept = [shape for shape in shapes if not shape.is_empty and shape.geom_type not in ("Point", "MultiPoint")]
        if kept:
            layers.append(layer_of_shapes(f"{name} {side}".strip(), kept, tolerance))
            words += [_sizes(shape) for shape in kept]
    return [*layers, LayerOut(f"{name} sizes".strip(), (), tuple(words))]


def _sizes(shape: BaseGeometry) -> Words:
    left, low, right, high = shape.bounds
    across = round_diameter(shape)
    text = f"\N{DIAMETER SIGN}{MM.of(across)}" if across else f"{MM.of(right - left)} x {MM.of(high - low)}"
    return Words(((left + right) / 2, (low + high) / 2), text)
