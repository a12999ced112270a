"""Making a tour shorter, until nothing small shortens it, and then by chance.

A stretch is run the other way round (Croes 1958), up to three things are moved elsewhere (Or 1976), a thing is begun
at another of its ends; each only towards near neighbours, and only where something changed (Bentley 1992). Then two
neighbouring stretches are swapped somewhere, the place is improved, and the swap kept if the tour got no longer
(Martin, Otto and Felten 1991). The dice have a fixed seed and the number of swaps is bounded: the same places give the
same tour.
"""

from __future__ import annotations

from collections.abc import Iterable
from random import Random

from toolpaths.making.motion.tour import Tour

# Longest run of things moved elsewhere together.
_RUN = 3
# Swaps: so many, so many more for each thing, and in all; and the longest stretches swapped, as long as rows of holes
# may be.
_SWAPS, _SWAPS_EACH, _MOST_SWAPS = 50, 2, 1000
_STRETCH = 100
_LEAST_GAIN = 1e-9


def shorten(tour: Tour) -> None:
    """Make a tour as short as small changes and chance make it."""
    search = _Search(tour)
    search.improve_all()
    search.swap_at_random()
    search.improve_all()


class _Search:
    """Changes to a tour, and by how many mm those since the last count have shortened it."""

    def __init__(self, tour: Tour) -> None:
        self._tour = tour
        self._gained = 0.0

    def improve_all(self) -> None:
        """Small changes everywhere, and the ends of all things chosen together, until neither shortens the tour."""
        while True:
            self._gained = 0.0
            self._choose(1, self._tour.count + 1)
            self.improve(range(1, self._tour.count + 1))
            if self._gained <= _LEAST_GAIN:
                return

    def improve(self, things: Iterable[int]) -> None:
        """Small changes about these things, and about those that they change, until none shortens the tour."""
        queue = list(things)
        waiting = set(queue)
        while queue:
            thing = queue.pop()
            waiting.discard(thing)
            while changed := self._better(thing):
                fresh = [t for t in changed if t != thing and t not in waiting]
                queue += fresh
                waiting.update(fresh)

    def _better(self, thing: int) -> list[int]:
        """One change for the better at a thing: the things beside which the tour changed; empty if there is none."""
        at, seq, far = self._tour.pos[thing], self._tour.seq, self._tour.far
        if 0 < at <= self._tour.count and len(self._tour.ends_of[thing]) > 1:
            a, b, now = seq[at - 1], seq[at + 1], seq[at]
            best = min(self._tour.ends_of[thing], key=lambda ends: far(a, ends) + far(ends, b))
            gain = far(a, now) + far(now, b) - far(a, best) - far(best, b)
            if gain > _LEAST_GAIN:
                seq[at] = best
                self._gained += gain
                return [self._tour.thing[a], self._tour.thing[b]]
        for ahead in (True, False):
            if (ahead and at > self._tour.count) or (not ahead and at == 0):
                continue
            here = far(seq[at], seq[at + 1]) if ahead else far(seq[at - 1], seq[at])
            for away, other in self._tour.near[thing]:
                if away >= here - _LEAST_GAIN:
                    break
                to = self._tour.pos[other]
                if changed := self._turn(at, to, ahead) or self._move(at, to, ahead):
                    return changed
        return []

    def _turn(self, at: int, to: int, ahead: bool) -> list[int]:
        """Run the stretch between two places backwards, so that they come together."""
        seq, far, back = self._tour.seq, self._tour.far, self._tour.back
        low, high = min(at, to), max(at, to)
        # [low, high) is turned; it lies after both places, or before both.
        low, high = (low + 1, high + 1) if ahead else (low, high)
        if low < 1 or high > self._tour.count + 1 or high - low < 1:
            return []
        a, b, c, d = seq[low - 1], seq[low], seq[high - 1], seq[high]
        if back[b] < 0 or back[c] < 0:
            return []
        gain = far(a, b) + far(c, d) - far(a, back[c]) - far(back[b], d)
        if gain > _LEAST_GAIN and self._tour.replace(low, [back[ends] for ends in reversed(seq[low:high])]):
            self._gained += gain
            return [self._tour.thing[ends] for ends in (a, b, c, d)]
        return []

    def _move(self, at: int, to: int, ahead: bool) -> list[int]:
        """Move up to three things, of which the one here is last (ahead) or first, to beside another."""
        seq, far = self._tour.seq, self._tour.far
        for long in range(1, _RUN + 1):
            low, high = (at - long + 1, at + 1) if ahead else (at, at + long)
            if low < 1 or high > self._tour.count + 1 or low <= to < high:
                break
            before, after = seq[low - 1], seq[high]
            saved = far(before, seq[low]) + far(seq[high - 1], after) - far(before, after)
            straight = seq[low:high]
            turned = [self._tour.back[ends] for ends in straight[::-1]]
            # Behind the other, or in front of it; the thing here comes to lie beside it.
            for gap, run in ((to + 1, turned if ahead else straight), (to, straight if ahead else turned)):
                if not 1 <= gap <= self._tour.count + 1 or low <= gap <= high or -1 in run:
                    continue
                a, b = seq[gap - 1], seq[gap]
                gain = saved - far(a, run[0]) - far(run[-1], b) + far(a, b)
                if gain <= _LEAST_GAIN:
                    continue
                start, new = (gap, run + seq[gap:low]) if gap < low else (low, seq[high:gap] + run)
                if self._tour.replace(start, new):
                    self._gained += gain
                    return [self._tour.thing[ends] for ends in (before, after, a, b, run[0], run[-1])]
        return []

    def _choose(self, low: int, high: int) -> None:
        """The best of all ends of each thing of the stretch [low, high), its order as it is (shortest path)."""
        stretch, seq, far = (
            [self._tour.thing[ends] for ends in self._tour.seq[low:high]],
            self._tour.seq,
            self._tour.far,
        )
        if all(len(self._tour.ends_of[thing]) == 1 for thing in stretch):
            return
        was = sum(far(a, b) for a, b in zip(seq[low - 1 : high], seq[low : high + 1]))
        best = {seq[low - 1]: 0.0}
        came: list[dict[int, int]] = []
        for choices in [*(self._tour.ends_of[thing] for thing in stretch), [seq[high]]]:
            came.append({ends: min(best, key=lambda a: best[a] + far(a, ends)) for ends in choices})
            best = {ends: best[a] + far(a, ends) for ends, a in came[-1].items()}
        gain = was - best[seq[high]]
        if gain > _LEAST_GAIN:
            self._gained += gain
            for at in range(high - 1, low - 1, -1):
                seq[at] = came[at - low + 1][seq[at + 1]]

    def swap_at_random(self) -> None:
        """Swap two neighbouring stretches at random, improve, keep it if the tour got no longer; so many times."""
        dice, far, longest = Random(1), self._tour.far, max(1, min(_STRETCH, self._tour.count // 2))
        for _ in range(min(_SWAPS + _SWAPS_EACH * self._tour.count, _MOST_SWAPS)):
            one, two = dice.randint(1, longest), dice.randint(1, longest)
            if one + two > self._tour.count:
                continue
            low = dice.randint(1, self._tour.count + 1 - one - two)
            middle, high = low + one, low + one + two
            kept, seq = self._tour.seq.copy(), self._tour.seq
            touched = [self._tour.thing[seq[at]] for at in (low - 1, low, middle - 1, middle, high - 1, high)]
            was = sum(far(a, b) for a, b in zip(seq[low - 1 : high], seq[low : high + 1]))
            if not self._tour.replace(low, seq[middle:high] + seq[low:middle]):
                continue
            self._gained = was - sum(far(a, b) for a, b in zip(seq[low - 1 : high], seq[low : high + 1]))
            self._choose(max(low - _RUN, 1), min(high + _RUN, self._tour.count + 1))
            self.improve(touched)
            if self._gained < 0:
                self._tour.seq = kept
                self._tour.note_places(0, len(kept))
