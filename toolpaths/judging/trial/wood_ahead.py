"""What stands in front of the cutter as it moves, looked at in places along its track.

Wood in front of the cutter, over the width of its front half, is what it takes next. The track is
one line through all moves at feed that go sideways, measured as seen from above.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from toolpaths.base.checks import Floats
from toolpaths.facts.cutter import Cutter
from toolpaths.judging.trial.case import Case, Trial
from toolpaths.judging.trial.cut_heights import cut_heights
from toolpaths.judging.trial.exact_heights import faces_before
from toolpaths.judging.wood.field import one_height
from toolpaths.judging.wood.moves import START, SWEEP, X0, X1, Y0, Y1, Z1
from toolpaths.judging.wood.paths import places_on, seen_lengths
from toolpaths.judging.wood.sweep import Flags, Ints, spread

# mm: the wood is taken as it was when the cutter stood so far back, and looked at so far within the
# rim, so that neither short moves nor rounding hide or make wood in front of the cutter.
_BACK = 0.25
_WITHIN = 0.02
# mm; depth that shows that wood is taken at all, above what rounding or a coarse stock leave.
TAKES = 0.05
# A speed, an angle or a chip load may exceed its limit by this share: programs give rounded numbers.
SLACK = 0.01
# As shares of the diameter: how far apart a track is looked at, and over what length a load must last: more than the
# corner in which one row goes over into the next.
SPACING, LASTS = 0.5, 0.3
# Share of the diameter up to which a cut is light: a finishing pass, which may go to the full depth
# (common practice, no source).
LIGHT = 0.25
# Strips across the cutter, and the three places of which at least one is in wood if more than a light
# cut is taken, wherever that lies across.
STRIPS = 16
FIVE = np.array([-0.97, -0.6, 0.0, 0.6, 0.97])
_THREE = np.array([-0.98, 0.0, 0.98]) / 2
# Places on a track looked at for one check and cutter at most; a longer program is looked at evenly,
# farther apart.
MOST_SPOTS = 2_500
# Moves over all the places at which one check looks, about, at most: where thousands lie over each other, as in no
# program that is meant, it looks at fewer places.
_MOST_MOVES_OVER = 30_000_000


class Spots(NamedTuple):
    """s places on a track: mm along it, the move, the tip (s, 3), heading (s,)."""

    at: Floats
    move: Ints
    tip: Floats
    heading: Floats


class Around(NamedTuple):
    """Places about the axis at s spots of a track, and the moment at which the wood there is looked at.

    place : (s, t, 2) mm; tip : (s,) its z there
    move, part : (s,) the move that is made at that moment, and the share of it that is done
    """

    place: Floats
    tip: Floats
    move: Ints
    part: Floats

    @property
    def flat(self) -> Floats:
        """(s t, 2) the places, spot after spot."""
        return self.place.reshape(-1, 2)

    @property
    def before(self) -> Ints:
        """(s t,) the move at each of these."""
        return np.repeat(self.move, self.place.shape[1])


class Loaded(NamedTuple):
    """Spots with wood in front of them: how much is taken at most, as mm of depth, and over what share of the width."""

    spot: Spots
    depth: Floats
    width: Floats


def sideways(case: Case) -> Flags:
    """(n,) moves at feed that do not go straight up or down."""
    return np.asarray(case.moves.feeding() & ~case.moves.upright)


def track_of(trial: Trial, cutter: Cutter, which: Ints) -> Track:
    """These moves of a cutter, which go sideways, as one track."""
    length = trial.case.moves.length[which]
    chain = np.cumsum(np.diff(which, prepend=-2) != 1) - 1
    return Track(trial, cutter, which, np.concatenate([[0.0], np.cumsum(length)]), chain)


def most_spots(case: Case, most: int, tracks: int = 1) -> int:
    """So many spots on each of some tracks that are looked at together, or fewer where very many moves lie over each
    of the places that are looked at for one."""
    return min(most, max(int(_MOST_MOVES_OVER / max(case.overlap * (STRIPS + 1) * tracks, 1.0)), 1))


class Track(NamedTuple):
    """m moves of one cutter end to end, in the order of the program.

    begin : (m + 1,) mm at which each begins, and where the last ends
    chain : (m,) moves that follow each other without a break share a number
    """

    trial: Trial
    cutter: Cutter
    move: Ints
    begin: Floats
    chain: Ints

    def looks(self, ahead: float = 0.0, most: int = MOST_SPOTS // 2) -> Floats:
        """(s,) mm along the track at which the cutter's load is looked at, evenly over each chain.

        ahead : mm; none is nearer to the end of its chain, and a chain shorter than that has none
        most : about so many in all at most, fewer where most_spots() says so
        """
        return self.evenly(ahead, most_spots(self.trial.case, most)) if len(self.move) else np.empty(0)

    def evenly(self, ahead: float, most: int) -> Floats:
        """(s,) as looks(), about so many in all at most, however many moves lie over each."""
        if not len(self.move):
            return np.empty(0)
        first = np.flatnonzero(np.diff(self.chain, prepend=-1))
        begin, end = self.begin[first], self.begin[np.append(first[1:], len(self.move))]
        room = end - begin - ahead
        wanted = np.where(room > 0, np.ceil(room / (SPACING * self.cutter.diameter)), 0.0)
        share = min(most / max(wanted.sum(), 1.0), 1.0)
        # Of every chain its share, without ever holding all the places of an endless one.
        upto = np.floor(np.cumsum(wanted) * share + 1e-9)
        count = np.diff(upto, prepend=0.0).astype(np.intp)
        chain, nth = spread(count)
        return np.asarray(begin[chain] + (nth + 0.5) / count[chain] * room[chain])

    def nth_at(self, at: Floats) -> Ints:
        """(s,) number on the track of the move that holds each place."""
        return np.clip(np.searchsorted(self.begin, at, side="right") - 1, 0, len(self.move) - 1)

    def spots(self, at: Floats) -> Spots:
        """Where the cutter is at so many mm along the track."""
        i = self.nth_at(at)
        part = (at - self.begin[i]) / (self.begin[i + 1] - self.begin[i])
        table = self.trial.case.moves.path[:, self.move[i]]
        return Spots(at, self.move[i], places_on(table, part), _heading(table, part))

    def ahead(self, spot: Spots, radius: float | Floats, aside: Floats) -> Floats:
        """(s, t) height of the wood above the tip, at the cutter's front and so far aside; 0 where none stands.

        radius : of the cutter at the height that is looked at; one, or (s,)
        aside : (t,) to the left of the track, within (-1, 1) of the radius
        """
        return self.wood_over(self.front(spot, radius, aside))

    def front(self, spot: Spots, radius: float | Floats, aside: Floats) -> Around:
        """The places of which ahead() has the height of the wood."""
        rim = _rim(radius)
        return self._around(spot, rim * np.sqrt(1 - aside * aside), rim * aside, _BACK)

    def at_the_sides(self, spot: Spots, radius: float | Floats, aside: Floats) -> Floats:
        """As ahead(), but straight to both sides of the axis: the wood that the cutter has just taken on its
        way there, since its front was level with it.

        This is the width of the cut as the trade measures it, in a corner too, where the wall ahead is met by
        the whole front.
        """
        rim = _rim(radius)
        return self.wood_over(self._around(spot, np.zeros(len(aside)), rim * aside, rim[:, 0].max() + _BACK))

    def under(self, spot: Spots) -> Floats:
        """(s,) height of the wood above the tip on the axis, before the cutter came within a diameter of the place."""
        return self.wood_over(self._around(spot, np.zeros(1), np.zeros(1), self.cutter.diameter))[:, 0]

    def _around(self, spot: Spots, forward: Floats, left: Floats, back: float) -> Around:
        """Places given from the axis, at which the wood is looked at as it was so many mm of track before."""
        cos, sin = np.cos(spot.heading)[:, None], np.sin(spot.heading)[:, None]
        x = spot.tip[:, :1] + forward * cos - left * sin
        y = spot.tip[:, 1:2] + forward * sin + left * cos
        here = self.nth_at(spot.at)
        then = np.maximum(self.nth_at(spot.at - back), np.searchsorted(self.chain, self.chain[here]))
        part = (spot.at - back - self.begin[then]) / np.diff(self.begin)[then]
        return Around(np.stack([x, y], axis=2), spot.tip[:, 2], self.move[then], part)

    def wood_over(self, around: Around) -> Floats:
        """(s, t) height of the wood above the tip at such places; 0 where none stands."""
        return self.above_tip(around, *faces_before(self.trial, around.flat, around.before))

    def above_tip(self, around: Around, top: Floats, bottom: Floats) -> Floats:
        """As wood_over(), of wood that has these faces when each of the moves of `around` begins."""
        many = around.place.shape[1]
        # And the move on which the cutter then was, as far as it had come.
        done = np.repeat(_cut_short(self.trial.case.moves.path[:, around.move], around.part), many, axis=1)
        top = np.minimum(top, cut_heights(self.cutter.profile, done, *around.flat.T))
        height = np.where(top > bottom, top - np.maximum(np.repeat(around.tip, many), bottom), 0.0)
        return np.maximum(height, 0.0).reshape(-1, many)

    def half_up(self, spot: Spots) -> Floats:
        """(s,) where above the tip its width is looked at: at once for a flat cutter, which is as wide
        everywhere, else half way up to the wood's top."""
        depth = highest(self.trial) - spot.tip[:, 2]
        return np.asarray(depth / 2 if self.cutter.profile.tip_height > 0 else np.zeros(len(depth)))

    def loaded(self, at: Floats, above: float, lasts: float = 0.0) -> Loaded:
        """The places where wood higher than `above` over the tip is taken over more than a light cut's width.

        lasts : mm along the track over which that has to go on; 0 means what the front meets at the place itself.
            Then it has to be so much depth at one place at least: where a rounded cutter or a cone follows its
            own track deeper, wood stands high over its tip beside it, of which it takes no more than it went down
        """
        profile = self.cutter.profile
        radius = profile.radius_at(above)
        look, more = (self.at_the_sides, (0.0, lasts)) if lasts else (self.ahead, (0.0,))
        for further in more:
            if len(at):
                at = at[(look(self.spots(at + further), radius, _THREE) > above).any(axis=1)]
        width, depth = np.ones(len(at)), np.full(len(at), np.inf)
        aside = np.append(across(STRIPS), 0.0)
        flank = profile.height(np.abs(aside) * _rim(radius)[0]) if lasts else np.zeros(len(aside))
        for further in more if len(at) else ():
            heights = look(self.spots(at + further), radius, aside)
            width = np.minimum(width, (heights[:, :STRIPS] > above).mean(axis=1))
            depth = np.minimum(depth, (heights - flank).max(axis=1))
        wide = (width > LIGHT + 1e-9) & (depth > above)
        return Loaded(self.spots(at[wide]), depth[wide], width[wide])


def _rim(radius: float | Floats) -> Floats:
    radius = np.asarray(radius).reshape(-1, 1)
    return np.maximum(radius - _WITHIN, radius / 2)


def _cut_short(table: Floats, part: Floats) -> Floats:
    """Moves (11, s) that end after a part (s,) of themselves."""
    part = np.clip(part, 0.0, 1.0)
    table = table.copy()
    table[[X1, Y1, Z1]] = places_on(table, part).T
    table[SWEEP] *= part
    return table


def along(table: Floats, spacing: float, most: int) -> tuple[Ints, Floats, Floats]:
    """Places along each of these moves, ends included, about `most` at most: move (s,), tip (s, 3), heading (s,)."""
    length = seen_lengths(table)
    spacing = max(spacing, float(length.sum()) / most)
    count = np.ceil(length / spacing).astype(np.intp) + 1
    if count.sum() > 2 * most:  # of very many short moves some
        count[np.arange(len(count)) % int(np.ceil(len(count) / most)) != 0] = 0
    move, nth = spread(count)
    part = nth / np.maximum(count[move] - 1, 1)
    # A move of no length stands at its end.
    part = np.where(length[move] > 0, part, 1.0)
    table = table[:, move]
    return move, places_on(table, part), _heading(table, part)


def _heading(table: Floats, part: Floats) -> Floats:
    straight = np.arctan2(table[Y1] - table[Y0], table[X1] - table[X0])
    turned = table[START] + part * table[SWEEP] + np.copysign(np.pi / 2, table[SWEEP])
    return np.asarray(np.where(table[SWEEP] != 0, turned, straight))


def across(count: int) -> Floats:
    """The middles of so many strips of equal width across the cutter, as shares of its radius."""
    return (np.arange(count) + 0.5) / count * 2 - 1


def highest(trial: Trial) -> float:
    """The highest wood there is before the program."""
    top = trial.before.top
    return float(top[0, 0]) if one_height(top) else float(top.max())


def by_move(case: Case, move: Ints, tip: Floats, amounts: Floats) -> tuple[Ints, Floats, Floats]:
    """Line, place and amount of the worst of each move, in the order of the program; (s,), (s, 3), (s,)."""
    worst = worst_of_each(move, amounts)
    return case.moves.line[move[worst]], case.work(tip[worst]), amounts[worst]


def worst_of_each(move: Ints, amounts: Floats) -> Ints:
    """Index of the greatest amount of each move, in the order of the program; move (s,) and amounts (s,)."""
    order = np.lexsort([-amounts, move])
    return np.asarray(order[np.flatnonzero(np.diff(move[order], prepend=-1))])
