"""Planted faults: each a sound program changed by one small edit of its text, and what must be found.

The faults stand in `planted_<topic>.py`, a list FAULTS each; `all_faults` gathers them.
"""

from __future__ import annotations

import importlib
from collections.abc import Callable
from pathlib import Path
from typing import NamedTuple


class Fault(NamedTuple):
    """code : of the finding; line : on which it must be found, 0 for any; judge : text to report."""

    code: str
    what: str
    text: str
    line: int
    judge: Callable[[str], object]


def line_of(text: str, wanted: str) -> int:
    """Line number, from 1, of the only or first line that reads so."""
    return text.splitlines().index(wanted) + 1


def edited(text: str, old: str, new: str) -> tuple[str, int]:
    """The text with the first such line replaced, and the number of that line."""
    lines = text.splitlines()
    at = lines.index(old)
    return "\n".join([*lines[:at], *new.splitlines(), *lines[at + 1 :]]) + "\n", at + 1


def all_faults() -> list[Fault]:
    """Every fault of every topic."""
    names = sorted(path.stem for path in Path(__file__).parent.glob("planted_*.py"))
    return [fault for name in names for fault in importlib.import_module(name).FAULTS]
