"""How boards move: the coefficients follow from the published shrinkage, and the change from them."""

from __future__ import annotations

import numpy as np
import pytest

import toolpaths as tp
from toolpaths.facts.wood_movement import movement

# Shrinkage from green to oven-dry, %, radial and tangential (Wood Handbook, FPL-GTR-190, Table 4-3).
SHRINKAGE = {
    "black cherry": (3.7, 7.1), "black walnut": (5.5, 7.8), "white ash": (4.9, 7.8), "beech": (5.5, 11.9),
    "basswood": (6.6, 9.3), "yellow-poplar": (4.6, 8.2), "Douglas-fir": (4.8, 7.6), "eastern white pine": (2.1, 6.1),
    "ponderosa pine": (3.9, 6.2), "loblolly pine": (4.8, 7.4),
}  # fmt: skip


@pytest.mark.parametrize("wood", SHRINKAGE)
def test_coefficients_follow_from_the_published_shrinkage(wood):
    """Fibre saturation at 30 % (Wood Handbook, ch. 13): C = S / (3000 - 20 S), printed to five decimals."""
    for found, shrinkage in zip(movement(wood), SHRINKAGE[wood]):
        assert found == pytest.approx(shrinkage / (3000 - 20 * shrinkage), abs=1.1e-5)


def test_a_word_for_several_spans_them_all():
    each = [movement(wood) for wood in ("red oak", "white oak")]
    oak = movement("oak")
    assert (oak.radial, oak.tangential) == (min(one.radial for one in each), max(one.tangential for one in each))


def test_width_and_moisture_count_once_each():
    one = tp.wood_movement("beech", 100, moisture_change=1)
    assert tp.wood_movement("beech", 250, moisture_change=-3) == pytest.approx([-7.5 * mm for mm in one])


@pytest.mark.parametrize(("wood", "change"), [("MDF", 2), ("oak", 9), ("sugar pine", 1), ("oak", float("nan"))])
def test_what_cannot_be_said_is_refused(wood, change):
    with pytest.raises(tp.InputError):
        tp.wood_movement(wood, 100, moisture_change=change)


def test_numbers_of_any_kind_give_floats_of_full_precision():
    found = tp.wood_movement("beech", np.float32(250), moisture_change=np.float32(-3))
    assert found == tp.wood_movement("beech", 250, moisture_change=-3) and [type(mm) for mm in found] == [float, float]
