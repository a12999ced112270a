"""The checks of plunges: is a cutter that does not cut at its centre sent down into wood on its dead middle?

Straight down it stands on that. On a way narrower than its dead middle (way_down.py) it does so as well: wood is left
under the middle of the way, over which no edge passes.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

import numpy as np

from toolpaths.base.checks import Floats
from toolpaths.facts.way_down import width
from toolpaths.judging.checks.meeting.between_cells import scratches
from toolpaths.judging.checks.meeting.rapid_in_wood import in_the_way
from toolpaths.judging.checks.meeting.wood_in_time import Watch, all_met
from toolpaths.judging.trial.case import Case, Trial
from toolpaths.judging.trial.exact_heights import faces_before
from toolpaths.judging.trial.findings import Finding, folded
from toolpaths.judging.trial.going_down import plunging
from toolpaths.judging.trial.wood_ahead import SLACK, TAKES, Spots, Track, by_move, highest, track_of
from toolpaths.judging.wood.moves import Z0, Z1
from toolpaths.judging.wood.sweep import Flags

# A stretch of a way goes so many diameters of the dead middle back and on from a place: once round the narrowest circle
# that would do, either way; or back as far as to and fro on the narrowest line that would do, and a little.
_ROUND, _BEHIND = (np.pi, np.pi), (2.1, 0.0)
# Places in which a stretch is looked at; and the most stretches looked at for one cutter.
_LOOKS, _MOST = 97, 800
# Share of a length along a way by which the end of a move is looked at before it: the next begins there.
_BEFORE_END = 1e-9
# Shares of the stretch that tell by their ends alone that most ways are wide enough.
_QUICK = (-0.5, 0.5, -0.25, 0.25, -1.0, 1.0)
# Where no edge passes: shares of what a way lacks in width, and angles.
_UNCUT = [(0.0, 0.0)] + [(0.9, k * np.pi / 4) for k in range(8)]


def plunge(trial: Trial) -> Iterator[Finding]:
    """A cutter that does not cut at its centre goes straight down into wood, or nearly so."""
    for cutter, line, place, amount in all_met(trial, watch(trial.case), scratches):
        yield folded(
            "plunge", "danger", line, place, amount, 0.0,
            f"{cutter} does not cut at its centre, but goes down into {{amount}} mm of wood.",
        )  # fmt: skip


def watch(case: Case) -> Watch:
    """No wood may stand in the way of a plunge of such a cutter."""
    return Watch("plunge", plunges(case), in_the_way)


def plunges(case: Case) -> Flags:
    """(n,) moves at feed of such cutters that go down more than across, as no ramp may (Cutter)."""
    dead = [number for number, cutter in case.cutters.items() if not cutter.centre_cutting]
    moves = case.moves
    return np.asarray(moves.feeding() & (moves.low < 0) & np.isin(moves.tool, dead) & plunging(moves))


def narrow_way_down(trial: Trial) -> Iterator[Finding]:
    """Such a cutter goes down in wood to and fro, or round and round, on a way narrower than its dead middle."""
    case = trial.case
    for tool, cutter in case.cutters.items():
        if cutter.centre_cutting:
            continue
        track = track_of(trial, cutter, np.flatnonzero(case.moves.feeding() & (case.moves.tool == tool)))
        spot, lacking = _narrow(track)
        if len(lacking):
            line, place, worst = by_move(case, spot.move, spot.tip, lacking)
            yield folded(
                "plunge", "danger", line, place, cutter.dead_centre - worst, cutter.dead_centre,
                f"{cutter} does not cut at its centre, but goes down in wood on a way {{amount}} mm wide; it needs "
                f"{cutter.dead_centre:g} mm.",
            )  # fmt: skip


def _narrow(track: Track) -> tuple[Spots, Floats]:
    """Ends of moves that go down in wood in too narrow a stretch of the way, and by how much that is too narrow.

    Too narrow round about is what goes nowhere; what goes on elsewhere has still stood on its middle where it was too
    narrow behind for as long as no wide enough way is. Where that is short but steep the ramp is found.
    """
    cutter, table = track.cutter, track.trial.case.moves.path[:, track.move]
    # A turn of next to nothing may go down by less than rounding.
    down = (table[Z1] < table[Z0]) & (np.diff(track.begin) > 0) & (table[Z1] < highest(track.trial) - TAKES)
    at = track.begin[1:][down] * (1 - _BEFORE_END)
    round_about, behind = (
        _too_narrow(track, at, *(share * cutter.dead_centre for share in s)) for s in (_ROUND, _BEHIND)
    )
    at = np.concatenate([round_about.at, behind.at[behind.whole]])
    lacking = np.concatenate([round_about.lacking, behind.lacking[behind.whole]])
    return track.spots(at), lacking


class _Narrow(NamedTuple):
    """Places on a track round which it is too narrow; (s,) each.

    lacking : mm
    whole : whether no end of the track cuts it short
    """

    at: Floats
    lacking: Floats
    whole: Flags


def _too_narrow(track: Track, at: Floats, back: float, on: float) -> _Narrow:
    """Those of these places about which the track is too narrow, from so many mm before each to so many after it, and
    wood stands where no edge passes."""
    trial, dead_centre = track.trial, track.cutter.dead_centre
    for share in _QUICK:
        there = at + share * (on if share > 0 else back)
        tips = (track.spots(s).tip for s in (at, _within(track, at, there)))
        at = at[np.hypot(*np.subtract(*tips)[:, :2].T) < dead_centre * (1 - SLACK)]
    at = at[np.linspace(0, len(at) - 1, min(len(at), _MOST)).astype(np.intp)]
    along = np.linspace(-back, on, _LOOKS)
    places = np.array([track.spots(_within(track, np.full(_LOOKS, s), s + along)).tip for s in at.tolist()])
    places = places.reshape(-1, _LOOKS, 3)
    lacking = dead_centre - np.array([width(points[:, :2]) for points in places])
    narrow = np.flatnonzero(lacking > SLACK * dead_centre)
    at, places, lacking = at[narrow], places[narrow], lacking[narrow]
    began = _within(track, at, at - back)
    first = track.move[track.nth_at(began)]
    middle = (places[:, :, :2].min(axis=1) + places[:, :, :2].max(axis=1)) / 2
    share, angle = np.array(_UNCUT).T
    out = share * np.stack([np.cos(angle), np.sin(angle)])
    uncut = middle[:, :, None] + lacking[:, None, None] / 2 * out
    top, bottom = faces_before(trial, uncut.transpose(0, 2, 1).reshape(-1, 2), np.repeat(first, len(share)))
    ends = track.spots(at).tip[:, 2]
    start, end = np.repeat(places[:, 0, 2], len(share)), np.repeat(ends, len(share))
    takes = (np.minimum(top, start) - np.maximum(end, bottom) > TAKES) & (top > bottom)
    dug = np.flatnonzero(takes.reshape(-1, len(share)).any(axis=1))
    return _Narrow(at[dug], lacking[dug], (began <= at - back)[dug])


def _within(track: Track, at: Floats, wanted: Floats) -> Floats:
    """(s,) mm along the track, kept within the chain of moves that holds `at`."""
    chain = track.chain[track.nth_at(at)]
    begin = track.begin[np.searchsorted(track.chain, chain)]
    end = track.begin[np.searchsorted(track.chain, chain, side="right")]
    return np.clip(wanted, begin, end * (1 - _BEFORE_END))
