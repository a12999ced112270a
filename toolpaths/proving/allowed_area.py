"""Over which area wood may go at a height, by the part meant: areas and heights, no cells.

At a height z it is all in which some feature, the waste or no board at all lets the wood end at z or below: it only
gets wider upwards, in steps at floors. Slopes, tips and undercuts are held against the cutter that makes them.
"""

from __future__ import annotations

from math import inf

import numpy as np
import shapely
from shapely import get_num_coordinates
from shapely.geometry.base import BaseGeometry

from toolpaths.facts.features.slack import Slack
from toolpaths.facts.features.surfaces import with_walls
from toolpaths.facts.fixture import Fixture
from toolpaths.facts.part import Part
from toolpaths.facts.waste import waste_of
from toolpaths.proving.motion import Flags, Lines, Motion

# mm of everything around the board; and by which neighbours are made to join.
_AROUND, _JOIN = 1000.0, 1e-6
# mm: a cut along a line is no deeper than meant if by less than this; more than heights that are looked at lie apart.
_NO_DEEPER, _FINER = 0.001, 0.002
# Shares of what may be cut by which walls may be off, and floors: both at once are less than all of it.
_SIDEWAYS, _DEEPER = 0.79, 0.59
# Chords in a quarter of a circle: discs lie within their circles, which is the safe side, by a 5,000th of the radius.
CHORDS = 40
# Lines of more points are allowed nothing: what lies about them takes too long to make.
_MOST_POINTS = 5000
# Rings in which a cutter is held against a sloping surface; shares of a height or a width that are looked at.
_RINGS, _SHARES = 2000, np.linspace(0.0, 1.0, 20_001)


class AllowedArea:
    """What the part allows to go from one side, as the board lies.

    within : mm from the surface of the part as it is drawn, in which all that is cut of it lies
    steps : heights from which on it is wider, the lowest first
    """

    def __init__(self, part: Part, fixture: Fixture, within: float) -> None:
        self._sideways, self._deeper, place = _SIDEWAYS * within, _DEEPER * within, fixture.place
        slack = Slack(part.board, fixture.underside_z, self._sideways, np.zeros((0, 6)), forgiven=0.0)
        features = part.cut_from(fixture.side)
        waste = waste_of(part.partings(), slack)
        surfaces = with_walls([feature.lowest(slack) for feature in features], waste)
        self._floors = [(place(floor.area), floor.z - self._deeper) for each in surfaces for floor in each.floors]
        self._sloped = [(place(one.area), place(one.edge), one) for each in surfaces for one in each.sloped]
        self._under = [one._replace(area=place(one.area)) for feature in features for one in feature.undercuts()]
        around = part.board.outline.buffer(_AROUND).difference(part.board.outline).buffer(_JOIN)
        self._floors += [(around, -inf), (place(waste), -inf)]
        self._swept = []
        for one in [one for each in surfaces for one in each.swept if get_num_coordinates(one.line) <= _MOST_POINTS]:
            # What goes along a line is as wide as its cutter above the tip; beyond an edge that has to be open. A line
            # in chords stands for a curve beside it, as the border of an area does.
            wide = shapely.buffer(one.line, one.profile.opens_sideways.radius, quad_segs=CHORDS)
            beyond = place(shapely.difference(wide, one.only or wide))
            self._swept.append((place(one.line), one.profile, one.tip, beyond))
            self._floors += [] if one.only else [(place(wide), one.tip + one.profile.tip_height - self._deeper)]
        self._known: dict[float, BaseGeometry] = {}
        self.steps = sorted({z for _, z in self._floors if z > -inf})

    def at(self, z: float) -> BaseGeometry:
        """The area from a height up to the next step; -inf for below all."""
        if z not in self._known:
            self._known[z] = shapely.union_all([area for area, floor in self._floors if floor <= z])
            shapely.prepare(self._known[z])
        return self._known[z]

    def slopes_under(self, lines: Lines) -> Flags:
        """Whether each line lies over a surface whose height follows from the distance to an edge."""
        return _covered(shapely.union_all([area for area, _, _ in self._sloped]), lines)

    def made(self, motion: Motion) -> Flags:
        """Whether what each motion takes is within what one feature takes that is made just so: by this profile along
        these lines, under shoulders as wide as its head, or on a surface that lies nowhere above it."""
        found, most_off = np.zeros(len(motion.number), bool), motion.off.max(initial=0.0)
        for number, cutter in motion.cutters.items():
            mine = motion.tools == number
            lines, low, high = motion.lines[mine], motion.low[mine], motion.high[mine]
            for line, profile, tip, beyond in self._swept:
                # Between two of these heights the one may be as narrow as below, the other as wide as above.
                heights = (_NO_DEEPER - tip) * _SHARES**2
                room = (profile.radii(heights[:-1] + _FINER) - cutter.body_radii(heights[1:])).min() - most_off
                if room > 0 and (beyond.is_empty or self.at(tip).covers(beyond)):
                    along = _covered(shapely.buffer(line, room, quad_segs=CHORDS), lines)
                    found[mine] |= (low >= tip - _NO_DEEPER) & along
            for area, bottom, top in self._under if cutter.profile.kind == "undercut" else ():
                lowest, head_height = (
                    max(bottom - self._deeper, -cutter.body.cutting_length),
                    cutter.profile.head_height,
                )
                level = (low >= lowest) & (high + head_height <= top + self._deeper)
                neck = shapely.buffer(self.at(bottom), -cutter.profile.neck_diameter / 2 - most_off, quad_segs=CHORDS)
                head = shapely.buffer(area, self._sideways - most_off - cutter.radius, quad_segs=CHORDS)
                found[mine] |= level & _covered(neck, lines) & _covered(head, lines)
            for area, edge, sloped in self._sloped:
                over = np.flatnonzero(_covered(area, lines) & (low >= -cutter.body.cutting_length))
                away, border = shapely.distance(edge, lines[over]), shapely.distance(area.boundary, lines[over])
                wide, rings = sloped.section.width, np.linspace(0.0, cutter.radius, _RINGS)
                # The highest that it lies anywhere so far from the edge or farther.
                highest = np.maximum.accumulate(sloped.heights(_SHARES * wide)[::-1])[::-1]
                for ring, rise in zip(rings[1:] + most_off, cutter.profile.height(rings[:-1])):
                    # Rounded to the higher; and beyond the area the face.
                    nth = np.floor(np.clip((away - ring) / wide, 0.0, 1.0) * (len(_SHARES) - 1)).astype(int)
                    stays = low[over] + rise >= np.where(ring < border, highest[nth], 0.0) - self._deeper
                    over, away, border = over[stays], away[stays], border[stays]
                found[np.flatnonzero(mine)[over]] = True
        return found


def _covered(area: BaseGeometry, lines: Lines) -> Flags:
    shapely.prepare(area)
    return np.asarray(shapely.covers(area, lines))
