"""How feeds are rounded: by less than a hundredth of the unit where that is much, by less than one where it is not."""

from __future__ import annotations

from hypothesis import example, given
from hypothesis import strategies as st

from toolpaths.base.units import MM_PER_INCH
from toolpaths.making.writer.number_format import UNITS, NumberFormat


@example(feed=99.37, units="mm")
@given(feed=st.one_of(st.floats(0.01, 30_000), st.floats(98, 102)), units=st.sampled_from(UNITS))
def test_a_feed_is_rounded_to_hundredths_below_a_hundred_and_to_whole_ones_above(feed, units):
    """100 is written by three digits in either way."""
    text = NumberFormat(units, (0.0, 0.0, 0.0)).feed(feed if units == "mm" else feed * MM_PER_INCH)
    assert abs(float(text) - feed) <= (0.00501 if feed < 99.999 else 0.50001)
    assert "." not in text or feed < 100.001
