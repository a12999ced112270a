"""Numbered parts in words: "plate 1 to 12, rail 13"."""

from __future__ import annotations

import re
from collections.abc import Iterable

_NUMBERED = re.compile(r"(.*) (\d+)")


def parts_in_words(names: Iterable[str]) -> str:
    """Names of parts, numbers that follow each other as one; those without a number as they are.

    >>> parts_in_words(["plate 2", "plate 1", "plate 3", "rail 7", "plate 5"])
    'plate 1 to 3, 5, rail 7'
    """
    numbers: dict[str, set[int]] = {}
    for name in names:
        found = _NUMBERED.fullmatch(name)
        stem, number = (found[1], {int(found[2])}) if found else (name, set())
        numbers.setdefault(stem, set()).update(number)
    return ", ".join(f"{stem} {_runs(sorted(some))}" if some else stem for stem, some in numbers.items())


def _runs(numbers: list[int]) -> str:
    runs = list[list[int]]()
    for number in numbers:
        if runs and number == runs[-1][-1] + 1:
            runs[-1].append(number)
        else:
            runs.append([number])
    return ", ".join(
        str(run[0]) if len(run) == 1 else f"{run[0]} {'and' if len(run) == 2 else 'to'} {run[-1]}" for run in runs
    )
