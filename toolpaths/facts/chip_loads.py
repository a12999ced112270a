"""Chip load, mm a tooth and turn: what cutter makers publish for wood, as a table.

Depth of cut one diameter. The charts are for rigid machines with strong hold-down; small routers
are run at a third to a half of them (common practice, no source). So the charts say what is too
much; what is too little is common practice, no source.
"""

from __future__ import annotations

from typing import NamedTuple

from toolpaths.base.units import MM_PER_INCH
from toolpaths.facts.woods import WoodKind


class Chart(NamedTuple):
    """A table as its maker prints it: diameter of the cutter, least and greatest chip load, all in inches."""

    source: str
    rows: tuple[tuple[float, float, float], ...]


# mm; the thinnest cutter and the thickest that they print.
THINNEST, THICKEST = MM_PER_INCH / 8, MM_PER_INCH / 2
# The chart whose speed is advised too (feeds/suggested_feed.py).
AMANA = "Amana Tool, Solid Carbide Spiral Plunge, Solid Wood, chart v5"
_AST = "AST Tooling, Speeds and Feeds - Spiral Router Bits"
_SOLID = Chart(
    AMANA,
    (
        (1 / 8, 0.003, 0.005),
        (3 / 16, 0.004, 0.006),
        (1 / 4, 0.005, 0.007),
        (5 / 16, 0.005, 0.007),
        (3 / 8, 0.006, 0.008),
        (1 / 2, 0.007, 0.009),
    ),
)
_SOFTWOOD = Chart(
    f"{_AST}, softwood", ((1 / 8, 0.003, 0.005), (1 / 4, 0.006, 0.008), (3 / 8, 0.015, 0.017), (1 / 2, 0.019, 0.021))
)
_HARDWOOD = Chart(
    f"{_AST}, hardwood", ((1 / 8, 0.002, 0.004), (1 / 4, 0.005, 0.007), (3 / 8, 0.013, 0.015), (1 / 2, 0.017, 0.019))
)
_PLYWOOD = Chart(
    f"{_AST}, plywood", ((1 / 8, 0.003, 0.005), (1 / 4, 0.006, 0.009), (3 / 8, 0.015, 0.018), (1 / 2, 0.018, 0.021))
)
_MDF = Chart(
    f"{_AST}, MDF and particleboard",
    ((1 / 8, 0.004, 0.007), (1 / 4, 0.012, 0.015), (3 / 8, 0.017, 0.019), (1 / 2, 0.020, 0.025)),
)

CHARTS: dict[WoodKind, tuple[Chart, ...]] = {
    "softwood": (_SOLID, _SOFTWOOD),
    "hardwood": (_SOLID, _HARDWOOD),
    "plywood": (_PLYWOOD,),
    "MDF": (_MDF,),
    "": (_SOLID, _SOFTWOOD, _HARDWOOD, _PLYWOOD, _MDF),
}

# mm; below this, somewhere in between, an edge rubs instead of cutting (common practice, no source).
RUBS = (0.02, 0.03)
# Share of it that is still sound straight down, where a quarter to a half of the feed is usual (common practice, no
# source), and for a drill, whose feed that is (common practice, no source).
PLUNGE_SHARE, DRILL_SHARE = 0.25, 0.5
# What is said of a chip that is out of its range, wherever it is said.
TOO_THIN = "less than {limit}: it rubs and burns; feed faster or turn slower"
TOO_THICK = "more than {limit}; feed slower or turn faster"


def chip_and_limit(chip: float, limit: float) -> tuple[str, str]:
    """Both in mm as they are shown, to as many decimals as tell them apart.

    >>> from toolpaths.facts.chip_loads import chip_and_limit
    >>> chip_and_limit(0.133, 0.172), chip_and_limit(0.0396, 0.04)
    (('0.133', '0.172'), ('0.0396', '0.0400'))
    """
    digits = 3 if f"{chip:.3f}" != f"{limit:.3f}" else 4
    return f"{chip:.{digits}f}", f"{limit:.{digits}f}"


def published(diameter: float, wood: WoodKind = "") -> tuple[float, float]:
    """Least and greatest chip load that the charts print for a cutter of this diameter, mm.

    Between two printed diameters on a straight line. The charts end at 1/8 and 1/2 in; a thinner
    cutter gets less in proportion, a thicker one what the thickest has. wood : "" for the widest of all.
    """
    ranges = [_read(chart, diameter / MM_PER_INCH) for chart in CHARTS[wood]]
    return min(low for low, _ in ranges) * MM_PER_INCH, max(high for _, high in ranges) * MM_PER_INCH


def careful(diameter: float, wood: WoodKind = "") -> tuple[Chart, float, float]:
    """The chart that asks for the thinnest chips at this diameter, and its least and greatest, mm."""
    read = [(chart, *_read(chart, diameter / MM_PER_INCH)) for chart in CHARTS[wood]]
    chart, low, high = min(read, key=lambda row: row[1] + row[2])
    return chart, low * MM_PER_INCH, high * MM_PER_INCH


def thin_share(diameter: float) -> float:
    """What a cutter thinner than any printed one gets of what the thinnest has, in proportion; else 1."""
    return min(diameter / THINNEST, 1.0)


def sound_range(diameter: float, wood: WoodKind = "") -> tuple[float, float]:
    """Chip load between rubbing and the most that a chart prints, mm.

    Many a sound program comes a little below where rubbing begins on a slow stretch, so half of that
    counts as too little.
    """
    return RUBS[0] / 2 * thin_share(diameter), published(diameter, wood)[1]


def thinnest_on_a_ramp(least: float, flutes: int) -> float:
    """mm, from that of a level cut: makers feed a ramp at the feed over the number of flutes (Amana Tool)."""
    return least / flutes


def _read(chart: Chart, diameter: float) -> tuple[float, float]:
    thinnest, low, high = chart.rows[0]
    if diameter < thinnest:
        return low * diameter / thinnest, high * diameter / thinnest
    for (below, low, high), (above, next_low, next_high) in zip(chart.rows, chart.rows[1:]):
        if diameter <= above:
            part = (diameter - below) / (above - below)
            return low + part * (next_low - low), high + part * (next_high - high)
    return chart.rows[-1][1], chart.rows[-1][2]
