"""What holds a piece at each moment: the wood that joins it to others that are held, and its own hold-downs."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import shapely

from toolpaths.base.checks import Floats
from toolpaths.facts.hold_strength import screw_reach, sideways_hold
from toolpaths.facts.wood_strength import wood_strength
from toolpaths.judging.checks.holding.board_pieces import BoardPieces, frame_of
from toolpaths.judging.checks.holding.cut_through import SKIN
from toolpaths.judging.checks.holding.group_load import Group
from toolpaths.judging.checks.holding.loose_pieces import Hold
from toolpaths.judging.trial.case import Trial
from toolpaths.judging.trial.cuts_over_places import Pairs
from toolpaths.judging.trial.exact_heights import faces_before
from toolpaths.judging.trial.findings import ROUNDING
from toolpaths.judging.trial.lowering_cuts import lowering_cuts
from toolpaths.judging.wood.field import Wood
from toolpaths.judging.wood.moves import lowest_so_far
from toolpaths.judging.wood.patches import cells_at, centres, extreme_around
from toolpaths.judging.wood.sweep import Flags, Ints, spread

# Places on each stretch of a border at which the wood is measured.
_PLACES = np.array([-0.375, -0.125, 0.125, 0.375])
# Places that stand for a screw, on a ring about it; and for a grip, at most.
_RING, _MOST = 6, 150
# mm; thinner wood holds nothing, and heights that differ by less are one.
_LEAST, _ALIKE = SKIN - ROUNDING, 0.01
# Share of a border that its last pass takes no deeper than what is taken for that pass's depth.
_MOST_OF_A_PASS = 0.75
# mm by which wood may stand off the table and still stick to it.
_ON_TABLE = 0.05
# More joints than any board has that is cut into pieces; and mm of wood that cells show well enough then.
_VERY_MANY, _THICK = 20_000, 3.0


class Joints(NamedTuple):
    """j places on the borders of pieces, their wood before the program and what cuts there.

    stretch : (j,) of which stretch of the borders; place : (j, 2); width : (j,) mm
    top, bottom : (j,) of the wood before; cuts : by place, then in the order of the program
    left : (j,) mm of wood in the end, 0 where it is too thin to hold
    done_by : (j,) the last move that takes of it, -1 where none does; last : (j,) mm of wood before that
    """

    stretch: Ints
    place: Floats
    width: Floats
    top: Floats
    bottom: Floats
    cuts: Pairs
    left: Floats
    done_by: Ints
    last: Floats

    @property
    def all_exact(self) -> bool:
        """Whether none is only known by what cells show."""
        return len(self.place) <= _VERY_MANY

    @property
    def parted(self) -> Flags:
        """(j,) where this program parts them."""
        return np.asarray((self.left == 0) & (self.done_by >= 0))


def joints_of(trial: Trial, pieces: BoardPieces, closely: Ints) -> Joints:
    """Where pieces are joined, or were.

    closely : pieces of whose joints all is asked. Where joints are very many, as in a relief, of others only as much
        wood counts, all the time, as cells show about a place in the end, where that is thick
    """
    borders = pieces.borders
    # Where no wood is left, one place shows what stood there before.
    count = np.where(borders.near, len(_PLACES), 1)
    stretch, nth = spread(count)
    off = np.where(borders.near[stretch], _PLACES[nth], 0.0) * pieces.grid.cell
    place = borders.place[stretch] + borders.along[stretch] * off[:, None]
    top, bottom = np.zeros((2, len(place)))
    exact = np.arange(len(place))
    if len(place) > _VERY_MANY:
        top, bottom = _shown_by_cells(trial.after, place)
        thin = top - bottom < _THICK
        exact = np.flatnonzero(thin | np.isin(borders.pieces[:, stretch], closely).any(axis=0))
    top[exact], bottom[exact] = faces_before(trial, place[exact], np.zeros(len(exact), np.intp))
    cuts = lowering_cuts(trial.case, place[exact])
    cuts = cuts._replace(place=exact[cuts.place])
    width = borders.width[stretch] / count[stretch]
    return Joints(stretch, place, width, top, bottom, cuts, *_last_cuts(cuts, top, bottom))


def _shown_by_cells(stock: Wood, places: Floats) -> tuple[Floats, Floats]:
    """(k,) upper and lower face of the least wood in the cells about places (k, 2)."""
    cells = cells_at(stock.grid, places)
    top, bottom = extreme_around(stock.top, *cells, np.minimum), extreme_around(stock.bottom, *cells, np.maximum)
    return np.asarray(top, np.float64), np.asarray(bottom, np.float64)


def _last_cuts(cuts: Pairs, top: Floats, bottom: Floats) -> tuple[Floats, Ints, Floats]:
    """Of each place what is left in the end, which move takes the last of it, and how much there was before that."""
    lowest = np.minimum(lowest_so_far(cuts.z, cuts.place), top[cuts.place]) - bottom[cuts.place]
    left, done_by, last = top - bottom, np.full(len(top), -1), np.zeros(len(top))
    before = np.append(0.0, lowest[:-1])
    first = np.diff(cuts.place, prepend=-1) != 0
    before[first] = left[cuts.place[first]]
    # The last of each place comes last of its own, and the last assignment stays.
    takes = np.flatnonzero((lowest < before - _ALIKE) & (before >= _LEAST))
    done_by[cuts.place[takes]], last[cuts.place[takes]] = cuts.move[takes], before[takes]
    np.minimum.at(left, cuts.place, lowest)
    return np.where(left >= _LEAST, left, 0.0), done_by, last


class Anchors(NamedTuple):
    """a places over which hold-downs hold pieces.

    piece, place : (a,), (a, 2); force : (a,) N that it bears; since : (a,) the first move for which it is there
    hold : (a,) index of the hold-down
    holds, grips : (a,) whether that is no pin, and whether it is a grip
    """

    piece: Ints
    place: Floats
    force: Floats
    since: Ints
    hold: Ints
    holds: Flags
    grips: Flags


class Holding(NamedTuple):
    """All that is known of what holds: the pieces, where they are joined, their hold-downs, and the piece that lies
    around all others, else the largest.

    pairs : (2, m) pieces that wood joins in the end, each pair once
    """

    trial: Trial
    pieces: BoardPieces
    joints: Joints
    anchors: Anchors
    frame: int
    pairs: Ints
    by_piece: Ranges
    by_stretch: Ranges
    cuts_by_joint: Ranges


class Ranges(NamedTuple):
    """What belongs to each of some numbered things, as stretches of one order."""

    order: Ints
    begin: Ints

    def of(self, things: Ints) -> Ints:
        """All that belongs to these things, thing by thing."""
        nth, within = spread(self.begin[things + 1] - self.begin[things])
        return np.asarray(self.order[self.begin[things][nth] + within])


def ranges(owner: Ints, owners: int) -> Ranges:
    """By the number (k,) of the thing, of so many, to which each belongs."""
    order = np.argsort(owner, kind="stable")
    return Ranges(order, np.searchsorted(owner[order], np.arange(owners + 1)))


def holding_of(trial: Trial, pieces: BoardPieces, things: list[Hold], closely: Ints) -> Holding:
    """What holds the pieces of a board, by these hold-downs; closely : as in joints_of()."""
    joints, pair = joints_of(trial, pieces, closely), pieces.borders.pieces
    stands = np.bincount(joints.stretch, joints.left, minlength=pair.shape[1]) > 0
    key = np.unique(np.sort(pair[:, stands], axis=0).T @ np.array([pieces.how_many, 1]))
    by_piece = ranges(pair.ravel(), pieces.how_many)
    return Holding(
        trial, pieces, joints, anchors_of(trial, pieces, things), frame_of(pieces),
        np.stack(np.divmod(key, max(pieces.how_many, 1))),
        by_piece._replace(order=by_piece.order % max(pair.shape[1], 1)),
        ranges(joints.stretch, pair.shape[1]), ranges(joints.cuts.place, len(joints.place)),
    )  # fmt: skip


def anchors_of(trial: Trial, pieces: BoardPieces, holds: list[Hold]) -> Anchors:
    """Where hold-downs hold the board."""
    thickness = trial.case.fixture.board.thickness
    stands = pieces.thickness > 0
    on_table = stands & (pieces.lower_face <= pieces.lower_face[stands].min(initial=np.inf) + _ON_TABLE)
    found = []
    for nth, hold in enumerate(holds):
        thing, force = hold.thing, sideways_hold(hold.thing, thickness)
        if thing.area is None:
            angle = np.arange(_RING) * (2 * np.pi / _RING)
            ring = np.stack([np.cos(angle), np.sin(angle)], axis=1)
            ring *= screw_reach(thing, thickness) if thing.holds else 0.0
            place, each = np.array([thing.x, thing.y]) + ring, force / _RING
            piece = np.full(_RING, pieces.number[cells_at(pieces.grid, np.array([[thing.x, thing.y]]))][0])
        else:
            grip, area = thing.kind == "grip", thing.outline.area
            place = _places_in(thing.outline, pieces, on_table if grip else stands)
            count = max(len(place), 1)
            each = force * min(pieces.grid.cell**2, area / count) if grip else force / count
            piece = pieces.number[cells_at(pieces.grid, place)]
        of_all = (each, hold.since, nth, thing.holds, thing.kind == "grip")
        found.append((piece, place, *(np.full(len(place), value) for value in of_all)))
    none, no_flags = np.empty(0, np.intp), np.empty(0, bool)
    found.append((none, np.empty((0, 2)), np.empty(0), none, none, no_flags, no_flags))
    return Anchors(*(np.concatenate(columns) for columns in zip(*found, strict=True)))


def _places_in(area: shapely.Polygon, pieces: BoardPieces, wood: Flags) -> Floats:
    """(k, 2) middles of the cells of wood under an area; one place within where the area is less than a cell."""
    cells = np.flatnonzero(wood)
    place = centres(pieces.grid, cells)
    left, low, right, high = area.bounds
    place = place[((place >= (left, low)) & (place <= (right, high))).all(axis=1)]
    shapely.prepare(area)
    place = place[shapely.contains_xy(area, *place.T)]
    if len(place):
        return np.asarray(place)
    within = area.representative_point()
    place = np.array([[within.x, within.y]])
    return place[wood[cells_at(pieces.grid, place)]]


def group_of(holding: Holding, some: Ints, thick: Floats, mine: Ints, move: Ints) -> Group:
    """What holds a piece at s moments.

    some : (k,) its joints with what is held; thick : (k, s) mm of wood there
    mine : its own anchors; move : (s,) during which
    """
    fixture, joints, anchors = holding.trial.case.fixture, holding.joints, holding.anchors
    strength = wood_strength(fixture.board.wood)
    normal = holding.pieces.borders.normal[joints.stretch[some]]
    tension = np.full(len(some), strength.across)
    if fixture.grain_deg is not None:
        grain = np.radians(fixture.grain_deg)
        tension = strength.tension(normal @ np.array([np.cos(grain), np.sin(grain)]))
    section = thick * joints.width[some, None]
    # Of many places of a grip some stand for all.
    every = -(-len(mine) // _MOST) or 1
    mine = mine[::every]
    force = np.where(move >= anchors.since[mine, None], anchors.force[mine, None] * every, 0.0)
    shear, pull = section * strength.shear, section * tension[:, None]
    return Group(
        np.arange(len(some) + len(mine)) < len(some),
        np.concatenate([joints.place[some], anchors.place[mine]]),
        np.concatenate([normal, np.tile([1.0, 0.0], (len(mine), 1))]),
        *(np.concatenate([wood, force]) for wood in (shear, pull, shear)),
    )


def thickness_at(holding: Holding, some: Ints, move: Ints) -> Floats:
    """(k, s) mm of wood at some joints when each of these moves begins, rising; none where it is too thin to hold.

    Once the first of a border is parted, what the last pass is still to take of it counts no more: so what that leaves
    is asked to hold wherever along the pass the cutter is.
    """
    joints = holding.joints
    mine = holding.cuts_by_joint.of(some)
    row = np.repeat(np.arange(len(some)), np.diff(holding.cuts_by_joint.begin)[some])
    column = np.searchsorted(move, joints.cuts.move[mine], "right")
    heights = np.repeat(joints.top[some, None], len(move) + 1, axis=1)
    np.minimum.at(heights, (row, column), joints.cuts.z[mine])
    thick = np.minimum.accumulate(heights, axis=1)[:, :-1] - joints.bottom[some, None]
    parted = some[joints.parted[some]]
    if len(parted):
        # Not the deepest, which may be a plunge.
        last_pass = np.quantile(joints.last[parted], _MOST_OF_A_PASS) + _ALIKE
        left = joints.left[some, None]
        thick = np.where((move >= joints.done_by[parted].min()) & (thick <= left + last_pass), left, thick)
    return np.asarray(np.where(thick >= _LEAST, thick, 0.0))
