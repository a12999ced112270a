"""Programs of advised cutters: whatever cutter, wood and machine, the simulator finds nothing in their texts."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import example, given
from hypothesis import strategies as st
from shapely import LineString

import toolpaths as tp
from samples import examples
from toolpaths.facts.chip_loads import TOO_THICK, TOO_THIN
from toolpaths.facts.woods import WOOD_KINDS

machines = st.builds(
    lambda slowest, more, rapid, rigid: tp.Machine(
        spindle_rpm=(slowest, slowest + more), rapid_mm_min=rapid, rigid=rigid
    ),
    st.integers(6000, 20000), st.integers(0, 10000), st.integers(1000, 15000), st.booleans(),
)  # fmt: skip


@examples(12)
@given(
    st.floats(4, 10), st.floats(2, 3), st.integers(1, 3), st.sampled_from([*WOOD_KINDS, "white ash", "slash pine", ""]),
    machines, st.sampled_from([60, 90]),
)  # fmt: skip
@example(4.0, 2.0, 1, "softwood", tp.Machine(spindle_rpm=(12564, 12564), rapid_mm_min=1000, rigid=False), 60)
def test_a_job_of_advised_cutters_is_sound(coarse, fine, flutes, wood, machine, angle):
    """A pocket with a rest pass, a bore, a slot, a chamfer, pilot holes and a part cut free: no finding at all.

    But on a machine that cannot feed so fast as a cutter's maker asks for, however slowly it turns, chips are too thin
    whatever is advised: then the advice says so, and the judge says the same.
    """
    kind = wood if wood in ("", *WOOD_KINDS) else tp.species(wood).kind
    fixture = tp.Fixture(board=tp.Board(width=150, height=110, thickness=12, wood=kind), machine=machine)

    notes = []

    def advised(number, profile, cutter_flutes=flutes, chip_load_mm=None, **own):
        advice = tp.advise(profile, wood=wood, machine=machine, flutes=cutter_flutes, chip_load_mm=chip_load_mm)
        notes.extend(advice.notes)
        return advice.cutter(number, **own)

    main = advised(1, tp.flat(coarse), cutting_length=16, shank_diameter=coarse)
    small = advised(2, tp.flat(fine), cutting_length=10)
    vee = advised(3, tp.v_point(12, angle))
    ball = advised(4, tp.ball(coarse))
    nose = advised(6, tp.bull_nose(coarse, 0.5))
    drill = advised(5, tp.drill_point(3), cutter_flutes=2, chip_load_mm=(0.04, 0.08))
    part = tp.rectangle(100, 66, (75, 55), corner_radius=6)
    setup = tp.Setup(
        fixture,
        [
            tp.drill([(40, 32), (110, 32)], drill, depth=8, peck=3),
            tp.pocket(tp.rectangle(34, 26, (52, 62)), [main, small], depth=5),
            tp.pocket(tp.circle(22, (100, 55)), nose, depth=4),
            tp.bore([(78, 66)], coarse * 1.5, main, depth=6),
            tp.groove(LineString([(60, 36), (95, 40)]), ball, depth=2.5),
            tp.chamfer(part, vee, width=0.8),
            tp.contour(part, main, depth=tp.through(0.3), tabs=tp.Tabs(count=4, width=7, height=3)),
        ],
    )
    report = tp.simulate(tp.program_text(setup), fixture, setup.cutters, part=tp.intended_part(setup), cell=0.5)

    out_of_range = [words.partition("{limit}")[2] for words in (TOO_THIN, TOO_THICK)]
    warned = any(words in note for note in notes for words in out_of_range)
    found = {(each.severity, each.code) for each in report}
    # Where the advised chips are thick and the wood weak, its four small tabs may be a doubt; they are not advised.
    assert found - {("doubt", "weak-hold")} == ({("doubt", "chip-load")} if warned else set()), (notes, str(report))


EDGE = """G21 G90 G94 G17
T1 M6
S{rpm:.0f} M3
G4 P3
G0 Z10
G0 X-10 Y{y:.3f}
G0 Z-1.5
G1 X130 F{feed:.0f}
G0 Z10
M5
M30
"""


@pytest.mark.parametrize("width", [0.05, 0.1, 0.25, 0.4])
@pytest.mark.parametrize("rigid", [True, False])
def test_a_narrow_cut_is_sound_at_its_raised_feed_and_a_wider_one_is_found(width, rigid):
    """Past the edge of a board, so much of the diameter over it; 2 sqrt(q (1 - q)) of the chip load at most."""
    machine = tp.Machine(rigid=rigid, rapid_mm_min=30000)
    made = tp.advise(tp.flat(6), wood="hardwood", machine=machine, widest_cut=width).cutter(1)
    fixture = tp.Fixture(board=tp.Board(width=120, height=80, thickness=18, wood="hardwood"), machine=machine)

    def codes(share, cutter=made):
        text = EDGE.format(rpm=made.spindle_rpm, feed=made.feed_mm_min, y=6 * share - 3)
        found = {finding.code for finding in tp.simulate(text, fixture, [cutter]).findings}
        # That it cuts beside the board is meant.
        return found - {"off-board"}

    assert codes(width) == set()
    assert codes(width + 0.15) == {"wide-pass"}
    if rigid and width < 0.2:
        # Held to the chart as it is printed, which is for full cuts, the feed would be too fast.
        assert codes(width, replace(made, chip_load_mm=None)) == {"chip-load"}
