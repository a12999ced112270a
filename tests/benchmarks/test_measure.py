"""The figures of a program's pieces of work are those of its text, worked out by hand."""

from __future__ import annotations

import sys
from math import pi, sqrt
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parent))
from measure import ANY_CUTTER, ANY_FIXTURE, measure

from toolpaths import simulate

TEXT = """(a side: front)
(T1: flat 6)
G21 G90 G17
G0 Z20
X0 Y0
T1 M6 (flat 6)
M3 S16000
G4 P2
(slot)
G0 X10 Y10
Z2
G1 Z-3 F600
X50 F1800
G0 Z2
X60
G1 Z-4 F600
(half a ring)
G2 X80 I10 F1800
G1 X90 Z0
G4 P0
G0 Z20
G4 P0
X0 Y0
M5
M30
"""


def test_ways_lifts_and_lines_of_each_piece():
    slot, ring = measure(TEXT)
    assert (slot.name, slot.lifts, slot.heights, slot.lines) == ("slot", 1, (-3,), 7)
    assert (slot.feed, slot.level, slot.down) == pytest.approx((5 + 40 + 6, 40, 5 + 6))
    assert slot.rapid == pytest.approx(sqrt(200) + 18 + 5 + 10)
    assert (ring.name, ring.lifts, ring.heights, ring.lines) == ("half a ring", 1, (-4,), 2)
    assert (ring.feed, ring.level, ring.rapid) == pytest.approx((10 * pi + sqrt(116), 10 * pi, 0))


def test_time_is_that_of_the_report():
    slot, ring = measure(TEXT)
    whole = simulate(TEXT, ANY_FIXTURE, [ANY_CUTTER], cell=10.0).seconds
    # Before the first piece 2 s of a dwell; after the last cut 20 mm up, and home, where X has the longest way.
    up, home = 20 / (250 / 3) + (250 / 3) / 500, 90 / (250 / 3) + (250 / 3) / 500
    assert slot.seconds + ring.seconds + 2 + up + home == pytest.approx(whole)
    assert 0 < slot.cutting < slot.seconds
    assert ring.cutting == ring.seconds
