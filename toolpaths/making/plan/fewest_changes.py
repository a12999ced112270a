"""Turns in runs of one cutter each, as few runs as what has to come first allows.

Nothing is lost by doing with a cutter all that it can do before it goes out: whatever else is done later needs no more
for it. So the only choice is the next cutter; and of two beginnings with as many changes, one that has done all that
the other has, and more, is no worse. Both keep the search exact and small.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from toolpaths.making.plan.cutter_turn import Turn

# Beginnings that are followed at once. Below this number the fewest changes are certain.
_MOST_BEGINNINGS = 300

# The numbers of turns that are done.
Done = frozenset[int]


def fewest_changes(turns: Sequence[Turn]) -> list[list[Turn]]:
    """Turns in runs, each of one cutter, as few runs as can be; where others are as few, as listed.

    All turns of an entry come before all of the next.
    """
    search = _Search(turns)
    done, runs = search.all_with(None, frozenset()), list[list[Turn]]()
    if done:
        runs.append([turn for turn in turns if turn.number in done])
    for cutter in search.cutters():
        more = search.all_with(cutter, done)
        runs.append([turn for turn in turns if turn.number in more - done])
        done = more
    return runs


class _Search:
    def __init__(self, turns: Sequence[Turn]) -> None:
        self._every: Done = frozenset(turn.number for turn in turns)
        self._entries = [
            [turn for turn in turns if turn.entry == entry] for entry in dict.fromkeys(turn.entry for turn in turns)
        ]
        self._whole = [frozenset(turn.number for turn in entry) for entry in self._entries]

    def _unfinished(self, done: Done) -> int:
        return next((k for k, whole in enumerate(self._whole) if not whole <= done), len(self._whole))

    def all_with(self, cutter: int | None, done: Done) -> Done:
        """What is done once a cutter has done all that it can, stops included."""
        found = set(done)
        for k in range(self._unfinished(done), len(self._entries)):
            waiting = [t for t in self._entries[k] if t.cutter_number in (None, cutter) and t.number not in found]
            while ready := [turn for turn in waiting if turn.after <= found]:
                found.update(turn.number for turn in ready)
                waiting = [turn for turn in waiting if turn.number not in found]
            if not self._whole[k] <= found:
                break
        return frozenset(found)

    def _next(self, done: Done) -> Iterable[int]:
        """The cutters that have something to do."""
        entry = self._entries[self._unfinished(done)]
        ready = (turn.cutter_number for turn in entry if turn.number not in done and turn.after <= done)
        return dict.fromkeys(cutter for cutter in ready if cutter is not None)

    def cutters(self) -> tuple[int, ...]:
        """The numbers of the cutters, one for each run."""
        begun: dict[Done, tuple[int, ...]] = {self.all_with(None, frozenset()): ()}
        while self._every not in begun:
            found: dict[Done, tuple[int, ...]] = {}
            for done, cutters in begun.items():
                for cutter in self._next(done):
                    found.setdefault(self.all_with(cutter, done), (*cutters, cutter))
            begun = {done: found[done] for done in _foremost(list(found))}
        return begun[self._every]


def _foremost(found: Sequence[Done]) -> list[Done]:
    """Those sets that lie in no other one, in their order; the largest of them where they are many."""
    kept: list[Done] = []
    for done in sorted(found, key=len, reverse=True):
        if len(kept) < _MOST_BEGINNINGS and not any(done <= other for other in kept):
            kept.append(done)
    chosen = set(kept)
    return [done for done in found if done in chosen]
