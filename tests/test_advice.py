"""Suggestions: within every limit, each with its source, the user's own numbers as they are."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from test_cutters import profiles

import toolpaths as tp
from toolpaths.facts.chip_loads import RUBS, published, thin_share
from toolpaths.facts.woods import SPECIES, WOOD_KINDS
from toolpaths.feeds.advice import _RUN
from toolpaths.feeds.figure import YOURS
from toolpaths.feeds.milling_formulas import chip_load, thickness_share
from toolpaths.feeds.printed_advice import CAUTION

SMALL = tp.Machine()
RIGID = tp.Machine(name="rigid one", rigid=True, rapid_mm_min=20000)

woods = st.sampled_from([*WOOD_KINDS, "", *(each.name for each in SPECIES)])
machines = st.builds(
    lambda slowest, more, rapid, rigid: tp.Machine(
        spindle_rpm=(slowest, slowest + more), rapid_mm_min=rapid, rigid=rigid
    ),
    st.floats(6000, 30000), st.floats(0, 30000), st.floats(500, 30000), st.booleans(),
)  # fmt: skip
# So thick that no feed comes out as slow as one in inches would be.
millers = profiles.filter(lambda profile: profile.kind != "drill" and profile.working_diameter >= 3)
widths = st.one_of(st.just(1.0), st.floats(0.02, 1))
flutes = st.integers(1, 4)
own_numbers = st.fixed_dictionaries(
    {},
    optional={
        "spindle_rpm": st.floats(3000, 60000), "feed_mm_min": st.floats(100, 30000),
        "plunge_mm_min": st.floats(10, 30000), "ramp_mm_min": st.floats(10, 30000),
        "step_down": st.floats(0.05, 100), "ramp_angle_deg": st.floats(0.1, 45),
    },
)  # fmt: skip


@given(millers, woods, machines, flutes, widths)
def test_all_limits_hold_and_all_numbers_name_a_source(profile, wood, machine, count, width):
    advice = tp.advise(profile, wood=wood, machine=machine, flutes=count, widest_cut=width)
    made = advice.cutter(1)

    slowest, fastest = machine.spindle_rpm
    assert slowest <= made.spindle_rpm <= fastest
    # Rounded to whole inches a minute too, or to hundredths below a hundred, as programs give it.
    inches = made.feed_mm_min / 25.4
    assert max(made.feed_mm_min, 25.4 * round(inches, 0 if inches >= 100 else 2)) <= machine.rapid_mm_min
    assert made.plunge_mm_min <= made.ramp_mm_min <= made.feed_mm_min
    assert made.step_down <= min(profile.working_diameter, made.cutting_length)
    thickest = chip_load(made.feed_mm_min, made.spindle_rpm, count) * thickness_share(width)
    assert thickest == pytest.approx(advice.chip_mm.value)
    kind = wood if wood in ("", *WOOD_KINDS) else tp.species(wood).kind
    assert thickest <= published(profile.working_diameter, kind)[1]
    # Never thin enough to rub without a word; 2 % is what whole numbers take off.
    if thickest < RUBS[1] * thin_share(profile.working_diameter) * 0.98:
        assert any("rub" in note for note in advice.notes)
    for name, figure in advice.figures().items():
        assert figure.value > 0 and figure.source.strip() and figure.limit.strip(), name


@given(millers, woods, machines, flutes)
def test_what_is_suggested_is_not_odd(profile, wood, machine, count):
    """Unless the machine is too slow for its spindle, which is told with what would work."""
    advice = tp.advise(profile, wood=wood, machine=machine, flutes=count)
    odd = tp.check_cutter(advice.cutter(1), wood=wood, machine=machine)

    slow = any(note.startswith("Chips of") for note in advice.notes)
    assert all("rub" in note for note in odd) and (slow or not odd)
    assert set(odd) <= set(advice.notes)


@given(millers, woods, machines, flutes, widths, own_numbers)
def test_own_numbers_win_bit_for_bit_and_the_rest_follows(profile, wood, machine, count, width, own):
    try:
        advice = tp.advise(profile, wood=wood, machine=machine, flutes=count, widest_cut=width, **own)
    except tp.InputError as error:
        # Own numbers that come to a feed which could be one in inches.
        assert "inches" in str(error)
        assume(False)
    made = advice.cutter(1)

    for name, number in own.items():
        assert getattr(made, name) == number
        assert getattr(advice, name) == tp.Figure(number, YOURS, YOURS)
    others = set(_RUN) - set(own)
    assert all(getattr(advice, name).source != YOURS for name in others)
    # Given late is given all the same, and the other numbers of one's own stay.
    plain = tp.advise(profile, wood=wood, machine=machine, flutes=count, widest_cut=width)
    assert plain.cutter(1, **own) == made
    for name in own:
        rest = {other: number for other, number in own.items() if other != name}
        try:
            first = tp.advise(profile, wood=wood, machine=machine, flutes=count, widest_cut=width, **rest)
        except tp.InputError:
            continue
        assert first.cutter(1, **{name: own[name]}) == made
    # What is odd about the numbers is told with them.
    assert set(tp.check_cutter(made, wood=wood, machine=machine)) <= set(advice.notes)


@given(millers, flutes, machines)
def test_harder_wood_and_small_machines_never_get_more(profile, count, machine):
    def chip(wood, rigid):
        return tp.advise(profile, wood=wood, machine=replace(machine, rigid=rigid), flutes=count).chip_mm.value

    # 2 % is what whole numbers take off, more or less of it at another speed.
    for rigid in (True, False):
        assert chip("hardwood", rigid) <= chip("softwood", rigid) * 1.02
        assert chip("", rigid) <= chip("hardwood", rigid) * 1.02
    for wood in ("", *WOOD_KINDS):
        assert chip(wood, False) <= chip(wood, True) * 1.02


def test_a_small_router_in_hardwood():
    """By hand: the chart's 0.119 to 0.169 mm for 6 mm, 0.4 of its middle, 2 flutes at 18000 rpm."""
    advice = tp.advise(tp.flat(6), wood="hardwood", machine=SMALL)

    low, high = tp.inch(0.002), tp.inch(0.004)
    part = (6 / 25.4 - 1 / 8) * 8
    middle = (low + high) / 2 + part * (tp.inch(0.006) - (low + high) / 2)
    assert 0.4 * middle * 2 * 18000 - 10 <= advice.feed_mm_min.value <= 0.4 * middle * 2 * 18000
    assert advice.spindle_rpm.value == 18000
    assert advice.ramp_mm_min.value == advice.feed_mm_min.value // 20 * 10
    assert advice.plunge_mm_min.value == advice.feed_mm_min.value // 3
    assert (advice.step_down.value, advice.ramp_angle_deg.value) == (pytest.approx(1.8), 3)
    assert advice.notes == ()


def test_what_limited_the_feed_is_told():
    def limit(machine, **asked):
        return tp.advise(tp.flat(6), wood="hardwood", machine=machine, **asked).feed_mm_min.limit

    assert limit(RIGID) == "the chart"
    assert limit(SMALL).startswith("a small machine: 0.4 of the chart")
    assert limit(replace(RIGID, rapid_mm_min=3000)) == "the machine's fastest, 3000 mm/min"
    assert limit(replace(RIGID, spindle_rpm=(5000, 10000))).startswith(
        "the spindle's fastest, 10000 rpm, and the chart"
    )
    assert limit(RIGID, step_down=12).startswith("its depth, 2 diameters: 25 % less")
    assert tp.advise(tp.v_point(12, 90), wood="", machine=SMALL).feed_mm_min.limit.startswith("rubbing")


def test_a_slow_machine_turns_slower_for_the_same_chip_and_says_what_would_help_where_it_cannot():
    wide = tp.advise(tp.flat(6), wood="MDF", machine=replace(RIGID, rapid_mm_min=6000))
    assert wide.chip_mm.value == pytest.approx(tp.advise(tp.flat(6), wood="MDF", machine=RIGID).chip_mm.value, rel=0.02)
    assert wide.spindle_rpm.value < 18000 and wide.notes == ()

    trim = tp.Machine(name="trim router", spindle_rpm=(20000, 30000), rapid_mm_min=3000)
    slow = tp.advise(tp.flat(6), wood="MDF", machine=trim, flutes=3)
    assert slow.feed_mm_min.value == 2980 and slow.spindle_rpm.value == 20000
    (note,) = slow.notes
    assert "Chips of 0.050 mm instead of" in note and "a cutter of 1 would cut well" in note
    fits = tp.advise(tp.flat(6), wood="MDF", machine=trim, flutes=1)
    assert fits.notes == () and fits.chip_mm.limit != slow.chip_mm.limit

    rubs = tp.advise(tp.flat(6), wood="MDF", machine=trim, flutes=2, feed_mm_min=600)
    assert any("chips of 0.015 mm, for MDF less than 0.030: it may rub" in note for note in rubs.notes)


def test_an_own_feed_sets_the_speed_that_makes_the_chip_and_an_own_speed_the_feed():
    free = tp.advise(tp.flat(6), wood="hardwood", machine=SMALL)
    slow = tp.advise(tp.flat(6), wood="hardwood", machine=SMALL, feed_mm_min=1200)
    assert slow.chip_mm.value == pytest.approx(free.chip_mm.value, rel=0.02)
    assert slow.spindle_rpm.value == 10500 and slow.notes == ()
    calm = tp.advise(tp.flat(6), wood="hardwood", machine=SMALL, spindle_rpm=9000)
    assert calm.feed_mm_min.value == pytest.approx(free.feed_mm_min.value / 2, rel=0.02)


def test_a_narrow_cut_is_fed_faster_and_ramps_are_not():
    full, narrow = (tp.advise(tp.flat(6), wood="hardwood", machine=RIGID, widest_cut=w) for w in (1, 0.1))
    assert narrow.feed_mm_min.value == pytest.approx(full.feed_mm_min.value * 5 / 3, rel=0.01)
    assert narrow.ramp_mm_min.value == pytest.approx(full.ramp_mm_min.value, rel=0.02)
    assert "x 1.67" in narrow.feed_mm_min.source
    assert any("no wider than 0.6 mm" in note and "is a slot" in note for note in narrow.notes)
    assert not any("no wider" in note for note in full.notes)
    # A maker's range is a chip load as it is fed.
    given = tp.advise(tp.flat(6), wood="hardwood", machine=RIGID, widest_cut=0.1, chip_load_mm=(0.04, 0.06))
    assert given.feed_mm_min.value == 1800 and given.cutter(1).chip_load_mm == (0.04, 0.06)


def test_a_drill_asks_for_its_makers_range_and_goes_down_at_its_feed():
    with pytest.raises(tp.InputError, match="no chart here is for drills"):
        tp.advise(tp.drill_point(5), wood="hardwood", machine=SMALL)
    made = tp.advise(tp.drill_point(5), wood="hardwood", machine=SMALL, chip_load_mm=(0.05, 0.1)).cutter(4)
    assert (made.spindle_rpm, made.feed_mm_min, made.plunge_mm_min) == (6000, 900, 900)


def test_printed_it_tells_every_number_its_source_its_limit_the_notes_and_the_caution():
    advice = tp.advise(tp.flat(22), wood="white ash", machine=SMALL, plunge_mm_min=5000)
    text = str(advice)

    assert text.startswith("flat 22, 2 flutes, in white ash, on the small router (not rigid)\n")
    for name, figure in advice.figures().items():
        assert re.search(rf"^  {name} +[\d.]+  {re.escape(figure.source)}$", text, re.MULTILINE)
        assert figure.limit in (YOURS, "for information only") or f"limited by {figure.limit}\n" in text
    assert all(f"Note: {note}\n" in text for note in advice.notes)
    assert "specific gravity 0.6 (" in text and "marked on it" in text and "faster than the feed" in text
    assert text.endswith("\n".join(CAUTION))


@pytest.mark.parametrize(
    ("asked", "message"),
    [
        ({"wood": "teak"}, "No wood 'teak' is listed"),
        ({"machine": None}, "machine=None must be a Machine"),
        ({"flutes": 0}, "flutes=0"),
        ({"widest_cut": 0}, "widest_cut=0"),
        ({"chip_load_mm": (0.1, 0.05)}, "chip_load_mm=(0.1, 0.05) must be (least, most)"),
        ({"chip_load_mm": (0, 0.05)}, "chip_load_mm=(0, 0.05) must be (least, most), both above 0"),
        ({"chip_load_mm": 0.05}, "chip_load_mm must be points"),
        ({"cutting_length": -1}, "cutting_length=-1"),
        ({"feed_mm_min": 47}, "fed 47 mm a minute? If in inches"),
        ({"feed_mm_min": "fast"}, "feed_mm_min='fast' is not a number"),
        ({"spindle_rpm": 0}, "spindle_rpm=0 must be greater than 0"),
        ({"spindle_rpm": float("nan")}, "spindle_rpm=nan"),
        ({"step_down": True}, "step_down=True is not a number"),
        ({"spindle_rpm": 500}, "comes to 57 mm/min; slower than 100 is taken for inches"),
        ({"ramp_angle_deg": 60}, "ramp_angle_deg=60"),
    ],
)  # fmt: skip
def test_what_cannot_be_asked_is_refused(asked, message):
    with pytest.raises(tp.InputError) as caught:
        tp.advise(tp.flat(6), **{"wood": "hardwood", "machine": SMALL, **asked})
    assert message in str(caught.value)
    with pytest.raises(tp.InputError, match=r"must be flat\(6\)"):
        tp.advise(6, wood="hardwood", machine=SMALL)


def test_other_facts_of_the_cutter_go_through():
    advice = tp.advise(tp.flat(6), wood="hardwood", machine=SMALL)
    made = advice.cutter(3, stick_out=40, shank_diameter=8, cutting_length=22, centre_cutting=False)
    assert (made.number, made.stick_out, made.shank_diameter, made.cutting_length) == (3, 40, 8, 22)
    assert not made.centre_cutting
    assert advice.cutter(1, cutting_length=1.0, stick_out=20).step_down == 1.0
    with pytest.raises(TypeError):
        advice.cutter(1, feed=1200)
