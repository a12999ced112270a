"""Single edits of sound programs, judged by the library and by the tests' own model: what the model knows to be wrong
is found, what it knows to be sound is not."""

from __future__ import annotations

import numpy as np
import pytest
from mutant_bases import FLAT_3, RACK, bases
from mutants import AS_IT_IS, Mutant, judged, mutant, result, verdict
from plain_judge import run
from plain_wood import Way, heights

import toolpaths as tp


@pytest.mark.sample(4, long=13)
@pytest.mark.parametrize("seed", range(240))
def test_library_and_model_agree(seed):
    each = result(seed)
    assert each.agrees, f"{each.outcome}: {each}"


@pytest.mark.parametrize("seed", [1436, 2851, 3800])
def test_a_sliver_between_two_passes_is_found(seed):
    """0.2 to 0.5 mm2 in a corner of a recess, 3 mm high: once forgiven as a whisker."""
    each = result(seed)
    assert each.must == "found" and each.agrees, each


@pytest.mark.sample(3)
@pytest.mark.parametrize("base", bases(), ids=lambda base: base.name)
def test_every_base_is_sound_to_both(base):
    for side, (text, _) in enumerate(base.sides):
        each = Mutant(base, side, "", text, AS_IT_IS)
        assert verdict(each).must == "silent", verdict(each)
        assert judged(each).ok, str(judged(each))


def test_a_board_of_which_nothing_is_left_is_judged():
    """Faced 20.8 deep for 0.8."""
    base = next(base for base in bases() if base.name == "levelled")
    text = base.sides[0][0]
    deep = Mutant(base, 0, "", text.replace("Z-0.8", "Z-20.8"), AS_IT_IS)
    assert deep.text != text
    assert {"too-deep", "gouge"} <= set(judged(deep).codes())


def test_a_seed_makes_the_same_mutant():
    assert [mutant(seed)[2:] for seed in range(30)] == [mutant(seed)[2:] for seed in range(30)]
    assert len({mutant(seed).edit for seed in range(200)}) > 150


@pytest.mark.long
def test_the_model_finds_what_it_should():
    """A fault of each kind in a recess by hand."""
    base = next(base for base in bases() if base.name == "square recess by hand")
    text = base.sides[0][0]
    for old, new, word in [
        ("M3 S18000", "M5 S18000", "spindle"), ("G1 X40 F1500", "G0 X40", "rapid"), ("X28 Y18", "X27.8 Y18", "part"),
        ("Z-3 F400", "Z-30 F400", "deep"), ("G1 Y30", "G1 Y50", "edge"), ("X42", "X66 Y6", "holds"),
        ("M30\n", "", "end"), ("G1 X40 F1500", "G1 X40 F150", "off"), ("G21 ", "", "units"), ("X30 Y20", "X3O", "read"),
        ("G1 X40 F1500", "G1 X900 F1500", "machine"), ("Z-3 F400", "Z-3 F0", "no feed"),
        ("T2 M6", "T9 M6", "no cutter"),
    ]:  # fmt: skip
        assert old in text
        said = verdict(Mutant(base, 0, "", text.replace(old, new, 1), AS_IT_IS))
        assert said.must == "found" and any(word in why for why in said.why), (old, new, said)


def test_the_model_cuts_as_the_numbers_say():
    """A slot, a plunge and a helix at places whose heights are known (reference 2.2, 2.3)."""
    slot = Way(FLAT_3, (10, 10, -2), (30, 10, -2))
    ramp = Way(FLAT_3, (10, 30, 0), (30, 30, -4))
    at = np.array([(20, 10), (20, 11.49), (20, 11.51), (31.4, 10), (31.6, 10), (20, 30)])
    assert heights([slot, ramp], at).tolist() == pytest.approx([-2, -2, 0, -2, 0, -4 * 11.5 / 20])
    helix = Way(FLAT_3, (41, 10, 0), (41, 10, -1), (40, 10), 1)
    assert heights([helix], np.array([(41, 10), (40, 10), (42.6, 10)])).tolist() == pytest.approx([-1, -1, 0], abs=0.01)
    vee = next(cutter for cutter in RACK if cutter.profile.kind == "V")
    points = np.array([(5, 5), (6, 5), (9.2, 5)])
    assert heights([Way(vee, (5, 5, 2), (5, 5, -3))], points).tolist() == pytest.approx([-3, -2, 0])


@pytest.mark.long
def test_the_model_and_the_library_leave_the_same_wood():
    """At the centres of cells, for every base of one side."""
    for base in bases():
        (text, fixture), *more = base.sides
        if more:
            continue
        wood = tp.simulate(text, fixture, base.cutters, cell=1.0).stock
        x, y = np.meshgrid(wood.grid.xs(), wood.grid.ys())
        mine = heights(run(text, fixture, base.cutters).cuts(), np.column_stack([x.ravel(), y.ravel()]))
        off = np.abs(mine - wood.top.ravel())
        # Where a wall passes within rounding of a centre they may differ by its height.
        assert (off > 0.01).sum() <= 4, (base.name, off.max())
