"""Whether round holes that are made from both sides of the board meet."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

import numpy as np
import shapely
from shapely import STRtree

from toolpaths.base.checks import Floats
from toolpaths.facts.turning import TURNS
from toolpaths.judging.checks.between_sides.round_holes import holes_of
from toolpaths.judging.checks.part.laid_wrong import found_laid_wrong
from toolpaths.judging.job_programs import Judged
from toolpaths.judging.job_report import SideFinding
from toolpaths.judging.trial.findings import ROUNDING, folded
from toolpaths.judging.wood.sweep import Flags, Ints

# mm between the axes of holes from both sides that still count as one: what a reamed fit would show
# (common practice, no source).
COAXIAL = 0.05
# mm; a web no thicker than this between coaxial holes is hardly meant (common practice, no source).
_HARDLY_A_WEB = 1.0
# A small hole wholly within one more than so many times as wide lies where it likes, as do several.
_MOUNT = 3.0


class _Drilled(NamedTuple):
    """All holes that are made from one side; (n,) or (n, 2), places seen from the front.

    program : which of the job's programs makes each, from 0; move : the first move that goes deepest
    """

    place: Floats
    radius: Floats
    depth: Floats
    program: Ints
    move: Ints


def holes_apart(programs: tuple[Judged, ...]) -> Iterator[SideFinding]:
    """Holes from both sides that meet, but not on one axis, or that fall short of each other by a hair."""
    sides = list(dict.fromkeys(program.setting.fixture.side for program in programs))
    if len(sides) < 2 or any(program.laid_wrong for program in programs):
        return
    first, second = (_drilled(programs, side) for side in sides)
    if not len(first.depth) or not len(second.depth):
        return
    thickness = programs[0].setting.fixture.board.thickness
    if otherwise := _meet_otherwise(programs, first, second):
        yield otherwise
        return
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
    yield from _findings(
        programs, second, b[off], apart[off], COAXIAL, "holes-apart", "damage",
        f"meets a hole from the other side whose axis lies {{amount}} mm away, {COAXIAL:g} mm is allowed; check the "
        "place, and that both sides count from the zero that their fixtures name.",
    )  # fmt: skip
    thin = np.flatnonzero((web > ROUNDING) & (web <= _HARDLY_A_WEB) & (apart <= np.maximum(small / 2, COAXIAL)))
    thin = thin[~np.isin(b[thin], b[off]) & ~np.isin(b[thin], b[meet])]
    yield from _findings(
        programs, second, b[thin], web[thin], _HARDLY_A_WEB, "holes-apart", "doubt",
        "ends {amount} mm short of the hole from the other side on the same axis; if they are to meet, go deeper, "
        f"if not, leave more than {_HARDLY_A_WEB:g} mm between them.",
    )  # fmt: skip


def _meet_otherwise(programs: tuple[Judged, ...], first: _Drilled, second: _Drilled) -> SideFinding | None:
    """No hole meets one from the other side on one axis, and most would if the board were turned over the other way."""
    turned = next(program.setting.fixture for program in programs if program.setting.fixture.turned)
    board, (other,) = turned.board, [each for each in TURNS if each != turned.turned]
    if len({program.setting.fixture.turned for program in programs}) > 2:
        return None
    half = second._replace(place=np.array([board.width, board.height]) - second.place)
    a, b = _meeting(first, half, board.thickness)
    # In a hole that goes through a narrower one takes nothing.
    wider, through = first.radius[a] - half.radius[b], board.thickness - ROUNDING
    adds = ~((first.depth[a] >= through) & (wider >= 0) | (half.depth[b] >= through) & (wider <= 0))
    meet = len(set(map(tuple, half.place[b[adds]].tolist())))
    as_given, _ = _meeting(first, second, board.thickness)
    if len(as_given) or meet < max(2, len(set(map(tuple, second.place.tolist()))) / 2):
        return None
    overlap = len(_pairs(first, second)[0]) > 0
    return SideFinding("", found_laid_wrong(
        f"no hole from the one side meets one from the other on one axis, but {meet} would if the board were turned "
        f"{other}, and not {turned.turned}: see which way the programs were made for.", sure=overlap,
    ))  # fmt: skip


def _meeting(first: _Drilled, second: _Drilled, thickness: float) -> tuple[Ints, Ints]:
    """Holes from both sides that meet on one axis."""
    a, b = _pairs(first, second)
    apart = np.hypot(*(first.place[a] - second.place[b]).T)
    meet = (apart <= COAXIAL) & (first.depth[a] + second.depth[b] >= thickness - ROUNDING)
    return a[meet], b[meet]


def _findings(
    programs: tuple[Judged, ...],
    holes: _Drilled,
    which: Ints,
    amounts: Floats,
    limit: float,
    code: str,
    severity: str,
    words: str,
) -> Iterator[SideFinding]:
    for number in sorted(set(holes.program[which].tolist())):
        mine = holes.program[which] == number
        case, moves = programs[number].case, holes.move[which[mine]]
        order = np.argsort(moves, kind="stable")
        moves, some = moves[order], amounts[mine][order]
        finding = folded(
            code, severity, case.moves.line[moves], case.ends(moves), some, limit,
            f"the hole {words}",
        )  # fmt: skip
        yield SideFinding(programs[number].setting.name, finding)


def _drilled(programs: tuple[Judged, ...], side: str) -> _Drilled:
    columns: list[tuple[Floats, Floats, Floats, Ints, Ints]] = []
    for number, program in enumerate(programs):
        fixture = program.setting.fixture
        if fixture.side == side:
            holes = holes_of(program.case)
            places = fixture.seen_from_front(np.stack([holes.x, holes.y], axis=1))
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
