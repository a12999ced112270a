"""Formulas of milling against the check values of their definitions."""

from __future__ import annotations

from math import acos

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from toolpaths.feeds.milling_formulas import chip_load, power_w, removal_cm3_min, surface_speed_m_s, thickness_share


def test_chip_load_speed_removal_and_power_of_a_slot():
    """A slot 6 mm deep with a 6 mm cutter of 2 flutes: 2400 mm/min at 18000 rpm, 25 N/mm2."""
    assert chip_load(2400, 18000, 2) == pytest.approx(0.066667, abs=5e-7)
    assert surface_speed_m_s(6, 18000) == pytest.approx(5.654867, abs=5e-7)
    assert removal_cm3_min(6 * 6, 2400) == pytest.approx(86.4)
    assert power_w(86.4, 25) == pytest.approx(36.0)
    assert power_w(86.4, 25) / surface_speed_m_s(6, 18000) == pytest.approx(6.366, abs=5e-4)


@pytest.mark.parametrize(
    ("width", "raised"), [(0.05, 2.2942), (0.1, 1.6667), (0.2, 1.25), (0.25, 1.1547), (0.4, 1.0206), (0.5, 1), (1, 1)]
)
def test_a_narrow_cut_makes_thinner_chips(width, raised):
    assert 1 / thickness_share(width) == pytest.approx(raised, abs=5e-5)


@given(st.floats(0.01, 1), st.floats(0.01, 1))
def test_the_share_is_that_of_two_circles(one, other):
    """By drawing: the chip is thickest along the ray at which the tooth leaves the wood, or straight ahead."""
    narrow, wide = sorted((one, other))
    assert thickness_share(narrow) <= thickness_share(wide) <= 1
    # The tooth turns through the angle that is in the wood; the chip's thickness is the feed's part along the ray.
    turned = np.linspace(0, acos(1 - 2 * one), 2001)
    assert thickness_share(one) == pytest.approx(np.sin(turned).max(), abs=2e-6)
