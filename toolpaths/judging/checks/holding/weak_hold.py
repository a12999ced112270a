"""The check of how firmly each piece is held, at every moment, against the force of the cutter."""

from __future__ import annotations

from collections.abc import Iterator
from math import inf, isfinite
from typing import NamedTuple

import numpy as np

from toolpaths.base.checks import Floats
from toolpaths.facts.hold_strength import assumed
from toolpaths.facts.wood_strength import wood_strength
from toolpaths.judging.checks.holding.board_pieces import BoardPieces, board_pieces, hang_together
from toolpaths.judging.checks.holding.group_load import Group, load, middle_of, roughly
from toolpaths.judging.checks.holding.loose_pieces import Hold, holds
from toolpaths.judging.checks.holding.touched_pieces import touched
from toolpaths.judging.checks.holding.what_holds import Holding, group_of, holding_of, thickness_at
from toolpaths.judging.trial.case import Trial
from toolpaths.judging.trial.cutting_force import Pushes, pushes
from toolpaths.judging.trial.findings import Finding
from toolpaths.judging.wood.patches import around, cells_at
from toolpaths.judging.wood.regions import label
from toolpaths.judging.wood.sweep import Ints

# Times the force of the cutter that a hold should stand, for knots, short grain and blunt edges (common practice, no
# source), and below which it gives by these figures.
ENOUGH, GIVES = 3.0, 1.0
# A hold that stands so many times the force is not worth a closer look.
_PLENTY = 60.0
# Directions in which the wood beside a cutter is looked at.
_AROUND = 8
# Moments at which what holds a piece is looked at to find the worst pushes, and how many of these are looked at
# closely.
_MOMENTS, _WORST = 14, 16


class Weakest(NamedTuple):
    """The moment at which a piece is held most weakly: how many times the force that bears, which push, by what."""

    piece: int
    factor: float
    push: int
    group: Group
    things: tuple[int, ...]


def weak_hold(trial: Trial) -> Iterator[Finding | str]:
    """What holds a piece stands less than three times the force of the cutter; and how much the weakest hold stands.

    The force is that of the thickest chip at each place (facts/cutting_energy.py), in whatever direction in the plane
    it is worst, with its leverage about what holds the piece then: the wood that joins it to others, by its section
    and the strength of the wood along and across the grain (facts/wood_strength.py), and its screws, clamps and grips
    (facts/hold_strength.py); pins help where something holds. What holds the board itself is judged from when on two
    hold-downs or a grip do: of a board on one screw or clamp not all was declared, and of none that is never sure, so
    it is a doubt at most. Friction on the table, lifting, blows and the bending of tabs are not in these figures; the
    margin is for them.
    """
    weakest = weakest_holds(trial)
    if weakest is None:
        return
    holding, every, found, things = weakest
    for each in found:
        if each.factor < ENOUGH:
            yield _finding(holding, every, each, _taken_for_granted(things, each))
    least = min(found, key=lambda each: each.factor, default=None)
    if least and least.factor >= ENOUGH:
        line = int(trial.case.moves.line[every.move[least.push]])
        where = f"{least.factor:.1f} times the cutter's force (line {line}): {_by_what(holding, least)}"
        yield f"What holds stands {where if isfinite(least.factor) else f'over {_PLENTY:g} times the force'}."


def weakest_holds(trial: Trial) -> tuple[Holding, Pushes, list[Weakest], list[Hold]] | None:
    """The weakest moment of each piece that is pushed, with what holds it; None where nothing can be said of it."""
    pieces, things = board_pieces(trial), holds(trial)
    if not pieces.how_many or (pieces.how_many < 2 and not things):
        return None
    things += [Hold(pin, 0) for pin in trial.case.fixture.standing() if not pin.holds]
    weak = np.zeros(0, np.intp)
    # What seems to hold weakly is asked once more, closely.
    for _ in range(2):
        holding = holding_of(trial, pieces, things, weak)
        every = pushes(trial, holding.joints.done_by)
        beside = _pieces_around(pieces, every)
        found = [each for piece in range(pieces.how_many) if (each := _weakest(holding, every, beside, piece))]
        weak = np.array([each.piece for each in found if each.factor < ENOUGH], np.intp)
        if holding.joints.all_exact or not len(weak):
            break
    return holding, every, found, things


def _weakest(holding: Holding, every: Pushes, beside: Ints, piece: int) -> Weakest | None:
    """Of one piece; None where it is never pushed, comes free, or is the frame that nothing declared holds."""
    joints, anchors = holding.joints, holding.anchors
    mine = np.flatnonzero(anchors.piece == piece)
    some, members = _joined_to_held(holding, piece)
    close = np.flatnonzero(np.isin(beside, members).any(axis=1))
    if piece == holding.frame:
        close = close[every.move[close] >= _held_since(holding, mine)]
    if not len(close) or not (joints.left[some].any() or anchors.holds[mine].any()):
        return None
    at = every.some(close)
    least = group_of(holding, some, joints.left[some, None], mine, at.move[:1])
    if _plenty(holding, least, at):
        return Weakest(piece, inf, int(close[0]), least, ())
    each = _worst(holding, every, close, piece, some, mine)
    if each.factor >= ENOUGH:
        return each
    close = close[touched(holding.trial, holding.pieces, at, members)]
    return _worst(holding, every, close, piece, some, mine) if len(close) else None


def _worst(holding: Holding, every: Pushes, close: Ints, piece: int, some: Ints, mine: Ints) -> Weakest:
    """Of some pushes on a piece the one that what holds it bears worst.

    close : (c,) these pushes; some : its joints with what is held; mine : its own anchors
    """
    anchors, at = holding.anchors, every.some(close)
    looked = np.sort(np.argsort(-_roughly(holding, some, mine, at), kind="stable")[:_WORST])
    at, close = at.some(looked), close[looked]
    group = group_of(holding, some, thickness_at(holding, some, at.move), mine, at.move)
    share = load(group, at.tip[:, :2], at.peak, at.mean)
    nth = int(np.argmax(share))
    things = tuple(sorted(set(anchors.hold[mine[anchors.since[mine] <= at.move[nth]]].tolist())))
    then = group._replace(**{name: getattr(group, name)[:, [nth]] for name in ("stiff", "pull", "shear")})
    return Weakest(piece, float(1 / max(share[nth], 1e-9)), int(close[nth]), then, things)


def _plenty(holding: Holding, least: Group, at: Pushes) -> bool:
    """Whether the least that ever holds bears far more than all pushes: what is left in the end, with the hold-downs
    that are there from the first push on."""
    strength = wood_strength(holding.trial.case.fixture.board.wood)
    share = roughly(middle_of(least), at.tip[:, :2]) * at.peak * strength.shear / min(strength.across, strength.shear)
    return bool(least.stiff.any() and share.max() * _PLENTY < 1)


def _held_since(holding: Holding, mine: Ints) -> int:
    """The first move for which these anchors are of two hold-downs or of a grip; more than any if there is none."""
    anchors, never = holding.anchors, len(holding.trial.case.moves)
    holds = mine[anchors.holds[mine]]
    first = np.unique(np.stack([anchors.hold[holds], anchors.since[holds]], axis=1), axis=0)[:, 1]
    by_grip = anchors.since[holds[anchors.grips[holds]]]
    return int(min(np.append(np.sort(first), [never] * 2)[1], by_grip.min(initial=never)))


def _roughly(holding: Holding, some: Ints, mine: Ints, at: Pushes) -> Floats:
    """(s,) how hard each push strains what holds a piece at one of some moments before it."""
    parted = some[holding.joints.parted[some]]
    begun = np.searchsorted(at.move, holding.joints.done_by[parted].min(initial=len(holding.trial.case.moves)))
    moment = np.unique(np.append(np.linspace(0, len(at.move) - 1, _MOMENTS).astype(np.intp), begun))
    moment = moment[moment < len(at.move)]
    then = at.move[moment]
    middle = middle_of(group_of(holding, some, thickness_at(holding, some, then), mine, then))
    column = np.searchsorted(moment, np.arange(len(at.move)), "right") - 1
    return np.asarray(roughly(middle.some(column), at.tip[:, :2]) * at.peak)


def _joined_to_held(holding: Holding, piece: int) -> tuple[Ints, Ints]:
    """The joints of a piece with what is held without it; and the pieces that hang on it, and itself."""
    pairs = holding.pairs
    root = hang_together(holding.pieces.how_many, pairs, piece)
    anchored = holding.anchors.piece[holding.anchors.holds]
    others = set(root[np.append(anchored, holding.frame)].tolist()) - {int(root[piece])}
    grounded = np.isin(root, np.array(sorted(others), np.intp))
    beside = pairs[:, (pairs == piece).any(axis=0)]
    hangs = np.unique(root[beside[(beside != piece) & ~grounded[beside]]])
    mine = holding.by_piece.of(np.array([piece]))
    one, two = holding.pieces.borders.pieces[:, mine]
    joints = holding.by_stretch.of(np.sort(mine[grounded[np.where(one == piece, two, one)]]))
    return joints, np.append(np.flatnonzero(np.isin(root, hangs)), piece)


def _pieces_around(pieces: BoardPieces, every: Pushes) -> Ints:
    """(s, directions) the pieces that lie around the cutter at each push."""
    angle = np.arange(_AROUND) * (2 * np.pi / _AROUND)
    reach = every.radius + pieces.grid.cell
    place = every.tip[:, None, :2] + reach[:, None, None] * np.stack([np.cos(angle), np.sin(angle)], axis=1)
    return pieces.number[cells_at(pieces.grid, place.reshape(-1, 2))].reshape(-1, _AROUND)


def _finding(holding: Holding, every: Pushes, each: Weakest, taken: str) -> Finding:
    case, pieces, push = holding.trial.case, holding.pieces, each.push
    move = int(every.move[push])
    line, (x, y, z) = int(case.moves.line[move]), case.work(every.tip[[push]])[0].tolist()
    cutter, force = case.cutters[int(case.moves.tool[move])], float(every.peak[push])
    words = (
        f"{cutter} pushes {_size(holding.trial, pieces, each.piece)} with up to {force:.0f} N, and what holds it then, "
        f"{_by_what(holding, each)}{taken}, stands {each.factor:.1f} times that; {ENOUGH:g} times is enough. Give it "
        "more or stronger tabs, a screw or tape, or cut with less force."
    )
    if each.factor < GIVES and each.piece != holding.frame:
        return Finding("weak-hold", "danger", line, (x, y, z), each.factor, GIVES, words, 1, (line,))
    return Finding("weak-hold", "doubt", line, (x, y, z), each.factor, ENOUGH, words, 1, (line,))


def _taken_for_granted(things: list[Hold], each: Weakest) -> str:
    """What is not said of hold-downs and was assumed, in words."""
    kinds = dict.fromkeys(words for nth in each.things if (words := assumed(things[nth].thing)))
    return f" (taken for granted: {', '.join(kinds)})" if kinds else ""


def _by_what(holding: Holding, each: Weakest) -> str:
    found = []
    wood = each.group.some(np.flatnonzero(each.group.wood & (each.group.stiff[:, 0] > 0)))
    if len(wood.place):
        area = float(wood.stiff.sum()) / wood_strength(holding.trial.case.fixture.board.wood).shear
        mask = np.zeros(holding.pieces.number.shape, bool)
        mask[cells_at(holding.pieces.grid, wood.place)] = True
        places = len(label(around(mask)).area)
        found.append(f"{area:.0f} mm2 of wood" + (f" in {places} places" if places > 1 else ""))
    if each.things:
        found.append(f"{len(each.things)} hold-down{'s' if len(each.things) > 1 else ''}")
    return " and ".join(found) or "nothing"


def _size(trial: Trial, pieces: BoardPieces, piece: int) -> str:
    """A piece by its size and its middle."""
    row, column = np.nonzero((pieces.number == piece) & (pieces.thickness > 0))
    cell, low, left = pieces.grid.cell, pieces.grid.low, pieces.grid.left
    x = left + (column.min() + column.max() + 1) / 2 * cell
    y = low + (row.min() + row.max() + 1) / 2 * cell
    x, y, _ = trial.case.point(x, y, 0.0)
    return f"a piece {(np.ptp(column) + 1) * cell:.0f} x {(np.ptp(row) + 1) * cell:.0f} mm around X{x:.0f} Y{y:.0f}"
