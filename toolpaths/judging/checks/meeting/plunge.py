"""The checks of plunges: is a cutter that does not cut at its centre sent down into wood on its dead middle?

Straight down it stands on that. On a way narrower than its dead middle (way_down.py) it does so as well: wood is left
under the middle of the way, over which no edge passes.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from toolpaths.base.checks import Floats
from toolpaths.facts.way_down import width
from toolpaths.judging.checks.meeting.between_cells import scratches
from toolpaths.judging.checks.meeting.rapid_in_wood import in_the_way
from toolpaths.judging.checks.meeting.wood_in_time import Watch, all_met
from toolpaths.judging.reader.motions import RAPID
from toolpaths.judging.trial.case import Case, Trial
from toolpaths.judging.trial.exact_heights import faces_before
from toolpaths.judging.trial.findings import Finding, folded
from toolpaths.judging.trial.wood_ahead import SLACK, TAKES, Spots, Track, by_move, highest, track_of
from toolpaths.judging.wood.moves import SWEEP, X0, X1, Y0, Y1, Z0, Z1
from toolpaths.judging.wood.sweep import Flags

# A stretch of a way goes so many diameters of the dead middle back and on from a place, which is once round the
# narrowest circle that would do, and is looked at in so many places; and the most stretches looked at for one cutter.
_STRETCH, _LOOKS, _MOST = np.pi, 97, 800
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
    """(n,) moves at feed of such cutters that go down at more than 45 degrees, as no ramp may (Cutter)."""
    table, found = case.moves.path, np.zeros(len(case.moves.low), bool)
    for number, cutter in case.cutters.items():
        if not cutter.centre_cutting:
            mine = (case.moves.low < 0) & (case.moves.kind != RAPID) & (case.moves.tool == number) & (table[SWEEP] == 0)
            some = np.flatnonzero(mine)
            across = np.hypot(table[X1, some] - table[X0, some], table[Y1, some] - table[Y0, some])
            found[some] = table[Z0, some] - table[Z1, some] > across
    return found


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
    """Ends of moves that go down in wood in too narrow a stretch of the way, and by how much that is too narrow."""
    trial, dead_centre = track.trial, track.cutter.dead_centre
    stretch, table = _STRETCH * dead_centre, trial.case.moves.path[:, track.move]
    down = (table[Z1] < table[Z0]) & (np.diff(track.begin) > 0) & (table[Z1] < highest(trial) - TAKES)
    at = track.begin[1:][down] * (1 - _BEFORE_END)
    for share in _QUICK:
        here, there = (track.spots(s).tip for s in (at, _within(track, at, at + share * stretch)))
        at = at[np.hypot(*(here - there)[:, :2].T) < dead_centre * (1 - SLACK)]
    at = at[np.linspace(0, len(at) - 1, min(len(at), _MOST)).astype(np.intp)]
    along = np.linspace(-stretch, stretch, _LOOKS)
    stretches = [_within(track, np.full(_LOOKS, s), s + along) for s in at.tolist()]
    places = np.array([track.spots(s).tip for s in stretches])
    lacking = dead_centre - np.array([width(points[:, :2]) for points in places])
    narrow = np.flatnonzero(lacking > SLACK * dead_centre)
    if not len(narrow):
        return track.spots(at[narrow]), lacking[narrow]
    at, places, lacking = at[narrow], places[narrow], lacking[narrow]
    spot = track.spots(at)
    first = track.move[track.nth_at(_within(track, at, at - stretch))]
    middle = (places[:, :, :2].min(axis=1) + places[:, :, :2].max(axis=1)) / 2
    share, angle = np.array(_UNCUT).T
    out = share * np.stack([np.cos(angle), np.sin(angle)])
    uncut = middle[:, None, :] + lacking[:, None, None] / 2 * out.T
    top, bottom = faces_before(trial, uncut.reshape(-1, 2), np.repeat(first, len(share)))
    began, ends = (np.repeat(z, len(share)) for z in (places[:, 0, 2], spot.tip[:, 2]))
    takes = (np.minimum(top, began) - np.maximum(ends, bottom) > TAKES) & (top > bottom)
    dug = np.flatnonzero(takes.reshape(-1, len(share)).any(axis=1))
    return track.spots(at[dug]), lacking[dug]


def _within(track: Track, at: Floats, wanted: Floats) -> Floats:
    """(s,) mm along the track, kept within the chain of moves that holds `at`."""
    chain = track.chain[track.nth_at(at)]
    begin = track.begin[np.searchsorted(track.chain, chain)]
    end = track.begin[np.searchsorted(track.chain, chain, side="right")]
    return np.clip(wanted, begin, end * (1 - _BEFORE_END))
