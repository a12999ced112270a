"""Chip load, mm a tooth and turn: what cutter makers publish for wood, as a table.

Depth of cut one diameter. The charts are for rigid machines with strong hold-down; small routers
are run at a third to a half of them (common practice, no source). So the charts say what is too
much; what is too little is common practice, no source.
"""

from __future__ import annotations

from toolpaths.units import MM_PER_INCH

# Woods that a board may be of; "" is a wood that was not named.
WOODS = ("softwood", "hardwood", "plywood", "MDF")

# Diameter of the cutter and its range, all in inches, as printed.
_Chart = tuple[tuple[float, float, float], ...]

# Amana Tool, Solid Carbide Spiral Plunge, Solid Wood, chart v5.
_SOLID: _Chart = (
    (1 / 8, 0.003, 0.005),
    (3 / 16, 0.004, 0.006),
    (1 / 4, 0.005, 0.007),
    (5 / 16, 0.005, 0.007),
    (3 / 8, 0.006, 0.008),
    (1 / 2, 0.007, 0.009),
)
# AST Tooling, Speeds and Feeds - Spiral Router Bits.
_SOFTWOOD: _Chart = ((1 / 8, 0.003, 0.005), (1 / 4, 0.006, 0.008), (3 / 8, 0.015, 0.017), (1 / 2, 0.019, 0.021))
_HARDWOOD: _Chart = ((1 / 8, 0.002, 0.004), (1 / 4, 0.005, 0.007), (3 / 8, 0.013, 0.015), (1 / 2, 0.017, 0.019))
_PLYWOOD: _Chart = ((1 / 8, 0.003, 0.005), (1 / 4, 0.006, 0.009), (3 / 8, 0.015, 0.018), (1 / 2, 0.018, 0.021))
_MDF: _Chart = ((1 / 8, 0.004, 0.007), (1 / 4, 0.012, 0.015), (3 / 8, 0.017, 0.019), (1 / 2, 0.020, 0.025))

CHARTS: dict[str, tuple[_Chart, ...]] = {
    "softwood": (_SOLID, _SOFTWOOD),
    "hardwood": (_SOLID, _HARDWOOD),
    "plywood": (_PLYWOOD,),
    "MDF": (_MDF,),
    "": (_SOLID, _SOFTWOOD, _HARDWOOD, _PLYWOOD, _MDF),
}

# mm; below about 0.02 to 0.03 an edge rubs instead of cutting (common practice, no source). Many a sound
# program comes a little below that on a slow stretch, so half of it counts as too little.
_RUBS = 0.01


def published(diameter: float, wood: str = "") -> tuple[float, float]:
    """Least and greatest chip load that the charts print for a cutter of this diameter, mm.

    Between two printed diameters on a straight line. The charts end at 1/8 and 1/2 in; a thinner
    cutter gets less in proportion, a thicker one what the thickest has. wood : one of WOODS, or ""
    for the widest of all.
    """
    ranges = [_read(chart, diameter / MM_PER_INCH) for chart in CHARTS[wood]]
    return min(low for low, _ in ranges) * MM_PER_INCH, max(high for _, high in ranges) * MM_PER_INCH


def sound_range(diameter: float, wood: str = "") -> tuple[float, float]:
    """Chip load between rubbing and the most that a chart prints, mm."""
    thin = min(diameter / MM_PER_INCH * 8, 1.0)
    return _RUBS * thin, published(diameter, wood)[1]


def _read(chart: _Chart, diameter: float) -> tuple[float, float]:
    thin = chart[0][0]
    if diameter < thin:
        return chart[0][1] * diameter / thin, chart[0][2] * diameter / thin
    for (below, low, high), (above, next_low, next_high) in zip(chart, chart[1:], strict=False):
        if diameter <= above:
            part = (diameter - below) / (above - below)
            return low + part * (next_low - low), high + part * (next_high - high)
    return chart[-1][1], chart[-1][2]
