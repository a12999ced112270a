"""What comes before what: of rows of things, all of the first before any of the others.

A row stands for as many pairs as its two sides have between them, so that "all of these before all of those" costs no
more to say, and to keep, than naming them.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable
from typing import NamedTuple


class Before(NamedTuple):
    """All the things of `first` come before any of `then`, by their numbers."""

    first: Collection[int]
    then: Collection[int]


def within(rows: Iterable[Before], number_of: dict[int, int]) -> list[Before]:
    """What rows say of some things only, which get other numbers."""
    found = (
        Before([number_of[a] for a in row.first if a in number_of], [number_of[b] for b in row.then if b in number_of])
        for row in rows
    )
    return [row for row in found if row.first and row.then]


class Waiting:
    """Which things wait for others, while one after the other is done."""

    def __init__(self, rows: Iterable[Before]) -> None:
        self._then: list[Collection[int]] = []
        # Of each row how many things of its first are left, of each thing the rows that wait for it, and those it
        # waits for.
        self._left: list[int] = []
        self._ends: dict[int, list[int]] = {}
        self._rows_before: dict[int, int] = {}
        for number, row in enumerate(rows):
            self._then.append(row.then)
            self._left.append(len(row.first))
            for thing in row.first:
                self._ends.setdefault(thing, []).append(number)
            for thing in row.then if row.first else ():
                self._rows_before[thing] = self._rows_before.get(thing, 0) + 1

    def __contains__(self, thing: int) -> bool:
        return self._rows_before.get(thing, 0) > 0

    def done(self, thing: int) -> list[int]:
        """The things that wait no longer once this one, too, is done."""
        freed: list[int] = []
        for number in self._ends.get(thing, ()):
            self._left[number] -= 1
            for other in self._then[number] if not self._left[number] else ():
                self._rows_before[other] -= 1
                if not self._rows_before[other]:
                    freed.append(other)
        return freed
