"""Values that hold arrays or places not known: equal when made alike, and still so when they come from another process.

What dataclasses make by themselves would not do. An array does not say whether it equals another, NaN equals
nothing, an error only itself, and an array that was not to be written to can be once it was pickled.
"""

from __future__ import annotations

from dataclasses import fields
from functools import partial
from typing import Any

import numpy as np


class Value:
    """Base of dataclasses made with frozen=True, slots=True and eq=False.

    Fields with compare=False do not count.
    """

    __slots__ = ()

    def __eq__(self, other: object) -> bool:
        if type(other) is not type(self):
            return NotImplemented
        names = [field.name for field in fields(self) if field.compare]  # type: ignore[arg-type]
        return all(alike(getattr(self, name), getattr(other, name)) for name in names)

    def __hash__(self) -> int:
        held = [getattr(self, field.name) for field in fields(self) if field.compare]  # type: ignore[arg-type]
        return hash((type(self).__name__, *(each for each in held if isinstance(each, (str, int)))))

    def __reduce__(self) -> tuple[Any, ...]:
        state = {field.name: getattr(self, field.name) for field in fields(self)}  # type: ignore[arg-type]
        return partial(type(self), **state), ()


def alike(one: Any, other: Any) -> bool:
    """Whether two things that values hold say the same."""
    if one is other:
        return True
    if isinstance(one, np.ndarray) or isinstance(other, np.ndarray):
        return np.array_equal(one, other, equal_nan=np.issubdtype(np.asarray(one).dtype, np.inexact))
    if type(one) is not type(other):
        return bool(one == other)
    if isinstance(one, (tuple, list)):
        return len(one) == len(other) and all(alike(a, b) for a, b in zip(one, other, strict=True))
    if isinstance(one, BaseException):
        return alike(one.args, other.args)
    return bool(one == other or (one != one and other != other))


def read_only(array: np.ndarray[Any, Any]) -> Any:
    """The same array, not to be written to."""
    array = array.view()
    array.flags.writeable = False
    return array
