"""Faults by which too little is left to hold a piece against the cutter."""

from __future__ import annotations

from planted import Fault, edited, line_of
from planted_pieces import COVER, judge
from planted_tabs import FOUR

_ONE_LEFT = FOUR.replace("G1 Z-14\n", "G1 Z-18.2\n")

FAULTS = [
    Fault("weak-hold", "one of two tabs too low by a digit", edited(COVER, "z-0.55", "z-0.72")[0], 0, judge, COVER),
    Fault("weak-hold", "three of four tabs too low by a digit", _ONE_LEFT, line_of(FOUR, "G1 X113 F1200"), judge, FOUR),
]
