"""How far the cutter goes while it cuts."""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple

from toolpaths.making.motion.toolpath import RAPID
from toolpaths.making.plan.steps import Step
from toolpaths.making.plan.work import Stop
from toolpaths.shapes.track import Segment


class Extent(NamedTuple):
    """Least and greatest X, least and greatest Y of the cutter's axis at feed, and the lowest Z of its point, mm."""

    left: float
    right: float
    low: float
    high: float
    lowest: float


def extent(steps: Iterable[Step | Stop], zero: tuple[float, float, float]) -> Extent:
    """Of these steps, one of which cuts, counted from `zero`, mm of the board as it lies."""
    boxes, lowest = [], 0.0
    for step in steps:
        if isinstance(step, Step):
            lowest = min(lowest, step.path.lowest)
            x, y = step.path.moves[0].x, step.path.moves[0].y
            for move in step.path.moves:
                if move.kind != RAPID:
                    boxes.append(Segment((x, y), (move.x, move.y), move.centre, move.sweep).bounds)
                x, y = move.x, move.y
    left, low, right, high = zip(*boxes)
    return Extent(min(left) - zero[0], max(right) - zero[0], min(low) - zero[1], max(high) - zero[1], lowest - zero[2])
