"""Cutters as solids of revolution: profiles against closed formulas, and what cannot be a cutter."""

from __future__ import annotations

import pickle
from dataclasses import replace
from math import pi, radians, sqrt, tan

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from toolpaths.base.errors import InputError, UnitsError
from toolpaths.facts.cutter import Cutter, rack
from toolpaths.facts.profile import Profile, ball, bull_nose, drill_point, flat, rounding, v_point

diameters = st.floats(0.5, 60)
parts = st.integers(0, 100_000).map(lambda n: n / 100_000)
profiles = st.one_of(
    diameters.map(flat),
    diameters.map(ball),
    st.builds(lambda d, part: bull_nose(d, part * d / 2), diameters, parts),
    st.builds(lambda d, angle, part: v_point(d, angle, part * 0.9 * d), diameters, st.floats(10, 170), parts),
    st.builds(drill_point, diameters, st.floats(60, 170)),
    st.builds(rounding, st.floats(0.25, 20), st.floats(0.25, 20)),
)


@given(profiles)
def test_height_never_falls_and_ends_at_the_tip_height(profile):
    rho = np.linspace(0, profile.radius, 301)
    height = profile.height(rho)

    assert height.shape == rho.shape
    assert (np.diff(height) >= 0).all()
    assert height[0] == 0
    # A corner is steepest there: a rounding of 1e-14 in rho is the root of it, 1e-7, in height.
    assert height[-1] == pytest.approx(profile.tip_height, abs=1e-6)


@given(profiles, parts)
def test_radius_at_is_the_inverse_of_height(profile, part):
    """The largest radius whose cutting surface lies no higher."""
    height = part * profile.tip_height
    rho = profile.radius_at(height)

    assert 0 <= rho <= profile.radius
    assert float(profile.height(np.array(rho))) == pytest.approx(height, abs=1e-6 * profile.diameter)
    if rho < profile.radius * 0.999:
        assert float(profile.height(np.array(rho + 1e-3 * profile.diameter))) > height
    assert profile.radius_at(profile.tip_height + 5) == profile.radius
    assert profile.radius_at(-1e-9) == 0


@given(profiles, parts, parts)
def test_radius_at_never_falls(profile, one, other):
    low, high = sorted((one, other))
    assert profile.radius_at(low * profile.radius) <= profile.radius_at(high * profile.radius) + 1e-12


@given(diameters, parts)
def test_ball_is_half_a_sphere(diameter, part):
    """h = R - sqrt(R^2 - rho^2) (circle, any geometry text)."""
    r = diameter / 2
    height = float(ball(diameter).height(np.array(part * r)))
    assert height == pytest.approx(r - sqrt(max(r * r - (part * r) ** 2, 0)), abs=1e-9)


@pytest.mark.parametrize(
    ("diameter", "corner", "solid"),
    [(6, 3, 2 * pi * 27 / 3), (6, 0, 0), (10, 2, None)],
    ids=["ball", "flat", "bull nose"],
)
def test_volume_of_the_rounded_end(diameter, corner, solid):
    """By shells over the height, against sphere and Pappus (centroid of a quarter disc at 4r/3pi)."""
    profile, r = bull_nose(diameter, corner), diameter / 2
    heights = (np.arange(20000) + 0.5) / 20000 * corner
    volume = sum(pi * profile.radius_at(h) ** 2 for h in heights) * corner / 20000
    if solid is None:
        inner = r - corner
        solid = pi * inner**2 * corner + 2 * pi * (inner + 4 * corner / (3 * pi)) * pi * corner**2 / 4
    assert volume == pytest.approx(solid, rel=1e-6)


@pytest.mark.parametrize(
    ("width", "angle", "tip", "depth"),
    [(6, 90, 0, 3.0), (6, 60, 0, 5.196152), (6, 90, 0.2, 2.9), (6, 60, 0.5, 4.763140), (3, 30, 0, 5.598076)],
)
def test_v_depth_of_a_width(width, angle, tip, depth):
    """Depth (w - t)/(2 tan(angle/2)) (right triangle, derived)."""
    profile = v_point(20, angle, tip)

    assert float(profile.height(np.array(width / 2))) == pytest.approx(depth, abs=1e-6)
    assert profile.radius_at(depth) == pytest.approx(width / 2, abs=1e-6)
    assert profile.radius_at(0) == tip / 2


@pytest.mark.parametrize(("angle", "factor"), [(118, 0.300430), (135, 0.207107)])
@pytest.mark.parametrize("diameter", [2, 2.5, 8])
def test_drill_point_length(angle, factor, diameter):
    """(D/2)/tan(angle/2) (right triangle, derived)."""
    assert drill_point(diameter, angle).tip_height == pytest.approx(factor * diameter, abs=1e-5)


def test_drill_point_is_118_degrees_unless_given():
    assert drill_point(3) == drill_point(3, 118)


def test_text_is_what_an_operator_would_say():
    names = [flat(6), ball(12), bull_nose(6, 1), v_point(12, 90), drill_point(2.5)]

    assert [str(p) for p in names] == [
        "flat 6",
        "ball 12",
        "bull nose 6 corner 1",
        "V 12 90 deg",
        "drill 2.5 118 deg",
    ]
    assert flat(6.35).text(1 / 25.4, 4) == "flat 0.25"
    assert str(Cutter(3, ball(12), feed_mm_min=1500, spindle_rpm=16000)) == "T3 ball 12"


def cutter(**changes: object) -> Cutter:
    return replace(Cutter(1, flat(6), feed_mm_min=1800, spindle_rpm=18000), **changes)


def test_defaults_follow_feed_and_diameter():
    made = Cutter(1, flat(6), feed_mm_min=1800, spindle_rpm=18000)

    assert made.running == (600, 1800, 3, 3)
    assert made.body == (24, 34, 6)
    assert made.bears == (6, 1800, 90, 12, 12)
    assert Cutter(1, flat(6), 1800, 18000, cutting_length=30).body.stick_out == 40
    assert pickle.loads(pickle.dumps(made)) == made


def test_what_follows_from_a_number_follows_from_the_new_one_after_replace():
    """Once a fault: a thinner profile kept the pass and the shank of the thicker, a new feed the old plunge."""
    thinner = replace(cutter(), profile=flat(3))
    assert (thinner.running.step_down, thinner.body, thinner.bears.deepest_pass) == (1.5, (12, 22, 3), 3)
    slower = replace(cutter(), feed_mm_min=900)
    assert (slower.running.plunge_mm_min, slower.running.ramp_mm_min, slower.bears.plunge_mm_min) == (300, 900, 900)
    assert replace(thinner, profile=flat(6)) == cutter()


@pytest.mark.parametrize("changes", [{"profile": flat(0.25)}, {"feed_mm_min": 60}], ids=str)
def test_sizes_and_feeds_like_inches_are_a_question(changes):
    with pytest.raises(UnitsError, match=r"write inch\(\.\.\.\)"):
        cutter(**changes)


@given(profiles)
def test_usual_length_holds_the_tip(profile):
    """What is taken where nobody measured is a cutter that can be."""
    assert profile.usual_length >= profile.tip_height
    assert Cutter(1, profile, 1800, 18000).body.cutting_length == profile.usual_length


def test_body_radius_steps_out_at_shank_and_nut():
    made = cutter(cutting_length=20, stick_out=35, shank_diameter=8, nut_diameter=19)

    heights = (-0.1, 0, 19.9, 20.1, 34.9, 35.1)
    assert [made.body_radius(h) for h in heights] == [0, 3, 3, 4, 4, 9.5]
    slim = cutter(cutting_length=20, stick_out=35, shank_diameter=3)
    assert slim.body_radius(30) == 3


def test_rack_keeps_the_order_and_takes_one_cutter_at_two_feeds():
    slow, other = cutter(feed_mm_min=900), cutter(number=4, profile=ball(6))

    assert list(rack((other, cutter(), slow))) == [4, 1]


@pytest.mark.parametrize(
    "changes", [{"profile": ball(6)}, {"profile": flat(6.35)}, {"cutting_length": 30}, {"shank_diameter": 8}], ids=str
)
def test_rack_refuses_one_number_for_two_cutters(changes):
    with pytest.raises(InputError, match="T1 is two cutters"):
        rack((cutter(), cutter(**changes)))


NAN, INF = float("nan"), float("inf")
BAD = [
    (flat, (0,), {}, "diameter=0 must be greater than 0"),
    (flat, (-6,), {}, "diameter=-6"),
    (flat, ("6",), {}, "diameter='6' is not a number"),
    (flat, (True,), {}, "diameter=True is not a number"),
    (flat, (NAN,), {}, "diameter=nan"),
    (ball, (INF,), {}, "diameter=inf"),
    (bull_nose, (6, 3.1), {}, "corner_radius=3.1 must lie between 0 and 3"),
    (bull_nose, (6, -1), {}, "corner_radius=-1"),
    (bull_nose, (0, 0), {}, "diameter=0"),
    (v_point, (12, 180), {}, "angle_deg=180.0 must lie between 10 and 170"),
    (v_point, (12, 90, 12), {}, "tip_diameter=12 must be below diameter=12"),
    (v_point, (12, 90, -1), {}, "tip_diameter=-1 must not be negative"),
    (v_point, (12, 90, NAN), {}, "tip_diameter=nan"),
    (v_point, (12, 90, "0"), {}, "tip_diameter='0' is not a number"),
    (v_point, (12, 90, True), {}, "tip_diameter=True is not a number"),
    (drill_point, (3, 30), {}, "angle_deg=30"),
    (cutter, (), {"number": 0}, "number=0 must be a whole number, 1 or more"),
    (cutter, (), {"number": 1.0}, "number=1.0"),
    (cutter, (), {"number": True}, "number=True"),
    (cutter, (), {"profile": 6}, "profile=6 must be flat(6)"),
    (cutter, (), {"feed_mm_min": 0}, "T1: feed_mm_min=0 must be greater than 0"),
    (cutter, (), {"feed_mm_min": -100}, "T1: feed_mm_min=-100"),
    (cutter, (), {"feed_mm_min": NAN}, "T1: feed_mm_min=nan"),
    (cutter, (), {"feed_mm_min": INF}, "T1: feed_mm_min=inf"),
    (cutter, (), {"feed_mm_min": "fast"}, "T1: feed_mm_min='fast'"),
    (cutter, (), {"feed_mm_min": True}, "T1: feed_mm_min=True"),
    (cutter, (), {"spindle_rpm": 0}, "T1: spindle_rpm=0"),
    (cutter, (), {"plunge_mm_min": 0}, "T1: plunge_mm_min=0"),
    (cutter, (), {"plunge_mm_min": -INF}, "T1: plunge_mm_min=-inf"),
    (cutter, (), {"ramp_mm_min": 0}, "T1: ramp_mm_min=0"),
    (cutter, (), {"step_down": -2}, "T1: step_down=-2"),
    (cutter, (), {"cutting_length": "20"}, "T1: cutting_length='20'"),
    (cutter, (), {"cutting_length": 40, "stick_out": 34}, "T1: stick_out=34 is below cutting_length=40"),
    (cutter, (), {"profile": v_point(60, 60), "cutting_length": 50}, "below the tip's 51.962 mm"),
    (cutter, (), {"shank_diameter": 0}, "T1: shank_diameter=0"),
    (cutter, (), {"nut_diameter": NAN}, "T1: nut_diameter=nan"),
    (cutter, (), {"flutes": 0}, "T1: flutes=0"),
    (cutter, (), {"flutes": 1.5}, "T1: flutes=1.5"),
    (cutter, (), {"ramp_angle_deg": 0}, "T1: ramp_angle_deg=0"),
    (cutter, (), {"centre_cutting": "no"}, "T1: centre_cutting='no' must be True or False"),
]


@pytest.mark.parametrize(("function", "arguments", "options", "message"), BAD)
def test_cutters_refuse_bad_arguments(function, arguments, options, message):
    with pytest.raises(InputError) as caught:
        function(*arguments, **options)
    assert message in str(caught.value)


def test_bad_arguments_hold_no_row_twice():
    assert len({repr(row[:3]) for row in BAD}) == len(BAD)


@given(st.floats(10, 170), st.floats(0.1, 20))
def test_a_profile_is_a_value(angle, diameter):
    assert v_point(diameter, angle) == v_point(diameter, angle)
    assert hash(v_point(diameter, angle)) == hash(v_point(diameter, angle))
    assert isinstance(v_point(diameter, angle), Profile)
    assert v_point(diameter, angle).tip_height == pytest.approx(diameter / 2 / tan(radians(angle / 2)))
