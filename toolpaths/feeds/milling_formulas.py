"""Closed formulas of milling, from the definitions. Lengths in mm, speeds in turns and mm a minute."""

from __future__ import annotations

from math import pi, sqrt


def chip_load(feed_mm_min: float, spindle_rpm: float, flutes: int) -> float:
    """How far the work goes on from tooth to tooth: feed / (turns x flutes)."""
    return feed_mm_min / (spindle_rpm * flutes)


def thickness_share(width: float) -> float:
    """The thickest chip as a share of the chip load, in a cut so wide, as a share of the diameter.

    2 sqrt(q (1 - q)) below half the diameter, where no tooth comes round to where it cuts straight
    ahead; 1 from there on.
    """
    return 2 * sqrt(width * (1 - width)) if width < 0.5 else 1.0


def surface_speed_m_s(diameter: float, spindle_rpm: float) -> float:
    """How fast the outermost edge goes."""
    return pi * diameter * spindle_rpm / 60_000


def removal_cm3_min(area_mm2: float, feed_mm_min: float) -> float:
    """Wood taken a minute by a cut whose section is so large."""
    return area_mm2 * feed_mm_min / 1000


def power_w(removal: float, energy_j_cm3: float) -> float:
    """Power at the edge for so many cm3 a minute; 1 J/cm3 is a specific cutting force of 1 N/mm2."""
    return removal * energy_j_cm3 / 60
