"""Layers as the text of an SVG: its sheet in mm, true to size, arcs as arcs."""

from __future__ import annotations

from collections.abc import Sequence
from html import escape

from toolpaths.drawings.layers_out import LayerOut, bounds_of, round_track
from toolpaths.drawings.read_svg import CORNER
from toolpaths.shapes.track import Track

# Digits after the point; a hundredth of the finest tolerance in use.
_DECIMALS = 5
# mm
_STROKE = 0.1


def svg_text(layers: Sequence[LayerOut]) -> str:
    """The file: a group of each layer's name, and where the corner of the sheet lies, which read_svg() reads again."""
    left, low, right, high = bounds_of(layers)
    wide, tall = _number(max(right - left, 1.0)), _number(max(high - low, 1.0))
    top = low + float(tall)
    lines = [
        '<?xml version="1.0" encoding="UTF-8"?>',
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{wide}mm" height="{tall}mm" viewBox="0 0 {wide} {tall}" '
        f'{CORNER}="{left!r} {low!r}">',
    ]
    for layer in layers:
        lines.append(
            f'<g id="{escape(layer.name)}" fill="none" fill-rule="evenodd" stroke="black" stroke-width="{_STROKE}">'
        )
        lines += [f'<path d="{"".join(_course(track, left, top) for track in thing)}"/>' for thing in layer.things]
        for words in layer.words:
            x, y = _number(words.place[0] - left), _number(top - words.place[1])
            how = f'font-size="{words.height:g}" text-anchor="middle" fill="black" stroke="none"'
            lines.append(f'<text x="{x}" y="{y}" {how}>{escape(words.text)}</text>')
        lines.append("</g>")
    return "\n".join([*lines, "</svg>", ""])


def _course(track: Track, left: float, top: float) -> str:
    def place(x: float, y: float) -> str:
        return f"{_number(x - left)} {_number(top - y)}"

    said = [f"M{place(*track.start)}"]
    circle = round_track(track)
    for segment in track.segments:
        if segment.sweep == 0:
            said.append(f"L{place(*segment.end)}")
            continue
        # Halves: an arc of nearly half a turn, with its ends rounded, may be one that is turned the other way.
        radius, sense = _number(circle[1] if circle else segment.radius), 0 if segment.sweep > 0 else 1
        said += [f"A{radius} {radius} 0 0 {sense} {place(*end)}" for end in (segment.at(0.5), segment.end)]
    return "".join(said) + ("Z" if track.closed else "")


def _number(value: float) -> str:
    return f"{value:.{_DECIMALS}f}".rstrip("0").rstrip(".") if abs(value) >= 0.5 * 10**-_DECIMALS else "0"
