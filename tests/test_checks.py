"""Checks of single arguments: what each returns, and that it refuses the rest by name."""

from __future__ import annotations

from fractions import Fraction

import numpy as np
import pytest

from toolpaths.base import checks
from toolpaths.base.errors import InputError

NUMBERS = [checks.finite, checks.positive, checks.not_negative, lambda name, v: checks.between(name, v, 0, 100)]


@pytest.mark.parametrize("check", NUMBERS)
@pytest.mark.parametrize("value", [5, 5.0, np.float32(5), np.int64(5), Fraction(5)], ids=lambda v: type(v).__name__)
def test_numbers_of_every_kind_come_back_as_floats(check, value):
    assert check("depth", value) == 5.0
    assert type(check("depth", value)) is float


@pytest.mark.parametrize("check", [*NUMBERS, lambda name, v: checks.whole(name, v, 1)])
@pytest.mark.parametrize(
    "value",
    [float("nan"), float("inf"), -float("inf"), True, np.bool_(True), "5", b"5", None, [5], np.array([5.0]), 5j],
    ids=repr,
)
def test_what_is_no_finite_number_is_refused_by_name(check, value):
    with pytest.raises(InputError, match=r"^depth"):
        check("depth", value)


def test_a_number_too_large_for_a_float_is_refused():
    with pytest.raises(InputError, match=r"^depth is not a finite number"):
        checks.finite("depth", 10**400)


BAD = [
    (checks.positive, (0,), "depth=0 must be greater than 0."),
    (checks.positive, (-1e-9,), "depth=-1e-09 must be greater than 0."),
    (checks.not_negative, (-0.1,), "depth=-0.1 must not be negative."),
    (checks.between, (3.1, 0, 3), "depth=3.1 must lie between 0 and 3."),
    (checks.whole, (0, 1), "depth=0 must be a whole number, 1 or more."),
    (checks.whole, (2.0, 1), "depth=2.0 must be a whole number"),
    (checks.one_of, ("in", ("inside", "outside")), "depth='in' is not one of 'inside', 'outside'."),
    (checks.one_of, (None, ("inside", "outside")), "depth=None is not one of"),
    (checks.label, ("",), "not empty"),
    (checks.label, ("  ",), "not empty"),
    (checks.label, (5,), "must be a text"),
    (checks.label, ("a (b",), "contains '('"),
    (checks.label, ("Eiche, geölt",), "contains 'ö'"),
    (checks.label, ("two\nlines",), r"contains '\n'"),
    (checks.label, ("x" * 201,), "201 characters"),
    (checks.point, (5,), "depth must be points (x, y) in mm"),
    (checks.point, ((1, 2, 3),), "not an array of shape (1, 3)"),
    (checks.point, (("1", "2"),), "depth must be points"),
    (checks.point, ((True, False),), "depth must be points"),
    (checks.points, ([(1, 2), (3, float("nan"))],), "depth[1]=(3.0, nan) is not finite."),
    (checks.points, ([(1, 2), (3,)],), "depth must be points"),
    (checks.points, ([(1, 10**400)],), "depth must be points"),
    (checks.points, ([],), "needs at least 1 points, not 0"),
    (checks.points, ([(1, 2)], 2), "needs at least 2 points, not 1"),
    (checks.points, ("ab",), "depth must be points"),
    (checks.points, (None,), "depth must be points"),
]


@pytest.mark.parametrize(("check", "arguments", "message"), BAD)
def test_checks_refuse_with_the_value_and_the_remedy(check, arguments, message):
    with pytest.raises(InputError) as caught:
        check("depth", *arguments)
    assert "depth" in str(caught.value)
    assert message in str(caught.value)


def test_bad_arguments_hold_no_row_twice():
    assert len({repr(row[:2]) for row in BAD}) == len(BAD)


def test_points_are_a_fresh_array():
    given = np.array([(1.0, 2.0), (3.0, 4.0)])
    given.flags.writeable = False

    taken = checks.points("places", given)
    assert taken.tolist() == given.tolist()
    assert not np.shares_memory(taken, given)
    assert checks.points("places", iter([(1, 2)])).dtype == np.float64
    assert checks.points("places", [], least=0).shape == (0, 2)
