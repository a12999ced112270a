"""By how much all that a program cuts lies beside where the part has it: one zero that is wrong, many findings.

Where the program may fit is seen in squares, as the shift at which its depths and those meant differ least (the sum of
squares, by Fourier transforms); how well it fits, in pairs of places close to both sides of what it cuts; by how much
exactly, at the edges of what it cuts, set against the walls nearest to them (least lengths, upright to the walls).
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from math import ceil, sqrt
from typing import NamedTuple

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from toolpaths.base.checks import Floats
from toolpaths.facts.part import Part
from toolpaths.judging.checks.part.part_walls import PartWalls, part_walls
from toolpaths.judging.checks.part.target import Target, highest, lowest, lowest_here
from toolpaths.judging.checks.part.wall_places import Wall
from toolpaths.judging.checks.part.wood_at import slack_in, wood_in
from toolpaths.judging.trial.case import Case, Trial, distinct
from toolpaths.judging.trial.exact_heights import lowest_over
from toolpaths.judging.wood.moves import CX, CY, SWEEP, X0, X1, Y0, Y1, Z0, Z1, taken
from toolpaths.judging.wood.patches import cells_at, on_board
from toolpaths.judging.wood.paths import places_along
from toolpaths.judging.wood.sweep import Flags

# Squares, about, in which the board is seen; the best places in them that are looked at, so many squares apart.
_SQUARES, _TRIED, _APART, _REFINED = 10_000, 4, 3, 2
# Pairs of places, at most and at least, and mm by which both lie beside the edge of the cutter.
_PAIRS, _FEW, _NEAR, _FAR = 800, 24, 0.05, 1.5
# Places along all moves that are chosen from, about, and mm between two of them at least.
_CHOICE, _SPACING = 20_000, 0.05
# Radians from ahead to the left; mm beside an edge within which the wood rises, where that is a wall.
_LEFT, _CLOSE = np.pi / 2, 0.01
# Radians aside from ahead at which the end of a way is looked at.
_ROUND_ENDS = np.radians([-60, -30, 0, 30, 60])
# mm of height between the places of a pair, or no wall and no slope lies between them.
_RISES = 0.1
# mm to which the shift is found by places before it is found at walls; from edge to wall at most then, how
# nearly their directions agree (cosine), and how often it is found anew with what is nearest then.
_FINEST, _TO_WALL, _ALONG, _TURNS = 0.1, 1.0, 0.95, 4
# How often edges are weighed anew, and mm from its wall within which one is as good as any.
_WEIGHED, _EXACT = 8, 0.005
# mm that a shift has at least along an axis; less is no other zero.
_NONE = 0.1
# Shares of the places that do not fit: at most with the shift, at least without, and how many times as many; at most
# with the corners that the cutters leave where they are.
_FITS, _FAULTY, _TIMES, _ROUGHLY_FITS = 0.01, 0.012, 5, 0.12
# Of the pairs so near to the edge, mm, whose way out lies so nearly along an axis (cosine), so many are off at least;
# of a feature, whose walls lie so near, mm, so many pairs tell it.
_CLOSE_BY, _ALONG_AXIS, _OFF, _BY_WALL, _SOME = 0.2, 0.7, 0.15, 0.6, 3
# mm below the face at the edge of a dish that is cut.
_SHALLOW = 0.01
# Of the places so many have to lie on the board with the shift; of the walls of this side so many have to be cut, so
# many mm beside them.
_ON_BOARD, _MOST, _INSIDE = 0.9, 0.6, 0.4

_Off = Callable[[Floats], float]
_Faulty = Callable[[Floats, Floats], Flags]


class _Beside(NamedTuple):
    """Places (k, 2) beside what a program cuts, pair after pair, and the height (k,) to which it cuts there; the edge
    (n, 2) of what is cut, and the way out of it there, where it is a wall beside a level way.

    away : (k,) mm to the edge between a pair; ways : (k / 2, 2) out of the cut there
    """

    at: Floats
    z: Floats
    edge: Floats
    out: Floats
    away: Floats
    ways: Floats


def shift_of_all(trial: Trial, part: Part) -> tuple[float, float, float] | None:
    """(x, y, z) mm by which all that a program cuts lies beside where it fits the part, sideways or in height; None
    where that is not so.

    Nothing is said where it fits as it is, where it makes little more than half of what is meant of its side, where an
    earlier program has cut, and where some of it does not fit wherever it is laid.
    """
    beside = _beside_cuts(trial)
    if len(beside.z) < 2 * _FEW:
        return None
    low, high = trial.once(lowest_here), highest(part, trial.case.fixture, slack_in(trial, part))

    def faulty(places: Floats, z: Floats) -> Flags:
        return np.asarray((z < low.at(places) - part.within) | (z > high.at(places) + part.within))

    walls = part_walls(trial, part)
    off, roughly = (_faulty_share(some, faulty, trial) for some in (beside, _fewer(beside)))
    as_it_is = off(np.zeros(2))
    if as_it_is < _FAULTY:
        return None
    z, off_the_part = _too_high_by(trial, low, high), faulty(beside.at, beside.z)
    # What lies too high may not reach the face any more where it should cut a little.
    cut = (beside.z < 0) | (z < 0)
    share = float(faulty(beside.at[cut], np.where(beside.z < 0, beside.z - z, 0.0)[cut]).mean())
    if abs(z) >= _NONE and share <= _FITS and _TIMES * share <= as_it_is:
        return (0.0, 0.0, z) if _of_two_features(beside, walls, off_the_part) else None
    known = np.isfinite(low.at(beside.at)) | np.isfinite(high.at(beside.at))
    if not _may_be_shifted(beside, walls, off_the_part, known):
        return None
    starts = sorted(_where_it_may_fit(trial, part, low, high), key=lambda start: roughly(start[0]))
    wall = _some_of(walls.wall, walls.owner > 0)
    found: list[tuple[float, float, float]] = [(1.0, 0.0, 0.0)]
    for start, step in starts[:_REFINED]:
        near = _nearby(roughly, start, step, _FINEST)
        shift = _at_walls(beside, wall, near)
        # Where walls are few, or stand so close that they are taken for each other.
        if off(shift) > _FITS and off(near) <= as_it_is / 2:
            shift = np.round(_nearby(off, near, _FINEST, _EXACT), 1)
        elif len(beside.edge) < _FEW:
            shift = _in_the_middle(off, shift)
        found.append((off(shift), *shift.tolist()))
        # Steps to where less is wrong may lead away from where nothing is.
        at_once = _at_walls(beside, wall, start)
        found.append((off(at_once), *at_once.tolist()))
    share, x, y = min(found)
    if share > _ROUGHLY_FITS or not (x or y):
        return None
    shift = np.array([x, y])
    share = _share_moved_back(beside, trial, part, shift)
    fits = share <= _FITS and _TIMES * share <= as_it_is
    return (x, y, 0.0) if fits and _makes_most(trial, walls, shift) else None


def _share_moved_back(beside: _Beside, trial: Trial, part: Part, shift: Floats) -> float:
    """The share of the places that do not fit, with the corners that the cutters leave where they are moved back."""
    fixture, slack = trial.case.fixture, slack_in(trial, part)
    x, y = (fixture.seen_from_front(shift[None]) - fixture.seen_from_front(np.zeros((1, 2))))[0].tolist()
    moved = replace(slack, cuts=slack.cuts - np.array([0.0, x, y, x, y, 0.0]))
    low, high = lowest(part, fixture, moved), highest(part, fixture, moved)
    places = beside.at - shift
    wrong = (beside.z < low.at(places) - part.within) | (beside.z > high.at(places) + part.within)
    return float(wrong[on_board(fixture.board, places)].mean())


def _fewer(beside: _Beside) -> _Beside:
    """Every third pair of places: by them it is seen soon enough where it fits."""
    at, z = beside.at.reshape(-1, 2, 2)[::3].reshape(-1, 2), beside.z.reshape(-1, 2)[::3].reshape(-1)
    return beside._replace(at=at, z=z)


def _too_high_by(trial: Trial, low: Target, high: Target) -> float:
    """mm by which level floors lie above those meant, the median; 0 where there are few."""
    case = trial.case
    which = case.lowest_moves
    which = which[(case.moves.slope[which] == 0) & ~case.moves.upright[which]]
    places = case.moves.path[[X1, Y1]][:, which[:: len(which) // _PAIRS + 1]].T
    floor = low.at(places)
    # Elsewhere it slopes, or is not judged.
    level = np.isfinite(floor) & (floor == high.at(places))
    return round(float(np.median((_cut_to(case, places) - floor)[level])), 2) if level.sum() >= _FEW else 0.0


def _of_two_features(beside: _Beside, walls: PartWalls, faulty: Flags) -> bool:
    """Whether what is off lies by the walls of two features at least: of one alone nothing is said of all."""
    _, wall = shapely.STRtree(shapely.points(walls.wall.at)).query_nearest(
        shapely.points(beside.at[faulty]), max_distance=2 * _FAR, all_matches=False
    )
    owner = walls.owner[wall]
    return len(distinct(owner[owner > 0])) > 1


def _some_of(wall: Wall, which: Flags) -> Wall:
    return Wall(wall.at[which], wall.out[which], wall.ring[which], wall.step[which])


def _makes_most(trial: Trial, walls: PartWalls, shift: Floats) -> bool:
    """Whether beside most of the walls of this side something is cut: in waste alone everything fits."""
    inwards = np.where(walls.keeps_inside[walls.owner], _INSIDE, -_INSIDE)
    places = walls.wall.beside(inwards)[walls.owner > 0]
    return bool(len(places)) and float((_cut_to(trial.case, places + shift) < -_SHALLOW).mean()) >= _MOST


def _may_be_shifted(beside: _Beside, walls: PartWalls, faulty: Flags, known: Flags) -> bool:
    """Whether edges along X, or along Y, are off the part as they lie, and of no feature all fit: what is soon known of
    all that is shifted.

    faulty, known : (k,) whether each place is off the part as it lies, and whether the part says anything of it
    """
    wrong, judged = faulty[::2] | faulty[1::2], known[::2] | known[1::2]
    near: Flags = judged & (beside.away[::2] < _CLOSE_BY)
    along: Flags = np.asarray(np.abs(beside.ways) > _ALONG_AXIS)
    looked = [some & along[:, axis] for axis in (0, 1) for some in (near, judged)]
    if not any(wrong[some].mean() > _OFF for some in looked if some.any()):
        return False
    pairs = np.flatnonzero(near)
    wrong, along = wrong[pairs], along[pairs]
    middles = shapely.points(beside.at.reshape(-1, 2, 2)[pairs].mean(axis=1))
    pair, wall = shapely.STRtree(shapely.points(walls.wall.at)).query_nearest(
        middles, max_distance=_BY_WALL, all_matches=False
    )
    owner = walls.owner[wall]
    for feature in distinct(owner[owner > 0]):
        by_axis = [wrong[pair[(owner == feature) & along[pair, axis]]] for axis in (0, 1)]
        if all(len(some) >= _SOME and some.mean() < _OFF for some in by_axis):
            return False
    return True


def _faulty_share(beside: _Beside, faulty: _Faulty, trial: Trial) -> _Off:
    """The share of the places that are too low or too high for the part, were all of it moved back by (x, y)."""
    board = trial.case.fixture.board

    def off(shift: Floats) -> float:
        places = beside.at - shift
        there = on_board(board, places)
        if there.mean() < _ON_BOARD:
            return 1.0
        return float(faulty(places[there], beside.z[there]).mean())

    return off


def _beside_cuts(trial: Trial) -> _Beside:
    """Pairs of places beside the cutters' ways between which what they leave rises."""
    case = trial.case
    which = case.lowest_moves
    table, tool = case.moves.path[:, which], case.moves.tool[which]
    spacing = max(float(case.moves.length[which].sum()) / _CHOICE, _SPACING)
    every = [(places, move) for places, move in places_along(table, spacing)]
    if not every:
        return _Beside(*(np.empty(shape) for shape in ((0, 2), 0, (0, 2), (0, 2), 0, (0, 2))))
    places, move = np.concatenate([some for some, _ in every]), np.concatenate([some for _, some in every])
    first, last = np.diff(move, prepend=-1) != 0, np.diff(move, append=-1) != 0
    # Beside every place, and all round the first and the last of each way, of which a groove has but two.
    ends = np.repeat(np.flatnonzero(first | last), len(_ROUND_ENDS))
    aside = np.where(last[ends], 0.0, np.pi) + np.tile(_ROUND_ENDS, len(ends) // len(_ROUND_ENDS))
    sides, ends_few = (slice(None, None, count // (2 * _PAIRS) + 1) for count in (len(move), len(ends)))
    turned = np.concatenate([(_LEFT * (-1) ** np.arange(len(move)))[sides], aside[ends_few]])
    some = np.concatenate([np.arange(len(move))[sides], ends[ends_few]])
    places, move = places[some], move[some]
    radius = np.empty(len(move))
    for number, cutter in case.cutters.items():
        mine = tool[move] == number
        radius[mine] = cutter.profile.radii(np.maximum(-places[mine, 2], 0.0))
    out = _ways_out(table[:, move], places, turned)
    # Spread evenly from near to far.
    away = _NEAR + (_FAR - _NEAR) * np.mod(np.arange(len(move)) * ((sqrt(5) - 1) / 2), 1.0)
    edge = places[:, :2] + radius[:, None] * out
    pairs = edge[:, None] + np.stack([-away, away], axis=1)[..., None] * out[:, None]
    whole = _untouched_before(trial, pairs.reshape(-1, 2)).reshape(-1, 2).all(axis=1)
    away = away[whole]
    pairs, edge, out, slope = pairs[whole], edge[whole], out[whole], (table[Z1] - table[Z0])[move[whole]]
    z = _cut_to(case, pairs.reshape(-1, 2)).reshape(-1, 2)
    rises = np.flatnonzero(np.abs(z[:, 0] - z[:, 1]) > _RISES)
    rises = rises[:: len(rises) // _PAIRS + 1]
    # Only where the wood rises just at the edge is that a wall.
    at_it = (edge[rises][:, None] + np.array([[-_CLOSE], [_CLOSE]]) * out[rises][:, None]).reshape(-1, 2)
    wall = np.abs(np.diff(_cut_to(case, at_it).reshape(-1, 2))[:, 0]) > _RISES
    level = rises[wall & (slope[rises] == 0)]
    return _Beside(
        pairs[rises].reshape(-1, 2),
        z[rises].reshape(-1),
        edge[level],
        out[level],
        np.repeat(away[rises], 2),
        out[rises],
    )


def _ways_out(table: Floats, places: Floats, turned: Floats) -> Floats:
    """(k, 2) unit vectors out of each way at a place of it, turned so far from where it goes."""
    ahead = table[[X1, Y1]].T - table[[X0, Y0]].T
    arcs = np.flatnonzero(table[SWEEP])
    tangent = (places[arcs, :2] - table[[CX, CY]][:, arcs].T)[:, ::-1] * [-1.0, 1.0]
    ahead[arcs] = tangent * np.sign(table[SWEEP, arcs])[:, None]
    # What goes straight down has no heading: all ways in turn.
    upright = np.hypot(*ahead.T) == 0
    heading = np.where(upright, np.arange(len(places)) * np.pi * (3 - sqrt(5)), np.arctan2(ahead[:, 1], ahead[:, 0]))
    heading += np.where(upright, 0.0, turned)
    return np.stack([np.cos(heading), np.sin(heading)], axis=1)


def _untouched_before(trial: Trial, places: Floats) -> Flags:
    """(k,) whether wood stands at its full height before the program, or the board has no place there."""
    before = trial.before
    row, column = cells_at(before.grid, places)
    whole = wood_in(before, row, column) & (before.top[row, column] > -_RISES)
    return np.asarray(whole | ~on_board(before.board, places))


def _cut_to(case: Case, places: Floats) -> Floats:
    """(k,) height to which a program cuts at places (k, 2), on the board or beside it; 0 where it does not cut."""
    return np.clip(lowest_over(case, places), case.fixture.underside_z, 0.0)


def _where_it_may_fit(trial: Trial, part: Part, low: Target, high: Target) -> Iterator[tuple[Floats, float]]:
    """Shifts (2,) at which the program may fit, the best first, each with the mm to which it is known."""
    case = trial.case
    board, deepest = case.fixture.board, -case.fixture.underside_z
    side = sqrt(board.width * board.height / _SQUARES)
    columns, rows = ceil(board.width / side), ceil(board.height / side)
    x, y = (np.arange(columns) + 0.5) * side, (np.arange(rows) + 0.5) * side
    places = np.stack(np.meshgrid(x, y), axis=-1).reshape(-1, 2)
    lowest = low.at(places)
    # Where it may end at any height, as in waste, it tells nothing, but for the cut that parts it.
    known = np.isfinite(lowest) | np.isfinite(high.at(places))
    known |= shapely.contains_xy(_partings(trial, part), *places.T)
    weight = np.asarray(known.reshape(rows, columns), np.float64)
    meant = np.clip(-lowest, 0.0, deepest).reshape(rows, columns) * weight
    # The board, and as much again on every side.
    cut = np.zeros((3 * rows, 3 * columns))
    x, y = (np.arange(-columns, 2 * columns) + 0.5) * side, (np.arange(-rows, 2 * rows) + 0.5) * side
    wide = float(case.radii(case.cutting_moves).max(initial=0.0))
    left, right, under, over = taken(case.moves.box, case.cutting_moves)
    across = np.flatnonzero((x > left.min() - wide) & (x < right.max() + wide))
    up = np.flatnonzero((y > under.min() - wide) & (y < over.max() + wide))
    if not len(across) or not len(up):
        return
    reached = np.stack(np.meshgrid(x[across], y[up]), axis=-1).reshape(-1, 2)
    cut[np.ix_(up, across)] = -_cut_to(case, reached).reshape(len(up), len(across))
    # The sum of weight * (cut at the place and the shift - meant) squared, but for what is the same everywhere.
    differ = _summed(weight, cut**2) - 2 * _summed(meant, cut)
    differ = differ[: 2 * rows + 1, : 2 * columns + 1]
    for _ in range(_TRIED):
        row, column = np.unravel_index(int(differ.argmin()), differ.shape)
        yield np.array([(column - columns) * side, (row - rows) * side]), side
        differ[max(row - _APART, 0) : row + _APART + 1, max(column - _APART, 0) : column + _APART + 1] = np.inf


def _partings(trial: Trial, part: Part) -> BaseGeometry:
    """The area that the cuts take which part the board on this side, as it lies."""
    case, fixture = trial.case, trial.case.fixture
    through = case.cutting_moves[case.moves.low[case.cutting_moves] <= fixture.underside_z]
    wide = float(case.radii(through).max(initial=0.0))
    cuts = [cut.taken(-fixture.underside_z, wide) for cut in part.partings(fixture.side)]
    return fixture.place(shapely.union_all(cuts))


def _summed(small: Floats, large: Floats) -> Floats:
    """The sum of the products of a small grid with each stretch of a large one, by where the stretch begins."""
    transformed = np.conj(np.fft.rfft2(small, large.shape)) * np.fft.rfft2(large)
    return np.asarray(np.fft.irfft2(transformed, large.shape))


def _nearby(off: _Off, start: Floats, step: float, finest: float) -> Floats:
    """The shift near another at which the least share does not fit, in steps halved where none is better."""
    best, share = start, off(start)
    ways = np.array([(i, j) for i in (-1, 0, 1) for j in (-1, 0, 1) if i or j])
    while step >= finest and share > 0:
        shares = [off(best + step * way) for way in ways]
        least = int(np.argmin(shares))
        if shares[least] < share:
            best, share = best + step * ways[least], shares[least]
        else:
            step /= 2
    return best


def _in_the_middle(off: _Off, shift: Floats) -> Floats:
    """The middle of the shifts along each axis that fit, to 0.01 mm: slopes fit over a stretch of them."""
    for axis in np.eye(2):
        ahead, back = (_fits_for(off, shift, way) for way in (axis, -axis))
        shift = shift + (ahead - back) / 2 * axis
    return np.asarray(np.round(shift, 2))


def _fits_for(off: _Off, shift: Floats, way: Floats) -> float:
    """mm by which a shift may be longer along a way, and still fit."""
    fits, fails = 0.0, _TO_WALL
    while fails - fits > _EXACT:
        middle = (fits + fails) / 2
        fits, fails = (middle, fails) if off(shift + middle * way) <= _FITS else (fits, middle)
    return fits


def _at_walls(beside: _Beside, walls: Wall, shift: Floats) -> Floats:
    """A shift known roughly, as the edges of what is cut have it that lie by walls then."""
    tree = shapely.STRtree(shapely.points(walls.at))
    for _ in range(_TURNS):
        edge, wall = tree.query_nearest(shapely.points(beside.edge - shift), max_distance=_TO_WALL, all_matches=False)
        out = walls.out[wall]
        along = np.abs((beside.out[edge] * out).sum(axis=1)) >= _ALONG
        edge, wall, out = edge[along], wall[along], out[along]
        away = ((beside.edge[edge] - shift - walls.at[wall]) * out).sum(axis=1)
        # A few that lie by another wall, or by a corner that is left round, must not spoil it: the sum of lengths, and
        # not of their squares, is least.
        by = np.zeros(2)
        for _ in range(_WEIGHED):
            weight = 1 / np.sqrt(np.maximum(np.abs(away - out @ by), _EXACT))
            by = np.linalg.lstsq(weight[:, None] * out, weight * away, rcond=1e-3)[0]
        shift = shift + by
    return np.where(np.abs(shift) < _NONE, 0.0, np.round(shift, 2))
