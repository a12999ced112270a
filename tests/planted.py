"""Planted faults: each a sound program changed by one small edit of its text, and what must be found.

The faults stand in `planted_<topic>.py`, a list FAULTS each; `all_faults` gathers them.
"""

from __future__ import annotations

import importlib
from collections.abc import Callable
from pathlib import Path
from typing import NamedTuple


class Fault(NamedTuple):
    """code : of the finding; line : on which it must be found, 0 for any; judge : text to report.

    sound : the text before the edit, of which `judge` must find nothing to say
    """

    code: str
    what: str
    text: str
    line: int
    judge: Callable[[str], object]
    sound: str = ""


def line_of(text: str, wanted: str) -> int:
    """Line number, from 1, of the only or first line that reads so."""
    return text.splitlines().index(wanted) + 1


def edited(text: str, old: str, new: str) -> tuple[str, int]:
    """The text with the first such line replaced, and the number of that line."""
    lines = text.splitlines()
    at = lines.index(old)
    return "\n".join([*lines[:at], *new.splitlines(), *lines[at + 1 :]]) + "\n", at + 1


def planted(code: str, what: str, sound: str, old: str, new: str, judge: Callable[[str], object], found_on: str = ""):
    """A Fault by one edited line, found there, or on the first line after the edit that reads `found_on`."""
    text, line = edited(sound, old, new)
    return Fault(code, what, text, line_of(text, found_on) if found_on else line, judge, sound)


def all_faults() -> list[Fault]:
    """Every fault of every topic."""
    names = sorted(path.stem for path in Path(__file__).parent.glob("planted_*.py"))
    return [fault for name in names for fault in importlib.import_module(name).FAULTS]
