"""The walls of the part meant, as they lie, of the board and of all that is cut into it from this side."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from toolpaths.base.checks import Floats
from toolpaths.facts.features.feature import Feature, Walls
from toolpaths.facts.features.slack import Slack
from toolpaths.facts.part import Part
from toolpaths.judging.checks.part.wall_places import Wall, walls_of
from toolpaths.judging.checks.part.wood_at import slack_in
from toolpaths.judging.trial.case import Trial
from toolpaths.judging.wood.sweep import Flags, Ints


class PartWalls(NamedTuple):
    """The edge of the board, then the walls of each feature of this side.

    slack : how far all of it may be off
    features : in the order of the part
    keeps_inside : (1 + features,) whether the wood that stays lies inside the area
    wall : k places along all of them
    owner : (k,) whose wall each is: 0 the board's, 1 that of the first feature
    allowed : (k,) mm by which the wall may be off there
    """

    part: Part
    slack: Slack
    features: tuple[Feature, ...]
    keeps_inside: Flags
    wall: Wall
    owner: Ints
    allowed: Floats


def part_walls(trial: Trial, part: Part) -> PartWalls:
    """The walls of a part, as it lies in the fixture."""
    fixture, slack = trial.case.fixture, slack_in(trial, part)
    features = tuple(part.cut_from(fixture.side))
    walls = [Walls(part.board.outline, part.within, keeps_inside=True), *(each.walls(slack) for each in features)]
    wall, owner = walls_of([part.board.outline, *(fixture.place(each.area) for each in walls[1:])])
    return PartWalls(
        part, slack, features, np.array([each.keeps_inside for each in walls]), wall, owner,
        np.array([each.slack for each in walls])[owner],
    )  # fmt: skip
