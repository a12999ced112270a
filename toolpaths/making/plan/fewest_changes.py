"""Turns in runs of one cutter each, as few runs as what has to come first allows.

Nothing is lost by doing with a cutter all that it can do before it goes out: whatever else is done later needs no more
for it. So the only choice is the next cutter; and of two beginnings with as many changes, one that has done all that
the other has, and more, is no worse. Both keep the search exact and small.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from itertools import groupby
from typing import NamedTuple

from toolpaths.making.motion.before import Before, Waiting
from toolpaths.making.plan.cutter_turn import Turn

# Beginnings that are followed at once. Below this number the fewest changes are certain.
_MOST_BEGINNINGS = 300


class Done(NamedTuple):
    """What is done: all of so many entries, and of the next one the turns of these numbers."""

    entries: int
    begun: frozenset[int] = frozenset()

    def within(self, other: Done) -> bool:
        """Whether the other has done all of this, too."""
        return self.entries < other.entries or (self.entries == other.entries and self.begun <= other.begun)


def fewest_changes(turns: Sequence[Turn], before: Mapping[int, Sequence[Before]]) -> list[list[Turn]]:
    """Turns in runs, each of one cutter, as few runs as can be; where others are as few, as listed.

    All turns of an entry come before all of the next.
    before : of each entry what comes before what in it, by the numbers of the turns
    """
    search = _Search(turns, before)
    done, run = search.all_with(None, Done(0))
    runs = [run] if run else []
    for cutter in search.cutters():
        done, run = search.all_with(cutter, done)
        runs.append(run)
    return runs


class _Search:
    def __init__(self, turns: Sequence[Turn], before: Mapping[int, Sequence[Before]]) -> None:
        entries = [(entry, list(own)) for entry, own in groupby(turns, key=lambda turn: turn.entry)]
        self._entries = [own for _, own in entries]
        self._before = [before.get(entry, ()) for entry, _ in entries]

    def all_with(self, cutter: int | None, done: Done) -> tuple[Done, list[Turn]]:
        """What is done once a cutter has done all that it can, stops included, and the turns that it does, as
        listed."""
        run: list[Turn] = []
        for k in range(done.entries, len(self._entries)):
            entry, begun = self._entries[k], set(done.begun) if k == done.entries else set()
            waiting, own = self._waiting(k, begun), {t.number for t in entry if t.cutter_number in (None, cutter)}
            ready = [number for number in own - begun if number not in waiting]
            doing = set(ready)
            while ready:
                freed = own.intersection(waiting.done(ready.pop()))
                ready += freed
                doing |= freed
            run += [turn for turn in entry if turn.number in doing]
            if len(begun) + len(doing) < len(entry):
                return Done(k, frozenset(begun | doing)), run
        return Done(len(self._entries)), run

    def _waiting(self, entry: int, begun: Iterable[int]) -> Waiting:
        waiting = Waiting(self._before[entry])
        for number in begun:
            waiting.done(number)
        return waiting

    def _next(self, done: Done) -> Iterable[int]:
        """The cutters that have something to do."""
        waiting = self._waiting(done.entries, done.begun)
        ready = (t for t in self._entries[done.entries] if t.number not in done.begun and t.number not in waiting)
        return dict.fromkeys(turn.cutter_number for turn in ready if turn.cutter_number is not None)

    def cutters(self) -> tuple[int, ...]:
        """The numbers of the cutters, one for each run."""
        every = Done(len(self._entries))
        begun: dict[Done, tuple[int, ...]] = {self.all_with(None, Done(0))[0]: ()}
        while every not in begun:
            found: dict[Done, tuple[int, ...]] = {}
            for done, cutters in begun.items():
                for cutter in self._next(done):
                    found.setdefault(self.all_with(cutter, done)[0], (*cutters, cutter))
            begun = {done: found[done] for done in _foremost(list(found))}
        return begun[every]


def _foremost(found: Sequence[Done]) -> list[Done]:
    """Those that have done no less than any other one, in their order; the largest of them where they are many."""
    kept: list[Done] = []
    for done in sorted(found, key=lambda done: (done.entries, len(done.begun)), reverse=True):
        if len(kept) < _MOST_BEGINNINGS and not any(done.within(other) for other in kept):
            kept.append(done)
    chosen = set(kept)
    return [done for done in found if done in chosen]
