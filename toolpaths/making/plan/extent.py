"""How far the cutter goes while it cuts."""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple

from toolpaths.making.motion.toolpath import RAPID
from toolpaths.making.plan.steps import Step
from toolpaths.making.plan.work import Stop
from toolpaths.shapes.segment_bounds import segment_bounds
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
    cuts, lowest = list[Segment](), 0.0
    for step in steps:
        if isinstance(step, Step):
            lowest = min(lowest, step.path.lowest)
            x, y = step.path.moves[0].x, step.path.moves[0].y
            for move in step.path.moves:
                if move.kind != RAPID:
                    cuts.append(Segment((x, y), (move.x, move.y), move.centre, move.sweep))
                x, y = move.x, move.y
    boxes = segment_bounds(cuts)
    (left, low), (right, high) = boxes[:, :2].min(axis=0).tolist(), boxes[:, 2:].max(axis=0).tolist()
    return Extent(left - zero[0], right - zero[0], low - zero[1], high - zero[1], lowest - zero[2])
