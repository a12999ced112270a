"""How hard the cutter pushes the wood as it moves sideways, looked at in places along its track."""

from __future__ import annotations

from itertools import pairwise
from math import radians, tan
from typing import NamedTuple

import numpy as np

from toolpaths.base.checks import Floats
from toolpaths.facts.cutter import Cutter
from toolpaths.facts.cutting_energy import cutting_energy, tooth_force
from toolpaths.facts.profile import Profile
from toolpaths.judging.trial.case import Trial
from toolpaths.judging.trial.exact_heights import faces_before
from toolpaths.judging.trial.wood_ahead import (
    TAKES,
    Around,
    Spots,
    Track,
    across,
    highest,
    most_spots,
    sideways,
    track_of,
)
from toolpaths.judging.wood.sweep import Flags, Ints, in_portions, within

# Degrees by which the edges wind about the axis (common practice): charts are printed for spiral cutters. Straight
# edges strike harder where a pass is deep and light.
_HELIX_DEG = 30.0
# Strips across the cutter in which its chip is looked at; and places along all moves of each cutter, and along those
# that matter most.
_STRIPS, _MOST, _MOST_ABOVE_ALL = 6, 120, 200
# Places in front of cutters that are looked at together.
_AT_A_TIME = 200_000


class Pushes(NamedTuple):
    """s places in which a cutter works, in the order of the program.

    move, tip : (s,), (s, 3)
    radius : (s,) mm, of the cutter
    peak, mean : (s,) N with which it pushes at most, and over a whole turn
    """

    move: Ints
    tip: Floats
    radius: Floats
    peak: Floats
    mean: Floats

    def some(self, which: Ints) -> Pushes:
        """Only these."""
        return self._replace(**{name: column[which] for name, column in self._asdict().items()})


def pushes(trial: Trial, above_all: Ints) -> Pushes:
    """Where cutters push the wood sideways, and how hard.

    above_all : moves of which more is looked at

    A tooth's chip is thickest where it crosses the track, and thins out to both sides of it as the teeth come in and
    go out. It cuts as deep as wood stands above the tip there, less what the cutter's own flank leaves. Straight down
    it pushes the wood on to the table, which holds.
    """
    case, moves, energy = trial.case, trial.case.moves, cutting_energy(trial.case.fixture.board.wood)
    works = sideways(case) & (moves.low < highest(trial) - TAKES)
    works &= (moves.spindle != 0) & (moves.rpm > 0) & (moves.feed_mm_min > 0)
    found = [Pushes(np.empty(0, np.intp), np.empty((0, 3)), *[np.empty(0)] * 3)]
    tracks = [
        track_of(trial, case.cutters[tool], mine)
        for tool, mine in case.by_cutter(np.flatnonzero(works))
        if tool in case.cutters
    ]
    most, more = (most_spots(case, each, len(tracks)) for each in (_MOST, _MOST_ABOVE_ALL))
    above_all = np.unique(above_all)
    fronts = [_front(track, most, more, above_all[within(above_all, track.move)]) for track in tracks]
    # What stands there is found for many cutters at once: each on its own would go through all moves of all others.
    for begin, end in in_portions(np.array([len(each.around.flat) for each in fronts], np.intp), _AT_A_TIME):
        some = fronts[begin:end]
        places, before = (np.concatenate([getattr(each.around, name) for each in some]) for name in ("flat", "before"))
        top, bottom = faces_before(trial, places, before)
        edges = np.cumsum([0, *(len(each.around.flat) for each in some)]).tolist()
        for each, (first, last) in zip(some, pairwise(edges), strict=True):
            found.append(_pushes_of(each, top[first:last], bottom[first:last], energy))
    joined = Pushes(*(np.concatenate(columns) for columns in zip(*found, strict=True)))
    return joined.some(np.argsort(joined.move, kind="stable"))


class _Front(NamedTuple):
    """Spots on a track, the cutter's radius (s,) at the height that is looked at there, and places in front of it."""

    track: Track
    spot: Spots
    radius: Floats
    around: Around


def _front(track: Track, most: int, more: int, above_all: Ints) -> _Front:
    """Where a track is looked at, in `most` places along it, and `more` along the moves above all."""
    some = track_of(track.trial, track.cutter, above_all)
    at = some.evenly(0.0, more)
    nth = some.nth_at(at)
    there = track.begin[np.searchsorted(track.move, some.move[nth])] + at - some.begin[nth]
    spot = track.spots(np.union1d(track.evenly(0.0, most), there))
    radius = track.cutter.profile.radii(track.half_up(spot) + TAKES)
    return _Front(track, spot, radius, track.front(spot, radius, across(_STRIPS)))


def _pushes_of(front: _Front, top: Floats, bottom: Floats, energy: float) -> Pushes:
    """The force of all teeth that cut at once, in wood of these faces (s t,) in front of the cutter."""
    track, spot, aside = front.track, front.spot, across(_STRIPS)
    moves, cutter, flutes = track.trial.case.moves, track.cutter, track.cutter.flutes
    flank = cutter.profile.height(np.abs(aside) * front.radius[:, None])
    wood = _cut_by_all_its_width(cutter.profile, track.above_tip(front.around, top, bottom), aside)
    depth = np.where(wood > flank + TAKES, wood - flank, 0.0)
    chip = moves.feed_mm_min[spot.move] / (moves.rpm[spot.move] * flutes)
    each = tooth_force(energy, depth, chip[:, None] * np.sqrt(1 - aside * aside))
    edge = edge_at_once(cutter, depth > 0, depth.max(axis=1))
    peak = each.max(axis=1) * edge / np.maximum(depth.max(axis=1), TAKES)
    mean = np.minimum((each * _angles(_STRIPS)).sum(axis=1) * flutes / (2 * np.pi), peak)
    every = Pushes(spot.move, spot.tip, np.full(len(peak), cutter.radius), peak, mean)
    return every.some(np.flatnonzero(peak > 0))


def _cut_by_all_its_width(profile: Profile, wood: Floats, aside: Floats) -> Floats:
    """(s, t) mm of wood above the tip that the cutter takes, so far aside (t,) as shares of its radius: beside its neck
    an undercut cutter takes no more than its head is high."""
    if profile.kind != "undercut":
        return wood
    beside = np.abs(aside) * profile.radius > profile.neck_diameter / 2
    return np.where(beside, np.minimum(wood, profile.head_height), wood)


def edge_at_once(cutter: Cutter, cuts: Flags, deep: Floats) -> Floats:
    """(s,) most mm of depth over which edges cut at once, all together.

    cuts : (s, t) in which of so many strips across it the front cuts; deep : (s,) mm

    At no height do more edges cut than fit into the arc of the cut; and none cuts over more depth at once than it
    climbs within that arc, which in a light cut is little.
    """
    arc, between = (cuts * _angles(cuts.shape[1])).sum(axis=1), 2 * np.pi / cutter.flutes
    winds = tan(radians(_HELIX_DEG)) / cutter.radius
    at_a_height = np.maximum(np.ceil(arc / between - 1e-6), 1.0)
    in_all = np.ceil((arc + deep * winds) / between)
    return np.asarray(np.minimum(deep * at_a_height, in_all * np.minimum(deep, arc / winds)))


def _angles(strips: int) -> Floats:
    """Radians through which a tooth turns while it crosses each of so many strips across the cutter."""
    return np.asarray(np.diff(np.arccos(np.linspace(1, -1, strips + 1))))
