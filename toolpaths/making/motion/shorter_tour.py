"""Making a tour shorter, until nothing small shortens it, and then by chance.

A stretch is run the other way round (Croes 1958), two neighbouring stretches are swapped (Lin 1965), up to three things
are run backwards elsewhere (Or 1976), a thing is begun at another of its ends; each only towards near neighbours, and
only where something changed (Bentley 1992). Then two neighbouring stretches are swapped somewhere, the place is
improved, and the swap kept if the tour got no longer (Martin, Otto and Felten 1991). The dice have a fixed seed and
there are as many swaps as pairs of ends: the same places give the same tour.
"""

from __future__ import annotations

from collections.abc import Iterable
from random import Random

from toolpaths.making.motion.tour import Tour

# Longest run of things moved elsewhere together.
_RUN = 3
# Longest stretches swapped by chance; short ones more often.
_STRETCH = 30
# While chance is tried, no stretch is replaced that is longer: to write it anew costs more than it is worth.
_LONGEST = 1000
_LEAST_GAIN = 1e-9

# A run of things: its place [low, high) in the tour, what is saved by taking it out, and its first and last ends when
# it is run backwards.
_Run = tuple[int, int, float, int, int]


def shorten(tour: Tour) -> None:
    """Make a tour as short as small changes and chance make it."""
    search = _Search(tour)
    search.improve_all()
    search.swap_by_chance()
    search.improve_all()


class _Search:
    """Changes to a tour, and by how many mm those since the last count have shortened it."""

    def __init__(self, tour: Tour) -> None:
        self._tour = tour
        self._gained = 0.0
        self._longest = tour.count
        self._one_end = all(len(ends) == 1 for ends in tour.ends_of)

    def improve_all(self) -> None:
        """Small changes everywhere, and the ends of all things chosen together, until neither shortens the tour."""
        while True:
            self._gained = 0.0
            self._choose(1, self._tour.count + 1)
            self.improve(range(1, self._tour.count + 1))
            if self._gained <= _LEAST_GAIN or self._one_end:
                return

    def improve(self, things: Iterable[int]) -> None:
        """Small changes about these things, and about those that they change, until none shortens the tour."""
        queue = list(things)
        waiting = set(queue)
        while queue:
            thing = queue.pop()
            waiting.discard(thing)
            while changed := self._better(thing):
                for ends in changed:
                    other = self._tour.thing[ends]
                    if other != thing and other not in waiting:
                        waiting.add(other)
                        queue.append(other)

    def _better(self, thing: int) -> tuple[int, ...]:
        """One change for the better at a thing: the ends beside which the tour changed; none if there is none."""
        at, seq, far = self._tour.pos[thing], self._tour.seq, self._tour.far
        if not self._one_end and 0 < at <= self._tour.count and len(self._tour.ends_of[thing]) > 1:
            a, b, now = seq[at - 1], seq[at + 1], seq[at]
            best = min(self._tour.ends_of[thing], key=lambda ends: far[a][ends] + far[ends][b])
            gain = far[a][now] + far[now][b] - far[a][best] - far[best][b]
            if gain > _LEAST_GAIN:
                self._tour.put(at, [best])
                self._gained += gain
                return a, b
        for ahead in (True, False):
            if at > self._tour.count if ahead else at == 0:
                continue
            here = far[seq[at]][seq[at + 1]] if ahead else far[seq[at - 1]][seq[at]]
            runs: list[_Run] | None = None
            for away, other in self._tour.near[thing]:
                if away >= here - _LEAST_GAIN:
                    break
                to = self._tour.pos[other]
                if changed := self._turn(at, to, ahead) or self._swap(at, to, ahead):
                    return changed
                runs = self._runs(at, ahead) if runs is None else runs
                if changed := self._move(runs, to + 1 if ahead else to, away):
                    return changed
        return ()

    def _turn(self, at: int, to: int, ahead: bool) -> tuple[int, ...]:
        """Run the stretch between two places backwards, so that they come together."""
        seq, far, back = self._tour.seq, self._tour.far, self._tour.back
        low, high = (at, to) if at < to else (to, at)
        # [low, high) is turned; it lies after both places, or before both.
        if ahead:
            low, high = low + 1, high + 1
        if low < 1 or high > self._tour.count + 1 or high - low > self._longest:
            return ()
        a, b, c, d = seq[low - 1], seq[low], seq[high - 1], seq[high]
        if back[b] < 0 or back[c] < 0:
            return ()
        gain = far[a][b] + far[c][d] - far[a][back[c]] - far[back[b]][d]
        if gain > _LEAST_GAIN and self._tour.replace(low, [back[ends] for ends in reversed(seq[low:high])]):
            self._gained += gain
            return a, b, c, d
        return ()

    def _swap(self, at: int, to: int, ahead: bool) -> tuple[int, ...]:
        """Swap two neighbouring stretches, so that two places come together and another two that are near.

        The stretches lie between three gaps, each known by the place in the tour before it.
        """
        seq, far, count = self._tour.seq, self._tour.far, self._tour.count
        one, two = (at, to - 1) if ahead else (at - 1, to)
        if not 0 <= two <= count or one == two:
            return ()
        joined = far[seq[at]][seq[to]] if ahead else far[seq[to]][seq[at]]
        opened = far[seq[one]][seq[one + 1]] + far[seq[two]][seq[two + 1]] - joined
        loose, left = (seq[two], seq[one + 1]) if ahead else (seq[two + 1], seq[one])
        for away, near in self._tour.near[self._tour.thing[loose]]:
            if opened - away <= _LEAST_GAIN:
                break
            three = self._tour.pos[near] - ahead
            # Stretches that keep their direction: the gaps follow on each other round the tour.
            middle, last = (two, three) if ahead else (three, two)
            if not 0 <= three <= count or (one < middle) + (middle < last) + (last < one) != 2:
                continue
            before, after = seq[three], seq[three + 1]
            added = far[loose][after] + far[before][left] if ahead else far[before][loose] + far[left][after]
            gain = opened + far[before][after] - added
            if gain <= _LEAST_GAIN:
                continue
            low, middle, high = sorted((one + 1, two + 1, three + 1))
            if high - low > self._longest:
                continue
            touched = tuple(seq[gap + side] for gap in (low, middle, high) for side in (-1, 0))
            if self._tour.replace(low, seq[middle:high] + seq[low:middle]):
                self._gained += gain
                return touched
        return ()

    def _runs(self, at: int, ahead: bool) -> list[_Run]:
        """Up to three things, of which the one here is last (ahead) or first, and what is saved by taking them out."""
        seq, far, back = self._tour.seq, self._tour.far, self._tour.back
        found: list[_Run] = []
        for long in range(1, _RUN + 1):
            low, high = (at - long + 1, at + 1) if ahead else (at, at + long)
            if low < 1 or high > self._tour.count + 1:
                break
            before, one, two, after = seq[low - 1], seq[low], seq[high - 1], seq[high]
            saved = far[before][one] + far[two][after] - far[before][after]
            if back[one] >= 0 and back[two] >= 0:
                found.append((low, high, saved, back[two], back[one]))
        return found

    def _move(self, runs: list[_Run], gap: int, away: float) -> tuple[int, ...]:
        """Run a few things backwards between two others, one of which is as near as `away`."""
        if not 1 <= gap <= self._tour.count + 1:
            return ()
        seq, far, back = self._tour.seq, self._tour.far, self._tour.back
        a, b = seq[gap - 1], seq[gap]
        opened = far[a][b]
        for low, high, saved, one, two in runs:
            if saved + opened - away <= _LEAST_GAIN or low <= gap <= high:
                continue
            if max(high, gap) - min(low, gap) > self._longest:
                continue
            gain = saved + opened - far[a][one] - far[two][b]
            if gain > _LEAST_GAIN:
                before, after, run = seq[low - 1], seq[high], [back[v] for v in reversed(seq[low:high])]
                start, new = (gap, run + seq[gap:low]) if gap < low else (low, seq[high:gap] + run)
                if self._tour.replace(start, new):
                    self._gained += gain
                    return before, after, a, b, one, two
        return ()

    def _choose(self, low: int, high: int) -> None:
        """The best of all ends of each thing of the stretch [low, high), its order as it is (shortest path)."""
        if self._one_end:
            return
        seq, far = self._tour.seq, self._tour.far
        was = sum(far[a][b] for a, b in zip(seq[low - 1 : high], seq[low : high + 1]))
        best = {seq[low - 1]: 0.0}
        came: list[dict[int, int]] = []
        for choices in [*(self._tour.ends_of[self._tour.thing[ends]] for ends in seq[low:high]), [seq[high]]]:
            came.append({ends: min(best, key=lambda a: best[a] + far[a][ends]) for ends in choices})
            best = {ends: best[a] + far[a][ends] for ends, a in came[-1].items()}
        gain, chosen = was - best[seq[high]], [seq[high]]
        if gain > _LEAST_GAIN:
            self._gained += gain
            for sources in reversed(came):
                chosen.insert(0, sources[chosen[0]])
            self._tour.put(low, chosen[1:-1])

    def swap_by_chance(self) -> None:
        """Swap two neighbouring stretches, improve, keep it if the tour got no longer; as often as there are ends."""
        tour, dice, self._longest = self._tour, Random(1), _LONGEST
        seq, far = tour.seq, tour.far
        for _ in range(len(tour.thing) - 2):
            low = dice.randint(1, tour.count)
            middle = low + int(_STRETCH ** dice.random())
            high = middle + int(_STRETCH ** dice.random())
            if high > tour.count + 1:
                continue
            tour.changes = []
            a, b, c, d, e, f = (seq[gap + side] for gap in (low, middle, high) for side in (-1, 0))
            self._gained = far[a][b] + far[c][d] + far[e][f] - far[a][d] - far[e][b] - far[c][f]
            if not tour.replace(low, seq[middle:high] + seq[low:middle]):
                continue
            self._choose(max(low - _RUN, 1), min(high + _RUN, tour.count + 1))
            self.improve(tour.thing[ends] for ends in (a, b, c, d, e, f))
            if self._gained < 0:
                tour.take_back()
        tour.changes, self._longest = None, tour.count
