"""Faults of units: one word of the head, and everything is 25.4 times too large or too small."""

from __future__ import annotations

from planted import planted
from planted_pieces import judge
from planted_tabs import FOUR, SLOPED

FAULTS = [
    planted("other-units", "inches for mm", FOUR, "G21 G90 G17", "G20 G90 G17", judge),
    planted("other-units", "mm for inches", SLOPED, "g20 g90 g17 g94", "g21 g90 g17 g94", judge),
]
