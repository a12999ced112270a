"""Holding tabs: short bridges of wood left under a through cut, so that the part stays put.

`Tabs` says what is wanted; `places_on` chooses where on a closed track.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import partial
from math import asin, atan2, ceil, degrees, floor, inf, pi, radians, tan

import numpy as np
from numpy.typing import NDArray

from toolpaths.base.checks import FARTHEST, Floats, between, distance, let_in, places_or_none, whole
from toolpaths.base.errors import DoesNotFitError, InputError, Point
from toolpaths.base.values import fields_in_a_line
from toolpaths.making.motion.tab_corners import clear_of_corners
from toolpaths.making.motion.tab_ground import ANYWHERE, TabGround
from toolpaths.shapes.track import Track

# Tabs sit on straight runs and curves of at least so many cutter diameters in radius; where there
# are too few of those, on somewhat tighter ones. Anything tighter still is a corner.
TIGHTEST = 1.5
_GENTLE = (10.0, 3.0, TIGHTEST)
# Tabs nearer to each other than this share of an even spread are uneven: tighter curves are tried too.
_EVEN = 0.5
# A tab asked for at a place may stand on curves of so many diameters in radius.
_SHARPEST = 0.75
# Places are tried in steps of this many mm.
_STEP = 1.0
# A side that leans no more than the first off the grain runs along it; one that leans more than the second shows
# end grain; degrees.
_ALONG, END_GRAIN, _ANY = 30.0, 60.0, 90.0
# Tabs that leave a longer stretch than this share of the path without any stand on one side.
_ONE_SIDED = 0.6
# mm; a narrower tab is none to propose.
_NARROWEST = 2.0
# More tabs on one path are a slip of the finger.
_MOST = 1000
# mm; a tab less wide or high than this is none.
_tab_size = partial(between, low=0.1, high=FARTHEST)
# Lengths below this, mm, are rounding.
_NOTHING = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class Tabs:
    """Tabs wanted: by `count`, by `spacing` (mm along the path, at most), or at given `points`.

    width : of wood left at the narrowest; the cutter rises over width plus its own diameter
    height : of wood left, from the underside of the board (or from the floor of a blind cut)
    slope_deg : 90 for square tabs; less for sloped ones, up and down at that angle
    points : (x, y) seen from the front; each tab comes to the nearest place on the path
    """

    width: float
    height: float
    count: int = 0
    spacing: float = 0.0
    points: tuple[Point, ...] = ()
    slope_deg: float = 90.0

    __repr__ = fields_in_a_line

    def __post_init__(self) -> None:
        let_in(self, "tab ", width=_tab_size, height=_tab_size)
        let_in(
            self,
            count=partial(whole, low=0, high=_MOST),
            spacing=distance,
            points=places_or_none,
            slope_deg=partial(between, low=1.0, high=90.0),
        )
        if bool(self.count) + bool(self.spacing) + bool(self.points) != 1:
            raise InputError("Tabs take one of count=, spacing= and points=.")

    def number_on(self, track: Track) -> int:
        """How many on a closed track, by count or spacing."""
        return self.count or ceil(track.length / self.spacing)

    def half_length(self, diameter: float, radius: float = inf) -> float:
        """Half the length of path over which the cutter is raised, slopes not counted.

        On a curve of that radius the path is longer than the chord which spans the wood.
        """
        half = (self.width + diameter) / 2
        if radius == inf:
            return half
        return radius * asin(half / radius) if half < radius else half * pi / 2

    def slope_run(self, rise: float) -> float:
        """Length of path of one slope, for a cutter raised by `rise` mm."""
        return rise / tan(radians(self.slope_deg)) if self.slope_deg < 90 else 0.0

    def half_zone(self, diameter: float, rise: float, radius: float = inf) -> float:
        """Half the length of path over which the cutter is raised, slopes and all."""
        return self.half_length(diameter, radius) + self.slope_run(rise)


def places_on(
    track: Track,
    tabs: Tabs,
    diameter: float,
    rise: float,
    grain_deg: float | None = None,
    ground: TabGround = ANYWHERE,
) -> list[Point]:
    """Places for tabs by count or spacing on a closed track; none comes over its start.

    grain_deg : direction of the grain as the board lies, from X; None where there is none to speak of
    ground : where a tab holds; arms have to do where nothing else has room for the count

    Common practice, no source: tabs stand on long straight sides that run along the grain, evenly spread.
    Where these have no room for them all, or only so that two come closer than half of an even spread, curves
    and slanting sides are taken as well. End grain, more than 60 degrees off the grain, is taken only where the
    rest of the path has no room for the count, or would have all tabs on one side: a tab there tears fibres out
    of the face when it is cut off. A corner is never taken. With no grain all sides are alike.

    Raises DoesNotFitError with the number that would.
    """
    off_arms = _Search(track, tabs, diameter, rise, grain_deg, ground)
    search = replace(off_arms, ground=ground.on_arms)
    if best := _best_places(off_arms) or _best_places(search):
        return [track.at(along) for along in best]
    count, fit = search.count, search.most()
    raise DoesNotFitError(
        f"Only {fit} of {count} tabs {tabs.width:g} mm wide find room on a path of {track.length:.0f} mm, clear of its "
        f"corners and of its start; {_advice(search, fit)}.",
        track.start,
    )


def _best_places(search: _Search) -> list[float]:
    """Lengths along the track of the best spread of all that is tried; none where there is no room for the count."""
    count, length = search.count, search.track.length
    widest, best, one_sided = 0.0, list[float](), False
    for lean, gentle, over_sides in _choices(search.grain_deg):
        if search.grain_deg is not None and lean == _ANY and best and not one_sided:
            break
        chosen = search.spread(gentle, lean, over_sides)
        if len(chosen) == count:
            gaps = np.diff([*chosen, chosen[0] + length])
            if gaps.min() > widest:
                widest, best = float(gaps.min()), chosen
                one_sided = count > 1 and gaps.max() > _ONE_SIDED * length
            if gaps.min() >= _EVEN * length / count and not one_sided:
                break
    return best


def moved_to_hold(track: Track, place: Point, tabs: Tabs, diameter: float, ground: TabGround) -> tuple[Point, str]:
    """A place asked for on a closed track, or the nearest at which a tab holds and is clear of corners, its slopes not
    counted; and what was wrong with the first, empty if nothing was.

    Raises DoesNotFitError where none is near.
    """
    search = _Search(track, tabs, diameter, 0.0, None, ground)
    half, along = search.half(_SHARPEST), track.nearest(place)[0]
    steps = np.arange(_STEP, 4 * half, _STEP)
    tried = (along + np.concatenate([[0.0], np.column_stack([steps, -steps]).ravel()])) % track.length
    straight = search.clear_of_corners(tried, _SHARPEST)
    at = np.array([track.at(each) for each in tried.tolist()])
    good = np.flatnonzero(straight & ground.holds(at))
    wrong = ground.why_not(place) if straight[0] else "on a corner"
    if not wrong:
        return place, ""
    if not len(good):
        raise DoesNotFitError(
            f"The tab asked for at ({place[0]:.1f}, {place[1]:.1f}) would stand {wrong}, and within "
            f"{4 * half:.0f} mm along the path there is no better place.",
            place,
        )
    return track.at(float(tried[good[0]])), wrong


def check_apart(track: Track, places: Sequence[Point], tabs: Tabs, diameter: float, rise: float) -> None:
    """Between tabs asked for at places on a closed track, the cutter gets down to the floor of the cut.

    Raises DoesNotFitError with what would make it so.
    """
    takes, flat = 2 * tabs.half_zone(diameter, rise), 2 * tabs.half_length(diameter)
    found = sorted((track.nearest(place)[0], place) for place in places)
    for i, (along, (x, y)) in enumerate(found):
        following, (u, v) = found[(i + 1) % len(found)]
        room = following - along + (track.length if i + 1 == len(found) else 0.0)
        if room >= takes:
            continue
        advice = [f"put them {takes - room:.1f} mm farther apart"] if len(found) > 1 else []
        if tabs.width - (takes - room) >= _NARROWEST:
            advice.append(f"make tabs {floor((tabs.width - (takes - room)) * 10) / 10:g} mm wide")
        if tabs.slope_deg < 90:
            steepest = degrees(atan2(rise, (room - flat) / 2)) if room > flat else 90.0
            advice.append(f"take slope_deg={ceil(steepest):g}")
        where = f"from the tab at ({x:.1f}, {y:.1f}) to the one at ({u:.1f}, {v:.1f})" if len(found) > 1 else "in all"
        raise DoesNotFitError(
            f"There are {room:.1f} mm of path {where}, and a tab takes {takes:.1f} mm, slopes and the cutter's width "
            f"and all; nothing would be cut through. {' or '.join(advice).capitalize() or 'Take a skin= instead'}.",
            (x, y),
        )


@dataclass(frozen=True, slots=True)
class _Search:
    """What places for tabs are looked for on, a closed track; the rest as in places_on."""

    track: Track
    tabs: Tabs
    diameter: float
    rise: float
    grain_deg: float | None
    ground: TabGround

    @property
    def count(self) -> int:
        return self.tabs.number_on(self.track)

    def half(self, gentle: float) -> float:
        """Half the length that a tab takes on curves of so many diameters in radius, or gentler."""
        return self.tabs.half_zone(self.diameter, self.rise, gentle * self.diameter)

    def candidates(self, gentle: float, lean: float) -> Floats:
        """Lengths along the track at which a tab may have its middle, on sides that lean so far off the grain."""
        track, half = self.track, self.half(gentle)
        first, last = half, track.length - half
        found = np.arange(first, last, _STEP) if last > first else np.zeros(0)
        found = found[self.clear_of_corners(found, gentle)]
        if len(found):
            found = found[self.ground.holds(np.array([track.at(along) for along in found.tolist()]))]
        if self.grain_deg is not None and lean < _ANY:
            near = [off_grain(track.heading(along), self.grain_deg) <= lean for along in found.tolist()]
            found = found[np.array(near, bool)]
        return found

    def clear_of_corners(self, along: Floats, gentle: float) -> NDArray[np.bool_]:
        """(k,) whether a tab at lengths (k,) reaches into no corner."""
        return clear_of_corners(self.track, along, self.half(gentle), gentle * self.diameter)

    def spread(self, gentle: float, lean: float, over_sides: bool = True) -> list[float]:
        """Places for as many of the tabs as fit, spread evenly over all candidates, or over the whole path."""
        half = self.half(gentle)
        over = None if over_sides else self.track.length
        return _spread(self.candidates(gentle, lean), self.count, 2 * half + self.diameter, over)

    def most(self) -> int:
        """How many of the tabs find room, wherever the path is no corner."""
        return max(len(self.spread(gentle, _ANY)) for gentle in _GENTLE)

    def fits(self) -> bool:
        return self.most() == self.count


def _choices(grain_deg: float | None) -> list[tuple[float, float, bool]]:
    """What is tried, in order: the most that a side leans off the grain, the least radius in diameters, and
    whether tabs spread evenly over the sides that are so taken together, or over the whole path."""
    if grain_deg is None:
        return [(_ANY, gentle, False) for gentle in _GENTLE]
    leans = (_ALONG, END_GRAIN, _ANY)
    return [(lean, gentle, over_sides) for lean in leans for gentle in _GENTLE for over_sides in (True, False)]


def _advice(search: _Search, fit: int) -> str:
    """What would find room: fewer tabs, or narrower ones."""
    tabs, advice = search.tabs, []
    if fit:
        advice.append(f"ask for {fit}" if tabs.count else f"give a spacing of {ceil(search.track.length / fit)} mm")
    low, high = round(_NARROWEST * 10), ceil(tabs.width * 10)

    def fits(tenths: int) -> bool:
        return replace(search, tabs=replace(tabs, width=tenths / 10)).fits()

    if low < high and fits(low):
        while high - low > 1:
            tenths = (low + high) // 2
            low, high = (tenths, high) if fits(tenths) else (low, tenths)
        advice.append(f"make them {low / 10:g} mm wide")
    return " or ".join(advice) or "leave a skin= instead, or give the places of tabs as points="


def off_grain(heading: float, grain_deg: float) -> float:
    """Degrees, 0 to 90, by which a direction given in radians leans off the grain."""
    return abs((degrees(heading) - grain_deg + 90.0) % 180.0 - 90.0)


def _spread(candidates: Floats, count: int, apart: float, over: float | None = None) -> list[float]:
    """So many of the candidates, `apart` or more between them; or as many as fit.

    over : length of the ring over which they are spread evenly; over all candidates unless given
    """
    latest: list[int] = []
    at = len(candidates) - 1
    while at >= 0 and len(latest) < count:
        latest.append(at)
        at = int(np.searchsorted(candidates, candidates[at] - apart + _NOTHING, "right")) - 1
    chosen: list[float] = []
    for i, last in enumerate(reversed(latest)):
        first = int(np.searchsorted(candidates, chosen[-1] + apart - _NOTHING)) if chosen else 0
        share = (i + 0.5) / len(latest)
        ideal = over * share if over else candidates[int(share * len(candidates))]
        chosen.append(float(candidates[first + int(np.argmin(np.abs(candidates[first : last + 1] - ideal)))]))
    return chosen
