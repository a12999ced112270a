"""Which feature of the part lies at a place, by its name."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray

from toolpaths.base.checks import Floats
from toolpaths.facts.fixture import Fixture
from toolpaths.facts.part import Part
from toolpaths.judging.trial.case import Trial


class Names(NamedTuple):
    """The features of one side that take wood off the face, with their shapes as drawn and mm of reach around each."""

    part: Part
    fixture: Fixture
    names: list[str]
    shapes: NDArray[np.object_]
    reach: Floats
    bounds: Floats

    def at(self, x: float, y: float) -> str:
        """ " at the display recess", where a place lies in or at a feature."""
        name = self.name_at(x, y)
        return f" at the {name}" if name else ""

    def name_at(self, x: float, y: float) -> str:
        """The name of the feature in or at which a place lies; "" where there is none."""
        # Turning over twice is not turning over: the place is seen from the front as the features are.
        at = self.fixture.place(shapely.Point(x, y))
        left, low, right, high = self.bounds.T
        near = (at.x > left) & (at.x < right) & (at.y > low) & (at.y < high)
        for i in np.flatnonzero(near).tolist():
            if shapely.distance(self.shapes[i], at) < self.reach[i]:
                return self.names[i]
        return ""


def names_of(trial: Trial, part: Part) -> Names:
    """The names of the features on the side that a program cuts."""
    fixture = trial.case.fixture
    features = [f for f in part.cut_from(fixture.side) if not f.waste_side]
    shapes = np.array([f.shape for f in features], object)
    # A cell may lie in a feature with its centre just beside it.
    reach = np.array([max(f.reach, trial.after.cell) for f in features])
    bounds = shapely.bounds(shapes).reshape(-1, 4) + reach[:, None] * [-1, -1, 1, 1]
    return Names(part, fixture, [feature.name for feature in features], shapes, reach, bounds)
