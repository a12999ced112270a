"""A cutter seen from the side, point down: its edges, shank and collet nut, with the lengths it must have."""

from __future__ import annotations

import numpy as np
from shapely import Polygon

from toolpaths.facts.cutter import Cutter
from toolpaths.show.drawing import PLAIN, SMALL, THIN, Frame, area, letters_wide, line, scale_for, words
from toolpaths.show.lengths import Lengths
from toolpaths.show.markup import Markup
from toolpaths.show.palette import INK, PALE, PAPER, LineStyle

# mm on paper that the picture may take, and of the nut so much is shown.
_WIDE, _TALL, _NUT = 44.0, 34.0, 3.0
# Heights at which the edge of a rounded or pointed tip is drawn.
_STEPS = 24


def cutter_picture(cutter: Cutter, style: LineStyle, lengths: Lengths) -> Markup:
    """The picture; style : as the drawings have the lines of this cutter."""
    body, profile = cutter.body, cutter.profile
    # A round tip bends most at its lowest point, a hollow one widens most at its highest.
    share = np.linspace(0.0, 1.0, _STEPS + 1) ** 2
    tip = profile.tip_height * (1.0 - share[::-1] if profile.hollow else share)
    edge = [(float(profile.radius_at(0.0)), 0.0), *zip(profile.radii(tip).tolist(), tip.tolist(), strict=True)]
    if profile.kind == "undercut":
        neck = profile.neck_diameter / 2
        edge += [(cutter.radius, profile.head_height), (neck, profile.head_height), (neck, body.cutting_length)]
    else:
        edge.append((cutter.radius, body.cutting_length))
    shank = body.shank_diameter / 2
    widest = max(cutter.radius, shank, cutter.nut_diameter / 2)
    scale = scale_for(2 * widest, body.stick_out, _WIDE - 22.0, _TALL - 2 * _NUT)
    nut = _NUT * scale
    across = f"\N{DIAMETER SIGN}{lengths.of(cutter.diameter)}"
    said = [f"edges {lengths.of(body.cutting_length)}", f"out {lengths.at_least(body.stick_out)}"]
    left = max(widest + scale, letters_wide(across) / 2 * scale)
    high = max(body.stick_out + nut + scale, max(map(letters_wide, said)) * scale)
    frame = Frame(-left, -3.5 * scale, widest + 22.0 * scale, high, scale)
    at = widest + 2.0 * scale
    return frame.svg(
        [
            area(frame, _upright(cutter.nut_diameter / 2, body.stick_out, nut), fill=PAPER, style=PLAIN, width=THIN),
            area(frame, _upright(shank, body.cutting_length, body.stick_out - body.cutting_length), fill=PAPER,
                 style=PLAIN, width=2 * THIN),
            area(frame, Polygon(_both_sides(edge)), fill=PALE, style=LineStyle(style.colour, ()), width=3 * THIN),
            line(frame, (0.0, -0.8 * scale), (0.0, body.stick_out + nut), style=LineStyle(INK, (3, 0.6, 0.6, 0.6))),
            _height(frame, at, body.cutting_length, said[0]),
            _height(frame, at + 9.0 * scale, body.stick_out, said[1]),
            words(frame, 0.0, -3.3 * scale, across, anchor="middle"),
        ],
        f"T{cutter.number}, {lengths.cutter(cutter)}",
    )  # fmt: skip


def _both_sides(edge: list[tuple[float, float]]) -> list[tuple[float, float]]:
    return [*edge, *((-x, y) for x, y in reversed(edge))]


def _upright(radius: float, low: float, tall: float) -> Polygon:
    tall = max(tall, 1e-6)
    return Polygon([(-radius, low), (radius, low), (radius, low + tall), (-radius, low + tall)])


def _height(frame: Frame, x: float, height: float, what: str) -> list[Markup]:
    """A dimension from the tip up; its line goes on beside words that are longer."""
    half = 0.8 * frame.scale
    return [
        line(frame, (x, 0.0), (x, max(height, letters_wide(what) * frame.scale))),
        line(frame, (x - half, 0.0), (x + half, 0.0)),
        line(frame, (x - half, height), (x + half, height)),
        words(frame, x, 0.0, what, right=SMALL + 0.4, upright=True),
    ]
