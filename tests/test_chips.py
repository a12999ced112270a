"""Chip loads as makers print them, read between the printed diameters."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from toolpaths import Board, InputError, inch
from toolpaths.facts.chip_loads import CHARTS, THICKEST, THINNEST, careful, published, sound_range
from toolpaths.facts.woods import SPECIES, WOOD_KINDS, kind_of


@pytest.mark.parametrize(
    ("wood", "diameter", "most"),
    [
        ("softwood", "1/8", 0.005), ("softwood", "3/16", 0.0065), ("softwood", "1/4", 0.008),
        ("softwood", "1/2", 0.021),
        ("hardwood", "3/16", 0.006), ("hardwood", "1/4", 0.007), ("hardwood", "3/8", 0.015),
        ("plywood", "3/8", 0.018), ("MDF", "1/8", 0.007), ("MDF", "3/8", 0.019), ("", "1/4", 0.015),
    ],
)  # fmt: skip
def test_most_is_what_is_printed(wood, diameter, most):
    """Amana Tool, Solid Carbide Spiral Plunge, chart v5; AST Tooling, Spiral Router Bits."""
    assert sound_range(inch(diameter), wood)[1] == pytest.approx(inch(most))


def test_between_and_beyond_the_printed_diameters():
    assert published(inch("7/16"), "MDF") == pytest.approx((inch(0.0185), inch(0.022)))
    assert published(inch("1/16"), "MDF") == pytest.approx((inch(0.002), inch(0.0035))), "half as thick, half the chip"
    assert published(30, "MDF") == published(inch("1/2"), "MDF")


@given(st.floats(0.4, 40), st.sampled_from([*WOOD_KINDS, ""]))
def test_ranges_are_ranges_and_any_wood_is_the_widest(diameter, wood):
    low, high = published(diameter, wood)
    assert 0 < low < high
    assert published(diameter, "")[1] >= high
    least, most = sound_range(diameter, wood)
    assert 0 < least < low
    assert most == high


def test_charts_rise_with_the_diameter():
    for charts in CHARTS.values():
        for chart in charts:
            assert all(a[0] < b[0] and a[1] <= b[1] and a[2] <= b[2] for a, b in pairwise(chart.rows))


def test_all_charts_begin_and_end_alike_and_name_their_maker():
    for charts in CHARTS.values():
        for chart in charts:
            assert (inch(chart.rows[0][0]), inch(chart.rows[-1][0])) == (THINNEST, THICKEST)
            assert chart.source.startswith(("Amana Tool", "AST Tooling"))


@given(st.floats(0.4, 40), st.sampled_from([*WOOD_KINDS, ""]))
def test_the_careful_chart_is_within_the_published_ones_and_any_wood_is_the_thinnest(diameter, wood):
    chart, low, high = careful(diameter, wood)
    least, most = published(diameter, wood)
    assert chart in CHARTS[wood]
    assert least <= low < high <= most
    assert sum(careful(diameter, "")[1:]) <= low + high
    assert sum(careful(diameter, "hardwood")[1:]) <= sum(careful(diameter, "softwood")[1:])


def test_every_wood_that_a_board_may_be_of_has_a_chart():
    for wood in ("", *WOOD_KINDS, "oak", *(each.name for each in SPECIES)):
        assert CHARTS[kind_of(Board(width=100, height=100, thickness=18, wood=wood).wood)]
    with pytest.raises(InputError, match="No wood 'teak' is listed"):
        Board(width=100, height=100, thickness=18, wood="teak")
