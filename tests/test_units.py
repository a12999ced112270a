"""Inches to millimetres, exactly 25.4 each (the inch by its international definition of 1959)."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from toolpaths.base.errors import InputError
from toolpaths.base.units import inch

whole = st.integers(0, 999)


@given(whole, st.integers(0, 127), st.sampled_from([2, 4, 8, 16, 32, 64, 3, 10]), st.sampled_from([" ", "-", "  "]))
def test_inch_reads_whole_numbers_and_fractions(units, above, below, gap):
    exact = float((units + Fraction(above, below)) * Fraction(254, 10))

    assert inch(f"{units}{gap}{above}/{below}") == exact
    assert inch(f" {above} / {below} ") == float(Fraction(above, below) * Fraction(254, 10))


@given(st.floats(-1e6, 1e6))
def test_inch_of_a_number_is_25_4_times_it(value):
    assert inch(value) == value * 25.4


@given(st.decimals(0, 1000, places=4))
def test_inch_of_a_decimal_text_is_the_nearest_float(value):
    assert inch(str(value)) == float(Fraction(value) * Fraction(254, 10))


@pytest.mark.parametrize(
    ("text", "mm"), [("3/4", 19.05), ("3 3/4", 95.25), ("3-3/4", 95.25), ("0.25", 6.35), ("1.", 25.4), (".5", 12.7)]
)
def test_inch_examples(text, mm):
    assert inch(text) == mm


def test_inch_takes_a_fraction():
    assert inch(Fraction(1, 8)) == pytest.approx(3.175, rel=1e-15)


@pytest.mark.parametrize(
    "value",
    [
        *["", " ", "3/0", "3 3", "-1/4", "1/2/3", "3.5 1/2", "1e3", "nan", "inf", '3"', "three", "9" * 400],
        *[float("nan"), float("inf"), 1e308, 10**400, True, None, [1], b"1/2"],
    ],
    ids=lambda value: repr(value)[:12],
)
def test_inch_refuses_what_is_no_length(value):
    with pytest.raises(InputError, match="inch"):
        inch(value)
