"""Layers as the text of a DXF (R2000) in mm: circles as such, all else as polylines whose arcs are bulges."""

from __future__ import annotations

import io
import re
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from math import tan
from typing import Any

from toolpaths.drawings.file_bytes import library
from toolpaths.drawings.layers_out import LayerOut, round_track

_MM = 4
# What a name of a layer may not hold.
_NOT_IN_NAMES = re.compile(r'[<>/\\":;?*|=`\x00-\x1f]')


def dxf_text(layers: Sequence[LayerOut]) -> str:
    """The file; the same layers give the same text."""
    ezdxf = library("ezdxf")
    with _without_dates(ezdxf):
        document = ezdxf.new("R2000", units=_MM)
        space = document.modelspace()
        for layer in layers:
            name = _NOT_IN_NAMES.sub("_", layer.name) or "0"
            if name not in document.layers:
                document.layers.add(name)
            on = {"layer": name}
            for track in (track for thing in layer.things for track in thing):
                circle = round_track(track)
                if circle is not None:
                    space.add_circle(*circle, dxfattribs=on)
                    continue
                rows = [(*segment.start, tan(segment.sweep / 4)) for segment in track.segments]
                rows += [] if track.closed else [(*track.segments[-1].end, 0.0)]
                space.add_lwpolyline(rows, format="xyb", close=track.closed, dxfattribs=on)
            for words in layer.words:
                text = space.add_text(words.text, height=words.height, dxfattribs=on)
                text.set_placement(words.place, align=library("ezdxf.enums").TextEntityAlignment.CENTER)
        stream = io.StringIO()
        document.write(stream)
    return stream.getvalue()


@contextmanager
def _without_dates(ezdxf: Any) -> Iterator[None]:
    """The library writes dates and numbers by lot unless it is told not to; it is set back as it was."""
    before = ezdxf.options.write_fixed_meta_data_for_testing
    ezdxf.options.write_fixed_meta_data_for_testing = True
    try:
        yield
    finally:
        ezdxf.options.write_fixed_meta_data_for_testing = before
