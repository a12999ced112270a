"""Checks of single arguments: each returns the value it accepts or raises InputError."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from fractions import Fraction
from math import isfinite
from numbers import Real
from typing import Any, TypeVar

import numpy as np
from numpy.typing import NDArray

from toolpaths.base.errors import InputError

Floats = NDArray[np.float64]
T = TypeVar("T")


def finite(name: str, value: float | Fraction) -> float:
    """A real number that is neither NaN nor infinite; text and truth values are not numbers."""
    if isinstance(value, bool) or not isinstance(value, Real):
        raise InputError(f"{name}={value!r} is not a number.")
    try:
        real = float(value)
    except OverflowError:
        raise InputError(f"{name} is not a finite number: it has too many digits.") from None
    if not isfinite(real):
        raise InputError(f"{name}={value!r} is not a finite number.")
    return real


def positive(name: str, value: float) -> float:
    """A finite number above zero."""
    if finite(name, value) <= 0:
        raise InputError(f"{name}={value!r} must be greater than 0.")
    return float(value)


def not_negative(name: str, value: float) -> float:
    """A finite number, zero or above."""
    if finite(name, value) < 0:
        raise InputError(f"{name}={value!r} must not be negative.")
    return float(value)


def between(name: str, value: float, low: float, high: float) -> float:
    """A finite number within [low, high]."""
    if not low <= finite(name, value) <= high:
        raise InputError(f"{name}={value!r} must lie between {low:g} and {high:g}.")
    return float(value)


def whole(name: str, value: int, low: int) -> int:
    """A whole number, `low` or above."""
    if isinstance(value, bool) or not isinstance(value, (int, np.integer)) or value < low:
        raise InputError(f"{name}={value!r} must be a whole number, {low} or more.")
    return int(value)


def instance(name: str, value: object, kind: type) -> None:
    """Raises InputError for a value of another kind."""
    if not isinstance(value, kind):
        raise InputError(f"{name}={value!r} must be a {kind.__name__}.")


def values(name: str, given: object, kind: type[T]) -> tuple[T, ...]:
    """Several values of one kind, as a tuple."""
    if not isinstance(given, (tuple, list)) or not all(isinstance(value, kind) for value in given):
        raise InputError(f"{name} must be a tuple of {kind.__name__}(...).")
    return tuple(given)


def numbers(name: str, given: Any, words: str) -> tuple[float, ...]:
    """Finite numbers, as many as there are words such as "x y z", as a tuple of floats."""
    each = words.split()
    if not isinstance(given, (tuple, list, np.ndarray)) or len(given) != len(each):
        raise InputError(f"{name}={given!r} must be ({', '.join(each)}).")
    return tuple(finite(f"{name} {word}", value) for word, value in zip(each, given, strict=True))


def one_of(name: str, value: str, choices: Collection[str]) -> str:
    """One of the listed words."""
    if not isinstance(value, str) or value not in choices:
        words = ", ".join(repr(choice) for choice in choices)
        raise InputError(f"{name}={value!r} is not one of {words}.")
    return value


def label(name: str, text: str) -> str:
    """Text that may stand in a comment of a program: printable ASCII, no parentheses."""
    if not isinstance(text, str) or not text.strip():
        raise InputError(f"{name}={text!r} must be a text that is not empty.")
    bad = [c for c in text if c in "()" or not " " <= c <= "~"]
    if bad:
        raise InputError(
            f"{name}={text!r} contains {bad[0]!r}; a comment in a program takes plain ASCII "
            "letters, digits and signs, without parentheses."
        )
    if len(text) > 200:
        raise InputError(f"{name} is {len(text)} characters long; 200 is the most that fits a line.")
    return text


def point(name: str, value: Any) -> tuple[float, float]:
    """Two finite numbers."""
    (pair,) = points(name, [value])
    return float(pair[0]), float(pair[1])


def points(name: str, values: Iterable[Any], least: int = 1) -> Floats:
    """A fresh (n, 2) float64 array of finite coordinates, n >= least."""
    try:
        rows = list(values)
        # Text and truth values are refused, though numpy would make numbers of them.
        if any(not isinstance(c, Real) or isinstance(c, bool) for row in rows for c in row):
            raise TypeError
        array = np.array(rows, dtype=np.float64)
    except (TypeError, ValueError, OverflowError):
        raise InputError(f"{name} must be points (x, y) in mm.") from None
    if array.size == 0:
        array = array.reshape(0, 2)
    if array.ndim != 2 or array.shape[1] != 2:
        raise InputError(f"{name} must be points (x, y) in mm, not an array of shape {array.shape}.")
    if len(array) < least:
        raise InputError(f"{name} needs at least {least} points, not {len(array)}.")
    wrong = np.flatnonzero(~np.isfinite(array).all(axis=1))
    if wrong.size:
        raise InputError(f"{name}[{wrong[0]}]={tuple(array[wrong[0]].tolist())} is not finite.")
    return array


def places_in(name: str, values: Any) -> tuple[tuple[float, float], ...]:
    """Points (x, y), one or more, as a value that compares and pickles: a tuple of pairs of floats."""
    return tuple((float(x), float(y)) for x, y in points(name, values))
