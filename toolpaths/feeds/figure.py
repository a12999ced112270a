"""One number of a suggestion, and where it comes from."""

from __future__ import annotations

from dataclasses import dataclass

from toolpaths.base.values import fields_in_a_line

PRACTICE = "common practice, no source"
YOURS = "your own number"
# The limit of a number that nothing is held against.
NOT_LIMITED = "for information only"


@dataclass(frozen=True, slots=True)
class Figure:
    """A number in the unit that its name states, where it comes from, and what kept it from being more.

    >>> from toolpaths import Machine, advise, flat
    >>> advise(flat(6), wood="oak", machine=Machine(), step_down=2).step_down
    Figure(value=2, source='your own number', limit='your own number')
    """

    value: float
    source: str
    limit: str

    __repr__ = fields_in_a_line


def own_number(value: float | None) -> Figure | None:
    """The user's own number, if there is one."""
    return None if value is None else Figure(value, YOURS, YOURS)
