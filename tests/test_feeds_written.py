"""How feeds are rounded, by less than a hundredth of the unit where that is much, by less than one where it is not; and
lengths in comments, to what can be measured."""

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


@given(mm=st.floats(0.01, 3000))
@example(mm=12.34567)
def test_a_length_in_a_comment_is_what_an_operator_can_measure(mm):
    """Thousandths of a mm, ten-thousandths of an inch, or six digits of what is longer."""
    for units, length, decimals in (("mm", mm, 3), ("inch", mm / MM_PER_INCH, 4)):
        text = NumberFormat(units, (0.0, 0.0, 0.0)).comment(mm)
        assert len(text.partition(".")[2]) <= decimals
        assert abs(float(text) - length) <= 0.51 * max(10.0**-decimals, 1e-5 * length)
