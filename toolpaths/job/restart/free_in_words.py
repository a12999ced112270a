"""What is said of the pieces that are cut free, in the head of a restart and beside it."""

from __future__ import annotations

from collections.abc import Sequence

from toolpaths.facts.grip import GRIP_NAMES
from toolpaths.job.restart.job_program import JobProgram
from toolpaths.judging.checks.holding.free_pieces import FreePiece

_DECIMALS = {"mm": 0, "inch": 1}


def free_in_words(free: Sequence[FreePiece], of: JobProgram) -> list[str]:
    """A sentence for those that are as large and held alike, the loose ones first; lengths as the program's."""
    numbers, (zero_x, zero_y, _) = of.style.numbers, of.setup.fixture.zero
    decimals = _DECIMALS[numbers.units]

    def rough(mm: float) -> str:
        return f"{round(mm * numbers.scale, decimals) + 0.0:.{decimals}f}"

    found: dict[tuple[str, str], list[str]] = {}
    for piece in sorted(free, key=lambda each: bool(each.held_by)):
        size = f"{rough(piece.width)} x {rough(piece.height)} {numbers.units}"
        place = f"X{rough(piece.x - zero_x)} Y{rough(piece.y - zero_y)}"
        found.setdefault((_held(piece), size), []).append(place)
    return [f"{held}: {size} about {', '.join(places)}" for (held, size), places in found.items()]


def _held(piece: FreePiece) -> str:
    if not piece.held_by:
        return "Lies loose, take it out"
    names = [GRIP_NAMES[thing.by] if thing.kind == "grip" else f"a {thing.kind}" for thing in piece.held_by]
    return f"Cut free, on {' and '.join(dict.fromkeys(names))} alone, try that it holds"
