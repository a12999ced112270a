"""Round holes in a program, and whether those drilled from both sides of the board meet.

A hole is a stretch of moves below the top of the board that stays upright over one place, whether a
canned cycle or a plunge, or that goes round one centre and clears it, as a bore does.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

import numpy as np
import shapely
from shapely import STRtree

from toolpaths.base.checks import Floats
from toolpaths.judging.checks.sides.sides import SideFinding
from toolpaths.judging.reader.motions import DWELL, RAPID
from toolpaths.judging.runs import Run
from toolpaths.judging.trial.case import Case
from toolpaths.judging.trial.findings import ROUNDING, folded
from toolpaths.judging.wood.moves import CX, CY, RADIUS, SWEEP, X1, Y1, Z0, Z1
from toolpaths.judging.wood.sweep import Flags, Ints

# mm between the axes of holes from both sides that still count as one: what a reamed fit would show
# (common practice, no source).
COAXIAL = 0.05
# mm; a web no thicker than this between coaxial holes is hardly meant (common practice, no source).
_HARDLY_A_WEB = 1.0
# A small hole wholly within one more than so many times as wide lies where it likes, as do several.
_MOUNT = 3.0
# mm; centres and radii that agree in so much are one, as for arcs in the standard, with room for rounding.
_ONE_CENTRE = 0.01
# A path wider than so many radii of its cutter is no bore.
_WIDEST = 8.0


class Holes(NamedTuple):
    """n holes of one program, on the board as it lies: (n,) each.

    depth : of the tip below the top of the board; radius : at the top
    move : the first move that goes deepest
    """

    x: Floats
    y: Floats
    radius: Floats
    depth: Floats
    move: Ints


def holes_of(case: Case) -> Holes:
    """Every round hole of a program in the order in which they are made."""
    known = case.known()
    sideways_rapid = (case.kind == RAPID) & ~case.upright
    which = np.flatnonzero((case.low < -ROUNDING) & known & ~sideways_rapid & (case.kind != DWELL))
    if not len(which):
        return _gathered([])
    x, y, tool = case.table[X1][which], case.table[Y1][which], case.tool[which]
    # A stretch ends where the cutter left the wood between, changed, or stands upright over another place.
    ends = (np.diff(which) > 1) | (np.diff(tool) != 0)
    upright = case.upright[which]
    ends |= upright[1:] & upright[:-1] & ((np.diff(x) != 0) | (np.diff(y) != 0))
    first = np.concatenate([[0], np.flatnonzero(ends) + 1])
    last = np.append(first[1:], len(which))
    radius = case.radii(which[first])
    wide = np.maximum(
        np.maximum.reduceat(x, first) - np.minimum.reduceat(x, first),
        np.maximum.reduceat(y, first) - np.minimum.reduceat(y, first),
    )
    found = []
    for group in np.flatnonzero(wide <= _WIDEST * radius).tolist():
        moves = which[first[group] : last[group]]
        circle = _circle(case, moves, float(radius[group]))
        if circle is not None:
            found.append((*circle, moves[int(np.argmin(case.low[moves]))]))
    return _gathered(found)


def _gathered(found: list[tuple[float, float, float, float, int]]) -> Holes:
    x, y, radius, depth = np.array([row[:4] for row in found], np.float64).reshape(-1, 4).T
    return Holes(x, y, radius, depth, np.array([row[4] for row in found], np.intp))


def _circle(case: Case, moves: Ints, radius: float) -> tuple[float, float, float, float] | None:
    """x, y, radius and depth of the hole that a stretch of moves makes, if it makes one."""
    table = case.table[:, moves]
    depth = -float(case.low[moves].min())
    profile = case.cutters[int(case.tool[moves[0]])].profile
    own = profile.radius_at(depth)
    if case.upright[moves].all():
        going_down = (table[Z1] < table[Z0]).any()
        return (float(table[X1, 0]), float(table[Y1, 0]), own, depth) if going_down else None
    arcs = table[:, table[SWEEP] != 0]
    if not arcs.size:
        return None
    largest = float(arcs[RADIUS].max())
    x, y = float(arcs[CX, 0]), float(arcs[CY, 0])
    about_one = np.hypot(arcs[CX] - x, arcs[CY] - y).max() <= _ONE_CENTRE
    outer = arcs[RADIUS] >= largest - _ONE_CENTRE
    full = np.abs(arcs[SWEEP, outer]).sum() >= 2 * np.pi - 1e-3
    cleared = arcs[RADIUS].min() <= radius + ROUNDING
    box = case.box[:, moves]
    within = max(np.abs(box[:2] - x).max(), np.abs(box[2:] - y).max()) <= largest + _ONE_CENTRE
    return (x, y, largest + own, depth) if about_one and full and cleared and within else None


class _Drilled(NamedTuple):
    """All holes of the programs with the board lying one way; (n,) or (n, 2), places seen from the front."""

    place: Floats
    radius: Floats
    depth: Floats
    run: Ints
    move: Ints


def holes_apart(runs: tuple[Run, ...]) -> Iterator[SideFinding]:
    """Holes from both sides that meet, but not on one axis, or that fall short of each other by a hair."""
    ways = list(dict.fromkeys(run.setting.fixture.turned for run in runs))
    if len(ways) < 2:
        return
    first, second = (_drilled(runs, turned) for turned in ways[:2])
    if not len(first.depth) or not len(second.depth):
        return
    thickness = runs[0].setting.fixture.board.thickness
    a, b = _pairs(first, second)
    apart = np.hypot(*(first.place[a] - second.place[b]).T)
    web = thickness - first.depth[a] - second.depth[b]
    small, large = np.minimum(first.radius[a], second.radius[b]), np.maximum(first.radius[a], second.radius[b])
    inside = apart + small <= large + COAXIAL
    alone = _number_of_partners(a, second.place[b]) + _number_of_partners(b, first.place[a]) == 2
    loose = inside & ((large > _MOUNT * small) | ~alone)
    meet = web <= ROUNDING
    # In a row of holes that run into each other each is meant for the nearest.
    nearest = (apart <= _least(a, apart, meet) + 1e-6) & (apart <= _least(b, apart, meet) + 1e-6)
    off = np.flatnonzero(meet & (apart > COAXIAL + 1e-6) & nearest & ~loose)
    yield from _told(
        runs, second, b[off], apart[off], COAXIAL, "holes-apart", "damage",
        "meets a hole from the other side whose axis lies {amount} mm away, {limit:g} mm is allowed; check the "
        "place, and that both sides count from the zero that their fixtures name.",
    )  # fmt: skip
    thin = np.flatnonzero((web > ROUNDING) & (web <= _HARDLY_A_WEB) & (apart <= np.maximum(small / 2, COAXIAL)))
    thin = thin[~np.isin(b[thin], b[off]) & ~np.isin(b[thin], b[meet])]
    yield from _told(
        runs, second, b[thin], web[thin], _HARDLY_A_WEB, "holes-apart", "doubt",
        "ends {amount} mm short of the hole from the other side on the same axis; if they are to meet, go deeper, "
        "if not, leave more than {limit:g} mm between them.",
    )  # fmt: skip


def _told(
    runs: tuple[Run, ...],
    holes: _Drilled,
    which: Ints,
    amounts: Floats,
    limit: float,
    code: str,
    severity: str,
    words: str,
) -> Iterator[SideFinding]:
    for number in sorted(set(holes.run[which].tolist())):
        mine = holes.run[which] == number
        case, moves = runs[number].case, holes.move[which[mine]]
        order = np.argsort(moves, kind="stable")
        moves, some = moves[order], amounts[mine][order]
        finding = folded(
            code, severity, case.line[moves], case.ends(moves), some, limit,
            "the hole " + words.replace("{limit:g}", f"{limit:g}"),
        )  # fmt: skip
        yield SideFinding(runs[number].setting.name, finding)


def _drilled(runs: tuple[Run, ...], turned: str) -> _Drilled:
    columns: list[tuple[Floats, Floats, Floats, Ints, Ints]] = []
    for number, run in enumerate(runs):
        if run.setting.fixture.turned == turned:
            holes = holes_of(run.case)
            places = run.setting.fixture.seen_from_front(np.stack([holes.x, holes.y], axis=1))
            columns.append((places, holes.radius, holes.depth, np.full(len(holes.x), number), holes.move))
    return _Drilled(*(np.concatenate(column) for column in zip(*columns, strict=True)))


def _pairs(first: _Drilled, second: _Drilled) -> tuple[Ints, Ints]:
    """Holes whose discs overlap."""
    tree = STRtree(shapely.points(first.place))
    reach = second.radius + float(first.radius.max())
    b, a = tree.query(shapely.points(second.place), predicate="dwithin", distance=reach)
    apart = np.hypot(*(first.place[a] - second.place[b]).T)
    near = apart < first.radius[a] + second.radius[b] - ROUNDING
    return a[near], b[near]


def _least(holes: Ints, apart: Floats, meet: Flags) -> Floats:
    """For each pair, how far the nearest hole that meets the same hole lies away."""
    least = np.full(int(holes.max(initial=-1)) + 1, np.inf)
    np.minimum.at(least, holes[meet], apart[meet])
    return np.asarray(least[holes])


def _number_of_partners(mine: Ints, places: Floats) -> Ints:
    """For each pair, how many places the partners of that hole have."""
    keys = [(hole, round(x / COAXIAL), round(y / COAXIAL)) for hole, (x, y) in zip(mine.tolist(), places.tolist())]
    distinct: dict[int, set[tuple[int, int]]] = {}
    for hole, x, y in keys:
        distinct.setdefault(hole, set()).add((x, y))
    return np.array([len(distinct[hole]) for hole in mine.tolist()], np.intp)
