"""How what is cut in one fixture comes to lie on what was cut in another, once the board was turned over.

On the front X0 Y0 is found at the board's own edges, so that what is cut there keeps its distance from the corner
(or the centre) that is X0 Y0, whatever size the board was entered with.

On pins X0 Y0 is not set anew for the back, only Z0 is: the pins stand in holes that the front's program made, so the
board's size moves nothing of the back. Without pins X0 Y0 is found anew at the turned board, and its size does. Turned
left to right, X0 Y0 the lower left corner both times, the board w wider than the W that was entered:

    front       X0----x-------------W..w      cut x from the edge that is now at the left
    back        X0-------------W-x--W..w      meant for the same place, W - x from the edge that is now at the left

The second place lies W + w - (W - x) = x + w from the first edge: the back is off by all of w. Had the back's X0 Y0
been the lower right corner, the same corner of the wood, it would be off by nothing; at the centre, by w / 2. In the
other direction, along the line about which the board turns, it is off by what the two zeros are off.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import cos, radians, sin

import numpy as np

from toolpaths.base.checks import Floats
from toolpaths.facts.fixture import Fixture
from toolpaths.judging.job_programs import Setting
from toolpaths.judging.study.corners import Corner, on_pins


def size_shift(first: Fixture, fixture: Fixture, corner: Corner) -> Floats:
    """How far (x, y), seen from the front, what is cut in a fixture lies off what is cut in the first of the job, just
    because the board is not of the size that was entered."""
    if bool(fixture.turned) != bool(first.turned) and (on_pins(fixture) or on_pins(first)):
        return np.zeros(2)
    return _from_edges(fixture, corner) - _from_edges(first, corner)


def _from_edges(fixture: Fixture, corner: Corner) -> Floats:
    """How much farther than meant from the left and the lower edge, seen from the front, all is cut whose zero was
    found at the edges of the board: as much as the zero itself lies off, from the edges that are there then."""
    board, grown = fixture.board, np.array([corner.width, corner.height])
    off = np.array(fixture.zero[:2]) / (board.width, board.height) * grown
    return np.asarray(np.where(_mirrored(fixture), grown - off, off))


def _mirrored(fixture: Fixture) -> tuple[bool, bool]:
    """Which of X and Y is the other way round than seen from the front."""
    return fixture.turned == "left to right", fixture.turned == "top to bottom"


def laid_at(first: Fixture, fixture: Fixture, corner: Corner, points: Floats) -> Floats:
    """Where places (n, 2) that are aimed at on the board as it lies in a fixture come to lie on it instead.

    first : the fixture of the job's first program; what was cut there lies where it was aimed at
    """
    size = np.where(_mirrored(fixture), -1.0, 1.0) * size_shift(first, fixture, corner)
    if not fixture.turned:
        return np.asarray(points + size)
    clearance = corner.dowel_clearance if fixture.dowels else 0.0
    middle, length = pins_apart(fixture)
    askew = _rotated(points, _middle(fixture), 2 * radians(corner.flip_angle_deg))
    in_play = _rotated(askew, middle, clearance / length if length else 0.0)
    shift = 2 * corner.flip_line + clearance / 2
    return np.asarray(in_play + shift * _across_flip_line(fixture) + size)


def _rotated(points: Floats, about: Floats, angle: float) -> Floats:
    turn = np.array([[cos(angle), -sin(angle)], [sin(angle), cos(angle)]])
    return np.asarray((points - about) @ turn.T + about) if angle else points


def _middle(fixture: Fixture) -> Floats:
    """Of the board, through which the line goes about which it is turned over; the same from either face."""
    return np.array([fixture.board.width, fixture.board.height]) / 2


def _across_flip_line(fixture: Fixture) -> Floats:
    """(2,) 1 in the direction across the line about which the board was turned over."""
    return np.array(_mirrored(fixture), np.float64)


def pins_apart(fixture: Fixture) -> tuple[Floats, float]:
    """The point midway between the two dowels farthest apart, and how far apart; 0 with fewer than two."""
    places = np.array([(d.x, d.y) for d in fixture.dowels]).reshape(-1, 2)
    if not len(places):
        return np.zeros(2), 0.0
    apart = np.hypot(*(places[:, None] - places[None]).transpose(2, 0, 1))
    a, b = np.unravel_index(int(apart.argmax()), apart.shape)
    # Pins lie so that they mirror each other: where they are seen from matters only for one on its own.
    return fixture.seen_from_front((places[a] + places[b]) / 2), float(apart[a, b])


def mismatch(settings: Sequence[Setting], ranges: Corner, points: Floats) -> float:
    """How far what is cut in different fixtures may be off each other at the worst of some places (n, 2), seen from
    the front.

    Source: a flip line wrong by e shifts the back by 2 e; two pins L apart with a diametral clearance c
    let it shift by c / 2 and turn by c / L, which at a distance rho from the point between them is
    c / 2 + rho c / L (derived from rigid motions; 0.11 for c = 0.1, L = 100, rho = 60). A flip line askew by a turns
    the back by 2 a about the middle of the board.
    """
    first = settings[0].fixture
    fixtures = list(dict.fromkeys(setting.fixture for setting in settings))
    return max(_off_first(first, fixture, ranges, points) for fixture in fixtures)


def _off_first(first: Fixture, fixture: Fixture, ranges: Corner, points: Floats) -> float:
    off, turned_by = np.abs(size_shift(first, fixture, ranges)), 0.0
    if fixture.turned:
        off += 2 * ranges.flip_line * _across_flip_line(fixture)
        turned_by = 2 * radians(ranges.flip_angle_deg) * _farthest(points, _middle(fixture))
    if on_pins(fixture) and ranges.dowel_clearance:
        off += ranges.dowel_clearance / 2 * _across_flip_line(fixture)
        middle, length = pins_apart(fixture)
        rho = _farthest(points, fixture.seen_from_front(middle)) + turned_by
        turned_by += rho * ranges.dowel_clearance / length if length else 0.0
    return float(np.hypot(*off)) + turned_by


def _farthest(points: Floats, place: Floats) -> float:
    return float(np.hypot(*(points - place).T).max()) if len(points) else 0.0


def registration_notes(settings: Sequence[Setting], ranges: Corner) -> tuple[str, ...]:
    """How the back is registered: which zeros are set anew once the board is turned over, and what that rests on."""
    first = settings[0].fixture
    notes = []
    for fixture in dict.fromkeys(setting.fixture for setting in settings):
        if not fixture.turned:
            continue
        if on_pins(fixture):
            notes.append(
                "the back lies on its pins: X0 Y0 is not set anew, only Z0 is, so a board of another width or height "
                "moves nothing of the back off the front."
            )
            if ranges.dowel_clearance and len(fixture.dowels) < 2:
                notes.append("one dowel does not keep the board from turning; only its shift is counted.")
        else:
            shares = size_shift(first, fixture, Corner(width=1.0, height=1.0)).tolist()
            across, up = (_SHARES[abs(share)] for share in shares)
            askew = f" and +-{ranges.flip_angle_deg:g} degrees" if ranges.flip_angle_deg else ""
            notes.append(
                f"no dowels: X0 Y0 is found anew at the {fixture.zero_corner} of the turned board. How front and back "
                f"meet rests on the flip line, +-{ranges.flip_line:g} mm{askew}, on {across} the error of the board's "
                f"width and on {up} the error of its height."
            )
    return tuple(dict.fromkeys(notes))


_SHARES = {0.0: "none of", 0.5: "half", 1.0: "all of"}
