"""How far the cutter goes while it cuts."""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple

from toolpaths.making.plan.setup import Setup
from toolpaths.making.plan.steps import Step
from toolpaths.making.plan.work import Stop


class Extent(NamedTuple):
    """Least and greatest X, least and greatest Y of the cutter's axis at feed, and the lowest Z of its point, mm."""

    left: float
    right: float
    low: float
    high: float
    lowest: float


def extent(steps: Iterable[Step | Stop], zero: tuple[float, float, float]) -> Extent:
    """Of these steps, one of which cuts, counted from `zero`, mm of the board as it lies."""
    paths = [step.path for step in steps if isinstance(step, Step)]
    lefts, lows, rights, highs = zip(*(path.bounds for path in paths))
    lowest = min(0.0, *(path.lowest for path in paths))
    return Extent(
        min(lefts) - zero[0], max(rights) - zero[0], min(lows) - zero[1], max(highs) - zero[1], lowest - zero[2]
    )


class Swept(NamedTuple):
    """A box about all that cutters sweep below a height, shank and collet nut where these come so low, mm."""

    left: float
    right: float
    low: float
    high: float


def swept(steps: Iterable[Step | Stop], below: float, zero: tuple[float, float, float]) -> Swept | None:
    """Of these steps, cuts and the crossings between them, counted from `zero`; None where none of them comes down.

    below : z from the board's top
    """
    boxes = []
    for step in steps:
        if not isinstance(step, Step) or step.path.lowest >= below:
            continue
        radius = step.path.cutter.body_radius(below - step.path.lowest)
        left, right, low, high, _ = extent([step], zero)
        boxes.append((left - radius, right + radius, low - radius, high + radius))
    if not boxes:
        return None
    lefts, rights, lows, highs = zip(*boxes)
    return Swept(min(lefts), max(rights), min(lows), max(highs))


def steps_before_held(setup: Setup) -> tuple[Step | Stop, ...]:
    """The steps that come before anything of what the fixture names holds the board; all, where nothing ever does."""
    holding = setup.fixture.holding
    if any(not thing.driven_at for thing in holding):
        return ()
    stops = {thing.driven_at for thing in holding}
    numbers = [number for number, step in enumerate(setup.steps) if isinstance(step, Stop) and step.message in stops]
    return setup.steps[: min(numbers, default=len(setup.steps))]
