"""Errors: one root, the matching builtin, and unchanged after pickling and copying."""

from __future__ import annotations

import copy
import inspect
import pickle

import pytest

from toolpaths.base import errors
from toolpaths.base.errors import (
    DoesNotFitError,
    InputError,
    NotSafeError,
    PlacedError,
    ProgramError,
    ShapeError,
    ToolpathsError,
    UnitsError,
)

SAMPLES = [
    ToolpathsError("what"),
    InputError("feed=0 must be greater than 0."),
    UnitsError("Is the board really 16 x 12 mm?"),
    ShapeError("gap", (1.5, -2.0)),
    ShapeError("empty"),
    PlacedError("somewhere", (0.0, 1.0)),
    DoesNotFitError("no room", (3.0, 4.0)),
    NotSafeError("1 finding: nothing is written."),
    ProgramError("no feed", line=7, column=3, code="zero-feed"),
    ProgramError("odd", line=1),
]


def test_every_error_class_is_sampled_and_has_the_one_root():
    classes = {c for _, c in inspect.getmembers(errors, inspect.isclass) if issubclass(c, Exception)}

    assert classes == {type(error) for error in SAMPLES}
    assert all(issubclass(c, ToolpathsError) for c in classes)
    assert all(issubclass(c, ValueError) for c in classes - {ToolpathsError, NotSafeError})
    assert issubclass(UnitsError, InputError)


@pytest.mark.parametrize("error", SAMPLES, ids=repr)
@pytest.mark.parametrize("through", [lambda e: pickle.loads(pickle.dumps(e)), copy.copy, copy.deepcopy])
def test_errors_survive_pickling_and_copying(error, through):
    again = through(error)

    assert type(again) is type(error)
    assert str(again) == str(error)
    assert vars(again) == vars(error)


def test_errors_show_the_message_alone_and_keep_the_place():
    shape, program = ShapeError("a gap", (1.0, 2.0)), ProgramError("no feed", line=7, column=3, code="zero-feed")

    assert str(shape) == "a gap"
    assert shape.point == (1.0, 2.0)
    assert str(program) == "line 7, column 3: no feed"
    assert (program.line, program.column, program.code) == (7, 3, "zero-feed")
