"""How a push on a piece is shared by all that holds it, and how near the worst of that comes to giving way.

The elastic method of the trade for groups of welds and bolts: all that holds a piece turns and shifts together, so
each takes a share by its own stiffness, of the push as such and of the turning that the push's distance from the middle
of the group makes. Strengths stand for stiffnesses.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from toolpaths.base.checks import Floats
from toolpaths.judging.wood.sweep import Flags, Ints


class Group(NamedTuple):
    """e small things that hold a piece, each at s moments.

    wood : (e,) whether it is wood, not a hold-down
    place, normal : (e, 2) where, and square to the face over which it holds
    stiff, pull, shear : (e, s) how much of the load it takes, in proportion; N that it bears square to its face and
        along it
    """

    wood: Flags
    place: Floats
    normal: Floats
    stiff: Floats
    pull: Floats
    shear: Floats

    def some(self, which: Ints) -> Group:
        """Only these things."""
        return self._replace(**{name: each[which] for name, each in self._asdict().items()})


class Middle(NamedTuple):
    """The middle of a group, (s, 2), how stiff it is in all against shifts and against turning, (s,), and how far its
    farthest lies from the middle."""

    place: Floats
    shift: Floats
    turn: Floats
    reach: Floats

    def some(self, moments: Ints) -> Middle:
        """At some of the moments."""
        return Middle(*(each[moments] for each in self))


def middle_of(group: Group) -> Middle:
    """What of a group its shares follow from."""
    shift = np.maximum(group.stiff.sum(axis=0), 1e-9)
    middle = (group.stiff.T @ group.place) / shift[:, None]
    square = _square_out(group, middle)
    turn = np.maximum((group.stiff * square).sum(axis=0), 1e-9)
    return Middle(middle, shift, turn, np.sqrt(np.where(group.stiff > 0, square, 0.0).max(axis=0, initial=0.0)))


def _square_out(group: Group, middle: Floats) -> Floats:
    """(e, s) mm2, square of how far each thing lies from middles (s, 2)."""
    x, y = (group.place[:, [axis]] - middle[:, axis] for axis in (0, 1))
    return np.asarray(x * x + y * y)


def roughly(middle: Middle, at: Floats) -> Floats:
    """(s,) load on the most loaded, as a share of what it takes of all, for a push of 1 N at places (s, 2)."""
    arm = np.hypot(*(at - middle.place).T)
    return np.asarray(1 / middle.shift + arm * middle.reach / middle.turn)


def load(group: Group, at: Floats, peak: Floats, mean: Floats) -> Floats:
    """(s,) share of what it bears to which a group is loaded by pushes at places (s, 2).

    All of it together, its wood alone or its hold-downs alone, whichever bears most, since what breaks first leaves
    the rest to hold.

    peak, mean : (s,) N of each push. Wood is broken by the peaks; what slips is moved by what lasts.
    """
    parts = [(group, worst_share, peak), (group.some(np.flatnonzero(~group.wood)), yielding_share, mean)]
    if not group.wood.all():
        parts.append((group.some(np.flatnonzero(group.wood)), worst_share, peak))
    loads = [np.where(part.stiff.any(axis=0), share(part, at) * force, np.inf) for part, share, force in parts]
    return np.asarray(np.min(loads, axis=0))


def yielding_share(group: Group, at: Floats) -> Floats:
    """As worst_share() of what slips or yields before it lets go, as screws, tape and friction do: each bears all that
    it can before the whole gives. What the push takes of that and what its turning takes are added."""
    middle = middle_of(group)
    arm = np.hypot(*(at - middle.place).T)
    turn = (group.stiff * np.sqrt(_square_out(group, middle.place))).sum(axis=0)
    return np.asarray(1 / middle.shift + arm / np.maximum(turn, 1e-9))


def worst_share(group: Group, at: Floats) -> Floats:
    """(s,) share of its strength to which the most loaded is loaded by a push of 1 N at places (s, 2) in that
    direction, of all in the plane, in which it is worst.

    Pull and shear are taken together by the sum of the squares of their shares.
    """
    middle = middle_of(group)
    (arm_x, arm_y), (mx, my) = (at - middle.place).T, middle.place.T
    # (e, s) by how much 1 N along X and along Y moves each thing along X and Y, turning and shifting.
    shift, x, y = 1 / middle.shift, (group.place[:, :1] - mx) / middle.turn, (group.place[:, 1:] - my) / middle.turn
    xx, xy = shift + y * arm_y, -y * arm_x
    yx, yy = -x * arm_y, shift + x * arm_x
    nx, ny = group.normal[:, :1], group.normal[:, 1:]
    holds = group.stiff > 0
    pull, shear = (group.stiff / np.where(holds, each, 1.0) for each in (group.pull, group.shear))
    px, py = (nx * xx + ny * yx) * pull, (nx * xy + ny * yy) * pull
    sx, sy = (nx * yx - ny * xx) * shear, (nx * yy - ny * xy) * shear
    # The greatest eigenvalue of the sum of squares, over all directions of the push.
    a, b, d = px * px + sx * sx, px * py + sx * sy, py * py + sy * sy
    worst = (a + d) / 2 + np.sqrt((a - d) * (a - d) / 4 + b * b)
    return np.asarray(np.sqrt(worst.max(axis=0, initial=0.0)))
