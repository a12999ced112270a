"""Over which area wood may go at a height, by the part meant: areas and heights, no cells.

At a height z it is all in which some feature, the waste or no board at all lets the wood end at z or below: it only gets
wider upwards, in steps at floors and along the slopes of tips. Surfaces whose height follows from the distance to an
edge are held against the cutter's own profile.
"""

from __future__ import annotations

from math import inf

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from toolpaths.base.checks import Floats
from toolpaths.facts.cutter import Cutter
from toolpaths.facts.features.slack import Slack
from toolpaths.facts.features.surfaces import grown
from toolpaths.facts.fixture import Fixture
from toolpaths.facts.part import Part
from toolpaths.facts.waste import waste_of

Flags = NDArray[np.bool_]
Lines = NDArray[np.object_]
# mm of everything around the board; and by which neighbours are made to join.
_AROUND, _JOIN = 1000.0, 1e-6
# Chords in a quarter of a circle: discs lie within their circles, which is the safe side, by a 20,000th of the radius.
CHORDS = 80
# Rings in which a cutter is held against a sloping surface, and places at which a section is.
_RINGS, _PLACES = 2000, 20_001


class AllowedArea:
    """What the part allows to go from one side, as the board lies.

    within : mm by which the walls and floors of the part may be off
    steps : heights from which on it is wider; slopes : (low, high) between which it gets wider all the way
    """

    def __init__(self, part: Part, fixture: Fixture, within: float) -> None:
        self._within, place = within, fixture.place
        slack = Slack(part.board, fixture.underside_z, within, np.zeros((0, 6)))
        features = part.cut_from(fixture.side)
        surfaces = [feature.lowest(slack) for feature in features]
        self._floors = [(place(floor.area), floor.z - within) for each in surfaces for floor in each.floors]
        self._swept = [(place(one.line), one.profile, one.tip - within) for each in surfaces for one in each.swept]
        self._sloped = [(place(one.area), place(one.edge), one) for each in surfaces for one in each.sloped]
        self._under = [one._replace(area=place(one.area)) for feature in features for one in feature.undercuts()]
        board = part.board.outline
        around = shapely.difference(shapely.buffer(board, _AROUND), board)
        self._anywhere = [shapely.buffer(around, _JOIN), place(waste_of(part.partings(), slack))]
        self._known: dict[float, BaseGeometry] = {}
        self.steps = sorted({z for _, z in self._floors if z > -inf} | {tip for _, _, tip in self._swept})
        self.slopes = [(tip, tip + profile.tip_height) for _, profile, tip in self._swept if profile.tip_height]

    def at(self, z: float) -> BaseGeometry:
        """The area at a height; -inf for below all floors."""
        if z not in self._known:
            floors = [area for area, floor in self._floors if floor <= z]
            along = [
                shapely.buffer(line, profile.radius_at(z - tip), quad_segs=CHORDS)
                for line, profile, tip in self._swept
                if tip <= z
            ]
            self._known[z] = shapely.union_all([*self._anywhere, *floors, *along])
            shapely.prepare(self._known[z])
        return self._known[z]

    def same_between(self, low: float, high: float) -> bool:
        """Whether it is one area from a height up to below another."""
        return not any(low < step < high for step in self.steps) and not any(
            max(low, first) < min(high, last) for first, last in self.slopes
        )

    def slopes_under(self, lines: Lines) -> Flags:
        """Whether each line lies over a surface whose height follows from the distance to an edge."""
        return np.any([np.zeros(len(lines), bool), *(_covered(area, lines) for area, _, _ in self._sloped)], axis=0)

    def made_by(self, cutter: Cutter, lines: Lines, low: Floats, off: Floats) -> Flags:
        """Whether what a cutter takes along each line is within what one feature takes that is made just so: by this
        profile along these lines, under shoulders as wide as its head, or on a surface that lies nowhere above it.

        low : z below which its tip does not come; off : mm by which it may lie beside its line
        """
        found = np.zeros(len(lines), bool)
        if (low < -cutter.body.cutting_length).any():
            return found
        near = self._within - off.max(initial=0.0)
        for line, profile, tip in self._swept:
            if profile == grown(cutter.profile, 2 * self._within):
                found |= (low >= tip) & _covered(shapely.buffer(line, near, quad_segs=CHORDS), lines)
        for area, bottom, top in self._under if cutter.profile.kind == "undercut" else ():
            level = (low >= bottom - self._within) & (low + cutter.profile.head_height <= top + self._within)
            neck = shapely.buffer(self.at(bottom), -cutter.profile.neck_diameter / 2 - off.max(initial=0.0))
            room = shapely.buffer(area, near - cutter.radius, quad_segs=CHORDS)
            found |= level & _covered(neck, lines) & _covered(room, lines)
        for area, edge, sloped in self._sloped:
            inside = _covered(area, lines)
            highest = np.maximum.accumulate(sloped.heights(_DISTANCES * sloped.section.width)[::-1])[::-1]
            away, border = shapely.distance(edge, lines[inside]), shapely.distance(area.boundary, lines[inside])
            over = np.full(len(away), True)
            rings = np.linspace(0.0, cutter.radius, _RINGS)
            rises = cutter.profile.height(rings)
            for ring, rise in zip(rings[1:] + off.max(initial=0.0), rises):
                # All of a surface that is so far from the edge or farther, rounded up; beyond the area the face.
                nth = np.clip((away - ring) / sloped.section.width, 0.0, 1.0) * (_PLACES - 1)
                need = np.where(ring < border, highest[np.floor(nth).astype(int)], 0.0)
                over &= low[inside] + rise >= need - self._within
            found[inside] |= over
        return found


_DISTANCES = np.linspace(0.0, 1.0, _PLACES)


def _covered(area: BaseGeometry, lines: Lines) -> Flags:
    shapely.prepare(area)
    return np.asarray(shapely.covers(area, lines))
