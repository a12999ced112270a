"""Two readers that share no line, held against each other: where the proof understands a text, it goes where the
library's reader goes. It may refuse more; what only it understands is no motion to compare."""

from __future__ import annotations

from itertools import groupby
from math import ceil

import numpy as np
from numpy.typing import NDArray

from toolpaths.judging.reader.motions import ARC, DWELL, RAPID, Motions, Program
from toolpaths.proving.read_pieces import NotUnderstood, Piece, read_pieces

Points = NDArray[np.float64]
# Shares of the way of a line at which the two places are compared.
_SHARES = np.linspace(0.0, 1.0, 33)
_ANYWHERE = 1e4


def assert_proof_goes_where_the_reader_goes(text: str, program: Program) -> bool:
    """Whether there was anything to compare.

    program : of that text, from read_all()
    """
    try:
        pieces = read_pieces([text]).pieces
    except NotUnderstood:
        return False
    if program.errors:
        return False
    theirs = _by_line(program.motions)
    mine = {line: list(group) for line, group in groupby(pieces, key=lambda piece: piece.line)}
    tools = "M6" in dict(program.codes)
    for line in sorted(theirs.keys() | mine.keys()):
        _compare(program.motions, theirs.get(line, []), mine.get(line, []), tools, line)
    return bool(mine)


def _by_line(motions: Motions) -> dict[int, list[int]]:
    moving = np.flatnonzero(motions.kind != DWELL)
    return {line: list(group) for line, group in groupby(moving.tolist(), key=lambda nth: int(motions.line[nth]))}


def _compare(motions: Motions, theirs: list[int], mine: list[Piece], tools: bool, line: int) -> None:
    if any(piece.off >= _ANYWHERE for piece in mine):
        # It does not know where it comes from; where it comes to it must know as the reader does.
        assert mine[-1].z1 == motions.end[theirs[-1], 2], f"line {line}: Z"
        return
    for nth in theirs:
        assert motions.kind[nth] == RAPID or motions.spindle[nth] == 1, f"line {line}: fed, spindle standing"
    if tools and mine and theirs:
        assert {piece.tool for piece in mine} == {int(motions.tool[nth]) for nth in theirs}, f"line {line}: tool"
    cycle = bool(theirs) and motions.cycle[theirs[0]] > 0
    for rapid in (True, False):
        own = [piece for piece in mine if piece.rapid == rapid and _length(piece) > 0]
        its = [nth for nth in theirs if (motions.kind[nth] == RAPID) == rapid and _moves(motions, nth)]
        # What a peck does in between, the proof leaves out: it is in the hole so far.
        assert bool(own) == bool(its), f"line {line}: rapid {rapid}, {own} {its}"
        if not own:
            continue
        way, other = _of_pieces(own), np.vstack([_of_motion(motions, nth) for nth in its])
        close = 1e-6 + 1e-9 * np.abs(other).max() + 3 * max(piece.off for piece in own)
        if not cycle:
            apart = np.abs(_along(way) - _along(other)).max()
            assert apart <= close, f"line {line}: {apart} mm apart"
        bounds = np.abs(way.min(axis=0) - other.min(axis=0)), np.abs(way.max(axis=0) - other.max(axis=0))
        assert np.max(bounds) <= close, f"line {line}: {bounds}"
    if mine and theirs:
        assert np.allclose((*mine[-1].points[-1], mine[-1].z1), motions.end[theirs[-1]], rtol=1e-12, atol=1e-9), line


def _moves(motions: Motions, nth: int) -> bool:
    return bool(motions.kind[nth] == ARC or (motions.start[nth] != motions.end[nth]).any())


def _length(piece: Piece) -> float:
    way = _of_pieces([piece])
    return float(np.abs(np.diff(way, axis=0)).sum())


def _of_pieces(pieces: list[Piece]) -> Points:
    found = []
    for piece in pieces:
        heights = np.linspace(piece.z0, piece.z1, len(piece.points))
        found.append(np.column_stack([np.array(piece.points), heights]))
    return np.vstack(found)


def _of_motion(motions: Motions, nth: int) -> Points:
    start, end = motions.start[nth], motions.end[nth]
    if motions.kind[nth] != ARC:
        return np.array([start, end])
    assert motions.plane[nth] == 17
    sweep, centre = motions.sweep[nth], motions.centre[nth]
    count = min(100_000, max(64, ceil(abs(sweep) * np.sqrt(np.hypot(*(start - centre)[:2]) / 0.0005))))
    share = np.linspace(0.0, 1.0, count + 1)
    radius = np.hypot(*(start - centre)[:2]) * (1 - share) + np.hypot(*(end - centre)[:2]) * share
    angle = np.arctan2(*(start - centre)[1::-1]) + sweep * share
    x, y = centre[0] + radius * np.cos(angle), centre[1] + radius * np.sin(angle)
    return np.column_stack([x, y, start[2] + (end[2] - start[2]) * share])


def _along(way: Points) -> Points:
    """Places at these shares of its length."""
    steps = np.concatenate([[0.0], np.cumsum(np.sqrt((np.diff(way, axis=0) ** 2).sum(axis=1)))])
    return np.column_stack([np.interp(_SHARES * steps[-1], steps, column) for column in way.T])
