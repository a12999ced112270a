"""Values that hold arrays or places not known: equal when made alike, and still so when they come from another process.

What dataclasses make by themselves would not do. An array does not say whether it equals another, NaN equals
nothing, an error only itself, and an array that was not to be written to can be once it was pickled.
"""

from __future__ import annotations

from dataclasses import MISSING, Field, fields
from functools import partial
from importlib import import_module
from typing import Any, ClassVar

import numpy as np

# Characters.
_LINE = 120


class Value:
    """Base of dataclasses made with frozen=True, slots=True and eq=False.

    Fields with compare=False do not count.
    """

    __slots__ = ()

    def __eq__(self, other: object) -> bool:
        if type(other) is not type(self):
            return NotImplemented
        names = [field.name for field in _fields_of(self) if field.compare]
        return all(alike(getattr(self, name), getattr(other, name)) for name in names)

    def __hash__(self) -> int:
        held = [getattr(self, field.name) for field in _fields_of(self) if field.compare]
        return hash((type(self).__name__, *(each for each in held if isinstance(each, (str, int)))))

    def __reduce__(self) -> tuple[Any, ...]:
        return partial(type(self), **_by_name(self)), ()


class ShownInNotebooks:
    """Base of what a notebook draws: it asks for HTML, which the room `show` makes when it is asked, and not before.

    The one place where a room is found by its name and not imported: what is drawn does not know how.
    """

    __slots__ = ()

    def _repr_html_(self) -> str:
        return str(import_module("toolpaths.show.notebook").html_of(self))


class PickledByFields:
    """Base of frozen dataclasses with cached properties: what goes to another process is what the user said, the
    fields, and the rest follows from them there; but for what takes longer to work out again than to send."""

    __slots__ = ()

    # Names of cached properties that are sent where they are known.
    _sent: ClassVar[tuple[str, ...]] = ()

    def __getstate__(self) -> dict[str, object]:
        known = self.__dict__
        return _by_name(self) | {name: known[name] for name in self._sent if name in known}


def _fields_of(value: object) -> tuple[Field[Any], ...]:
    """The fields of a dataclass; the bases here are none themselves, so that a type checker cannot know it is one."""
    return fields(value)  # type: ignore[arg-type]


def _by_name(value: object) -> dict[str, Any]:
    """What the fields of a dataclass hold."""
    return {field.name: getattr(value, field.name) for field in _fields_of(value)}


def in_a_line(shown: str) -> str:
    """A repr no longer than a line: of a longer one the middle is left out."""
    return shown if len(shown) <= _LINE else f"{shown[: _LINE // 2 - 2]} ... {shown[3 - _LINE // 2 :]}"


def fields_in_a_line(value: object) -> str:
    """The repr of a dataclass: its fields as they are written, but for those left at what they are unless given."""
    said = [
        f"{field.name}={_as_written(getattr(value, field.name))}"
        for field in _fields_of(value)
        if field.default is MISSING or getattr(value, field.name) != field.default
    ]
    return in_a_line(f"{type(value).__name__}({', '.join(said)})")


def _as_written(value: object) -> str:
    """A whole number without the zero that it has as a float."""
    return repr(value).removesuffix(".0") if isinstance(value, float) else repr(value)


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
