"""One thing's time over another's, in one run: rounds in turn, best and median, no collector."""

from __future__ import annotations

import gc
from collections.abc import Callable
from statistics import median
from time import perf_counter
from typing import NamedTuple

from toolpaths.shapes.drawn_area import known_track


class Ratio(NamedTuple):
    """Of seconds: the best of all rounds over the best, and the median over the median; and the thing's best."""

    best: float
    median: float
    seconds: float


def fresh() -> None:
    """Forget the fits of outlines that were planned before: a first plan knows of none."""
    known_track.cache_clear()


def ratio(thing: Callable[[], object], bare: Callable[[], object], rounds: int = 7) -> Ratio:
    """How many times as long a thing takes as what it cannot do without."""
    taken: tuple[list[float], list[float]] = ([], [])
    collecting = gc.isenabled()
    gc.disable()
    try:
        for _ in range(rounds):
            for call, seconds in zip((thing, bare), taken):
                fresh()
                begin = perf_counter()
                call()
                seconds.append(perf_counter() - begin)
    finally:
        if collecting:
            gc.enable()
    things, bares = taken
    return Ratio(min(things) / min(bares), median(things) / median(bares), min(things))
