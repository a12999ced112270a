"""The doors for single arguments, one for each kind: each returns the value it accepts or raises InputError.

A door is a function of a name and a value; what else it needs is fixed with functools.partial. `let_in` takes the
fields of a value through their doors.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Collection, Iterable, Mapping
from collections.abc import Set as AbstractSet
from itertools import islice
from math import isfinite
from numbers import Real
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

import numpy as np
from numpy.typing import NDArray

from toolpaths.base.errors import InputError, ToolpathsError

if TYPE_CHECKING:
    from fractions import Fraction

Floats = NDArray[np.float64]
T = TypeVar("T")
Door = Callable[[str, Any], Any]

# mm; twice the largest board. What is said of a part beyond that is a slip of units, and takes all memory.
FARTHEST = 10_000.0
# mm: finer no program is written, and coarser a hole is no longer round to the judge, who lets a wall be off by 0.03:
# chords of circles lie off them by an eighth of it.
FINEST, COARSEST = 1e-6, 0.2
# Characters of a value in a message.
_SHOWN = 60
# Bytes in the name of a file or a folder, on the file systems in use.
_LONGEST_NAME = 255
# More of anything in one argument is a slip of a loop.
_MOST = 1_000_000


def shown(value: object) -> str:
    """A value as messages name it: in part of a line, whatever it is."""
    try:
        text = " ".join(repr(value).split())
    except Exception:  # a thing that cannot be shown must not hide what is wrong with it
        text = f"<{type(value).__name__}>"
    return text if len(text) <= _SHOWN else f"{text[: _SHOWN // 2]} ... {text[5 - _SHOWN // 2 :]}"


def let_in(value: object, who: str = "", /, **doors: Door) -> None:
    """Take fields of a frozen dataclass through their doors, for its __post_init__.

    who : what stands before the name of a field in messages
    """
    for name, door in doors.items():
        object.__setattr__(value, name, door(who + name, getattr(value, name)))


def optional(name: str, value: Any, door: Door) -> Any:
    """What a door lets in, or None."""
    return None if value is None else door(name, value)


def finite(name: str, value: float | Fraction) -> float:
    """A real number that is neither NaN nor infinite; text and truth values are not numbers."""
    if isinstance(value, bool) or not isinstance(value, Real):
        raise InputError(f"{name}={shown(value)} is not a number.")
    try:
        real = float(value)
    except OverflowError:
        raise InputError(f"{name} is not a finite number: it has too many digits.") from None
    if not isfinite(real):
        raise InputError(f"{name}={shown(value)} is not a finite number.")
    return real + 0.0  # -0.0 is 0.0


def positive(name: str, value: float) -> float:
    """A finite number above zero."""
    number = finite(name, value)
    if number <= 0:
        raise InputError(f"{name}={shown(value)} must be greater than 0.")
    return number


def not_negative(name: str, value: float) -> float:
    """A finite number, zero or above."""
    number = finite(name, value)
    if number < 0:
        raise InputError(f"{name}={shown(value)} must not be negative.")
    return number


def between(name: str, value: float, low: float, high: float) -> float:
    """A finite number within [low, high]."""
    number = finite(name, value)
    if not low <= number <= high:
        raise InputError(f"{name}={shown(value)} must lie between {low:g} and {high:g}.")
    return number


def length(name: str, value: float) -> float:
    """mm, above zero, and no more than any board has."""
    return _near(name, positive(name, value))


def distance(name: str, value: float) -> float:
    """mm, zero or above, and no more than any board has."""
    return _near(name, not_negative(name, value))


def coordinate(name: str, value: float) -> float:
    """mm, to either side, and no more than any board has."""
    return _near(name, finite(name, value))


def _near(name: str, number: float) -> float:
    if abs(number) > FARTHEST:
        raise InputError(f"{name}={number:g} is beyond every board, {FARTHEST:g} at most; is it in mm?")
    return number


def tolerance(name: str, value: float) -> float:
    """mm by which a path may lie off its shape."""
    if not FINEST <= positive(name, value) <= COARSEST:
        raise InputError(f"{name}={shown(value)} must lie between {FINEST:g} and {COARSEST:g} mm; 0.01 is usual.")
    return float(value)


def whole(name: str, value: int, low: int, high: int = _MOST) -> int:
    """A whole number, `low` or above."""
    if isinstance(value, bool) or not isinstance(value, (int, np.integer)) or not low <= value <= high:
        most = "" if isinstance(value, int) and value < low else f" and {high} at most"
        raise InputError(f"{name}={shown(value)} must be a whole number, {low} or more{most}.")
    return int(value)


def flag(name: str, value: bool) -> bool:
    """True or False."""
    if not isinstance(value, (bool, np.bool_)):
        raise InputError(f"{name}={shown(value)} must be True or False.")
    return bool(value)


def instance(name: str, value: Any, kind: type[T]) -> T:
    """A value of one kind."""
    if not isinstance(value, kind):
        raise InputError(f"{name}={shown(value)} must be a {kind.__name__}.")
    return value


def sequence(name: str, given: Any, of: str) -> list[Any]:
    """What a list, a tuple, an array or anything else that has an order holds, once.

    of : what it is to be, in words
    """
    if isinstance(given, (str, bytes, Mapping, AbstractSet)) or not isinstance(given, Iterable):
        raise InputError(f"{name} must be {of}, not {shown(given)}.")
    try:
        found = list(islice(given, _MOST + 1))
    except ToolpathsError:
        raise
    except Exception as error:  # whatever the code of others does where it is asked what it holds
        raise InputError(f"{name} must be {of}, and {shown(given)} cannot be listed.") from error
    if len(found) > _MOST:
        raise InputError(f"{name} must be {of}, {_MOST} at most.")
    return found


def values(name: str, given: Any, kind: type[T]) -> tuple[T, ...]:
    """Several values of one kind, as a tuple."""
    found = sequence(name, given, f"a tuple of {kind.__name__}(...)")
    wrong = [each for each in found if not isinstance(each, kind)]
    if wrong:
        raise InputError(f"{name} must be a tuple of {kind.__name__}(...), and holds {shown(wrong[0])}.")
    return tuple(found)


def numbers(name: str, given: Any, words: str) -> tuple[float, ...]:
    """Finite numbers, as many as there are words such as "x y z", as a tuple of floats."""
    each = words.split()
    found = sequence(name, given, f"({', '.join(each)})")
    if len(found) != len(each):
        raise InputError(f"{name}={shown(given)} must be ({', '.join(each)}).")
    return tuple(finite(f"{name} {word}", value) for word, value in zip(each, found, strict=True))


def one_of(name: str, value: str, choices: Collection[str]) -> str:
    """One of the listed words."""
    if not isinstance(value, str) or value not in choices:
        words = ", ".join(repr(choice) for choice in choices)
        raise InputError(f"{name}={shown(value)} is not one of {words}.")
    return str(value)


def text(name: str, value: str) -> str:
    """Any text."""
    if not isinstance(value, str):
        raise InputError(f"{name}={shown(value)} must be text (str).")
    return str(value)


def label(name: str, value: str) -> str:
    """Text that may stand in a comment of a program: printable ASCII, no parentheses."""
    if not isinstance(value, str) or not value.strip():
        raise InputError(f"{name}={shown(value)} must be a text that is not empty.")
    bad = [c for c in value if c in "()" or not " " <= c <= "~"]
    if bad:
        raise InputError(
            f"{name}={shown(value)} contains {bad[0]!r}; a comment in a program takes plain ASCII "
            "letters, digits and signs, without parentheses."
        )
    if len(value) > 200:
        raise InputError(f"{name} is {len(value)} characters long; 200 is the most that fits a line.")
    return str(value)


def texts(name: str, given: Any) -> tuple[str, ...]:
    """Several texts, none of them empty."""
    if isinstance(given, str):
        raise InputError(f"{name}={shown(given)} must be a list of texts, even of one.")
    found = sequence(name, given, "a list of texts")
    for each in found:
        if not isinstance(each, str) or not each.strip():
            raise InputError(f"{name} holds {shown(each)}; list texts that are not empty.")
    return tuple(map(str, found))


def label_or_empty(name: str, value: str) -> str:
    """A label, or "" where there is none."""
    return "" if isinstance(value, str) and value == "" else label(name, value)


def file_path(name: str, value: str | os.PathLike[str]) -> Path:
    """The path of a file or a folder."""
    try:
        given = os.fspath(value)
        longest = max(map(len, os.fsencode(given).split(os.fsencode(os.sep))))
    except Exception as error:  # a path of another library is asked for its text
        raise InputError(f"{name}={shown(value)} must be a path: text or a Path.") from error
    if longest > _LONGEST_NAME:
        raise InputError(f"{name}={shown(value)} holds a name of more than {_LONGEST_NAME} characters.")
    if not isinstance(given, str) or "\0" in given:
        raise InputError(f"{name}={shown(value)} must be the path of a file or a folder, as text.")
    return Path(given)


def point(name: str, value: Any) -> tuple[float, float]:
    """Two finite numbers."""
    (pair,) = points(name, [value])
    return float(pair[0]), float(pair[1])


def points(name: str, values: Iterable[Any], least: int = 1) -> Floats:
    """A fresh (n, 2) float64 array of finite coordinates, n >= least, none of them farther off than any board is."""
    rows = sequence(name, values, "points (x, y) in mm")
    try:
        # Text and truth values are refused, though numpy would make numbers of them.
        if any(not isinstance(row, (tuple, list, np.ndarray)) or not all(map(_is_real, row)) for row in rows):
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
    for sound, wrong in ((np.isfinite(array), "is not finite"), (np.abs(array) <= FARTHEST, "is beyond every board")):
        if not sound.all():
            number = int(np.flatnonzero(~sound.all(axis=1))[0])
            raise InputError(f"{name}[{number}]={tuple(array[number].tolist())} {wrong}.")
    return np.asarray(array + 0.0)


def _is_real(value: object) -> bool:
    return isinstance(value, Real) and not isinstance(value, bool)


def places_in(name: str, values: Any) -> tuple[tuple[float, float], ...]:
    """Points (x, y), one or more, as a value that compares and pickles: a tuple of pairs of floats."""
    return _pairs(points(name, values))


def places_or_none(name: str, values: Any) -> tuple[tuple[float, float], ...]:
    """Points (x, y), or none at all, likewise."""
    return _pairs(points(name, values, least=0))


def _pairs(array: Floats) -> tuple[tuple[float, float], ...]:
    return tuple((float(x), float(y)) for x, y in array)
