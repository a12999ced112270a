"""The passes of a contour round one ring: where the cutter goes down, pass after pass, a last round, over its tabs."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import dist

import shapely
from shapely.geometry.base import BaseGeometry

from toolpaths.base.errors import Point
from toolpaths.facts.cutter import Cutter
from toolpaths.making.motion.tab_ground import TabGround
from toolpaths.making.motion.tab_heights import TabHeights, tab_heights
from toolpaths.making.motion.tabs import Tabs, check_apart, moved_to_hold, places_on
from toolpaths.making.motion.toolpath import PathBuilder
from toolpaths.making.operations import entries, rings
from toolpaths.making.operations.entries import LineEntry
from toolpaths.making.operations.leads import Leads, Round, rising_off, straight, within
from toolpaths.making.operations.operation import CLEAR
from toolpaths.shapes.track import Segment, Track

# How far into ground where it may go down, mm: more than a ring of chords wavers.
_INTO = 0.02
# Places nearer than this, mm, are one.
_NOTHING = 1e-6


@dataclass(frozen=True, slots=True)
class Descent:
    """From `top` down through the levels of the passes, and how a cutter enters the wood."""

    cutter: Cutter
    top: float
    levels: tuple[float, ...]
    entry: LineEntry

    @property
    def floor(self) -> float:
        return self.levels[-1]

    def entry_on(self, ring: Track) -> str:
        return entries.ring_entry(self.cutter, ring, self.top, self.levels, self.entry)


@dataclass(frozen=True, slots=True)
class TabsWanted:
    """Tabs with z of their top, and the direction of the grain and the ground by which they find their places."""

    tabs: Tabs
    top: float
    grain_deg: float | None
    ground: TabGround


@dataclass(frozen=True, slots=True)
class ContourRing:
    """One ring of a contour.

    rough : round it go the passes
    final : round it goes a last round, where that is another ring
    given : the places of tabs that were given
    movable : whether it may be begun elsewhere
    """

    rough: Track
    final: Track | None
    given: tuple[Point, ...]
    movable: bool


def with_tabs_that_hold(ring: ContourRing, cutter: Cutter, wanted: TabsWanted) -> tuple[ContourRing, tuple[str, ...]]:
    """A ring with each tab that was asked for at a place where it holds, and a note of each that had to be moved."""
    places, notes = list[Point](), list[str]()
    for place in ring.given:
        (x, y), wrong = moved_to_hold(ring.rough, place, wanted.tabs, cutter.diameter, wanted.ground)
        places.append((x, y))
        if wrong:
            notes.append(
                f"the tab asked for at ({place[0]:.1f}, {place[1]:.1f}) would stand {wrong}; it is moved to "
                f"({x:.1f}, {y:.1f}), as the board lies."
            )
    return replace(ring, given=tuple(places)), tuple(notes)


def cut_contour_ring(
    builder: PathBuilder,
    ring: ContourRing,
    descent: Descent,
    leads: Leads,
    grounds: Sequence[BaseGeometry],
    wanted: TabsWanted | None,
) -> None:
    """All that is cut round one ring.

    grounds : where the cutter may go down through air, the roomiest first
    """
    around = next((found for ground in grounds if (found := _through_air(ring.rough, ground, leads))), None)
    if around is None:
        entries.note_way_down(builder, ring.rough, descent.top, descent.levels, descent.entry)
        # Straight down into the waste beside the wall only without tabs: one near there would come out wider.
        if wanted is None and descent.entry_on(ring.rough) == "plunge":
            around = leads.round(ring.rough)
    begun, places = around.ring if around else ring.rough, ring.given
    if wanted is not None:
        begun, places = _tab_places(begun, ring, descent, wanted, straight_down=around is not None)
    tabs = _tab_heights(begun, places, descent, wanted)
    if around:
        _cut_straight_down(builder, around, descent, tabs)
    else:
        _cut_along(builder, begun, descent, tabs, leave=ring.final is None)
    if ring.final is not None:
        last = leads.round(rings.begin_near(ring.final, builder.place))
        _cut_last(builder, last, descent, _tab_heights(last.ring, places, descent, wanted))


def _tab_places(
    begun: Track, ring: ContourRing, descent: Descent, wanted: TabsWanted, straight_down: bool
) -> tuple[Track, tuple[Point, ...]]:
    """A ring begun where the cutter goes down clear of its tabs, and where on it they stand."""
    tabs, diameter, high = wanted.tabs, descent.cutter.diameter, wanted.top - descent.floor
    if not tabs.points:
        return begun, tuple(places_on(begun, tabs, diameter, high, wanted.grain_deg, wanted.ground))
    check_apart(begun, ring.given, tabs, diameter, high)
    if ring.movable and not straight_down:
        begun = rings.begin_clear(begun, ring.given, tabs.half_zone(diameter, high))
    return begun, ring.given


def _tab_heights(ring: Track, places: Sequence[Point], descent: Descent, wanted: TabsWanted | None) -> TabHeights:
    if wanted is None:
        return TabHeights(ring.length)
    return tab_heights(ring, places, wanted.tabs, wanted.top, descent.floor, descent.cutter)


def _through_air(ring: Track, ground: BaseGeometry, leads: Leads) -> Round | None:
    """Down where earlier work left room for the cutter, on the ring or a little off it; None where it did not."""
    if ground.is_empty:
        return None
    away = float(shapely.distance(rings.as_chords(ring), ground))
    if away > leads.radius / 2:
        return None
    place = rings.place_within(ring, shapely.buffer(ground, away + _INTO))
    if place is None:
        return None
    begun = rings.begin_near(ring, place)
    if away == 0:
        return leads.starting_off(0.0).round(begun)
    near = leads.starting_off(away + _INTO)
    found = near.round(begun.starting_at(near.ahead))
    return found if shapely.distance(ground, shapely.Point(found.begin)) < _INTO else None


def _cut_straight_down(builder: PathBuilder, around: Round, descent: Descent, tabs: TabHeights) -> None:
    """All passes of a cutter that goes straight down where the round begins."""
    builder.go_above(around.begin, descent.top + CLEAR)
    for number, z in enumerate(descent.levels):
        if number:
            builder.cut(tabs.over(around.back(descent.levels[number - 1])))
        builder.cut(tabs.over(around.at(z)))


def _cut_along(builder: PathBuilder, ring: Track, descent: Descent, tabs: TabHeights, leave: bool) -> None:
    """All passes of a cutter that goes down along the ring.

    leave : whether it leaves the wall rising along the slot
    """
    top = descent.top
    builder.go_above(ring.start, top + CLEAR)
    builder.plunge(top)
    stretches = entries.ring_stretches(descent.cutter, ring, top, descent.levels, descent.entry)
    if leave:
        stretches.append(rising_off(ring, stretches[-1].end, descent.floor, top + CLEAR))
    for stretch in stretches:
        builder.cut(tabs.over(stretch))


def _cut_last(builder: PathBuilder, last: Round, descent: Descent, tabs: TabHeights) -> None:
    """One last round, from where the passes before it ended: straight to where it begins, or over the top."""
    here, begin, floor = builder.place, last.begin, descent.floor
    if last.on and not within(last.room, (Segment(here, begin),)):
        builder.go_above(begin, descent.top + CLEAR)
    elif dist(here, begin) > _NOTHING:
        along, length = last.ring.nearest(here)[0], last.ring.length
        ring_from = along - length if along > length / 2 else along
        builder.cut(tabs.over(straight(here, begin, floor, ring_from, -last.before)))
    builder.cut(tabs.over(last.at(floor)))
