"""Exact heights of the cuts at scattered places, whatever the cells of the wood."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from toolpaths.base.checks import Floats
from toolpaths.facts.turning import turned_points
from toolpaths.judging.trial.case import Case, Trial
from toolpaths.judging.trial.cuts_over_places import Pairs, cuts_of
from toolpaths.judging.trial.places_in_cells import come_near, sorted_into_cells
from toolpaths.judging.wood.field import Grid, Heights, Wood, one_height
from toolpaths.judging.wood.patches import cells_at, extreme_around, on_board
from toolpaths.judging.wood.sweep import Ints

# So many pairs, about, are looked at before it is asked which places need no more.
_MANY_PAIRS = 4_000_000
# mm; heights that agree in so much are one height.
_ONE_HEIGHT = 1e-6
# For one number that sorts by height, then by move: more moves than any program has, and above that
# room for 8 m of height in steps of _ONE_HEIGHT.
_MOVES = 1 << 29


def cut_at(case: Case, places: Floats, *, before: Ints | None = None, moves: Ints | None = None) -> tuple[Floats, Ints]:
    """(k,) height of the lowest cut over each place, and (k,) the move that first cut so low.

    places : (k, 2) mm, on the board as it lies
    before : (k,) only moves of a lower index count at that place
    moves : (n,) only these count
    inf and -1 where nothing cuts below the top of the board. Of heights that agree when rounded to
    1e-6 mm the earliest move is named.
    """
    low = np.full(len(places), np.inf)
    least = np.full(len(places), np.iinfo(np.int64).max)
    for pairs in cuts_over(case, places, before, moves):
        np.minimum.at(low, pairs.place, pairs.z)
        ranked = np.rint(pairs.z / _ONE_HEIGHT).astype(np.int64) * _MOVES + pairs.move
        np.minimum.at(least, pairs.place, ranked)
    return low, np.where(np.isfinite(low), least % _MOVES, -1).astype(np.intp)


def lowest_over(case: Case, places: Floats, before: Ints | None = None) -> Floats:
    """(k,) height of the lowest cut over each place (k, 2), as in cut_at.

    The moves are looked at latest first, or without `before` deepest first, some at a time where very many of them
    lie over each place; a place below which no move is left that goes deeper is looked at no more. What goes over the
    same wood a hundred thousand times costs little more for that.
    """
    low, left = np.full(len(places), np.inf), np.arange(len(places))
    if not len(places):
        return low
    which = case.lowest_moves if before is None else case.cutting_moves
    deepest_left = np.minimum.accumulate(case.moves.low[which])
    size = len(which) or 1
    if size * len(places) > _MANY_PAIRS:
        size = max(int(_MANY_PAIRS / max(case.overlap * len(places), 1.0) * size), 1)
    for end in range(len(which), 0, -size):
        left = left[low[left] > deepest_left[end - 1]]
        block = which[max(end - size, 0) : end]
        here = left if before is None else left[before[left] > block[0]]
        known = low[here]
        for pairs in _pairs(case, places[here], block[::-1], None if before is None else before[here], known):
            np.minimum.at(known, pairs.place, pairs.z)
        low[here] = known
    return low


def first_below(case: Case, places: Floats, limit: Floats) -> Ints:
    """(k,) the first move that cuts below limit (k,) over each place (k, 2); -1 where none does."""
    first = np.full(len(places), len(case.moves.low))
    # The lowest passes tell where any is too low; which was the first is asked there alone.
    some = np.flatnonzero(_first_of(case, case.lowest_moves, places, limit) < len(case.moves.low))
    first[some] = _first_of(case, case.cutting_moves, places[some], limit[some])
    return np.where(first < len(case.moves.low), first, -1)


def _first_of(case: Case, which: Ints, places: Floats, limit: Floats) -> Ints:
    """(k,) the first of these moves that cuts below limit (k,) over each place (k, 2); the number of all where none
    does."""
    first = np.full(len(places), len(case.moves.low))
    for pairs in _pairs(case, places, which, None, limit):
        below = pairs.z < limit[pairs.place]
        np.minimum.at(first, pairs.place[below], pairs.move[below])
    return first


def faces_before(trial: Trial, places: Floats, moves: Ints) -> tuple[Floats, Floats]:
    """(k,) upper and lower face of the wood at places (k, 2), equal where there is none, as off the board, when a
    move (k,) of its own begins at each.

    Exact as long as the programs that cut the wood before are known. Else its heights are known at cell centres only,
    and the least wood of the cell and its neighbours counts: a hole's rim must not be taken for wood.
    """
    stock, cuts = trial.before, trial.before.top_cuts
    top = _around(stock.top, stock.grid, places, np.minimum) if cuts is None else face_at(cuts, places)
    exact = lower_face(stock, places)
    bottom = _around(stock.bottom, stock.grid, places, np.maximum) if exact is None else exact
    cut = lowest_over(trial.case, places, moves)
    top = np.where(on_board(stock.board, places), np.minimum(top, cut), bottom)
    return np.maximum(top, bottom), bottom


def face_at(cases: tuple[Case, ...], places: Floats) -> Floats:
    """(k,) height that programs leave of a face that was whole before them."""
    height = np.zeros(len(places))
    for case in cases:
        height = np.minimum(height, lowest_over(case, places))
    return height


def lower_face(stock: Wood, places: Floats) -> Floats | None:
    """(k,) height of the board's lower face at places (k, 2); None where its programs are not known."""
    cuts, board = stock.bottom_cuts, stock.board
    if cuts is None:
        return None
    turned = stock.turned or next((case.fixture.turned for case in cuts), "")
    return -board.thickness - face_at(cuts, turned_points(places, board, turned))


def _around(face: Heights, grid: Grid, places: Floats, extreme: np.ufunc) -> Floats:
    if one_height(face):
        return np.full(len(places), float(face[0, 0]))
    return np.asarray(extreme_around(face, *cells_at(grid, places), extreme), np.float64)


def cuts_over(case: Case, places: Floats, before: Ints | None = None, moves: Ints | None = None) -> Iterator[Pairs]:
    """All cuts below the top of the board over these places, some at a time, in no order; see cut_at."""
    which = case.cutting_moves
    yield from _pairs(case, places, which if moves is None else which[np.isin(which, moves)], before)


def cuts_in_order(case: Case, places: Floats, known: Floats) -> Iterator[Pairs]:
    """As cuts_over(), in the order of the program; known : (k,) as in cuts_of."""
    yield from _pairs(case, places, case.cutting_moves, None, known, in_turn=True)


def _pairs(
    case: Case, places: Floats, which: Ints, before: Ints | None, known: Floats | None = None, in_turn: bool = False
) -> Iterator[Pairs]:
    """The cuts of these moves over the places, as in cuts_of, in turn or cutter by cutter."""
    if not len(places):
        return
    if before is not None:
        which = which[which < before.max(initial=0)]
    in_cells = sorted_into_cells(np.asarray(places, np.float64))
    # Only cutters that come near are looked at one by one: of hundreds few do.
    which = case.in_blocks_near(which, lambda box, radius: come_near(in_cells, box, radius))
    which = which[come_near(in_cells, case.moves.box[:, which], case.radii(which))]
    for profile, mine in (case.openings_in_turn if in_turn else case.by_opening)(which):
        yield from cuts_of(case.moves.path, mine, profile, places, in_cells, before, known)
