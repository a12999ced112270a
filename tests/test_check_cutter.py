"""What is odd about a cutter's numbers is told, in the simulator's words where it would find the same."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

import toolpaths as tp
from samples import examples
from toolpaths.facts.woods import WOOD_KINDS

SMALL, RIGID = tp.Machine(), tp.Machine(rigid=True)


def odd(wood="hardwood", machine=RIGID, profile=None, **run):
    numbers = {"feed_mm_min": 4800, "spindle_rpm": 18000, "plunge_mm_min": 1600, "step_down": 3, **run}
    return tp.check_cutter(tp.Cutter(1, profile or tp.flat(6), **numbers), wood=wood, machine=machine)


@pytest.mark.parametrize(
    ("run", "words"),
    [
        ({"spindle_rpm": 26000}, "the spindle of the small router turns at 6000 to 24000 rpm"),
        ({"spindle_rpm": 5000, "feed_mm_min": 1300, "plunge_mm_min": 400}, "spindle_rpm=5000"),
        ({"feed_mm_min": 5600, "spindle_rpm": 20000}, "feed_mm_min=5600: the small router does 5000 at most"),
        ({"feed_mm_min": 300, "plunge_mm_min": 100}, "less than 0.010: it rubs and burns; feed faster or turn slower"),
        ({"feed_mm_min": 700, "plunge_mm_min": 200}, "less than 0.030: it may rub"),
        ({"spindle_rpm": 12000}, "takes chips of 0.200 mm, for hardwood more than 0.172; feed slower or turn faster"),
        ({"machine": SMALL}, "half of what charts print for rigid machines"),
        ({"chip_load_mm": (0.14, 0.2)}, "takes chips of 0.133 mm, as given for it less than 0.140"),
        ({"chip_load_mm": (0.05, 0.1)}, "takes chips of 0.133 mm, as given for it more than 0.100"),
        ({"feed_mm_min": 1200, "plunge_mm_min": 400, "widest_cut": 0.1}, "0.020 at their thickest, less than 0.030"),
        ({"plunge_mm_min": 4900}, "plunge_mm_min=4900 is faster than the feed, 4800"),
        ({"ramp_mm_min": 4900}, "ramp_mm_min=4900 is faster than the feed, 4800"),
        ({"plunge_mm_min": 2500}, "plunge_mm_min=2500 is more than half the feed, 2400"),
        ({"step_down": 3.5, "machine": SMALL, "feed_mm_min": 2400, "plunge_mm_min": 800}, "take 0.3 to 0.5 at once"),
        ({"step_down": 7, "feed_mm_min": 4000, "plunge_mm_min": 1300}, "more than one diameter"),
        ({"step_down": 20, "feed_mm_min": 2000, "plunge_mm_min": 600}, "the charts end at 3"),
        ({"step_down": 5, "cutting_length": 4}, "step_down=5 is more than the cutting length, 4 mm"),
        ({"ramp_angle_deg": 6}, "ramp_angle_deg=6 is steeper than 5 degrees, the most in hardwood"),
        ({"profile": tp.drill_point(5), "plunge_mm_min": 4800}, "no chart here is for drills, so it is not judged"),
        ({"profile": tp.drill_point(5), "plunge_mm_min": 4800, "chip_load_mm": (0.02, 0.05)}, "more than 0.050"),
    ],
)  # fmt: skip
def test_each_oddity_is_told_and_nothing_else(run, words):
    (note,) = odd(**run)
    assert words in note


def test_a_pass_too_deep_for_its_chip_is_told_twice_the_depth_and_the_chip():
    chip, depth = odd(step_down=12)
    assert "more than 0.129 at 2 diameters deep (charts: 25 % less at 2, 50 % at 3)" in chip
    assert "step_down=12 is more than one diameter" in depth


@pytest.mark.parametrize(
    "run",
    [
        {}, {"feed_mm_min": 2000, "plunge_mm_min": 650, "machine": SMALL}, {"step_down": 6}, {"wood": ""},
        {"wood": "white ash"}, {"wood": "softwood", "ramp_angle_deg": 10}, {"chip_load_mm": (0.01, 0.2)},
        {"profile": tp.drill_point(5), "plunge_mm_min": 4800, "chip_load_mm": (0.05, 0.2)},
    ],
    ids=str,
)  # fmt: skip
def test_sound_numbers_are_not_odd(run):
    assert odd(**run) == ()


def test_a_wood_that_is_none_is_an_error():
    with pytest.raises(tp.InputError, match="No wood 'steel' is listed"):
        odd(wood="steel")


@examples(60)
@given(
    st.floats(1, 16), st.integers(1, 4), st.sampled_from([*WOOD_KINDS, ""]), st.integers(6000, 24000),
    st.integers(100, 5000), st.sampled_from([None, (0.02, 0.05), (0.05, 0.1)]),
)  # fmt: skip
def test_the_simulator_finds_a_chip_load_where_it_is_told_in_the_same_words(d, flutes, wood, rpm, feed, given_range):
    """One level cut: its chip-load finding is there exactly if the cutter's numbers were odd in that way."""
    cutter = tp.Cutter(1, tp.flat(d), feed, rpm, flutes=flutes, chip_load_mm=given_range)
    told = [
        note
        for note in tp.check_cutter(cutter, wood=wood, machine=RIGID)
        if note.endswith(("burns; feed faster or turn slower.", "; feed slower or turn faster."))
    ]
    board = tp.Board(width=100, height=80, thickness=18, wood=wood)
    text = f"G21 G90 G94 G17\nT1 M6\nS{rpm} M3\nG4 P3\nG0 Z10\nG0 X30 Y40\nG1 Z-0.3 F50\nX70 F{feed}\nG0 Z10\nM5\nM30\n"
    findings = tp.simulate(text, tp.Fixture(board=board), [cutter]).findings
    # That of the way down, on the line before, is judged by a range of its own.
    found = [f for f in findings if f.code == "chip-load" and f.line == 8]

    assert len(found) == len(told)
    for finding, note in zip(found, told, strict=True):
        assert finding.message.removeprefix("T1 ") == note
