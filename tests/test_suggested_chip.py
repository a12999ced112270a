"""The rules of the trade against what is printed: chips, depths, ramps, and what a small machine makes of them."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from test_cutters import profiles

from toolpaths import InputError, ball, bull_nose, drill_point, flat, inch, v_point
from toolpaths.facts.chip_loads import RUBS, THICKEST, THINNEST, careful, published, thin_share
from toolpaths.facts.woods import WOOD_KINDS
from toolpaths.feeds.suggested_chip import depth_share, small_most, suggested_chip
from toolpaths.feeds.suggested_depth import steepest_ramp, suggested_ramp_angle, suggested_step_down

AMANA, AST = "Amana Tool, Solid Carbide Spiral Plunge", "AST Tooling, Speeds and Feeds"
woods = st.sampled_from([*WOOD_KINDS, ""])
millers = profiles.filter(lambda profile: profile.kind != "drill")


@pytest.mark.parametrize(
    ("diameter", "wood", "low", "high", "maker"),
    [
        # Both charts, row by row: the one that asks for less.
        ("1/8", "softwood", 0.003, 0.005, AMANA), ("3/16", "softwood", 0.004, 0.006, AMANA),
        ("1/4", "softwood", 0.005, 0.007, AMANA), ("5/16", "softwood", 0.005, 0.007, AMANA),
        ("3/8", "softwood", 0.006, 0.008, AMANA), ("1/2", "softwood", 0.007, 0.009, AMANA),
        ("1/8", "hardwood", 0.002, 0.004, AST), ("1/4", "hardwood", 0.005, 0.007, AMANA),
        ("3/8", "hardwood", 0.006, 0.008, AMANA), ("1/2", "hardwood", 0.007, 0.009, AMANA),
        ("1/8", "plywood", 0.003, 0.005, AST), ("1/4", "plywood", 0.006, 0.009, AST),
        ("3/8", "plywood", 0.015, 0.018, AST), ("1/2", "plywood", 0.018, 0.021, AST),
        ("1/8", "MDF", 0.004, 0.007, AST), ("1/4", "MDF", 0.012, 0.015, AST),
        ("3/8", "MDF", 0.017, 0.019, AST), ("1/2", "MDF", 0.020, 0.025, AST),
    ],
)  # fmt: skip
def test_a_rigid_machine_gets_the_middle_of_the_row_as_printed(diameter, wood, low, high, maker):
    found = suggested_chip(flat(inch(diameter)), wood, True, 0.0, None)

    assert found.value == pytest.approx(inch((low + high) / 2))
    assert found.source.startswith(maker) and f"{inch(low):.3f} to {inch(high):.3f} mm" in found.source
    assert found.limit == "the chart"


@pytest.mark.parametrize("wood", [*WOOD_KINDS, ""])
@pytest.mark.parametrize(("diameter", "low", "high"), [("1/8", 0.03, 0.06), ("1/4", 0.06, 0.12)])
def test_a_small_machine_gets_what_small_machines_are_run_at(diameter, low, high, wood):
    """Common practice: 0.03 to 0.06 mm with 1/8 in, 0.06 to 0.12 mm with 1/4 in."""
    found = suggested_chip(flat(inch(diameter)), wood, False, 0.0, None)

    assert low <= found.value <= high
    assert "small machine" in found.limit
    assert small_most(inch(diameter)) == pytest.approx(high)


@pytest.mark.parametrize(
    ("deep", "left"), [(0.5, 1), (1, 1), (1.5, 0.875), (2, 0.75), (2.5, 0.625), (3, 0.5), (4, 0.5)]
)
def test_deep_passes_take_the_chip_down_as_both_charts_say(deep, left):
    """At 2 diameters 25 % less, at 3 diameters 50 % (both makers)."""
    assert depth_share(deep * 6, 6) == pytest.approx(left)
    whole, found = (suggested_chip(flat(6), "plywood", True, depth, None) for depth in (1.0, deep * 6))
    assert found.value == pytest.approx(left * whole.value)
    assert ("diameters" in found.limit) == (left < 1)


@given(millers, woods, st.booleans(), st.floats(0, 5))
def test_chips_lie_between_rubbing_and_the_chart(profile, wood, rigid, deep):
    found = suggested_chip(profile, wood, rigid, deep * profile.working_diameter, None)

    assert found.value <= published(profile.working_diameter, wood)[1]
    assert found.value >= RUBS[1] * thin_share(profile.working_diameter) * (1 - 1e-12)
    assert found.source and found.limit


@given(millers, woods, st.floats(0, 5), st.floats(0, 5))
def test_harder_wood_smaller_machines_and_deeper_passes_never_get_a_thicker_chip(profile, wood, one, other):
    shallow, deep = (part * profile.working_diameter for part in sorted((one, other)))
    for rigid in (True, False):
        soft, hard, any_wood = (
            suggested_chip(profile, kind, rigid, deep, None).value for kind in ("softwood", "hardwood", "")
        )
        assert any_wood <= hard <= soft
        assert (
            suggested_chip(profile, wood, rigid, deep, None).value
            <= suggested_chip(profile, wood, rigid, shallow, None).value
        )
    assert (
        suggested_chip(profile, wood, False, deep, None).value <= suggested_chip(profile, wood, True, deep, None).value
    )


@given(st.floats(0.4, 60), st.floats(0.4, 60), woods, st.booleans())
def test_a_thicker_cutter_never_gets_a_thinner_chip(one, other, wood, rigid):
    thin, thick = sorted((one, other))
    assert (
        suggested_chip(flat(thin), wood, rigid, 0, None).value
        <= suggested_chip(flat(thick), wood, rigid, 0, None).value + 1e-12
    )


def test_diameters_beyond_the_charts_say_so():
    thin, thick = (suggested_chip(flat(d), "hardwood", True, 0, None) for d in (THINNEST / 2, 2 * THICKEST))
    assert thin.value == pytest.approx(suggested_chip(flat(THINNEST), "hardwood", True, 0, None).value / 2)
    assert "in proportion below 1/8 in" in thin.source
    assert thick.value == pytest.approx(sum(careful(THICKEST, "hardwood")[1:]) / 2)
    assert "ends at 1/2 in" in thick.source


def test_cutters_that_no_chart_is_for_say_so():
    """Amana Tool, carbide-tipped V-groove, chart v2: 0.0024 in; there is none for balls, and none for drills."""
    vee = suggested_chip(v_point(12, 90), "hardwood", True, 0, None)
    assert vee.value == pytest.approx(inch(0.0024)) and "V-groove" in vee.source
    small = suggested_chip(v_point(12, 90), "hardwood", False, 0, None)
    assert small.value == RUBS[1] and small.limit.startswith("rubbing")
    for profile in (ball(6), bull_nose(6, 1)):
        found = suggested_chip(profile, "hardwood", True, 0, None)
        assert found.value == suggested_chip(flat(6), "hardwood", True, 0, None).value
        assert f"for straight cutters, taken for a {profile.kind} too (common practice, no source)" in found.source
    with pytest.raises(
        InputError, match=r"drill 3 118 deg: no chart here is for drills. Give chip_load_mm=\(least, most\)"
    ):
        suggested_chip(drill_point(3), "hardwood", True, 0, None)


@given(profiles, woods, st.booleans(), st.floats(0, 5))
def test_the_makers_own_range_is_taken_as_it_stands(profile, wood, rigid, deep):
    found = suggested_chip(profile, wood, rigid, deep, (0.02, 0.05))
    assert found.value == pytest.approx(0.035)
    assert "0.02 to 0.05" in found.source and "your" in found.limit


@given(profiles, woods, st.floats(0.5, 200))
def test_passes_are_no_deeper_than_charts_cutters_and_machines_go(profile, wood, length):
    rigid, small = (suggested_step_down(profile, wood, stiff, length) for stiff in (True, False))
    diameter = profile.working_diameter

    if profile.kind == "drill":
        assert rigid == small and diameter <= rigid.value <= 2 * diameter
        return
    assert rigid.value == min(diameter, THICKEST, length)
    assert small.value <= min(diameter / 2, length)
    assert small.value <= suggested_step_down(profile, "softwood", False, length).value
    # Craftsman router manual: 1/8 in at most in hard wood or with a large bit.
    if wood == "hardwood" or diameter > THICKEST:
        assert small.value <= inch("1/8")
    if small.value < min(inch("1/8"), length):
        assert 0.3 * diameter <= small.value * (1 + 1e-12)
    assert all(found.source and found.limit for found in (rigid, small))


@pytest.mark.parametrize(("wood", "low", "high"), [("softwood", 2, 10), ("hardwood", 2, 5), ("MDF", 2, 5), ("", 2, 5)])
def test_ramps_lie_within_common_practice(wood, low, high):
    """2 to 5 degrees in hard wood, up to 10 in soft."""
    assert low <= suggested_ramp_angle(flat(6), wood).value <= steepest_ramp(wood) == high
