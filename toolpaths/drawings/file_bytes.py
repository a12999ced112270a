"""What a reader of drawings is given: the path of a file, or what stands in one."""

from __future__ import annotations

import os
from typing import Any

from toolpaths.base.checks import file_path, finite, length, one_of, optional, positive, shown
from toolpaths.base.errors import InputError
from toolpaths.base.extras import extra_library
from toolpaths.base.units import MM_PER_INCH

# Bytes; 50,000 segments take a tenth of it.
LARGEST = 64_000_000
# mm in each unit that a user may name.
UNITS = {
    "mm": 1.0, "cm": 10.0, "m": 1000.0, "inch": MM_PER_INCH, "ft": 304.8, "pt": MM_PER_INCH / 72,
    "px": MM_PER_INCH / 96,
}  # fmt: skip


def file_bytes(source: str | os.PathLike[str] | bytes, begins: str) -> bytes:
    """The bytes of a file given by its path, or given themselves, as bytes or as a text that begins so.

    Raises InputError for what is no file, cannot be read or is too large.
    """
    if isinstance(source, str) and begins and source.lstrip("\ufeff \t\r\n").startswith(begins):
        try:
            data = source.encode()
        except UnicodeEncodeError:
            raise InputError("source holds letters that no file can hold.") from None
    elif isinstance(source, bytes):
        data = source
    else:
        path = file_path("source", source)
        try:
            if path.stat().st_size > LARGEST:
                raise InputError(f"{path.name} is larger than {LARGEST / 1e6:g} MB.")
            data = path.read_bytes()
        except (OSError, ValueError) as error:
            raise InputError(f"source={shown(str(path))} cannot be read: {error}.") from None
    if len(data) > LARGEST:
        raise InputError(f"source is larger than {LARGEST / 1e6:g} MB.")
    return data


def library(module: str) -> Any:
    """A module of the libraries that read and write drawings."""
    name = module.partition(".")[0]
    return extra_library(module, "drawings", f"{name} is not installed, with which such files are read and written")


def mm_in_unit(name: str, unit: str | float) -> float:
    """mm in a unit, given by its name or as mm themselves."""
    if isinstance(unit, str):
        return UNITS[one_of(name, unit, UNITS)]
    return positive(name, finite(name, unit))


def unit_or_width(unit: str | float | None, width: float | None) -> tuple[float | None, float | None]:
    """mm in a unit and mm of width as a user gives them; InputError where both are given."""
    unit_mm, wide = optional("unit", unit, mm_in_unit), optional("width", width, length)
    if unit_mm is not None and wide is not None:
        raise InputError("Give unit= or width=, not both.")
    return unit_mm, wide
