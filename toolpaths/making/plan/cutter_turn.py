"""A turn: what is done in one go, with one cutter."""

from __future__ import annotations

from dataclasses import dataclass

from toolpaths.facts.cutter import Cutter
from toolpaths.making.plan.work import Item


@dataclass(frozen=True, slots=True)
class Turn:
    """One cutter's turn at a piece of work; a stop has one as well, without a cutter.

    number : its own among all turns, as listed
    work : the number of its piece of work among all, as listed
    entry : the number of the entry of the list to which that belongs
    """

    number: int
    work: int
    entry: int
    item: Item
    cutter: Cutter | None

    @property
    def cutter_number(self) -> int | None:
        return None if self.cutter is None else self.cutter.number
