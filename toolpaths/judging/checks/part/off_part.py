"""What a program takes of the part meant, and what it leaves on it: both are looked for beside the same walls."""

from __future__ import annotations

from collections.abc import Iterator

from toolpaths.judging.checks.part.gouge import gouges
from toolpaths.judging.checks.part.leftover import leftovers
from toolpaths.judging.checks.part.part_walls import part_walls
from toolpaths.judging.trial.case import Trial
from toolpaths.judging.trial.findings import Finding


def off_part(trial: Trial) -> Iterator[Finding]:
    """Wood of the part that this program takes away, and wood that stands where the part has none."""
    if trial.part is None:
        return
    walls = part_walls(trial, trial.part)
    yield from gouges(trial, walls)
    yield from leftovers(trial, walls)
